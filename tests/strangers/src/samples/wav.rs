//! A WAV file of 16-bit samples, written as they come.

use std::fs::File;
use std::io::{self, BufWriter, Write};
use std::path::Path;

/// A file being written, with its number of frames known beforehand.
pub struct Wav {
    out: BufWriter<File>,
}

/// Bytes in one sample.
const BYTES: u32 = 2;

impl Wav {
    /// Begin a file of so many frames of so many channels.
    pub fn create(path: &Path, rate: u32, channels: u16, frames: u32) -> io::Result<Wav> {
        let mut out = BufWriter::with_capacity(1 << 16, File::create(path)?);
        let block = u32::from(channels) * BYTES;
        let data = frames * block;
        out.write_all(b"RIFF")?;
        out.write_all(&(36 + data).to_le_bytes())?;
        out.write_all(b"WAVEfmt ")?;
        out.write_all(&16u32.to_le_bytes())?;
        out.write_all(&1u16.to_le_bytes())?;
        out.write_all(&channels.to_le_bytes())?;
        out.write_all(&rate.to_le_bytes())?;
        out.write_all(&(rate * block).to_le_bytes())?;
        out.write_all(&(block as u16).to_le_bytes())?;
        out.write_all(&16u16.to_le_bytes())?;
        out.write_all(b"data")?;
        out.write_all(&data.to_le_bytes())?;
        Ok(Wav { out })
    }

    /// One frame of values between -1 and 1.
    pub fn frame(&mut self, values: &[f64]) -> io::Result<()> {
        for v in values {
            let n = (v * 32_767.0).round().clamp(-32_768.0, 32_767.0) as i16;
            self.out.write_all(&n.to_le_bytes())?;
        }
        Ok(())
    }

    /// End the file.
    pub fn finish(mut self) -> io::Result<()> {
        self.out.flush()
    }
}
