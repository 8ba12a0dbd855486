//! Bytes of a `.tub` log into what stands in them: records, what is damaged, and holes.

use tubtrace_protocol::{Item, Reader};

use super::write::append;

/// What stands in a log.
#[expect(clippy::large_enum_variant, reason = "each is handed over and used at once; none is kept")]
pub(super) enum Found {
    Item(Item),
    /// Zeros where frames should be, from this byte.
    Hole {
        at: usize,
    },
}

/// Zeros in a row that are a hole. One ends a frame; a byte that damage has made zero adds one beside it, and rarely two.
const HOLE: usize = 4;

/// Hands over what stands in the bytes, in order.
pub(super) fn read(bytes: &[u8], take: &mut impl FnMut(Found)) {
    let mut reader = Reader::default();
    let mut at = 0;
    for frame in bytes.split_inclusive(|&b| b == 0) {
        reader.push(frame, |item| take(Found::Item(item)));
        at += frame.len();
        let zeros = |bytes: &[u8]| bytes.len() == HOLE && bytes.iter().all(|&b| b == 0);
        // Said once, at the last zero that has so many before it and at which the hole is just long enough.
        if frame.len() == 1
            && at >= HOLE
            && zeros(&bytes[at - HOLE..at])
            && (at == HOLE || bytes[at - HOLE - 1] != 0)
        {
            take(Found::Hole { at: at - HOLE });
        }
    }
    reader.finish(|item| take(Found::Item(item)));
}

/// The frames of a log that are intact, as they are: what damage has made of the others is left out.
pub(super) fn intact(bytes: &[u8]) -> Vec<u8> {
    let mut log = Vec::with_capacity(bytes.len());
    read(bytes, &mut |found| {
        if let Found::Item(Item::Record(record)) = found {
            append(&mut log, &record);
        }
    });
    log
}
