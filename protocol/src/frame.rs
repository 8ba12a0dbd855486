//! Frames: a record, request or reply made safe for a wire and for flash.

use crc::{CRC_32_ISCSI, Crc};
use postcard::ser_flavors::{Cobs, Slice, crc::CrcModifier};

use serde::{Deserialize, Serialize};

use crate::message::{REPLY, REQUEST, Reply, Request};
use crate::record::Record;

/// The check of a frame: CRC-32C, in the catalogue of parametrised CRC algorithms as CRC-32/ISCSI.
pub const CRC: Crc<u32> = Crc::<u32>::new(&CRC_32_ISCSI);

const CRC_BYTES: usize = 4;

/// Bytes of a serialised record at most. A reader takes no more, so a damaged length cannot make it hungry.
pub const MAX_RECORD: usize = 512;

/// Bytes of a frame at most, its closing zero included: record, CRC, a COBS byte for every 254 and the zero.
pub const MAX_FRAME: usize = MAX_RECORD + CRC_BYTES + (MAX_RECORD + CRC_BYTES).div_ceil(254) + 1;

/// Why a frame gave no record.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Damage {
    /// Longer than any frame can be.
    TooLong,
    /// The bytes are not coded as COBS (consistent overhead byte stuffing).
    Coding,
    /// The CRC does not agree.
    Check,
    /// The CRC agrees and yet the bytes are no record: written by a faulty or foreign program.
    Content,
}

/// Writes `record` as a frame, closing zero included, into `buffer`.
///
/// # Errors
/// When `buffer` is too small; one of [`MAX_FRAME`] never is.
pub fn encode<'b>(record: &Record, buffer: &'b mut [u8]) -> Result<&'b mut [u8], postcard::Error> {
    seal(record, buffer)
}

/// Writes a request as a frame; see [`encode`].
///
/// # Errors
/// When `buffer` is too small.
pub fn encode_request<'b>(request: &Request, buffer: &'b mut [u8]) -> Result<&'b mut [u8], postcard::Error> {
    seal(&(REQUEST, request), buffer)
}

/// Writes a reply as a frame; see [`encode`].
///
/// # Errors
/// When `buffer` is too small.
pub fn encode_reply<'b>(reply: &Reply, buffer: &'b mut [u8]) -> Result<&'b mut [u8], postcard::Error> {
    seal(&(REPLY, reply), buffer)
}

fn seal<'b>(content: &impl Serialize, buffer: &'b mut [u8]) -> Result<&'b mut [u8], postcard::Error> {
    let cobs = Cobs::try_new(Slice::new(buffer))?;
    postcard::serialize_with_flavor(content, CrcModifier::new(cobs, CRC.digest()))
}

/// Reads a frame without its closing zero.
///
/// `Ok(Err(kind))` is an intact record of a kind that this version does not know.
///
/// # Errors
/// A [`Damage`] that says why the bytes are no intact frame.
pub fn decode(frame: &[u8]) -> Result<Result<Record, u32>, Damage> {
    let mut buffer = [0; MAX_FRAME];
    let body = open(frame, &mut buffer)?;
    match postcard::take_from_bytes::<u32>(body) {
        Ok((kind, _)) if kind >= Record::KINDS => Ok(Err(kind)),
        // Bytes left over are fields that a newer logger appended.
        _ => postcard::from_bytes(body).map(Ok).map_err(|_| Damage::Content),
    }
}

/// Reads a request's frame without its closing zero.
///
/// # Errors
/// See [`Damage`]; a frame of anything else is [`Damage::Content`].
pub fn decode_request(frame: &[u8]) -> Result<Request, Damage> {
    message(frame, REQUEST)
}

/// Reads a reply's frame without its closing zero. `None` is an intact frame of something else, that is, of a log.
///
/// # Errors
/// A [`Damage`] that says why the bytes are no intact frame.
pub fn decode_reply(frame: &[u8]) -> Result<Option<Reply>, Damage> {
    match message(frame, REPLY) {
        Err(Damage::Content) => {
            let mut buffer = [0; MAX_FRAME];
            match postcard::take_from_bytes::<u32>(open(frame, &mut buffer)?) {
                Ok((REPLY, _)) | Err(_) => Err(Damage::Content),
                Ok(_) => Ok(None),
            }
        }
        reply => reply.map(Some),
    }
}

/// The CRC that an intact frame without its closing zero carries: what a [`crate::Cursor`] remembers it by.
///
/// # Errors
/// A [`Damage`] that says why the bytes are no intact frame.
pub fn check_of(frame: &[u8]) -> Result<u32, Damage> {
    let mut buffer = [0; MAX_FRAME];
    open(frame, &mut buffer).map(|body| CRC.checksum(body))
}

fn message<T: for<'a> Deserialize<'a>>(frame: &[u8], number: u32) -> Result<T, Damage> {
    let mut buffer = [0; MAX_FRAME];
    match postcard::take_from_bytes::<(u32, T)>(open(frame, &mut buffer)?) {
        Ok(((found, message), _)) if found == number => Ok(message),
        _ => Err(Damage::Content),
    }
}

/// What an intact frame holds, its check taken off.
fn open<'b>(frame: &[u8], buffer: &'b mut [u8; MAX_FRAME]) -> Result<&'b [u8], Damage> {
    let plain = buffer.get_mut(..frame.len()).ok_or(Damage::TooLong)?;
    let length = cobs::decode(frame, plain).map_err(|_| Damage::Coding)?;
    let split = length.checked_sub(CRC_BYTES).ok_or(Damage::Check)?;
    let (body, check) = plain[..length].split_at(split);
    if CRC.checksum(body).to_le_bytes() == *check { Ok(body) } else { Err(Damage::Check) }
}

/// Where an intact frame at the start of `bytes` ends, if damage to its closing zero joined it to what follows.
///
/// Each COBS code says where the next one stands, and after the last one the zero: only those places can be it.
pub(crate) fn lost_zero(bytes: &[u8]) -> Option<usize> {
    let mut end = 0;
    while let Some(&code) = bytes.get(end) {
        end += usize::from(code);
        if end + 1 >= bytes.len() || end > MAX_FRAME {
            return None;
        }
        if decode(&bytes[..end]).is_ok() {
            return Some(end);
        }
    }
    None
}
