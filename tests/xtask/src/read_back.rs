//! What `export` writes, read back by programs that are not ours.

use std::ffi::OsString;
use std::fs;
use std::path::Path;
use std::process::Command;

use crate::folders::{root, target};
use crate::page::{damaged_night, real_cycle, tubtrace, tubtrace_output};
use crate::run::run;

/// What Python needs for it.
const LIBRARIES: &str = "import pandas, pyarrow, datafusion, duckdb, scipy, vcdvcd";

/// Exports a night, one that is damaged and, where there are any, a real cycle, in every format, and has Python read them. Without Python
/// or its libraries: not, and said so.
pub fn read_back() -> Result<(), String> {
    let Some(python) = python_with(LIBRARIES) else {
        println!(
            "skipped: exports read back, for Python or its libraries (tests/references/read-back.txt) are not there"
        );
        return Ok(());
    };
    let folder = target().join("exports");
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).map_err(|e| format!("{}: {e}", folder.display()))?;
    let mut logs = damaged_night(&folder)?;
    if let Some(real) = real_cycle() {
        logs.push(("real", real));
    }
    for (name, log) in &logs {
        export(&folder, name, log)?;
    }
    let at = |name: &str| folder.join(name).to_string_lossy().into_owned();
    let mut all: Vec<&str> = vec!["export"];
    all.extend(logs.iter().map(|(_, log)| log.as_str()));
    let into = at("all/");
    tubtrace(&[&all[..], &["--to", &into]].concat())?;
    tubtrace(&["export", &at("night.tub"), "--to", &at("bursts.wav")])?;
    tubtrace(&["demo", "--samples", &at("kitchen.wav"), "--minutes", "15"])?;
    run(Command::new(python).arg(root().join("tests/references/read_back.py")).arg(&folder))
}

/// Every table in every format, and the loads.
fn export(folder: &Path, name: &str, log: &str) -> Result<(), String> {
    let at = |ending: &str| folder.join(format!("{name}.{ending}")).to_string_lossy().into_owned();
    for ending in ["csv", "jsonl", "parquet"] {
        tubtrace(&["export", log, "--to", &at(ending)])?;
        tubtrace(&["export", log, "--table", "intervals", "--to", &at(&format!("intervals.{ending}"))])?;
    }
    tubtrace(&["export", log, "--every", "10", "--to", &at("even.csv")])?;
    tubtrace(&["export", log, "--to", &at("vcd")])?;
    let json = tubtrace_output(&["timeline", "--json", log])?;
    fs::write(at("json"), json).map_err(|e| format!("{}: {e}", at("json")))
}

/// A Python that can do these imports: `PYTHON`, or python3.
pub fn python_with(libraries: &str) -> Option<OsString> {
    let python = std::env::var_os("PYTHON").unwrap_or_else(|| "python3".into());
    let able = Command::new(&python).args(["-c", libraries]).output().is_ok_and(|o| o.status.success());
    able.then_some(python)
}
