//! Logs that something has happened to: every frame that was not hit is read, every window that was is a gap, and no gap is
//! bridged.

use std::collections::BTreeSet;
use std::sync::LazyLock;

use rand::rand_core::SeedableRng;
use rand::{RngExt, seq::SliceRandom};
use tubtrace::analysis::Analysis;
use tubtrace::intervals::Kind;
use tubtrace::log::{Assumptions, Log, parse};
use tubtrace::report::{Subject, timeline, timeline_json};
use tubtrace_protocol::{Item, Reader, Record, Tick};
use tubtrace_simulator::Random;
use tubtrace_simulator::machine::Appliance;
use tubtrace_simulator::scenario::Night;
use tubtrace_tests::live;

/// Two runs of a machine, as frames without their closing zeros.
static NIGHT: LazyLock<Vec<Vec<u8>>> = LazyLock::new(|| {
    let log = live(&Night::healthy(77, Appliance::on_120_volts(), 2)).recording.log;
    log.split(|&b| b == 0).filter(|f| !f.is_empty()).map(<[u8]>::to_vec).collect()
});

/// The windows, by tick, that the records in these bytes hold.
fn windows(bytes: &[u8]) -> BTreeSet<u32> {
    let mut held = BTreeSet::new();
    let mut take = |item| {
        if let Item::Record(Record::Windows(windows)) = item {
            held.extend(windows.start.0..windows.start.0 + windows.len());
        }
    };
    let mut reader = Reader::default();
    reader.push(bytes, &mut take);
    reader.finish(&mut take);
    held
}

fn file(frames: &[Vec<u8>]) -> Vec<u8> {
    frames.iter().flat_map(|f| f.iter().copied().chain([0])).collect()
}

fn read(bytes: &[u8]) -> Log {
    parse(bytes, Assumptions::default()).expect("most of it is intact")
}

/// The windows that a trace covers. Without anchors on both sides of a reset a tick is a tenth of a second.
fn covered(log: &Log) -> BTreeSet<u32> {
    let tick = |s: f64| (s * f64::from(Tick::PER_SECOND)).round() as u32;
    log.trace.steps.iter().flat_map(|s| tick(s.start.0)..tick(s.end.0)).collect()
}

/// No interval but a gap lies where nothing is known, and what is known to be missing inside a run is shown as a gap.
fn shows_its_gaps(log: &Log, what: &str) {
    let covered = covered(log);
    let cycles = Analysis::of(&log.trace).cycles;
    for cycle in &cycles {
        for interval in &cycle.intervals {
            let (from, to) =
                ((interval.start.0 * 10.0).round() as u32, (interval.end.0 * 10.0).round() as u32);
            let known = (from..to).filter(|t| covered.contains(t)).count() as u32;
            if interval.kind == Kind::Gap {
                assert_eq!(known, 0, "{what}: a gap of {from} to {to} is none");
            } else {
                assert_eq!(known, to - from, "{what}: {} bridges a gap in {from} to {to}", interval.kind);
            }
        }
    }
    let subject = Subject::of(log, &cycles);
    let gaps = cycles.iter().flat_map(|c| &c.intervals).filter(|i| i.kind == Kind::Gap).count();
    assert_eq!(timeline(subject).matches("no readings").count(), gaps, "{what}");
    assert_eq!(timeline_json(subject).matches(r#""name":"gap""#).count(), gaps, "{what}");
}

/// From a single bit to a third of all bytes: what an independent reading of the damaged file finds intact is all in the trace,
/// and nothing else is.
#[test]
fn random_damage_costs_what_it_hits_and_nothing_else() {
    let intact = file(&NIGHT);
    let all = windows(&intact);
    // For each byte its frame; a closing zero belongs to the frame that it ends.
    let owner: Vec<usize> = NIGHT.iter().enumerate().flat_map(|(i, f)| vec![i; f.len() + 1]).collect();
    let mut hit = 0;
    for (case, part) in [0.0, 1e-5, 1e-4, 1e-3, 1e-2, 0.1, 0.3].into_iter().cycle().take(70).enumerate() {
        let mut random = Random::seed_from_u64(case as u64);
        let mut bytes = intact.clone();
        let damaged = ((bytes.len() as f64 * part) as usize).max(1);
        let (mut frames_hit, mut ends_hit) = (BTreeSet::new(), BTreeSet::new());
        for _ in 0..damaged {
            let at = random.random_range(0..bytes.len());
            let frame = owner[at];
            frames_hit.insert(frame);
            if intact[at] == 0 {
                ends_hit.insert(frame + 1);
            }
            bytes[at] ^=
                if part == 0.0 { 1 << random.random_range(0..8) } else { random.random_range(1..=255) };
        }
        hit += frames_hit.len();
        let what = format!("{damaged} bytes of {}", bytes.len());
        // A frame that nothing hit, and whose beginning can be told, must be there.
        let is_spared = |i: &usize| !frames_hit.contains(i) && !ends_hit.contains(i);
        let spared: Vec<Vec<u8>> = (0..NIGHT.len()).filter(is_spared).map(|i| NIGHT[i].clone()).collect();
        let spared = windows(&file(&spared));
        let Ok(log) = parse(&bytes, Assumptions::default()) else {
            assert!(spared.is_empty() || part >= 0.1, "{what}: nothing is read");
            continue;
        };
        let covered = covered(&log);
        let missing = spared.difference(&covered).count();
        assert_eq!(missing, 0, "{what}: windows of frames that nothing hit");
        assert!(covered.is_subset(&all), "{what}: windows that never were");
        if covered.len() < all.len() {
            let told: u64 = log.notes.all().iter().map(|n| n.count).sum();
            assert!(told > 0, "{what}: nothing is said of it");
        }
        shows_its_gaps(&log, &what);
    }
    println!("{hit} frames damaged");
    assert!(hit > 1_000);
}

#[test]
fn dropped_frames_are_gaps() {
    let mut random = Random::seed_from_u64(1);
    let (dropped, kept): (Vec<_>, Vec<_>) = NIGHT.iter().cloned().partition(|_| random.random_bool(0.05));
    let log = read(&file(&kept));
    assert_eq!(covered(&log), windows(&file(&kept)));
    assert!(!dropped.is_empty());
    assert!(log.notes.all().iter().any(|n| n.what == "gap without windows"), "{:?}", log.notes);
    shows_its_gaps(&log, "dropped");
}

#[test]
fn doubled_frames_and_frames_out_of_order_change_nothing_but_the_notes() {
    let mut random = Random::seed_from_u64(2);
    let whole = covered(&read(&file(&NIGHT)));
    let mut frames = NIGHT.clone();
    let doubled: Vec<Vec<u8>> = frames.iter().filter(|_| random.random_bool(0.1)).cloned().collect();
    frames.extend(doubled);
    assert_eq!(covered(&read(&file(&frames))), whole);

    // Neighbours change places, as pieces of a file that was put together from others might.
    let mut frames = NIGHT.clone();
    frames.chunks_mut(40).for_each(|chunk| chunk.shuffle(&mut random));
    let log = read(&file(&frames));
    assert_eq!(covered(&log), whole);
    shows_its_gaps(&log, "shuffled");
}

/// Two logs in one file are both there, the second behind the first by its clock, with nothing between them.
#[test]
fn two_logs_in_one_file_are_both_read() {
    let first = live(&Night::healthy(78, Appliance::on_120_volts(), 1));
    let second = live(&Night::healthy(79, Appliance::on_120_volts(), 2));
    let both: Vec<u8> = first.recording.log.iter().chain(&second.recording.log).copied().collect();
    let log = read(&both);
    assert!(log.notes.all().iter().any(|n| n.what.starts_with("another log begins")), "{:?}", log.notes);
    let cycles = Analysis::of(&log.trace).cycles;
    assert_eq!(cycles.len(), 3);
    let time = |log: &Log| log.trace.steps.iter().map(|s| s.duration().0).sum::<f64>();
    assert!((time(&log) - time(&first.log) - time(&second.log)).abs() < 0.1);
    assert!(log.trace.steps.pairs().all(|p| p[0].end <= p[1].start));
}

/// A hole of zeros, as a sector of a disk that was never written, is damage: the gap says so, and a run that it cuts off is cut off by
/// the log and has not broken off.
#[test]
fn a_hole_of_zeros_is_damage_and_no_end_of_a_run() {
    let mut bytes = file(&NIGHT);
    let whole = Analysis::of(&read(&bytes).trace).cycles;
    // From the middle of the first run until it is over.
    let (from, to) = (whole[0].start().0 * 0.5 + whole[0].end().0 * 0.5, whole[0].end().0 + 30.0);
    let mut at = 0;
    for frame in NIGHT.iter() {
        let own = windows(&file(std::slice::from_ref(frame)));
        let hit = own.first().is_some_and(|t| (from..to).contains(&(f64::from(*t) / 10.0)));
        if hit {
            bytes[at..at + frame.len()].fill(0);
        }
        at += frame.len() + 1;
    }
    let log = read(&bytes);
    let damaged: f64 = log.trace.damaged.iter().map(|(a, b)| b.0 - a.0).sum();
    assert!(damaged > 600.0, "{:?}", log.trace.damaged);
    assert!(log.notes.all().iter().any(|n| n.what.contains("where the log is damaged")), "{:?}", log.notes);
    let cycles = Analysis::of(&log.trace).cycles;
    assert_eq!(cycles.len(), 2);
    assert!(cycles[0].cut_at_end && !cycles[1].cut_at_start, "{:?}", log.trace.damaged);
}

/// Frames of a log that no logger would write: so many, one behind the other, with windows around them.
fn many(records: impl Iterator<Item = Record>) -> Vec<u8> {
    let mut log = Vec::new();
    let mut put = |record: &Record| {
        let mut frame = [0; tubtrace_protocol::MAX_FRAME];
        log.extend_from_slice(tubtrace_protocol::encode(record, &mut frame).unwrap());
    };
    let mut held = tubtrace_protocol::Windows::new(Tick(0));
    held.push(600, tubtrace_protocol::Window::default()).unwrap();
    put(&Record::Windows(held));
    records.for_each(|record| put(&record));
    log
}

/// 200,000 anchors took 50 s when each was held against each; 40,000 panics and 30,000 resets, minutes. Nothing is timed here: what is not
/// linear in them does not come to an end.
#[test]
fn records_without_number_are_read_in_one_pass() {
    use tubtrace_protocol::{Anchor, FORMAT, Label, OpenReason, Opened, Panic, VERSION};
    let anchors = (0..200_000).map(|n| {
        Record::Anchor(Anchor {
            tick: Tick(n),
            unix_ms: 1_800_000_000_000 + i64::from(n) * 100,
            offset_minutes: 0,
        })
    });
    assert!(read(&many(anchors)).trace.clock.is_some());
    let panics = (0..40_000_u32).map(|n| {
        let message = format!("no. {n}").as_str().try_into().unwrap();
        Record::Panic(Panic { tick: Tick(n), message })
    });
    let log = read(&many(panics));
    assert!(log.notes.all().len() < 100);
    assert!(log.notes.all().iter().map(|n| n.count).sum::<u64>() >= 40_000);
    for reason in [OpenReason::Power, OpenReason::Armed] {
        let openings = (0..40_000_u32).map(|n| {
            let label = Label::try_from(format!("log {n}").as_str()).unwrap();
            let (format, version, tick) = (FORMAT, VERSION, Tick(600 + n));
            Record::Opened(Opened { format, version, tick, reason, logger: 0, microamps_per_count: 1, label })
        });
        assert!(read(&many(openings)).notes.all().len() < 100);
    }
}
