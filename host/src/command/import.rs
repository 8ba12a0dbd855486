//! `tubtrace import`.

use std::fs::File;
use std::io::{BufReader, Cursor, Read};
use std::path::{Path, PathBuf};

use clap::Args;
use jiff::tz::TimeZone;

use super::about_job::AboutJob;
use super::outcome::{Done, Failure};
use super::progress::bar;
use super::streams::say;
use super::worked::{About, here};
use super::writing::Writing;
use crate::log::{
    COLUMNS, Layout, LogError, MILLISECONDS, Notes, Scale, from_wav_reader, intact, is_tub, is_wav,
    most_amps, parse_as, read_bytes, to_tub,
};

/// Turns a CSV of any meter, or a WAV of raw samples, into a .tub log.
///
/// A CSV needs a header with time, and amps or watts; what else a meter calls them is said with --column. A WAV of up to four
/// channels, at any rate, goes through the logger's own firmware, in the order current, supply pickup, drain pickup, battery.
#[derive(Args)]
#[command(
    after_help = "Examples:\n  tubtrace import meter.csv -o meter.tub\n  tubtrace import meter.csv --column time=Timestamp --column watts=\"Power (kW)\" --scale 1000 -o meter.tub\n  tubtrace import meter.csv --time \"%d/%m/%Y %H:%M:%S\" -o meter.tub\n  tubtrace import clamp.wav --scale 0.5 -o clamp.tub\n\nClamp-on meters only, on an insulated conductor: open nothing to get a reading."
)]
pub(super) struct Import {
    /// The CSV or WAV; - is standard input. A .tub log is cleared of damaged frames.
    file: PathBuf,
    /// Where the log goes; - is standard output.
    #[arg(short, long, value_name = "LOG.tub")]
    output: PathBuf,
    /// A factor. Of a WAV, for each channel, between commas: with 1, its full scale is that of the logger's converter, 33 A at the
    /// peak for current. Of a CSV, for watts or amps: 1000 if it has kilowatts.
    #[arg(long, value_name = "FACTOR", value_delimiter = ',', value_parser = factor)]
    scale: Vec<f64>,
    /// What a CSV calls a column: time, watts, amps, supply_c, drain_c or lasts_s.
    #[arg(long, value_name = "NAME=HEADER", value_parser = column)]
    column: Vec<(String, String)>,
    /// How a CSV writes its times, in the letters of strftime, or "milliseconds"; by default ISO 8601 or seconds.
    #[arg(long, value_name = "FORMAT", value_parser = time)]
    time: Option<String>,
    /// Where a CSV's local times were taken, by the name of the place in the IANA time zone database: America/Chicago.
    #[arg(long, value_name = "ZONE", value_parser = zone)]
    zone: Option<TimeZone>,
    #[command(flatten)]
    writing: Writing,
    #[command(flatten)]
    about: About,
    #[command(flatten)]
    job: AboutJob,
}

fn factor(text: &str) -> Result<f64, String> {
    text.parse()
        .ok()
        .filter(|f| (1e-6..=1e6).contains(f))
        .ok_or_else(|| "from 0.000001 to 1000000".to_owned())
}

fn time(text: &str) -> Result<String, String> {
    let told = text == MILLISECONDS || text.contains('%');
    told.then(|| text.to_owned())
        .ok_or_else(|| format!("letters of strftime, as in %d/%m/%Y %H:%M:%S, or {MILLISECONDS}"))
}

fn zone(text: &str) -> Result<TimeZone, String> {
    TimeZone::get(text)
        .map_err(|_| "a name of the IANA time zone database, as in America/Chicago or UTC".to_owned())
}

fn column(text: &str) -> Result<(String, String), String> {
    let (name, header) = text.split_once('=').ok_or("NAME=HEADER, as in watts=Power")?;
    if COLUMNS.contains(&name) {
        Ok((name.to_owned(), header.to_owned()))
    } else {
        Err(format!("the name is one of {}", COLUMNS.join(", ")))
    }
}

impl Import {
    pub(super) fn run(self) -> Result<Done, Failure> {
        let place = self.writing.place(&self.output, &[&self.file])?;
        let job = self.job.beside(&self.output)?;
        let name = self.name();
        let failed = |error| Failure::Log(LogError::Io { name: name.clone(), error });
        let mut source = source(&self.file).map_err(failed)?;
        let mut begin = Vec::new();
        source.by_ref().take(PEEKED).read_to_end(&mut begin).map_err(failed)?;
        let (wav, tub) = (is_wav(&begin), is_tub(&begin));
        let source = Cursor::new(begin).chain(source);
        let (log, notes) = if wav { self.log_of_wav(source)? } else { self.log_of_text(source, tub)? };
        for note in notes.all() {
            say(&format!("{name}: {note}"));
        }
        place.write_all(&log)?;
        if let Some((place, job)) = job {
            place.write_all(job.to_toml().as_bytes())?;
        }
        say(&format!("{}: {} bytes", self.output.display(), log.len()));
        Ok(Done::Well)
    }

    fn name(&self) -> String {
        if self.file == Path::new("-") { "standard input".into() } else { self.file.display().to_string() }
    }

    /// Refuses options that would be without effect.
    fn refuse(&self, what: &str, options: &[(&str, bool)]) -> Result<(), Failure> {
        match options.iter().find(|(_, given)| *given) {
            None => Ok(()),
            Some((option, _)) => {
                let name = self.name();
                Err(Failure::Other(format!(
                    "{name} is {what}, to which {option} does not apply; leave it out"
                )))
            }
        }
    }

    fn log_of_wav(&self, source: impl Read) -> Result<(Vec<u8>, Notes), Failure> {
        let [volts, column, time, zone, _] = self.given();
        self.refuse("a WAV", &[volts, column, time, zone])?;
        let mut scale = Scale::default();
        if self.scale.len() > scale.0.len() {
            return Err(Failure::Other(format!("--scale: {} factors for four channels", self.scale.len())));
        }
        scale.0.iter_mut().zip(&self.scale).for_each(|(own, told)| *own = *told);
        let bar = bar(1_000, "{bar:30} {percent} % metered, {eta} left");
        // A part of one, in thousandths.
        let metered = |part: f64| bar.set_position((part * 1_000.0) as u64);
        let done = from_wav_reader(BufReader::new(source), &self.name(), scale, metered);
        bar.finish_and_clear();
        Ok(done?)
    }

    /// Of a CSV; or of a log, whose intact frames stay as they are.
    fn log_of_text(&self, source: impl Read, tub: bool) -> Result<(Vec<u8>, Notes), Failure> {
        if tub {
            self.refuse("a .tub log", &self.given())?;
        }
        if self.scale.len() > 1 {
            return Err(Failure::Other("--scale: a CSV has one factor, for watts or amps".into()));
        }
        let bytes = read_bytes(source).map_err(|error| LogError::Io { name: self.name(), error })?;
        let scale = self.scale.first().copied().unwrap_or(1.0);
        let (columns, time, zone) = (self.column.clone(), self.time.clone(), self.zone.clone());
        let layout = Layout { columns, scale, time, zone, beyond: self.writing.force };
        let log = parse_as(&bytes, self.about.assumptions(), &layout)
            .map_err(|what| LogError::Unusable { name: self.name(), what })?;
        if tub {
            return Ok((intact(&bytes), log.notes));
        }
        drop(bytes);
        let mut log = here(log);
        let most = most_amps();
        for step in log.trace.steps.iter().filter(|s| log.trace.amps(s.power) > most) {
            let what = "reading of more than the 65.535 A that a .tub log holds: it stands in it as that";
            log.notes.add(what, || crate::text::duration(step.start));
        }
        let label = self.file.file_stem().map_or_else(String::new, |s| s.to_string_lossy().into_owned());
        Ok((to_tub(&log.trace, &label), log.notes))
    }

    /// Options that only some inputs can have.
    fn given(&self) -> [(&'static str, bool); 5] {
        [
            ("--volts", self.about.volts.is_some()),
            ("--column", !self.column.is_empty()),
            ("--time", self.time.is_some()),
            ("--zone", self.zone.is_some()),
            ("--scale", !self.scale.is_empty()),
        ]
    }
}

/// Bytes that tell what a file is.
const PEEKED: u64 = 4_096;

fn source(path: &Path) -> std::io::Result<Box<dyn Read>> {
    if path == Path::new("-") {
        Ok(Box::new(std::io::stdin().lock()))
    } else {
        Ok(Box::new(File::open(path)?))
    }
}
