//! One line of a sheet: what it says, or what is wrong with it and how it is written right.

use tubtrace_units::{Amps, Volts, Watts};

use super::interval::interval;
use super::paper::{Rated, Says};
use super::times::heading;
use super::tokens::{Token, short, tokens};
use super::words::{Means, meaning, spaced};

/// What a line says.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Content {
    Name(String),
    Volts(Volts),
    Heater(Rated),
    Says(Says),
}

/// Characters of a line at most.
const LONGEST_LINE: usize = 200;

/// What a line says; nothing where it is empty or a comment.
pub(super) fn line(text: &str) -> Result<Option<Content>, String> {
    let text = without_comment(text).trim();
    if text.chars().count() > LONGEST_LINE {
        return Err(format!("longer than {LONGEST_LINE} characters; one line is one interval"));
    }
    if let Some(c) = text.chars().find(|c| c.is_control() && *c != '\t') {
        return Err(format!("has a character that is no text (U+{:04X}); delete it", u32::from(c)));
    }
    let text = without_marker(text);
    if text.is_empty() {
        return Ok(None);
    }
    if let Some(name) = named(text)? {
        return Ok(Some(Content::Name(name)));
    }
    let (text, aside) = without_aside(text)?;
    if let Some(says) = heading(&text)? {
        return Ok(Some(Content::Says(says)));
    }
    let tokens = tokens(&text)?;
    if let Some(rating) = rating(&tokens)? {
        return Ok(Some(rating));
    }
    Ok(Some(Content::Says(interval(&tokens, aside)?)))
}

/// What stands before "#", or nothing on a line that begins with ";" or "//".
fn without_comment(text: &str) -> &str {
    let text = text.split('#').next().unwrap_or_default();
    let begin = text.trim_start();
    if begin.starts_with(';') || begin.starts_with("//") { "" } else { text }
}

/// A line of a list may be numbered, or begin with a dash: "3. drain 1".
fn without_marker(text: &str) -> &str {
    let digits = text.bytes().take_while(u8::is_ascii_digit).count();
    let after =
        |rest: &'static [char]| text[digits..].strip_prefix(rest).filter(|t| t.starts_with([' ', '\t']));
    let listed = match digits {
        0 => after(&['-', '*', '\u{2022}']),
        1..=3 => after(&['.', ')']),
        _ => None,
    };
    listed.unwrap_or(text).trim()
}

/// The name of machine and programme, where the line says it: "name heavy, 120 V".
fn named(text: &str) -> Result<Option<String>, String> {
    let end = text.find(|c: char| !c.is_alphabetic()).unwrap_or(text.len());
    let (first, rest) = text.split_at(end);
    if !["name", "machine", "programme", "program"].contains(&first.to_lowercase().as_str()) {
        return Ok(None);
    }
    let name = spaced(rest.trim_start().trim_start_matches([':', '=']));
    if name.is_empty() { Err("a name is missing: name heavy, 120 V".into()) } else { Ok(Some(name)) }
}

/// The line without what stands in parentheses, and that: what the paper calls the interval.
fn without_aside(text: &str) -> Result<(String, Option<String>), String> {
    let Some(open) = text.find('(') else {
        return if text.contains(')') {
            Err("\")\" without \"(\" before it".into())
        } else {
            Ok((text.to_owned(), None))
        };
    };
    let Some(length) = text[open..].find(')') else { return Err("\"(\" without \")\" after it".into()) };
    let aside = spaced(&text[open + 1..open + length]);
    let rest = format!("{} {}", &text[..open], &text[open + length + 1..]);
    if rest.contains(['(', ')']) || aside.contains('(') {
        return Err("one name in parentheses is enough: wash 4 (main wash)".into());
    }
    Ok((rest.trim().to_owned(), Some(aside).filter(|a| !a.is_empty())))
}

/// What the rating plate has, where the line says it: "volts 120", "heater 800 W".
fn rating(tokens: &[Token]) -> Result<Option<Content>, String> {
    let word = |i: usize| match tokens.get(i) {
        Some(Token::Word(word)) => word.to_lowercase(),
        _ => String::new(),
    };
    let has = |words: &[&str]| (0..tokens.len()).any(|i| words.contains(&word(i).as_str()));
    let number = tokens.iter().enumerate().find_map(|(i, t)| match t {
        // "10 w/ heat" is no power.
        Token::Number(number, written) if word(i + 2) != "/" => Some((*number, written, word(i + 1))),
        _ => None,
    });
    let Some((number, written, unit)) = number else { return Ok(None) };
    let about_volts = has(&["volts", "voltage", "volt"]) || unit == "v";
    let (power, current) = (["w", "watt", "watts", "kw"], ["a", "amp", "amps", "ampere", "amperes"]);
    if about_volts {
        return if (80.0..=500.0).contains(&number) {
            Ok(Some(Content::Volts(Volts(number))))
        } else {
            Err(format!("{} volts: a supply has from 80 to 500", short(written)))
        };
    }
    let of_power = power.contains(&unit.as_str()) || has(&power[1..]);
    if !of_power && !current.contains(&unit.as_str()) {
        return Ok(None);
    }
    let heater =
        (0..tokens.len()).any(|i| matches!(meaning(&word(i)), Some(Means::Act(super::words::Act::Heat, _))));
    if !heater || tokens.len() > 6 {
        return Err(format!(
            "{} of what? What the heater is rated at stands on a line of its own: heater 800 W, or heater 7 A",
            short(written)
        ));
    }
    let rated = if of_power {
        let watts = if unit == "kw" { 1_000.0 * number } else { number };
        (50.0..=10_000.0).contains(&watts).then_some(Rated::Power(Watts(watts)))
    } else {
        (0.5..=50.0).contains(&number).then_some(Rated::Current(Amps(number)))
    };
    let rated = rated
        .ok_or_else(|| format!("{}: a heater has from 50 to 10000 W, or 0.5 to 50 A", short(written)))?;
    Ok(Some(Content::Heater(rated)))
}

#[cfg(test)]
mod tests {
    use super::super::write::written;
    use super::*;

    /// What a line says, as the printer has it, or what is wrong with it.
    fn said(text: &str) -> String {
        match line(text) {
            Ok(None) => String::new(),
            Ok(Some(Content::Says(says))) => written(&says),
            Ok(Some(other)) => format!("{other:?}"),
            Err(what) => format!("! {what}"),
        }
    }

    /// Spellings that people may use. Common practice, no source.
    #[test]
    fn what_people_may_write_is_read() {
        for (texts, means) in [
            (
                &[
                    "wash 4",
                    "Wash 4min",
                    "wash 4'",
                    "4 min wash",
                    "wash, 4 min",
                    "wash: 4",
                    "WASH\t4",
                    "wash = 4",
                    "wash 4 min.",
                ][..],
                "wash 4",
            ),
            (
                &[
                    "wash for about 4 minutes",
                    "~4 min wash",
                    "3. wash 4",
                    "2) wash 4",
                    "- wash 4",
                    "motor 4",
                    "wash 240 s",
                ],
                "wash 4",
            ),
            (
                &[
                    "circ. pump 4",
                    "wash pump 4 min",
                    "wash - 4 min",
                    "wash ... 4",
                    "wash 4 # four",
                    "wash 4:00 min",
                ],
                "wash 4",
            ),
            (
                &[
                    "wash 4:30",
                    "wash 4'30\"",
                    "wash 4 1/2",
                    "wash 4\u{bd}",
                    "wash 4.5",
                    "wash 4,5 min",
                    "wash 4 min 30 s",
                    "wash 4m30s",
                    "wash 4 min 30",
                ],
                "wash 4:30",
            ),
            (
                &[
                    "wash 8-12",
                    "wash 8 - 12 min",
                    "wash 8 to 12",
                    "wash 8\u{2013}12",
                    "8..12 min wash",
                    "wash 480-720 s",
                ],
                "wash 8-12",
            ),
            (
                &[
                    "wash 4 + heat",
                    "heated wash 4",
                    "wash/heat 4",
                    "wash with heat 4",
                    "wash 4 w/ heat",
                    "wash & heater 4",
                    "heat 4",
                ],
                "wash 4 + heat",
            ),
            (
                &[
                    "wash 4 + heat to 55 C",
                    "wash 4 + heat to 55\u{b0}C",
                    "wash/heat 4 min until 131F",
                    "heat 4 to 55 deg C",
                    "wash 4 @ 55 C + heat",
                ],
                "wash 4 + heat to 55 C",
            ),
            (
                &["heat to 55 C", "hold 55 C", "thermo hold 131 \u{b0}F", "Heat until 55 celsius"],
                "heat to 55 C",
            ),
            (
                &["fill 1:30", "fill 1 1/2", "water in 90s", "inlet valve 1.5 min", "fill w/ wash pump 1:30"],
                "fill 1:30",
            ),
            (&["fill", "fill until full"], "fill"),
            (&["drain 1", "pump out 60 s", "Drain pump 1 min", "drain & wash 1"], "drain 1"),
            (&["dry 20 + heat", "heated dry 20", "dry w/heat 20 min"], "dry 20 + heat"),
            (&["dry 5", "fan 5"], "dry 5"),
            (&["pause 2", "off 2", "wait 2"], "pause 2"),
            (
                &["wash 12 + 1-3 purges", "wash 12, purges 1-3", "wash 12 + 1 to 3 purges"],
                "wash 12 + 1-3 purges",
            ),
            (&["wash 12 + may purge", "wash 12 + 0-1 purges"], "wash 12 + 0-1 purges"),
            (
                &[
                    "may wash 2",
                    "maybe wash 2",
                    "wash 2?",
                    "wash 2 (may)",
                    "wash 2 (if dirty)",
                    "wash 2 if dirty",
                ],
                "may wash 2",
            ),
            (&["wash up to 5", "wash max. 5 min"], "wash 0-5"),
            (&["rinse 2", "rinse 2 min"], "rinse 2"),
            (&["detergent wash 3", "3 min detergent wash", "wash 3 (detergent wash)"], "detergent wash 3"),
            (&["wash 3 (heavy soil)"], "wash 3 (heavy soil)"),
            (&["wash 1h 5m", "wash 1:05:00", "wash 65 min"], "wash 65:00"),
            (&["rinse: 1-2 times", "rinse 1-2 x:", "1-2 x rinse:", "rinse: 1\u{2013}2x"], "rinse: 1-2 times"),
            (&["rinse: twice", "2 x rinse:", "rinse x2:"], "rinse: 2 times"),
            (&["may rinse:", "rinse: may"], "may rinse:"),
            (&["main wash:", "main  wash :"], "main wash:"),
            (&["", "  ", "# all of it", "; note", "// note"], ""),
        ] {
            for text in texts {
                assert_eq!(said(text), means, "{text}");
            }
        }
    }

    #[test]
    fn what_cannot_be_meant_is_told_with_its_remedy() {
        for (text, told) in [
            ("wsh 4", "\"wsh\" is not understood; is \"wash\" meant?"),
            ("wash 4 mn", "is \"min\" meant?"),
            ("spin 3", "\"spin\" is not understood; a line is what is on and how long"),
            ("pump 5", "which pump?"),
            ("4", "says nothing that is on"),
            ("wash 90", "90 of what? Write 90 s, or 90 min"),
            ("wash 1.30", "1.30 is 1:30 or 1.30 min?"),
            ("wash 1:5", "1:5 is no time"),
            ("wash 1:75", "1:75 is no time"),
            ("wash 4 5", "two times"),
            ("wash 12-8", "the shorter time of a range comes first"),
            ("wash -4", "-4 is below 0"),
            ("wash 0", "a time of 0 is no interval"),
            ("wash 1/0", "1/0 is no number"),
            ("wash 1e309", "1e309 is no number"),
            ("wash 1e300", "longer than 24 hours"),
            ("wash 99999999999999999999:00", "is no time"),
            ("heat to 55", "heat to 55 of what? Write 55 C, or 55 F"),
            ("heat to 50-55 C", "one temperature"),
            ("heat to 150 C", "water is between 1 and 99 C"),
            ("fill 1 + 49 C", "a temperature is what water is heated to"),
            ("fill and drain 1", "does not go together"),
            ("dispenser 1", "only a dispenser"),
            ("drain 1 + purge", "purges come within a wash"),
            ("wash 4 + 1.5 purges", "a whole number"),
            ("rinse twice", "stands above it with a colon"),
            ("rinse: 9 times", "up to 8 times"),
            ("2 x rinse: twice", "says twice"),
            (":", "a heading needs a name"),
            ("800 W", "800 of what?"),
            ("volts 20", "from 80 to 500"),
            ("heater 5 W", "from 50 to 10000 W"),
            ("name", "a name is missing"),
            ("wash 4 (a", "\"(\" without \")\""),
            ("wash 4) a", "\")\" without \"(\""),
            ("wash 4 (a) (b)", "one name in parentheses"),
            ("wash\u{0}4", "U+0000"),
            ("wash \u{1b}[2J4", "U+001B"),
        ] {
            assert!(said(text).starts_with("! ") && said(text).contains(told), "{text}: {}", said(text));
        }
        assert!(said(&"wash ".repeat(300_000)).contains("longer than 200 characters"));
    }

    #[test]
    fn the_plate_is_read() {
        assert_eq!(line("heater: 0.8 kW"), Ok(Some(Content::Heater(Rated::Power(Watts(800.0))))));
        assert_eq!(line("7 A heater"), Ok(Some(Content::Heater(Rated::Current(Amps(7.0))))));
        assert_eq!(line("120 V"), Ok(Some(Content::Volts(Volts(120.0)))));
        assert_eq!(line("Name: heavy, 120 V"), Ok(Some(Content::Name("heavy, 120 V".into()))));
    }
}
