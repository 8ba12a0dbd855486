//! Signs of life between tasks.

use core::sync::atomic::{AtomicU32, Ordering};

use embassy_sync::blocking_mutex::raw::NoopRawMutex;
use embassy_sync::signal::Signal;
use embassy_time::Instant;

/// Signalled once a window, when it has been measured.
pub type WindowDone = Signal<NoopRawMutex, ()>;

/// When the request handler last showed that it is alive, in seconds since the start.
pub struct Heartbeat(AtomicU32);

impl Heartbeat {
    /// Alive at the start.
    pub const fn new() -> Self {
        Self(AtomicU32::new(0))
    }

    /// Notes that the task is alive now.
    pub fn tap(&self) {
        self.0.store(now(), Ordering::Relaxed);
    }

    /// Seconds since the last sign of life.
    pub fn age(&self) -> u32 {
        now().wrapping_sub(self.0.load(Ordering::Relaxed))
    }
}

/// Seconds since the start, modulo 2^32: 136 years.
pub fn now() -> u32 {
    Instant::now().as_secs() as u32
}
