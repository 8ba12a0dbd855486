//! Requests out of a stream of bytes, in pieces of any size.

use heapless::Vec;
use tubtrace_protocol::{Damage, Request, decode_request};

/// Bytes of a request's frame at most; the longest is [`Request::Arm`] with a label of 32 bytes, 60 in all.
const BYTES: usize = 96;

/// Collects bytes up to a zero.
#[derive(Debug, Default)]
pub struct Inbox {
    frame: Vec<u8, BYTES>,
    /// More came than any request has.
    too_long: bool,
}

impl Inbox {
    /// Takes a byte; at the end of a frame gives what it holds. Zeros in a row are nothing.
    pub fn push(&mut self, byte: u8) -> Option<Result<Request, Damage>> {
        if byte != 0 {
            self.too_long |= self.frame.push(byte).is_err();
            return None;
        }
        let too_long = core::mem::take(&mut self.too_long);
        let empty = self.frame.is_empty();
        let request = if too_long { Err(Damage::TooLong) } else { decode_request(&self.frame) };
        self.frame.clear();
        (!empty).then_some(request)
    }
}

#[cfg(test)]
mod tests {
    use std::vec::Vec;

    use proptest::prelude::*;
    use tubtrace_protocol::{Arm, Full, HostClock, MAX_FRAME, encode_request};

    use super::*;

    fn frame(request: &Request) -> Vec<u8> {
        encode_request(request, &mut [0; MAX_FRAME]).unwrap().to_vec()
    }

    #[test]
    fn the_longest_request_fits() {
        let request = Request::Arm(Arm {
            clock: HostClock { unix_ms: i64::MIN, offset_minutes: i16::MIN },
            label: core::iter::repeat_n('x', 32).collect(),
            microamps_per_count: u32::MAX,
            full: Full::Overwrite,
        });
        let mut inbox = Inbox::default();
        let found: Vec<_> = frame(&request).into_iter().filter_map(|b| inbox.push(b)).collect();
        assert_eq!(found, [Ok(request)]);
    }

    proptest! {
        /// Whatever came before, two zeros later a request is understood.
        #[test]
        fn noise_is_left_behind(noise in proptest::collection::vec(any::<u8>(), 0..300), nonce: u32) {
            let mut inbox = Inbox::default();
            for byte in noise {
                let _ = inbox.push(byte);
            }
            let _ = inbox.push(0);
            let request = Request::Hello { nonce };
            let found: Vec<_> = frame(&request).into_iter().filter_map(|b| inbox.push(b)).collect();
            prop_assert_eq!(found, [Ok(request)]);
        }
    }
}
