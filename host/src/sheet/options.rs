//! Which option explains what of a cycle is not on its sheet. A panel has choices that its paper may have in another column: a longer wash, a water more, one
//! that is left out. Only what a choice explains is tried, and what then still departs is no choice.

use tubtrace_units::Seconds;

use super::limits::Drawn;
use super::paper::{Says, Time};
use super::write::written;
use crate::alignment::{Explanation, Place, Step, lasted, odd_length};
use crate::chart::{Chart, Limits, numbers::MOST_TIMES};
use crate::checks::Surroundings;
use crate::findings::{Causes, Judged, Known, Outcome, judge_with};
use crate::intervals::{Cycle, Kind};

/// A line of the sheet that would be another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// Which line it is; where nothing stands so far, the line above which something would.
    pub line: usize,
    /// What stands there, if it is a line of its own that changes.
    pub now: Option<String>,
    /// What would stand there.
    pub instead: String,
}

/// What of a cycle other choices at the panel explain.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Options {
    /// The choices, as changes to the sheet.
    pub changes: Vec<Change>,
    /// Whether they explain all of it.
    pub all: bool,
}

/// A cycle held against its sheet.
#[derive(Clone, Debug)]
pub struct Held {
    /// What it comes to. Where waters that come once more explain all of it, that is a choice at the panel, and no fault.
    pub judged: Judged,
    /// The options that explain it; none where it is within, or where no option explains any of it.
    pub options: Option<Options>,
}

/// Looks which options explain a cycle, which was judged by the chart of this sheet.
#[must_use]
pub fn held(drawn: &Drawn, cycle: &Cycle, judged: Judged, surroundings: Surroundings) -> Held {
    if judged.outcome() == Outcome::Within {
        return Held { judged, options: None };
    }
    let mut other = drawn.chart.clone();
    let mut changes = other_lines(drawn, &judged, &mut other);
    let again = |chart: &Chart| judge_with(&chart.clone().into(), cycle, surroundings, Causes::built_in());
    let mut best = again(&other);
    let extra = |judged: &Judged| judged.explanation.steps.iter().any(|s| matches!(s, Step::Extra { .. }));
    let mut more_waters = false;
    while extra(&best) && best.outcome() != Outcome::Within {
        let Some((chart, judged)) = one_water_more(drawn, &other, &best, again) else { break };
        (other, best, more_waters) = (chart, judged, true);
    }
    changes.extend((0..other.parts.len()).filter_map(|part| {
        let (now, then) = (drawn.chart.parts[part].times, other.parts[part].times);
        (then.high > now.high).then(|| heading(drawn, part, Limits { high: then.high, ..now }))
    }));
    changes.sort_by_key(|change| change.line);
    changes.dedup();
    let all = best.outcome() == Outcome::Within;
    let explains = !changes.is_empty() && (all || better(&best, &judged));
    let options = explains.then_some(Options { changes, all });
    let judged = if all && more_waters { Judged { known: Known::Like, ..best } } else { judged };
    Held { judged, options }
}

/// The chart in which one of the waters comes once more, if less departs then: the one that is nearest to what is in no chart.
fn one_water_more(
    drawn: &Drawn,
    chart: &Chart,
    judged: &Judged,
    again: impl Fn(&Chart) -> Judged,
) -> Option<(Chart, Judged)> {
    let with_more = |part: usize| {
        let mut more = chart.clone();
        more.parts[part].times.high += 1;
        let judged = again(&more);
        (more, judged)
    };
    let tried = nearest(extra_at(&judged.explanation), drawn, chart).into_iter().map(with_more);
    tried.filter(|(_, more)| better(more, judged)).min_by_key(|(_, more)| rank(more))
}

/// Whether less of a cycle departs.
fn better(judged: &Judged, than: &Judged) -> bool {
    rank(judged) < rank(than)
}

/// The less, the more of a cycle is as the sheet has it.
fn rank(judged: &Judged) -> (bool, usize, usize) {
    let extra = judged.explanation.steps.iter().filter(|s| matches!(s, Step::Extra { .. })).count();
    (judged.outcome() != Outcome::Within, extra, judged.findings.len() + judged.differs.len())
}

/// The lines that would be others, by how the cycle lies in the chart; `other` becomes the chart that they make.
fn other_lines(drawn: &Drawn, judged: &Judged, other: &mut Chart) -> Vec<Change> {
    let explanation = &judged.explanation;
    // What a fault brings about is nobody's choice.
    let follows = |at: Seconds| judged.findings.iter().any(|f| f.follows.is_some() && f.start == at);
    let mut changes = Vec::new();
    for step in &explanation.steps {
        match step {
            Step::Missing { place, .. } => changes.extend(left_out(drawn, explanation, *place, other)),
            Step::Matched { place, phases } => {
                let expected = &drawn.chart.parts[place.part].intervals[place.interval];
                let phases = &explanation.phases[phases.clone()];
                let purges = phases.iter().filter(|p| p.kind == Kind::Purge).count() as u32;
                let timed = matches!(expected.kind, Kind::Wash | Kind::Dry | Kind::Pause);
                let own = phases.iter().any(|p| p.kind == expected.kind) && !follows(phases[0].start);
                let time = (timed && own && odd_length(expected, phases) > 0.0)
                    .then(|| lasted(expected.kind, phases).0);
                let purges = (purges > expected.purges.high).then_some(purges);
                if time.is_some() || purges.is_some() {
                    changes.extend(another(drawn, *place, time, purges, other));
                }
            }
            _ => {}
        }
    }
    changes
}

/// A part, or a wash or drying in it, that may be left out.
fn left_out(drawn: &Drawn, explanation: &Explanation, place: Place, other: &mut Chart) -> Option<Change> {
    let part = &drawn.chart.parts[place.part];
    let expected = &part.intervals[place.interval];
    let whole = part.intervals.len() == 1 || explanation.leaves_out(&drawn.chart, place);
    if whole && place.copy < part.times.low {
        let times = Limits { low: place.copy, ..part.times };
        let low = &mut other.parts[place.part].times.low;
        *low = (*low).min(times.low);
        // All copies from this one on: told once.
        return (place.interval == 0).then(|| heading(drawn, place.part, times));
    }
    let may = !whole && !expected.may && matches!(expected.kind, Kind::Wash | Kind::Dry);
    if !may {
        return None;
    }
    other.parts[place.part].intervals[place.interval].may = true;
    let (line, step) = step_of(drawn, place)?;
    let instead = super::Step { may: true, ..step.clone() };
    Some(changed(line, step, instead))
}

/// An interval that lasts for another time, or has other purges.
fn another(
    drawn: &Drawn,
    place: Place,
    time: Option<Seconds>,
    purges: Option<u32>,
    other: &mut Chart,
) -> Option<Change> {
    let (line, step) = step_of(drawn, place)?;
    let mut instead = step.clone();
    let expected = &mut other.parts[place.part].intervals[place.interval];
    if let Some(time) = time {
        let lasts = expected.lasts.as_mut()?;
        *lasts = Limits { low: lasts.low.min(time), high: lasts.high.max(time) };
        // As a paper has it, in half minutes.
        let printed = Seconds((time.0 / 30.0).round().max(1.0) * 30.0);
        let Limits { low, high } = match step.time? {
            Time::About(time) => Limits { low: time, high: time },
            Time::Between(limits) => limits,
        };
        instead.time = Some(Time::Between(Limits { low: low.min(printed), high: high.max(printed) }));
    }
    if let Some(purges) = purges {
        expected.purges.high = purges;
        instead.purges.high = purges;
    }
    Some(changed(line, step, instead))
}

fn changed(line: usize, now: &super::Step, instead: super::Step) -> Change {
    let text = |step: super::Step| written(&Says::Interval(step));
    Change { line, now: Some(text(now.clone())), instead: text(instead) }
}

/// The line of an interval of the chart, and what it says.
fn step_of(drawn: &Drawn, place: Place) -> Option<(usize, &super::Step)> {
    let line = *drawn.lines.get(place.part)?.get(place.interval)?;
    let kind = drawn.chart.parts[place.part].intervals[place.interval].kind;
    let steps = &drawn.waters.get(place.part)?.steps;
    // The rest of a hold is of the hold's line, and no timer's.
    let (line, step) = steps.iter().find(|(l, step)| *l == line && step.does.kind() == kind)?;
    Some((*line, step))
}

/// The heading of a part, if it came so often.
fn heading(drawn: &Drawn, part: usize, times: Limits<u32>) -> Change {
    let water = &drawn.waters[part];
    let name = drawn.chart.parts[part].name.clone();
    let text = |times| written(&Says::Heading { name: name.clone(), times });
    let now = (water.name.is_some() && !water.steps.iter().any(|(line, _)| *line == water.line))
        .then(|| text(water.times));
    Change { line: water.line, now, instead: text(times) }
}

/// The part of the chart that comes before the first thing that is in no chart.
fn extra_at(explanation: &Explanation) -> usize {
    let foreseen = explanation.steps.iter().take_while(|step| !matches!(step, Step::Extra { .. }));
    foreseen.filter_map(Step::covers).last().map_or(0, |(place, ..)| place.part)
}

/// The waters of a sheet that may come once more, those that are nearest first.
fn nearest(part: usize, drawn: &Drawn, chart: &Chart) -> Vec<usize> {
    let may = |i: &usize| !drawn.waters[*i].is_drying() && chart.parts[*i].times.high < MOST_TIMES;
    let mut all: Vec<usize> = (0..drawn.waters.len()).filter(may).collect();
    all.sort_by_key(|i| i.abs_diff(part));
    all
}
