//! The words of a sheet, in the spellings that people use, and the word that one who mistyped may have meant.

/// With single spaces.
pub(super) fn spaced(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What a word says of an interval.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Act {
    Fill,
    Wash,
    Heat,
    Drain,
    Dry,
    Pause,
    /// Something small that is on as well, and decides nothing: a dispenser.
    Beside,
    /// Vent or fan: drying where nothing else is said.
    Air,
}

/// What a word means.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Means {
    /// Something is on. `true`: the word is a name too, as a rinse is a wash of its own name.
    Act(Act, bool),
    Purge,
    /// What follows may be left out.
    May,
    Hours,
    Minutes,
    Seconds,
    CelsiusUnit,
    FahrenheitUnit,
    /// "to", "until": a temperature follows, or the end of a range.
    To,
    /// Words before a time that is the most: "max".
    Most,
    /// "times", "x".
    Times,
    Twice,
    /// Parts what is on, as "+" does.
    And,
    /// Says nothing: "for", "about".
    Filler,
}

use Means::{Act as Is, And, Filler, May, Most, To};

/// Words and what they mean, in lower case and without hyphens.
const WORDS: &[(&[&str], Means)] = &[
    (&["fill", "fills", "filling", "refill", "inlet", "intake"], Is(Act::Fill, false)),
    (
        &[
            "wash",
            "washes",
            "washing",
            "circulate",
            "circulates",
            "circulating",
            "circulation",
            "circ",
            "spray",
            "motor",
        ],
        Is(Act::Wash, false),
    ),
    (&["rinse", "rinsing", "prewash", "prerinse", "mainwash", "finalrinse"], Is(Act::Wash, true)),
    (
        &["heat", "heats", "heating", "heated", "heater", "hold", "thermohold", "thermalhold", "element"],
        Is(Act::Heat, false),
    ),
    (&["drain", "drains", "draining", "empty", "empties", "emptying", "pumpout"], Is(Act::Drain, false)),
    (&["dry", "dries", "drying"], Is(Act::Dry, false)),
    (&["pause", "pauses", "wait", "waits", "idle", "stop", "off", "standing"], Is(Act::Pause, false)),
    (&["soak", "soaks", "rest"], Is(Act::Pause, true)),
    (&["dispenser", "dispense", "detergent", "soap", "rinseaid"], Is(Act::Beside, false)),
    (&["vent", "fan", "blower"], Is(Act::Air, false)),
    (&["purge", "purges", "purging"], Means::Purge),
    (&["may", "maybe", "optional", "optionally", "sometimes", "possibly", "perhaps", "?"], May),
    (&["h", "hr", "hrs", "hour", "hours"], Means::Hours),
    (&["m", "min", "mins", "minute", "minutes", "'"], Means::Minutes),
    (&["s", "sec", "secs", "second", "seconds", "\""], Means::Seconds),
    (&["c", "celsius", "centigrade"], Means::CelsiusUnit),
    (&["f", "fahrenheit"], Means::FahrenheitUnit),
    (&["to", "until", "till", "reach", "reaches", "at", "@"], To),
    (&["max", "maximum", "upto", "most"], Most),
    (&["x", "times"], Means::Times),
    (&["twice"], Means::Twice),
    (&["+", "&", ",", ";", "/", "and", "with", "w"], And),
    (
        &[
            "for",
            "the",
            "a",
            "of",
            "about",
            "approx",
            "approximately",
            "ca",
            "circa",
            "~",
            ".",
            "deg",
            "degree",
            "degrees",
            "then",
            "on",
            "takes",
            "lasts",
            "full",
            ":",
            "=",
            "-",
            "|",
            "*",
            "time",
        ],
        Filler,
    ),
];

/// Two words that are one.
const PAIRS: &[([&str; 2], &str)] = &[
    (["pump", "out"], "drain"),
    (["pumps", "out"], "drain"),
    (["drain", "pump"], "drain"),
    (["wash", "pump"], "wash"),
    (["circulation", "pump"], "wash"),
    (["circ", "pump"], "wash"),
    (["wash", "motor"], "wash"),
    (["fill", "valve"], "fill"),
    (["inlet", "valve"], "fill"),
    (["water", "valve"], "fill"),
    (["water", "in"], "fill"),
    (["thermal", "hold"], "heat"),
    (["thermo", "hold"], "heat"),
    (["rinse", "aid"], "dispenser"),
    (["up", "to"], "max"),
    (["at", "most"], "max"),
];

/// What a word means, if it is one of a sheet's.
pub(super) fn meaning(word: &str) -> Option<Means> {
    let plain: String =
        word.chars().filter(|c| *c != '-' || word == "-").flat_map(char::to_lowercase).collect();
    WORDS.iter().find(|(words, _)| words.contains(&plain.as_str())).map(|(_, means)| *means)
}

/// The one word that two in a row are, if they are one.
pub(super) fn joined(first: &str, second: &str) -> Option<&'static str> {
    let same = |pair: &[&str; 2]| first.eq_ignore_ascii_case(pair[0]) && second.eq_ignore_ascii_case(pair[1]);
    PAIRS.iter().find(|(pair, _)| same(pair)).map(|(_, one)| *one)
}

/// The word of a sheet that was meant by one that is none, if one letter more, less or other makes it so, or two that are swapped.
pub(super) fn meant(word: &str) -> Option<&'static str> {
    let typed: Vec<char> = word.chars().flat_map(char::to_lowercase).collect();
    let known =
        WORDS.iter().filter(|(_, means)| matches!(means, Is(..) | May | Means::Purge | Means::Minutes));
    let words = known.flat_map(|(words, _)| words.iter()).filter(|w| w.len() > 2);
    words.copied().find(|w| is_one_slip(&typed, &w.chars().collect::<Vec<_>>()))
}

fn is_one_slip(a: &[char], b: &[char]) -> bool {
    let same = a.iter().zip(b).take_while(|(x, y)| x == y).count();
    let (a, b) = (&a[same..], &b[same..]);
    match (a, b) {
        ([x, y, ..], [z, w, ..]) if x == w && y == z && a[2..] == b[2..] => true,
        ([_, ..], [_, ..]) if a[1..] == b[1..] || a[1..] == *b || *a == b[1..] => true,
        ([_], []) | ([], [_]) => true,
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn no_word_means_two_things() {
        let all = || WORDS.iter().flat_map(|(words, _)| words.iter());
        assert_eq!(all().collect::<BTreeSet<_>>().len(), all().count());
        assert!(PAIRS.iter().all(|(_, one)| meaning(one).is_some()));
    }

    #[test]
    fn a_slip_of_the_finger_is_seen_through() {
        for (typed, word) in
            [("wsh", "wash"), ("dran", "drain"), ("flil", "fill"), ("washh", "wash"), ("Rinze", "rinse")]
        {
            assert_eq!(meant(typed), Some(word), "{typed}");
        }
        assert_eq!(["detergents", "polish", "", "xyzzy"].map(meant), [Some("detergent"), None, None, None]);
    }
}
