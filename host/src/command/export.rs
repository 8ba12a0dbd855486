//! `tubtrace export`.

use std::io::{self, Cursor, Write};
use std::path::{Path, PathBuf};

use clap::builder::PossibleValuesParser;
use clap::{Args, ValueEnum};
use tubtrace_units::Seconds;

use super::outcome::{Done, Failure};
use super::streams::say;
use super::worked::{About, cycles_of, read_log};
use super::writing::Writing;
use crate::export::{
    Format, TABLES, Table, below, bursts_to_wav, intervals, names, readings, to_csv, to_jsonl, to_parquet,
    to_vcd, too_many,
};
use crate::log::Log;
use crate::output::OutputError;
use crate::report::clock_time;
use crate::trace::Trace;

/// Writes logs as files that other tools read.
///
/// CSV (RFC 4180), JSON Lines and Parquet hold a table: the readings, or the intervals. A folder takes many logs, as Parquet that
/// DataFusion, DuckDB and Spark read as one table. VCD (IEEE 1364) holds when each load was on; WAV, the current around sudden changes.
#[derive(Args)]
#[command(
    after_help = "Examples:\n  tubtrace export night.tub --to night.csv --every 1\n  tubtrace export night.tub --to intervals.jsonl --table intervals\n  tubtrace export *.tub --to all/            readings and intervals of all of them, as Parquet\n  tubtrace export night.tub --to loads.vcd\n  tubtrace export night.tub --to bursts.wav"
)]
pub(super) struct Export {
    /// Logs; - is standard input. More than one go into a folder.
    #[arg(required = true)]
    logs: Vec<PathBuf>,
    /// The file, by whose ending its format is known; a folder, if its name ends with a slash or it is there; - is standard output.
    #[arg(long, value_name = "FILE")]
    to: PathBuf,
    /// The format, where the name does not tell it.
    #[arg(long = "as", value_name = "FORMAT", value_parser = PossibleValuesParser::new(Format::ENDINGS))]
    format: Option<String>,
    /// Which table CSV, JSON Lines and Parquet hold.
    #[arg(long, default_value = "readings")]
    table: Which,
    /// Readings so many seconds apart; by default as they were recorded, a row for each change.
    #[arg(long, value_name = "SECONDS", value_parser = seconds)]
    every: Option<f64>,
    #[command(flatten)]
    writing: Writing,
    #[command(flatten)]
    about: About,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Which {
    Readings,
    Intervals,
}

fn seconds(text: &str) -> Result<f64, String> {
    text.parse()
        .ok()
        .filter(|s| (0.1..=86_400.0).contains(s))
        .ok_or_else(|| "from 0.1 to 86400 seconds".to_owned())
}

impl Export {
    pub(super) fn run(self) -> Result<Done, Failure> {
        if self.is_folder() {
            return self.fill_folder();
        }
        let [log] = &self.logs[..] else {
            return Err(Failure::Other(format!(
                "{} logs do not go into one file; name a folder, with a slash at its end: --to {}/",
                self.logs.len(),
                self.to.display()
            )));
        };
        let format = self.format()?;
        let place = self.writing.place(&self.to, &[log])?;
        let read = read_log(log, &self.about)?;
        self.bounded(log, &read)?;
        // Said before a file is begun that would stay empty.
        if format == Format::Wav && read.trace.bursts.is_empty() {
            return Err(Failure::Other(format!(
                "{}: no burst in it; only the logger records what a WAV could hold",
                log.display()
            )));
        }
        place.write(|out| self.write(format, &read, out))?;
        Ok(Done::Well)
    }

    fn is_folder(&self) -> bool {
        let name = self.to.to_string_lossy();
        name.ends_with('/') || name.ends_with(std::path::MAIN_SEPARATOR) || self.to.is_dir()
    }

    fn format(&self) -> Result<Format, Failure> {
        let told = self.format.as_deref().and_then(Format::of_ending);
        told.or_else(|| Format::of(&self.to)).ok_or_else(|| {
            Failure::Other(format!(
                "{}: what format? End its name with .csv, .jsonl, .parquet, .vcd or .wav, or say --as",
                self.to.display()
            ))
        })
    }

    fn write(&self, format: Format, log: &Log, mut out: impl Write + Send) -> io::Result<()> {
        let trace = &log.trace;
        match format {
            Format::Csv => to_csv(self.table(trace), out),
            Format::Jsonl => to_jsonl(self.table(trace), out),
            Format::Parquet => to_parquet(self.table(trace), out).map_err(io::Error::other),
            Format::Vcd => to_vcd(trace, &cycles_of(trace), out),
            Format::Wav => {
                // Its header is written last, for which standard output is no place.
                let mut wav = Cursor::new(Vec::new());
                bursts(trace, &mut wav)?;
                out.write_all(wav.get_ref())
            }
        }
    }

    /// Finds cycles only where intervals are exported: readings are written as they were read.
    fn table<'a>(&self, trace: &'a Trace) -> Box<dyn Iterator<Item = Table> + 'a> {
        match self.table {
            Which::Readings => Box::new(readings(trace, self.every.map(Seconds))),
            Which::Intervals => Box::new(std::iter::once(intervals(trace, &cycles_of(trace)))),
        }
    }

    /// Writes both tables of every log into a folder.
    fn fill_folder(&self) -> Result<Done, Failure> {
        let inputs: Vec<&Path> = self.logs.iter().map(PathBuf::as_path).collect();
        let place = |name: &String| {
            let paths = TABLES.map(|table| below(&self.to, table, name));
            let [readings, intervals] = paths.map(|path| self.writing.place_below(&path, &inputs));
            Ok([readings?, intervals?])
        };
        // Every place is asked for before the first log is read.
        let places: Vec<_> =
            names(&inputs).map_err(Failure::Other)?.iter().map(place).collect::<Result<_, OutputError>>()?;
        for (log, places) in self.logs.iter().zip(places) {
            let read = read_log(log, &self.about)?;
            self.bounded(log, &read)?;
            let trace = read.trace;
            let tables: [Box<dyn Iterator<Item = Table>>; 2] = [
                Box::new(readings(&trace, self.every.map(Seconds))),
                Box::new(std::iter::once_with(|| intervals(&trace, &cycles_of(&trace)))),
            ];
            for (place, table) in places.iter().zip(tables) {
                place.write(|out| to_parquet(table, out).map_err(io::Error::other))?;
                say(&place.name());
            }
        }
        Ok(Done::Well)
    }

    fn bounded(&self, path: &Path, log: &Log) -> Result<(), Failure> {
        match self.every.and_then(|every| too_many(&log.trace, Seconds(every))) {
            Some(why) => Err(Failure::Other(format!("{}: {why}", path.display()))),
            None => Ok(()),
        }
    }
}

/// Writes the bursts, and says where in the WAV each is.
fn bursts(trace: &Trace, out: &mut Cursor<Vec<u8>>) -> io::Result<()> {
    for burst in &bursts_to_wav(&trace.bursts, out).map_err(io::Error::other)? {
        let when = clock_time(trace, burst.start);
        say(&format!("{:9.3} s: {when}, for {:.3} s", burst.at.0, burst.lasts.0));
    }
    Ok(())
}
