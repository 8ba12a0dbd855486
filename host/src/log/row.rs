//! The rows of a CSV in columns: there are millions.

use tubtrace_units::Celsius;

use crate::text::harmless;

/// Times closer than this, in seconds, are one: files have them to a millisecond.
pub(super) const SAME: f64 = 1e-3;

/// A row that could be used.
#[derive(Clone, Copy)]
pub(super) struct Row {
    /// Seconds since whatever the first row's time counts from.
    pub(super) time: f64,
    /// Watts or amperes, whichever the file holds.
    pub(super) value: f64,
    /// How long it holds; not a number, where the file does not say.
    pub(super) lasts: f64,
    /// The line of the file in which it stands, counted from 1.
    pub(super) line: u32,
    /// Degrees C of the supply and the drain clip; not a number, where the file does not say.
    pub(super) clips: [f32; 2],
}

/// Characters that are shown of what was not understood.
const SHOWN: usize = 40;

/// A row that cannot be used: why, and what stands there.
pub(super) struct Refused {
    pub(super) what: &'static str,
    pub(super) value: String,
}

impl Refused {
    /// Where it stands, with what stands there.
    pub(super) fn place(&self, line: usize) -> String {
        if self.value.is_empty() {
            return format!("line {line}");
        }
        let shown: String = self.value.chars().take(SHOWN).collect();
        let dots = if shown.len() < self.value.len() { "..." } else { "" };
        format!("line {line}: \"{}{dots}\"", harmless(&shown))
    }
}

/// Rows, a column each; one that no row has anything in is empty.
#[derive(Default)]
pub(super) struct Rows {
    /// Seconds since whatever the first row's time counts from.
    pub(super) times: Vec<f64>,
    /// Watts or amperes, whichever the file holds.
    pub(super) values: Vec<f64>,
    lasts: Vec<f64>,
    clips: Vec<[f32; 2]>,
    lines: Lines,
}

impl Rows {
    /// With room for so many.
    pub(super) fn with_room(rows: usize) -> Self {
        Self { times: Vec::with_capacity(rows), values: Vec::with_capacity(rows), ..Self::default() }
    }

    pub(super) fn len(&self) -> usize {
        self.times.len()
    }

    pub(super) fn push(&mut self, row: &Row) {
        let before = self.len();
        if !row.lasts.is_nan() || !self.lasts.is_empty() {
            self.lasts.resize(before, f64::NAN);
            self.lasts.push(row.lasts);
        }
        if !row.clips.iter().all(|c| c.is_nan()) || !self.clips.is_empty() {
            self.clips.resize(before, [f32::NAN; 2]);
            self.clips.push(row.clips);
        }
        self.lines.push(before, row.line);
        self.times.push(row.time);
        self.values.push(row.value);
    }

    /// How long this row holds, where the file says.
    pub(super) fn lasts(&self, row: usize) -> Option<f64> {
        self.lasts.get(row).copied().filter(|lasts| !lasts.is_nan())
    }

    /// Supply and drain of this row.
    pub(super) fn clips(&self, row: usize) -> [Option<Celsius>; 2] {
        // Back to the decimals that the file has: a clip tells hundredths.
        let clips = self.clips.get(row).copied().unwrap_or([f32::NAN; 2]);
        clips.map(|c| (!c.is_nan()).then(|| Celsius((f64::from(c) * 1e4).round() / 1e4)))
    }

    /// Where this row stands.
    pub(super) fn line(&self, row: usize) -> u32 {
        self.lines.of(row)
    }

    /// Keeps these rows, in this order: each is named once at most, by its index.
    pub(super) fn keep(&mut self, rows: &[u32]) {
        let mut lines = Lines::default();
        rows.iter().enumerate().for_each(|(to, &from)| lines.push(to, self.lines.of(from as usize)));
        self.lines = lines;
        gather(&mut self.times, rows);
        gather(&mut self.values, rows);
        gather(&mut self.lasts, rows);
        gather(&mut self.clips, rows);
    }
}

/// One column after the other, so that no more than one is there twice.
fn gather<T: Copy>(column: &mut Vec<T>, rows: &[u32]) {
    if column.is_empty() {
        return;
    }
    if rows.is_sorted() {
        // Each goes to where it is or before: nothing is overwritten that is still to be moved.
        rows.iter().enumerate().for_each(|(to, &from)| column[to] = column[from as usize]);
        column.truncate(rows.len());
    } else {
        *column = rows.iter().map(|&from| column[from as usize]).collect();
    }
}

/// On which line each row stands: only rows that do not stand right behind the row before them are held, with their lines.
#[derive(Default)]
struct Lines(Vec<(u32, u32)>);

impl Lines {
    fn push(&mut self, row: usize, line: u32) {
        if self.0.is_empty() || self.of(row) != line {
            // There are fewer than eight million rows.
            self.0.push((row as u32, line));
        }
    }

    fn of(&self, row: usize) -> u32 {
        let row = row as u32;
        let before = match self.0.last() {
            Some((first, _)) if *first > row => self.0.partition_point(|(first, _)| *first <= row),
            _ => self.0.len(),
        };
        before.checked_sub(1).map_or(0, |at| self.0[at].1 + (row - self.0[at].0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rows keep their lines and all that they say, whichever are kept and in whatever order.
    #[test]
    fn kept_rows_are_what_they_were() {
        let row = |n: u32| Row {
            time: f64::from(n),
            value: f64::from(10 * n),
            lasts: if n == 3 { 7.0 } else { f64::NAN },
            line: n + n / 4,
            clips: [if n > 4 { 20.0 } else { f32::NAN }, f32::NAN],
        };
        for kept in [&[0, 1, 2, 3, 4, 5, 6, 7][..], &[1, 3, 6], &[5, 6, 7, 0, 3], &[]] {
            let mut rows = Rows::default();
            (0..8).for_each(|n| rows.push(&row(n)));
            rows.keep(kept);
            assert_eq!(rows.len(), kept.len());
            for (at, &n) in kept.iter().enumerate() {
                assert_eq!((rows.times[at], rows.values[at]), (f64::from(n), f64::from(10 * n)));
                assert_eq!(rows.line(at), n + n / 4);
                assert_eq!(rows.lasts(at), (n == 3).then_some(7.0));
                assert_eq!(rows.clips(at), [(n > 4).then_some(Celsius(20.0)), None]);
            }
        }
    }
}
