//! A difference with its interval, beside others on one axis: percent of what the first group has.

use maud::{Markup, html};

use crate::compare::{Measure, Row};

/// Percents that an axis may reach to.
const REACHES: [f64; 10] = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1_000.0];

/// This part of what is drawn reaches no further than the axis: one that is far greater must not press all others together.
const WITHIN: f64 = 0.9;

/// An axis from so many percent below zero to as many above it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Axis(f64);

impl Axis {
    /// That of these questions.
    pub(super) fn of(rows: &[&Row]) -> Self {
        let mut ends: Vec<f64> = rows
            .iter()
            .filter_map(|row| percent(row))
            .map(|(shift, interval)| {
                let (low, high) = interval.unwrap_or((shift, shift));
                low.abs().max(high.abs())
            })
            .collect();
        ends.sort_by(f64::total_cmp);
        let far = ends.get((ends.len() as f64 * WITHIN) as usize).or(ends.last()).copied().unwrap_or(1.0);
        Self(REACHES.into_iter().find(|reach| *reach >= far).unwrap_or(REACHES[REACHES.len() - 1]))
    }

    /// Where a percent stands, in percent of the width, and whether it is beyond.
    fn at(self, percent: f64) -> (f64, bool) {
        (50.0 + 50.0 * (percent / self.0).clamp(-1.0, 1.0), percent.abs() > self.0)
    }
}

/// The difference and its interval in percent of the first group's middle; of how often something comes, in points.
fn percent(row: &Row) -> Option<(f64, Option<(f64, f64)>)> {
    let middle = row.groups.first()?.middle?.abs();
    let one = if row.question.measure == Measure::Comes { 1.0 } else { middle };
    let of = |value: f64| 100.0 * value / one;
    (one > 0.0).then_some((of(row.shift?), row.interval.map(|(low, high)| (of(low), of(high)))))
}

/// The picture of a difference; nothing of more than two groups.
pub(super) fn forest(row: &Row, axis: Axis) -> Markup {
    let Some((shift, interval)) = percent(row) else { return html! {} };
    let (low, high) = interval.unwrap_or((shift, shift));
    let ([from, below], [to, above]) = ([low, low].map(|p| axis.at(p)), [high, high].map(|p| axis.at(p)));
    let beyond =
        (below.1 && low < 0.0 || above.1 && high < 0.0, above.1 && high > 0.0 || below.1 && low > 0.0);
    let reach = axis.0;
    html! {
        div.forest aria-hidden="true" {
            span.zero {}
            span.range style=(format!("left:{:.2}%;width:{:.2}%", from.0, to.0 - from.0)) {}
            span.dot style=(format!("left:{:.2}%", axis.at(shift).0)) {}
            @if beyond.0 { span.beyond.less { "\u{25c2}" } }
            @if beyond.1 { span.beyond.more { "\u{25b8}" } }
            span.end.less { "\u{2212}" (reach) " %" }
            span.end { "0" }
            span.end.more { "+" (reach) " %" }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::compare::{Group, Question, Said};

    fn row(first: f64, shift: f64, interval: (f64, f64)) -> Row {
        let group = |middle| Group { count: 9, middle: Some(middle) };
        Row {
            question: Question { programme: 0, interval: Some("drain".into()), measure: Measure::Lasts },
            groups: vec![group(first), group(first + shift)],
            values: Vec::new(),
            shift: Some(shift),
            interval: Some(interval),
            delta: None,
            p: 0.01,
            of_any: 0.01,
            q: 0.01,
            least_shown: None,
            same: None,
            said: Said::Differs,
        }
    }

    #[test]
    fn a_difference_stands_where_its_percent_is() {
        // 3 s of 60 s are 5 %, 1.5 to 6 s are 2.5 to 10 %.
        let row = row(60.0, 3.0, (1.5, 6.0));
        let axis = Axis::of(&[&row]);
        assert_eq!(axis, Axis(10.0));
        let drawn = forest(&row, axis).into_string();
        assert!(drawn.contains("left:62.50%;width:37.50%") && drawn.contains("left:75.00%"), "{drawn}");
        assert!(!drawn.contains("beyond"), "{drawn}");
    }

    #[test]
    fn what_is_beyond_the_axis_says_so_and_of_nothing_there_is_no_part() {
        let drawn = forest(&row(60.0, 30.0, (24.0, 36.0)), Axis(10.0)).into_string();
        assert!(drawn.contains("beyond more") && !drawn.contains("beyond less"), "{drawn}");
        assert!(forest(&row(0.0, 3.0, (1.0, 5.0)), Axis(10.0)).into_string().is_empty());
    }
}
