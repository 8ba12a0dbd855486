//! How a terminal is written to: the few styles in use, and the width. The stream takes them out where there is no terminal or NO_COLOR is set.

use anstyle::{AnsiColor, Style};

/// The style of headings.
pub(super) const HEAD: Style = Style::new().bold();
/// The style of what somebody should look at: a departure.
pub(super) const ALERT: Style = AnsiColor::Yellow.on_default().bold();
/// The style of what is in order.
pub(super) const FINE: Style = AnsiColor::Green.on_default();
/// The style of what is said only for completeness.
pub(super) const FAINT: Style = Style::new().dimmed();

/// Columns that text is wrapped to where no terminal says how wide it is.
pub const WIDTH: usize = 80;
