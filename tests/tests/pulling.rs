//! Fetching and arming: what cannot be undone comes after all that may fail, and no file is touched that is not a pull's own.

use std::fs;
use std::process::Stdio;
use std::sync::mpsc::channel;
use std::time::Duration;

use tubtrace_protocol::{Attached, Clamp, Request, State};
use tubtrace_tests::command::{Shop, said};
use tubtrace_tests::stand_in::{Good, SERIAL, StandIn, log, well};

fn good(state: State) -> Good {
    Good { state, checked: well(), frames: log(SERIAL, 50) }
}

fn serve(mut logger: Good) -> StandIn {
    StandIn::new(Box::new(move |request, wire| logger.answer(request, wire)))
}

fn stopped(logger: &StandIn) -> bool {
    logger.asked().contains(&Request::Stop)
}

#[test]
fn a_recording_is_not_stopped_for_a_pull_that_cannot_be_kept() {
    let shop = Shop::new();
    fs::write(shop.path("night.tub"), "a customer's").unwrap();
    fs::write(shop.path("foreign.tub.part"), "somebody's notes, not a record\0").unwrap();
    fs::write(shop.path("other.tub.part"), log(SERIAL + 1, 3).concat()).unwrap();
    fs::create_dir(shop.path("folder")).unwrap();
    fs::create_dir(shop.path("taken.tub.part")).unwrap();
    let mut names = vec![
        ("night.tub", "is there already"),
        ("foreign.tub", "no unfinished pull of this logger"),
        ("other.tub", "no unfinished pull of this logger"),
        ("taken.tub", "no unfinished pull of this logger"),
        ("folder", "is a folder"),
        ("no/night.tub", "no folder"),
        ("-", "name a file"),
    ];
    #[cfg(unix)]
    {
        fs::write(shop.path("precious"), log(SERIAL, 3).concat()).unwrap();
        std::os::unix::fs::symlink("precious", shop.path("linked.tub.part")).unwrap();
        std::os::unix::fs::symlink("nothing", shop.path("dangling.tub.part")).unwrap();
        names.push(("linked.tub", "no unfinished pull of this logger"));
        names.push(("dangling.tub", "no unfinished pull of this logger"));
    }
    let before = shop.names();
    let contents: Vec<_> = before.iter().map(|n| fs::read(shop.path(n)).ok()).collect();
    for (name, words) in names {
        let logger = serve(good(State::Recording));
        shop.refuses(&["pull", "-o", name, "--stop", "--port", &logger.name()], words);
        assert!(!stopped(&logger), "{name}: the recording was stopped");
    }
    assert_eq!(shop.names(), before);
    assert!(before.iter().map(|n| fs::read(shop.path(n)).ok()).eq(contents), "no file was touched");
}

/// All that is there is fetched before the recording ends, so that a pull which breaks leaves it recording.
#[test]
fn a_pull_that_breaks_leaves_the_recording_and_says_so_where_it_does_not() {
    let shop = Shop::new();
    for (breaks_at, stops) in [(1, false), (2, true)] {
        let (mut logger, mut reads) = (good(State::Recording), 0);
        let logger = StandIn::new(Box::new(move |request, wire| {
            reads += u32::from(matches!(request, Request::Read(_)));
            if matches!(request, Request::Read(_)) && reads == breaks_at {
                return Err(std::io::ErrorKind::BrokenPipe.into());
            }
            logger.answer(request, wire)
        }));
        let (code, told) = shop.run(&["pull", "-o", "night.tub", "--stop", "--port", &logger.name()]);
        assert_eq!(code, 2, "{told}");
        assert_eq!(stopped(&logger), stops, "{told}");
        assert_eq!(told.contains("all of it is still on the logger"), stops, "{told}");
        assert!(!shop.path("night.tub").exists());
    }
    // The same command goes on, and ends with the whole of it.
    let logger = serve(good(State::Stopped));
    let told = shop.well(&["pull", "-o", "night.tub", "--port", &logger.name()]);
    assert!(told.contains("51 of them from an earlier try"), "{told}");
    assert_eq!(shop.bytes("night.tub"), log(SERIAL, 50).concat());
    assert_eq!(shop.names(), ["night.tub"]);
}

#[test]
fn a_pull_stops_the_recording_when_told_to() {
    let shop = Shop::new();
    let logger = serve(good(State::Recording));
    shop.well(&["pull", "-o", "going-on.tub", "--port", &logger.name()]);
    assert!(!stopped(&logger));
    shop.well(&["pull", "-o", "night.tub", "--stop", "--port", &logger.name()]);
    assert!(stopped(&logger));
    assert_eq!(shop.bytes("night.tub"), log(SERIAL, 50).concat());
    // A logger that is not there leaves nothing behind.
    shop.refuses(&["pull", "-o", "none.tub", "--port", "tcp:127.0.0.1:1"], "cannot open");
    assert_eq!(shop.names(), ["going-on.tub", "night.tub"]);
}

/// The second of two pulls into one name is refused while the first goes on, and does it no harm.
#[test]
fn two_pulls_do_not_interleave() {
    let shop = Shop::new();
    let (begun, has_begun) = channel();
    let (go, may_go) = channel::<()>();
    let mut slow = good(State::Stopped);
    let slow = StandIn::new(Box::new(move |request, wire| {
        if matches!(request, Request::Read(_)) {
            begun.send(()).unwrap();
            // The test ends sooner.
            let _ = may_go.recv_timeout(Duration::from_secs(4));
        }
        slow.answer(request, wire)
    }));
    let pull = ["pull", "-o", "night.tub", "--port"];
    let first =
        shop.command(&pull).arg(slow.name()).stderr(Stdio::piped()).stdout(Stdio::null()).spawn().unwrap();
    has_begun.recv_timeout(Duration::from_secs(60)).unwrap();
    let second = serve(good(State::Stopped));
    shop.refuses(&[&pull[..], &[&second.name()]].concat(), "another pull");
    go.send(()).unwrap();
    let first = first.wait_with_output().unwrap();
    assert!(first.status.success(), "{}", said(&first));
    assert_eq!(shop.bytes("night.tub"), log(SERIAL, 50).concat());
    assert_eq!(shop.names(), ["night.tub"]);
}

#[test]
fn arm_does_not_record_with_a_clip_that_fails_unless_told_to() {
    let shop = Shop::new();
    for (clamp, pickup, says) in [
        (Clamp::Quiet, Attached::Hears, "no current"),
        (Clamp::Clipped, Attached::Hears, "more current"),
        (Clamp::Live, Attached::Stuck, "does not move"),
        (Clamp::Live, Attached::Quiet, "quiet"),
    ] {
        let mut checked = well();
        (checked.clamp, checked.pickups[1]) = (clamp, pickup);
        let arm = |options: &[&str]| {
            let logger = serve(Good { checked, ..good(State::Stopped) });
            let output =
                shop.command(&["arm", "--erase", "--yes", "--port", &logger.name()]).args(options).output();
            let output = output.unwrap();
            let told = String::from_utf8_lossy(&output.stdout).into_owned() + &said(&output);
            (output.status.code(), told, logger.asked())
        };
        let (code, told, asked) = arm(&[]);
        assert_eq!(code, Some(2), "{told}");
        assert!(told.contains(says) && told.contains("--anyway"), "{told}");
        assert!(!asked.iter().any(|r| matches!(r, Request::Erase { .. } | Request::Arm(_))), "{asked:?}");
        let (code, told, asked) = arm(&["--anyway"]);
        assert_eq!(code, Some(0), "{told}");
        assert!(
            matches!(&asked[asked.len() - 2..], [Request::Erase { token: 5 }, Request::Arm(_)]),
            "{asked:?}"
        );
    }
}

/// Nothing is erased for an arming that will be refused.
#[test]
fn arm_refuses_before_it_erases() {
    let shop = Shop::new();
    for (state, arguments, words) in [
        (State::Recording, &["arm", "--erase", "--yes"][..], "pull --stop"),
        (State::NoFlash, &["arm", "--erase", "--yes"], "cannot record"),
        (State::Stopped, &["arm"], "--erase"),
        (State::Stopped, &["arm", "--erase"], "--yes"),
        (
            State::Stopped,
            &["arm", "--erase", "--yes", "--label", "longer than the thirty-two bytes it has"],
            "label",
        ),
        (State::Stopped, &["arm", "--erase", "--yes", "--scale", "nan"], "from 0.2 to 5"),
    ] {
        let logger = serve(good(state));
        let mut command = shop.command(arguments);
        let output = command.arg("--port").arg(logger.name()).stdin(Stdio::null()).output().unwrap();
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {}", said(&output));
        assert!(said(&output).contains(words), "{arguments:?}: {}", said(&output));
        let asked = logger.asked();
        assert!(!asked.iter().any(|r| matches!(r, Request::Erase { .. } | Request::Arm(_))), "{asked:?}");
    }
}

/// Whoever reads that the clamp sees nothing is not sent to a live lead.
#[test]
fn the_clamp_is_touched_with_the_power_off() {
    let shop = Shop::new();
    let mut checked = well();
    checked.clamp = Clamp::Quiet;
    let logger = serve(Good { checked, ..good(State::Empty) });
    let output = shop.command(&["arm", "--check", "--port", &logger.name()]).output().unwrap();
    assert_eq!(output.status.code(), Some(1));
    let told = String::from_utf8_lossy(&output.stdout).into_owned();
    let at = |word: &str| told.find(word).unwrap_or_else(|| panic!("no {word}: {told}"));
    assert!(
        at("unplug") < at("jaw") && at("jaw") < at("power back") && at("power back") < at("look again"),
        "{told}"
    );
    assert_eq!(logger.asked().len(), 3, "hello, status, check: {:?}", logger.asked());
}

#[test]
fn an_address_that_is_none_is_refused_by_its_form() {
    let shop = Shop::new();
    for name in
        ["tcp:", "tcp:localhost", "tcp:127.0.0.1", "tcp:127.0.0.1:port", "tcp:127.0.0.1:70000", "tcp::4000"]
    {
        shop.refuses(&["arm", "--check", "--port", name], "expected tcp:HOST:PORT");
    }
}
