//! `tubtrace watch`.

use clap::Args;
use serde_json::json;
use tubtrace_protocol::{Live, Request};

use super::logger::{Which, describe};
use super::{Done, Failure, print, say};

/// Windows in a line.
const LINE: u32 = 10;

/// Shows what the logger measures, a line a second, until it is stopped with Ctrl-C.
#[derive(Args)]
#[command(
    after_help = "Example:\n  tubtrace watch\n  tubtrace watch --seconds 60 --json\n\nWith the clamp on, watch from a computer that runs on its battery: one on the mains is a path to the mains."
)]
pub(super) struct Watch {
    /// Stop after so many seconds.
    #[arg(long, value_name = "N")]
    seconds: Option<u32>,
    /// A JSON object for every line.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    which: Which,
}

impl Watch {
    pub(super) fn run(self) -> Result<Done, Failure> {
        let mut link = self.which.connect()?;
        let status = link.status()?;
        let identity = link.identity().clone();
        say(&describe(identity.logger, &identity.firmware, &status));
        link.order(&Request::Live { on: true })?;
        if !self.json {
            say("    amps   peak  3rd   supply drain   supply C  drain C");
        }
        let mut left = self.seconds;
        while left != Some(0) {
            let mut windows = Vec::new();
            for _ in 0..LINE {
                windows.push(link.live()?);
            }
            let line = Second::of(&windows);
            print(&(if self.json { line.json() } else { line.text() } + "\n"))?;
            left = left.map(|n| n - 1);
        }
        link.order(&Request::Live { on: false })?;
        Ok(Done::Well)
    }
}

/// A second of windows: means, and the greatest peak.
struct Second {
    amps: f64,
    peak: f64,
    third: f64,
    supply: f64,
    drain: f64,
    clips: [Option<f64>; 2],
    mark: bool,
}

impl Second {
    fn of(windows: &[Live]) -> Self {
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

    fn text(&self) -> String {
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

    fn json(&self) -> String {
        json!({
            "amps": self.amps, "peak_amps": self.peak, "third_amps": self.third,
            "supply_noise": self.supply, "drain_noise": self.drain,
            "supply_c": self.clips[0], "drain_c": self.clips[1], "mark": self.mark,
        })
        .to_string()
    }
}
