//! `tubtrace demo`.

use std::fs::File;
use std::io::BufWriter;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use clap::Args;
use tubtrace_simulator::board::{Recording, each_second, record};
use tubtrace_simulator::machine::Fault;
use tubtrace_simulator::scenario::Night;
use tubtrace_units::Seconds;

use super::check::judge_all;
use super::progress::{bar, spinner};
use super::shown::{Shown, Strip};
use super::{Done, Failure, Worked, print, say, write};
use crate::export::SampleFile;
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
    after_help = "Example:\n  tubtrace demo\n  tubtrace demo --save .      keeps night.tub and its chart, to try the other commands on\n  tubtrace demo --samples kitchen.wav --minutes 60"
)]
pub(super) struct Demo {
    /// Another night: any number.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Keep the log and the chart in this folder.
    #[arg(long, value_name = "FOLDER")]
    save: Option<PathBuf>,
    /// Instead of recording it, write what the board would be given: all four channels at 4,800 samples a second, half a megabyte
    /// for every quarter of a minute.
    #[arg(long, value_name = "FILE.wav", conflicts_with = "save")]
    samples: Option<PathBuf>,
    /// How many minutes of samples; by default the first twenty.
    #[arg(long, value_name = "N", default_value_t = 20, requires = "samples", value_parser = clap::value_parser!(u32).range(1..=1_500))]
    minutes: u32,
    #[command(flatten)]
    shown: Shown,
    #[command(flatten)]
    strip: Strip,
}

impl Demo {
    pub(super) fn run(self) -> Result<Done, Failure> {
        if let Some(path) = &self.samples {
            return self.write_samples(path);
        }
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

    fn write_samples(&self, path: &Path) -> Result<Done, Failure> {
        let failed = |error: hound::Error| Failure::Write {
            name: path.display().to_string(),
            error: std::io::Error::other(error),
        };
        let file = File::create(path).map_err(|error| failed(error.into()))?;
        let mut wav = SampleFile::new(BufWriter::new(file)).map_err(failed)?;
        let seconds = u64::from(self.minutes) * 60;
        let bar = bar(seconds, "{bar:30} {percent} % of the samples, {eta} left");
        let mut result = Ok(());
        each_second(&Night::demo(self.seed), |second| {
            result = second.blocks.iter().try_for_each(|block| wav.window(block));
            bar.inc(1);
            result.is_ok() && bar.position() < seconds
        });
        let written = bar.position();
        bar.finish_and_clear();
        result.and_then(|()| wav.finish()).map_err(failed)?;
        say(&format!("{}: {written} s of current, supply pickup, drain pickup and battery", path.display()));
        Ok(Done::Well)
    }

    fn record(&self) -> Result<(Recording, Duration), Failure> {
        let night = Night::demo(self.seed);
        let bar = spinner("{spinner} recording, {msg} h of the night");
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
