//! Which cautions stand beside something that is done.

use serde::Deserialize;

/// The word of a caution, or several in a list; likewise a sentence of a caution, or several.
#[derive(Clone, Debug, Deserialize)]
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
