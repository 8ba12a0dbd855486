//! How probable a duration is, in nats of its logarithm: in a programme, and in one that nobody knows.

use tubtrace_units::Seconds;

use super::constants::{KINDS, LONGEST, NEW, SHORTEST};
use crate::chart::{Expected, Machine};
use crate::intervals::Kind;

/// How probable an interval of this kind and length is in a programme of the machine that nobody knows.
pub(super) fn unknown(machine: &Machine, kind: Kind, lasts: Seconds) -> f64 {
    let all = || machine.programmes.iter().flat_map(|c| &c.parts).flat_map(|p| &p.intervals);
    let alike: f64 = all().filter(|e| e.kind == kind).filter_map(|e| density(e, lasts)).sum();
    let count = all().count().max(1) as f64;
    (1.0 - NEW.get()) * alike / count + NEW.get() * anywhere() / KINDS.get()
}

/// The density of the logarithm of a duration, if it is within its limits. Where there are none, every length is foreseen.
pub(super) fn density(expected: &Expected, lasts: Seconds) -> Option<f64> {
    expected.lasts.is_none_or(|limits| limits.hold(&lasts)).then(|| within(expected))
}

/// The density of the logarithm of a duration anywhere within its limits.
pub(super) fn within(expected: &Expected) -> f64 {
    let Some(limits) = expected.lasts else { return anywhere() };
    let least = SHORTEST.get().0;
    let (low, high) = (limits.low.0.max(least), limits.high.0.max(least));
    1.0 / (high / low).ln().max(0.01)
}

/// The density of the logarithm of a duration of which nothing is known.
pub(super) fn anywhere() -> f64 {
    1.0 / (LONGEST.get() / SHORTEST.get()).ln()
}
