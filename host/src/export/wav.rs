//! Waveforms as WAV: the bursts of a log, and what the board would be given.

use std::io::{Seek, Write};

use hound::{SampleFormat, WavSpec, WavWriter};
use tubtrace_core::{Block, CHANNELS, MIDSCALE, SAMPLE_RATE};
use tubtrace_units::Seconds;

use crate::trace::Burst;

/// Silence between two bursts, in samples: a tenth of a second.
const SILENCE: usize = SAMPLE_RATE as usize / 10;

/// The converter has 12 bits: they are the upper ones of 16, so full scale is full scale.
const SHIFT: u32 = 4;

const fn spec(channels: usize) -> WavSpec {
    WavSpec {
        channels: channels as u16,
        sample_rate: SAMPLE_RATE,
        bits_per_sample: 16,
        sample_format: SampleFormat::Int,
    }
}

/// Where in a WAV a burst is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlacedBurst {
    /// From the beginning of the WAV.
    pub at: Seconds,
    /// When it was, from the first sample of the log.
    pub start: Seconds,
    /// How long it is.
    pub lasts: Seconds,
}

/// Writes bursts one after the other, with silence between them; says where each is.
///
/// # Errors
/// When it cannot be written.
pub fn bursts_to_wav(bursts: &[Burst], out: impl Write + Seek) -> Result<Vec<PlacedBurst>, hound::Error> {
    let mut writer = WavWriter::new(out, spec(1))?;
    let mut placed = Vec::with_capacity(bursts.len());
    let seconds = |samples: usize| Seconds(samples as f64 / f64::from(SAMPLE_RATE));
    for burst in bursts {
        let (at, lasts) = (seconds(writer.len() as usize), seconds(burst.samples.len()));
        placed.push(PlacedBurst { at, start: burst.start, lasts });
        for sample in burst.samples.iter().chain(std::iter::repeat_n(&0, SILENCE)) {
            writer.write_sample(widened(*sample))?;
        }
    }
    writer.finalize()?;
    Ok(placed)
}

/// A WAV of all four channels, which [`crate::log::from_wav`] reads.
pub struct SampleFile<W: Write + Seek>(WavWriter<W>);

impl<W: Write + Seek> SampleFile<W> {
    /// An empty one.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn new(out: W) -> Result<Self, hound::Error> {
        Ok(Self(WavWriter::new(out, spec(CHANNELS))?))
    }

    /// Appends a window.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn window(&mut self, block: &Block) -> Result<(), hound::Error> {
        block.iter().try_for_each(|s| self.0.write_sample(widened(s.wrapping_sub(MIDSCALE).cast_signed())))
    }

    /// Ends the file.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn finish(self) -> Result<(), hound::Error> {
        self.0.finalize()
    }
}

/// Twelve bits as sixteen; a damaged burst may hold more, which is held at the end of the scale.
fn widened(sample: i16) -> i16 {
    sample.saturating_mul(1 << SHIFT)
}
