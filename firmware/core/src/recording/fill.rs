//! A fill, heard: the supply pickup's level with hysteresis against its own quiet.

use tubtrace_protocol::{Fill, Tick};

/// Windows above the upper threshold before flow is believed, and below the lower one before it has ended.
const STARTS: u8 = 5;
const ENDS: u8 = 10;

/// A "fill" longer than this is a new floor (a pump beside the pipe, a neighbour's tap), not a fill: 10 minutes.
const LONGEST: u32 = 6_000;

/// Finds fills on the board, so that even a log whose windows are lost says when water came.
///
/// It starts above four times the quiet level and three counts. It ends below a third of its own level, so that a
/// pump which starts beside the pipe does not prolong it, or at twice the quiet level if that is more.
#[derive(Clone, Debug, Default)]
pub struct FillDetector {
    /// Quiet level in 1/256 of the level's unit.
    floor: Option<u32>,
    count: u8,
    flow: Option<Flow>,
}

#[derive(Clone, Debug)]
struct Flow {
    start: Tick,
    windows: u32,
    sum: u64,
    /// Windows at the end that are below the lower threshold, and their sum.
    quiet: (u32, u64),
}

impl Flow {
    /// Mean level while water flowed.
    fn mean(&self) -> u32 {
        let windows = (self.windows - self.quiet.0).max(1);
        // A mean of `u16`s is one.
        ((self.sum - self.quiet.1) / u64::from(windows)) as u32
    }
}

impl FillDetector {
    /// Takes the level of the window of `tick`; gives the fill that has ended with it.
    pub fn push(&mut self, tick: Tick, level: u16) -> Option<Fill> {
        let floor = self.track(level);
        let Some(flow) = &mut self.flow else {
            self.count = if u32::from(level) > 4 * floor + 48 { self.count + 1 } else { 0 };
            if self.count >= STARTS {
                let windows = u32::from(STARTS);
                let start = Tick(tick.0.saturating_sub(windows - 1));
                self.flow =
                    Some(Flow { start, windows, sum: u64::from(level) * u64::from(windows), quiet: (0, 0) });
                self.count = 0;
            }
            return None;
        };
        flow.windows += 1;
        flow.sum += u64::from(level);
        if u32::from(level) < (2 * floor + 12).max(flow.mean() / 3) {
            flow.quiet = (flow.quiet.0 + 1, flow.quiet.1 + u64::from(level));
        } else {
            flow.quiet = (0, 0);
        }
        let ended = flow.quiet.0 >= u32::from(ENDS);
        if flow.windows > LONGEST {
            self.floor = Some(u32::from(level) << 8);
        } else if !ended {
            return None;
        }
        self.flush()
    }

    /// Ends a fill that is still going on, as before the log is closed.
    pub fn flush(&mut self) -> Option<Fill> {
        let flow = self.flow.take()?;
        let level = u16::try_from(flow.mean()).unwrap_or(u16::MAX);
        Some(Fill { start: flow.start, windows: flow.windows - flow.quiet.0, level })
    }

    /// The quiet level: falls at once, rises by 1/1024 of the distance a window (about two minutes), waits
    /// while water flows.
    fn track(&mut self, level: u16) -> u32 {
        let level = u32::from(level) << 8;
        let floor = self.floor.get_or_insert(level);
        if level < *floor {
            *floor = level;
        } else if self.flow.is_none() {
            *floor += (level - *floor) >> 10;
        }
        *floor >> 8
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run(levels: impl IntoIterator<Item = u16>) -> std::vec::Vec<Fill> {
        let mut detector = FillDetector::default();
        let levels: std::vec::Vec<_> = levels.into_iter().collect();
        let mut fills: std::vec::Vec<_> =
            levels.iter().enumerate().filter_map(|(i, &l)| detector.push(Tick(i as u32), l)).collect();
        fills.extend(detector.flush());
        fills
    }

    fn levels(pieces: &[(u16, usize)]) -> impl Iterator<Item = u16> {
        pieces.iter().flat_map(|&(level, n)| (0..n).map(move |i| level + (i % 3) as u16))
    }

    #[test]
    fn a_fill_keeps_its_first_and_last_window() {
        let fills = run(levels(&[(10, 300), (400, 650), (10, 300)]));
        assert_eq!(fills, [Fill { start: Tick(300), windows: 650, level: 401 }]);
    }

    #[test]
    fn a_knock_and_a_dip_do_not_count() {
        let fills = run(levels(&[(10, 50), (900, 4), (10, 50), (400, 100), (10, 9), (400, 100), (10, 50)]));
        assert_eq!(fills.len(), 1);
        assert_eq!((fills[0].start, fills[0].windows), (Tick(104), 209));
    }

    #[test]
    fn a_pump_that_starts_as_the_water_stops_does_not_prolong_it() {
        let fills = run(levels(&[(10, 300), (400, 650), (60, 2_000)]));
        assert_eq!(fills, [Fill { start: Tick(300), windows: 650, level: 401 }]);
    }

    #[test]
    fn a_pump_beside_the_pipe_is_no_fill() {
        assert_eq!(run(levels(&[(10, 300), (40, 9_000), (10, 300)])), []);
    }

    #[test]
    fn noise_that_never_stops_becomes_the_floor() {
        let fills = run(levels(&[(10, 300), (400, 20_000)]));
        assert_eq!(fills.len(), 1);
        assert_eq!(fills[0].windows, LONGEST + 1);
    }
}
