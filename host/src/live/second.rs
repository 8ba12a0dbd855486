//! One second of windows as one line, for where no screen can be drawn.

use serde_json::json;
use tubtrace_protocol::Live;

/// The heading above the lines: what each column is.
pub const HEADING: &str = "    amps   peak  3rd   supply drain   supply C  drain C";

/// Means over the windows of one second, and the greatest peak among them.
pub struct Second {
    amps: f64,
    peak: f64,
    third: f64,
    supply: f64,
    drain: f64,
    clips: [Option<f64>; 2],
    mark: bool,
}

impl Second {
    /// Summarises the windows of one second.
    #[must_use]
    pub fn of(windows: &[Live]) -> Self {
        let mean = |value: fn(&Live) -> u16| {
            windows.iter().map(|w| f64::from(value(w))).sum::<f64>() / windows.len().max(1) as f64
        };
        Self {
            amps: mean(|w| w.window.rms) / 1_000.0,
            peak: windows.iter().map(|w| f64::from(w.window.peak)).fold(0.0, f64::max) / 1_000.0,
            third: mean(|w| w.window.third) / 1_000.0,
            supply: mean(|w| w.window.supply) / 16.0,
            drain: mean(|w| w.window.drain) / 16.0,
            clips: windows
                .last()
                .map_or([None; 2], |w| w.clips.map(|c| c.map(|centi| f64::from(centi) / 100.0))),
            mark: windows.iter().any(|w| w.mark),
        }
    }

    /// The line for people, in the columns of [`HEADING`].
    #[must_use]
    pub fn text(&self) -> String {
        let clip = |c: Option<f64>| c.map_or_else(|| "      -".to_owned(), |c| format!("{c:7.1}"));
        format!(
            "{:8.3} {:6.2} {:6.3} {:7.1} {:5.1}   {}  {}{}",
            self.amps,
            self.peak,
            self.third,
            self.supply,
            self.drain,
            clip(self.clips[0]),
            clip(self.clips[1]),
            if self.mark { "   mark" } else { "" }
        )
    }

    /// The line for programs: one JSON object.
    #[must_use]
    pub fn json(&self) -> String {
        json!({
            "amps": self.amps, "peak_amps": self.peak, "third_amps": self.third,
            "supply_noise": self.supply, "drain_noise": self.drain,
            "supply_c": self.clips[0], "drain_c": self.clips[1], "mark": self.mark,
        })
        .to_string()
    }
}
