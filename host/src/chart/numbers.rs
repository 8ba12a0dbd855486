//! Numbers of a chart: what they can be, and pairs of the least and the most.

use std::collections::BTreeMap;
use std::fmt::Display;

use serde::Deserialize;
use toml::{Spanned, Value};

use super::complaint::{Complaint, complain};
use super::limits::Limits;

/// Nothing of a programme lasts longer than a day, in seconds.
pub(crate) const LONGEST: f64 = 86_400.0;

/// Nothing of a machine on a plug draws more, in amperes.
pub(crate) const MOST_AMPS: f64 = 100.0;

/// No load of a machine draws less, in amperes.
pub(crate) const LEAST_AMPS: f64 = 0.001;

/// What a wash draws is that of a pump within so many times it, and that of pumps further apart is not taken for each other's. A guess.
pub(crate) const PUMPS_DIFFER: f64 = 1.25;

/// Water is not warmer in an open tub, in degrees C.
pub(crate) const WARMEST: f64 = 99.0;

/// Purges of one wash at most; more is a typing error.
pub(crate) const MOST_PURGES: u32 = 1_000;

/// A part may come this often at most; more is a typing error.
pub(crate) const MOST_TIMES: u32 = 8;

/// Intervals of a chart at most, those of a part that comes several times counted as often: a programme has some dozens. The work
/// of an explanation grows with it.
pub(crate) const MOST_INTERVALS: usize = 500;

/// The least and the most of something, from 0 to `most`.
pub(super) fn pair<T: Copy + Default + PartialOrd + Display>(
    said: Spanned<Vec<T>>,
    most: T,
    unit: &str,
) -> Result<Limits<T>, Complaint> {
    let [low, high] = said.get_ref()[..] else {
        let count = said.get_ref().len();
        return Err(complain(
            &said,
            format!("these are two {unit}, the least and the most, and here are {count}"),
        ));
    };
    if !(low >= T::default() && low <= most && high >= T::default() && high <= most) {
        return Err(complain(&said, format!("these are {unit}, from 0 to {most}")));
    }
    if low > high {
        return Err(complain(&said, format!("the smaller number comes first: [{high}, {low}]")));
    }
    Ok(Limits { low, high })
}

#[derive(Deserialize)]
struct Said {
    #[serde(default)]
    habits: BTreeMap<String, Spanned<Value>>,
}

/// Whether the numbers of the baselines in this text can be meant: none is negative or no number, and pairs are pairs. Which baselines
/// there are and of what kind is told before.
pub(super) fn baselines_can_be(text: &str) -> Result<(), Complaint> {
    let Ok(said) = toml::from_str::<Said>(text) else { return Ok(()) };
    for (habit, value) in &said.habits {
        let of_pair = value.get_ref().as_array().map(|pair| pair.iter().filter_map(number).collect());
        let numbers: Vec<f64> = of_pair.unwrap_or_else(|| number(value.get_ref()).into_iter().collect());
        if !numbers.iter().all(|n| n.is_finite() && *n >= 0.0) {
            return Err(complain(value, format!("{habit} is counted or measured from 0 on")));
        }
        if value.get_ref().is_array() && !matches!(numbers[..], [low, high] if low <= high) {
            return Err(complain(value, format!("{habit} is two numbers, the smaller first")));
        }
    }
    Ok(())
}

fn number(value: &Value) -> Option<f64> {
    value.as_float().or(value.as_integer().map(|n| n as f64))
}
