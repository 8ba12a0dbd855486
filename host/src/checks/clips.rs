//! The logger's temperature clips, so that nobody opens a machine for a clip that has come off.

use tubtrace_units::Celsius;

use super::check::{Check, Harm, Headline};
use super::context::Context;
use super::run::Run;
use crate::constant::constants;
use crate::intervals::{Kind, Sign};
use crate::quantity::Quantity;
use crate::trace::Temperature;

pub(super) static CHECKS: [&Check; 2] = [&CLIP_OPEN, &CLIP_STILL];

constants! { "checks.clips":
    /// A clip that falls off reads nothing new: part of the run without a reading.
    SILENT: f64 = 0.02, "part", Practice;
    /// Expanded uncertainty of the part of the run without a reading.
    SILENT_DOUBT: f64 = 0.01, "part", Guess;
    /// A clip that is on a pipe moves by more than this late in a run.
    MOVES: Celsius = Celsius(4.0), "degrees C", Guess;
    /// A clip that hangs in the air moves by less than this late in a run.
    HANGS: Celsius = Celsius(1.0), "degrees C", Guess;
    /// A clip that was on its pipe moved by more than this early in the run.
    MOVED: Celsius = Celsius(2.0), "degrees C", Guess;
    /// Late in a run is after this part of it.
    LATE: f64 = 0.65, "part", Guess;
    /// Early in a run is before this part of it.
    EARLY: f64 = 0.4, "part", Guess;
}

/// A clip's readings: of the supply line, or of the drain hose.
type Readings = fn(&Temperature) -> Option<Celsius>;

/// The clips by name.
const CLIPS: [(&str, Readings); 2] = [("supply clip", |r| r.supply), ("drain clip", |r| r.drain)];

/// A temperature clip reads nothing.
static CLIP_OPEN: Check = Check {
    id: "clip-open",
    does: Kind::Wash,
    rank: 90,
    measure: silences,
    hold: |context| {
        let open = context.signs(CLIP_OPEN.id).iter().filter(|s| s.value.number() > SILENT.get());
        open.map(|s| CLIP_OPEN.at_most(*s, 0.0, SILENT_DOUBT.get()).of(s.about, Kind::Wash)).collect()
    },
    headline: Headline::Of("reads nothing"),
    harm: Harm::Logger,
    ..Check::PLAIN
};

/// Part of the run in which each clip read nothing.
fn silences(run: &Run) -> Vec<Sign> {
    let all = &run.record.temperatures;
    let time: f64 = all.iter().map(|r| (r.end - r.start).0).sum();
    let silence = |(about, of): (&'static str, Readings)| {
        let silent = all.iter().filter(|r| of(r).is_none()).map(|r| (r.end - r.start).0).sum::<f64>();
        Sign { about, ..Sign::new(run.cycle.start(), Quantity::Part(silent / time.max(1.0))) }
    };
    CLIPS.map(silence).into()
}

/// A temperature clip no longer follows the water.
static CLIP_STILL: Check = Check {
    id: "clip-still",
    does: Kind::Wash,
    rank: 100,
    measure: still,
    hold: |context| {
        // Whether it moves is seen in a whole run.
        let still = context.signs(CLIP_STILL.id).iter().filter(|_| context.cycle.lacks().is_none());
        still.map(|s| CLIP_STILL.counted(s.at, 1, 0).of(s.about, Kind::Wash)).collect()
    },
    // Water that leaks in keeps the supply clip at its temperature; and a run that breaks off moves no water any more.
    masked_by: &["flow-when-off", "broke-off"],
    headline: Headline::Of("does not follow the water"),
    harm: Harm::Logger,
    ..Check::PLAIN
};

/// The clips that moved before, do not now, and of which the other one does.
fn still(run: &Run) -> Vec<Sign> {
    let (start, end) = (run.cycle.start(), run.cycle.end());
    let late = start + (end - start) * LATE.get();
    let early = start + (end - start) * EARLY.get();
    let range = |of: Readings, from, to| {
        let within = run.record.temperatures.iter().filter(|r| r.end > from && r.start < to);
        let values: Vec<f64> = within.filter_map(of).map(|c| c.0).collect();
        let low = values.iter().copied().fold(f64::INFINITY, f64::min);
        values.iter().copied().fold(f64::NEG_INFINITY, f64::max) - low
    };
    let moved = CLIPS.map(|(_, of)| (range(of, start, early), range(of, late, end)));
    let still = |own: (f64, f64), other: (f64, f64)| {
        own.0 > MOVED.get().0 && (0.0..HANGS.get().0).contains(&own.1) && other.1 > MOVES.get().0
    };
    let of = |i: usize| Sign { about: CLIPS[i].0, ..Sign::new(start, Quantity::Count(1)) };
    (0..2).filter(|&i| still(moved[i], moved[1 - i])).map(of).collect()
}

/// Whether what rests on both clips cannot be known in this run.
pub(super) fn fail(context: &Context) -> bool {
    let open = context.signs(CLIP_OPEN.id).iter().any(|s| s.value.number() > SILENT.get());
    open || !context.signs(CLIP_STILL.id).is_empty()
}
