//! Limits: the least and the most.

use std::ops::Add;

/// The least and the most of something.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits<T> {
    /// The least value that is still within.
    pub low: T,
    /// The greatest value that is still within.
    pub high: T,
}

/// The least and the most of one after the other.
impl<T: Add<Output = T>> Add for Limits<T> {
    type Output = Self;

    fn add(self, next: Self) -> Self {
        Self { low: self.low + next.low, high: self.high + next.high }
    }
}

impl<T: PartialOrd> Limits<T> {
    /// Whether `value` is within.
    pub fn hold(&self, value: &T) -> bool {
        *value >= self.low && *value <= self.high
    }
}
