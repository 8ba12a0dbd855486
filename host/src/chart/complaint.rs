//! What is wrong with a file that people write, and where in its text.

use serde::de::DeserializeOwned;
use toml::Spanned;

/// Why a file that people write cannot be used: a sentence with its place and remedy.
#[derive(Debug, thiserror::Error)]
pub enum FileError {
    /// The file could not be read.
    #[error("cannot read the {what} {name}: {error}")]
    Io {
        /// What it is: "chart", "plan".
        what: &'static str,
        /// Path of the file, as it was given.
        name: String,
        /// What the system says of it.
        error: std::io::Error,
    },
    /// It does not say what such a file must say.
    #[error("{name}:{line}:{column}: {what}")]
    Wrong {
        /// Path of the file, as it was given.
        name: String,
        /// Line of the file, from 1.
        line: usize,
        /// From 1, in characters.
        column: usize,
        /// What is wrong and what to do.
        what: String,
    },
}

/// Something that such a file cannot say.
pub(crate) struct Complaint {
    /// The byte of the text where it stands.
    pub(crate) at: usize,
    /// What is wrong, and what to do.
    pub(crate) what: String,
}

impl Complaint {
    /// As an error of the file with this text and name.
    pub(crate) fn in_file(self, text: &str, name: &str) -> FileError {
        let (line, column) = place(text, self.at);
        FileError::Wrong { name: name.to_owned(), line, column, what: self.what }
    }
}

/// The tables of a text in TOML.
pub(crate) fn tables<T: DeserializeOwned>(text: &str) -> Result<T, Complaint> {
    toml::from_str(text).map_err(|error| Complaint {
        at: error.span().map_or(0, |span| span.start),
        what: spoken(error.message()),
    })
}

/// Line and column of a byte of a text, both from 1.
pub(crate) fn place(text: &str, at: usize) -> (usize, usize) {
    let before = &text[..at.min(text.len())];
    let column = before.chars().rev().take_while(|&c| c != '\n').count() + 1;
    (before.matches('\n').count() + 1, column)
}

/// Complains of what stands here.
pub(crate) fn complain<T>(at: &Spanned<T>, what: impl Into<String>) -> Complaint {
    Complaint { at: at.span().start, what: what.into() }
}

/// What the parser says of a text that people write, as a sentence with its remedy.
fn spoken(message: &str) -> String {
    let unknown = |kind: &str| {
        let (word, instead) = message.strip_prefix(kind)?.split_once("`, expected ")?;
        let instead = instead.trim_start_matches("one of ").replace('`', "");
        Some((word.to_owned(), instead))
    };
    if let Some((word, instead)) = unknown("unknown field `") {
        return format!("nothing here is called \"{word}\"; what can stand here: {instead}");
    }
    if let Some((word, instead)) = unknown("unknown variant `") {
        return format!("\"{word}\" is no word that can stand here; one of: {instead}");
    }
    if let Some(name) = message.strip_prefix("missing field `") {
        return format!("\"{}\" is missing here: add it", name.trim_end_matches('`'));
    }
    let types = message.strip_prefix("invalid type: ").and_then(|m| m.split_once(", expected "));
    if let Some((is, should)) = types {
        let should = match should {
            "f64" => "a number",
            "u32" | "usize" => "a whole number from 0 on",
            "a sequence" => "a list in brackets, as in [60, 90]",
            "a boolean" => "true or false",
            "a string" => "a text between quotation marks",
            other => other,
        };
        return format!("here stands {is}, and it should be {should}");
    }
    format!("this is not as TOML is written: {message}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_parser_says_becomes_a_sentence() {
        for (said, told) in [
            (
                "unknown field `last`, expected one of `name`, `lasts`",
                "nothing here is called \"last\"; what can stand here: name, lasts",
            ),
            (
                "unknown variant `fil`, expected `fill`",
                "\"fil\" is no word that can stand here; one of: fill",
            ),
            ("missing field `name`", "\"name\" is missing here: add it"),
            (
                "invalid type: string \"x\", expected f64",
                "here stands string \"x\", and it should be a number",
            ),
            ("duplicate key", "this is not as TOML is written: duplicate key"),
        ] {
            assert_eq!(spoken(said), told);
        }
    }
}
