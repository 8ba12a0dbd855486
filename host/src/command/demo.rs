//! `tubtrace demo`.

use std::io::{BufWriter, Write};
use std::path::PathBuf;
use std::sync::atomic::Ordering;
use std::time::{Duration, Instant};

use clap::Args;
use tubtrace_simulator::board::{Recording, each_second, record};
use tubtrace_simulator::scenario::Night;
use tubtrace_units::Seconds;

use super::asked::asked_to_end;
use super::judging::judge_all;
use super::outcome::{Done, Failure};
use super::progress::{bar, spinner};
use super::shown::{Shown, Strip};
use super::streams::{print, say};
use super::worked::Worked;
use super::writing::Writing;
use crate::diagnosis::diagnose;
use crate::export::SampleFile;
use crate::findings::Causes;
use crate::log::{Assumptions, parse};
use crate::output::{OutputError, Place};
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
    after_help = "Example:\n  tubtrace demo\n  tubtrace demo --save demo/      keeps night.tub and its chart, to try the other commands on\n  tubtrace demo --samples kitchen.wav --minutes 60"
)]
pub(super) struct Demo {
    /// Another night, with other faults: any number.
    #[arg(long, default_value_t = 1, value_parser = seed)]
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
    writing: Writing,
    #[command(flatten)]
    shown: Shown,
    #[command(flatten)]
    strip: Strip,
}

impl Demo {
    pub(super) fn run(self) -> Result<Done, Failure> {
        if let Some(path) = &self.samples {
            return self.write_samples(&self.writing.place(path, &[])?);
        }
        let kept = self.places()?;
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
        let machine = crate::chart::parse(CHART, "the demo's chart")?;
        let judged = judge_all(&worked, &machine, Causes::built_in());
        let all = Subject { strip: self.strip.columns(), ..worked.subject(self.shown) };
        let first = Subject { cycles: &worked.cycles[..worked.cycles.len().min(1)], ..all };
        print(&timeline(first))?;
        print("\n")?;
        let causes = Causes::built_in();
        let diagnoses = diagnose(&worked.cycles, &judged, causes);
        let told = Verdict {
            subject: all,
            chart: &machine.name,
            judged: &judged,
            options: &[],
            diagnoses: &diagnoses,
            causes,
        };
        print(&verdict(told))?;
        print(&hidden(&recording))?;
        for (place, bytes) in kept.iter().zip([&recording.log[..], CHART.as_bytes()]) {
            place.write_all(bytes)?;
            say(&format!("kept {}", place.name()));
        }
        Ok(Done::Well)
    }

    /// Where log and chart are kept, if they are.
    fn places(&self) -> Result<Vec<Place>, OutputError> {
        let Some(folder) = &self.save else { return Ok(Vec::new()) };
        ["night.tub", "heavy.chart.toml"]
            .into_iter()
            .map(|name| self.writing.place_below(&folder.join(name), &[]))
            .collect()
    }

    fn write_samples(&self, place: &Place) -> Result<Done, Failure> {
        let seconds = u64::from(self.minutes) * 60;
        let bar = bar(seconds, "{bar:30} {percent} % of the samples, {eta} left");
        // Gigabytes that nobody wants are not left behind.
        let asked = asked_to_end();
        let made = place.write_file(|file| {
            let mut file = BufWriter::new(file);
            let mut wav = SampleFile::new(&mut file).map_err(std::io::Error::other)?;
            let mut result = Ok(());
            each_second(&Night::demo(self.seed), |second| {
                result = second.blocks.iter().try_for_each(|block| wav.window(block));
                bar.inc(1);
                result.is_ok() && bar.position() < seconds && !asked.load(Ordering::Relaxed)
            });
            result.and_then(|()| wav.finish()).map_err(std::io::Error::other)?;
            if asked.load(Ordering::Relaxed) {
                return Err(std::io::ErrorKind::Interrupted.into());
            }
            file.flush()
        });
        let written = bar.position();
        bar.finish_and_clear();
        made?;
        say(&format!("{}: {written} s of current, supply pickup, drain pickup and battery", place.name()));
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
}

/// What the simulator had hidden, for comparison: nothing above this line has seen it.
fn hidden(recording: &Recording) -> String {
    let mut text = String::from("\nWhat the simulator had hidden:\n");
    for (i, cycle) in recording.truth.cycles.iter().enumerate() {
        let adapted = &cycle.adaptation;
        let what = match cycle.fault() {
            Some(fault) => fault.words(),
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

fn seed(text: &str) -> Result<u64, String> {
    text.parse().map_err(|_| "a whole number from 0 on, as in --seed 7".to_owned())
}
