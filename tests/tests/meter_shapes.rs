//! Shapes in which meters and spreadsheets write a CSV, all invented: each tells the same night as the plain file, without a word from whoever has
//! it; and what the file does not tell is said, with the option that tells it.

use std::fs;

use jiff::civil::{DateTime, date};
use jiff::{Span, ToSpan};
use serde_json::Value;
use tubtrace_tests::command::Shop;

/// Watts of two runs of an invented machine, a reading each second: each a fill, a wash, a hold, a wash, a drain.
fn night() -> Vec<(u32, f64)> {
    let run = [(90, 12.0), (500, 150.0), (1_200, 2_113.0), (600, 150.0), (60, 35.0)];
    let all = [&[(900, 0.0)][..], &run, &[(6_000, 0.0)], &run, &[(900, 0.0)]].concat();
    let watts = all.into_iter().flat_map(|(lasts, watts)| std::iter::repeat_n(watts, lasts));
    // A meter's last digit.
    (0..).zip(watts).map(|(at, watts)| (at, watts + f64::from(at * 7 % 10) / 10.0)).collect()
}

/// The plain file, from 21:30 on a day that could be two, over midnight.
fn at(seconds: u32) -> DateTime {
    let since: Span = i64::from(seconds).seconds();
    date(2026, 3, 6).at(21, 30, 0, 0).checked_add(since).unwrap()
}

fn written(shop: &Shop, header: &str, row: impl Fn(u32, f64) -> String, newest_first: bool) {
    let mut rows: Vec<String> = night().into_iter().map(|(at, watts)| row(at, watts)).collect();
    if newest_first {
        rows.reverse();
    }
    fs::write(shop.path("night.csv"), format!("{header}\n{}\n", rows.join("\n"))).unwrap();
}

/// Where each interval begins and ends, in tenths of a second from the first row; and what was said beside it.
fn told(shop: &Shop, options: &[&str]) -> (Vec<(String, i64, i64)>, String) {
    let all = [&["timeline", "--json", "night.csv"], options].concat();
    let output = shop.command(&all).output().unwrap();
    let errors = String::from_utf8_lossy(&output.stderr).into_owned();
    let json: Value = serde_json::from_slice(&output.stdout).unwrap_or_else(|_| panic!("{errors}"));
    let tenths = |value: &Value| (value.as_f64().unwrap() * 10.0).round() as i64;
    let cycles = json["cycles"].as_array().unwrap();
    let all = cycles.iter().flat_map(|c| c["intervals"].as_array().unwrap());
    let all =
        all.map(|i| (i["name"].as_str().unwrap().to_owned(), tenths(&i["start_s"]), tenths(&i["end_s"])));
    (all.collect(), errors)
}

/// Whether the same intervals are told: a meter's last digit more or less moves an end by a reading or two.
fn same(a: &[(String, i64, i64)], b: &[(String, i64, i64)]) -> bool {
    let near = |x: i64, y: i64| (x - y).abs() <= 40;
    a.len() == b.len() && a.iter().zip(b).all(|(a, b)| a.0 == b.0 && near(a.1, b.1) && near(a.2, b.2))
}

fn on(format: &str, seconds: u32) -> String {
    at(seconds).strftime(format).to_string()
}

fn comma(value: f64) -> String {
    value.to_string().replace('.', ",")
}

type Row = fn(u32, f64) -> String;

/// Header, row, whether the newest stands first, what is said beside.
const SHAPES: &[(&str, Row, bool, &[&str])] = &[
    ("time,watts", |a, w| format!("{},{w:.1}", on("%F %T", a)), true, &["newest rows stand first"]),
    ("time,watts", |a, w| format!("{a},{w:.1}"), true, &["newest rows stand first"]),
    ("time,watts", |a, w| format!("{},{w:.1}", on("%T", a)), true, &["newest rows stand first", "--date"]),
    ("unix_time,power_w", |a, w| format!("{},{w:.1}", 1_772_832_600 + a), true, &["newest rows"]),
    (
        "time;watts",
        |a, w| format!("{};{}", on("%d.%m.%Y %T", a), comma(w)),
        true,
        &["newest rows stand first"],
    ),
    ("Timestamp;Power (W)", |a, w| format!("{};{w:.1}", on("%d.%m.%Y %T", a)), false, &[]),
    ("time,watts", |a, w| format!("{},{w:.1}", on("%d/%m/%Y %T", a)), false, &[]),
    ("time,watts", |a, w| format!("{},{w:.1}", on("%m/%d/%Y %T", a)), false, &[]),
    ("time,watts", |a, w| format!("{},{w:.1}", on("%-m/%-d/%Y %I:%M:%S %p", a)), false, &[]),
    ("time,watts", |a, w| format!("{},{w:.1}", on("%F %I:%M:%S %p", a)), false, &[]),
    ("time,watts", |a, w| format!("{},{w:.1}", on("%-m/%-d/%y %-I:%M:%S\u{202f}%P", a)), false, &[]),
    ("Date,Time,Watts", |a, w| format!("{},{},{w:.1}", on("%d/%m/%Y", a), on("%T", a)), false, &[]),
    ("Date,Time,Watts", |a, w| format!("{},{w:.1}", on("%m/%d/%Y,%I:%M:%S %p", a)), false, &[]),
    ("Date,Power [W],Note", |a, w| format!("{},{w:.1},", on("%F %T", a)), false, &[]),
    ("time,watts", |a, w| format!("{},{w:.1}", on("%Y/%m/%d %T", a)), false, &[]),
    ("time,watts", |a, w| format!("{},{w:.1}", on("%d-%m-%y %T", a)), false, &[]),
    ("time,watts", |a, w| format!("{},{w:.1}", on("%d %b %Y %T", a)), false, &[]),
    ("time,watts", |a, w| format!("{} UTC,{w:.1}", on("%F %T", a)), false, &[]),
    (
        "time,Power (kW)",
        |a, w| format!("{},{:.4}", on("%F %T", a), w / 1_000.0),
        false,
        &["units of 1000 watts"],
    ),
    ("time,kW", |a, w| format!("{},{:.4}", on("%F %T", a), w / 1_000.0), false, &["units of 1000 watts"]),
    (
        "time,Current (mA)",
        |a, w| format!("{},{:.0}", on("%F %T", a), w / 0.23),
        false,
        &["units of 0.001 amp"],
    ),
    (
        "Date/Time,Voltage (V),Current (A),Active Power (W),Energy (kWh),Power Factor",
        |a, w| format!("{},230.1,{:.2},{w:.1},{:.3},0.98", on("%F %T", a), w / 230.0, f64::from(a) / 1e5),
        false,
        &[],
    ),
    ("time,watts", |a, w| format!("{},\"{w:.1} W\"", on("%F %T", a)), false, &[]),
    ("time|watts", |a, w| format!("{}|{w:.1}", on("%F %T", a)), false, &[]),
    ("time,watts", |a, w| format!("{},{w:.1},", on("%F %T", a)), false, &[]),
    (
        "Elapsed,W",
        |a, w| format!("{}:{:02}:{:02},{w:.1}", a / 3_600, a / 60 % 60, a % 60),
        false,
        &["--date"],
    ),
    ("Time (min),Power (W)", |a, w| format!("{:.4},{w:.1}", f64::from(a) / 60.0), false, &[]),
];

#[test]
fn each_shape_tells_the_same_night() {
    let shop = Shop::new();
    written(&shop, "time,watts", |a, w| format!("{},{w:.1}", on("%F %T", a)), false);
    let (expected, errors) = told(&shop, &[]);
    assert!(expected.iter().filter(|i| i.0 == "heat").count() == 2 && errors.is_empty(), "{errors}");
    for (i, (header, row, newest_first, says)) in SHAPES.iter().enumerate() {
        written(&shop, header, row, *newest_first);
        let (found, errors) = told(&shop, &[]);
        assert!(same(&found, &expected), "{i}: {header}: {found:?} {errors}");
        assert!(says.iter().all(|say| errors.contains(say)), "{i}: {header}: {errors}");
        assert!(!says.is_empty() || errors.is_empty(), "{i}: {header}: {errors}");
    }
    // What a header says is not said twice: with a factor it is the factor that counts, but for the clamp's direction.
    let kilowatts = |sign: f64| move |a: u32, w: f64| format!("{},{:.4}", on("%F %T", a), sign * w / 1_000.0);
    for (scale, sign) in [("1000", 1.0), ("-1", -1.0)] {
        written(&shop, "time,Power (kW)", kilowatts(sign), false);
        let (found, errors) = told(&shop, &["--scale", scale]);
        assert!(same(&found, &expected), "{scale}: {errors}");
    }
}

/// A log within one day, whose date may be the sixth of March or the third of June.
#[test]
fn a_day_that_may_be_a_month_is_asked_about() {
    let shop = Shop::new();
    let row = |a: u32, w: f64| format!("06/03/2026 {},{w:.1}", on("%T", a));
    let rows: String = night().into_iter().take(8_900).map(|(a, w)| row(a, w) + "\n").collect();
    fs::write(shop.path("night.csv"), format!("time,watts\n{rows}")).unwrap();
    let asked = |options: &[&str]| {
        let output = shop.command(&[&["timeline", "night.csv"], options].concat()).output().unwrap();
        [output.stdout, output.stderr].map(|bytes| String::from_utf8_lossy(&bytes).into_owned())
    };
    let [out, errors] = asked(&[]);
    assert!(out.contains("2026-03-06 21:30"), "{out}");
    assert!(errors.contains("the day from the month") && errors.contains("--time \"%m/%d/%Y"), "{errors}");
    let [out, errors] = asked(&["--time", "%m/%d/%Y %H:%M:%S"]);
    assert!(out.contains("2026-06-03 21:30") && errors.is_empty(), "{out}{errors}");
}

/// Kilowatts in a column that says nothing of them: no cycle is found, and what may be the matter is said.
#[test]
fn readings_that_may_be_kilowatts_are_asked_about() {
    let shop = Shop::new();
    written(&shop, "time,watts", |a, w| format!("{},{:.4}", on("%F %T", a), w / 1_000.0), false);
    shop.refuses(&["check", "night.csv"], "2.1 W: if these are kilowatts, say so: --scale 1000");
    assert!(told(&shop, &["--scale", "1000"]).0.len() > 8);
}
