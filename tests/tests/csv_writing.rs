//! CSV files are read as people's meters and spreadsheets write them.

use tubtrace::log::{Assumptions, parse};
use tubtrace_tests::csv::{csv, noted, powers};
use tubtrace_units::{Seconds, Watts};

#[test]
fn files_that_hold_nothing_are_told_apart() {
    for (text, says) in [
        ("", "empty"),
        ("time,watts\n", "no row that can be used"),
        ("time;watts\nx;y\n", "time that is not understood"),
        ("when,watts\n1,2\n", "no column called \"time\" among: when, watts"),
        ("time,volts\n1,2\n", "no column called \"watts\" or \"amps\""),
        ("\u{feff}\n\n", "no line of text"),
    ] {
        let said = csv(text).unwrap_err();
        assert!(said.contains(says), "{text:?}: {said}");
    }
    let said = parse(&[0; 5_000], Assumptions::default()).unwrap_err();
    assert!(said.contains("not a tubtrace log"), "{said}");
    let noise: Vec<u8> = (0..5_000u32).map(|i| (i.wrapping_mul(2_654_435_761) >> 24) as u8).collect();
    assert!(parse(&noise, Assumptions::default()).is_err());
}

#[test]
fn a_byte_order_mark_crlf_semicolons_and_decimal_commas_are_read() {
    let plain = csv("time,watts\n0,1.5\n1,2.5\n2,2000\n").unwrap();
    for text in [
        "\u{feff}time,watts\r\n0,1.5\r\n1,2.5\r\n2,2000\r\n",
        "Time;Watts\n0;1,5\n1;2,5\n2;2000\n",
        "watts\ttime\n1.5\t0\n2.5\t1\n2000\t2",
        "time,watts\n0,\"1,5\"\n1,\"2,5\"\n2,2000\n",
        "time,note,watts\n0,,1.5\n1,\"a, b\",2.5\n2,x,2000\n",
    ] {
        let log = csv(text).unwrap();
        assert_eq!(powers(&log), powers(&plain), "{text:?}");
        assert!(log.notes.all().is_empty(), "{text:?}: {:?}", log.notes);
    }
}

#[test]
fn text_is_read_by_whatever_code_it_was_saved() {
    // The degree sign and an umlaut, in a header and in a field that nobody needs.
    let text = "Time;K\u{fc}che \u{b0}C;Watts\r\n0;gr\u{fc}n;1,5\r\n1;;2,5\r\n2;\u{b0};2000\r\n";
    let plain = csv(text).unwrap();
    assert_eq!(powers(&plain), [1.5, 2.5, 2000.0]);
    let units =
        |of: fn(u16) -> [u8; 2]| "\u{feff}".encode_utf16().chain(text.encode_utf16()).flat_map(of).collect();
    // All of it is in ISO 8859-1, whose letters have the numbers of Unicode.
    let bytes: Vec<u8> = text.chars().map(|c| u8::try_from(c).unwrap()).collect();
    for bytes in [units(u16::to_le_bytes), units(u16::to_be_bytes), bytes] {
        let log = parse(&bytes, Assumptions::default()).unwrap();
        assert_eq!(powers(&log), powers(&plain));
        assert!(log.notes.all().is_empty(), "{:?}", log.notes);
    }
}

/// A minute of a machine that is off, a pump that runs for two, and off again: a reading each second from 22:40:43 on.
fn a_pump(at: usize) -> f64 {
    if (100..220).contains(&at) { 150.0 + (at * 7 % 5) as f64 } else { (at * 3 % 2) as f64 }
}

#[test]
fn rows_that_share_a_minute_are_spread_over_it() {
    let seconds = |at: usize| 43 + at;
    let row = |at: usize| format!("22:{},{}\n", 40 + seconds(at) / 60, a_pump(at));
    let rows: Vec<String> = (0..321).map(row).collect();
    let newest_first = rows.iter().rev().map(String::as_str).collect::<String>();
    for text in [rows.concat(), newest_first] {
        let log = csv(&format!("time,watts\n{text}")).unwrap();
        assert!(noted(&log, "60 rows for each time, spread evenly until the next", 1), "{:?}", log.notes);
        assert_eq!(log.trace.steps.iter().count(), 321);
        for (at, step) in log.trace.steps.iter().enumerate() {
            assert!((step.start.0 - at as f64).abs() < 1e-6, "{at}: {step:?}");
            assert_eq!(step.power.0, a_pump(at));
        }
        assert!(log.trace.lost.is_empty());
    }
}

#[test]
fn rows_that_share_a_second_are_spread_and_those_of_several_meters_are_told() {
    let tenths: String = (0..321).map(|at| format!("{},{}\n", at / 10, a_pump(at))).collect();
    let log = csv(&format!("time,watts\n{tenths}")).unwrap();
    assert!((log.trace.steps.get(123).unwrap().start.0 - 12.3).abs() < 1e-6);
    // Beside a freezer, and each row twice.
    let two: String = (0..321).map(|at| format!("{at},{}\n{at},80\n", a_pump(at))).collect();
    let said = csv(&format!("time,watts\n{two}")).unwrap_err();
    assert!(said.contains("2 rows for each time, which are those of 2 meters or channels"), "{said}");
    let twice: String = (0..321).map(|at| format!("{at},{0}\n{at},{0}\n", a_pump(at))).collect();
    let log = csv(&format!("time,watts\n{twice}")).unwrap();
    assert!(noted(&log, "was there already", 321), "{:?}", log.notes);
}

#[test]
fn bad_rows_are_passed_over_and_counted_where_they_stand() {
    let log = csv("time,watts\n0,1\n1,NaN\n2,text\n3,4\n3,5\n4,\n5,-7\n6,inf\n7,8\nnever,9\n8,10,11\n9,12\n")
        .unwrap();
    assert_eq!(powers(&log), [1.0, 4.0, 8.0, 12.0]);
    assert!(noted(&log, "without a usable number", 2), "{:?}", log.notes);
    assert!(noted(&log, "says it has no reading", 2), "{:?}", log.notes);
    assert!(noted(&log, "below zero, skipped", 1), "{:?}", log.notes);
    assert!(noted(&log, "same time", 1) && noted(&log, "not understood", 1), "{:?}", log.notes);
    assert!(noted(&log, "more fields than the header", 1), "{:?}", log.notes);
    assert_eq!(log.notes.all()[0].first, "line 3: \"NaN\"");
    assert_eq!(log.notes.all()[1].first, "line 4: \"text\"");
}

#[test]
fn one_wild_time_costs_one_row() {
    let log = csv("time,watts\n0,1\n1,2\n9999999,3\n2,4\n-50,5\n3,6\n4,7\n").unwrap();
    assert_eq!(powers(&log), [1.0, 2.0, 4.0, 6.0, 7.0]);
    assert!(noted(&log, "out of order", 2), "{:?}", log.notes);
}

#[test]
fn times_are_iso_8601_with_or_without_an_offset_or_seconds() {
    for (times, start) in [
        (["2026-03-06T20:00:00", "2026-03-06T20:00:01", "2026-03-06T20:00:02"], "2026-03-06T20:00:00+00:00"),
        (["2026-03-06 20:00:00", "2026-03-06 20:00:01", "2026-03-06 20:00:02"], "2026-03-06T20:00:00+00:00"),
        (
            ["2026-03-06T20:00:00-05:00", "2026-03-06T20:00:01-05:00", "2026-03-06T20:00:02-05:00"],
            "2026-03-06T20:00:00-05:00",
        ),
        (
            ["2026-03-06T20:00:00Z", "2026-03-06T20:00:01Z", "2026-03-06T20:00:02Z"],
            "2026-03-06T20:00:00+00:00",
        ),
    ] {
        let log = csv(&format!("time,amps\n{},1\n{},2\n{},3\n", times[0], times[1], times[2])).unwrap();
        let clock = log.trace.clock.unwrap();
        assert_eq!(clock.start.display_with_offset(clock.zone.offset()).to_string(), start);
        assert_eq!(log.trace.steps.get(2).unwrap().start, Seconds(2.0));
        assert_eq!(
            log.trace.steps.get(2).unwrap().power,
            Watts(690.0),
            "amps at the 230 V that a note says are assumed"
        );
        assert!(noted(&log, "volts not given", 1));
    }
}

#[test]
fn a_gap_stays_a_gap() {
    let rows = (0..60).chain(200..260).map(|t| format!("{t},100\n")).collect::<String>();
    let log = csv(&format!("time,watts\n{rows}")).unwrap();
    assert!(noted(&log, "gap without readings", 1), "{:?}", log.notes);
    let between = |s: &tubtrace::trace::Step| s.end.0 > 60.5 && s.start.0 < 199.5;
    assert!(!log.trace.steps.iter().any(|s| between(&s)));
}
