//! The image that a person flashes, unmodified, in an emulator. Needs Node and `TUBTRACE_IMAGE`; `cargo xtask test` sees to both.

use serde_json::{Value, json};
use tubtrace::link::{PullError, Pulled, pull};
use tubtrace_protocol::{Full, HostClock, Record, Reply, Request, State, Thermistor};
use tubtrace_tests::emulator::{
    CLOCK, Emulator, MINUTES, Place, armed, closed, fetch, image, kitchen, native, records, sound, windows,
};

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
