//! Constants that could have another value: each declared once, with its unit, its meaning and where it comes from, and all of them
//! listed, so that a program can move one after the other and see which of them matter (`cargo xtask sensitivity`).
//!
//! A stage declares its own in its `constants.rs`, a check those that nobody else needs in its own file. What a formula has (a half,
//! a square) and what only bounds the work or the memory is none of them.

use tubtrace_units::{Amps, Celsius, Seconds, Watts};

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
    /// Its stage, its file where that is a check's, and its own name: "checks.drain.FLOWS".
    pub name: &'static str,
    /// Its value as declared.
    pub value: T,
    /// The unit of its number: "s", "nats", "part". A "factor" multiplies, a "part" is of a whole.
    pub unit: &'static str,
    /// What it means, in a sentence.
    pub meaning: &'static str,
    /// Where its value comes from.
    pub origin: Origin,
}

impl<T: Number> Constant<T> {
    /// The value that the program works with: the declared one, in every build but that of the sensitivity analysis.
    #[inline]
    #[must_use]
    pub fn get(&self) -> T {
        #[cfg(feature = "sensitivity")]
        if let Some(number) = moved::of(self.name) {
            return T::from_number(number);
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
    fn from_number(number: f64) -> Self;
}

macro_rules! numbers {
    ($counts:literal: $($kind:ty, $number:expr, $from:expr;)+) => {$(
        impl Number for $kind {
            const COUNTS: bool = $counts;

            fn number(self) -> f64 {
                $number(self)
            }

            fn from_number(number: f64) -> Self {
                $from(number)
            }
        }
    )+};
}

numbers! { false:
    f64, |x| x, |x| x;
    Seconds, |x: Self| x.0, Self;
    Celsius, |x: Self| x.0, Self;
    Amps, |x: Self| x.0, Self;
    Watts, |x: Self| x.0, Self;
}

numbers! { true:
    usize, |x| x as f64, |x: f64| x.round() as Self;
    u32, f64::from, |x: f64| x.round() as Self;
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
    const fn key(name: &str) -> u64 {
        let (bytes, mut hash, mut at) = (name.as_bytes(), 0xcbf2_9ce4_8422_2325_u64, 0);
        while at < bytes.len() {
            hash = (hash ^ bytes[at] as u64).wrapping_mul(0x0100_0000_01b3);
            at += 1;
        }
        hash
    }

    pub(super) fn of(name: &'static str) -> Option<f64> {
        let which = WHICH.load(Relaxed);
        (which != 0 && which == key(name)).then(|| f64::from_bits(NUMBER.load(Relaxed)))
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
