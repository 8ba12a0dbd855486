//! Loggers that mean no good, or are broken: whatever comes over the wire, the host ends, and fills no disk.

use std::io::{self, Write};
use std::net::TcpStream;
use std::process::Stdio;
use std::sync::mpsc::channel;
use std::time::Duration;

use tubtrace::link::{Link, LinkError, Part, Patience, PullError};
use tubtrace_protocol::{Cursor, Live, Reply, Request, State, Window};
use tubtrace_tests::command::Shop;
use tubtrace_tests::stand_in::{Good, SERIAL, StandIn, framed, log, well};

/// What these tests wait for at most, where a person would wait for minutes.
const SHORT: Patience = Patience {
    word: Duration::from_millis(400),
    working: Duration::from_millis(600),
    answer: Duration::from_millis(1_500),
    erasure: Duration::from_millis(2_500),
    pause: Duration::from_millis(1_500),
    rate: 480,
};

/// Far more than all of these: what takes longer does not end.
const FOR_EVER: Duration = Duration::from_secs(60);

/// What `host` makes of a logger, unless it never ends.
fn ends<T: Send + 'static>(what: &str, host: impl FnOnce() -> T + Send + 'static) -> T {
    let (send, done) = channel();
    std::thread::spawn(move || send.send(host()));
    done.recv_timeout(FOR_EVER).unwrap_or_else(|_| panic!("{what}: it does not end"))
}

fn link(port: u16) -> Result<Link<TcpStream>, LinkError> {
    let wire = TcpStream::connect(("127.0.0.1", port)).unwrap();
    wire.set_read_timeout(Some(Duration::from_millis(20))).unwrap();
    Link::begin_with(wire, 9, SHORT)
}

/// A good logger, but for what `other` answers; it gives whether it did.
fn but(
    mut other: impl FnMut(&Request, &mut TcpStream) -> io::Result<bool> + Send + 'static,
    state: State,
) -> StandIn {
    let mut good = Good { state, checked: well(), frames: log(SERIAL, 50) };
    StandIn::new(Box::new(
        move |request, wire| {
            if other(request, wire)? { Ok(()) } else { good.answer(request, wire) }
        },
    ))
}

fn again_and_again(bytes: &[u8], pause: Duration, wire: &mut TcpStream) -> io::Result<bool> {
    loop {
        wire.write_all(bytes)?;
        std::thread::sleep(pause);
    }
}

#[test]
fn what_is_no_logger_is_given_up() {
    let floods: [(&str, Vec<u8>); 5] = [
        ("zeros", vec![0; 65_536]),
        ("noise", [1, 0].repeat(32_768)),
        ("one endless frame", vec![b'x'; 65_536]),
        ("frames of a log", log(SERIAL, 5_000).concat()),
        ("work without end", framed(&Reply::Working { permille: 5 }).repeat(1_000)),
    ];
    for (what, flood) in floods {
        let logger = but(move |_, wire| again_and_again(&flood, Duration::ZERO, wire), State::Empty);
        let begun = ends(what, move || link(logger.port).map(drop));
        assert!(matches!(begun, Err(LinkError::Silent)), "{what}: {begun:?}");
    }
    let silent = but(|_, _| Ok(true), State::Empty);
    let begun = ends("silence", move || link(silent.port).map(drop));
    assert!(matches!(begun, Err(LinkError::Silent)), "{begun:?}");
}

#[test]
fn one_that_works_for_ever_is_given_up() {
    for request in [Request::Stop, Request::Status, Request::Check, Request::Erase { token: 5 }] {
        for pause in [0, 200] {
            let asked = request.clone();
            let works = move |request: &Request, wire: &mut TcpStream| {
                let word = framed(&Reply::Working { permille: 5 });
                if *request == asked {
                    again_and_again(&word, Duration::from_millis(pause), wire)
                } else {
                    Ok(false)
                }
            };
            let logger = but(works, State::Recording);
            let asks = request.clone();
            let answer = ends("work", move || link(logger.port).unwrap().ask(&asks));
            assert!(matches!(answer, Err(LinkError::Endless)), "{request:?}, {pause}: {answer:?}");
        }
    }
}

/// One that works for as long as work may take is waited for.
#[test]
fn one_that_works_for_a_while_is_waited_for() {
    let works = |request: &Request, wire: &mut TcpStream| {
        if matches!(request, Request::Erase { .. }) {
            for permille in 0..8 {
                wire.write_all(&framed(&Reply::Working { permille }))?;
                std::thread::sleep(Duration::from_millis(200));
            }
        }
        Ok(false)
    };
    let logger = but(works, State::Stopped);
    let done = ends("erasure", move || link(logger.port).unwrap().order(&Request::Erase { token: 5 }));
    assert!(done.is_ok(), "{done:?}");
}

/// Pulls from a logger that answers a read so; gives what came of it, and the bytes that were kept.
fn pulled(
    what: &str,
    read: impl Fn(&Cursor, &mut TcpStream) -> io::Result<bool> + Send + 'static,
) -> (Result<(), PullError>, u64) {
    let shop = Shop::new();
    let reads = move |request: &Request, wire: &mut TcpStream| match request {
        Request::Read(cursor) => read(cursor, wire),
        _ => Ok(false),
    };
    let logger = but(reads, State::Stopped);
    let path = shop.path("night.tub");
    let done = ends(what, move || {
        let mut link = link(logger.port).unwrap();
        let mut part = Part::begin(&path).unwrap();
        let status = link.status().unwrap();
        part.fetch(&mut link, &status, |_| {})
    });
    let kept = std::fs::metadata(shop.path("night.tub.part")).map_or(0, |m| m.len());
    (done, kept)
}

#[test]
fn a_log_that_does_not_end_or_hardly_comes_is_given_up() {
    let endless = log(SERIAL, 5_000).concat();
    let (done, kept) = pulled("endless", move |_, wire| again_and_again(&endless, Duration::ZERO, wire));
    assert!(matches!(done, Err(PullError::TooMuch { .. })), "{done:?}");
    // A chip of 64 KiB, and what may be recorded meanwhile.
    assert!(kept <= (1 << 16) + (1 << 20), "{kept} bytes are kept");

    let mark = log(SERIAL, 1).remove(1);
    let drop = mark.clone();
    let (done, kept) =
        pulled("drip", move |_, wire| again_and_again(&drop, Duration::from_millis(300), wire));
    assert!(matches!(done, Err(PullError::Broken { error: LinkError::Slow, .. })), "{done:?}");
    assert!(kept > 0, "what came is kept");

    let (done, _) = pulled("a frame, byte by byte", move |_, wire| {
        mark.iter().take(8).try_for_each(|byte| {
            std::thread::sleep(Duration::from_millis(300));
            wire.write_all(&[*byte])
        })?;
        Ok(true)
    });
    assert!(matches!(done, Err(PullError::Broken { error: LinkError::Silent, .. })), "{done:?}");

    let word = framed(&Reply::Working { permille: 5 });
    let (done, _) = pulled("work", move |_, wire| again_and_again(&word, Duration::from_millis(100), wire));
    assert!(matches!(done, Err(PullError::Broken { error: LinkError::Slow, .. })), "{done:?}");

    let wrong = framed(&Reply::End { cursor: Cursor { frames: 77, check: 3 } });
    let (done, _) = pulled("another end", move |_, wire| wire.write_all(&wrong).map(|()| true));
    assert!(matches!(done, Err(PullError::Broken { error: LinkError::Confused, .. })), "{done:?}");
}

/// A log that comes slowly, but faster than it may, takes longer than its pauses may, and comes whole.
#[test]
fn a_slow_log_is_waited_for() {
    let frames = log(SERIAL, 400);
    let (done, kept) = pulled("slow", move |cursor, wire| {
        for frame in &frames[cursor.frames as usize..] {
            wire.write_all(frame)?;
            std::thread::sleep(Duration::from_millis(6));
        }
        let last = frames[frames.len() - 1].strip_suffix(&[0]).unwrap();
        let check = tubtrace_protocol::check_of(last).unwrap();
        let end = Reply::End { cursor: Cursor { frames: frames.len() as u32, check } };
        wire.write_all(&framed(&end)).map(|()| true)
    });
    assert!(done.is_ok(), "{done:?}");
    assert_eq!(kept, log(SERIAL, 400).concat().len() as u64);
}

/// Windows far faster than there are any do not keep the view from ending.
#[test]
fn a_flood_of_windows_can_be_left() {
    let flood = |request: &Request, wire: &mut TcpStream| {
        if *request != (Request::Live { on: true }) {
            return Ok(false);
        }
        wire.write_all(&framed(&Reply::Done))?;
        for uptime in 0.. {
            let window = Window { rms: (uptime % 200) as u16 * 100, ..Window::default() };
            wire.write_all(&framed(&Reply::Live(Live { uptime, window, clips: [None; 2], mark: false })))?;
        }
        Ok(true)
    };
    let logger = but(flood, State::Recording);
    let shop = Shop::new();
    let mut command = shop.command(&["watch", "--seconds", "20", "--port", &logger.name()]);
    command.stdout(Stdio::null()).stderr(Stdio::null());
    let ended = ends("watch", move || command.status().unwrap());
    assert!(ended.success(), "{ended}");
}
