//! Readings in columns: what a reading of a meter has not, costs nothing. A month of seconds is 2.6 million of them.

use std::ops::Range;
use std::sync::Arc;

use tubtrace_units::{Seconds, Watts};

use super::readings::{Detail, Step};

/// Readings in order of time. Copies and parts of them share what they hold.
#[derive(Clone, Debug, Default)]
pub struct Steps {
    columns: Arc<Columns>,
    /// Which of them are part of these.
    range: Range<usize>,
}

#[derive(Clone, Debug, Default)]
struct Columns {
    starts: Vec<f64>,
    powers: Vec<f64>,
    /// When those end that do not end where the next begins, by their index. The last is one of them.
    ends: Vec<(u32, f64)>,
    /// One for each, or none at all where no reading has any.
    details: Vec<Option<Detail>>,
}

impl Steps {
    /// Readings that have no detail, in order of time: when each starts, its power in watts, and by their index when those end that do not
    /// end where the next one starts, the last among them.
    pub(crate) fn of_columns(starts: Vec<f64>, powers: Vec<f64>, ends: Vec<(u32, f64)>) -> Self {
        let range = 0..starts.len();
        Self { columns: Arc::new(Columns { starts, powers, ends, details: Vec::new() }), range }
    }

    /// How many there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.range.len()
    }

    /// Whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.range.is_empty()
    }

    /// The one with this index.
    #[must_use]
    pub fn get(&self, index: usize) -> Option<Step> {
        self.part(index..index.saturating_add(1)).next()
    }

    /// The first of them.
    #[must_use]
    pub fn first(&self) -> Option<Step> {
        self.get(0)
    }

    /// The last of them.
    #[must_use]
    pub fn last(&self) -> Option<Step> {
        self.get(self.len().checked_sub(1)?)
    }

    /// One after the other.
    #[must_use]
    pub fn iter(&self) -> Iter<'_> {
        self.part(0..self.len())
    }

    /// Each with the one behind it.
    pub fn pairs(&self) -> impl Iterator<Item = [Step; 2]> + '_ {
        self.iter().zip(self.iter().skip(1)).map(Into::into)
    }

    /// Where one ends before the next starts: from the end to that start.
    pub fn apart(&self) -> impl Iterator<Item = (Seconds, Seconds)> + '_ {
        let Columns { starts, ends, .. } = &*self.columns;
        let own = &ends[ends.partition_point(|(i, _)| (*i as usize) < self.range.start)..];
        let within =
            own.iter().map(|&(i, end)| (i as usize + 1, end)).take_while(|(next, _)| *next < self.range.end);
        within.map(|(next, end)| (Seconds(end), Seconds(starts[next])))
    }

    /// Index of the first that is not `before`; all in front of it must be, and none behind it.
    #[must_use]
    pub fn partition_point(&self, before: impl Fn(&Step) -> bool) -> usize {
        let (mut from, mut to) = (0, self.len());
        while from < to {
            let middle = from.midpoint(to);
            if self.get(middle).is_some_and(|s| before(&s)) { from = middle + 1 } else { to = middle }
        }
        from
    }

    /// Those that touch `start..end`, cut to it.
    pub fn between(&self, start: Seconds, end: Seconds) -> impl Iterator<Item = Step> + '_ {
        let first = self.partition_point(|s| s.end <= start);
        let within = self.part(first..self.len()).take_while(move |s| s.start < end);
        within.map(move |s| Step { start: s.start.max(start), end: s.end.min(end), ..s })
    }

    /// Those with these indices, shared and not copied.
    #[must_use]
    pub fn slice(&self, indices: Range<usize>) -> Self {
        Self { columns: Arc::clone(&self.columns), range: self.within(indices) }
    }

    /// Divides the power of those that touch `start..end`; copies and parts stay as they are.
    pub(crate) fn scale_down(&mut self, start: Seconds, end: Seconds, by: f64) {
        let (first, last) =
            (self.partition_point(|s| s.end <= start), self.partition_point(|s| s.start < end));
        let range = self.within(first..last.max(first));
        Arc::make_mut(&mut self.columns).powers[range].iter_mut().for_each(|p| *p /= by);
    }

    /// The power of each, in watts, to be changed; copies and parts stay as they are.
    pub(crate) fn powers_mut(&mut self) -> &mut [f64] {
        let range = self.range.clone();
        &mut Arc::make_mut(&mut self.columns).powers[range]
    }

    fn within(&self, indices: Range<usize>) -> Range<usize> {
        let at = |i: usize| self.range.start.saturating_add(i).min(self.range.end);
        at(indices.start)..at(indices.end)
    }

    fn part(&self, indices: Range<usize>) -> Iter<'_> {
        let Range { start, end } = self.within(indices);
        let ends = &self.columns.ends;
        let ends = &ends[ends.partition_point(|(i, _)| (*i as usize) < start)..];
        Iter { columns: &self.columns, at: start, to: end, ends }
    }
}

/// Readings, one after the other.
#[derive(Clone, Debug)]
pub struct Iter<'a> {
    columns: &'a Columns,
    at: usize,
    to: usize,
    ends: &'a [(u32, f64)],
}

impl Iterator for Iter<'_> {
    type Item = Step;

    fn next(&mut self) -> Option<Step> {
        let (at, columns) = (self.at, self.columns);
        if at >= self.to {
            return None;
        }
        self.at += 1;
        let end = match self.ends {
            [(i, end), rest @ ..] if *i as usize == at => {
                self.ends = rest;
                *end
            }
            _ => columns.starts[at + 1],
        };
        Some(Step {
            start: Seconds(columns.starts[at]),
            end: Seconds(end),
            power: Watts(columns.powers[at]),
            detail: columns.details.get(at).copied().flatten(),
        })
    }

    fn size_hint(&self) -> (usize, Option<usize>) {
        (self.to - self.at, Some(self.to - self.at))
    }
}

impl ExactSizeIterator for Iter<'_> {}

impl<'a> IntoIterator for &'a Steps {
    type Item = Step;
    type IntoIter = Iter<'a>;

    fn into_iter(self) -> Iter<'a> {
        self.iter()
    }
}

impl FromIterator<Step> for Steps {
    fn from_iter<I: IntoIterator<Item = Step>>(steps: I) -> Self {
        let mut all = Self::default();
        all.extend(steps);
        all
    }
}

impl Extend<Step> for Steps {
    fn extend<I: IntoIterator<Item = Step>>(&mut self, steps: I) {
        if self.range != (0..self.columns.starts.len()) {
            *self = self.iter().collect();
        }
        let columns = Arc::make_mut(&mut self.columns);
        let mut last = columns.ends.pop().map(|(_, end)| end);
        for step in steps {
            columns.push(&step, last);
            last = Some(step.end.0);
        }
        columns.ends.extend(columns.last().zip(last));
        self.range = 0..columns.starts.len();
    }
}

impl Columns {
    fn last(&self) -> Option<u32> {
        self.starts.len().checked_sub(1).map(|last| last as u32)
    }

    /// Takes a reading; the one before it ended at `before`.
    fn push(&mut self, step: &Step, before: Option<f64>) {
        self.ends.extend(self.last().zip(before.filter(|end| *end != step.start.0)));
        if step.detail.is_some() && self.details.is_empty() {
            self.details.resize(self.starts.len(), None);
        }
        if step.detail.is_some() || !self.details.is_empty() {
            self.details.push(step.detail);
        }
        self.starts.push(step.start.0);
        self.powers.push(step.power.0);
    }
}

impl PartialEq for Steps {
    fn eq(&self, other: &Self) -> bool {
        self.len() == other.len() && self.iter().eq(other)
    }
}

#[cfg(test)]
mod tests {
    use tubtrace_units::Amps;

    use super::super::readings::Noise;
    use super::*;

    fn step(start: f64, end: f64, power: f64) -> Step {
        Step { start: Seconds(start), end: Seconds(end), power: Watts(power), detail: None }
    }

    /// What goes in comes out: gaps, steps that touch, and a step that alone has detail.
    #[test]
    fn columns_hold_what_steps_say() {
        let detail =
            Detail { fundamental: Amps(1.0), third: Amps(0.1), supply: Noise(3.0), drain: Noise(4.0) };
        let mut all = [step(0.0, 1.0, 5.0), step(1.0, 2.0, 6.0), step(4.0, 5.5, 7.0), step(5.5, 9.0, 8.0)];
        all[2].detail = Some(detail);
        for some in [&all[..], &all[..3], &all[..1], &[]] {
            let steps: Steps = some.iter().copied().collect();
            assert_eq!(steps.iter().collect::<Vec<_>>(), some);
            assert_eq!(steps.last().as_ref(), some.last());
            assert_eq!(steps.pairs().count(), some.len().saturating_sub(1));
        }
        let steps: Steps = all.iter().copied().collect();
        for at in 0..=4 {
            let mut both = steps.slice(0..at);
            both.extend(all[at..].iter().copied());
            assert_eq!(both, steps);
        }
        for from in 0..=4 {
            for to in from..=4 {
                let part = steps.slice(from..to);
                assert_eq!(part.iter().collect::<Vec<_>>(), &all[from..to]);
                assert_eq!(
                    part.slice(1..9).iter().collect::<Vec<_>>(),
                    all[from..to].get(1..).unwrap_or(&[])
                );
                assert_eq!(part.first().as_ref(), all[from..to].first());
                let apart = all[from..to].windows(2).filter(|p| p[1].start != p[0].end);
                let apart: Vec<_> = apart.map(|p| (p[0].end, p[1].start)).collect();
                assert_eq!(part.apart().collect::<Vec<_>>(), apart);
            }
        }
        let cut: Vec<Step> = steps.between(Seconds(1.5), Seconds(5.0)).collect();
        assert_eq!(cut, [step(1.5, 2.0, 6.0), Step { end: Seconds(5.0), ..all[2] }]);
    }

    #[test]
    fn a_part_stays_as_it_is_when_the_whole_is_scaled() {
        let mut steps: Steps = [step(0.0, 1.0, 4.0), step(1.0, 2.0, 6.0)].into_iter().collect();
        let part = steps.slice(1..2);
        steps.scale_down(Seconds(1.0), Seconds(5.0), 2.0);
        let power = |steps: &Steps| steps.iter().map(|s| s.power.0).collect::<Vec<_>>();
        assert_eq!((power(&steps), power(&part)), (vec![4.0, 3.0], vec![6.0]));
    }
}
