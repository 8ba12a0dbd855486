//! The board's own code on the host: armed, recording, read, stopped and erased over the link, across resets.

mod reads;
mod used;

use std::cell::RefCell;

use embassy_futures::block_on;
use tubtrace_core::link::RequestHandler;
use tubtrace_core::{Start, Station, Storage};
use tubtrace_protocol::{
    Attached, Clamp, CloseReason, Cursor, Full, LossCause, OpenReason, Record, Refusal, Reply, Request,
    State, Thermistor, Tick,
};
use tubtrace_simulator::RamFlash;
use tubtrace_tests::bench::{Bench, board};

use used::{CLOCK, POWER, Used, block, records, restless, windows};

#[test]
fn from_arming_to_erasing() {
    board(RamFlash::new(32), POWER, |bench| {
        assert_eq!(bench.status().state, State::Empty);
        assert_eq!(bench.ask(Request::Stop), Reply::Refused(Refusal::NotRecording));
        bench.run(5);
        assert_eq!(bench.arm(Full::Stop), Reply::Done);
        bench.run(1_000);
        bench.station.borrow_mut().button();
        let status = bench.status();
        assert_eq!((status.state, status.tick, status.uptime), (State::Recording, Tick(1_000), 1_005));
        assert!((4_400..4_600).contains(&status.battery_mv), "{}", status.battery_mv);
        assert_eq!(bench.arm(Full::Stop), Reply::Refused(Refusal::Recording));
        assert_eq!(
            bench.ask(Request::Erase { token: status.erase_token }),
            Reply::Refused(Refusal::Recording)
        );

        let mut cursor = Cursor::default();
        let first = bench.read(&mut cursor, None);
        assert_eq!(windows(&records(&first)), 1_000, "reading flushes what is held back");
        bench.run(50);
        assert_eq!(bench.ask(Request::Anchor(CLOCK)), Reply::Done);
        assert_eq!(bench.ask(Request::Stop), Reply::Done);
        let rest = bench.read(&mut cursor, None);
        let all = records(&[first, rest].concat());
        assert_eq!(windows(&all), 1_050);
        assert!(matches!(&all[0], Record::Opened(o) if o.reason == OpenReason::Armed && o.label == "flat 3"));
        assert!(all.iter().any(|r| matches!(r, Record::Mark(m) if m.tick == Tick(1_000))));
        assert_eq!(all.iter().filter(|r| matches!(r, Record::Anchor(_))).count(), 2);
        assert!(matches!(all.last(), Some(Record::Closed(c)) if c.reason == CloseReason::Stopped));

        assert_eq!(
            bench.arm(Full::Stop),
            Reply::Refused(Refusal::NotEmpty),
            "nothing is overwritten by arming"
        );
        assert_eq!(bench.ask(Request::Erase { token: 1 }), Reply::Refused(Refusal::Token));
        assert_eq!(bench.status().tick, Tick(1_050));
        let token = bench.status().erase_token;
        bench.run(30);
        assert_eq!(bench.ask(Request::Erase { token }), Reply::Done);
        let status = bench.status();
        assert_eq!((status.state, status.used), (State::Empty, 0));
        assert_eq!(bench.arm(Full::Overwrite), Reply::Done);
    });
}

#[test]
fn a_pull_goes_on_where_the_cable_came_out() {
    board(RamFlash::new(32), POWER, |bench| {
        bench.arm(Full::Stop);
        bench.run(3_000);
        let whole = bench.read(&mut Cursor::default(), None);
        assert!(whole.len() > 10);
        let mut cursor = Cursor::default();
        let mut pieces = Vec::new();
        while pieces.len() + 4 < whole.len() {
            pieces.extend(bench.read(&mut cursor, Some(3)));
        }
        pieces.extend(bench.read(&mut cursor, None));
        assert_eq!(pieces, whole);

        let wrong = Cursor { check: cursor.check ^ 1, ..cursor };
        assert_eq!(bench.ask(Request::Read(wrong)), Reply::Refused(Refusal::OtherLog));
        let beyond = Cursor { frames: cursor.frames + 1, ..cursor };
        assert_eq!(bench.ask(Request::Read(beyond)), Reply::Refused(Refusal::OtherLog));
    });
}

#[test]
fn a_reset_is_told_and_no_tick_is_used_twice() {
    let (flash, ()) = board(RamFlash::new(32), POWER, |bench| {
        bench.arm(Full::Stop);
        bench.run(700);
    });
    let panic = Start { reason: OpenReason::Panic, panic: Some("board.rs:9: why".try_into().unwrap()) };
    let (flash, ()) = board(flash, panic, |bench| {
        assert_eq!(bench.status().state, State::Recording, "it goes on by itself");
        bench.run(100);
    });
    board(flash, Start { reason: OpenReason::Watchdog, panic: None }, |bench| {
        bench.run(100);
        let all = records(&bench.read(&mut Cursor::default(), None));
        let opened: Vec<_> =
            all.iter().filter_map(|r| if let Record::Opened(o) = r { Some(o) } else { None }).collect();
        let reasons: Vec<_> = opened.iter().map(|o| o.reason).collect();
        assert_eq!(reasons, [OpenReason::Armed, OpenReason::Panic, OpenReason::Watchdog]);
        assert!(opened.iter().all(|o| o.label == "flat 3" && o.logger == 77));
        assert!(all.iter().any(|r| matches!(r, Record::Panic(p) if p.message == "board.rs:9: why")));
        let mut last = 0;
        for record in &all {
            if let Record::Windows(w) = record {
                assert!(w.start.0 >= last, "{} after {last}", w.start.0);
                last = w.start.0 + w.len();
            }
        }
    });
}

#[test]
fn a_full_flash_stops_or_lets_the_oldest_go_as_armed() {
    for (full, state) in [(Full::Stop, State::Stopped), (Full::Overwrite, State::Recording)] {
        board(RamFlash::new(8), POWER, |bench| {
            bench.arm(full);
            for n in 0..6_000 {
                bench.station.borrow_mut().window(&restless(n));
                block_on(bench.handler.write());
            }
            assert_eq!(bench.status().state, state, "{full:?}");
            let all = records(&bench.read(&mut Cursor::default(), None));
            let first =
                all.iter().find_map(|r| if let Record::Windows(w) = r { Some(w.start) } else { None });
            assert_eq!(first == Some(Tick(0)), full == Full::Stop);
            if full == Full::Stop {
                assert!(
                    matches!(all.last(), Some(Record::Closed(c)) if c.reason == CloseReason::Full),
                    "{:?}",
                    all.last()
                );
            }
        });
    }
}

#[test]
fn a_flash_that_stays_busy_costs_what_does_not_fit_and_says_so() {
    board(RamFlash::new(64), POWER, |bench| {
        bench.arm(Full::Stop);
        // Every window differs from the last, and nobody writes for ten minutes.
        for n in 0..6_000u32 {
            bench.station.borrow_mut().window(&restless(n));
        }
        block_on(bench.handler.write());
        bench.run(100);
        let all = records(&bench.read(&mut Cursor::default(), None));
        let losses: Vec<_> =
            all.iter().filter_map(|r| if let Record::Loss(l) = r { Some(l) } else { None }).collect();
        assert!(!losses.is_empty() && losses.iter().all(|l| l.cause == LossCause::Flash));
        let told: u32 = losses.iter().map(|l| l.windows).sum();
        assert_eq!(windows(&all) + told, 6_100, "every window is there or told to be lost");
        assert_eq!(bench.status().lost, told);
    });
}

#[test]
fn the_self_check_knows_what_hangs_on_it() {
    board(RamFlash::new(16), POWER, |bench| {
        bench.run(20);
        let Reply::Checked(checked) = bench.ask(Request::Check) else { panic!() };
        assert_eq!(checked.clamp, Clamp::Live);
        assert_eq!(checked.pickups, [Attached::Hears, Attached::Quiet]);
        assert!(
            matches!(checked.clips, [Thermistor::Reads(2_450..2_550), Thermistor::Reads(_)]),
            "{checked:?}"
        );

        for _ in 0..250 {
            let quiet = std::array::from_fn(|i| [2_048, 4_095, 2_048, 1_862][i % 4]);
            bench.station.borrow_mut().window(&quiet);
            bench.station.borrow_mut().temperatures(Some([32_500, 12]));
        }
        let Reply::Checked(checked) = bench.ask(Request::Check) else { panic!() };
        assert_eq!(checked.clamp, Clamp::Quiet);
        assert_eq!(checked.pickups[0], Attached::Stuck);
        assert_eq!(checked.clips, [Thermistor::Open, Thermistor::Shorted]);
        bench.station.borrow_mut().temperatures(None);
        let Reply::Checked(checked) = bench.ask(Request::Check) else { panic!() };
        assert_eq!(checked.clips, [Thermistor::NoConverter; 2]);
    });
}

#[test]
fn an_empty_battery_closes_the_log_in_time() {
    let (flash, ()) = board(RamFlash::new(16), POWER, |bench| {
        bench.arm(Full::Stop);
        for n in 0..200 {
            let mut block = block(n);
            block.iter_mut().skip(3).step_by(4).for_each(|s| *s = 1_150);
            bench.station.borrow_mut().window(&block);
            block_on(bench.handler.write());
        }
        assert_eq!(bench.status().state, State::Stopped);
        let all = records(&bench.read(&mut Cursor::default(), None));
        assert!(matches!(all.last(), Some(Record::Closed(c)) if c.reason == CloseReason::Battery));
    });
    // With fresh cells it goes on, and says so.
    let (flash, ()) = board(flash, POWER, |bench| {
        assert_eq!(bench.status().state, State::Recording);
        bench.run(20);
        let all = records(&bench.read(&mut Cursor::default(), None));
        let ends = all.iter().filter(|r| matches!(r, Record::Closed(c) if c.reason == CloseReason::Battery));
        assert_eq!(ends.count(), 1);
        let opened = all.iter().filter_map(|r| if let Record::Opened(o) = r { Some(o.reason) } else { None });
        assert_eq!(opened.collect::<Vec<_>>(), [OpenReason::Armed, OpenReason::Power]);
        assert_eq!(bench.ask(Request::Stop), Reply::Done);
    });
    // What a person ended stays ended.
    board(flash, POWER, |bench| assert_eq!(bench.status().state, State::Stopped));
}

/// On and off in these windows, as seen.
fn lit(bench: &mut Bench, windows: u32) -> Vec<bool> {
    let mut lit = |n| {
        bench.station.borrow_mut().window(&restless(n));
        bench.station.borrow().lit()
    };
    (0..windows).map(&mut lit).collect()
}

#[test]
fn a_mark_is_kept_or_seen_to_be_refused() {
    board(RamFlash::new(64), POWER, |bench| {
        bench.station.borrow_mut().button();
        let seen = lit(bench, 9);
        assert!(seen.windows(2).all(|two| two[0] != two[1]), "nothing records: {seen:?}");
        bench.arm(Full::Stop);
        // Nobody writes, until the backlog is full; then twenty marks come.
        lit(bench, 6_000);
        for _ in 0..20 {
            bench.station.borrow_mut().button();
            assert!(lit(bench, 9).iter().all(|&lit| lit), "heard");
        }
        let mut refused = 0;
        for _ in 0..60 {
            bench.station.borrow_mut().button();
            refused += u32::from(lit(bench, 9).contains(&false));
        }
        assert!(refused > 10, "the backlog is not without end");
        block_on(bench.handler.write());
        let all = records(&bench.read(&mut Cursor::default(), None));
        let marks = all.iter().filter(|r| matches!(r, Record::Mark(_))).count();
        assert_eq!(marks as u32, 80 - refused, "what was shown to be kept is there, and no more");
    });
}

#[test]
fn a_flash_that_is_late_is_recorded_on_as_if_it_had_been_there() {
    let (flash, ()) = board(RamFlash::new(32), POWER, |bench| {
        bench.arm(Full::Stop);
        bench.run(700);
    });
    let station = RefCell::new(Station::start(None, 5, POWER, false));
    station.borrow_mut().without_flash();
    let handler = RequestHandler::new(&station, None, "test");
    let mut bench = Bench { station: &station, handler };
    bench.run(30);
    assert_eq!(bench.status().state, State::NoFlash);
    assert!(bench.handler.wants_flash());
    let size = flash.size();
    let mut storage = block_on(Storage::open(flash, size)).unwrap();
    let memory = block_on(storage.recall()).unwrap();
    block_on(bench.handler.with_flash(storage, memory));
    bench.run(50);
    let status = bench.status();
    assert_eq!((status.state, status.uptime), (State::Recording, 80));
    assert_eq!(status.label, "flat 3");
    let all = records(&bench.read(&mut Cursor::default(), None));
    let opened =
        all.iter().filter_map(|r| if let Record::Opened(o) = r { Some((o.reason, o.logger)) } else { None });
    assert_eq!(opened.collect::<Vec<_>>(), [(OpenReason::Armed, 77), (OpenReason::Power, 77)]);
}
