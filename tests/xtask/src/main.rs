//! `cargo xtask test | lint | ci | uf2 | budget | score | real | strangers | open-data | nights | sheets | groups | bench | sensitivity | speed | sizes | wear | long-run`: everything that is more than
//! one command.

mod board;
mod folders;
mod open_data;
mod page;
mod read_back;
mod run;
mod uf2;

use std::process::{Command, ExitCode};

use board::{fetch_target, image, with_emulator};
use run::{Build, cargo, cargo_path};

const HELP: &str = "\
cargo xtask test    every test, the board's image in its emulator among them (where Node is installed)
cargo xtask lint    format, clippy with warnings denied, licences
cargo xtask ci      both, slices of the score, of the real days and of the second world, the demo, page and read-back
cargo xtask page    the report's page in a browser: zoom, keys, touch, paper, access; needs Node and Chromium
cargo xtask picture takes the README's picture from it
cargo xtask read-back
                    exports in every format, read by pandas, pyarrow, DuckDB, DataFusion, vcdvcd, wave and scipy; needs Python
cargo xtask uf2     the board's image as a file to drop on its USB drive
cargo xtask budget  what the image costs: size, memory, time, speed of a pull; needs Node
cargo xtask score [--seeds A..B] [--json] [--rules] [--tell] [--limits] [--keep FOLDER]
                    what is found of what the simulator did, over machines, nights and faults from seeds
cargo xtask real [--machine NAME] [--every N] [--limits]
                    what is said of real machines: healthy days split every way, and faults put into them
cargo xtask strangers [--kinds A,B] [--seeds A..B] [--meter M] [--house A,B] [--days N] [--samples | --traces FOLDER | --rules]
                    what is said of machines from a generator that knows nothing of the program: healthy days and faults
cargo xtask open-data [--tell]
                    the same tables of a machine that others fitted to real recordings, from their open package; needs Python
cargo xtask sheets [--seeds A..B] [--tell]
                    simulated machines held against the sheets that their papers would be, healthy and with plain faults
cargo xtask nights [--world own|strangers|real] [--seeds A..B] [--faults A,B] [--machine NAME]
                    what is said of one to three cycles of an unknown machine, without a machine file: healthy ones and each fault
cargo xtask sensitivity [--half-and-double] [--strangers] [--seeds A..B] [--only PREFIX] [--keep FOLDER]
                    which constants matter: each a fifth less and a fifth more, on a slice of the score and the real days
cargo xtask groups [--limits | --power | --real]
                    what compare says where nothing differs and where something does; real days split at random, first half against second
cargo xtask bench [--limits] [--seeds A..B] [--keep FOLDER]
                    what the bench says of controls that are well, and with a fault in one of eight runs; with --keep, logs to try it on
cargo xtask speed   how long each stage takes for twelve hours of log, beside Python; what memory
cargo xtask sizes [FOLDER]
                    what an hour costs in the log, beside the same windows as CSV
cargo xtask logger [SPEED]
                    a simulated logger on a TCP port, to try arm, pull and watch without a board
cargo xtask wear [DAYS]
                    how often each sector of the chip is erased in a year
cargo xtask long-run [DAYS]
                    what becomes of every window in thirty days of a logger's life";

fn main() -> ExitCode {
    let task = std::env::args().nth(1);
    let rest: Vec<String> = std::env::args().skip(2).collect();
    let done = match task.as_deref() {
        Some("test") => test(),
        Some("lint") => lint(),
        Some("ci") => lint()
            .and_then(|()| test())
            .and_then(|()| slice_of_the_score())
            .and_then(|()| slice_of_real_days())
            .and_then(|()| slice_of_strangers())
            .and_then(|()| slice_of_groups())
            .and_then(|()| slice_of_the_bench())
            .and_then(|()| demo())
            .and_then(|()| page::page())
            .and_then(|()| read_back::read_back()),
        Some("page") => page::page(),
        Some("read-back") => read_back::read_back(),
        Some("picture") => page::picture(),
        Some("uf2") => uf2::write(&mut || image()),
        Some("budget") => budget(),
        Some("score") => example("score", &rest),
        Some("real") => example("real", &rest),
        Some("strangers") => example("strangers", &rest),
        Some("open-data") => open_data::open_data(&rest),
        Some("sheets") => example("sheets", &rest),
        Some("nights") => example("nights", &rest),
        Some("sensitivity") => sensitivity(&rest),
        Some("groups") => example("groups", &rest),
        Some("bench") => example("bench", &rest),
        Some("sizes") => example("sizes", &rest),
        Some("speed") => example("speed", &rest),
        Some("logger") => example("logger", &rest),
        Some("wear") => example("wear", &rest),
        Some("long-run") => example("long_run", &rest),
        _ => {
            eprintln!("{HELP}");
            return ExitCode::from(2);
        }
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(what) => {
            eprintln!("xtask: {what}");
            ExitCode::FAILURE
        }
    }
}

/// Fetches what it needs: the processor's standard library, if rustup is there to bring it, and the emulator, if npm is.
fn test() -> Result<(), String> {
    with_emulator(cargo(&["test", "--workspace"]))
}

fn budget() -> Result<(), String> {
    let budget =
        ["run", "--quiet", "--profile", "test", "--package", "tubtrace-tests", "--example", "budget"];
    with_emulator(cargo(&budget))
}

/// An example of the tests, at full speed.
fn example(name: &str, arguments: &[String]) -> Result<(), String> {
    run::run(run::ours(&format!("examples/{name}"), Build::Full)?.args(arguments))
}

/// All days of the real machines that lie on this computer with a reading every few seconds, and of the smaller of two with a reading a
/// minute; the other takes five minutes.
fn slice_of_real_days() -> Result<(), String> {
    run::run(run::ours("examples/real", Build::Test)?.arg("--limits").env("TUBTRACE_REAL_MINUTES", ""))?;
    let minutes = ["--limits", "--machine", "machine-f"];
    run::run(run::ours("examples/real", Build::Test)?.args(minutes).env_remove("TUBTRACE_REAL_CYCLES"))
}

/// A machine of each kind of the second world, of a seed that may be looked at; and a cycle of some as raw samples of four channels, of kinds that were
/// read wrongly when their valve, motor or drain pump was held for something else.
fn slice_of_strangers() -> Result<(), String> {
    let strangers = |arguments: &[&str]| {
        let seeds = ["--seeds", "3..4", "--limits"];
        run::run(run::ours("examples/strangers", Build::Test)?.args(seeds).args(arguments))
    };
    strangers(&[])?;
    strangers(&["--samples", "--kinds", "tabletop,soak,shaded-pole,large-120,grinder,pulse-fill"])
}

/// Comparisons of groups that do not differ and that do, without the real days.
fn slice_of_groups() -> Result<(), String> {
    run::run(run::ours("examples/groups", Build::Test)?.arg("--limits"))
}

/// A control that is well, one whose fault comes in one of eight runs, and what the numbers alone come to.
fn slice_of_the_bench() -> Result<(), String> {
    run::run(run::ours("examples/bench", Build::Test)?.arg("--limits"))
}

/// Built apart from all else, for only in it can constants be moved.
fn sensitivity(arguments: &[String]) -> Result<(), String> {
    let with = ["--profile", "test", "--workspace", "--example", "sensitivity"];
    run::run(cargo(&["build"]).args(with).args(["--features", "tubtrace-tests/sensitivity"]))?;
    let name = format!("sensitivity{}", std::env::consts::EXE_SUFFIX);
    run::run(Command::new(folders::target().join("debug/examples").join(name)).args(arguments))
}

/// A few cases, with limits that a change must not fall below; what is wanted stands in DEVELOPERS.md.
fn slice_of_the_score() -> Result<(), String> {
    run::run(run::ours("examples/score", Build::Test)?.args(["--seeds", "300..312", "--limits"]))
}

fn lint() -> Result<(), String> {
    run::run(&mut cargo(&["fmt", "--all", "--check"]))?;
    run::run(&mut cargo(&[
        "clippy",
        "--workspace",
        "--all-targets",
        "--all-features",
        "--",
        "-D",
        "warnings",
    ]))?;
    fetch_target()?;
    let target =
        ["clippy", "--target", board::TARGET, "--package", "tubtrace-rp2040", "--", "-D", "warnings"];
    run::run(&mut cargo(&target))?;
    let quiet = |command: &mut Command| command.output().is_ok_and(|o| o.status.success());
    if !quiet(Command::new(cargo_path()).args(["deny", "--version"])) {
        println!(
            "skipped: licences and advisories, for cargo-deny is not installed (cargo install cargo-deny --locked)"
        );
        return Ok(());
    }
    run::run(&mut cargo(&["deny", "--all-features", "check", "licenses", "bans", "sources"]))?;
    // The database comes over the network, which is not everywhere.
    if quiet(Command::new(cargo_path()).args(["deny", "fetch", "db"])) {
        run::run(&mut cargo(&["deny", "--all-features", "check", "--disable-fetch", "advisories"]))
    } else {
        println!("skipped: advisories, for their database cannot be fetched (cargo deny fetch db)");
        Ok(())
    }
}

fn demo() -> Result<(), String> {
    run::run(run::ours("tubtrace", Build::Test)?.arg("demo"))
}
