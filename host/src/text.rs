//! Words that every stage has a use for, and the one place where text of others becomes output: labels, headers, names, keys and answers may
//! hold what steers a terminal, or turns the order of a line around.

use std::fmt::Write;

use jiff::tz::Offset;
use tubtrace_units::Seconds;

/// What a character that steers is shown as.
const SHOWN: char = '\u{fffd}';

/// How a style begins: ESC and a bracket, the control sequence introducer of ECMA-48.
const INTRODUCER: &str = "\u{1b}[";

/// Whether a character steers a terminal or the text around it: control characters (C0, DEL, C1), the marks, embeddings, overrides and
/// isolates of the Unicode Bidirectional Algorithm (UAX 9), and the separators of lines and paragraphs.
fn steers(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// Text of others inside a line of ours: nothing in it steers, and it stays on its line.
#[must_use]
pub fn harmless(text: &str) -> String {
    text.chars().map(|c| if steers(c) { SHOWN } else { c }).collect()
}

/// A whole message or page, with text of others in it: only its newlines stay.
#[must_use]
pub fn plain(text: &str) -> String {
    text.chars().map(|c| if steers(c) && c != '\n' { SHOWN } else { c }).collect()
}

/// A whole screen, in which text of others is [`harmless`] already: newlines and styles stay (SGR of ECMA-48), nothing else that steers.
#[must_use]
pub fn styled(text: &str) -> String {
    let mut shown = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(at) = rest.find(INTRODUCER) {
        shown.push_str(&plain(&rest[..at]));
        let sequence = &rest[at..at + length(&rest[at..])];
        if sequence.ends_with('m') {
            shown.push_str(sequence);
        } else {
            shown.push_str(&plain(sequence));
        }
        rest = &rest[at + sequence.len()..];
    }
    shown + &plain(rest)
}

/// Bytes of a style at the beginning of a text; of its introducer where it is none.
fn length(text: &str) -> usize {
    let codes = &text[INTRODUCER.len()..];
    let digits = codes.bytes().take_while(|b| b.is_ascii_digit() || *b == b';').count();
    let end = usize::from(codes.as_bytes().get(digits) == Some(&b'm'));
    INTRODUCER.len() + if end == 1 { digits + end } else { 0 }
}

/// JSON that means the same, with what steers escaped: a program reads what was given, and a terminal is not steered by it.
#[must_use]
pub fn json(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for c in text.chars() {
        // A newline stands between values; all that steers is below U+FFFF, and in a string.
        if steers(c) && c != '\n' {
            let _ = write!(escaped, "\\u{:04x}", u32::from(c));
        } else {
            escaped.push(c);
        }
    }
    escaped
}

/// Hours, minutes and seconds into a log, rounded to seconds: `01:32:05`. What lies before its start is `00:00:00`.
#[must_use]
pub fn duration(time: Seconds) -> String {
    let seconds = time.0.max(0.0).round() as u64;
    format!("{:02}:{:02}:{:02}", seconds / 3_600, seconds / 60 % 60, seconds % 60)
}

/// The place of a note in a log: how long after its start, and no time of day, for those stand beside it: `01:32:05 from the start`.
#[must_use]
pub fn from_start(time: Seconds) -> String {
    format!("{} from the start", duration(time))
}

/// An offset from UTC as hours and minutes with their sign, as RFC 3339 writes it: `+01:00`. Its seconds are left out.
#[must_use]
pub fn offset_digits(offset: Offset) -> String {
    let minutes = offset.seconds() / 60;
    let sign = if minutes < 0 { '-' } else { '+' };
    format!("{sign}{:02}:{:02}", minutes.abs() / 60, minutes.abs() % 60)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn only_styles_stay_on_a_screen() {
        assert_eq!(
            styled("\u{1b}[1;33mDEPARTS\u{1b}[0m\nwithin\u{1b}[m"),
            "\u{1b}[1;33mDEPARTS\u{1b}[0m\nwithin\u{1b}[m"
        );
        assert_eq!(
            styled("a\u{1b}[2Jb\u{1b}]0;x\u{7}c\u{1b}["),
            "a\u{fffd}[2Jb\u{fffd}]0;x\u{fffd}c\u{fffd}["
        );
        assert_eq!(styled("\u{1b}[1\u{1b}[2m"), "\u{fffd}[1\u{1b}[2m");
    }

    #[test]
    fn a_place_in_a_log_is_no_time_of_day() {
        assert_eq!(from_start(Seconds(2_068.2)), "00:34:28 from the start");
    }

    #[test]
    fn other_languages_are_left_alone() {
        let text = "Küche, مطبخ, 厨房, \u{200d}";
        assert_eq!([harmless(text), plain(text), styled(text), json(text)], [text; 4].map(str::to_owned));
    }

    proptest! {
        #[test]
        fn nothing_steers(text in any::<String>()) {
            prop_assert!(!harmless(&text).contains(steers));
            prop_assert!(!plain(&text).replace('\n', "").contains(steers));
            prop_assert!(!json(&text).replace('\n', "").contains(steers));
        }

        #[test]
        fn json_means_the_same(text in any::<String>()) {
            let written = serde_json::to_string(&text).unwrap();
            prop_assert_eq!(serde_json::from_str::<String>(&json(&written)).unwrap(), text);
        }
    }
}
