//! What a host may send to the board, in whatever pieces: no panic, and after two zeros a request is understood.
#![no_main]

use libfuzzer_sys::fuzz_target;
use tubtrace_core::link::Inbox;
use tubtrace_protocol::{MAX_FRAME, Request, encode_request};

fuzz_target!(|bytes: &[u8]| {
    let mut inbox = Inbox::default();
    for &byte in bytes {
        let _ = inbox.push(byte);
    }
    let _ = inbox.push(0);
    let request = Request::Status;
    let mut buffer = [0; MAX_FRAME];
    let frame = encode_request(&request, &mut buffer).expect("a short request");
    let understood = frame.iter().find_map(|&byte| inbox.push(byte));
    assert_eq!(understood, Some(Ok(request)));
});
