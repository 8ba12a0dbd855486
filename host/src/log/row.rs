//! One row of a CSV.

use tubtrace_units::Celsius;

/// Times closer than this, in seconds, are one: files have them to a millisecond.
pub(super) const SAME: f64 = 1e-3;

/// A row that could be used. Compact: there are millions.
pub(super) struct Row {
    /// Seconds since whatever the first row's time counts from.
    pub(super) time: f64,
    /// Watts or amperes.
    pub(super) value: f64,
    /// How long it holds; not a number, where the file does not say.
    pub(super) lasts: f64,
    /// Where it stands.
    pub(super) line: u32,
    /// Degrees C of the supply and the drain clip; not a number, where the file does not say.
    pub(super) clips: [f32; 2],
}

impl Row {
    /// How long it holds, where the file says.
    pub(super) fn lasts(&self) -> Option<f64> {
        (!self.lasts.is_nan()).then_some(self.lasts)
    }

    /// Supply and drain.
    pub(super) fn clips(&self) -> [Option<Celsius>; 2] {
        // Back to the decimals that the file has: a clip tells hundredths.
        self.clips.map(|c| (!c.is_nan()).then(|| Celsius((f64::from(c) * 1e4).round() / 1e4)))
    }
}
