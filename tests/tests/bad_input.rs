//! Bad input never loses good data: damaged logs, and CSV files as people's meters and spreadsheets write them.

use proptest::prelude::*;
use tubtrace::analysis::Analysis;
use tubtrace::log::{Assumptions, Layout, Log, parse, parse_as};
use tubtrace_simulator::machine::Appliance;
use tubtrace_simulator::scenario::Night;
use tubtrace_tests::{Worked, live};
use tubtrace_units::{Seconds, Watts};

fn csv(text: &str) -> Result<Log, String> {
    parse(text.as_bytes(), Assumptions::default())
}

fn powers(log: &Log) -> Vec<f64> {
    log.trace.steps.iter().map(|s| s.power.0).collect()
}

fn noted(log: &Log, what: &str, count: u64) -> bool {
    log.notes.all().iter().any(|n| n.what.contains(what) && n.count == count)
}

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

/// A short night, recorded once for all the tests below.
fn night() -> &'static Worked {
    static NIGHT: std::sync::LazyLock<Worked> =
        std::sync::LazyLock::new(|| live(&Night::healthy(3, Appliance::on_120_volts(), 1)));
    &NIGHT
}

/// Windows of a log that are known: 100 ms each.
fn known(log: &Log) -> f64 {
    log.trace.steps.iter().map(|s| s.duration().0).sum::<f64>() * 10.0
}

/// A frame of windows holds four minutes at most.
const FRAME: f64 = 2_400.5;

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn a_flipped_bit_in_a_night_loses_at_most_a_frame(at in any::<prop::sample::Index>(), bit in 0u8..8) {
        let whole = night();
        let mut bytes = whole.recording.log.clone();
        let at = at.index(bytes.len());
        bytes[at] ^= 1 << bit;
        let log = parse(&bytes, Assumptions::default()).unwrap();
        prop_assert!(known(&log) >= known(&whole.log) - FRAME);
        // What is lost is said, unless nothing is (a closing zero can be put back).
        prop_assert!(!log.notes.all().is_empty() || log.trace.steps == whole.log.trace.steps);
    }

    #[test]
    fn a_night_cut_anywhere_keeps_what_came_before(at in any::<prop::sample::Index>()) {
        let whole = night();
        let bytes = &whole.recording.log;
        let at = at.index(bytes.len());
        match parse(&bytes[..at], Assumptions::default()) {
            Ok(log) => {
                let steps = &log.trace.steps;
                prop_assert!(whole.log.trace.steps.iter().take(steps.len()).eq(steps));
                // And it is worked to the end without complaint.
                let _ = Analysis::of(&log.trace);
            }
            // Before the first minutes of windows are complete there is nothing to keep.
            Err(_) => prop_assert!(at < 4_000, "nothing left of {} bytes", at),
        }
    }

    #[test]
    fn heavy_damage_is_survived(seed in any::<u64>(), part in 0.0f64..0.3) {
        let mut bytes = night().recording.log.clone();
        let mut state = seed | 1;
        for byte in &mut bytes {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            if ((state >> 40) as f64) < part * f64::from(1 << 24) {
                *byte = (state >> 32) as u8;
            }
        }
        if let Ok(log) = parse(&bytes, Assumptions::default()) {
            let ordered = log.trace.steps.pairs().all(|w| w[0].end <= w[1].start);
            prop_assert!(ordered);
            let _ = Analysis::of(&log.trace);
        }
    }

    /// A chart with a piece taken out, doubled or changed is read or refused with a place in it, never worse.
    #[test]
    fn any_chart_is_survived(from in any::<prop::sample::Index>(), length in 0usize..40, with in "[a-z0-9=.,\\[\\]\"\n -]{0,12}") {
        let text = include_str!("../../host/charts/invented-120v-heavy.chart.toml");
        let from = from.index(text.len());
        let until = (from + length).min(text.len());
        prop_assume!(text.is_char_boundary(from) && text.is_char_boundary(until));
        let changed = format!("{}{with}{}", &text[..from], &text[until..]);
        if let Err(error) = tubtrace::chart::parse(&changed, "c") {
            let said = error.to_string();
            let place: Vec<&str> = said.splitn(4, ':').collect();
            prop_assert!(place[1].parse::<usize>().is_ok() && place[2].parse::<usize>().is_ok(), "{}", said);
        }
    }

    #[test]
    fn any_text_is_survived(text in "(time,(watts|amps)(,supply_c)?\n)?([0-9T:.,;\"+-]{0,12}(,|;|\n)){0,40}") {
        if let Ok(log) = csv(&text) {
            let _ = Analysis::of(&log.trace);
        }
    }
}

#[test]
fn a_lost_opening_is_said_and_the_rest_is_read() {
    let whole = night();
    let bytes = &whole.recording.log;
    let second = bytes.iter().position(|&b| b == 0).unwrap() + 1;
    let log = parse(&bytes[second..], Assumptions::default()).unwrap();
    assert_eq!(log.trace.steps, whole.log.trace.steps);
    assert!(noted(&log, "opening record is missing", 1));
}

#[test]
fn doubled_reordered_and_joined_logs_lose_nothing_of_the_first() {
    let whole = night();
    let bytes = &whole.recording.log;
    let mut frames: Vec<Vec<u8>> = bytes.split_inclusive(|&b| b == 0).map(<[u8]>::to_vec).collect();
    let again: Vec<Vec<u8>> = frames.iter().rev().cloned().collect();
    frames.extend(again);
    let log = parse(&frames.concat(), Assumptions::default()).unwrap();
    assert_eq!(log.trace.steps, whole.log.trace.steps);
    assert!(log.notes.all().iter().any(|n| n.what.contains("there already")), "{:?}", log.notes);
}

#[test]
fn a_newer_logger_s_records_are_counted() {
    let mut bytes = night().recording.log.clone();
    // Kind 99, then its CRC: a frame that no version of today writes.
    let body = [99, 1, 2, 3];
    let mut plain = body.to_vec();
    plain.extend(tubtrace_protocol::CRC.checksum(&body).to_le_bytes());
    assert!(!plain.contains(&0), "so COBS is one code byte before it");
    bytes.push(plain.len() as u8 + 1);
    bytes.extend(plain);
    bytes.push(0);
    let log = parse(&bytes, Assumptions::default()).unwrap();
    assert!(noted(&log, "newer logger", 1), "{:?}", log.notes);
    assert_eq!(log.trace.steps, night().log.trace.steps);
}

/// Ten gigabytes are refused before a byte of them is read; pure zeros hold nothing, and that is said.
#[test]
fn what_is_far_too_large_or_all_zeros_is_refused() {
    let path = std::env::temp_dir().join(format!("tubtrace-large-{}.tub", std::process::id()));
    let file = std::fs::File::create(&path).unwrap();
    // Sparse: it takes no room on the disk.
    file.set_len(10 << 30).unwrap();
    let large = tubtrace::log::read(&path, Assumptions::default()).unwrap_err().to_string();
    file.set_len(48 << 20).unwrap();
    let zeros = tubtrace::log::read(&path, Assumptions::default()).unwrap_err().to_string();
    std::fs::remove_file(&path).unwrap();
    assert!(large.contains("larger than 512 MiB"), "{large}");
    assert!(zeros.contains("no intact record"), "{zeros}");
}

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
