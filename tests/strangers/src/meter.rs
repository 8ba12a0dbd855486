//! Meters: what they make of the watts of a day.

use crate::clock::ticks;
use crate::rng::Rng;

/// What reads the machine, and how often.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Meter {
    /// A reading each second, in steps of 1 W.
    OneWatt,
    /// A reading each second, in steps of 2 W.
    TwoWatts,
    /// A reading each second, in steps of 0.1 W, with half a watt of noise.
    Tenths,
    /// A reading every 4 to 6 seconds, of the second before, in steps of 1 W.
    Slow,
    /// A reading each second in steps of 1 W, with stretches missing.
    Gaps,
    /// Means over ten seconds.
    TenSeconds,
    /// Means over a minute.
    Minute,
}

/// Names, meters and a sentence each.
pub const METERS: [(&str, Meter, &str); 7] = [
    ("w1", Meter::OneWatt, "each second, steps of 1 W"),
    ("w2", Meter::TwoWatts, "each second, steps of 2 W"),
    ("d1", Meter::Tenths, "each second, steps of 0.1 W, 0.5 W of noise"),
    ("slow", Meter::Slow, "every 4 to 6 s, steps of 1 W"),
    ("gaps", Meter::Gaps, "each second, steps of 1 W, stretches missing"),
    ("m10", Meter::TenSeconds, "means over 10 s, steps of 0.1 W"),
    ("m60", Meter::Minute, "means over 60 s, steps of 0.1 W"),
];

impl Meter {
    /// The meter of a name.
    pub fn named(name: &str) -> Option<Meter> {
        METERS.iter().find(|m| m.0 == name).map(|m| m.1)
    }

    /// Decimals that it writes.
    pub fn decimals(self) -> usize {
        match self {
            Meter::Tenths | Meter::TenSeconds | Meter::Minute => 1,
            _ => 0,
        }
    }
}

/// One reading: the tick of its time, and watts.
pub type Reading = (usize, f64);

fn mean(watts: &[f32]) -> f64 {
    watts.iter().map(|w| f64::from(*w)).sum::<f64>() / watts.len().max(1) as f64
}

/// Means over so many ticks, timed at their beginning.
fn means(watts: &[f32], ticks: usize) -> Vec<Reading> {
    let each = watts.chunks(ticks).enumerate();
    each.map(|(n, c)| (n * ticks, mean(c))).collect()
}

/// Stretches that are lost: `keep` is told for each second.
fn gaps(readings: &mut Vec<Reading>, r: &mut Rng, cycles: &[(usize, usize)]) {
    let mut lost = Vec::new();
    for _ in 0..r.whole(1, 5) {
        let from = r.range(0.0, 86_000.0) as usize * 10;
        lost.push((from, from + ticks(r.range(20.0, 2400.0))));
    }
    for (from, to) in cycles {
        if r.chance(0.6) {
            let at = r.range(*from as f64, *to as f64) as usize;
            lost.push((at, at + ticks(r.range(5.0, 400.0))));
        }
    }
    readings.retain(|(t, _)| {
        let in_gap = lost.iter().any(|(a, b)| t >= a && t < b);
        !in_gap && !r.chance(0.002)
    });
}

/// Read a day. The spans of the cycles say where a lost stretch does harm.
pub fn read(m: Meter, watts: &[f32], cycles: &[(usize, usize)], r: &mut Rng) -> Vec<Reading> {
    let mut out = match m {
        Meter::TenSeconds => means(watts, 100),
        Meter::Minute => means(watts, 600),
        Meter::Slow => {
            let mut out = Vec::new();
            let mut t = 10;
            while t < watts.len() {
                out.push((t, mean(&watts[t - 10..t])));
                t += 10 * r.whole(4, 6);
            }
            out
        }
        _ => means(watts, 10),
    };
    if m == Meter::Gaps {
        gaps(&mut out, r, cycles);
    }
    for (_, w) in &mut out {
        *w = match m {
            Meter::TwoWatts => (*w / 2.0).round() * 2.0,
            Meter::Tenths => {
                let noise = r.normal(0.0, 0.5);
                ((*w + noise).max(0.0) * 10.0).round() / 10.0
            }
            Meter::TenSeconds | Meter::Minute => (*w * 10.0).round() / 10.0,
            _ => w.round(),
        };
    }
    out
}
