//! The report's page, driven in a real browser; and the picture at the head of the README, taken from it.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use crate::board::npm;
use crate::folders::{root, target};
use crate::run::{Build, ours, run};

/// Browsers by their usual names.
const BROWSERS: [&str; 3] = ["chromium", "chromium-browser", "google-chrome"];

/// Makes pages of every kind of log and drives them. Without Node or a browser: not, and said so.
pub fn page() -> Result<(), String> {
    let Some(scripts) = scripts()? else { return Ok(()) };
    let pages = pages()?;
    run(Command::new("node")
        .args(["--test", "--test-reporter=spec", "test/"])
        .env("TUBTRACE_PAGES", &pages)
        .current_dir(scripts))
}

/// Takes the README's picture.
pub fn picture() -> Result<(), String> {
    let Some(scripts) = scripts()? else { return Err("Node and a browser are needed for it".into()) };
    let pages = pages()?;
    run(Command::new("node").args(["picture.js"]).env("TUBTRACE_PAGES", &pages).current_dir(scripts))
}

/// Where the scripts are, with what they need.
fn scripts() -> Result<Option<PathBuf>, String> {
    let there =
        |program: &str| Command::new(program).arg("--version").output().is_ok_and(|o| o.status.success());
    if !there("node") || !BROWSERS.into_iter().any(there) && std::env::var_os("TUBTRACE_CHROMIUM").is_none() {
        println!("skipped: the page in a browser, for Node (20 or later) or Chromium is not installed");
        return Ok(None);
    }
    let scripts = root().join("tests").join("page");
    run(Command::new(npm()).args(["ci", "--no-audit", "--no-fund"]).current_dir(&scripts))?;
    Ok(Some(scripts))
}

/// The pages of the demo's night, of that night damaged, of a repair, of a log without a cycle and, where there are real cycles, of one.
fn pages() -> Result<PathBuf, String> {
    let folder = target().join("pages");
    let _ = fs::remove_dir_all(&folder);
    let fail = |e: std::io::Error| format!("{}: {e}", folder.display());
    fs::create_dir_all(&folder).map_err(fail)?;
    let at = |name: &str| folder.join(name).to_string_lossy().into_owned();
    let case = |name: &str| root().join("host/tests/cmd").join(name).to_string_lossy().into_owned();

    for (name, log) in damaged_night(&folder)? {
        let page = at(&format!("{name}.html"));
        tubtrace(&["report", &log, "--chart", &at("heavy.chart.toml"), "--inlet", "3.4", "-o", &page])?;
        let json = tubtrace_output(&["timeline", "--json", &log])?;
        fs::write(folder.join(format!("{name}.json")), json).map_err(fail)?;
    }
    let (before, after) = (case("invented-cold.csv"), case("invented.csv"));
    tubtrace(&["report", &before, "--after", &after, "-o", &at("beside.html")])?;
    let idle: String = (0..600).map(|second| format!("{second},1\n")).collect();
    fs::write(folder.join("idle.csv"), format!("time,watts\n{idle}")).map_err(fail)?;
    tubtrace(&["report", &at("idle.csv"), "-o", &at("empty.html")])?;
    if let Some(real) = real_cycle() {
        tubtrace(&["report", &real, "-o", &at("real.html")])?;
    }
    Ok(folder)
}

/// The demo's night, and the same with half of its second cycle and a bit of its fourth written over: names and logs.
pub fn damaged_night(folder: &Path) -> Result<Vec<(&'static str, String)>, String> {
    let fail = |e: std::io::Error| format!("{}: {e}", folder.display());
    tubtrace(&["demo", "--save", &folder.to_string_lossy()])?;
    let mut log = fs::read(folder.join("night.tub")).map_err(fail)?;
    for part in [log.len() / 5..log.len() / 4, log.len() / 2..log.len() / 2 + 300] {
        log[part].fill(0x55);
    }
    fs::write(folder.join("damaged.tub"), log).map_err(fail)?;
    let at = |name: &str| folder.join(name).to_string_lossy().into_owned();
    Ok(vec![("night", at("night.tub")), ("damaged", at("damaged.tub"))])
}

/// The first recording of a real machine, if there are any.
pub fn real_cycle() -> Option<String> {
    let folder = std::env::var_os("TUBTRACE_REAL_CYCLES")?;
    let files = fs::read_dir(Path::new(&folder)).ok()?;
    let csv = |path: &PathBuf| path.extension().is_some_and(|e| e == "csv");
    let first = files.filter_map(|f| Some(f.ok()?.path())).filter(csv).min()?;
    Some(first.to_string_lossy().into_owned())
}

/// The command, at full speed; what it says is not shown.
pub fn tubtrace(arguments: &[&str]) -> Result<(), String> {
    run(ours("tubtrace", Build::Test)?.args(arguments).stdout(Stdio::null()))
}

/// What the command prints when it is given these arguments.
pub fn tubtrace_output(arguments: &[&str]) -> Result<Vec<u8>, String> {
    let output = ours("tubtrace", Build::Test)?.args(arguments).output().map_err(|e| e.to_string())?;
    Ok(output.stdout)
}
