//! The task that may wait for the flash or for the host: it writes what was recorded, and answers requests.

use core::cell::RefCell;

use embassy_futures::select::{Either, select};
use tubtrace_core::link::{Outlet, RequestHandler};
use tubtrace_core::{Station, Storage};
use tubtrace_protocol::{MAX_FRAME, Refusal, Reply, encode_reply};

use crate::flash::{self, Chip, Lines};
use crate::heartbeat::{WindowDone, now};
use crate::usb::{Requests, ToHost};

/// Seconds between two tries to open a chip that could not be used.
const AGAIN: u32 = 30;

/// Answers requests as they come, and after every window writes what waits and sends it where a host looks on.
#[embassy_executor::task]
pub async fn work(
    station: &'static RefCell<Station>,
    storage: Option<Storage<Chip>>,
    lines: &'static Lines,
    requests: &'static Requests,
    window_done: &'static WindowDone,
    mut host: ToHost,
) -> ! {
    let mut handler = RequestHandler::new(station, storage, env!("CARGO_PKG_VERSION"));
    let mut tried = now();
    loop {
        let next = select(requests.receive(), window_done.wait()).await;
        host.begin();
        match next {
            Either::First(Ok(request)) => {
                // A host that has gone will say hello when it comes back.
                let _ = handler.answer(request, &mut host).await;
            }
            Either::First(Err(_)) => {
                let mut buffer = [0; MAX_FRAME];
                if let Ok(frame) = encode_reply(&Reply::Refused(Refusal::Malformed), &mut buffer) {
                    let _ = host.send(frame).await;
                }
            }
            Either::Second(()) => {
                if handler.wants_flash() && now().wrapping_sub(tried) >= AGAIN {
                    let mut opened = None;
                    let memory = flash::open(lines, &mut opened).await;
                    if let (Some(storage), Some(memory)) = (opened, memory) {
                        handler.with_flash(storage, memory).await;
                    }
                    tried = now();
                }
                handler.write().await;
                handler.show(&mut host).await;
            }
        }
    }
}
