//! The few styles in use. The stream takes them out where there is no terminal or NO_COLOR is set.

use anstyle::{AnsiColor, Style};

/// A heading.
pub(super) const HEAD: Style = Style::new().bold();
/// Something to look at.
pub(super) const ALERT: Style = AnsiColor::Yellow.on_default().bold();
/// Something that is in order.
pub(super) const FINE: Style = AnsiColor::Green.on_default();
/// What is said for completeness.
pub(super) const FAINT: Style = Style::new().dimmed();
