//! Cycles drawn from a chart are within it, whatever they leave out or repeat of what the chart says they may; with a
//! required interval taken out, or one made three times as long, they depart, and that is what is told.

use proptest::prelude::*;
use proptest::sample::Index;
use tubtrace::alignment::{Step, explain, in_means};
use tubtrace::chart::{Chart, Expected, Limits, Part};
use tubtrace::findings::{Finding, Judged, Outcome, Surroundings, judge};
use tubtrace::intervals::{Cycle, Interval, Kind};
use tubtrace_tests::{interval, whole_cycle};
use tubtrace_units::{Load, Loads, Seconds};

/// A part: how often it comes, and (kind, least, may, purges) of its intervals.
type Drawn = ((u32, u32), Vec<(Kind, f64, bool, u32)>);

fn part() -> impl Strategy<Value = Drawn> {
    let times = prop_oneof![3 => Just((1, 1)), 1 => Just((0, 1)), 1 => Just((1, 2)), 1 => Just((0, 2))];
    let seconds = || 40.0f64..400.0;
    (times, seconds(), seconds(), any::<bool>(), any::<bool>(), 0u32..3, seconds()).prop_map(
        |(times, fill, wash, heats, may_heat, purges, drain)| {
            let mut intervals = vec![(Kind::Fill, fill, false, 0), (Kind::Wash, wash, false, purges)];
            if heats {
                intervals.extend([
                    (Kind::Heat, 2.0 * wash, may_heat, 0),
                    (Kind::Wash, wash + 30.0, false, purges),
                ]);
            }
            intervals.push((Kind::Drain, drain, false, 0));
            (times, intervals)
        },
    )
}

fn chart(parts: &[Drawn]) -> Chart {
    let interval = |&(kind, least, may, purges): &(Kind, f64, bool, u32)| Expected {
        may,
        lasts: Some(Limits { low: Seconds(least), high: Seconds(1.3 * least) }),
        purges: Limits { low: 0, high: purges },
        ..Expected::new(format!("{kind}"), kind)
    };
    let parts = parts.iter().enumerate().map(|(i, ((low, high), intervals))| Part {
        name: format!("part {i}"),
        times: Limits { low: *low, high: *high },
        intervals: intervals.iter().map(interval).collect(),
    });
    Chart {
        name: "drawn".into(),
        parts: parts.collect(),
        baselines: Default::default(),
        seen: 0,
        of_sheet: false,
    }
}

/// (kind, duration, whether the chart requires it).
type Phases = Vec<(Kind, f64, bool)>;

/// A cycle that a healthy machine could run by the chart; `choices` decide.
fn draw(parts: &[Drawn], choices: &[f64]) -> Phases {
    let mut choices = choices.iter().copied().cycle();
    let mut choose = move |low: f64, high: f64| low + (high - low) * choices.next().unwrap_or(0.5);
    let mut phases = Phases::new();
    for ((low, high), intervals) in parts {
        let times = choose(f64::from(*low), f64::from(*high) + 1.0).floor().min(f64::from(*high)) as u32;
        for _ in 0..times {
            // A hold between two washes that is left out makes one wash of them, which no chart can tell: leave out
            // none of those here.
            for (kind, least, _, purges) in intervals {
                let length = choose(1.02 * least, 1.28 * least);
                let count = choose(0.0, f64::from(*purges) + 1.0).floor().min(f64::from(*purges)) as usize;
                let stretch = (length - 10.0 * count as f64) / (count + 1) as f64;
                for i in 0..=count {
                    phases.push((*kind, stretch, *low > 0 && count == 0));
                    if i < count {
                        phases.push((Kind::Purge, 10.0, false));
                    }
                }
            }
        }
    }
    phases
}

fn cycle(phases: &Phases) -> Cycle {
    let mut at = Seconds(100.0);
    let intervals = phases.iter().map(|&(kind, length, _)| {
        let start = at;
        at += Seconds(length);
        interval(kind, start, at, 1)
    });
    whole_cycle(intervals.collect())
}

fn judged(chart: &Chart, phases: &Phases) -> Judged {
    judge(
        &chart.clone().into(),
        &cycle(phases),
        Surroundings { resolution: Seconds(0.1), quiet_supply: None, battery_ended: false, plate: None },
    )
}

fn told(findings: &[Finding]) -> Vec<(&'static str, String)> {
    findings.iter().map(|f| (f.departure.id, f.interval.clone())).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn what_the_chart_allows_is_within_it(
        parts in prop::collection::vec(part(), 1..6), choices in prop::collection::vec(0.0f64..1.0, 40),
    ) {
        let phases = draw(&parts, &choices);
        prop_assume!(!phases.is_empty());
        let found = judged(&chart(&parts), &phases);
        prop_assert!(found.outcome() == Outcome::Within, "{:?} {:?}", found.outcome(), told(&found.findings));
    }

    #[test]
    fn a_required_interval_that_is_taken_out_is_told(
        parts in prop::collection::vec(part(), 2..6), choices in prop::collection::vec(0.0f64..1.0, 40), which in any::<Index>(),
    ) {
        let mut phases = draw(&parts, &choices);
        // A drain or a fill in the middle: nothing of its kind beside it that could stand for it.
        let candidates: Vec<usize> = (1..phases.len().saturating_sub(1))
            .filter(|&i| phases[i].2 && matches!(phases[i].0, Kind::Drain | Kind::Fill))
            .collect();
        prop_assume!(!candidates.is_empty());
        let (kind, ..) = phases.remove(candidates[which.index(candidates.len())]);
        // Of a programme of few intervals, what is left may as well be of another one: it departs or is not known, and is never within.
        let found = judged(&chart(&parts), &phases);
        prop_assert!(found.outcome() != Outcome::Within, "{} was taken out and nothing told", kind);
    }

    #[test]
    fn an_interval_three_times_as_long_is_told(
        parts in prop::collection::vec(part(), 1..6), choices in prop::collection::vec(0.0f64..1.0, 40), which in any::<Index>(),
    ) {
        let mut phases = draw(&parts, &choices);
        let candidates: Vec<usize> = (0..phases.len()).filter(|&i| phases[i].2).collect();
        prop_assume!(!candidates.is_empty());
        let at = candidates[which.index(candidates.len())];
        phases[at].1 *= 3.0;
        // What is as long as another interval of its kind may be that one, where its part may come again.
        let (kind, lasts, _) = phases[at];
        let allowed = |&(of, least, ..): &(Kind, f64, bool, u32)| of == kind && lasts > 0.9 * least && lasts < 1.4 * least;
        prop_assume!(!parts.iter().any(|((_, high), of)| *high > 1 && of.iter().any(allowed)));
        let found = judged(&chart(&parts), &phases);
        prop_assert!(found.outcome() != Outcome::Within, "{:?} and nothing told", phases[at]);
    }
}

proptest! {
    /// Whatever a machine does by the minute, each step of its explanation is of phases that the explanation has.
    #[test]
    fn by_the_minute_an_explanation_is_of_its_own_phases(
        did in prop::collection::vec((0usize..3, 1u32..30), 1..16),
        holds in 1usize..4,
    ) {
        let wash = ((1, 1), vec![(Kind::Wash, 1_200.0, false, 0), (Kind::Heat, 600.0, false, 0)]);
        let chart = chart(&vec![wash; holds]);
        let mut intervals: Vec<Interval> = Vec::new();
        for (what, minutes) in did {
            let kind = [Kind::Wash, Kind::Heat, Kind::Pause][what];
            let loads = match kind {
                Kind::Wash => Loads::of(&[Load::WashPump]),
                Kind::Heat => Loads::of(&[Load::WashPump, Load::Heater]),
                _ => Loads::NONE,
            };
            let start = intervals.last().map_or(Seconds(0.0), |i| i.end);
            let end = start + Seconds(60.0 * f64::from(minutes));
            intervals.push(Interval { loads, ..interval(kind, start, end, 1) });
        }
        let cycle = Cycle { resolution: Seconds(60.0), ..whole_cycle(intervals) };
        let explanation = explain(&in_means(&chart, cycle.resolution).unwrap(), &cycle);
        for (_, _, phases) in explanation.steps.iter().filter_map(Step::covers) {
            prop_assert!(phases.end <= explanation.phases.len(), "{explanation:?}");
        }
    }
}
