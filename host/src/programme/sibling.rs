//! How much more probable a cycle is as one of a programme of the machine with something wrong than as one of a programme like it that
//! nobody taught.
//!
//! The programmes of a machine are variations of each other: another one washes or dries for longer, takes one water more or leaves one
//! out, and is otherwise the same to the second. A fault does not: what a timer ends does not become longer. So what a choice of programme
//! explains is no fault unless that is more probable.

use super::constants::NEW;
use super::density::{anywhere, unknown, within};
use crate::alignment::{Explanation, Hypothesis, MISSING_PART, Step, extra, odd_length};
use crate::chart::{Chart, Machine};
use crate::intervals::{Cycle, Kind};

/// By how many nats what a choice of programme explains as well is less probable as a fault; none where there is nothing of the sort.
pub(super) fn choice(
    machine: &Machine,
    chart: &Chart,
    cycle: &Cycle,
    explanation: &Explanation,
) -> Option<f64> {
    match explanation.hypothesis {
        Hypothesis::Whole => {}
        // Where the readings show no drain, a shorter programme ends with washing as one does that broke off.
        Hypothesis::BrokeOff if chart.must_come().all(|i| i.kind != Kind::Drain) => {
            return Some(NEW.get().ln());
        }
        // Else what breaks off or begins again is no programme as anybody chose it.
        Hypothesis::BrokeOff | Hypothesis::BeganAgain(_) => return None,
    }
    let lengths = explanation.steps.iter().filter_map(|step| other_length(chart, cycle, explanation, step));
    let waters = more_waters(machine, explanation);
    let without = less_waters(chart, explanation);
    lengths.chain(waters).chain(without).map(|(fault, choice)| fault - choice).reduce(|a, b| a + b)
}

/// Nats as a fault, and as a choice.
type Weighed = (f64, f64);

/// What a timer ends lasts for another time. What the log or a hole in it cuts may have lasted for longer than it was seen to.
fn other_length(chart: &Chart, cycle: &Cycle, explanation: &Explanation, step: &Step) -> Option<Weighed> {
    let Step::Matched { place, phases } = step else { return None };
    let expected = &chart.parts[place.part].intervals[place.interval];
    let phases = &explanation.phases[phases.clone()];
    let timed = matches!(expected.kind, Kind::Wash | Kind::Dry) && phases[0].kind == expected.kind;
    let (start, end) = (phases[0].start, phases[phases.len() - 1].end);
    let shorter = expected.lasts.is_some_and(|limits| end - start < limits.low);
    let timed = timed && !(shorter && cycle.cuts(start, end));
    let fault = odd_length(expected, phases);
    (timed && fault > 0.0).then(|| (fault, -NEW.get().ln() + (within(expected) / anywhere()).ln()))
}

/// Waters that come and go in a row: drained, filled, and what is washed between.
fn more_waters(machine: &Machine, explanation: &Explanation) -> Vec<Weighed> {
    let extra_phase = |step: &Step| if let Step::Extra { phase } = step { Some(*phase) } else { None };
    let runs = explanation.steps.chunk_by(|a, b| extra_phase(a).is_some() == extra_phase(b).is_some());
    let weigh = |run: &[Step]| {
        let phases: Vec<_> = run.iter().filter_map(extra_phase).map(|i| &explanation.phases[i]).collect();
        let has = |kind| phases.iter().any(|p| p.kind == kind);
        let waters = has(Kind::Fill) && has(Kind::Drain);
        let own = phases.iter().filter(|p| !matches!(p.kind, Kind::Gap | Kind::Pause));
        waters.then(|| {
            let choice = own.clone().map(|p| -unknown(machine, p.kind, p.duration()).ln());
            (own.clone().map(|p| extra(p)).sum(), choice.sum::<f64>() - NEW.get().ln())
        })
    };
    runs.filter_map(weigh).collect()
}

/// Waters that are left out from their fill to their drain.
fn less_waters(chart: &Chart, explanation: &Explanation) -> Vec<Weighed> {
    let first = |step: &&Step| matches!(step, Step::Missing { place, .. } if place.interval == 0);
    let whole = |step: &&Step| {
        matches!(step, Step::Missing { place, .. }
            if chart.parts[place.part].must_come() && explanation.leaves_out(chart, *place))
    };
    let choice = -NEW.get().ln() + (chart.parts.len() as f64).ln();
    explanation.steps.iter().filter(first).filter(whole).map(|_| (MISSING_PART.get(), choice)).collect()
}
