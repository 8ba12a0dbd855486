//! What all runs together come to.

use super::fault::{Shown, fault};
use super::overlay::named;
use super::plan::Plan;
use super::run::{Counts, Found, Run, once};
use super::series::{Point, Series};
use super::statistics::{at_most, proportion};
use crate::chart::Machine;

/// What the test comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Every run that was wanted was seen, and is within its limits.
    Passed,
    /// A run departs.
    Failed,
    /// Nothing departs, and it ran too seldom to say so.
    NotEnough,
}

/// A programme of the plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Programme {
    /// Its name.
    pub name: String,
    /// Runs that the plan wants.
    pub wanted: usize,
    /// Runs within their limits.
    pub clean: usize,
    /// Runs that depart.
    pub departing: usize,
    /// Runs in doubt.
    pub doubtful: usize,
}

/// The test, assessed.
#[derive(Clone, Debug)]
pub struct Assessment<'a> {
    /// What it comes to.
    pub verdict: Verdict,
    /// The runs, in the order in which they were found.
    pub runs: Vec<Run<'a>>,
    /// Runs that stood in two logs, and count once.
    pub repeated: usize,
    /// The programmes of the plan.
    pub programmes: Vec<Programme>,
    /// Every interval of them.
    pub series: Vec<Series>,
    /// What the original fault asks for, where the plan says what it looked like.
    pub fault: Option<Shown>,
    /// The rate of failing that it has at most, at the plan's confidence.
    pub at_most: f64,
    /// Interval of the rate of failing, at the plan's confidence; none where no run departs.
    pub rate: Option<(f64, f64)>,
}

impl Assessment<'_> {
    /// Runs that count as this.
    #[must_use]
    pub fn count(&self, counts: impl Fn(&Counts) -> bool) -> usize {
        self.runs.iter().filter(|r| counts(&r.counts)).count()
    }

    /// Runs within their limits.
    #[must_use]
    pub fn clean(&self) -> usize {
        self.count(|c| *c == Counts::Clean)
    }

    /// Runs that depart.
    #[must_use]
    pub fn departing(&self) -> usize {
        self.count(|c| *c == Counts::Departs)
    }

    /// Clean runs that are wanted in all: by the plan, and by the fault.
    #[must_use]
    pub fn wanted(&self) -> Option<usize> {
        let planned = self.programmes.iter().map(|p| p.wanted).sum();
        match &self.fault {
            Some(fault) => fault.needed.map(|needed| needed.max(planned)),
            None => Some(planned),
        }
    }

    /// Clean runs that are still to come: those that programmes lack, or those that the fault asks for where these are more.
    #[must_use]
    pub fn lacking(&self) -> Option<usize> {
        let planned: usize = self.programmes.iter().map(|p| p.wanted.saturating_sub(p.clean)).sum();
        Some(planned.max(self.wanted()?.saturating_sub(self.clean())))
    }
}

/// Assesses the runs of a control, in the order in which they ran, which were judged by `machine` as the plan has it.
///
/// # Errors
/// A sentence that begins with the line of the plan, where it names a programme that the machine does not have.
pub fn assess<'a>(plan: &Plan, machine: &Machine, found: &[Found<'a>]) -> Result<Assessment<'a>, String> {
    let mut programmes: Vec<Programme> = Vec::new();
    for wanted in &plan.runs {
        let name = &named(machine, wanted.programme.as_deref(), wanted.line)?.name;
        match programmes.iter_mut().find(|p| p.name == *name) {
            Some(known) => known.wanted += wanted.count,
            None => programmes.push(Programme {
                name: name.clone(),
                wanted: wanted.count,
                clean: 0,
                departing: 0,
                doubtful: 0,
            }),
        }
    }
    let (found, repeated) = once(found);
    let names: Vec<&str> = programmes.iter().map(|p| &*p.name).collect();
    let mut runs: Vec<Run> = found.into_iter().map(|found| Run::of(found, &names)).collect();
    runs.iter_mut().take(1).for_each(|first| first.cold = true);
    for programme in &mut programmes {
        let own = || runs.iter().filter(|r| r.programme() == Some(&*programme.name));
        let clean = own().filter(|r| r.counts == Counts::Clean).count();
        let departing = own().filter(|r| r.counts == Counts::Departs).count();
        let doubtful = own().filter(|r| matches!(r.counts, Counts::Doubt(_))).count();
        (programme.clean, programme.departing, programme.doubtful) = (clean, departing, doubtful);
    }
    let series = series(plan, machine, &programmes, &runs);
    let clean = runs.iter().filter(|r| r.counts == Counts::Clean).count();
    let departing = runs.iter().filter(|r| r.counts == Counts::Departs).count();
    let judged = clean + departing;
    let fault = fault(plan, &runs, clean);
    let mut assessment = Assessment {
        verdict: Verdict::Failed,
        runs,
        repeated,
        programmes,
        series,
        fault,
        at_most: at_most(departing, judged, plan.confidence),
        rate: (departing > 0).then(|| proportion(departing, judged, plan.confidence)),
    };
    if departing == 0 {
        let all = assessment.lacking() == Some(0);
        assessment.verdict = if all { Verdict::Passed } else { Verdict::NotEnough };
    }
    Ok(assessment)
}

/// Every interval of the programmes of the plan, in the order in which they came. Washing that no heat parts stands for several intervals, and is none of them.
fn series(plan: &Plan, machine: &Machine, programmes: &[Programme], runs: &[Run]) -> Vec<Series> {
    let mut all: Vec<Series> = Vec::new();
    for programme in programmes {
        let charts = machine.programmes.iter().filter(|c| c.name == programme.name);
        let intervals = charts.flat_map(|c| c.parts.iter().flat_map(|p| &p.intervals));
        let own: Vec<&str> = intervals.map(|i| &*i.name).collect();
        let is_own = |name: &str| {
            own.iter().any(|own| {
                name.strip_prefix(own).is_some_and(|rest| rest.is_empty() || rest.starts_with(" ("))
            })
        };
        for (number, run) in runs.iter().enumerate().filter(|(_, r)| r.programme() == Some(&*programme.name))
        {
            for (placed, uncertainty) in run.intervals().filter(|(p, _)| is_own(&p.expected.name)) {
                let point = Point { run: number, lasted: placed.lasted, uncertainty };
                let name = &placed.expected.name;
                let known = |s: &Series| s.programme == programme.name && s.name == *name;
                let at = all.iter().position(known).unwrap_or_else(|| {
                    all.push(Series {
                        programme: programme.name.clone(),
                        name: name.clone(),
                        limits: placed.expected.lasts,
                        cold: None,
                        points: Vec::new(),
                        spread: None,
                    });
                    all.len() - 1
                });
                if run.cold {
                    all[at].cold = Some(point);
                } else {
                    all[at].points.push(point);
                }
            }
        }
    }
    all.into_iter().map(|series| series.worked(plan.confidence)).collect()
}

#[cfg(test)]
mod tests {
    use jiff::{SignedDuration, Timestamp};
    use tubtrace_simulator::board::record;
    use tubtrace_simulator::machine::Appliance;
    use tubtrace_simulator::scenario::Night;
    use tubtrace_units::Seconds;

    use super::super::plan::parse;
    use super::*;
    use crate::analysis::Analysis;
    use crate::checks::all;
    use crate::compare::among;
    use crate::findings::{Causes, Finding, Judged, Known, Surroundings};
    use crate::intervals::{Cycle, Kind};
    use crate::log::{Assumptions, parse as read_log};

    /// A healthy run, and what it is judged by others.
    fn healthy() -> (Cycle, Judged) {
        let night = Night::healthy(21, Appliance::on_120_volts(), 4);
        let log = read_log(&record(&night, 0, |_| {}).unwrap().log, Assumptions::default()).unwrap();
        let mut cycles = Analysis::of(&log.trace).cycles;
        let surroundings = Surroundings::of(&log.trace, &cycles);
        let mut judged = among(&cycles, log.trace.resolution, surroundings, Causes::built_in());
        let (cycle, mut judged) = (cycles.swap_remove(1), judged.swap_remove(1));
        judged.programme = "normal".into();
        judged.undecided.clear();
        (cycle, judged)
    }

    #[test]
    fn only_a_clean_run_of_the_plan_that_was_seen_whole_is_a_pass_and_none_counts_twice() {
        let (cycle, clean) = healthy();
        assert!(!clean.departs() && clean.known == Known::Yes && cycle.lacks().is_none());
        let finding = || Finding::invented(all().next().unwrap(), Kind::Heat, Seconds(0.0));
        let departs = Judged { findings: vec![finding()], ..clean.clone() };
        let close = Judged { undecided: vec![finding()], ..clean.clone() };
        let unknown = Judged { known: Known::Unknown, ..clean.clone() };
        let other = Judged { programme: "short".into(), ..clean.clone() };
        let cut = Cycle { cut_at_end: true, ..cycle.clone() };
        let mut machine = Machine::unknown();
        machine.programmes[0].name = "normal".into();
        let plan =
            parse("bench = 1\ncontrol = \"a\"\nmachine = \"m\"\n[[runs]]\ncount = 3\n", "plan").unwrap();
        let at = |hours: i64| Some(Timestamp::UNIX_EPOCH + SignedDuration::from_hours(hours));
        let run = |log, cycle, judged, hours| Found { log, cycle, judged, began: at(hours) };
        let assessed = |found: &[Found]| {
            let a = assess(&plan, &machine, found).unwrap();
            (a.verdict, a.clean(), a.lacking(), a.repeated)
        };
        let two = [run(0, &cycle, &clean, 0), run(0, &cycle, &clean, 2)];
        assert_eq!(assessed(&two), (Verdict::NotEnough, 2, Some(1), 0));
        let with = |third: Found<'_>| assessed(&[two[0], two[1], third]);
        assert_eq!(with(run(0, &cycle, &clean, 4)), (Verdict::Passed, 3, Some(0), 0));
        for no_pass in [(&cycle, &close), (&cycle, &unknown), (&cycle, &other), (&cut, &clean)] {
            assert_eq!(with(run(0, no_pass.0, no_pass.1, 4)), (Verdict::NotEnough, 2, Some(1), 0));
        }
        assert_eq!(with(run(0, &cycle, &departs, 4)).0, Verdict::Failed);
        // The second run again, in another log; and where one log ends within it, the one that has it whole.
        assert_eq!(with(run(1, &cycle, &clean, 2)), (Verdict::NotEnough, 2, Some(1), 1));
        let twice = [run(0, &cycle, &clean, 0), run(0, &cut, &clean, 2), run(1, &cycle, &clean, 2)];
        assert_eq!(assessed(&twice), (Verdict::NotEnough, 2, Some(1), 1));
    }
}
