//! Headings, and how often what stands below comes: "main wash:", "may rinse:", "rinse: 1-2 times".

use super::paper::Says;
use super::words::{Means, meaning, spaced};
use crate::chart::{Limits, numbers::MOST_TIMES};

const ONCE: Limits<u32> = Limits { low: 1, high: 1 };

/// The heading that a line is, if it is one.
pub(super) fn heading(text: &str) -> Result<Option<Says>, String> {
    let Some((name, after)) = text.split_once(':') else { return without_colon(text) };
    let may_after = meaning(after.trim()) == Some(Means::May);
    let said = if may_after { Some(Limits { low: 0, high: 1 }) } else { times(after)? };
    if !after.trim().is_empty() && said.is_none() {
        return Ok(None);
    }
    let mut words: Vec<&str> = name.split_whitespace().collect();
    let mut may = false;
    while words.first().is_some_and(|w| meaning(w) == Some(Means::May)) {
        (may, _) = (true, words.remove(0));
    }
    let within = times_beside(&mut words)?;
    if words.is_empty() {
        return Err("a heading needs a name: rinse: 1-2 times".into());
    }
    if said.is_some() && within.is_some() {
        return Err("says twice how often it comes; once is enough: rinse: 1-2 times".into());
    }
    let mut times = said.or(within).unwrap_or(ONCE);
    if may {
        times.low = 0;
    }
    Ok(Some(Says::Heading { name: spaced(&words.join(" ")), times }))
}

/// How often something comes, without a colon: whether that is about this line or those below, nobody can tell.
fn without_colon(text: &str) -> Result<Option<Says>, String> {
    let mut words: Vec<&str> = text.split_whitespace().collect();
    let is_purge = words.iter().any(|w| meaning(w) == Some(Means::Purge));
    if is_purge || times_beside(&mut words)?.is_none() {
        return Ok(None);
    }
    let name = words.join(" ");
    Err(format!(
        "how often a water comes stands above it with a colon, as in \"{name}: 1-2 times\", and below it its fill, wash and drain"
    ))
}

/// Takes how often something comes from the end or the beginning of these words: "rinse 2 times", "2 x rinse".
fn times_beside(words: &mut Vec<&str>) -> Result<Option<Limits<u32>>, String> {
    for count in [2, 1].into_iter().filter(|count| *count < words.len()) {
        let end = words.len() - count;
        if let Some(times) = times(&words[end..].join(" "))? {
            words.truncate(end);
            return Ok(Some(times));
        }
        if let Some(times) = times(&words[..count].join(" "))? {
            words.drain(..count);
            return Ok(Some(times));
        }
    }
    Ok(None)
}

/// How often, if that is what the text says: "twice", "2 times", "1-2 x", "x2".
fn times(text: &str) -> Result<Option<Limits<u32>>, String> {
    let text = text.trim().to_lowercase();
    if meaning(&text) == Some(Means::Twice) {
        return Ok(Some(Limits { low: 2, high: 2 }));
    }
    let number =
        ["times", "x", "\u{d7}"].iter().find_map(|word| text.strip_suffix(word).or(text.strip_prefix(word)));
    let Some(number) = number.map(str::trim) else { return Ok(None) };
    let (low, high) = number.split_once(['-', '\u{2013}']).unwrap_or((number, number));
    let Some((low, high)) = low.trim().parse::<u32>().ok().zip(high.trim().parse::<u32>().ok()) else {
        return Ok(None);
    };
    if low > high || high == 0 || high > MOST_TIMES {
        return Err(format!(
            "a water comes up to {MOST_TIMES} times, the smaller number first: rinse: 1-2 times"
        ));
    }
    Ok(Some(Limits { low, high }))
}
