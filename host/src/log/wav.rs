//! WAV files of raw samples, through the logger's own firmware.

use std::fs::File;
use std::io::{BufReader, ErrorKind, Read};
use std::path::Path;

use tubtrace_core::metering::Calibration;
use tubtrace_core::{Arming, BLOCK, CHANNELS, Full, Logger, SAMPLE_RATE};
use tubtrace_protocol::{CloseReason, OpenReason, Record, Tick};
use tubtrace_units::Seconds;

use super::write::append;
use super::{LogError, Notes};

/// The converter's mid-scale: a sample of zero.
const MIDDLE: i32 = 2_048;

/// Makes a log of a WAV: 1 to 4 channels of 16 bits at 4,800 samples a second. Channels that there are not stay at
/// mid-scale; samples lose their lowest four bits, as on the board's converter. A WAV that is cut is read as far as it
/// goes, which the notes say.
///
/// # Errors
/// When it cannot be read, or is another kind of WAV.
pub fn from_wav(path: &Path) -> Result<(Vec<u8>, Notes), LogError> {
    let name = path.display().to_string();
    let file = File::open(path).map_err(|error| LogError::Io { name: name.clone(), error })?;
    from_wav_reader(BufReader::new(file), &name)
}

/// The same from any reader; `name` is what it is called where it cannot be read.
///
/// # Errors
/// Likewise.
pub fn from_wav_reader(source: impl Read, name: &str) -> Result<(Vec<u8>, Notes), LogError> {
    let unusable = |what: String| LogError::Unusable { name: name.to_owned(), what };
    let mut reader = hound::WavReader::new(source).map_err(|error| match error {
        hound::Error::IoError(error) if error.kind() != ErrorKind::UnexpectedEof => {
            LogError::Io { name: name.to_owned(), error }
        }
        other => unusable(format!("not a WAV that can be read: {other}")),
    })?;
    let spec = reader.spec();
    let channels = usize::from(spec.channels);
    if spec.sample_rate != SAMPLE_RATE || !(1..=CHANNELS).contains(&channels) || spec.bits_per_sample != 16 {
        return Err(unusable(format!(
            "{channels} channels of {} bits at {} Hz; needed are 1 to 4 channels of 16 bits at {SAMPLE_RATE} Hz: resample it first",
            spec.bits_per_sample, spec.sample_rate,
        )));
    }

    let mut log = Vec::new();
    let mut put = |record: Record| append(&mut log, &record);
    let calibration = Calibration::NOMINAL;
    let arming = Arming { logger: 0, calibration, full: Full::Stop, label: Default::default() };
    let mut logger = Logger::open(arming, Tick(0), OpenReason::Armed, &mut put);
    let mut notes = Notes::default();
    let mut block = [MIDDLE as u16; BLOCK];
    for (i, sample) in reader.samples::<i16>().enumerate() {
        let Ok(sample) = sample else {
            let at = Seconds((i / channels) as f64 / f64::from(SAMPLE_RATE));
            notes.add("the WAV ends before its header says", || crate::report::duration(at));
            break;
        };
        let (frame, channel) = (i / channels % (BLOCK / CHANNELS), i % channels);
        block[frame * CHANNELS + channel] = (MIDDLE + (i32::from(sample) >> 4)).clamp(0, 4_095) as u16;
        if frame * CHANNELS == BLOCK - CHANNELS && channel == channels - 1 {
            logger.window(&block, &mut put);
        }
    }
    logger.close(CloseReason::Stopped, &mut put);
    Ok((log, notes))
}
