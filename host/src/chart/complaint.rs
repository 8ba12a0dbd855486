//! What is wrong with a chart, and where in its text.

use toml::Spanned;

/// Something that a chart cannot say.
pub(super) struct Complaint {
    /// The byte of the text where it stands.
    pub(super) at: usize,
    /// What is wrong, and what to do.
    pub(super) what: String,
}

/// Complains of what stands here.
pub(super) fn complain<T>(at: &Spanned<T>, what: impl Into<String>) -> Complaint {
    Complaint { at: at.span().start, what: what.into() }
}
