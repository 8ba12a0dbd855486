//! The chunks of a WAV: plain (RIFF), of more than 4 GiB (RF64, EBU Tech 3306; BW64, ITU-R BS.2088), or streamed by a writer that could
//! not know how long it would be and left its sizes at 0 or FFFFFFFF.

use std::io::{Cursor, Error, ErrorKind, Read};

use hound::WavReader;

/// Whether these bytes begin a WAV.
#[must_use]
pub fn is_wav(bytes: &[u8]) -> bool {
    bytes.len() >= 12 && matches!(&bytes[..4], b"RIFF" | b"RF64" | b"BW64") && &bytes[8..12] == b"WAVE"
}

/// A size that says that it is elsewhere, or not known.
const ELSEWHERE: u32 = u32::MAX;

/// Bytes of a chunk of format at most: the longest there is has 40.
const FORMAT_AT_MOST: u32 = 256;

/// Frames that are decoded at a time.
const AT_A_TIME: usize = 1 << 15;

/// A WAV, as far as its samples.
pub(super) struct Wav<R> {
    source: R,
    /// Its chunk of format.
    format: Vec<u8>,
    /// Bytes of samples, where the file says.
    pub(super) length: Option<u64>,
    /// Bytes of them that are read.
    read: u64,
}

impl<R: Read> Wav<R> {
    /// Reads as far as the samples; where that fails, gives what is wrong, or what reading gave.
    pub(super) fn open(mut source: R) -> Result<Result<Self, String>, Error> {
        let whole = |read: Result<(), Error>| match read {
            Err(error) if error.kind() == ErrorKind::UnexpectedEof => Ok(false),
            other => other.map(|()| true),
        };
        let mut begin = [0; 12];
        if !whole(source.read_exact(&mut begin))? || !is_wav(&begin) {
            return Ok(Err("not a WAV: it does not begin as one".into()));
        }
        let (mut format, mut long) = (None, None);
        loop {
            let mut head = [0; 8];
            if !whole(source.read_exact(&mut head))? {
                return Ok(Err("a WAV that ends before its samples begin".into()));
            }
            let size = u32::from_le_bytes([head[4], head[5], head[6], head[7]]);
            match &head[..4] {
                b"data" => {
                    let Some(format) = format else {
                        return Ok(Err(
                            "a WAV that does not say the format of its samples before them".into()
                        ));
                    };
                    let length = match size {
                        ELSEWHERE => long,
                        0 => None,
                        size => Some(u64::from(size)),
                    };
                    return Ok(Ok(Self { source, format, length, read: 0 }));
                }
                kind => {
                    let keeps = matches!(kind, b"fmt " | b"ds64");
                    if keeps && !(14..=FORMAT_AT_MOST).contains(&size) {
                        return Ok(Err(format!(
                            "a WAV whose description of the format is {size} bytes long"
                        )));
                    }
                    // Chunks begin at even places.
                    let padded = u64::from(size) + u64::from(size % 2);
                    let mut chunk = Vec::new();
                    let mut body = source.by_ref().take(padded);
                    if keeps {
                        body.read_to_end(&mut chunk)?;
                        chunk.truncate(size as usize);
                    } else {
                        std::io::copy(&mut body, &mut std::io::sink())?;
                    }
                    match kind {
                        b"fmt " => format = Some(chunk),
                        // The size of all, then that of the samples.
                        b"ds64" => {
                            long = chunk.get(8..16).and_then(|b| b.try_into().ok()).map(u64::from_le_bytes)
                        }
                        _ => {}
                    }
                }
            }
        }
    }

    /// The next frames, as a WAV of their own; none at the end.
    pub(super) fn next(&mut self) -> Result<Option<WavReader<Cursor<Vec<u8>>>>, hound::Error> {
        let frame = self.frame();
        let left = self.length.map_or(u64::MAX, |all| all - self.read);
        let mut bytes = self.header(0);
        let head = bytes.len();
        let wanted = ((frame * AT_A_TIME) as u64).min(left);
        self.source.by_ref().take(wanted).read_to_end(&mut bytes)?;
        let came = bytes.len() - head;
        self.read += came as u64;
        // What is left of a frame at the end is none.
        let samples = came - came % frame;
        bytes.truncate(head + samples);
        bytes[..head].copy_from_slice(&self.header(samples as u32));
        if samples == 0 { Ok(None) } else { WavReader::new(Cursor::new(bytes)).map(Some) }
    }

    /// How it says its samples are.
    pub(super) fn spec(&self) -> Result<hound::WavSpec, hound::Error> {
        WavReader::new(Cursor::new(self.header(0))).map(|reader| reader.spec())
    }

    /// Whether all came that the file says it has.
    pub(super) fn is_whole(&self) -> bool {
        self.length.is_none_or(|all| self.read == all)
    }

    /// Bytes of a frame.
    pub(super) fn frame(&self) -> usize {
        usize::from(u16::from_le_bytes([self.format[12], self.format[13]])).max(1)
    }

    /// The header of so many bytes of samples.
    fn header(&self, samples: u32) -> Vec<u8> {
        let format = self.format.len() as u32;
        let mut bytes = Vec::with_capacity(64);
        bytes.extend(b"RIFF");
        bytes.extend((4 + 8 + format + 8 + samples).to_le_bytes());
        bytes.extend(b"WAVEfmt ");
        bytes.extend(format.to_le_bytes());
        bytes.extend(&self.format);
        bytes.extend(b"data");
        bytes.extend(samples.to_le_bytes());
        bytes
    }
}
