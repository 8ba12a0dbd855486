//! The desk: whatever may wait for the flash or for the host.

use core::cell::RefCell;
use core::sync::atomic::{AtomicU32, Ordering};

use embassy_futures::select::{Either, select};
use embassy_sync::blocking_mutex::raw::NoopRawMutex;
use embassy_sync::signal::Signal;
use embassy_time::Instant;
use tubtrace_core::link::{Desk, Outlet};
use tubtrace_core::{Station, Storage};
use tubtrace_protocol::{MAX_FRAME, Refusal, Reply, encode_reply};

use crate::flash::{self, Chip, Lines};
use crate::usb::{Requests, ToHost};

/// Said once a window.
pub type Tick = Signal<NoopRawMutex, ()>;

/// When the desk last showed that it is alive, in seconds since the start.
pub struct Beat(AtomicU32);

impl Beat {
    /// Alive at the start.
    pub const fn new() -> Self {
        Self(AtomicU32::new(0))
    }

    /// Alive now.
    pub fn tap(&self) {
        self.0.store(now(), Ordering::Relaxed);
    }

    /// Seconds since the last sign of life.
    pub fn age(&self) -> u32 {
        now().wrapping_sub(self.0.load(Ordering::Relaxed))
    }
}

/// Seconds since the start, modulo 2^32: 136 years.
fn now() -> u32 {
    Instant::now().as_secs() as u32
}

/// Seconds between two tries to open a chip that could not be used.
const AGAIN: u32 = 30;

/// Works.
#[embassy_executor::task]
pub async fn work(
    station: &'static RefCell<Station>,
    storage: Option<Storage<Chip>>,
    lines: &'static Lines,
    requests: &'static Requests,
    tick: &'static Tick,
    mut host: ToHost,
) -> ! {
    let mut desk = Desk::new(station, storage, env!("CARGO_PKG_VERSION"));
    let mut tried = now();
    loop {
        let next = select(requests.receive(), tick.wait()).await;
        host.begin();
        match next {
            Either::First(Ok(request)) => {
                // A host that has gone will say hello when it comes back.
                let _ = desk.answer(request, &mut host).await;
            }
            Either::First(Err(_)) => {
                let mut buffer = [0; MAX_FRAME];
                if let Ok(frame) = encode_reply(&Reply::Refused(Refusal::Malformed), &mut buffer) {
                    let _ = host.send(frame).await;
                }
            }
            Either::Second(()) => {
                if desk.wants_flash() && now().wrapping_sub(tried) >= AGAIN {
                    let mut opened = None;
                    let memory = flash::open(lines, &mut opened).await;
                    if let (Some(storage), Some(memory)) = (opened, memory) {
                        desk.with_flash(storage, memory).await;
                    }
                    tried = now();
                }
                desk.write().await;
                desk.show(&mut host).await;
            }
        }
    }
}
