//! The image in its emulator while things go wrong: power, flash, watchdog, its own panic, a crushed lead.

use serde_json::json;
use tubtrace_protocol::{CloseReason, Full, OpenReason, Record, Request, State};
use tubtrace_tests::emulator::{
    Emulator, armed, closed, fetch, image, kitchen, opened, restless, sound, windows,
};

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

/// A chip that is busy for ever when the logger starts is reset; one that hangs at its first write, or does not hear a reset
/// either, is tried again later.
#[test]
fn a_chip_that_hangs_at_the_start_costs_no_night() {
    let Some(image) = image() else { return };
    let mut board = Emulator::start(&image, &json!({}));
    board.feed(&kitchen()[..600]);
    armed(&mut board, Full::Stop);
    assert!(board.run(10.0));
    board.command("stick reset");
    board.command("power");
    assert!(board.run(10.0));
    assert_eq!(board.serve(|link| link.status().unwrap()).0.state, State::Recording);
    assert_eq!(board.facts()["chipResets"], 1);

    for stuck in ["write", "on"] {
        board.command(&format!("stick {stuck}"));
        board.command("power");
        assert!(board.run(20.0));
        let state = board.serve(|link| link.status().unwrap()).0.state;
        assert_eq!(state, State::NoFlash, "{stuck}: it measures, and answers");
        if stuck == "on" {
            board.command("stick off");
        }
        assert!(board.run(40.0));
        assert_eq!(board.serve(|link| link.status().unwrap()).0.state, State::Recording, "{stuck}");
    }
    assert_eq!(board.facts()["resets"].as_array().unwrap().len(), 0, "the watchdog had no reason");
    let log = fetch(&mut board, "late");
    assert_eq!(opened(&log), [OpenReason::Armed, OpenReason::Power, OpenReason::Power, OpenReason::Power]);
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
