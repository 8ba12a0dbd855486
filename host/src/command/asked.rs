//! Whether somebody asked the program to end.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// Whether somebody asked the program to end: SIGINT, SIGTERM, a closed window. It is then ended in order.
pub(super) fn asked_to_end() -> Arc<AtomicBool> {
    let asked = Arc::new(AtomicBool::new(false));
    let told = Arc::clone(&asked);
    // Where there is no such handler, signals end the program as they always do.
    let _ = ctrlc::set_handler(move || told.store(true, Ordering::Relaxed));
    asked
}
