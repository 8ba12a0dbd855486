//! Times and temperatures of a line: "4", "1:30", "90 s", "4 min 30 s", "8-12", "55 C".

use tubtrace_units::{Celsius, Seconds};

use super::paper::Time;
use super::tokens::Token;
use super::words::{Means, meaning};
use crate::chart::Limits;
use crate::chart::numbers::LONGEST;

/// A number without a unit is in minutes up to this; beyond, it is asked what it is of.
const MINUTES_UNSAID: f64 = 60.0;

const ONE_TEMPERATURE: &str = "one temperature is what the water is heated to: heat to 55 C";

/// What a number with its unit is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Quantity {
    Time(Time),
    Warm(Celsius),
}

/// A number as it stands, before it is known what it is of.
enum Plain {
    /// A time in seconds, and how many seconds its last unit has.
    Said(f64, f64),
    Warm(Celsius),
    /// Without a unit.
    Unsaid(f64, String),
}

/// The quantity that begins at `at`, and where it ends.
pub(super) fn quantity(tokens: &[Token], at: usize) -> Result<(Quantity, usize), String> {
    let (first, end) = plain(tokens, at)?;
    let (low, high, end) = match range(tokens, end) {
        Some(second) => match (first, plain(tokens, second)?) {
            (Plain::Warm(_), (Plain::Warm(_), _)) => {
                return Err(ONE_TEMPERATURE.into());
            }
            (Plain::Warm(warm), _) => return Ok((Quantity::Warm(warm), end)),
            // "4 to 55 C": a time, and then a temperature.
            (_, (Plain::Warm(_), _)) if !is_to(tokens, end) => return Err(ONE_TEMPERATURE.into()),
            (first, (Plain::Warm(_), _)) => return Ok((Quantity::Time(about(first)?), end)),
            (low, (high, end)) => {
                let unit = |plain: &Plain| if let Plain::Said(_, unit) = plain { Some(*unit) } else { None };
                let unit = unit(&high).or(unit(&low));
                (seconds(low, unit)?, seconds(high, unit)?, end)
            }
        },
        None => match first {
            Plain::Warm(warm) => return Ok((Quantity::Warm(warm), end)),
            time => return Ok((Quantity::Time(about(time)?), end)),
        },
    };
    if low > high {
        return Err("the shorter time of a range comes first: 8-12".into());
    }
    Ok((Quantity::Time(Time::Between(Limits { low, high })), end))
}

fn about(plain: Plain) -> Result<Time, String> {
    let time = seconds(plain, None)?;
    if time.0 < 1.0 {
        return Err("a time of 0 is no interval; leave the time out where the paper has none".into());
    }
    Ok(Time::About(time))
}

/// Where the second number of a range begins, if one goes on at `at`.
fn range(tokens: &[Token], at: usize) -> Option<usize> {
    let is = |i: usize, sign: &str| matches!(tokens.get(i), Some(Token::Word(w)) if w == sign);
    let next = if is(at, "-") || is_to(tokens, at) {
        at + 1
    } else if is(at, ".") && is(at + 1, ".") {
        at + 2
    } else {
        return None;
    };
    matches!(tokens.get(next), Some(Token::Number(..) | Token::Clock(..))).then_some(next)
}

fn is_to(tokens: &[Token], at: usize) -> bool {
    matches!(tokens.get(at), Some(Token::Word(w)) if w.eq_ignore_ascii_case("to"))
}

fn plain(tokens: &[Token], at: usize) -> Result<(Plain, usize), String> {
    match &tokens[at] {
        Token::Clock(seconds, _) => Ok(match word(tokens, at + 1) {
            Some(Means::Minutes) => (Plain::Said(*seconds, 60.0), at + 2),
            Some(Means::Hours) => (Plain::Said(60.0 * seconds, 3_600.0), at + 2),
            _ => (Plain::Said(*seconds, 60.0), at + 1),
        }),
        Token::Number(number, written) => {
            let unit = at + 1 + usize::from(is_degree(tokens, at + 1));
            match word(tokens, unit) {
                Some(Means::CelsiusUnit) => Ok((Plain::Warm(warm(*number, written)?), unit + 1)),
                Some(Means::FahrenheitUnit) => {
                    Ok((Plain::Warm(warm((number - 32.0) / 1.8, written)?), unit + 1))
                }
                _ => Ok(match per(tokens, at + 1) {
                    Some(seconds) => compound(tokens, at, seconds),
                    None => (Plain::Unsaid(*number, written.clone()), at + 1),
                }),
            }
        }
        Token::Word(word) => Err(format!("a number is missing at \"{word}\"")),
    }
}

/// Hours, minutes and seconds that stand in a row: "4 min 30 s", "4'30".
fn compound(tokens: &[Token], mut at: usize, mut unit: f64) -> (Plain, usize) {
    let mut sum = 0.0;
    while let Some(Token::Number(number, _)) = tokens.get(at) {
        match per(tokens, at + 1) {
            Some(seconds) if sum == 0.0 || seconds < unit => {
                sum += number * seconds;
                (unit, at) = (seconds, at + 2);
            }
            // Seconds whose unit goes without saying.
            None if sum > 0.0 && unit == 60.0 && at + 1 == tokens.len() && *number < 60.0 => {
                return (Plain::Said(sum + number, 60.0), at + 1);
            }
            _ => break,
        }
    }
    (Plain::Said(sum, unit), at)
}

fn word(tokens: &[Token], at: usize) -> Option<Means> {
    if let Some(Token::Word(word)) = tokens.get(at) { meaning(word) } else { None }
}

fn is_degree(tokens: &[Token], at: usize) -> bool {
    matches!(tokens.get(at), Some(Token::Word(w)) if ["deg", "degree", "degrees"].contains(&w.to_lowercase().as_str()))
}

/// Seconds of the unit of time that stands here.
fn per(tokens: &[Token], at: usize) -> Option<f64> {
    match word(tokens, at)? {
        Means::Hours => Some(3_600.0),
        Means::Minutes => Some(60.0),
        Means::Seconds => Some(1.0),
        _ => None,
    }
}

/// In whole seconds; a number without a unit is of `unit`, or of minutes.
fn seconds(plain: Plain, unit: Option<f64>) -> Result<Seconds, String> {
    let seconds = match plain {
        Plain::Said(seconds, _) => seconds,
        Plain::Unsaid(number, written) => {
            let decimals = written.split_once('.').map_or(0, |(_, decimals)| decimals.len());
            if unit.is_none() && number > MINUTES_UNSAID && number <= LONGEST {
                return Err(format!("{written} of what? Write {written} s, or {written} min"));
            }
            if unit.is_none() && decimals == 2 {
                let clock = written.replace('.', ":");
                return Err(format!("{written} is {clock} or {written} min? Write the one that is meant"));
            }
            number * unit.unwrap_or(60.0)
        }
        Plain::Warm(_) => return Err("a temperature is no time".into()),
    };
    if seconds > LONGEST {
        return Err(
            "that is longer than 24 hours, which no interval lasts; minutes are meant, as 4 or 1:30".into()
        );
    }
    Ok(Seconds(seconds.round()))
}

/// To a tenth of a degree.
fn warm(celsius: f64, written: &str) -> Result<Celsius, String> {
    let warm = (10.0 * celsius).round() / 10.0;
    if (1.0..=99.0).contains(&warm) {
        Ok(Celsius(warm))
    } else {
        Err(format!("{written} degrees: water is between 1 and 99 C, or 34 and 210 F"))
    }
}
