//! Progress bars for long work. Nothing is drawn where the error stream is no terminal.

use indicatif::{ProgressBar, ProgressStyle};

/// A progress bar for work of `length` steps.
pub(super) fn bar(length: u64, template: &str) -> ProgressBar {
    styled(ProgressBar::new(length), template)
}

/// A spinner, for work of unknown length.
pub(super) fn spinner(template: &str) -> ProgressBar {
    styled(ProgressBar::new_spinner(), template)
}

fn styled(bar: ProgressBar, template: &str) -> ProgressBar {
    match ProgressStyle::with_template(template) {
        Ok(style) => bar.with_style(style),
        Err(_) => bar,
    }
}
