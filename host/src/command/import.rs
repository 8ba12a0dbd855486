//! `tubtrace import`.

use std::path::PathBuf;

use clap::Args;

use super::progress::bar;
use super::{About, Done, Failure, here, say, write};
use crate::log::{COLUMNS, Layout, Notes, Scale, from_wav, read_as, to_tub};

/// Turns a CSV of any meter, or a WAV of raw samples, into a .tub log.
///
/// A CSV needs a header with time, and amps or watts; what else a meter calls them is said with --column. A WAV of up to four
/// channels, at any rate, goes through the logger's own firmware, in the order current, supply pickup, drain pickup, battery.
#[derive(Args)]
#[command(
    after_help = "Examples:\n  tubtrace import meter.csv -o meter.tub\n  tubtrace import meter.csv --column time=Timestamp --column watts=\"Power (kW)\" --scale 1000 -o meter.tub\n  tubtrace import meter.csv --time \"%d/%m/%Y %H:%M:%S\" -o meter.tub\n  tubtrace import clamp.wav --scale 0.5 -o clamp.tub\n\nClamp-on meters only, on an insulated conductor: open nothing to get a reading."
)]
pub(super) struct Import {
    /// The CSV or WAV; - is a CSV on standard input.
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
    /// How a CSV writes its times, in the letters of strftime; by default ISO 8601 or seconds.
    #[arg(long, value_name = "FORMAT")]
    time: Option<String>,
    #[command(flatten)]
    about: About,
}

fn factor(text: &str) -> Result<f64, String> {
    text.parse()
        .ok()
        .filter(|f| (1e-6..=1e6).contains(f))
        .ok_or_else(|| "from 0.000001 to 1000000".to_owned())
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
        let wav = self.file.extension().is_some_and(|e| e.eq_ignore_ascii_case("wav"));
        let (log, notes) = if wav { self.log_of_wav()? } else { self.log_of_csv()? };
        for note in notes.all() {
            say(&format!("{}: {note}", self.file.display()));
        }
        write(&self.output, &log)?;
        say(&format!("{}: {} bytes", self.output.display(), log.len()));
        Ok(Done::Well)
    }

    fn log_of_wav(&self) -> Result<(Vec<u8>, Notes), Failure> {
        let mut scale = Scale::default();
        if self.scale.len() > scale.0.len() {
            return Err(Failure::Other(format!("--scale: {} factors for four channels", self.scale.len())));
        }
        scale.0.iter_mut().zip(&self.scale).for_each(|(own, told)| *own = *told);
        let bar = bar(1_000, "{bar:30} {percent} % metered, {eta} left");
        // A part of one, in thousandths.
        let done = from_wav(&self.file, scale, |part| bar.set_position((part * 1_000.0) as u64));
        bar.finish_and_clear();
        Ok(done?)
    }

    fn log_of_csv(&self) -> Result<(Vec<u8>, Notes), Failure> {
        if self.scale.len() > 1 {
            return Err(Failure::Other("--scale: a CSV has one factor, for watts or amps".into()));
        }
        let scale = self.scale.first().copied().unwrap_or(1.0);
        let layout = Layout { columns: self.column.clone(), scale, time: self.time.clone() };
        let log = here(read_as(&self.file, self.about.assumptions(), &layout)?);
        let name = self.file.file_stem().map_or_else(String::new, |s| s.to_string_lossy().into_owned());
        Ok((to_tub(&log.trace, &name), log.notes))
    }
}
