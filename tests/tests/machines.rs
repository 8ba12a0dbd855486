//! Machine files by the command that people use: programmes are found, recognised, taken in later, and not known where nobody taught them.

use serde_json::Value;
use tubtrace_tests::command::Shop;

/// What runs, for how many seconds, at how many watts: an invented machine.
type Programme<'a> = &'a [(f64, f64)];

const FILL: (f64, f64) = (60.0, 9.0);
const DRAIN: (f64, f64) = (60.0, 28.0);
const PUMP: f64 = 90.0;
const HEATER: f64 = 2_100.0;

const SHORT: Programme<'static> =
    &[FILL, (120.0, PUMP), (600.0, HEATER), (300.0, PUMP), DRAIN, FILL, (200.0, PUMP), DRAIN];
const LONG: Programme<'static> = &[
    FILL,
    (900.0, PUMP),
    DRAIN,
    FILL,
    (70.0, PUMP),
    (900.0, HEATER),
    (1_800.0, PUMP),
    DRAIN,
    FILL,
    (400.0, PUMP),
    DRAIN,
];

/// A day with one cycle, each of whose intervals is longer or shorter by up to two seconds, as a meter's CSV of whole seconds.
fn day(programme: Programme, seed: u32) -> String {
    let mut rows = String::from("time,watts\n");
    let mut time = 0;
    let mut say = |seconds: f64, watts: f64| {
        for _ in 0..seconds as u32 {
            let noise = f64::from((time * 7 + seed * 13) % 5) * 0.004;
            rows.push_str(&format!("{time},{:.1}\n", watts * (1.0 + noise)));
            time += 1;
        }
    };
    say(900.0, 1.0);
    for (i, (seconds, watts)) in programme.iter().enumerate() {
        say(seconds + f64::from((seed * 3 + i as u32 * 5) % 5) - 2.0, *watts);
    }
    say(1_800.0, 1.0);
    rows
}

fn shop(days: &[(&str, Programme, u32)]) -> Shop {
    let shop = Shop::new();
    for (name, programme, seed) in days {
        std::fs::write(shop.path(name), day(programme, *seed)).unwrap();
    }
    shop
}

/// How `check` ends, and what it says as JSON.
fn check(shop: &Shop, day: &str, machine: &str) -> (i32, Value) {
    let output = shop.command(&["check", day, "--machine", machine, "--json"]).output().unwrap();
    (output.status.code().unwrap(), serde_json::from_slice(&output.stdout).unwrap())
}

/// The cycles that each programme of a machine file was learned from.
fn seen(shop: &Shop, file: &str) -> Vec<u32> {
    let text = String::from_utf8(shop.bytes(file)).unwrap();
    let number = |line: &str| {
        line.strip_prefix("seen = ")?.strip_suffix(" # cycles that it was learned from")?.parse().ok()
    };
    text.lines().filter_map(number).collect()
}

#[test]
fn programmes_are_found_whatever_the_order() {
    let days = [
        ("a.csv", SHORT, 1),
        ("b.csv", LONG, 2),
        ("c.csv", LONG, 3),
        ("d.csv", SHORT, 4),
        ("e.csv", LONG, 5),
        ("f.csv", SHORT, 6),
        ("short.csv", SHORT, 7),
        ("long.csv", LONG, 8),
    ];
    let shop = shop(&days);
    shop.well(&["learn", "a.csv", "b.csv", "c.csv", "d.csv", "e.csv", "f.csv", "-o", "m.machine.toml"]);
    assert_eq!(seen(&shop, "m.machine.toml"), [3, 3]);
    let programme = |day| {
        let (code, told) = check(&shop, day, "m.machine.toml");
        assert_eq!((code, &told["verdict"]), (0, &"within".into()), "{told}");
        told["cycles"][0]["programme"].as_str().unwrap().to_owned()
    };
    assert_ne!(programme("short.csv"), programme("long.csv"));
}

#[test]
fn a_programme_that_nobody_taught_is_not_known_until_it_is_added() {
    let days = [
        ("a.csv", SHORT, 1),
        ("b.csv", SHORT, 2),
        ("c.csv", SHORT, 3),
        ("d.csv", LONG, 4),
        ("e.csv", LONG, 5),
        ("f.csv", LONG, 6),
        ("long.csv", LONG, 7),
        ("short.csv", SHORT, 8),
    ];
    let shop = shop(&days);
    shop.well(&["learn", "a.csv", "b.csv", "c.csv", "-o", "one.machine.toml"]);
    let (code, told) = check(&shop, "long.csv", "one.machine.toml");
    assert_eq!((code, &told["verdict"]), (3, &"unknown-programme".into()), "{told}");
    assert_eq!(told["findings"].as_array().unwrap().len(), 0, "{told}");
    shop.well(&["learn", "d.csv", "e.csv", "f.csv", "--add", "one.machine.toml", "-o", "two.machine.toml"]);
    assert_eq!(seen(&shop, "two.machine.toml"), [3, 3]);
    for day in ["long.csv", "short.csv"] {
        assert_eq!(check(&shop, day, "two.machine.toml").0, 0, "{day}");
    }
}

#[test]
fn of_a_folder_the_machine_that_explains_the_night_is_taken() {
    let days = [
        ("a.csv", SHORT, 1),
        ("b.csv", SHORT, 2),
        ("c.csv", LONG, 3),
        ("d.csv", LONG, 4),
        ("night.csv", LONG, 5),
    ];
    let shop = shop(&days);
    std::fs::create_dir(shop.path("shop")).unwrap();
    shop.well(&["learn", "a.csv", "b.csv", "--name", "first", "-o", "shop/first.machine.toml"]);
    shop.well(&["learn", "c.csv", "d.csv", "--name", "second", "-o", "shop/second.machine.toml"]);
    let (code, told) = check(&shop, "night.csv", "shop");
    assert_eq!((code, &told["chart"]), (0, &"second".into()), "{told}");
    std::fs::create_dir(shop.path("empty")).unwrap();
    shop.refuses(&["check", "night.csv", "--machine", "empty"], "no *.machine.toml");
}

#[test]
fn a_dead_element_is_a_fault_of_a_known_programme() {
    let cold: Vec<(f64, f64)> = SHORT.iter().map(|&(s, w)| (s, if w == HEATER { PUMP } else { w })).collect();
    let shop = shop(&[("a.csv", SHORT, 1), ("b.csv", SHORT, 2), ("c.csv", SHORT, 3), ("cold.csv", &cold, 4)]);
    shop.well(&["learn", "a.csv", "b.csv", "c.csv", "-o", "m.machine.toml"]);
    let (code, told) = check(&shop, "cold.csv", "m.machine.toml");
    assert_eq!((code, &told["findings"][0]["kind"]), (1, &"no-heat".into()), "{told}");
}

#[test]
fn a_dead_element_is_not_added_to_what_is_good() {
    let cold: Vec<(f64, f64)> = SHORT.iter().map(|&(s, w)| (s, if w == HEATER { PUMP } else { w })).collect();
    let days = [
        ("a.csv", SHORT, 1),
        ("b.csv", SHORT, 2),
        ("c.csv", SHORT, 3),
        ("d.csv", SHORT, 5),
        ("cold.csv", &cold[..], 4),
    ];
    let shop = shop(&days);
    shop.well(&["learn", "a.csv", "b.csv", "c.csv", "-o", "m.machine.toml"]);
    shop.well(&["learn", "d.csv", "cold.csv", "--add", "m.machine.toml", "-o", "more.machine.toml"]);
    assert_eq!(seen(&shop, "more.machine.toml"), [4]);
    assert_eq!(check(&shop, "cold.csv", "more.machine.toml").0, 1);
}

/// A night that is learned with its faults: what looks faulty without a chart is named and left out, unless all of it is asked for.
#[test]
fn a_slow_fill_is_not_learned_unless_told_to() {
    let shop = Shop::new();
    shop.well(&["demo", "--save", "."]);
    let longest_fill = |arguments: &[&str]| {
        let said = shop.command(arguments).output().unwrap();
        assert!(said.status.success(), "{said:?}");
        let machine = tubtrace::chart::read(&shop.path("m.machine.toml")).unwrap();
        let parts = machine.programmes.into_iter().flat_map(|p| p.parts);
        let fills = parts.flat_map(|p| p.intervals).filter(|i| i.kind == tubtrace::intervals::Kind::Fill);
        let longest = fills.filter_map(|i| i.lasts).map(|l| l.high.0).fold(0.0, f64::max);
        (longest, String::from_utf8(said.stderr).unwrap())
    };
    let (longest, said) = longest_fill(&["learn", "night.tub", "-o", "m.machine.toml"]);
    assert!(longest < 278.0, "the slow fill of 278 s is not within it: {longest}");
    assert_eq!(said.matches("is left out, for it looks faulty").count(), 3, "{said}");
    assert!(said.contains("learned from 3 of 6 cycles"), "{said}");
    let (longest, _) = longest_fill(&["learn", "night.tub", "--all", "-o", "m.machine.toml", "--force"]);
    assert!(longest > 278.0, "{longest}");
}

/// Alone, a cycle is compared with nothing, and nothing is called a fault of it.
#[test]
fn one_cycle_without_a_machine_file_is_held_against_nothing() {
    let shop = shop(&[("a.csv", SHORT, 1)]);
    let output = shop.command(&["check", "a.csv", "--json"]).output().unwrap();
    let told: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!((output.status.code(), &told["verdict"]), (Some(3), &"unknown-programme".into()), "{told}");
}

/// What one programme needs wider is the machine's, and stands in its file: a cycle that was taken in is within.
#[test]
fn a_cycle_that_was_added_is_within_whatever_programme_it_is_of() {
    let (wash, rest) = ((900.0, PUMP), (120.0, 1.0));
    let opened: Vec<(f64, f64)> =
        LONG.iter().flat_map(|&i| if i.0 == 1_800.0 { vec![wash, rest, wash] } else { vec![i] }).collect();
    let days = [
        ("a.csv", SHORT, 1),
        ("b.csv", SHORT, 2),
        ("c.csv", SHORT, 3),
        ("d.csv", SHORT, 4),
        ("e.csv", LONG, 5),
        ("f.csv", LONG, 6),
        ("g.csv", LONG, 7),
        ("opened.csv", &opened[..], 8),
    ];
    let shop = shop(&days);
    let good = ["a.csv", "b.csv", "c.csv", "d.csv", "e.csv", "f.csv", "g.csv"];
    shop.well(&[&["learn"][..], &good, &["-o", "m.machine.toml"]].concat());
    // Somebody at the door is nothing that the machine does: it is unusual, and no cycle departs for it.
    let (code, told) = check(&shop, "opened.csv", "m.machine.toml");
    assert_eq!((code, told["unusual"].to_string().contains("opened")), (0, true), "{told}");
    shop.well(&["learn", "opened.csv", "--add", "m.machine.toml", "-o", "wider.machine.toml"]);
    let (code, told) = check(&shop, "opened.csv", "wider.machine.toml");
    assert_eq!((code, told["unusual"].to_string().contains("opened")), (0, false), "{told}");
}

/// How often an element switches while it dries, and for how long, follows how warm it is: a burst that is cut short, or does
/// not come, is no fault. One that dries without any heat does not match: it may be a choice at the panel.
#[test]
fn how_it_heats_while_it_dries_is_no_fault_and_no_heat_at_all_does_not_match() {
    let dried = |bursts: &[f64]| -> Vec<(f64, f64)> {
        let bursts = bursts.iter().flat_map(|lasts| [(120.0, 1.0), (*lasts, 1_900.0)]);
        LONG.iter().copied().chain(bursts).collect()
    };
    let usual = dried(&[150.0, 150.0, 150.0]);
    let (short, fewer, none) = (dried(&[150.0, 150.0, 30.0]), dried(&[150.0]), dried(&[]));
    let names = ["a.csv", "b.csv", "c.csv", "d.csv"];
    let mut days: Vec<_> = names.iter().zip(1..).map(|(name, seed)| (*name, &usual[..], seed)).collect();
    days.extend([("short.csv", &short[..], 5), ("fewer.csv", &fewer[..], 6), ("none.csv", &none[..], 7)]);
    let shop = shop(&days);
    shop.well(&[&["learn"][..], &names, &["-o", "m.machine.toml"]].concat());
    for day in ["short.csv", "fewer.csv"] {
        let (code, told) = check(&shop, day, "m.machine.toml");
        assert!(code != 1 && told["findings"].as_array().unwrap().is_empty(), "{told}");
    }
    let (code, told) = check(&shop, "none.csv", "m.machine.toml");
    assert_eq!((code, &told["cycles"][0]["differs"][0]), (3, &"left-out".into()), "{told}");
}

/// Of another machine's cycle nothing is told that is usual on one machine and wrong on another: here a pump whose power wanders.
#[test]
fn a_cycle_of_another_machine_is_not_accused_by_the_habits_of_this_one() {
    let wanders = |n: u32| (20.0, if n.is_multiple_of(2) { 80.0 } else { 100.0 });
    let mut other = vec![FILL];
    other.extend((0..120).map(wanders));
    other.extend([(1_500.0, HEATER), DRAIN, FILL]);
    other.extend((0..60).map(wanders));
    other.push(DRAIN);
    let shop =
        shop(&[("a.csv", SHORT, 1), ("b.csv", SHORT, 2), ("c.csv", SHORT, 3), ("other.csv", &other, 4)]);
    shop.well(&["learn", "a.csv", "b.csv", "c.csv", "-o", "m.machine.toml"]);
    let (code, told) = check(&shop, "other.csv", "m.machine.toml");
    assert_eq!((code, &told["verdict"]), (3, &"unknown-programme".into()), "{told}");
}

/// Another programme of the machine washes for longer and has a rinse more: that is told, and is no fault. What no choice of a programme
/// explains is: a fill that takes too long.
#[test]
fn a_programme_like_a_known_one_is_held_against_that_one() {
    let sibling = |fill: f64| {
        let mut all = LONG.to_vec();
        (all[0], all[1]) = ((fill, FILL.1), (2_400.0, PUMP));
        all.extend([FILL, (400.0, PUMP), DRAIN]);
        all
    };
    let (healthy, slow) = (sibling(FILL.0), sibling(200.0));
    let days = [
        ("a.csv", LONG, 1),
        ("b.csv", LONG, 2),
        ("c.csv", LONG, 3),
        ("d.csv", LONG, 4),
        ("healthy.csv", &healthy[..], 5),
        ("slow.csv", &slow[..], 6),
    ];
    let shop = shop(&days);
    shop.well(&["learn", "a.csv", "b.csv", "c.csv", "d.csv", "--name", "daily", "-o", "m.machine.toml"]);
    let (code, told) = check(&shop, "healthy.csv", "m.machine.toml");
    assert_eq!((code, &told["findings"].as_array().unwrap().len()), (3, &0), "{told}");
    assert_eq!(told["cycles"][0]["like"], "daily", "{told}");
    assert!(told["cycles"][0]["differs"].as_array().unwrap().contains(&"too-long".into()), "{told}");
    let (code, told) = check(&shop, "slow.csv", "m.machine.toml");
    let first = &told["findings"][0];
    assert_eq!((code, &first["kind"], &first["does"]), (1, &"too-long".into(), &"fill".into()), "{told}");
}

/// One cycle among many that washes for four times as long is of another programme, and widens nothing.
#[test]
fn one_cycle_of_another_programme_does_not_widen_the_others() {
    let mut other = LONG.to_vec();
    (other[1], other[9]) = ((3_600.0, PUMP), (1_300.0, PUMP));
    let names: Vec<String> = (0..7).map(|n| format!("{n}.csv")).collect();
    let mut days: Vec<(&str, Programme, u32)> =
        (1..).zip(&names).map(|(n, name)| (&name[..], LONG, n)).collect();
    days.push(("other.csv", &other, 9));
    let shop = shop(&days);
    let mut learn = vec!["learn"];
    learn.extend(names.iter().map(String::as_str));
    learn.extend(["other.csv", "-o", "m.machine.toml"]);
    shop.well(&learn);
    assert_eq!(seen(&shop, "m.machine.toml"), [7, 1]);
}
