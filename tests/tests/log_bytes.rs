//! Whatever happens to the bytes of a log or to a text that people write, what is good in it is kept, and the rest is refused with words.

use proptest::prelude::*;
use tubtrace::analysis::Analysis;
use tubtrace::log::{Assumptions, Log, parse};
use tubtrace_simulator::machine::Appliance;
use tubtrace_simulator::scenario::Night;
use tubtrace_tests::csv::{csv, noted};
use tubtrace_tests::{Worked, live};

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
