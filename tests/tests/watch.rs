//! The live view: what is estimated of a machine that has only begun, what the screen says of it, and what becomes of the terminal.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpListener;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use ratatui::Terminal;
use ratatui::backend::TestBackend;
use tubtrace::intervals::Kind;
use tubtrace::learn::draws;
use tubtrace::live::{Estimate, Screen, Session, draw};
use tubtrace::loads::Draws;
use tubtrace::log::{Assumptions, parse};
use tubtrace::report::Units;
use tubtrace_core::Start;
use tubtrace_protocol::{HostClock, Label, Live, Mains, OpenReason};
use tubtrace_simulator::RamFlash;
use tubtrace_simulator::board::{Second, record, samples};
use tubtrace_simulator::scenario::Night;
use tubtrace_tests::bench::board;
use tubtrace_tests::command::Shop;
use tubtrace_tests::live;
use tubtrace_tests::served::serve;
use tubtrace_units::{Load, Loads, Seconds};

/// 2026-03-06 20:00 UTC, an invented evening.
const CLOCK: HostClock = HostClock { unix_ms: 1_772_827_200_000, offset_minutes: 60 };

/// The first minutes of the demo's night as the board shows them, of which a fifth was lost on a slow link for a while, and in
/// which the button was pressed once.
fn seen(minutes: usize) -> Session {
    seen_until(0, minutes as f64 * 60.0)
}

/// The same from a window on, until so many seconds of the night have passed.
fn seen_until(from: u32, until: f64) -> Session {
    let mut session = Session::new(CLOCK, &Label::try_from("flat 3").unwrap(), 7, Mains::Hz60);
    let seconds: Vec<Second> = samples(&Night::demo(1), until as usize);
    let start = Start { reason: OpenReason::Power, panic: None };
    board(RamFlash::new(64), start, |bench| {
        for (n, block) in (0..).zip(seconds.iter().flat_map(|s| &s.blocks)) {
            bench.give(block, n);
            let slow = (9_000..10_000).contains(&n) && n % 100 < 20;
            if !slow && n >= from {
                let shown = bench.station.borrow().latest();
                session.take(&Live { mark: n == 13_000, ..shown });
            }
        }
    });
    session
}

/// Of what the view has seen after half an hour, the loads are those that ran, second by second.
#[test]
fn what_is_believed_is_what_runs() {
    let session = seen(30);
    assert_eq!(session.missed(), 200, "a fifth of a thousand");
    let estimate = Estimate::of(&session.log(), &Draws::default()).expect("half an hour of windows");
    let truth = record(&Night::demo(1), 0, |_| {}).expect("a flash that works").truth;
    let at = |at: f64| {
        let mut all = estimate.cycles.iter().flat_map(|c| &c.intervals);
        all.find(|i| i.start.0 <= at && at < i.end.0)
    };
    // A gap of two seconds is one, and no load is claimed in it.
    let seconds = (0..1_795).map(|s| f64::from(s) + 0.5);
    let known: Vec<f64> = seconds.filter(|s| at(*s).is_none_or(|i| i.kind != Kind::Gap)).collect();
    assert!((15..=30).contains(&(1_795 - known.len())), "{} seconds are gaps", 1_795 - known.len());
    let runs = |s: f64| at(s).map(|i| i.loads).unwrap_or_default();
    for load in [Load::Heater, Load::WashPump, Load::DrainPump, Load::FillValve] {
        let really =
            |at: f64| truth.intervals.iter().any(|i| i.start.0 <= at && at < i.end.0 && i.loads.has(load));
        let right = known.iter().filter(|s| runs(**s).has(load) == really(**s));
        let part = right.count() as f64 / known.len() as f64;
        assert!(part > 0.985, "{load}: {part}");
    }
}

/// A view that is opened in the middle of a fill, a wash, a drain names what runs after some seconds, where the machine's file says what its loads draw.
#[test]
fn what_runs_is_named_from_the_first_reading_of_a_known_machine() {
    let good = live(&Night::healthy(3, Night::demo(1).appliance, 3));
    let known = draws(&good.cycles.iter().collect::<Vec<_>>());
    assert!(known.tell_loads(), "{known:?}");
    let truth = record(&Night::demo(1), 0, |_| {}).expect("a flash that works").truth;
    for load in [Load::FillValve, Load::WashPump, Load::DrainPump] {
        let alone = Loads::NONE.with(load, true);
        let long = truth.intervals.iter().find(|i| i.loads == alone && (i.end - i.start).0 > 30.0);
        let start = long.expect("each runs alone for half a minute").start.0;
        // From five seconds after it began, for twenty seconds.
        let (from, to) = ((start + 5.0) * 10.0, start + 25.0);
        let session = seen_until(from as u32, to);
        let estimate = Estimate::of(&session.log(), &known).expect("twenty seconds of windows");
        assert_eq!(estimate.loads, alone, "{load}: {estimate:?}");
        assert!(estimate.certainty >= 0.8, "{load}: {}", estimate.certainty);
    }
}

/// However little has been seen, something can be said of it.
#[test]
fn every_beginning_can_be_worked() {
    let whole = seen(16);
    for minutes in [0, 1, 5, 12, 13, 15] {
        let session =
            if minutes == 0 { Session::new(CLOCK, &Label::new(), 7, Mains::Unknown) } else { seen(minutes) };
        let estimate = Estimate::of(&session.log(), &Draws::default());
        assert_eq!(estimate.is_none(), minutes == 0);
        // The first wash, before anything has drained: the pump that the hose's pickup hears is no water.
        if minutes == 15 {
            assert_eq!(estimate.as_ref().and_then(|b| b.does), Some(Kind::Wash));
        }
        screen(&session, estimate.as_ref(), Seconds(60.0), 100, 30);
    }
    // A window no larger than a stamp is drawn without a panic.
    let estimate = Estimate::of(&whole.log(), &Draws::default());
    for (width, height) in [(1, 1), (10, 5), (40, 12), (300, 80)] {
        screen(&whole, estimate.as_ref(), Seconds(900.0), width, height);
    }
}

fn screen(session: &Session, estimate: Option<&Estimate>, span: Seconds, width: u16, height: u16) -> String {
    let mut terminal = Terminal::new(TestBackend::new(width, height)).unwrap();
    let screen = Screen {
        logger: "Logger 00000007: recording \"flat 3\".",
        latest: session.latest(),
        estimate,
        span,
        missed: session.missed(),
        silent: None,
        units: Units::Si,
    };
    terminal.draw(|frame| draw(frame, screen)).unwrap();
    terminal.backend().to_string()
}

#[test]
fn the_screen_after_half_an_hour() {
    let session = seen(30);
    let estimate = Estimate::of(&session.log(), &Draws::default());
    insta::assert_snapshot!(screen(&session, estimate.as_ref(), Seconds(1_800.0), 100, 30));
}

/// The command in a terminal of its own, by `script` of util-linux, watching a simulated logger.
struct Watched {
    child: Child,
}

impl Watched {
    /// `None`, and said so, where there is no such terminal or the command is not built.
    fn begin(port: u16) -> Option<Self> {
        // Beside the folder of the tests.
        let here = std::env::current_exe().unwrap();
        let command = here.ancestors().nth(2).unwrap().join("tubtrace");
        let there = Command::new("script").arg("--version").output().is_ok_and(|o| o.status.success());
        if !there || !command.exists() {
            println!("skipped: the terminal, for script (util-linux) or {} is not there", command.display());
            return None;
        }
        let watch = format!("{} watch --port tcp:127.0.0.1:{port}", command.display());
        let line = format!("stty rows 30 cols 100; exec {watch}");
        let child = Command::new("script")
            .args(["-qfec", &line, "/dev/null"])
            .env("TERM", "xterm-256color")
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        Some(Self { child })
    }

    /// Lets it draw for a while, ends it so, and gives everything that it wrote.
    fn end(mut self, end: impl FnOnce(&mut Child)) -> String {
        std::thread::sleep(Duration::from_secs(3));
        end(&mut self.child);
        let begin = Instant::now();
        while self.child.try_wait().unwrap().is_none() {
            assert!(begin.elapsed() < Duration::from_secs(20), "it does not end");
            std::thread::sleep(Duration::from_millis(50));
        }
        let mut wrote = Vec::new();
        self.child.stdout.take().unwrap().read_to_end(&mut wrote).unwrap();
        String::from_utf8_lossy(&wrote).into_owned()
    }
}

/// A logger that serves for so many seconds, ten times as fast as a real one.
fn logger(seconds: usize) -> (u16, std::thread::JoinHandle<usize>) {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let port = listener.local_addr().unwrap().port();
    let kitchen = samples(&Night::demo(1), seconds * 10);
    (port, std::thread::spawn(move || serve(&listener, kitchen.into_iter(), 10.0)))
}

fn typed(keys: &'static [u8]) -> impl FnOnce(&mut Child) {
    move |child| child.stdin.as_mut().unwrap().write_all(keys).unwrap()
}

/// What takes the terminal over is taken back: the other screen, the hidden cursor.
fn is_given_back(wrote: &str) {
    let last = |code: &str| wrote.rfind(code);
    assert!(last("\u{1b}[?1049h") < last("\u{1b}[?1049l"), "the screen is left: {wrote:?}");
    assert!(last("\u{1b}[?25l") < last("\u{1b}[?25h"), "the cursor is shown: {wrote:?}");
    assert!(wrote.contains("current") && wrote.contains("supply pickup"), "it was drawn: {wrote:?}");
}

/// How somebody ends it.
type End = fn(&mut Child);

#[test]
fn the_terminal_is_given_back_however_it_ends() {
    let by_key: End = |child| typed(b"q")(child);
    let by_interrupt: End = |child| typed(b"\x03")(child);
    let by_signal: End = |child| {
        let told = Command::new("pkill").args(["-TERM", "-P", &child.id().to_string()]).status();
        assert!(told.unwrap().success());
    };
    let ends: [(&str, usize, End); 4] =
        [("q", 8, by_key), ("Ctrl-C", 8, by_interrupt), ("SIGTERM", 8, by_signal), ("the cable", 5, |_| {})];
    for (how, seconds, end) in ends {
        let (port, served) = logger(seconds);
        let Some(watched) = Watched::begin(port) else { return };
        let wrote = watched.end(end);
        println!("{how}");
        is_given_back(&wrote);
        if how == "the cable" {
            assert!(wrote.contains("the connection to the logger broke"), "{wrote}");
        }
        assert_eq!(served.join().unwrap(), 1);
    }
}

/// A view that is killed leaves what was seen until ten seconds before, as a log that is read like any other.
#[test]
fn a_killed_view_leaves_what_was_seen() {
    let shop = Shop::new();
    let (port, served) = logger(20);
    let port = format!("tcp:127.0.0.1:{port}");
    let mut command = shop.command(&["watch", "--json", "--keep", "seen.tub", "--port", &port]);
    let mut child = command.stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
    // A line is a second; sixty of them have come.
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
    assert_eq!(lines.by_ref().take(60).filter(Result::is_ok).count(), 60);
    child.kill().unwrap();
    child.wait().unwrap();
    let log = parse(&shop.bytes("seen.tub"), Assumptions::default()).unwrap();
    let seen = log.trace.duration().0;
    assert!(seen >= 50.0, "{seen} s of 60 are kept");
    assert!(log.notes.all().iter().all(|n| !n.what.contains("damage")), "{:?}", log.notes);
    assert!(served.join().unwrap() >= 1);
}

#[test]
fn a_log_that_cannot_be_kept_is_refused_before_anything_is_watched() {
    let shop = Shop::new();
    std::fs::write(shop.path("night.tub"), "a customer's").unwrap();
    // No logger is there: what is wrong with the place comes first.
    for (name, words) in [
        ("night.tub", "is there already"),
        ("no/seen.tub", "no folder"),
        ("-", "name a file"),
        (".", "is a folder"),
    ] {
        shop.refuses(&["watch", "--keep", name, "--port", "tcp:127.0.0.1:1"], words);
    }
    assert_eq!(shop.bytes("night.tub"), b"a customer's");
    shop.refuses(&["watch", "--keep", "seen.tub", "--port", "tcp:127.0.0.1:1"], "cannot open");
    assert_eq!(shop.names(), ["night.tub"], "nothing is left where nothing was seen");
}

/// A view that is ended keeps all of it, closed.
#[test]
fn an_ended_view_keeps_all_that_was_seen() {
    let shop = Shop::new();
    let (port, served) = logger(8);
    let port = format!("tcp:127.0.0.1:{port}");
    let mut command = shop.command(&["watch", "--seconds", "25", "--keep", "seen.tub", "--port", &port]);
    assert!(command.stdout(Stdio::null()).stderr(Stdio::null()).status().unwrap().success());
    let log = parse(&shop.bytes("seen.tub"), Assumptions::default()).unwrap();
    let seen = log.trace.duration().0;
    assert!((25.0..26.0).contains(&seen), "{seen}");
    assert!(log.notes.all().is_empty(), "{:?}", log.notes);
    assert!(served.join().unwrap() >= 1);
}
