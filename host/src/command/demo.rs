//! `tubtrace demo`.

use std::path::PathBuf;
use std::time::{Duration, Instant};

use clap::Args;
use indicatif::{ProgressBar, ProgressStyle};
use tubtrace_simulator::board::{Recording, record};
use tubtrace_simulator::machine::Fault;
use tubtrace_simulator::scenario::Night;
use tubtrace_units::Seconds;

use super::check::judge_all;
use super::shown::{Shown, Strip};
use super::{Done, Failure, Worked, print, say, write};
use crate::findings::Causes;
use crate::log::{Assumptions, parse};
use crate::report::{Subject, Verdict, timeline, verdict};

/// The chart of the invented machine.
const CHART: &str = include_str!("../../charts/invented-120v-heavy.chart.toml");

/// 2026-03-06 20:00 UTC, an invented evening.
const EVENING_UNIX_MS: i64 = 1_772_827_200_000;

/// A simulated overnight call, from the clamp to the findings; nothing to plug in.
///
/// An invented dishwasher "sometimes" fails. The logger's own firmware records a night of it, six runs, sample by sample;
/// the log is then worked as any other. Ends with what the simulator had hidden.
#[derive(Args)]
#[command(
    after_help = "Example:\n  tubtrace demo\n  tubtrace demo --save .      keeps night.tub and its chart, to try the other commands on"
)]
pub(super) struct Demo {
    /// Another night: any number.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Keep the log and the chart in this folder.
    #[arg(long, value_name = "FOLDER")]
    save: Option<PathBuf>,
    #[command(flatten)]
    shown: Shown,
    #[command(flatten)]
    strip: Strip,
}

impl Demo {
    pub(super) fn run(self) -> Result<Done, Failure> {
        say("tubtrace demo: an invented dishwasher on 120 V that \"sometimes\" fails, one night, six runs.");
        let (recording, took) = self.record()?;
        let log = parse(&recording.log, Assumptions::default()).map_err(Failure::Other)?;
        let recorded = log.trace.duration();
        say(&format!(
            "Recorded {:.1} h in {:.1} s ({:.0} times real time) through the logger's firmware: {} kB of log.\n",
            recorded.0 / 3_600.0,
            took.as_secs_f64(),
            recorded.0 / took.as_secs_f64(),
            recording.log.len() / 1_000,
        ));

        let worked = Worked::of(log);
        let chart = crate::chart::parse(CHART, "the demo's chart")?;
        let judged = judge_all(&worked, &chart, Causes::built_in());
        let all = Subject { strip: self.strip.columns(), ..worked.subject(self.shown.units()) };
        let first = Subject { cycles: &worked.cycles[..worked.cycles.len().min(1)], ..all };
        print(&timeline(first))?;
        print("\n")?;
        print(&verdict(Verdict { subject: all, chart: &chart.name, judged: &judged }))?;
        print(&hidden(&recording))?;
        self.keep(&recording)?;
        Ok(Done::Well)
    }

    fn record(&self) -> Result<(Recording, Duration), Failure> {
        let night = Night::demo(self.seed);
        let bar = ProgressBar::new_spinner();
        if let Ok(style) = ProgressStyle::with_template("{spinner} recording, {msg} h of the night") {
            bar.set_style(style);
        }
        let begin = Instant::now();
        let mut told = Seconds(0.0);
        let recording = record(&night, EVENING_UNIX_MS, |passed| {
            if passed - told > Seconds(300.0) {
                told = passed;
                bar.set_message(format!("{:.1}", passed.0 / 3_600.0));
                bar.tick();
            }
        });
        bar.finish_and_clear();
        let recording =
            recording.map_err(|e| Failure::Other(format!("the simulated flash failed: {e:?}")))?;
        Ok((recording, begin.elapsed()))
    }

    fn keep(&self, recording: &Recording) -> Result<(), Failure> {
        let Some(folder) = &self.save else { return Ok(()) };
        std::fs::create_dir_all(folder)
            .map_err(|error| Failure::Write { name: folder.display().to_string(), error })?;
        for (name, bytes) in [("night.tub", &recording.log[..]), ("heavy.chart.toml", CHART.as_bytes())] {
            let path = folder.join(name);
            write(&path, bytes)?;
            say(&format!("kept {}", path.display()));
        }
        Ok(())
    }
}

/// What the simulator had hidden, for comparison: nothing above this line has seen it.
fn hidden(recording: &Recording) -> String {
    let mut text = String::from("\nWhat the simulator had hidden:\n");
    for (i, cycle) in recording.truth.cycles.iter().enumerate() {
        let adapted = &cycle.adaptation;
        let what = match cycle.fault() {
            Some(fault) => describe(fault),
            None => {
                let purges = adapted.purges + u8::from(adapted.prewash_purge);
                let purges = if purges == 1 { "1 purge".into() } else { format!("{purges} purges") };
                let rinse = if adapted.extra_rinse { ", an added rinse" } else { "" };
                let hold = if adapted.warmer.0 > 0.0 { ", a longer hold" } else { "" };
                format!("healthy, with {purges}{rinse}{hold}")
            }
        };
        text.push_str(&format!("  {}  {what}\n", i + 1));
    }
    text
}

fn describe(fault: Fault) -> String {
    match fault {
        Fault::NoHeat => "heating element open".into(),
        Fault::SlowFill => "inlet gives a third of its flow".into(),
        Fault::NoDrainFlow => "drain blocked".into(),
        // The demo has no other.
        other => format!("{other:?}"),
    }
}
