//! How far long work is. Nothing is drawn where the error stream is no terminal.

use indicatif::{ProgressBar, ProgressStyle};

/// A bar of so many steps.
pub(super) fn bar(length: u64, template: &str) -> ProgressBar {
    styled(ProgressBar::new(length), template)
}

/// Something that turns, for work of unknown length.
pub(super) fn spinner(template: &str) -> ProgressBar {
    styled(ProgressBar::new_spinner(), template)
}

fn styled(bar: ProgressBar, template: &str) -> ProgressBar {
    match ProgressStyle::with_template(template) {
        Ok(style) => bar.with_style(style),
        Err(_) => bar,
    }
}
