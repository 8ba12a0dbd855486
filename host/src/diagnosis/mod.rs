//! Diagnosis: what most likely is the matter with a machine by all cycles of a log together, how sure that is, what speaks for and against
//! each suspect, and what to measure first.

mod complaint;
mod constants;
mod quiet;
mod suspicion;

pub use complaint::Complaint;
pub(crate) use constants::{ALL as CONSTANTS, MOST_SURE};
pub use quiet::{Quiet, Tried};
pub use suspicion::{Evidence, Suspicion};

use crate::findings::{Causes, Judged, Step, Suspected, best};
use crate::intervals::Cycle;

/// One thing that is the matter: what was found of it, and what may be behind it.
#[derive(Clone, Debug)]
pub struct Diagnosis<'a> {
    /// What was found, and by which suspects it is explained.
    pub complaint: Complaint<'a>,
    /// What may be behind it, the likeliest first; what the record refutes is not among them. The probabilities add up to less than one:
    /// the rest is something that nobody thought of.
    pub suspects: Vec<Suspicion>,
    /// What to look at or measure first: what parts these suspects best.
    pub first: Option<Step<'a>>,
    /// What comes next, where the first showed nothing of what it may show.
    pub then: Option<Step<'a>>,
}

/// What is the matter, the gravest first. Several faults in one log are several diagnoses: one that explains most of what was found,
/// then what explains most of the rest. What has the same part behind it is one diagnosis.
#[must_use]
pub fn diagnose<'a>(cycles: &'a [Cycle], judged: &'a [Judged], causes: &'a Causes) -> Vec<Diagnosis<'a>> {
    let suspects = |complaint: &Complaint| suspicion::suspects(complaint, cycles, causes);
    let mut explained: Vec<(Complaint, Vec<Suspicion>)> = Vec::new();
    for mut complaint in complaint::complaints(cycles, judged, causes) {
        let mut own = suspects(&complaint);
        // Of more that was found another part may be the likeliest, which is that of a third.
        while let Some(same) = explained.iter().position(|(_, other)| same_part(other, &own, causes)) {
            let (mut earlier, _) = explained.remove(same);
            earlier.join(complaint);
            complaint = earlier;
            own = suspects(&complaint);
        }
        explained.push((complaint, own));
    }
    // Stable: of those that are as grave the one that explains most comes first.
    explained.sort_by_key(|(complaint, _)| std::cmp::Reverse(complaint.severity()));
    let diagnosis = |(complaint, suspects): (Complaint<'a>, Vec<Suspicion>)| {
        let suspected: Vec<Suspected> = suspects.iter().map(|s| (s.word.as_str(), s.probability)).collect();
        let first = best(&suspected, causes, None);
        let then = first.as_ref().and_then(|first| best(&suspected, causes, Some(first)));
        Diagnosis { complaint, suspects, first, then }
    };
    explained.into_iter().map(diagnosis).collect()
}

/// Whether the likeliest suspects of two are the same part: the same suspect, or one that fails for good and one that fails now and then by
/// what the machine does no more.
fn same_part(one: &[Suspicion], other: &[Suspicion], causes: &Causes) -> bool {
    let Some((one, other)) = one.first().zip(other.first()) else { return false };
    let fails = |for_good: &Suspicion, now_and_then: &Suspicion| {
        let does = causes.refuted_by(&for_good.word);
        does.is_some() && does == causes.now_and_then(&now_and_then.word)
    };
    one.word == other.word || fails(one, other) || fails(other, one)
}

#[cfg(test)]
mod tests {
    use tubtrace_simulator::board::record;
    use tubtrace_simulator::machine::Appliance;
    use tubtrace_simulator::scenario::Night;

    use super::*;
    use crate::analysis::Analysis;
    use crate::chart::parse as parse_chart;
    use crate::checks::all;
    use crate::findings::{Surroundings, judge};
    use crate::intervals::{Interval, Kind};
    use crate::log::{Assumptions, parse};

    /// The cycles of a healthy night, and as what they are judged where these checks are found at the beginning of the first of an interval.
    fn judged(found: &[(usize, &str, Kind)]) -> (Vec<Cycle>, Vec<Judged>) {
        let chart = parse_chart(include_str!("../../charts/invented-120v-heavy.chart.toml"), "demo").unwrap();
        let night = Night::healthy(3, Appliance::on_120_volts(), 2);
        let log = parse(&record(&night, 0, |_| {}).unwrap().log, Assumptions::default()).unwrap();
        let cycles = Analysis::of(&log.trace).cycles;
        let mut judged: Vec<Judged> =
            cycles.iter().map(|c| judge(&chart, c, Surroundings::of(&log.trace, &cycles))).collect();
        for (cycle, id, does) in found {
            let at = cycles[*cycle].intervals.iter().find(|i: &&Interval| i.kind == *does).unwrap().start;
            judged[*cycle].findings.push(crate::findings::Finding::invented(
                all().find(|c| c.id == *id).unwrap(),
                *does,
                at,
            ));
        }
        (cycles, judged)
    }

    fn words(diagnosis: &Diagnosis) -> Vec<String> {
        diagnosis.suspects.iter().map(|s| s.word.clone()).collect()
    }

    #[test]
    fn what_still_runs_later_is_not_broken_for_good() {
        // The heater of this run is on in its later waters.
        let (cycles, findings) = judged(&[(0, "no-heat", Kind::Heat)]);
        let all = diagnose(&cycles, &findings, Causes::built_in());
        assert_eq!(words(&all[0])[0], "element-intermittent");
        assert!(!words(&all[0]).contains(&"element-open".to_owned()));
        let still =
            |e: &Evidence| matches!(e, Evidence::StillDoes { kind: Kind::Heat, times, .. } if *times > 0);
        assert!(all[0].suspects[0].speaks_for.iter().any(still));
        // In the last run alone nothing refutes it from its last heat on.
        let last = cycles[1].intervals.iter().rfind(|i| i.kind == Kind::Heat).unwrap().start;
        let mut findings = judged(&[]).1;
        let mut no_heat = crate::findings::Finding::invented(
            crate::checks::all().find(|c| c.id == "no-heat").unwrap(),
            Kind::Heat,
            last,
        );
        no_heat.start = cycles[1].end();
        findings[1].findings.push(no_heat);
        assert_eq!(words(&diagnose(&cycles, &findings, Causes::built_in())[0])[0], "element-open");
    }

    #[test]
    fn two_faults_are_two_diagnoses_and_the_graver_comes_first() {
        let (cycles, findings) = judged(&[(0, "siphons", Kind::Fill), (1, "pump-silent", Kind::Wash)]);
        let all = diagnose(&cycles, &findings, Causes::built_in());
        assert_eq!(
            all.iter().map(|d| d.complaint.foremost().departure.id).collect::<Vec<_>>(),
            ["pump-silent", "siphons"]
        );
        assert!(all.iter().all(|d| d.first.is_some()));
        assert_eq!(all[1].complaint.cycles(), [0]);
        let (cycles, findings) = judged(&[]);
        assert!(diagnose(&cycles, &findings, Causes::built_in()).is_empty());
    }

    #[test]
    fn one_part_that_explains_several_findings_is_one_diagnosis_and_the_gravest_of_it_is_named() {
        // Beside findings that nothing explains together, none of its own is explained with them: each is a complaint at first.
        let (cycles, findings) = judged(&[
            (0, "too-long", Kind::Heat),
            (0, "heats-on", Kind::Dry),
            (0, "hammers", Kind::Fill),
            (0, "dispenses-less", Kind::Wash),
            (0, "siphons", Kind::Fill),
            (0, "clip-open", Kind::Wash),
            (1, "heats-too-long", Kind::Heat),
        ]);
        let all = diagnose(&cycles, &findings, Causes::built_in());
        let mut leading: Vec<String> = all.iter().map(|d| words(d)[0].clone()).collect();
        assert_eq!(leading[0], "heater-relay-stuck");
        assert_eq!(all[0].complaint.foremost().departure.id, "heats-on");
        assert_eq!(all[0].complaint.cycles(), [0, 1]);
        leading.sort_unstable();
        let count = leading.len();
        leading.dedup();
        assert_eq!(leading.len(), count, "{leading:?}");
        let told: usize = all.iter().map(|d| d.complaint.findings.len()).sum();
        assert_eq!(told, 7, "nothing that was found is lost");
    }

    #[test]
    fn a_heater_that_is_dead_in_one_run_and_runs_in_the_next_is_one_that_fails_now_and_then() {
        let (cycles, mut findings) = judged(&[(0, "no-heat", Kind::Heat), (0, "siphons", Kind::Fill)]);
        let mut never = crate::findings::Finding::invented(
            crate::checks::all().find(|c| c.id == "never-heats").unwrap(),
            Kind::Heat,
            cycles[1].end(),
        );
        never.start = cycles[1].end();
        findings[1].findings.push(never);
        let all = diagnose(&cycles, &findings, Causes::built_in());
        let leading: Vec<String> = all.iter().map(|d| words(d)[0].clone()).collect();
        assert_eq!(leading, ["element-intermittent", "drain-hose-loop"]);
    }

    #[test]
    fn probabilities_leave_room_for_what_nobody_thought_of() {
        let (cycles, findings) = judged(&[(0, "too-long", Kind::Fill), (1, "too-long", Kind::Fill)]);
        for diagnosis in diagnose(&cycles, &findings, Causes::built_in()) {
            let all: f64 = diagnosis.suspects.iter().map(|s| s.probability).sum();
            assert!(all > 0.5 && all < 1.0, "{all}");
        }
    }
}
