//! Constants that could have another value: each declared once, with its unit, its meaning and where it comes from, and all of them
//! listed, so that a program can move one after the other and see which of them matter (`cargo xtask sensitivity`).
//!
//! A stage declares its own in its `constants.rs`, a check those that nobody else needs in its own file. What a formula has (a half,
//! a square) and what only bounds the work or the memory is none of them.

use tubtrace_units::{Amps, Celsius, Joules, Seconds, Watts};

/// Where the value of a constant comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// It is published, in which standard, handbook or article and where in it; or it follows from what is said here.
    Source(&'static str),
    /// It is common practice of the trade, and has no source.
    Practice,
    /// It was adjusted until the development seeds (300..559 of the score) came out right.
    Fitted,
    /// It is a guess that nobody measured, kept because the development seeds come out right with it.
    Guess,
}

/// A number that could have another value, in the type that carries its unit.
#[derive(Clone, Copy, Debug)]
pub struct Constant<T> {
    /// Its stage, its file where that is a check's, and its own name: "checks.drain_end.LESS".
    pub name: &'static str,
    /// Its value as declared.
    pub value: T,
    /// The unit of its number: "s", "nats", "part". A "factor" multiplies, a "part" is of a whole.
    pub unit: &'static str,
    /// What it means, in a sentence.
    pub meaning: &'static str,
    /// Where its value comes from.
    pub origin: Origin,
    /// Its name as a number: values are read in the innermost loops.
    #[cfg(feature = "sensitivity")]
    pub key: u64,
}

impl<T: Number> Constant<T> {
    /// The value that the program works with: the declared one, in every build but that of the sensitivity analysis.
    #[inline]
    #[must_use]
    pub fn get(&self) -> T {
        #[cfg(feature = "sensitivity")]
        if let Some(number) = moved::of(self.key) {
            return self.value.with(number);
        }
        self.value
    }
}

/// What a constant may be: a number with or without a unit in its type.
pub trait Number: Copy {
    /// Whether it counts something, and so is a whole number.
    const COUNTS: bool;
    /// Its number, in the unit of its type.
    fn number(self) -> f64;
    /// The value with this number.
    #[must_use]
    fn with(self, number: f64) -> Self;
}

macro_rules! numbers {
    ($counts:literal: $($kind:ty, $number:expr, $from:expr;)+) => {$(
        impl Number for $kind {
            const COUNTS: bool = $counts;

            fn number(self) -> f64 {
                $number(self)
            }

            fn with(self, number: f64) -> Self {
                $from(number)
            }
        }
    )+};
}

numbers! { false:
    f64, |x| x, |x| x;
    Seconds, |x: Self| x.0, Self;
    Celsius, |x: Self| x.0, Self;
    Joules, |x: Self| x.0, Self;
    Amps, |x: Self| x.0, Self;
    Watts, |x: Self| x.0, Self;
}

numbers! { true:
    usize, |x| x as f64, |x: f64| x.round() as Self;
    u32, f64::from, |x: f64| x.round() as Self;
}

/// How often each of several things is the case, of which only the ratios count: a row of a table. Its number is 1, the power to which all
/// are raised. So a row is moved as a whole: less than 1 makes what it lists more alike, more than 1 makes what is frequent more so.
#[derive(Clone, Copy, Debug)]
pub struct Weights<T: 'static> {
    declared: &'static [(T, f64)],
    power: f64,
}

impl<T: Copy> Weights<T> {
    pub(crate) const fn of(declared: &'static [(T, f64)]) -> Self {
        Self { declared, power: 1.0 }
    }

    /// Each with its weight.
    pub(crate) fn each(self) -> impl Iterator<Item = (T, f64)> {
        let as_declared = self.power == 1.0;
        self.declared.iter().map(move |(what, w)| (*what, if as_declared { *w } else { w.powf(self.power) }))
    }
}

impl<T: Copy> Number for Weights<T> {
    const COUNTS: bool = false;

    fn number(self) -> f64 {
        self.power
    }

    fn with(self, power: f64) -> Self {
        Self { power, ..self }
    }
}

/// A constant whatever its type.
pub trait Listed: Sync {
    /// Its name, as [`Constant::name`] says it.
    fn name(&self) -> &'static str;
    /// Its number as declared, in its unit.
    fn number(&self) -> f64;
    /// Whether it is a whole number.
    fn counts(&self) -> bool;
    /// Its unit, as [`Constant::unit`] says it.
    fn unit(&self) -> &'static str;
    /// What it means, as [`Constant::meaning`] says it.
    fn meaning(&self) -> &'static str;
    /// Where its value comes from, as [`Constant::origin`] says it.
    fn origin(&self) -> Origin;
}

impl<T: Number + Sync> Listed for Constant<T> {
    fn name(&self) -> &'static str {
        self.name
    }

    fn number(&self) -> f64 {
        self.value.number()
    }

    fn counts(&self) -> bool {
        T::COUNTS
    }

    fn unit(&self) -> &'static str {
        self.unit
    }

    fn meaning(&self) -> &'static str {
        self.meaning.trim()
    }

    fn origin(&self) -> Origin {
        self.origin
    }
}

/// Constants of one stage or of one check's file.
pub type List = &'static [&'static dyn Listed];

/// Declares constants, and `ALL`, the list of them: what is declared cannot be forgotten in the list. After the place that comes before
/// their names, each has its meaning as a comment, name, type, value, unit and [`Origin`].
macro_rules! constants {
    ($place:literal: $($(#[doc = $meaning:literal])+ $name:ident: $kind:ty = $value:expr, $unit:literal, $origin:expr;)+) => {
        $(
            $(#[doc = $meaning])+
            pub(crate) const $name: $crate::constant::Constant<$kind> = {
                #[allow(unused_imports, reason = "each uses one of them")]
                use $crate::constant::Origin::*;
                $crate::constant::Constant {
                    name: concat!($place, ".", stringify!($name)),
                    value: $value,
                    unit: $unit,
                    meaning: concat!($($meaning),+),
                    origin: $origin,
                    #[cfg(feature = "sensitivity")]
                    key: $crate::constant::moved::key(concat!($place, ".", stringify!($name))),
                }
            };
        )+

        /// The constants that are declared here.
        pub(crate) const ALL: $crate::constant::List = &[$(&$name),+];
    };
}

pub(crate) use constants;

/// One constant at a time has another value: for the sensitivity analysis alone, which is one process and moves nothing while it
/// works.
#[cfg(feature = "sensitivity")]
pub mod moved {
    use std::sync::atomic::{AtomicU64, Ordering::Relaxed};

    use super::Listed;

    static WHICH: AtomicU64 = AtomicU64::new(0);
    static NUMBER: AtomicU64 = AtomicU64::new(0);

    /// The name as a number, FNV-1a.
    pub(crate) const fn key(name: &str) -> u64 {
        let (bytes, mut hash, mut at) = (name.as_bytes(), 0xcbf2_9ce4_8422_2325_u64, 0);
        while at < bytes.len() {
            hash = (hash ^ bytes[at] as u64).wrapping_mul(0x0100_0000_01b3);
            at += 1;
        }
        hash
    }

    #[inline]
    pub(super) fn of(key: u64) -> Option<f64> {
        (WHICH.load(Relaxed) == key).then(|| f64::from_bits(NUMBER.load(Relaxed)))
    }

    /// From now on this constant has this number, and every other its own.
    pub fn to(constant: &dyn Listed, number: f64) {
        NUMBER.store(number.to_bits(), Relaxed);
        WHICH.store(key(constant.name()), Relaxed);
    }

    /// From now on every constant has its own value.
    pub fn back() {
        WHICH.store(0, Relaxed);
    }
}

#[cfg(test)]
mod tests {
    use super::{Number, Weights};

    #[test]
    fn a_row_is_moved_by_the_power_to_which_its_weights_are_raised() {
        let row = Weights::of(&[("often", 4.0), ("seldom", 0.25)]);
        assert_eq!(row.number(), 1.0);
        assert_eq!(row.each().collect::<Vec<_>>(), [("often", 4.0), ("seldom", 0.25)]);
        assert_eq!(row.with(0.5).each().collect::<Vec<_>>(), [("often", 2.0), ("seldom", 0.5)]);
    }
}
