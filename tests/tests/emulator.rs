//! The image that a person flashes, unmodified, in an emulator. Needs Node and `TUBTRACE_IMAGE`; `cargo xtask test` sees to both.

use std::path::{Path, PathBuf};

use serde_json::{Value, json};
use tubtrace::link::{Link, PullError, Pulled, Wire, pull};
use tubtrace_core::metering::Calibration;
use tubtrace_core::{Arming, Block, Logger};
use tubtrace_protocol::{
    Arm, CloseReason, Full, HostClock, Item, OpenReason, Reader, Record, Reply, Request, State, Thermistor,
    Tick, Window,
};
use tubtrace_tests::emulator::{Emulator, MINUTES, image, kitchen, restless};

const CLOCK: HostClock = HostClock { unix_ms: 1_800_000_000_000, offset_minutes: -300 };

fn arm(link: &mut Link<Box<dyn Wire>>, full: Full) {
    let label = "flat 3".try_into().unwrap();
    link.order(&Request::Arm(Arm { clock: CLOCK, label, microamps_per_count: 16_113, full })).unwrap();
}

/// Arms; gives how many windows had passed before the first that is recorded.
fn armed(board: &mut Emulator, full: Full) -> usize {
    let (status, _) = board.serve(|link| {
        arm(link, full);
        link.status().unwrap()
    });
    assert_eq!(status.state, State::Recording);
    (status.uptime - status.tick.0) as usize
}

/// A file that is gone when the test is.
struct Place(PathBuf);

impl Place {
    fn new(name: &str) -> Self {
        let place = Self(std::env::temp_dir().join(format!("tubtrace-{}-{name}.tub", std::process::id())));
        place.clear();
        place
    }

    fn path(&self) -> &Path {
        &self.0
    }

    fn clear(&self) {
        let _ = std::fs::remove_file(&self.0);
        let _ = std::fs::remove_file(self.0.with_extension("tub.part"));
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        self.clear();
    }
}

fn fetch(board: &mut Emulator, name: &str) -> Vec<Record> {
    let place = Place::new(name);
    let (pulled, _) = board.serve(|link| pull(link, place.path(), |_| {}));
    pulled.unwrap();
    records(&std::fs::read(place.path()).unwrap())
}

fn records(log: &[u8]) -> Vec<Record> {
    let mut records = Vec::new();
    let mut reader = Reader::default();
    let mut take = |item| match item {
        Item::Record(record) => records.push(record),
        other => panic!("{other:?}"),
    };
    reader.push(log, &mut take);
    reader.finish(take);
    records
}

/// Every window with its tick.
fn windows(records: &[Record]) -> Vec<(u32, Window)> {
    let mut all = Vec::new();
    for record in records {
        let Record::Windows(record) = record else { continue };
        let mut tick = record.start.0;
        for (count, window) in record.runs() {
            all.extend((tick..tick + u32::from(count)).map(|t| (t, window)));
            tick += u32::from(count);
        }
    }
    all
}

fn opened(records: &[Record]) -> Vec<OpenReason> {
    records.iter().filter_map(|r| if let Record::Opened(o) = r { Some(o.reason) } else { None }).collect()
}

/// What `firmware/core` makes natively of the same samples, up to the tick where the log was closed.
fn native(blocks: &[Block], offset: usize, end: Tick, full: Full) -> Vec<Record> {
    let mut records = Vec::new();
    let calibration = Calibration::NOMINAL;
    let arming = Arming { logger: 0, calibration, full, label: "flat 3".try_into().unwrap() };
    let mut logger = Logger::open(arming, Tick(0), OpenReason::Armed, |r| records.push(r));
    for block in blocks.iter().cycle().skip(offset).take(end.0 as usize) {
        logger.window(block, |r| records.push(r));
    }
    logger.close(CloseReason::Stopped, |r| records.push(r));
    records
}

fn closed(records: &[Record]) -> Tick {
    match records.last() {
        Some(Record::Closed(closed)) => closed.tick,
        other => panic!("the log ends with {other:?}"),
    }
}

fn sound(facts: &Value) {
    assert_eq!(facts["violations"], json!([]), "what no flash chip would take");
}

/// The job, bit for bit: all windows, fills and bursts of the board are those that the same code makes natively.
#[test]
fn ten_minutes_of_washing_are_recorded_as_on_the_host() {
    let Some(image) = image() else { return };
    let blocks = kitchen();
    let mut board = Emulator::start(&image, &json!({ "nor": { "power": 20 } }));
    board.feed(&blocks);
    assert!(board.run(1.5));
    let offset = armed(&mut board, Full::Stop);
    board.command("unplug");
    assert!(board.run(60.0 * MINUTES as f64 - 5.0));
    board.command("press");
    assert!(board.run(1.0));
    board.serve(|link| {
        link.order(&Request::Anchor(HostClock { unix_ms: CLOCK.unix_ms + 599_000, ..CLOCK })).unwrap();
        link.order(&Request::Stop).unwrap();
        let status = link.status().unwrap();
        assert_eq!((status.lost, status.state), (0, State::Stopped));
    });
    let log = fetch(&mut board, "washing");
    let expected = native(&blocks, offset, closed(&log), Full::Stop);
    assert!(closed(&log).0 as usize > MINUTES * 590);
    assert_eq!(windows(&log), windows(&expected));
    let raw = |records: &[Record]| -> Vec<Record> {
        records.iter().filter(|r| matches!(r, Record::Fill(_) | Record::Burst(_))).cloned().collect()
    };
    assert_eq!(raw(&log), raw(&expected));
    assert!(raw(&log).iter().any(|r| matches!(r, Record::Fill(f) if f.windows > 500)), "the fill was heard");
    assert_eq!(log.iter().filter(|r| matches!(r, Record::Mark(_))).count(), 1);
    assert_eq!(log.iter().filter(|r| matches!(r, Record::Anchor(_))).count(), 2);
    let temperatures =
        log.iter().filter_map(|r| if let Record::Temperatures(t) = r { Some(t) } else { None });
    let readings: u32 = temperatures.flat_map(|t| &t.runs).map(|r| u32::from(r.seconds)).sum();
    assert!((590..=600).contains(&readings), "{readings} readings of the clips");
    sound(&board.facts());
}

/// A flash that takes its 400 ms for every sector costs no sample.
#[test]
fn no_sample_is_lost_while_the_flash_erases() {
    let Some(image) = image() else { return };
    let mut blocks = kitchen();
    // A current that never rests, so that the log is long and sectors are erased all the time.
    for (n, block) in blocks.iter_mut().enumerate() {
        let part = [2, 3, 5, 4][n % 4];
        block.iter_mut().step_by(4).for_each(|s| *s = (2_048 + (i32::from(*s) - 2_048) * part / 6) as u16);
    }
    let options = json!({ "nor": { "power": 16, "sector": 400e6 } });
    let mut board = Emulator::start(&image, &options);
    board.feed(&blocks);
    let offset = armed(&mut board, Full::Overwrite);
    assert!(board.run(60.0 * MINUTES as f64));
    let (status, _) = board.serve(|link| {
        link.order(&Request::Stop).unwrap();
        link.status().unwrap()
    });
    assert_eq!(status.lost, 0);
    let facts = board.facts();
    assert!(facts["erases"].as_u64().unwrap() >= 10, "{}", facts["erases"]);
    // Every conversion is in a window, but for the one that is being filled and the ring's two ends.
    let sampled = facts["conversions"].as_u64().unwrap() / 1_920;
    assert!(sampled - u64::from(status.uptime) <= 2, "{sampled} windows sampled, {} taken", status.uptime);

    let log = fetch(&mut board, "erasing");
    let (found, expected) = (windows(&log), windows(&native(&blocks, offset, closed(&log), Full::Overwrite)));
    assert!(found.len() > 1_000 && found.len() < expected.len(), "the oldest went");
    assert_eq!(found, expected[expected.len() - found.len()..]);
    sound(&facts);
}

#[test]
fn a_pull_goes_on_after_the_cable_came_out() {
    let Some(image) = image() else { return };
    let mut board = Emulator::start(&image, &json!({}));
    board.feed(&kitchen()[..1_200]);
    armed(&mut board, Full::Stop);
    assert!(board.run(130.0));
    board.serve(|link| link.order(&Request::Stop).unwrap());
    let whole = fetch(&mut board, "whole");

    let place = Place::new("pieces");
    let mut tries = 0;
    let pulled: Pulled = loop {
        tries += 1;
        assert!(tries < 20);
        board.command("unplug-after 1500");
        let (pulled, _) = board.serve(|link| pull(link, place.path(), |_| {}));
        match pulled {
            Ok(pulled) => break pulled,
            Err(PullError::Broken { .. }) => {}
            Err(other) => panic!("{other}"),
        }
    };
    assert!(tries > 2 && pulled.resumed > 0, "{tries} tries, {} resumed", pulled.resumed);
    assert_eq!(records(&std::fs::read(place.path()).unwrap()), whole);
}

#[test]
fn power_cuts_while_writing_and_erasing_lose_no_stored_frame() {
    let Some(image) = image() else { return };
    // A current that jumps makes bursts, until the ring is full and its sectors are erased.
    let jumps: Vec<_> = kitchen()[..200].iter().map(restless).collect();
    for (kind, power, full) in [("write", 20, Full::Stop), ("erase", 16, Full::Overwrite)] {
        let mut board = Emulator::start(&image, &json!({ "nor": { "power": power } }));
        board.feed(&jumps);
        armed(&mut board, full);
        assert!(board.run(120.0));
        let before = fetch(&mut board, kind);
        board.command(&format!("cut-after 3 {kind}"));
        assert!(!board.run(1_500.0), "the power goes in the middle of an {kind}");
        board.command("power");
        assert!(board.run(20.0));
        board.serve(|link| link.order(&Request::Stop).unwrap());
        let after = fetch(&mut board, kind);

        let gone = before.iter().position(|r| *r == after[0]).expect("what is left was there before");
        assert!(kind == "erase" || gone == 0, "{kind}: only erasing takes the oldest");
        let kept = &before[gone..];
        assert_eq!(after[..kept.len()], *kept, "{kind}: what was stored is there");
        assert_eq!(
            opened(&after).last(),
            Some(&OpenReason::Power),
            "{kind}: it goes on by itself and says why"
        );
        let ticks: Vec<u32> = windows(&after).iter().map(|w| w.0).collect();
        assert!(ticks.is_sorted_by(|a, b| a < b), "{kind}: no tick twice");
        assert_eq!(closed(&after).0, ticks[ticks.len() - 1] + 1, "{kind}: to the end");
        sound(&board.facts());
    }
}

#[test]
fn a_chip_that_hangs_is_ended_by_the_watchdog() {
    let Some(image) = image() else { return };
    let mut board = Emulator::start(&image, &json!({}));
    board.feed(&kitchen()[..600]);
    armed(&mut board, Full::Stop);
    assert!(board.run(70.0));
    board.command("stick on");
    assert!(board.run(140.0));
    assert_eq!(board.facts()["resets"][0]["reason"], 1, "the watchdog's timer");
    // Without its flash it goes on measuring, and says so.
    let (status, _) = board.serve(|link| link.status().unwrap());
    assert_eq!(status.state, State::NoFlash);
    board.command("stick off");
    board.command("power");
    assert!(board.run(5.0));
    let log = fetch(&mut board, "watchdog");
    assert_eq!(opened(&log), [OpenReason::Armed, OpenReason::Power]);
}

#[test]
fn a_reset_by_the_watchdog_is_told() {
    let Some(image) = image() else { return };
    let mut board = Emulator::start(&image, &json!({}));
    board.feed(&kitchen()[..600]);
    armed(&mut board, Full::Stop);
    assert!(board.run(10.0));
    board.command("hang");
    assert!(board.run(20.0));
    let log = fetch(&mut board, "hang");
    assert_eq!(opened(&log), [OpenReason::Armed, OpenReason::Watchdog]);
}

#[test]
fn last_words_are_told_by_the_next_start() {
    let Some(image) = image() else { return };
    let mut board = Emulator::start(&image, &json!({}));
    armed(&mut board, Full::Stop);
    assert!(board.run(5.0));
    board.command("panic");
    assert!(board.run(10.0));
    let log = fetch(&mut board, "panic");
    assert_eq!(opened(&log), [OpenReason::Armed, OpenReason::Panic]);
    let told =
        log.iter().find_map(|r| if let Record::Panic(p) = r { Some(p.message.as_str()) } else { None });
    let told = told.expect("the message is in the log");
    assert!(told.starts_with("by_hand.rs:7: ") && told.contains("unwrap"), "{told}");
}

#[test]
fn a_full_flash_stops_the_log_and_keeps_it() {
    let Some(image) = image() else { return };
    let mut board = Emulator::start(&image, &json!({ "nor": { "power": 16 } }));
    board.feed(&kitchen()[..50].iter().map(restless).collect::<Vec<_>>());
    armed(&mut board, Full::Stop);
    assert!(board.run(400.0));
    let (status, _) = board.serve(|link| link.status().unwrap());
    assert_eq!(status.state, State::Stopped);
    let log = fetch(&mut board, "full");
    assert!(
        matches!(log.last(), Some(Record::Closed(c)) if c.reason == CloseReason::Full),
        "{:?}",
        log.last()
    );
    assert_eq!(windows(&log).first().map(|w| w.0), Some(0), "nothing was overwritten");
    assert_eq!(board.facts()["erases"], 0);
}

/// 2^32 microseconds are 71.6 minutes: the processor's timer wraps while the log is recorded.
#[test]
fn the_wrap_of_the_microsecond_timer_is_nothing_to_see() {
    let Some(image) = image() else { return };
    let blocks = &kitchen()[..600];
    let nanos = ((1u64 << 32) - 20_000_000) * 1_000;
    let mut board = Emulator::start(&image, &json!({ "nanos": nanos }));
    board.feed(blocks);
    let offset = armed(&mut board, Full::Stop);
    assert!(board.run(50.0));
    board.serve(|link| link.order(&Request::Stop).unwrap());
    assert!(board.facts()["seconds"].as_f64().unwrap() > 4_295.0 + 20.0);
    let log = fetch(&mut board, "wrap");
    assert!(closed(&log).0 > 480);
    assert_eq!(windows(&log), windows(&native(blocks, offset, closed(&log), Full::Stop)));
}

#[test]
fn the_self_check_and_the_lamp_say_what_is_wrong() {
    let Some(image) = image() else { return };
    let mut board = Emulator::start(&image, &json!({}));
    board.feed(&kitchen()[600..1_200]);
    armed(&mut board, Full::Stop);
    let lit = |board: &mut Emulator| {
        assert!(board.run(20.0));
        let facts = board.facts();
        let now = facts["seconds"].as_f64().unwrap();
        let on: Vec<f64> = facts["lit"].as_array().unwrap().iter().filter_map(Value::as_f64).collect();
        // Of the last sixteen seconds, which are four patterns.
        on.iter().filter(|&&t| t > now - 16.0).count()
    };
    assert_eq!(lit(&mut board), 4, "one flash in four seconds: all is well");
    board.command("clips 30500 13200 26400");
    // 30,500 of 26,400 is above the divider's own supply.
    assert_eq!(lit(&mut board), 12, "three: a clip is missing");
    let check = |board: &mut Emulator| {
        let (reply, _) = board.serve(|link| link.ask(&Request::Check).unwrap());
        let Reply::Checked(checked) = reply else { panic!("{reply:?}") };
        checked.clips
    };
    board.command("clips 26390 5 26400");
    assert!(board.run(2.0));
    assert_eq!(check(&mut board), [Thermistor::Open, Thermistor::Shorted]);
    board.command("clips silent");
    assert!(board.run(2.0));
    assert_eq!(check(&mut board), [Thermistor::NoConverter; 2]);
    board.command("clips 13200 13200 26400");
    assert!(board.run(2.0));
    assert!(matches!(check(&mut board), [Thermistor::Reads(2_480..=2_520), Thermistor::Reads(_)]));
}

#[test]
fn the_port_tells_who_it_is() {
    let Some(image) = image() else { return };
    let mut board = Emulator::start(&image, &json!({}));
    assert!(board.run(1.0));
    let (identity, _) = board.serve(|link| link.identity().clone());
    let usb = &board.facts()["usb"];
    assert_eq!(usb["product"], "tubtrace logger");
    assert_eq!(usb["serial"].as_str(), Some(format!("{:08x}", identity.logger).as_str()));
    // A burst of live windows, then none.
    board.serve(|link| {
        link.order(&Request::Live { on: true }).unwrap();
        let first = link.live().unwrap();
        let second = link.live().unwrap();
        assert_eq!(second.uptime, first.uptime + 1);
        link.order(&Request::Live { on: false }).unwrap();
    });
}

/// A clip's lead that is crushed holds the bus down and the core with it: one reset, then the log goes on without clips.
#[test]
fn a_crushed_lead_of_a_clip_costs_one_reset() {
    let Some(image) = image() else { return };
    let mut board = Emulator::start(&image, &json!({}));
    board.feed(&kitchen()[..600]);
    armed(&mut board, Full::Stop);
    assert!(board.run(10.0));
    board.command("clips stuck");
    assert!(board.run(60.0));
    assert_eq!(board.facts()["resets"].as_array().unwrap().len(), 1);
    let log = fetch(&mut board, "crushed");
    assert_eq!(opened(&log), [OpenReason::Armed, OpenReason::Watchdog]);
    assert!(windows(&log).len() > 500);
}
