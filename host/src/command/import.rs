//! `tubtrace import`.

use std::fs::File;
use std::io::{BufReader, Cursor, Read};
use std::path::{Path, PathBuf};

use clap::Args;

use super::about_job::AboutJob;
use super::outcome::{Done, Failure};
use super::progress::bar;
use super::streams::say;
use super::worked::{About, here};
use super::writing::Writing;
use crate::log::{
    LogError, Notes, Scale, from_wav_reader, intact, is_tub, is_wav, most_amps, parse_as, read_bytes, to_tub,
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
    #[command(flatten)]
    writing: Writing,
    #[command(flatten)]
    about: About,
    #[command(flatten)]
    job: AboutJob,
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
        let given = self.given();
        let but_scale: Vec<_> = given.into_iter().filter(|(option, _)| *option != "--scale").collect();
        self.refuse("a WAV", &but_scale)?;
        let (mut scale, told) = (Scale::default(), &self.about.meter.scale);
        if told.len() > scale.0.len() {
            return Err(Failure::Other(format!("--scale: {} factors for four channels", told.len())));
        }
        scale.0.iter_mut().zip(told).for_each(|(own, told)| *own = *told);
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
        let layout = self.about.meter.layout(self.writing.force)?;
        let bytes = read_bytes(source).map_err(|error| LogError::Io { name: self.name(), error })?;
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
    fn given(&self) -> Vec<(&'static str, bool)> {
        let volts = ("--volts", self.about.volts.is_some());
        std::iter::once(volts).chain(self.about.meter.given()).collect()
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
