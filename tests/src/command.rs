//! The command as people run it, in a folder of its own.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// A folder in which the command runs, which goes when this does.
pub struct Shop(tempfile::TempDir);

impl Shop {
    /// An empty one.
    ///
    /// # Panics
    /// When there is no room for temporary files.
    #[must_use]
    pub fn new() -> Self {
        Self(tempfile::tempdir().expect("a folder for temporary files"))
    }

    /// One with `night.tub`, an invented log of three runs on 230 V, and the meter's CSV `meter.csv` that it came from.
    ///
    /// # Panics
    /// When the command does not import it.
    #[must_use]
    pub fn with_night() -> Self {
        let shop = Self::new();
        std::fs::write(shop.path("meter.csv"), invented(3)).expect("a folder that can be written");
        shop.well(&["import", "meter.csv", "-o", "night.tub"]);
        shop
    }

    /// A path in it.
    #[must_use]
    pub fn path(&self, name: impl AsRef<Path>) -> PathBuf {
        self.0.path().join(name)
    }

    /// What the file `name` holds.
    ///
    /// # Panics
    /// When it is not there.
    #[must_use]
    pub fn bytes(&self, name: &str) -> Vec<u8> {
        std::fs::read(self.path(name)).unwrap_or_else(|e| panic!("{name}: {e}"))
    }

    /// Names of all that is in it, in order.
    ///
    /// # Panics
    /// When it cannot be listed.
    #[must_use]
    pub fn names(&self) -> Vec<String> {
        let all = std::fs::read_dir(self.0.path()).expect("a folder");
        let mut names: Vec<_> =
            all.map(|f| f.expect("a file").file_name().to_string_lossy().into_owned()).collect();
        names.sort();
        names
    }

    /// The command with these arguments, in this folder.
    #[must_use]
    pub fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(tubtrace());
        command.args(arguments).current_dir(self.0.path());
        command
    }

    /// Runs it; gives how it ended and what it said on the error stream.
    ///
    /// # Panics
    /// When it cannot be run.
    #[must_use]
    pub fn run(&self, arguments: &[&str]) -> (i32, String) {
        let output = self.command(arguments).output().expect("a command that runs");
        (output.status.code().unwrap_or(-1), said(&output))
    }

    /// Runs it, and it does what it was asked.
    ///
    /// # Panics
    /// When it does not.
    pub fn well(&self, arguments: &[&str]) -> String {
        let (code, said) = self.run(arguments);
        assert_eq!(code, 0, "{arguments:?}: {said}");
        said
    }

    /// Runs it, and it refuses with a sentence that has these words in it.
    ///
    /// # Panics
    /// When it does not.
    pub fn refuses(&self, arguments: &[&str], words: &str) {
        let (code, said) = self.run(arguments);
        assert_eq!(code, 2, "{arguments:?}: {said}");
        assert!(said.contains(words), "{arguments:?}: {said}");
    }
}

impl Default for Shop {
    fn default() -> Self {
        Self::new()
    }
}

/// What a command said on the error stream.
#[must_use]
pub fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// Where the command is: beside the folder of the tests.
///
/// # Panics
/// When it is not built.
#[must_use]
pub fn tubtrace() -> PathBuf {
    let here = std::env::current_exe().expect("a test that knows where it is");
    let name = format!("tubtrace{}", std::env::consts::EXE_SUFFIX);
    let command = here.ancestors().nth(2).expect("target/PROFILE/deps").join(name);
    assert!(command.exists(), "{} is not there; cargo build -p tubtrace makes it", command.display());
    command
}

/// A meter's CSV of an invented machine on 230 V: so many runs of half an hour, two hours apart, a reading a second.
#[must_use]
pub fn invented(runs: u32) -> String {
    /// Seconds and watts of one run.
    const RUN: [(u32, u32); 15] = [
        (120, 1),
        (60, 12),
        (180, 92),
        (40, 27),
        (10, 1),
        (62, 12),
        (60, 93),
        (300, 2_040),
        (240, 91),
        (44, 27),
        (8, 1),
        (60, 12),
        (90, 92),
        (46, 27),
        (5_880, 1),
    ];
    let mut text = String::from("time,watts\n");
    let mut time = 0;
    for (lasts, watts) in (0..runs).flat_map(|_| RUN) {
        for _ in 0..lasts {
            text.push_str(&format!("{time},{watts}.{}\n", time % 3));
            time += 1;
        }
    }
    text
}
