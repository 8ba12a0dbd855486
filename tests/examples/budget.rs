//! What the image costs, measured in the emulator: `cargo xtask budget`. Fails when a figure is missed.

use std::process::ExitCode;

use serde_json::{Value, json};
use tubtrace_core::Block;
use tubtrace_protocol::{Arm, Cursor, Full, HostClock, Request};
use tubtrace_tests::emulator::{Emulator, image, kitchen, restless};

const MINUTES: f64 = 10.0;

fn main() -> ExitCode {
    let Some(image) = image() else { return ExitCode::from(2) };
    let washing = measure(&image, &kitchen(), json!({ "nor": { "power": 20 } }), Full::Stop);
    let jumps: Vec<Block> = kitchen()[..200].iter().map(restless).collect();
    let erasing =
        measure(&image, &jumps, json!({ "nor": { "power": 16, "sector": 400e6 } }), Full::Overwrite);

    let rows = [
        Row::at_most("image", washing.bytes("image") / 1_024.0, 128.0, "KiB"),
        Row::at_most("static RAM", washing.bytes("statics") / 1_024.0, 96.0, "KiB"),
        Row::at_most(
            "stack, high-water mark",
            washing.stack.max(erasing.stack) / 1_024.0,
            264.0 - 96.0,
            "KiB",
        ),
        Row::at_most("core awake at 48 MHz, washing", washing.awake * 100.0, 10.0, "%"),
        Row::at_most("windows lost in ten minutes, with erases", erasing.lost, 0.0, ""),
        Row::at_least("sectors erased meanwhile, 400 ms each", erasing.bytes("erases"), 10.0, ""),
        Row::at_least("pull", erasing.pull / 1_000.0, 100.0, "kB/s"),
    ];
    println!("{:42} {:>10}   {:>14}", "", "measured", "wanted");
    let mut met = true;
    for row in &rows {
        println!("{row}");
        met &= row.met;
    }
    if met { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

/// What ten minutes of recording cost.
struct Measured {
    facts: Value,
    /// Part of the core's time.
    awake: f64,
    stack: f64,
    lost: f64,
    /// Bytes a second of a log over the link model.
    pull: f64,
}

impl Measured {
    fn bytes(&self, name: &str) -> f64 {
        number(&self.facts, name)
    }
}

fn number(facts: &Value, name: &str) -> f64 {
    facts[name].as_f64().unwrap_or(f64::NAN)
}

fn measure(image: &std::path::Path, blocks: &[Block], options: Value, full: Full) -> Measured {
    let mut board = Emulator::start(image, &options);
    board.feed(blocks);
    board.serve(|link| {
        let clock = HostClock { unix_ms: 1_800_000_000_000, offset_minutes: 0 };
        let arm =
            Arm { clock, label: "budget".try_into().expect("short"), microamps_per_count: 16_113, full };
        link.order(&Request::Arm(arm)).expect("an empty flash");
    });
    board.command("unplug");
    // The mains is found and the first records are written.
    board.run(5.0);
    let before = board.facts();
    board.run(60.0 * MINUTES);
    let facts = board.facts();
    let cycles = number(&facts, "awake") - number(&before, "awake");
    let seconds = number(&facts, "seconds") - number(&before, "seconds");

    let (status, _) = board.serve(|link| {
        let status = link.status().expect("a status");
        link.read::<tubtrace::link::LinkError>(&mut Cursor::default(), |_| Ok(())).expect("a log");
        status
    });
    let after = board.facts();
    let answer = &after["answer"];
    let nanos = number(answer, "last") - number(answer, "first");
    Measured {
        awake: cycles / (seconds * number(&facts, "hertz")),
        stack: number(&after, "stack"),
        lost: f64::from(status.lost),
        pull: number(answer, "bytes") / (nanos / 1e9),
        facts,
    }
}

/// A figure and whether it is met.
struct Row {
    what: &'static str,
    measured: f64,
    wanted: String,
    unit: &'static str,
    met: bool,
}

impl Row {
    fn at_most(what: &'static str, measured: f64, limit: f64, unit: &'static str) -> Self {
        Self { what, measured, wanted: format!("at most {limit}"), unit, met: measured <= limit }
    }

    fn at_least(what: &'static str, measured: f64, limit: f64, unit: &'static str) -> Self {
        Self { what, measured, wanted: format!("at least {limit}"), unit, met: measured >= limit }
    }
}

impl std::fmt::Display for Row {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let Self { what, measured, wanted, unit, met } = self;
        let missed = if *met { "" } else { "   MISSED" };
        write!(f, "{what:42} {measured:10.1}   {wanted:>14} {unit}{missed}")
    }
}
