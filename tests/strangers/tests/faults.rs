//! What faults do to the control.

use strangers::carry::Carry;
use strangers::cycle::{self, Cycle};
use strangers::fault::{Fault, Trouble};
use strangers::frame::{Frame, Load};
use strangers::kinds;

/// The shortest heated programme of a machine with a fault at full strength.
fn with(kind: &str, seed: u64, fault: Fault) -> Cycle {
    let m = kinds::named(kind).expect("kind").machine(seed);
    let mut carry = Carry::new(&m, seed);
    let heated = |p: &&strangers::programme::Programme| p.heats();
    let p = m.programmes.iter().filter(heated).min_by_key(|p| p.parts.len());
    let c = carry.conditions(&m, 0.0, 40_000.0, 1);
    let t = Trouble { severity: 1.0, ..Trouble::draw(fault, seed) };
    cycle::run(&m, p.expect("heated"), &c, Some(t))
}

fn watt_hours(frames: &[Frame], load: Load) -> f64 {
    frames.iter().map(|f| f64::from(f.watts[load as usize])).sum::<f64>() / 36_000.0
}

/// How many of some seeds end in each of two ways.
fn ways(kind: &str, fault: Fault, gives_up: &str) -> (usize, usize) {
    let mut both = (0, 0);
    for seed in 0..14 {
        let c = with(kind, seed, fault);
        assert_eq!(c.fault, Some(fault), "{kind} {seed}");
        if c.how.contains(gives_up) {
            both.0 += 1;
        } else {
            both.1 += 1;
        }
    }
    both
}

#[test]
fn without_heat_some_controls_give_up_and_some_go_on() {
    let (gave_up, went_on) = ways("plain-230", Fault::NoHeat, "no heat");
    assert!(gave_up > 0 && went_on > 0, "{gave_up} and {went_on}");
    assert!(watt_hours(&with("plain-230", 1, Fault::NoHeat).frames, Load::Heater) < 0.01);
}

#[test]
fn a_dead_drain_pump_is_noticed_by_some_and_not_by_others() {
    let (noticed, not) = ways("plain-230", Fault::DrainDead, "does not drain");
    assert!(noticed > 0 && not > 0, "{noticed} and {not}");
}

#[test]
fn without_water_a_timer_washes_on_and_a_level_control_gives_up() {
    assert!(with("plain-120", 3, Fault::NoFill).how.contains("finished"));
    assert!(with("plain-230", 3, Fault::NoFill).how.contains("no water"));
}

#[test]
fn what_stays_on_outlasts_the_programme() {
    let c = with("plain-230", 4, Fault::DrainStaysOn);
    assert!(c.frames.len() > c.end + 6000);
    assert!(c.frames[c.end + 5000].watts[Load::DrainPump as usize] > 5.0);
}

#[test]
fn a_stalled_pump_draws_more_than_twice_its_power() {
    let c = with("plain-230", 5, Fault::WashStalls);
    let m = kinds::named("plain-230").expect("kind").machine(5);
    let pump = |f: &Frame| f64::from(f.watts[Load::WashPump as usize]);
    let high = c.frames.iter().filter(|f| pump(f) > 1.8 * m.wash.watts).count();
    assert!(high > 30, "{high} ticks");
}
