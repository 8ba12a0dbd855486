//! Faults put into real readings, at a place and of a severity from a seed. Where heat is, the watts say; where it fills, washes and
//! drains is taken from the program's own timeline of the day as it was, which may be wrong.

use rand::{RngExt, SeedableRng};
use rand_xoshiro::Xoshiro256PlusPlus;

use crate::program::Interval;

/// A heater draws more than this beside a pump, and nothing else does. The recordings' README has 2.0 to 2.2 kW.
const HEATS: f64 = 1_000.0;

/// Readings of a pump that runs are this near to their median, but those in which it starts or stops.
const NEAR: f64 = 0.1;

/// A fault that is put into real readings.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Wrong {
    /// The heater draws nothing.
    NoHeat,
    /// Half of the element is gone.
    HalfHeat,
    /// The heater draws 85 %.
    WeakHeater,
    /// The heater's contact is welded, from the last hold to after the end.
    HeaterStaysOn,
    /// A fill takes twice to four times as long.
    SlowFill,
    /// A drain takes twice to four times as long.
    LongDrain,
    /// Nothing is drawn in any drain.
    NoDrainPump,
    /// The drain pump goes on after its last drain.
    DrainStaysOn,
    /// The wash pump draws a fifth to two fifths less.
    WeakPump,
    /// The machine stops in the middle.
    CutOff,
    /// It stops in the middle and begins again.
    Restarted,
    /// The last rinse comes twice.
    AddedRinse,
    /// The last rinse does not come.
    MissingRinse,
}

/// All of them, with what it is called and the kinds of finding of which the first must be one to have named it.
pub const ALL: [(Wrong, &str, &[&str]); 13] = [
    (Wrong::NoHeat, "no heat", &["no-heat"]),
    (Wrong::HalfHeat, "half heat", &["current-low", "hold-not-reached"]),
    (Wrong::WeakHeater, "heater at 85 %", &["current-low"]),
    (
        Wrong::HeaterStaysOn,
        "heater stays on",
        &["heat-at-end", "heats-on", "heats-too-long", "stays-on", "too-long"],
    ),
    (Wrong::SlowFill, "slow fill", &["too-long"]),
    (Wrong::LongDrain, "long drain", &["too-long", "empties-late"]),
    (Wrong::NoDrainPump, "no drain pump", &["never-drains", "missing"]),
    (Wrong::DrainStaysOn, "drain stays on", &["drain-stays-on", "stays-on"]),
    (Wrong::WeakPump, "weak wash pump", &["current-low"]),
    (Wrong::CutOff, "cut off", &["broke-off"]),
    (Wrong::Restarted, "restarted", &["began-again"]),
    (Wrong::AddedRinse, "an added rinse", &["extra"]),
    (Wrong::MissingRinse, "a missing rinse", &["left-out", "missing"]),
];

impl Wrong {
    /// Whether a reading a minute can show it.
    #[must_use]
    pub fn is_seen_by_the_minute(self) -> bool {
        matches!(self, Self::NoHeat | Self::HalfHeat | Self::HeaterStaysOn | Self::CutOff | Self::Restarted)
    }
}

/// Readings: seconds from the first, and watts.
pub type Rows = Vec<(f64, f64)>;

/// The readings with the fault in this cycle.
///
/// # Errors
/// Why it cannot be put there.
pub fn put(wrong: Wrong, rows: &[(f64, f64)], cycle: &[Interval], seed: u64) -> Result<Rows, &'static str> {
    let mut random = Xoshiro256PlusPlus::seed_from_u64(seed);
    let mut draw = |from: f64, to: f64| random.random_range(from..to);
    let (start, end) = match (cycle.first(), cycle.last()) {
        (Some(first), Some(last)) => (first.start, last.end),
        _ => return Err("no interval"),
    };
    let within =
        |name: &str, time: f64| cycle.iter().any(|i| i.name == name && i.start <= time && time < i.end);
    let nth = |name: &str, which: f64| -> Option<&Interval> {
        let all: Vec<&Interval> = cycle.iter().filter(|i| i.name == name).collect();
        all.get((which * all.len() as f64) as usize).copied()
    };
    let in_cycle = |time: f64| (start..=end).contains(&time);
    let idle = rows.iter().map(|r| r.1).fold(f64::INFINITY, f64::min);
    let heater = heater(rows, start, end).ok_or("it does not heat");
    let change = |of: &dyn Fn(f64, f64) -> f64| -> Rows {
        rows.iter().map(|&(t, w)| (t, if in_cycle(t) { of(t, w).max(idle) } else { w })).collect()
    };
    // What the element draws varies with the mains, and a part of it by that part of as much.
    let beside = beside_heat(rows, start, end);
    let less = |part: f64| change(&|_, w| if w > HEATS { w - part * (w - beside) } else { w });
    // No reading is like the next: what is drawn instead wanders as the heater's readings did.
    let hot = heater.map(|heater| heater + beside);
    let none = |hot: f64| change(&|_, w| if w > HEATS { beside * w / hot } else { w });
    Ok(match wrong {
        Wrong::NoHeat => none(hot?),
        Wrong::HalfHeat => heater.map(|_| less(0.5))?,
        Wrong::WeakHeater => heater.map(|_| less(0.15))?,
        Wrong::HeaterStaysOn => {
            heater?;
            let last = rows.iter().rev().find(|r| in_cycle(r.0) && r.1 > HEATS).ok_or("it does not heat")?.0;
            // A contact that is welded does not know that the programme has ended.
            let until = end + draw(600.0, 2_400.0);
            let on = |t: f64, w: f64| t > last && t < until && w <= HEATS;
            // As its readings of this cycle are without the pump.
            let own = rows.iter().filter(|r| in_cycle(r.0) && r.1 > HEATS).map(|r| r.1 - beside);
            let mut more = again(own.collect());
            rows.iter().map(|&(t, w)| (t, if on(t, w) { w + more() } else { w })).collect()
        }
        Wrong::SlowFill => stretched(rows, nth("fill", draw(0.0, 1.0)).ok_or("no fill")?, draw(1.0, 3.0)),
        Wrong::LongDrain => stretched(rows, nth("drain", draw(0.0, 1.0)).ok_or("no drain")?, draw(1.0, 3.0)),
        Wrong::NoDrainPump => {
            nth("drain", 0.0).ok_or("no drain")?;
            change(&|t, w| if within("drain", t) { idle } else { w })
        }
        Wrong::DrainStaysOn => {
            let drain = nth("drain", 0.999).ok_or("no drain")?;
            let own = rows.iter().filter(|r| r.0 >= drain.start && r.0 < drain.end).map(|r| r.1);
            let level = middle(own.clone().collect()).ok_or("no reading while it drains")?;
            let mut drains = again(own.filter(|w| (w / level - 1.0).abs() < NEAR).collect());
            let until = drain.end + draw(1_200.0, 3_000.0);
            rows.iter()
                .map(|&(t, w)| (t, if t >= drain.end && t < until { w.max(drains()) } else { w }))
                .collect()
        }
        Wrong::WeakPump => {
            let (level, part) = (pump(rows, cycle).ok_or("it does not wash")?, draw(0.2, 0.4));
            change(&|t, w| if within("wash", t) || within("heat", t) { w - part * level } else { w })
        }
        Wrong::CutOff => {
            let at = start + (end - start) * draw(0.3, 0.8);
            change(&|t, w| if t > at { idle } else { w })
        }
        Wrong::Restarted => {
            let (at, rest) = (start + (end - start) * draw(0.2, 0.7), draw(20.0, 180.0));
            // Up to there, a rest, and all of it from the beginning.
            let before = rows.iter().copied().filter(|r| r.0 <= at);
            let after = rows.iter().filter(|r| r.0 >= start).map(|r| (r.0 - start + at + rest, r.1));
            before.chain([(at + 1.0, idle)]).chain(after).collect()
        }
        Wrong::AddedRinse => {
            let (from, to) = last_rinse(cycle).ok_or("no rinse that ends with a drain")?;
            let again = rows.iter().filter(|r| r.0 >= from && r.0 < to).map(|r| (r.0 + to - from, r.1));
            let after = rows.iter().filter(|r| r.0 >= to).map(|r| (r.0 + to - from, r.1));
            rows.iter().copied().filter(|r| r.0 < to).chain(again).chain(after).collect()
        }
        Wrong::MissingRinse => {
            let (from, to) = last_rinse(cycle).ok_or("no rinse that ends with a drain")?;
            let after = rows.iter().filter(|r| r.0 >= to).map(|r| (r.0 - to + from, r.1));
            rows.iter().copied().filter(|r| r.0 < from).chain(after).collect()
        }
    })
}

/// These readings one after the other, and from the beginning again.
fn again(own: Vec<f64>) -> impl FnMut() -> f64 {
    let mut own = own.into_iter().cycle();
    move || own.next().unwrap_or(0.0)
}

/// What the heater draws: the median above a kilowatt, less what else runs when it does not.
fn heater(rows: &[(f64, f64)], start: f64, end: f64) -> Option<f64> {
    let hot = rows.iter().filter(|r| r.0 >= start && r.0 <= end && r.1 > HEATS).map(|r| r.1);
    Some(middle(hot.collect())? - beside_heat(rows, start, end))
}

/// What runs beside the heater: about what runs when it does not.
fn beside_heat(rows: &[(f64, f64)], start: f64, end: f64) -> f64 {
    let cold =
        rows.iter().filter(|r| r.0 >= start && r.0 <= end && (40.0..HEATS).contains(&r.1)).map(|r| r.1);
    middle(cold.collect()).unwrap_or(0.0)
}

fn pump(rows: &[(f64, f64)], cycle: &[Interval]) -> Option<f64> {
    let washes = cycle
        .iter()
        .filter(|i| i.name == "wash")
        .max_by(|a, b| (a.end - a.start).total_cmp(&(b.end - b.start)))?;
    median(rows, washes.start, washes.end)
}

fn median(rows: &[(f64, f64)], from: f64, to: f64) -> Option<f64> {
    middle(rows.iter().filter(|r| r.0 >= from && r.0 < to).map(|r| r.1).collect())
}

fn middle(mut of: Vec<f64>) -> Option<f64> {
    of.sort_by(f64::total_cmp);
    of.get(of.len() / 2).copied()
}

/// The last fill that leads to washing without heat, to the end of the drain after it.
fn last_rinse(cycle: &[Interval]) -> Option<(f64, f64)> {
    let fills = cycle.iter().enumerate().filter(|(_, i)| i.name == "fill").map(|(n, _)| n);
    fills.rev().find_map(|n| {
        let drain = cycle[n..].iter().position(|i| i.name == "drain")? + n;
        let between = &cycle[n..drain];
        let rinses = between.iter().any(|i| i.name == "wash") && between.iter().all(|i| i.name != "heat");
        rinses.then(|| (cycle[n].start, cycle[drain].end))
    })
}

/// An interval that lasts so much longer, by its own readings over again.
fn stretched(rows: &[(f64, f64)], interval: &Interval, longer: f64) -> Rows {
    let (from, to) = (interval.start, interval.end);
    let more = (to - from) * longer;
    let own: Vec<(f64, f64)> = rows.iter().copied().filter(|r| r.0 >= from && r.0 < to).collect();
    let before = rows.iter().copied().filter(|r| r.0 < to);
    let rounds = (0..longer.ceil() as u32).flat_map(|n| {
        let shift = (to - from) * f64::from(n + 1);
        own.iter().map(move |r| (r.0 + shift, r.1)).collect::<Vec<_>>()
    });
    let again = rounds.filter(|r| r.0 < to + more);
    let after = rows.iter().filter(|r| r.0 >= to).map(|r| (r.0 + more, r.1));
    before.chain(again).chain(after).collect()
}
