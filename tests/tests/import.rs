//! Other people's recordings as `.tub` logs.

use std::f64::consts::{SQRT_2, TAU};
use std::path::Path;

use tubtrace::intervals::form;
use tubtrace::loads::find;
use tubtrace::log::{Assumptions, from_wav, parse, read, to_tub};
use tubtrace_units::Seconds;

/// The invented meter's CSV of the command's own tests.
const CSV: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../host/tests/cmd/invented.csv");

#[test]
fn a_csv_as_a_log_has_the_same_intervals() {
    let csv = read(Path::new(CSV), Assumptions::default()).unwrap();
    let log = parse(&to_tub(&csv.trace, "invented"), Assumptions::default()).unwrap();
    assert!(log.notes.all().is_empty(), "{:?}", log.notes);
    assert_eq!(log.trace.clock, csv.trace.clock);
    assert_eq!(log.trace.label, "invented");
    assert!(!log.trace.has_pickups(), "there were none");
    for (a, b) in csv.trace.steps.iter().zip(&log.trace.steps) {
        assert!((a.start - b.start).abs() < Seconds(0.05) && (a.end - b.end).abs() < Seconds(0.05));
        // A milliamp at 230 V.
        assert!((a.power.0 - b.power.0).abs() <= 0.116, "{a:?} {b:?}");
    }
    let intervals = |log: &tubtrace::log::Log| -> Vec<_> {
        let cycles = form(&log.trace, &find(&log.trace));
        cycles
            .iter()
            .flat_map(|c| &c.intervals)
            .map(|i| (i.kind, i.loads, i.start.0.round(), i.end.0.round()))
            .collect()
    };
    assert_eq!(intervals(&csv), intervals(&log));
    assert_eq!(intervals(&csv).len(), 13);
}

fn wav(rate: u32, samples: impl Iterator<Item = [i16; 2]>) -> std::path::PathBuf {
    let path = std::env::temp_dir().join(format!("tubtrace-import-{}-{rate}.wav", std::process::id()));
    let spec = hound::WavSpec {
        channels: 2,
        sample_rate: rate,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let mut writer = hound::WavWriter::create(&path, spec).unwrap();
    for frame in samples {
        frame.into_iter().for_each(|s| writer.write_sample(s).unwrap());
    }
    writer.finalize().unwrap();
    path
}

/// 400 counts of amplitude at 60 Hz, 16.113 mA a count: 4.557 A RMS (amplitude / sqrt 2). In the pickup hum, and flow
/// noise in the second half.
#[test]
fn a_wav_goes_through_the_logger_s_firmware() {
    let mut state = 1u32;
    let samples = (0..48_000).map(move |n| {
        let t = f64::from(n) / 4_800.0;
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let noise = if n >= 24_000 { f64::from(state >> 16) / 65_536.0 - 0.5 } else { 0.0 };
        let hum = 60.0 * (TAU * 60.0 * t).sin();
        let counts = [400.0 * (TAU * 60.0 * t).sin(), hum + 160.0 * noise];
        counts.map(|c| (c * 16.0).round() as i16)
    });
    let path = wav(4_800, samples);
    let log = parse(&from_wav(&path).unwrap().0, Assumptions::default()).unwrap();
    assert_eq!(log.trace.duration(), Seconds(10.0));
    assert_eq!(log.trace.nominal.volts.0, 120.0, "60 Hz was found");
    let expected = 400.0 / SQRT_2 * 0.016_113;
    for step in &log.trace.steps {
        let amps = log.trace.amps(step.power).0;
        assert!((amps / expected - 1.0).abs() < 0.005, "{amps} for {expected}");
    }
    // Uniform noise of width 160 has 160 / sqrt 12 = 46 counts RMS; the high pass takes a little of it.
    let heard =
        |at: f64| log.trace.between(Seconds(at), Seconds(at + 0.1)).next().unwrap().detail.unwrap().supply.0;
    assert!(heard(2.0) < 3.0, "hum is removed: {}", heard(2.0));
    assert!((36.0..50.0).contains(&heard(8.0)), "flow is heard: {}", heard(8.0));

    // Cut in the middle: read as far as it goes.
    let whole = std::fs::read(&path).unwrap();
    std::fs::write(&path, &whole[..whole.len() / 2 + 1]).unwrap();
    let (cut, notes) = from_wav(&path).unwrap();
    std::fs::remove_file(&path).unwrap();
    let cut = parse(&cut, Assumptions::default()).unwrap();
    assert!((cut.trace.duration() - Seconds(5.0)).abs() < Seconds(0.15), "{}", cut.trace.duration());
    assert!(notes.all()[0].what.contains("ends before"), "{notes:?}");
}

#[test]
fn a_wav_of_another_rate_is_refused_with_a_sentence() {
    let path = wav(44_100, std::iter::repeat_n([0; 2], 100));
    let said = from_wav(&path).unwrap_err().to_string();
    std::fs::remove_file(&path).unwrap();
    assert!(said.contains("44100 Hz") && said.contains("resample"), "{said}");
}
