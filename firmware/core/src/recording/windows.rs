//! The change-driven recorder: a run goes on while all that it covers can share one value.

use tubtrace_protocol::{CHANNELS, Tick, Window, Windows};

/// How far a recorded value may be from the true one: `max(absolute, value >> shift)`.
#[derive(Clone, Copy, Debug)]
pub struct Bound {
    /// In the unit of the number.
    pub absolute: u16,
    /// Relative part: a `shift` of 6 is 1/64.
    pub shift: u8,
}

impl Bound {
    /// The bound for a true value.
    #[must_use]
    pub const fn of(self, value: u16) -> u16 {
        let relative = value >> self.shift;
        if relative > self.absolute { relative } else { self.absolute }
    }
}

/// The bounds of the numbers of a [`Window`], in its order. Current: 8 mA (2 W at 230 V) or 1.6 %. Peak and harmonics
/// vary more and matter less. Flow noise is noise: its own scatter over 480 samples is several percent.
pub const BOUNDS: [Bound; CHANNELS] = [
    Bound { absolute: 8, shift: 6 },
    Bound { absolute: 40, shift: 4 },
    Bound { absolute: 8, shift: 6 },
    Bound { absolute: 24, shift: 4 },
    Bound { absolute: 24, shift: 4 },
    Bound { absolute: 4, shift: 2 },
    Bound { absolute: 4, shift: 2 },
];

/// A record is handed over after this many windows, full or not: one minute is the most that a power cut takes.
const LONGEST: u32 = 600;

/// While nothing runs, it may be four: there is less to lose, and a logger idles for most of its weeks.
const LONGEST_QUIET: u32 = 2_400;

/// Less current than this in milliamps is a control that waits, and no load.
const QUIET: u16 = 60;

/// Turns windows into [`Windows`] records. Every window is in exactly one run, an edge begins a run at its own
/// window, and each recorded number is within its [`Bound`] of the true one.
#[derive(Clone, Debug, Default)]
pub struct WindowRecorder {
    record: Windows,
    run: Option<Envelope>,
}

/// The run being formed: the least and the greatest of each number.
#[derive(Clone, Debug)]
struct Envelope {
    windows: u16,
    low: [u16; CHANNELS],
    high: [u16; CHANNELS],
}

impl Envelope {
    const fn of(value: [u16; CHANNELS]) -> Self {
        Self { windows: 1, low: value, high: value }
    }

    /// The envelope with `value` in it, if one recorded value can serve all.
    fn with(&self, value: [u16; CHANNELS]) -> Option<Self> {
        let low: [u16; CHANNELS] = core::array::from_fn(|i| self.low[i].min(value[i]));
        let high: [u16; CHANNELS] = core::array::from_fn(|i| self.high[i].max(value[i]));
        let shared = (0..CHANNELS).all(|i| {
            // The middle is at most half the width away from any of them; the least has the tightest bound.
            (high[i] - low[i]).div_ceil(2) <= BOUNDS[i].of(low[i])
        });
        let envelope = Self { windows: self.windows + 1, low, high };
        (shared && u32::from(self.windows) < envelope.longest()).then_some(envelope)
    }

    /// For how long a record may go on with this run.
    const fn longest(&self) -> u32 {
        // RMS is the first number.
        if self.high[0] < QUIET { LONGEST_QUIET } else { LONGEST }
    }

    fn middle(&self) -> Window {
        Window::from_array(core::array::from_fn(|i| self.low[i] + (self.high[i] - self.low[i]) / 2))
    }
}

impl WindowRecorder {
    /// Takes the window of `tick`; ticks follow each other without a gap unless [`WindowRecorder::flush`] came
    /// between. Gives a record when one is complete.
    pub fn push(&mut self, tick: Tick, window: Window) -> Option<Windows> {
        let value = window.to_array();
        let Some(run) = &mut self.run else {
            self.record = Windows::new(tick);
            self.run = Some(Envelope::of(value));
            return None;
        };
        if let Some(longer) = run.with(value)
            && tick.0.wrapping_sub(self.record.start.0) < longer.longest()
        {
            *run = longer;
            return None;
        }
        let done = core::mem::replace(run, Envelope::of(value));
        // There is room: a full record was handed over when it filled.
        let _ = self.record.push(done.windows, done.middle());
        let complete = self.record.is_full() || tick.0.wrapping_sub(self.record.start.0) >= LONGEST;
        complete.then(|| core::mem::replace(&mut self.record, Windows::new(tick)))
    }

    /// Hands over what is held, as before power goes or windows are lost.
    pub fn flush(&mut self) -> Option<Windows> {
        let run = self.run.take()?;
        let _ = self.record.push(run.windows, run.middle());
        Some(core::mem::take(&mut self.record))
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use std::vec::Vec;

    use super::*;

    fn record(windows: &[Window]) -> Vec<Windows> {
        let mut recorder = WindowRecorder::default();
        let mut records: Vec<_> =
            windows.iter().enumerate().filter_map(|(i, &w)| recorder.push(Tick(i as u32), w)).collect();
        records.extend(recorder.flush());
        records
    }

    fn expand(records: &[Windows]) -> Vec<Window> {
        let mut windows = Vec::new();
        for record in records {
            assert_eq!(record.start.0 as usize, windows.len(), "no gap, no overlap");
            for (n, w) in record.runs() {
                windows.extend(core::iter::repeat_n(w, n.into()));
            }
        }
        windows
    }

    /// Values that walk a little and jump now and then, at every scale up to the end of the range.
    fn series() -> impl Strategy<Value = Vec<Window>> {
        let piece = (any::<[u16; CHANNELS]>(), 0u32..16, 1usize..900, any::<u64>());
        prop::collection::vec(piece, 1..12).prop_map(|pieces| {
            let mut windows = Vec::new();
            for (level, shift, n, mut seed) in pieces {
                for _ in 0..n {
                    seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
                    let wobble = (seed >> 48) as u16 >> shift;
                    windows.push(Window::from_array(level.map(|v| v.saturating_add(wobble))));
                }
            }
            windows
        })
    }

    proptest! {
        #[test]
        #[cfg_attr(miri, ignore = "hours of windows")]
        fn every_window_is_recorded_within_its_bound(windows in series()) {
            let back = expand(&record(&windows));
            prop_assert_eq!(back.len(), windows.len());
            for (true_value, recorded) in windows.iter().zip(&back) {
                let pairs = true_value.to_array().into_iter().zip(recorded.to_array());
                for ((t, r), bound) in pairs.zip(BOUNDS) {
                    prop_assert!(t.abs_diff(r) <= bound.of(t), "{} recorded as {}", t, r);
                }
            }
        }
    }

    #[test]
    fn an_edge_keeps_its_window() {
        let heater = Window { rms: 9_000, fundamental: 9_000, ..Window::default() };
        let mut windows = std::vec![Window::default(); 137];
        windows.extend([heater; 55]);
        let back = expand(&record(&windows));
        assert_eq!(back, windows);
    }

    #[test]
    #[cfg_attr(miri, ignore = "hours of windows")]
    fn idle_costs_a_record_in_four_minutes_and_what_runs_one_a_minute() {
        let hour = |rms| std::vec![Window { rms, ..Window::default() }; 36_000];
        assert_eq!(record(&hour(9)).len(), 15);
        assert_eq!(record(&hour(900)).len(), 60);
    }
}
