//! Two cycles of an invented machine that nobody knows, a reading a second: the first is healthy, and something is wrong with the second. What
//! is said of it without a machine file.

use std::ffi::OsStr;

use tubtrace_tests::command::Shop;
use tubtrace_tests::program::{Said, Verdict, check_with};

/// Seconds and watts of a healthy cycle of three waters.
const CYCLE: [(u32, f64); 15] = [
    (62, 12.0),
    (240, 92.0),
    (45, 27.0),
    (8, 1.0),
    (62, 12.0),
    (60, 92.0),
    (420, 2_040.0),
    (600, 91.0),
    (45, 27.0),
    (8, 1.0),
    (63, 12.0),
    (60, 92.0),
    (300, 2_038.0),
    (240, 92.0),
    (46, 27.0),
];

const HEATS: f64 = 1_000.0;

/// The second of two cycles, hours apart, as it is judged; what the program is told beside.
fn judged(second: &[(u32, f64)], words: &[&str]) -> Verdict {
    let idle = (5_000, 1.0);
    let all = [&[idle][..], &CYCLE, &[idle], second, &[idle]].concat();
    let readings = all.iter().flat_map(|(seconds, watts)| std::iter::repeat_n(watts, *seconds as usize));
    let rows: Vec<String> = readings.enumerate().map(|(n, watts)| format!("{n},{watts}")).collect();
    let shop = Shop::new();
    let file = shop.path("night.csv");
    std::fs::write(&file, format!("time,watts\n{}\n", rows.join("\n"))).unwrap();
    let words: Vec<&OsStr> = words.iter().map(OsStr::new).collect();
    let Said::Cycles(said) = check_with(&file, &words).unwrap() else { panic!("no verdict") };
    let [healthy, second]: [Verdict; 2] =
        said.try_into().unwrap_or_else(|all: Vec<_>| panic!("{} cycles", all.len()));
    assert!(!healthy.departs, "{:?}", healthy.told);
    second
}

/// The kind that is told first, with its first suspect.
fn first(second: &[(u32, f64)]) -> (String, String) {
    let said = judged(second, &[]);
    assert!(said.departs, "nothing is found; unusual: {:?}", said.unusual);
    (said.findings[0].clone(), said.advised.unwrap().suspects[0].clone())
}

fn is(kind: &str, suspect: &str) -> (String, String) {
    (kind.to_owned(), suspect.to_owned())
}

#[test]
fn nothing_is_found_in_a_healthy_night() {
    let said = judged(&CYCLE, &[]);
    assert!(!said.departs && said.unusual.is_empty(), "{:?} {:?}", said.told, said.unusual);
}

#[test]
fn a_valve_that_is_on_in_vain_is_no_water() {
    assert_eq!(first(&[(360, 12.0), (50, 27.0)]), is("no-water", "water-shut-off"));
}

#[test]
fn a_cycle_that_ends_in_its_second_heat_lost_its_mains() {
    let (mut cut, dead) = (CYCLE[..13].to_vec(), (900, 0.0));
    cut[12].0 = 100;
    cut.push(dead);
    assert_eq!(first(&cut), is("ends-full", "mains-lost"));
}

#[test]
fn a_cycle_that_begins_again_was_reset() {
    let mut again = CYCLE[..7].to_vec();
    again[6].0 = 200;
    again.extend([(45, 1.0), (44, 27.0)]);
    again.extend(CYCLE);
    assert_eq!(first(&again), is("restarts", "control-resets"));
}

#[test]
fn a_control_that_waits_for_an_empty_tub_has_a_blocked_drain() {
    let mut full = CYCLE[..8].to_vec();
    full.push((280, 27.0));
    assert_eq!(first(&full), is("gives-up-draining", "drain-blocked"));
}

/// A tub that is full takes next to no water, and is drained at once, for as long as the control waits.
#[test]
fn a_long_drain_right_after_a_short_fill_is_a_blocked_drain_and_no_relay() {
    let full = [&CYCLE[..10], &[(12, 12.0), (260, 27.0)]].concat();
    assert_eq!(first(&full), is("gives-up-draining", "drain-blocked"));
}

/// From its second drain on the drain pump's 26 W are beside everything, and remain.
#[test]
fn a_drain_pump_that_goes_on_through_the_next_water_has_a_relay_that_sticks() {
    let beside = CYCLE[10..14].iter().map(|(seconds, watts)| (*seconds, watts + 26.0));
    let stuck: Vec<_> =
        CYCLE[..8].iter().copied().chain([(53, 27.0)]).chain(beside).chain([(900, 27.0)]).collect();
    let (kind, suspect) = first(&stuck);
    assert!(["drain-goes-on", "drain-stays-on"].contains(&kind.as_str()), "{kind}");
    assert_eq!(suspect, "drain-relay-welded");
}

#[test]
fn a_contact_that_flutters_is_no_pump_that_stalls() {
    let (mut flutters, times) = (CYCLE[..6].to_vec(), [40, 5, 70, 3, 21, 90, 8, 60]);
    flutters.extend(times.iter().flat_map(|on| [(*on, 2_040.0), (3, 92.0)]));
    flutters.extend(&CYCLE[7..]);
    assert_eq!(first(&flutters), is("heat-flutters", "control-relay"));
}

#[test]
fn an_element_that_is_on_in_bursts_after_the_end_is_stuck() {
    let bursts = [12, 17, 9, 22, 14, 11, 19].map(|on| [(150 + 3 * on, 1.0), (on, 1_950.0)]);
    let stuck = [&CYCLE[..], &bursts.concat()].concat();
    assert_eq!(first(&stuck), is("heat-in-bursts", "heater-relay-stuck"));
}

#[test]
fn a_pump_that_tries_again_and_again_is_seized() {
    let tries = [3, 5, 4, 3, 6, 4, 5].map(|on| [(on, 205.0), (11, 1.0)]).concat();
    let seized = [&CYCLE[..5], &tries, &CYCLE[5..]].concat();
    let (kind, suspect) = first(&seized);
    assert!(["pump-tries", "pump-stalls"].contains(&kind.as_str()), "{kind}");
    assert_eq!(suspect, "wash-pump-seized");
}

/// What is told as unusual of a cycle in which something else is done from this second of its long wash on.
fn unusual(instead: &[(u32, f64)]) -> Vec<String> {
    let rest = 600 - 200 - instead.iter().map(|part| part.0).sum::<u32>();
    let run = [&CYCLE[..7], &[(200, 91.0)], instead, &[(rest, 91.0)], &CYCLE[8..]].concat();
    let said = judged(&run, &[]);
    assert!(!said.departs, "{:?}", said.told);
    said.unusual
}

#[test]
fn what_stands_still_or_sags_once_is_unusual() {
    assert_eq!(unusual(&[(150, 1.0)]), ["opened-once"]);
    assert_eq!(unusual(&[(150, 68.0)]), ["draws-less"]);
}

#[test]
fn drying_before_the_last_water_and_not_after_it_is_unusual() {
    let early = [&CYCLE[..10], &[(350, 1_950.0)], &CYCLE[10..]].concat();
    assert_eq!(judged(&early, &[]).unusual, ["dries-early"]);
}

/// Some controls do it, so it is unusual and not wrong.
#[test]
fn an_element_that_is_stopped_every_minute_is_unusual() {
    let limited: Vec<_> = (0..8).flat_map(|_| [(50, 2_040.0), (60, 92.0)]).collect();
    assert_eq!(judged(&[&CYCLE[..6], &limited, &CYCLE[7..]].concat(), &[]).unusual, ["heat-cycles"]);
}

/// A cold programme does that, so it is unusual and not wrong.
#[test]
fn a_whole_programme_without_heat_is_unusual() {
    let cold: Vec<_> = CYCLE.iter().map(|(s, w)| (*s, if *w > HEATS { 92.0 } else { *w })).collect();
    let said = judged(&cold, &[]);
    assert!(!said.departs, "{:?}", said.told);
    assert_eq!(said.unusual, ["never-heats"]);
    assert_eq!(said.advised.unwrap().suspects[0], "element-open");
}

/// 0.9 of the plate at 0.9 of the volts is 0.73 of its power (IEC 60335-1, from memory; IEC 60038).
#[test]
fn the_plate_parts_a_weak_element_from_a_low_mains() {
    let weaker = |part: f64| -> Vec<(u32, f64)> {
        CYCLE.iter().map(|(s, w)| (*s, if *w > HEATS { part * w } else { *w })).collect()
    };
    let plate = ["--rated-watts", "2050"];
    let whole = judged(&weaker(1.0), &plate);
    assert!(!whole.departs && whole.unusual.is_empty(), "{:?} {:?}", whole.told, whole.unusual);
    let low = judged(&weaker(0.8), &plate);
    assert!(
        !low.departs && low.unusual.contains(&"below-plate".to_owned()),
        "{:?} {:?}",
        low.told,
        low.unusual
    );
    let gone = judged(&weaker(0.55), &plate);
    assert_eq!(gone.findings, ["far-below-plate"]);
    assert_eq!(gone.advised.unwrap().suspects[0], "element-part-open");
}
