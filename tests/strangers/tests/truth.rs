//! The intervals of the truth against the watts of the day.

use strangers::carry::Carry;
use strangers::day;
use strangers::fault::{Fault, Trouble};
use strangers::kinds::KINDS;
use strangers::meter::{self, METERS, Meter};
use strangers::rng::Rng;
use strangers::truth::{intervals, lines};

#[test]
fn intervals_make_up_the_energy_of_the_day() {
    for k in KINDS {
        for trouble in [None, Some(Trouble::draw(Fault::WashStalls, 2))] {
            let m = k.machine(2);
            let mut carry = Carry::new(&m, 2);
            let record = day::make(&m, &mut carry, 1, trouble);
            let watts: f64 = record.watts.iter().map(|w| f64::from(*w)).sum();
            let mut sum: f64 = record.idle.iter().map(|s| s.watts * (s.to - s.from) as f64).sum();
            for p in &record.cycles {
                for i in intervals(&p.cycle.frames) {
                    sum += i.watts * (i.to - i.from) as f64;
                }
            }
            assert!((sum / watts - 1.0).abs() < 1e-4, "{}: {sum} and {watts}", k.name);
        }
    }
}

#[test]
fn the_watts_at_every_second_are_those_of_the_loads_that_are_on() {
    let m = KINDS[0].machine(5);
    let mut carry = Carry::new(&m, 5);
    let record = day::make(&m, &mut carry, 1, None);
    for p in &record.cycles {
        let all = intervals(&p.cycle.frames);
        for t in (0..p.cycle.frames.len()).step_by(97) {
            let on: f64 = all.iter().filter(|i| i.from <= t && t < i.to).map(|i| i.peak).sum();
            let now = f64::from(record.watts[p.start + t]);
            assert!(now <= on + 0.5, "{now} W drawn, {on} W at most by the truth");
            assert!(now > 0.3 * on - 5.0 || on < 300.0);
        }
    }
}

#[test]
fn lines_are_whole_and_in_order() {
    let m = KINDS[1].machine(5);
    let mut carry = Carry::new(&m, 5);
    let record = day::make(&m, &mut carry, 1, None);
    let text = lines(22_000, &record, &[]);
    let cycles = text.iter().filter(|l| l.contains("\"type\":\"cycle\"")).count();
    assert_eq!(cycles, record.cycles.len());
    assert!(text.iter().all(|l| l.starts_with('{') && l.ends_with('}')));
    assert!(text.iter().any(|l| l.contains("\"kind\":\"fill-valve\"")));
}

#[test]
fn meters_keep_the_energy_and_their_steps() {
    let m = KINDS[0].machine(9);
    let mut carry = Carry::new(&m, 9);
    let record = day::make(&m, &mut carry, 1, None);
    let true_mean = record.watts.iter().map(|w| f64::from(*w)).sum::<f64>() / 864_000.0;
    for (name, kind, _) in METERS {
        let mut r = Rng::new(1);
        let readings = meter::read(kind, &record.watts, &[], &mut r);
        let mean = readings.iter().map(|r| r.1).sum::<f64>() / readings.len() as f64;
        if kind != Meter::Gaps {
            assert!((mean - true_mean).abs() < 0.03 * true_mean + 0.6, "{name}: {mean}");
        }
        let step = match kind {
            Meter::TwoWatts => 2.0,
            Meter::OneWatt | Meter::Slow | Meter::Gaps => 1.0,
            _ => 0.1,
        };
        assert!(readings.iter().all(|r| ((r.1 / step).round() * step - r.1).abs() < 1e-6));
        assert!(readings.windows(2).all(|w| w[0].0 < w[1].0));
    }
}

#[test]
fn a_fault_leaves_the_plan_of_the_days_as_it_is() {
    let m = KINDS[0].machine(1);
    let plan = |trouble: Option<Trouble>| -> Vec<&'static str> {
        let mut carry = Carry::new(&m, 1);
        let days = (1..=4).map(|n| day::make(&m, &mut carry, n, trouble));
        days.flat_map(|d| d.cycles.into_iter().map(|p| p.cycle.programme)).collect()
    };
    let healthy = plan(None);
    for fault in [Fault::NoFill, Fault::WeakHeat, Fault::CutOff, Fault::DrainDead] {
        assert_eq!(plan(Some(Trouble::draw(fault, 1))), healthy);
    }
}
