//! Limits: the least and the most.

/// The least and the most of something.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits<T> {
    /// The least.
    pub low: T,
    /// The most.
    pub high: T,
}

impl<T: PartialOrd> Limits<T> {
    /// Whether `value` is within.
    pub fn hold(&self, value: &T) -> bool {
        *value >= self.low && *value <= self.high
    }
}
