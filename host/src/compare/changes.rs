//! Two groups of cycles, interval by interval.

use tubtrace_units::Seconds;

use crate::chart::Limits;
use crate::findings::Judged;

/// How the values of one group lie.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread<T> {
    /// The middle one, or the mean of the two in the middle.
    pub median: T,
    /// The least value of the group.
    pub least: T,
    /// The greatest value of the group.
    pub most: T,
    /// How many there are.
    pub count: usize,
}

/// An interval of the chart in two groups.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// Name of the interval in the chart.
    pub name: String,
    /// How long the chart has it last; `None` is open-ended.
    pub lasts: Option<Limits<Seconds>>,
    /// How long it lasted in the first group, where it came.
    pub before: Option<Spread<Seconds>>,
    /// How long it lasted in the second group, where it came.
    pub after: Option<Spread<Seconds>>,
}

impl Change {
    /// Whether no value of one group is among those of the other; `None` where one has no value.
    #[must_use]
    pub fn apart(&self) -> Option<bool> {
        let (a, b) = self.before.zip(self.after)?;
        Some(a.most < b.least || b.most < a.least)
    }
}

/// The intervals that came in either group, in the order in which they came.
#[must_use]
pub fn changes(before: &[Judged], after: &[Judged]) -> Vec<Change> {
    let mut changes: Vec<Change> = Vec::new();
    for placed in before.iter().chain(after).flat_map(|j| &j.placed) {
        let name = &placed.expected.name;
        if !changes.iter().any(|c| c.name == *name) {
            let of = |group: &[Judged]| spread(times(group, name));
            let lasts = placed.expected.lasts;
            changes.push(Change { name: name.clone(), lasts, before: of(before), after: of(after) });
        }
    }
    changes
}

fn times(group: &[Judged], name: &str) -> Vec<Seconds> {
    let placed = group.iter().flat_map(|j| &j.placed);
    placed.filter(|p| p.expected.name == name).map(|p| p.lasted).collect()
}

fn spread(mut values: Vec<Seconds>) -> Option<Spread<Seconds>> {
    values.sort_by(Seconds::total_cmp);
    let (least, most) = values.first().copied().zip(values.last().copied())?;
    let count = values.len();
    let median = (values[(count - 1) / 2] + values[count / 2]) / 2.0;
    Some(Spread { median, least, most, count })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(values: &[f64]) -> Option<Spread<Seconds>> {
        spread(values.iter().map(|v| Seconds(*v)).collect())
    }

    #[test]
    fn medians_and_whether_groups_are_apart() {
        assert_eq!(of(&[4.0, 1.0, 3.0]).unwrap().median, Seconds(3.0));
        assert_eq!(of(&[4.0, 1.0]).unwrap().median, Seconds(2.5));
        let change = |a: &[f64], b: &[f64]| {
            Change { name: String::new(), lasts: None, before: of(a), after: of(b) }.apart()
        };
        assert_eq!(change(&[278.0, 281.0], &[91.0, 93.0]), Some(true));
        assert_eq!(change(&[90.0, 95.0], &[91.0, 93.0]), Some(false));
        assert_eq!(change(&[90.0], &[]), None);
    }
}
