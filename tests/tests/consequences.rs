//! What follows from a fault is told under it: cycles written by hand, whose causes and consequences are known. Drying without its heater
//! is the fan alone, and a tub that was not emptied is not filled: common practice, no source.

use tubtrace::chart::{Chart, Expected, Limits, Part, parse};
use tubtrace::findings::{Judged, Surroundings, judge};
use tubtrace::intervals::Kind;
use tubtrace_simulator::machine::{Appliance, Fault};
use tubtrace_simulator::scenario::Night;
use tubtrace_tests::{interval, live, whole_cycle};
use tubtrace_units::Seconds;

const FILL: (Kind, f64) = (Kind::Fill, 70.0);
const WASH: (Kind, f64) = (Kind::Wash, 300.0);
const HEAT: (Kind, f64) = (Kind::Heat, 400.0);
const LAST: (Kind, f64) = (Kind::Wash, 120.0);
const DRAIN: (Kind, f64) = (Kind::Drain, 60.0);
const DRY: (Kind, f64) = (Kind::Dry, 600.0);

/// A prewash, a main wash that is heated, a rinse, and drying; each interval lasts a tenth less or more than written above.
fn chart() -> Chart {
    let interval = |(i, &(kind, lasts)): (usize, &(Kind, f64))| Expected {
        lasts: Some(Limits { low: Seconds(0.9 * lasts), high: Seconds(1.1 * lasts) }),
        ..Expected::new(format!("{kind} {i}"), kind)
    };
    let part = |(name, intervals): (&str, &[(Kind, f64)])| Part {
        name: name.into(),
        times: Limits { low: 1, high: 1 },
        intervals: intervals.iter().enumerate().map(interval).collect(),
    };
    let parts: [(&str, &[(Kind, f64)]); 4] = [
        ("prewash", &[FILL, WASH, DRAIN]),
        ("main wash", &[FILL, WASH, HEAT, LAST, DRAIN]),
        ("rinse", &[FILL, WASH, DRAIN]),
        ("dry", &[DRY]),
    ];
    Chart {
        name: "by hand".into(),
        parts: parts.map(part).into(),
        baselines: Default::default(),
        seen: 0,
        of_sheet: false,
    }
}

fn judged(phases: &[(Kind, f64)]) -> Judged {
    let (mut at, mut water) = (Seconds(100.0), 0);
    let interval = |&(kind, lasts): &(Kind, f64)| {
        let start = at;
        at += Seconds(lasts);
        water += u32::from(kind == Kind::Fill);
        interval(kind, start, at, water)
    };
    let cycle = whole_cycle(phases.iter().map(interval).collect());
    let surroundings =
        Surroundings { resolution: cycle.resolution, quiet_supply: None, battery_ended: false, plate: None };
    judge(&chart().into(), &cycle, surroundings)
}

/// Each finding, with what it follows from.
fn told(judged: &Judged) -> Vec<(String, Option<&'static str>)> {
    let told = |f: &tubtrace::findings::Finding| {
        (format!("{} {}", f.departure, f.does), f.follows.map(|cause| cause.word()))
    };
    judged.findings.iter().map(told).collect()
}

#[test]
fn a_cycle_by_the_chart_has_nothing_to_tell() {
    let whole = [FILL, WASH, DRAIN, FILL, WASH, HEAT, LAST, DRAIN, FILL, WASH, DRAIN, DRY];
    assert_eq!(told(&judged(&whole)), []);
}

#[test]
fn a_short_dry_follows_from_no_heat_and_a_short_wash_before_it_does_not() {
    let merged = (Kind::Wash, WASH.1 + LAST.1);
    let (short_wash, short_dry) = ((Kind::Wash, 220.0), (Kind::Dry, 420.0));
    let cold = judged(&[FILL, short_wash, DRAIN, FILL, merged, DRAIN, FILL, WASH, DRAIN, short_dry]);
    let told_first = [("no-heat heat".into(), None), ("too-short wash".into(), None)];
    let told_last = [("too-short dry".into(), Some("no-heat"))];
    assert_eq!(told(&cold), [&told_first[..], &told_last[..]].concat());
    let under: Vec<&str> =
        cold.following(cold.findings[0].departure).iter().map(|f| f.departure.id).collect();
    assert_eq!((under, cold.standing().count()), (vec!["too-short"], 2));

    // Nothing follows by its kind alone: with heat, a dry that is a little short stands by itself.
    let little = (Kind::Dry, 520.0);
    let heated = judged(&[FILL, WASH, DRAIN, FILL, WASH, HEAT, LAST, DRAIN, FILL, WASH, DRAIN, little]);
    assert_eq!(told(&heated), [("too-short dry".into(), None)]);
}

/// The simulator's blocked drain leaves the water in the tub, so that the fills after it are short or do not come.
#[test]
fn fills_are_missing_because_the_drain_is_blocked() {
    let chart = parse(include_str!("../../host/charts/invented-120v-heavy.chart.toml"), "chart").unwrap();
    let night = live(&Night::with_faults(8, Appliance::on_120_volts(), &[Fault::NoDrainFlow]));
    let mut held = 0;
    for (judged, truth) in night.judge(&chart).iter().zip(&night.recording.truth.cycles) {
        if truth.fault().is_some() {
            let told = told(judged);
            assert_eq!(told[0], ("no-drain-flow drain".into(), None), "{told:?}");
            let fills = told.iter().filter(|(kind, _)| kind == "missing fill" || kind == "too-short fill");
            held += fills.clone().count();
            assert!(fills.clone().all(|(_, of)| *of == Some("no-drain-flow")), "{told:?}");
        }
    }
    assert!(held > 0);
}
