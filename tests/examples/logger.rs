//! `cargo xtask logger [SPEED]`: a simulated logger on a TCP port, to try `arm`, `pull` and `watch` without a board.

use std::net::TcpListener;
use std::sync::mpsc::sync_channel;

use tubtrace_simulator::board::each_second;
use tubtrace_simulator::scenario::Night;
use tubtrace_tests::served::serve;

fn main() {
    let speed: f64 = std::env::args().nth(1).and_then(|s| s.parse().ok()).unwrap_or(1.0);
    let listener = TcpListener::bind("127.0.0.1:0").expect("a port");
    let port = listener.local_addr().expect("a port").port();
    println!("a simulated night, {speed} times as fast as a real one, at --port tcp:127.0.0.1:{port}");
    // A few seconds ahead; more would only take memory.
    let (send, receive) = sync_channel(4);
    std::thread::spawn(move || each_second(&Night::demo(1), |second| send.send(second).is_ok()));
    serve(&listener, receive.into_iter(), speed);
}
