//! A table of sines: a phase is the whole range of a `u32`.

use std::f64::consts::TAU;
use std::sync::LazyLock;

const BITS: u32 = 14;

pub(super) static SINE: LazyLock<Box<[f32]>> = LazyLock::new(|| {
    (0..1 << BITS).map(|i| (TAU * f64::from(i) / f64::from(1 << BITS)).sin() as f32).collect()
});

/// The sine of a phase.
#[inline]
pub(super) fn sine(table: &[f32], phase: u32) -> f32 {
    table[(phase >> (32 - BITS)) as usize & ((1 << BITS) - 1)]
}
