//! Which cautions stand beside something that is done.

use serde::Deserialize;

/// The word of a caution, or several in a list.
#[derive(Debug, Deserialize)]
#[serde(untagged)]
pub(super) enum Cautions {
    One(String),
    Several(Vec<String>),
}

impl Cautions {
    /// In their order.
    pub(super) fn words(&self) -> &[String] {
        match self {
            Self::One(word) => std::slice::from_ref(word),
            Self::Several(words) => words,
        }
    }
}
