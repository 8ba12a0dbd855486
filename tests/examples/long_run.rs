//! `cargo xtask long-run [DAYS]`: thirty days of a logger's life, unless told otherwise; prints what became of every window.

use std::process::ExitCode;

use indicatif::ProgressBar;
use tubtrace_tests::long_run::live_days;

fn main() -> ExitCode {
    let days = std::env::args().nth(1).and_then(|d| d.parse().ok()).unwrap_or(30);
    let bar = ProgressBar::new(u64::from(days));
    let totals = live_days(days, 30, |day| bar.set_position(u64::from(day)));
    bar.finish_and_clear();
    let row = |what: &str, value: String| println!("{what:44} {value}");
    row("days", days.to_string());
    row("windows given", totals.given.to_string());
    row("read back", totals.read_back.to_string());
    row("missing, told by the log", totals.told_lost.to_string());
    row("missing, in the logger's hands at a reset", totals.in_hand.to_string());
    row("missing, unexplained", totals.unexplained().to_string());
    row("resets; windows that one took at most", format!("{}; {}", totals.resets, totals.most_in_hand));
    row("reads interrupted; to the end", format!("{}; {}", totals.reads.0, totals.reads.1));
    row("presses; in the logs", format!("{}; {}", totals.presses.0, totals.presses.1));
    row("bytes read", totals.bytes.to_string());
    if totals.unexplained() == 0 { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}
