//! `cargo xtask nights [--world own|strangers|real] [--seeds A..B] [--faults A,B] [--machine NAME] [--tell] [--keep FOLDER]`: nights of one to three cycles of an
//! unknown machine, without a machine file: healthy, and with one fault as plain as it can be. Own seeds 300 to 303 and the second world's seed 1
//! are looked at while developing. `--keep` keeps each night's file, to try the command on; the logs of a seed that is to stay unseen are not kept.

mod days;
mod figures;
mod measurements;
mod own;
mod strangers;

use std::ops::Range;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Mutex;

use figures::Figures;

/// Seeds of the second world from here on are to stay unseen.
const UNSEEN_FROM: u64 = 2000;

/// What is asked for.
struct Wanted {
    world: Option<String>,
    seeds: Option<Range<u64>>,
    /// Only these faults; all where there are none. Healthy nights are always worked.
    faults: Vec<String>,
    /// Only machines of whose name this is part.
    machine: String,
    /// Print what is said where it is not what ought to be.
    tell: bool,
    /// Where each night's file is kept; it is thrown away where none is named.
    keep: Option<PathBuf>,
}

impl Wanted {
    fn is_of(&self, world: &str) -> bool {
        self.world.as_deref().is_none_or(|wanted| wanted == world)
    }

    fn seeds(&self, open: Range<u64>) -> Range<u64> {
        self.seeds.clone().unwrap_or(open)
    }

    fn has(&self, fault: &str) -> bool {
        self.faults.is_empty() || self.faults.iter().any(|wanted| wanted == fault)
    }

    /// Keeps the file of a night under a name, if nights are to be kept.
    fn kept(&self, file: &Path, name: &str) -> Result<(), String> {
        let Some(folder) = &self.keep else { return Ok(()) };
        std::fs::create_dir_all(folder).map_err(|e| format!("{}: {e}", folder.display()))?;
        let ending = file.extension().unwrap_or_default().to_string_lossy();
        let to = folder.join(format!("{}.{ending}", name.replace(' ', "-")));
        std::fs::copy(file, &to).map(|_| ()).map_err(|e| format!("{}: {e}", to.display()))
    }
}

fn main() -> ExitCode {
    let Some(wanted) = wanted() else {
        eprintln!(
            "cargo xtask nights [--world own|strangers|real] [--seeds A..B] [--faults A,B] [--machine NAME] [--tell] [--keep FOLDER]"
        );
        return ExitCode::from(2);
    };
    match run(&wanted) {
        Ok(()) => ExitCode::SUCCESS,
        Err(what) => {
            eprintln!("nights: {what}");
            ExitCode::FAILURE
        }
    }
}

fn wanted() -> Option<Wanted> {
    let mut wanted = Wanted {
        world: None,
        seeds: None,
        faults: Vec::new(),
        machine: String::new(),
        tell: false,
        keep: None,
    };
    let mut words = std::env::args().skip(1);
    while let Some(word) = words.next() {
        match word.as_str() {
            "--tell" => wanted.tell = true,
            "--keep" => wanted.keep = Some(words.next()?.into()),
            "--world" => {
                let world = words.next()?;
                ["own", "strangers", "real"].contains(&world.as_str()).then_some(())?;
                wanted.world = Some(world);
            }
            "--machine" => wanted.machine = words.next()?,
            "--faults" => wanted.faults = words.next()?.split(',').map(str::to_owned).collect(),
            "--seeds" => {
                let seeds = words.next()?;
                let (from, to) = seeds.split_once("..")?;
                wanted.seeds = Some(from.parse().ok()?..to.parse().ok()?);
            }
            _ => return None,
        }
    }
    let unseen = wanted.is_of("strangers") && wanted.seeds.as_ref().is_some_and(|s| s.end > UNSEEN_FROM);
    let shown = wanted.tell || wanted.keep.is_some();
    (!(shown && unseen)).then_some(wanted)
}

fn run(wanted: &Wanted) -> Result<(), String> {
    let figures = Mutex::new(Figures::new(wanted.tell));
    if wanted.is_of("own") {
        own::nights(wanted, &figures)?;
    }
    if wanted.is_of("strangers") {
        strangers::nights(wanted, &figures)?;
    }
    if wanted.is_of("real") {
        days::nights(wanted, &figures)?;
    }
    figures.into_inner().map_err(|_| "a thread broke off")?.print();
    Ok(())
}
