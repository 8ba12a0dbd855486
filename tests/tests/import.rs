//! Other people's recordings as `.tub` logs.

use std::f64::consts::{SQRT_2, TAU};
use std::path::Path;

use proptest::prelude::*;
use tubtrace::analysis::Analysis;
use tubtrace::export::SampleFile;
use tubtrace::log::{Assumptions, Scale, from_wav, from_wav_reader, parse, read, to_tub};
use tubtrace::log::{Layout, parse_as};
use tubtrace_core::metering::Calibration;
use tubtrace_core::{Arming, Full, Logger};
use tubtrace_protocol::{CloseReason, Item, OpenReason, Reader, Record, Tick};
use tubtrace_simulator::board::samples;
use tubtrace_simulator::scenario::Night;
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
        let cycles = Analysis::of(&log.trace).cycles;
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
    let log = parse(&from_wav(&path, Scale::default(), |_| {}).unwrap().0, Assumptions::default()).unwrap();
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
    let (cut, notes) = from_wav(&path, Scale::default(), |_| {}).unwrap();
    std::fs::remove_file(&path).unwrap();
    let cut = parse(&cut, Assumptions::default()).unwrap();
    assert!((cut.trace.duration() - Seconds(5.0)).abs() < Seconds(0.15), "{}", cut.trace.duration());
    assert!(notes.all()[0].what.contains("ends before"), "{notes:?}");
}

/// A sound card's recording: 44,100 samples a second as floats, 0.2 of full scale at 50 Hz, of which 0.5 is taken: 0.1 of
/// 2,048 counts of 16.113 mA are 3.3 A at the peak, 2.333 A RMS. Its second channel is too loud for a scale of 20.
#[test]
fn a_wav_of_any_rate_is_brought_to_the_board_s() {
    let spec = hound::WavSpec {
        channels: 2,
        sample_rate: 44_100,
        bits_per_sample: 32,
        sample_format: hound::SampleFormat::Float,
    };
    let mut wav = std::io::Cursor::new(Vec::new());
    let mut writer = hound::WavWriter::new(&mut wav, spec).unwrap();
    for n in 0..441_000 {
        let t = f64::from(n) / 44_100.0;
        // What a switching supply adds, far above what the board samples, must not come back as something else.
        let whistle = 0.1 * (TAU * 15_000.0 * t).sin();
        writer.write_sample((0.2 * (TAU * 50.0 * t).sin() + whistle) as f32).unwrap();
        writer.write_sample((0.1 * (TAU * 500.0 * t).sin()) as f32).unwrap();
    }
    writer.finalize().unwrap();
    let mut parts = Vec::new();
    let scale = Scale([0.5, 20.0, 1.0, 1.0]);
    let (log, notes) = from_wav_reader(&wav.get_ref()[..], "card", scale, |part| parts.push(part)).unwrap();
    let log = parse(&log, Assumptions::default()).unwrap();
    assert_eq!(log.trace.duration(), Seconds(10.0));
    assert_eq!(log.trace.nominal.volts.0, 230.0, "50 Hz was found");
    let expected = 0.1 * 2_048.0 / SQRT_2 * 0.016_113;
    for step in log.trace.between(Seconds(0.2), Seconds(9.8)) {
        let amps = log.trace.amps(step.power).0;
        assert!((amps / expected - 1.0).abs() < 0.01, "{amps} for {expected}");
    }
    assert!(
        notes.all()[0].what.contains("channel 2") && notes.all()[0].what.contains("--scale"),
        "{notes:?}"
    );
    assert_eq!(parts.len(), 10);
    assert!(parts.is_sorted() && parts[9] <= 1.0);
}

/// What the simulated board is given, as a WAV and back, is the log that the board itself writes, but for what comes on other wires:
/// temperatures, clock and label.
#[test]
fn simulated_samples_make_the_same_log_as_a_wav() {
    let night = Night::demo(3);
    let seconds = samples(&night, 900);
    let mut wav = std::io::Cursor::new(Vec::new());
    let mut file = SampleFile::new(&mut wav).unwrap();
    let mut direct = Vec::new();
    let mut keep = |record: Record| direct.push(record);
    let arming =
        Arming { logger: 0, calibration: Calibration::NOMINAL, full: Full::Stop, label: Default::default() };
    let mut logger = Logger::open(arming, Tick(0), OpenReason::Armed, &mut keep);
    for block in seconds.iter().flat_map(|s| &s.blocks) {
        file.window(block).unwrap();
        logger.window(block, &mut keep);
    }
    logger.close(CloseReason::Stopped, &mut keep);
    file.finish().unwrap();
    let (log, notes) = from_wav_reader(&wav.get_ref()[..], "samples", Scale::default(), |_| {}).unwrap();
    assert!(notes.all().is_empty());
    let mut read = Vec::new();
    Reader::default().push(&log, |item| match item {
        Item::Record(record) => read.push(record),
        other => panic!("{other:?}"),
    });
    assert_eq!(read, direct);
}

/// A meter's own way of writing: lines about itself first, other names, kilowatts, days before months, semicolons and decimal commas.
#[test]
fn a_csv_of_any_meter_is_read_with_what_is_said_of_it() {
    let csv = "Meter;invented\nExport of;3 readings\n\nWhen;Load [kW];Pipe\n06/03/2026 20:00:00;0,012;20,5\n06/03/2026 20:00:02;1,5;21\n06/03/2026 20:00:04;0,9;\n";
    let column = |name: &str, header: &str| (name.to_owned(), header.to_owned());
    let layout = Layout {
        columns: vec![column("time", "When"), column("watts", "Load [kW]"), column("supply_c", "Pipe")],
        scale: 1_000.0,
        time: Some("%d/%m/%Y %H:%M:%S".into()),
        ..Layout::default()
    };
    let log = parse_as(csv.as_bytes(), Assumptions::default(), &layout).unwrap();
    let watts: Vec<f64> = log.trace.steps.iter().map(|s| s.power.0).collect();
    assert_eq!(watts, [12.0, 1_500.0, 900.0]);
    assert_eq!(log.trace.clock.unwrap().local(Seconds(2.0)).unwrap().to_string(), "2026-03-06T20:00:02");
    assert_eq!(log.trace.temperatures.len(), 2);
    // Without a word the message says what is missing, and the option that names it.
    let said = parse(csv.as_bytes(), Assumptions::default()).unwrap_err();
    assert!(said.contains("line 1") && said.contains("--column"), "{said}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]
    /// Any rate, number of channels and sample format makes a log as long as the WAV, to a window.
    #[test]
    fn any_kind_of_wav_is_as_long_as_it_is(
        rate in prop_oneof![Just(48_000_u32), Just(22_050), 1_000_u32..60_000],
        channels in 1_u16..=4,
        bits in prop_oneof![Just(8_u16), Just(16), Just(24), Just(32)],
        tenths in 12_u32..40,
    ) {
        let spec = hound::WavSpec {
            channels,
            sample_rate: rate,
            bits_per_sample: bits,
            sample_format: hound::SampleFormat::Int,
        };
        let mut wav = std::io::Cursor::new(Vec::new());
        let mut writer = hound::WavWriter::new(&mut wav, spec).unwrap();
        let frames = rate * tenths / 10;
        for n in 0..frames * u32::from(channels) {
            writer.write_sample((n % 100) as i32 - 50).unwrap();
        }
        writer.finalize().unwrap();
        let (log, _) = from_wav_reader(&wav.get_ref()[..], "any", Scale::default(), |_| {}).unwrap();
        let log = parse(&log, Assumptions::default()).unwrap();
        let expected = f64::from(frames) / f64::from(rate);
        // What is left of a window is none; half a sample is rounding.
        let short = expected - log.trace.duration().0;
        prop_assert!((-0.5 / 4_800.0..0.1 + 0.5 / 4_800.0).contains(&short), "{}", short);
    }
}

/// Local times of a night, a reading each ten seconds, in which the clock goes back or forward by an hour (in Chicago on 1 November and
/// 8 March 2026 at 02:00; Uniform Time Act, 15 USC 260a), and how far they are apart in truth.
fn night_of_a_change(day: &str, changed: i64) -> String {
    let midnight = jiff::civil::DateTime::strptime("%F %T", format!("{day} 00:00:00")).unwrap();
    let row = |n: i64| {
        let seconds = n * 10 + if n * 10 >= 7_200 { changed } else { 0 };
        let at = midnight.checked_add(jiff::SignedDuration::from_secs(seconds)).unwrap();
        format!("{},{}\n", at.strftime("%F %T"), 100 + n % 7)
    };
    "time,watts\n".to_owned() + &(0..1_440).map(row).collect::<String>()
}

#[test]
fn a_change_of_summer_time_is_asked_about_and_read_by_the_zone() {
    for (day, changed, says) in
        [("2026-11-01", -3_600, "goes back by an hour"), ("2026-03-08", 3_600, "skips an hour")]
    {
        let text = night_of_a_change(day, changed);
        let said = parse(text.as_bytes(), Assumptions::default()).unwrap_err();
        assert!(said.contains(says) && said.contains("--zone") && said.contains("line 722"), "{said}");
        let zone = Some(jiff::tz::TimeZone::get("America/Chicago").unwrap());
        let log =
            parse_as(text.as_bytes(), Assumptions::default(), &Layout { zone, ..Layout::default() }).unwrap();
        assert!(log.notes.all().is_empty(), "{:?}", log.notes);
        assert_eq!(log.trace.steps.len(), 1_440);
        assert_eq!(log.trace.duration(), Seconds(14_400.0), "four hours, whatever the clock says");
        assert_eq!(log.trace.gaps().count(), 0);
    }
    // Where there is nothing to ask, nothing is asked; and a zone that does not apply is refused.
    let zone = Some(jiff::tz::TimeZone::UTC);
    let layout = Layout { zone, ..Layout::default() };
    let said = parse_as(b"time,watts\n0,1\n1,2\n", Assumptions::default(), &layout).unwrap_err();
    assert!(said.contains("--zone does not apply"), "{said}");
}

#[test]
fn milliseconds_are_read_where_they_are_said() {
    let layout = Layout { time: Some(tubtrace::log::MILLISECONDS.into()), ..Layout::default() };
    let log = parse_as(b"time,watts\n0,1\n1000,2\n2000,3\n", Assumptions::default(), &layout).unwrap();
    assert_eq!(log.trace.steps.get(2).unwrap().start, Seconds(2.0));
}

#[test]
fn a_column_that_is_named_must_be_there() {
    let layout = Layout { columns: vec![("drain_c".into(), "Hose".into())], ..Layout::default() };
    let said = parse_as(b"time,watts\n0,1\n1,2\n", Assumptions::default(), &layout).unwrap_err();
    assert!(said.contains("\"Hose\"") && said.contains("--column drain_c"), "{said}");
}

/// A second of 60 Hz as a plain WAV, its header taken apart: format and samples.
fn parts() -> (Vec<u8>, Vec<u8>) {
    let mut samples = Vec::new();
    for n in 0..4_800_i32 {
        let value = 6_400.0 * (TAU * 60.0 * f64::from(n) / 4_800.0).sin();
        samples.extend((value as i16).to_le_bytes());
    }
    let mut format = Vec::new();
    format.extend([1, 0, 1, 0]);
    format.extend(4_800_u32.to_le_bytes());
    format.extend(9_600_u32.to_le_bytes());
    format.extend([2, 0, 16, 0]);
    (format, samples)
}

/// The same as one of the other kinds of WAV there are: chunks of (name, size that is said, bytes).
fn riff(kind: &[u8; 4], chunks: &[(&[u8; 4], u32, &[u8])]) -> Vec<u8> {
    let mut wav = [&kind[..], &u32::MAX.to_le_bytes(), b"WAVE"].concat();
    for (name, size, bytes) in chunks {
        wav.extend([&name[..], &size.to_le_bytes(), bytes].concat());
    }
    wav
}

fn log_of(wav: &[u8]) -> Result<(Vec<u8>, tubtrace::log::Notes), tubtrace::log::LogError> {
    from_wav_reader(wav, "made", Scale::default(), |_| {})
}

/// Streamed (sizes of 0 or FFFFFFFF), RF64 with its sizes in ds64 (EBU Tech 3306, 3), BW64 (ITU-R BS.2088), a chunk of odd size with its
/// pad byte before the samples: all are the same second.
#[test]
fn every_kind_of_wav_gives_the_same_log() {
    let (format, samples) = parts();
    let size = samples.len() as u32;
    let whole = log_of(&riff(b"RIFF", &[(b"fmt ", 16, &format), (b"data", size, &samples)])).unwrap();
    assert_eq!(parse(&whole.0, Assumptions::default()).unwrap().trace.duration(), Seconds(1.0));
    let mut ds64 = vec![0; 28];
    ds64[8..16].copy_from_slice(&u64::from(size).to_le_bytes());
    for wav in [
        riff(b"RIFF", &[(b"fmt ", 16, &format), (b"data", 0, &samples)]),
        riff(b"RIFF", &[(b"fmt ", 16, &format), (b"data", u32::MAX, &samples)]),
        riff(
            b"RIFF",
            &[
                (b"LIST", 3, b"odd\0"),
                (b"fmt ", 16, &format),
                (b"note", 1, b"x\0"),
                (b"data", size, &samples),
            ],
        ),
        riff(b"RF64", &[(b"ds64", 28, &ds64), (b"fmt ", 16, &format), (b"data", u32::MAX, &samples)]),
        riff(b"BW64", &[(b"ds64", 28, &ds64), (b"fmt ", 16, &format), (b"data", u32::MAX, &samples)]),
    ] {
        let log = log_of(&wav).unwrap();
        assert!(log.1.all().is_empty(), "{:?}", log.1);
        assert_eq!(log.0, whole.0);
    }
}

#[test]
fn a_wav_without_anything_usable_is_refused() {
    let (format, samples) = parts();
    for (wav, says) in [
        (riff(b"RIFF", &[(b"fmt ", 16, &format), (b"data", 0, &[])]), "nothing to make a log of"),
        (riff(b"RIFF", &[(b"fmt ", 16, &format), (b"data", 800, &samples[..800])]), "less than a tenth"),
        (riff(b"RIFF", &[(b"data", 800, &samples[..800])]), "format"),
        (riff(b"RIFF", &[(b"fmt ", 16, &format)]), "ends before its samples"),
        (b"time,watts\n0,1\n".to_vec(), "not a WAV"),
    ] {
        let said = log_of(&wav).unwrap_err().to_string();
        assert!(said.contains(says), "{said}");
    }
    let said = parse(&riff(b"RF64", &[(b"fmt ", 16, &format)]), Assumptions::default()).unwrap_err();
    assert!(said.contains("tubtrace import"), "{said}");
}

/// Label, mains frequency, marks and all else that is intact stay as they are.
#[test]
fn a_log_that_is_imported_stays_as_it_is() {
    let log =
        tubtrace_tests::live(&Night::healthy(5, tubtrace_simulator::machine::Appliance::on_120_volts(), 1));
    let bytes = log.recording.log;
    assert_eq!(tubtrace::log::intact(&bytes), bytes);
    let mut hit = bytes.clone();
    hit[bytes.len() / 2] ^= 0x55;
    let again = parse(&tubtrace::log::intact(&hit), Assumptions::default()).unwrap().trace;
    assert_eq!(again.label, log.log.trace.label);
    assert_eq!(again.nominal.volts.0, 120.0, "as its mains frequency says");
}
