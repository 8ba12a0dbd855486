//! Readings that cannot be used, or cannot be meant: what of a run they leave unjudged, and what is said of them.

use tubtrace::analysis::Analysis;
use tubtrace::log::{Assumptions, Layout, Log, parse_as};
use tubtrace_tests::csv::{csv, noted};
use tubtrace_units::Seconds;

/// A run of a machine, a reading a second: idle, a fill, a wash that is heated, a drain.
fn run(reading: impl Fn(u32, f64) -> String) -> String {
    let load = |t: u32| match t {
        0..600 => 0.0,
        600..690 => 12.0,
        690..1_200 => 150.0,
        1_200..2_400 => 2_113.0,
        2_400..3_000 => 150.0,
        3_000..3_060 => 35.0,
        _ => 0.0,
    };
    "time,watts\n".to_owned() + &(0..4_000).map(|t| reading(t, load(t))).collect::<String>()
}

fn plain() -> Log {
    csv(&run(|t, w| format!("{t},{w:.1}\n"))).unwrap()
}

/// What cannot be judged, and why.
fn unjudged(log: &Log) -> Option<String> {
    tubtrace::intervals::too_much_lost(&log.trace, &Analysis::of(&log.trace).cycles)
}

#[test]
fn thousands_separators_and_decimal_commas_do_not_lose_the_heater() {
    let grouped =
        |w: f64| if w >= 1_000.0 { format!("\"2,{:05.1}\"", w - 2_000.0) } else { format!("{w:.1}") };
    let comma = |w: f64| grouped(w).replace(',', "_").replace('.', ",").replace('_', ".").replace('"', "");
    for text in [
        run(|t, w| format!("{t},{}\n", grouped(w))),
        run(|t, w| format!("{t};{}\n", comma(w))).replace("time,", "time;"),
    ] {
        let log = csv(&text).unwrap();
        assert_eq!(log.trace.steps, plain().trace.steps);
        assert!(log.notes.all().is_empty(), "{:?}", log.notes);
    }
    let said = csv("time,watts\n0,\"2,113\"\n1,\"1,050\"\n").unwrap_err();
    assert!(said.contains("line 2") && said.contains("thousands"), "{said}");
}

/// A text in a reading's place here and there costs what it costs; half a minute of them within a run, and nothing is said of it.
#[test]
fn readings_that_are_lost_within_a_run_leave_it_unjudged() {
    let lost = |from: u32, to: u32| {
        csv(&run(|t, w| if (from..to).contains(&t) { format!("{t},text\n") } else { format!("{t},{w}\n") }))
            .unwrap()
    };
    assert_eq!(unjudged(&plain()), None);
    assert_eq!(unjudged(&lost(1_300, 1_302)), None, "two readings of forty minutes");
    assert!(unjudged(&lost(1_200, 1_300)).unwrap().contains("100 s of"), "the heater's begin");
    // Here and there, for where most rows share their time they are spread.
    let again =
        |t: u32, w: f64| if t.is_multiple_of(3) { format!("{t},{}\n", w + 1.0) } else { String::new() };
    let other_values = run(|t, w| format!("{t},{w}\n{}", again(t, w)));
    assert!(unjudged(&csv(&other_values).unwrap()).is_some());
    let doubled = csv(&run(|t, w| format!("{t},{w}\n{t},{w}\n"))).unwrap();
    assert_eq!(unjudged(&doubled), None, "nothing is lost with what is there twice");
    assert_eq!(doubled.trace.steps, plain().trace.steps);
}

/// What is lost is time, not rows: a second that was told two hundred times is one second.
#[test]
fn a_moment_is_lost_once() {
    let stuck = run(|t, w| {
        let again = if t == 1_300 { format!("{t},{}\n", w + 1.0).repeat(200) } else { String::new() };
        format!("{t},{w}\n{again}")
    });
    let stuck = csv(&stuck).unwrap();
    assert!(noted(&stuck, "another value", 200), "{:?}", stuck.notes);
    assert_eq!(unjudged(&stuck), None);
    // Rows in no order at all: most are lost, but no more of them than there are.
    let text = run(|t, w| format!("{t},{w}\n"));
    let (header, rows) = text.split_once('\n').unwrap();
    let rows: Vec<&str> = rows.split_inclusive('\n').collect();
    let mixed: String = (0..rows.len()).map(|i| rows[i * 1_009 % rows.len()]).collect();
    let said = unjudged(&csv(&format!("{header}\n{mixed}")).unwrap()).unwrap();
    let lost = said.split_once(" s of readings").unwrap().0.rsplit_once(' ').unwrap().1;
    assert!(lost.parse::<f64>().unwrap() <= rows.len() as f64, "{said}");
}

#[test]
fn pieces_that_were_joined_out_of_order_are_put_in_order() {
    let text = run(|t, w| format!("{t},{w}\n"));
    let rows: Vec<&str> = text.split_inclusive('\n').collect();
    let (first, second) = rows[1..].split_at(2_000);
    let log = csv(&format!("{}{}{}", rows[0], second.concat(), first.concat())).unwrap();
    assert_eq!(log.trace.steps, plain().trace.steps);
    assert!(noted(&log, "put in order", 1), "{:?}", log.notes);
    assert_eq!(unjudged(&log), None);
    // Joined with the header of the second between them.
    let log = csv(&format!("{}{}{}{}", rows[0], second.concat(), rows[0], first.concat())).unwrap();
    assert_eq!(log.trace.steps, plain().trace.steps);
    assert_eq!(unjudged(&log), None);
}

#[test]
fn units_that_no_household_has_are_named() {
    let milliseconds = csv(&run(|t, w| format!("{},{w}\n", t * 1_000))).unwrap_err();
    assert!(
        milliseconds.contains("1000 s apart") && milliseconds.contains("--time milliseconds"),
        "{milliseconds}"
    );
    let since_1970 =
        csv(&run(|t, w| format!("{},{w}\n", 1_772_827_200_000_u64 + u64::from(t) * 1_000))).unwrap_err();
    assert!(since_1970.contains("milliseconds"), "{since_1970}");
    let milliamps = run(|t, w| format!("{t},{:.0}\n", w / 0.23)).replace("watts", "amps");
    let said = csv(&milliamps).unwrap_err();
    assert!(said.contains("9187 A") || said.contains("652 A"), "{said}");
    assert!(said.contains("--scale 0.001") && said.contains("--force"), "{said}");
    // Who says so gets what the file has.
    let layout = Layout { beyond: true, ..Layout::default() };
    let forced = parse_as(milliamps.as_bytes(), Assumptions::default(), &layout).unwrap().trace;
    assert!(forced.steps.iter().any(|s| forced.amps(s.power).0 > 9_000.0));
    // One glitch of a meter is a glitch.
    let log = csv(&run(|t, w| format!("{t},{}\n", if t == 700 { 90_000.0 } else { w }))).unwrap();
    assert!(noted(&log, "beyond what a household's circuit carries", 1), "{:?}", log.notes);
}

/// Rows and durations are bounded: what holds for 1e300 s, a log of twelve years, times beyond any calendar.
#[test]
fn what_would_never_end_is_refused() {
    for (text, says) in [
        ("time,amps\n0,1\n400000000,1\n", "400000000 s apart"),
        ("time,amps,lasts_s\n0,1,1e300\n", "longer than a day"),
        ("time,amps\n-1e308,1\n1e308,1\n", "no row that can be used"),
        ("time,amps,lasts_s\n0,1,1\n40000000,1,1\n", "no longer than 400 days"),
    ] {
        let said = csv(text).unwrap_err();
        assert!(said.contains(says), "{text:?}: {said}");
    }
    let close = csv("time,amps\n0,5e-324\n5e-324,1\n1e-300,5\n1,5\n").unwrap();
    assert_eq!(close.trace.steps.len(), 2, "closer than a file tells is one time");
    let trace = csv("time,watts\n0,1\n1,2\n2,3\n").unwrap().trace;
    assert_eq!(tubtrace::export::too_many(&trace, Seconds(1.0)), None);
    assert!(tubtrace::export::too_many(&trace, Seconds(1e-7)).unwrap().contains("30000000 rows"));
}
