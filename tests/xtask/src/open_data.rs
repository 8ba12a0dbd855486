//! Days of a machine that others fitted to real recordings, made by their open package and read like those of the second world.

use std::fs;
use std::process::Command;

use crate::folders::{root, target};
use crate::read_back::python_with;
use crate::run::{Build, ours, run};

/// What Python needs for it.
const LIBRARIES: &str = "import antgen, bitarray, lxml, numpy";

/// Has Python write the days, and prints the tables. Without Python or the package: not, and said so.
pub fn open_data(arguments: &[String]) -> Result<(), String> {
    let Some(python) = python_with(LIBRARIES) else {
        println!(
            "skipped: open data, for Python or its packages (tests/references/open-traces.txt) are not there"
        );
        return Ok(());
    };
    let folder = target().join("open-data");
    let _ = fs::remove_dir_all(&folder);
    run(Command::new(python).arg(root().join("tests/references/open_traces.py")).arg(&folder))?;
    run(ours("examples/strangers", Build::Full)?.arg("--traces").arg(&folder).args(arguments))
}
