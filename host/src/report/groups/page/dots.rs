//! What the cycles of each group have, as marks that are counted: each is a cycle, or a twentieth of them (quantile dot plots: Kay, Kola, Hullman
//! and Munson, Proceedings of CHI 2016).

use maud::{Markup, html};

use super::super::wording::{letter, value};
use crate::compare::Row;
use crate::stats::median;

/// Marks of a group at most.
const MARKS: usize = 20;

/// The picture's width, where its marks begin and end, and how far they are apart, in its own units.
const WIDTH: f64 = 400.0;
const FROM: f64 = 22.0;
const TO: f64 = 388.0;
const APART: f64 = 8.0;

/// Room above the highest mark of a group, and for the numbers below all of them.
const ROOM: f64 = 5.0;
const BELOW: f64 = 16.0;

/// Values that stand for all: all of few, or the middles of twenty parts that are as large.
fn quantiles(sorted: &[f64]) -> Vec<f64> {
    if sorted.len() <= MARKS {
        return sorted.to_vec();
    }
    let at = |i: usize| sorted[((i as f64 + 0.5) / MARKS as f64 * sorted.len() as f64) as usize];
    (0..MARKS).map(at).collect()
}

/// A group in the picture: the columns of its marks, each with how many stand on each other.
struct Lane {
    group: u8,
    columns: Vec<(f64, usize)>,
    middle: f64,
    /// Where it ends below.
    foot: f64,
}

impl Lane {
    fn height(&self) -> f64 {
        self.columns.iter().map(|c| c.1).max().unwrap_or(0) as f64 * APART + ROOM
    }
}

/// The values of these groups below each other, on one axis.
pub(super) fn dots(row: &Row, groups: &[u8]) -> Markup {
    let measure = row.question.measure;
    let all = || row.values.iter().flatten().copied();
    let (low, high) = (all().fold(f64::INFINITY, f64::min), all().fold(f64::NEG_INFINITY, f64::max));
    // What all have alike has no picture.
    if low >= high || measure == crate::compare::Measure::Comes {
        return html! {};
    }
    // Marks stand on columns, and so does the middle.
    let x = |v: f64| FROM + ((TO - FROM) * (v - low) / (high - low) / APART).round() * APART;
    let lane = |(values, group): (&Vec<f64>, &u8)| {
        let mut columns: Vec<(f64, usize)> = Vec::new();
        for value in quantiles(values) {
            let at = x(value);
            match columns.last_mut().filter(|(column, _)| *column == at) {
                Some((_, count)) => *count += 1,
                None => columns.push((at, 1)),
            }
        }
        (!values.is_empty()).then(|| Lane { group: *group, columns, middle: x(median(values)), foot: 0.0 })
    };
    let mut lanes: Vec<Lane> = row.values.iter().zip(groups).filter_map(lane).collect();
    let whole = lanes.iter_mut().fold(0.0, |above, lane| {
        lane.foot = above + lane.height();
        lane.foot
    });
    let label: Vec<String> = row
        .groups
        .iter()
        .zip(groups)
        .filter_map(|(g, l)| {
            Some(format!("{}: {} values about {}", letter(*l), g.count, value(measure, g.middle?)))
        })
        .collect();
    html! {
        svg.dots viewBox=(format!("0 0 {WIDTH} {:.0}", whole + BELOW)) role="img" aria-label=(format!("{}; all from {} to {}", label.join("; "), value(measure, low), value(measure, high))) {
            @for lane in &lanes {
                @let foot = lane.foot;
                text x="2" y=(format!("{:.1}", foot - 2.0)) { (letter(lane.group)) }
                path.base d=(format!("M{:.0} {foot:.1}H{:.0}", FROM - 6.0, TO + 6.0)) {}
                path.middle d=(format!("M{:.1} {:.1}V{foot:.1}", lane.middle, foot - lane.height() + 2.0)) {}
                @for (at, count) in &lane.columns {
                    @for n in 0..*count { (mark(lane.group, *at, foot - APART * (n as f64 + 0.5))) }
                }
            }
            text x=(format!("{FROM}")) y=(format!("{:.1}", whole + BELOW - 4.0)) { (value(measure, low)) }
            text.last x=(format!("{TO}")) y=(format!("{:.1}", whole + BELOW - 4.0)) { (value(measure, high)) }
        }
    }
}

/// The mark of a group: a disc, an open diamond, a square, an open triangle, and from the first again.
fn mark(group: u8, x: f64, y: f64) -> Markup {
    let r = 0.42 * APART;
    let d = match group % 4 {
        0 => format!("M{:.1} {y:.1}a{r} {r} 0 1 0 {} 0a{r} {r} 0 1 0 -{} 0", x - r, 2.0 * r, 2.0 * r),
        1 => format!("M{x:.1} {:.1}l{r} {r}l-{r} {r}l-{r} -{r}z", y - r),
        2 => format!("M{:.1} {:.1}h{}v{}h-{}z", x - 0.8 * r, y - 0.8 * r, 1.6 * r, 1.6 * r, 1.6 * r),
        _ => format!("M{x:.1} {:.1}l{r} {}h-{}z", y - r, 1.8 * r, 2.0 * r),
    };
    html! { path class=(format!("g{}", group % 4)) d=(d) {} }
}

/// The mark of a group by itself, as its name has it.
pub(super) fn legend(group: usize) -> Markup {
    html! { svg.key viewBox="0 0 10 10" aria-hidden="true" { (mark(group as u8, 5.0, 5.0)) } }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn few_are_all_there_and_many_are_twenty() {
        assert_eq!(quantiles(&[1.0, 2.0, 9.0]), [1.0, 2.0, 9.0]);
        let many: Vec<f64> = (0..1_000).map(f64::from).collect();
        let shown = quantiles(&many);
        assert!(shown.len() == MARKS && shown[0] == 25.0 && shown[19] == 975.0, "{shown:?}");
    }
}
