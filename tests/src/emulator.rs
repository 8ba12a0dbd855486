//! The board in its emulator: the image as it is flashed, with our own model of the world around it (`tests/emulator`).

mod bench;

use std::env;
use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};
use std::sync::LazyLock;

use serde_json::Value;
use tubtrace::link::{Link, Wire, open};
use tubtrace_core::Block;
use tubtrace_simulator::board::{Second, samples};
use tubtrace_simulator::machine::{Adaptation, Appliance};
use tubtrace_simulator::scenario::{Night, Plan};
use tubtrace_units::{Celsius, Seconds};

pub use bench::{CLOCK, Place, arm, armed, closed, fetch, native, opened, records, sound, windows};

/// Where the image is, or `None` and a word about it where there is none to test.
#[must_use]
pub fn image() -> Option<PathBuf> {
    let image = env::var_os("TUBTRACE_IMAGE").map(PathBuf::from);
    if image.is_none() {
        println!("skipped: TUBTRACE_IMAGE names no image of the board (cargo xtask test sets it)");
    }
    image
}

/// Ten minutes of an invented machine: a fill, a wash with a purge in it, a drain and the next fill.
pub const MINUTES: usize = 10;

static KITCHEN: LazyLock<Vec<Second>> = LazyLock::new(|| {
    let adaptation = Adaptation { prewash_purge: true, purges: 1, extra_rinse: false, warmer: Celsius(0.0) };
    let plan = Plan { idle: Seconds(4.0), adaptation, trouble: None };
    let night =
        Night { seed: 4, appliance: Appliance::on_120_volts(), plans: vec![plan], rest: Seconds(1.0) };
    samples(&night, MINUTES * 60)
});

/// Its samples, window by window.
#[must_use]
pub fn kitchen() -> Vec<Block> {
    KITCHEN.iter().flat_map(|second| second.blocks).collect()
}

/// Turns a window into one whose current changes from end to end.
#[must_use]
pub fn restless(block: &Block) -> Block {
    let mut block = *block;
    let sum: u32 = block.iter().map(|&s| u32::from(s)).sum();
    let part = 1 + (sum % 7) as i32;
    let wave = |i: usize| ((i % 80) as i32 - 40) * part * 5;
    block.iter_mut().step_by(4).enumerate().for_each(|(i, s)| *s = (2_048 + wave(i)) as u16);
    block
}

/// A board in a process of its own. Every command is a line, and so is its answer.
pub struct Emulator {
    process: Child,
    commands: ChildStdin,
    answers: BufReader<ChildStdout>,
    port: u64,
}

impl Emulator {
    /// Switches a board on. `options` as `tests/emulator/src/board.js` takes them.
    ///
    /// # Panics
    /// Where the emulator does not run: then nothing can be tested.
    #[must_use]
    pub fn start(image: &Path, options: &Value) -> Self {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("emulator");
        let mut process = Command::new("node")
            .arg(folder.join("src/main.js"))
            .arg(image)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .expect("node runs");
        let commands = process.stdin.take().expect("piped");
        let answers = BufReader::new(process.stdout.take().expect("piped"));
        let mut emulator = Self { process, commands, answers, port: 0 };
        emulator.port = emulator.answer()["port"].as_u64().expect("a port");
        emulator.command(&format!("start {options}"));
        emulator
    }

    /// Gives a command and waits until it is done.
    ///
    /// # Panics
    /// When the emulator reports an error.
    pub fn command(&mut self, line: &str) -> Value {
        self.begin(line);
        self.answer()
    }

    fn begin(&mut self, line: &str) {
        writeln!(self.commands, "{line}").expect("the emulator listens");
    }

    fn answer(&mut self) -> Value {
        let mut line = String::new();
        self.answers.read_line(&mut line).expect("the emulator answers");
        let answer: Value = serde_json::from_str(&line).unwrap_or_else(|e| panic!("{e}: {line}"));
        assert!(answer["error"].is_null(), "{}", answer["error"].as_str().unwrap_or_default());
        answer
    }

    /// Runs for so many seconds of the board's time; `false` when the power went.
    pub fn run(&mut self, seconds: f64) -> bool {
        self.command(&format!("run {seconds}"))["power"] == true
    }

    /// What is known of the board.
    pub fn facts(&mut self) -> Value {
        self.command("facts")
    }

    /// Plugs the cable in, opens the port with the command's own code and does `what` over it. `false` beside its
    /// result when the power went meanwhile.
    pub fn serve<T>(&mut self, what: impl FnOnce(&mut Link<Box<dyn Wire>>) -> T) -> (T, bool) {
        self.begin("serve 3000");
        let wire = open(Some(&format!("tcp:127.0.0.1:{}", self.port))).expect("the cable is plugged in");
        let mut link = Link::begin(wire, 7).expect("the board says hello");
        let result = what(&mut link);
        drop(link);
        (result, self.answer()["power"] == true)
    }

    /// Gives the board samples, from the next one on and for ever.
    ///
    /// # Panics
    /// When they cannot be written to a file for it.
    pub fn feed(&mut self, blocks: &[Block]) {
        let path = env::temp_dir().join(format!("tubtrace-{}.u16", self.process.id()));
        let bytes: Vec<u8> = blocks.iter().flatten().flat_map(|s| s.to_le_bytes()).collect();
        std::fs::write(&path, bytes).expect("a folder for temporary files");
        self.command(&format!("samples {}", path.display()));
        let _ = std::fs::remove_file(path);
    }
}

impl Drop for Emulator {
    fn drop(&mut self) {
        let _ = writeln!(self.commands, "quit");
        let _ = self.process.wait();
    }
}
