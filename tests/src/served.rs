//! The board's own code behind a TCP port, as a logger in a simulated kitchen: for whoever tries the command without a board.

use std::io::{ErrorKind, Read, Write};
use std::net::{TcpListener, TcpStream};
use std::time::{Duration, Instant};

use embassy_futures::block_on;
use tubtrace_core::Start;
use tubtrace_core::link::{Gone, Inbox, Outlet, RequestHandler};
use tubtrace_protocol::OpenReason;
use tubtrace_simulator::RamFlash;
use tubtrace_simulator::board::Second;

use crate::bench::{Bench, board};

/// The cable, as a TCP connection.
struct Wire<'a>(&'a TcpStream);

impl Outlet for Wire<'_> {
    async fn send(&mut self, bytes: &[u8]) -> Result<(), Gone> {
        self.0.write_all(bytes).map_err(|_| Gone)
    }

    async fn pause(&mut self) {
        embassy_futures::yield_now().await;
    }
}

/// Serves hosts on the port, one after the other, while the kitchen lives, so many times as fast as a real one. Gives the hosts that came.
///
/// # Panics
/// When the port or the flash does not work.
pub fn serve(listener: &TcpListener, kitchen: impl Iterator<Item = Second>, speed: f64) -> usize {
    let start = Start { reason: OpenReason::Power, panic: None };
    board(RamFlash::new(4_096), start, |bench| serve_at(bench, listener, kitchen, speed)).1
}

fn serve_at(
    bench: &mut Bench,
    listener: &TcpListener,
    kitchen: impl Iterator<Item = Second>,
    speed: f64,
) -> usize {
    let Bench { station, handler } = bench;
    listener.set_nonblocking(true).expect("a port that works");
    let (begin, mut hosts) = (Instant::now(), 0);
    let mut host: Option<(TcpStream, Inbox)> = None;
    for (n, (second, block)) in kitchen.flat_map(|s| s.blocks.map(|b| (s.thermistors, b))).enumerate() {
        if n % 10 == 0 {
            station.borrow_mut().temperatures(Some(second));
        }
        station.borrow_mut().window(&block);
        block_on(handler.write());
        if let Some((stream, inbox)) = &mut host {
            block_on(handler.show(&mut Wire(stream)));
            if !heard(stream, inbox, handler) {
                host = None;
            }
        } else if let Ok((stream, _)) = listener.accept() {
            stream.set_nonblocking(false).expect("a wire that works");
            stream.set_read_timeout(Some(Duration::from_millis(1))).expect("a wire that works");
            stream.set_nodelay(true).expect("a wire that works");
            hosts += 1;
            host = Some((stream, Inbox::default()));
        }
        let due = Duration::from_secs_f64(n as f64 / 10.0 / speed);
        std::thread::sleep(due.saturating_sub(begin.elapsed()));
    }
    hosts
}

/// Answers what has come; false when the host has gone.
fn heard(stream: &TcpStream, inbox: &mut Inbox, handler: &mut RequestHandler<RamFlash>) -> bool {
    let mut bytes = [0; 256];
    loop {
        let length = match (&mut &*stream).read(&mut bytes) {
            Ok(0) => return false,
            Ok(length) => length,
            Err(e) => return matches!(e.kind(), ErrorKind::WouldBlock | ErrorKind::TimedOut),
        };
        for request in bytes[..length].iter().filter_map(|b| inbox.push(*b)).flatten() {
            if block_on(handler.answer(request, &mut Wire(stream))).is_err() {
                return false;
            }
        }
    }
}
