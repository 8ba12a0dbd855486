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

/// What the parser says of a text that people write, as a sentence with its remedy.
pub(crate) fn spoken(message: &str) -> String {
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
