//! Frames out of a stream of bytes, with everything that is not a frame accounted for.

use heapless::Vec;

use crate::frame::{Damage, MAX_FRAME, decode, lost_zero};
use crate::record::Record;

/// What a [`Reader`] found.
#[derive(Clone, Debug, PartialEq)]
#[allow(clippy::large_enum_variant, reason = "handed over at once, never stored in numbers")]
pub enum Item {
    /// A record whose frame is intact.
    Record(Record),
    /// An intact record of a kind that this version does not know.
    Unknown {
        /// The number of its kind: 11 or more.
        kind: u32,
    },
    /// Bytes between two zeros that are no frame.
    Damaged {
        /// Where they begin, counted from the first byte pushed.
        at: u64,
        /// How many, without the zero.
        bytes: u64,
        /// What is wrong with them.
        damage: Damage,
    },
}

/// Takes a log in pieces of any size. Needs no allocator, and no more memory for a long log than for a short one.
#[derive(Debug, Default)]
pub struct Reader {
    /// Room for two frames, so that two which a damaged zero has joined can be told apart again.
    frame: Vec<u8, { 2 * MAX_FRAME }>,
    /// Bytes of the present frame, those that did not fit included.
    length: u64,
    position: u64,
}

impl Reader {
    /// Takes the next piece and hands over what is complete.
    pub fn push(&mut self, bytes: &[u8], mut found: impl FnMut(Item)) {
        for &byte in bytes {
            self.position += 1;
            if byte == 0 {
                self.close(&mut found);
            } else {
                self.length += 1;
                // A frame that is too long is remembered by `length` alone.
                let _ = self.frame.push(byte);
            }
        }
    }

    /// The stream has ended: bytes after the last zero are a frame that was cut.
    pub fn finish(&mut self, mut found: impl FnMut(Item)) {
        if self.length > 0 {
            self.position += 1;
            self.close(&mut found);
        }
    }

    fn close(&mut self, found: &mut impl FnMut(Item)) {
        let length = core::mem::take(&mut self.length);
        let end = self.position - 1;
        let mut rest = &self.frame[..];
        let unseen = length - rest.len() as u64;
        // No bytes between two zeros are no data: erased media, or a byte that damage made zero.
        while !rest.is_empty() {
            let at = end - unseen - rest.len() as u64;
            let whole = decode(rest);
            let cut = if whole.is_err() { lost_zero(rest) } else { None };
            let (item, after) = match cut {
                Some(cut) => (decode(&rest[..cut]), &rest[cut + 1..]),
                None => (whole, &[][..]),
            };
            found(match item {
                Ok(Ok(record)) => Item::Record(record),
                Ok(Err(kind)) => Item::Unknown { kind },
                Err(damage) => Item::Damaged { at, bytes: end - at, damage },
            });
            rest = after;
        }
        self.frame.clear();
    }
}
