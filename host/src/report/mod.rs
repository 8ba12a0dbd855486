//! What a person sees, and what a program reads.

use tubtrace_units::Seconds;

/// Hours, minutes and seconds into a log.
#[must_use]
pub fn duration(time: Seconds) -> String {
    let seconds = time.0.max(0.0).round() as u64;
    format!("{:02}:{:02}:{:02}", seconds / 3_600, seconds / 60 % 60, seconds % 60)
}
