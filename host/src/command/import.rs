//! `tubtrace import`.

use std::path::PathBuf;

use clap::Args;

use super::{About, Done, Failure, say, write};
use crate::log::{Notes, from_wav, read, to_tub};

/// Turns a CSV of any meter, or a WAV of raw samples, into a .tub log.
///
/// A WAV goes through the logger's own firmware: up to four channels of 16 bits at 4,800 samples a second, in the order
/// current, supply pickup, drain pickup, battery.
#[derive(Args)]
#[command(
    after_help = "Example:\n  tubtrace import meter.csv -o meter.tub\n\nClamp-on meters only, on an insulated conductor: open nothing to get a reading."
)]
pub(super) struct Import {
    /// The CSV or WAV; - is a CSV on standard input.
    file: PathBuf,
    /// Where the log goes; - is standard output.
    #[arg(short, long, value_name = "LOG.tub")]
    output: PathBuf,
    #[command(flatten)]
    about: About,
}

impl Import {
    pub(super) fn run(self) -> Result<Done, Failure> {
        let wav = self.file.extension().is_some_and(|e| e.eq_ignore_ascii_case("wav"));
        let (log, notes) = if wav { from_wav(&self.file)? } else { self.log_of_csv()? };
        for note in notes.all() {
            say(&format!("{}: {note}", self.file.display()));
        }
        write(&self.output, &log)?;
        say(&format!("{}: {} bytes", self.output.display(), log.len()));
        Ok(Done::Well)
    }

    fn log_of_csv(&self) -> Result<(Vec<u8>, Notes), Failure> {
        let log = read(&self.file, self.about.assumptions())?;
        let name = self.file.file_stem().map_or_else(String::new, |s| s.to_string_lossy().into_owned());
        Ok((to_tub(&log.trace, &name), log.notes))
    }
}
