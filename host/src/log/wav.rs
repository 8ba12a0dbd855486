//! WAV files of raw samples, through the logger's own firmware.

use std::fs::File;
use std::io::{BufReader, Read};
use std::path::Path;

use hound::{SampleFormat, WavReader, WavSpec};
use tubtrace_core::metering::Calibration;
use tubtrace_core::{Arming, BLOCK, Block, CHANNELS, Full, Logger, MIDSCALE, SAMPLE_RATE};
use tubtrace_protocol::{CloseReason, OpenReason, Record, Tick};
use tubtrace_units::Seconds;

use super::error::LogError;
use super::notes::Notes;
use super::resample::{RATES, Rate};
use super::riff::Wav;
use super::write::append;

/// A factor for each channel. With one, full scale of the WAV is full scale of the logger's converter: 33 A at the peak, for current.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scale(pub [f64; CHANNELS]);

impl Default for Scale {
    fn default() -> Self {
        Self([1.0; CHANNELS])
    }
}

/// Makes a log of a WAV: 1 to 4 channels of any rate and sample format, in the order current, supply pickup, drain pickup, battery.
/// It is brought to 4,800 samples a second of 12 bits, as the board's converter gives them; what would alias is filtered out. Channels
/// that there are not stay at mid-scale. A WAV that is cut is read as far as it goes, and samples beyond the converter's range are held
/// at its end; the notes say both. `progress` hears the part that is done.
///
/// # Errors
/// When it cannot be read, or is another kind of WAV.
pub fn from_wav(path: &Path, scale: Scale, progress: impl FnMut(f64)) -> Result<(Vec<u8>, Notes), LogError> {
    let name = path.display().to_string();
    let file = File::open(path).map_err(|error| LogError::Io { name: name.clone(), error })?;
    from_wav_reader(BufReader::new(file), &name, scale, progress)
}

/// The same from any reader; `name` is what it is called where it cannot be read.
///
/// # Errors
/// Likewise.
pub fn from_wav_reader(
    source: impl Read,
    name: &str,
    scale: Scale,
    mut progress: impl FnMut(f64),
) -> Result<(Vec<u8>, Notes), LogError> {
    let unusable = |what: String| LogError::Unusable { name: name.to_owned(), what };
    let io = |error: std::io::Error| LogError::Io { name: name.to_owned(), error };
    let mut wav = Wav::open(source).map_err(io)?.map_err(&unusable)?;
    let spec = wav.spec().map_err(|error| unusable(format!("not a WAV that can be read: {error}")))?;
    let channels = usize::from(spec.channels);
    if !(1..=CHANNELS).contains(&channels) || !RATES.contains(&spec.sample_rate) {
        return Err(unusable(format!(
            "{channels} channels at {} Hz; needed are 1 to 4 channels, current first, at {} to {} Hz",
            spec.sample_rate,
            RATES.start(),
            RATES.end(),
        )));
    }
    let mut rate = Rate::new(spec.sample_rate, channels).map_err(unusable)?;
    let mut board = Board::new(channels, scale);
    if spec.sample_rate < SAMPLE_RATE {
        let what = format!("only {} samples a second: flow is heard in part", spec.sample_rate);
        board.notes.add(&what, || "the start".into());
    }
    // Where the file does not say how long it is, nobody knows what part is done.
    let whole = wav.length.map_or(f64::INFINITY, |bytes| bytes as f64 / wav.frame() as f64);
    let mut frame = Vec::with_capacity(channels);
    let mut frames = 0_u64;
    while let Some(mut reader) = wav.next().map_err(|error| match error {
        hound::Error::IoError(error) => io(error),
        other => unusable(format!("not a WAV that can be read: {other}")),
    })? {
        for sample in samples(&mut reader, spec) {
            // Whole frames of a format that is known can be decoded.
            frame.push(sample.unwrap_or_default());
            if frame.len() == channels {
                rate.push(&frame, &mut |f| board.frame(f)).map_err(unusable)?;
                frame.clear();
                frames += 1;
                if frames.is_multiple_of(spec.sample_rate.into()) {
                    progress((frames as f64 / whole).min(1.0));
                }
            }
        }
    }
    if !wav.is_whole() {
        let at = Seconds(frames as f64 / f64::from(spec.sample_rate));
        board.notes.add("the WAV ends before its header says", || crate::text::from_start(at));
    }
    rate.finish(&mut |f| board.frame(f)).map_err(unusable)?;
    if board.frames < (BLOCK / CHANNELS) as u64 {
        return Err(unusable(format!(
            "a WAV of {frames} frames of samples, which is less than a tenth of a second: there is nothing to make a log of"
        )));
    }
    Ok(board.close())
}

/// Samples from -1 to 1, whatever their format; `None` where one cannot be read.
fn samples<R: Read>(reader: &mut WavReader<R>, spec: WavSpec) -> Box<dyn Iterator<Item = Option<f64>> + '_> {
    match spec.sample_format {
        SampleFormat::Float => {
            let finite = |s: f32| if s.is_finite() { f64::from(s) } else { 0.0 };
            Box::new(reader.samples::<f32>().map(move |s| s.ok().map(finite)))
        }
        SampleFormat::Int => {
            let full = 2f64.powi(i32::from(spec.bits_per_sample) - 1);
            Box::new(reader.samples::<i32>().map(move |s| s.ok().map(|s| f64::from(s) / full)))
        }
    }
}

/// The board, given frames of samples.
struct Board {
    logger: Logger,
    log: Vec<u8>,
    notes: Notes,
    scale: Scale,
    channels: usize,
    block: Block,
    filled: usize,
    frames: u64,
}

impl Board {
    fn new(channels: usize, scale: Scale) -> Self {
        let calibration = Calibration::NOMINAL;
        let arming = Arming { logger: 0, calibration, full: Full::Stop, label: Default::default() };
        let mut log = Vec::new();
        let mut put = |record: Record| append(&mut log, &record);
        let logger = Logger::open(arming, Tick(0), OpenReason::Armed, &mut put);
        let (notes, block) = (Notes::default(), [MIDSCALE; BLOCK]);
        Self { logger, log, notes, scale, channels, block, filled: 0, frames: 0 }
    }

    fn frame(&mut self, frame: &[f64]) {
        for (i, (sample, scale)) in frame.iter().zip(self.scale.0).enumerate() {
            let counts = (sample * scale * f64::from(MIDSCALE)).round();
            let whole = f64::from(MIDSCALE);
            if !(-whole..whole).contains(&counts) {
                let at = Seconds(self.frames as f64 / f64::from(SAMPLE_RATE));
                let what = format!("sample of channel {} beyond the converter's range (say --scale)", i + 1);
                self.notes.add(&what, || crate::text::from_start(at));
            }
            // From 0 to 4,095, which fits.
            self.block[self.filled + i] = (counts.clamp(-whole, whole - 1.0) + whole) as u16;
        }
        debug_assert_eq!(frame.len(), self.channels);
        self.frames += 1;
        self.filled += CHANNELS;
        if self.filled == BLOCK {
            self.filled = 0;
            let mut put = |record: Record| append(&mut self.log, &record);
            self.logger.window(&self.block, &mut put);
        }
    }

    /// What is left of a window is no window.
    fn close(mut self) -> (Vec<u8>, Notes) {
        let mut put = |record: Record| append(&mut self.log, &record);
        self.logger.close(CloseReason::Stopped, &mut put);
        (self.log, self.notes)
    }
}
