//! `cargo xtask sensitivity [--half-and-double] [--strangers] [--seeds A..B] [--only PREFIX] [--keep FOLDER]`: each constant a fifth less and a fifth more, or half
//! and twice as much, and what becomes of a slice of the score and of the real days with it, and with `--strangers` of a slice of the second world. The constants that matter most come first; those that change nothing that
//! anybody is told are named at the end. Nights are simulated once, and what comes before the stage of a constant is worked once.

mod slice;
mod strange;

use std::ops::Range;
use std::path::PathBuf;
use std::process::ExitCode;
use std::time::Instant;

use indicatif::ProgressBar;
use slice::{Outcome, Slice};
use strange::Strange;
use tubtrace::constant::{Listed, moved};
use tubtrace::constants;

/// Seeds that may be looked at, of which the first few are soon simulated.
const SEEDS: Range<u64> = 300..305;

/// By what each constant is multiplied; what counts something is moved by one at least.
const A_FIFTH: [f64; 2] = [0.8, 1.2];

/// The same, where it is halved and doubled.
const HALF_AND_DOUBLE: [f64; 2] = [0.5, 2.0];

struct Wanted {
    factors: [f64; 2],
    /// Whether the second world is looked at as well.
    strangers: bool,
    seeds: Range<u64>,
    only: String,
    keep: Option<PathBuf>,
}

fn main() -> ExitCode {
    let Some(wanted) = wanted() else {
        eprintln!(
            "cargo xtask sensitivity [--half-and-double] [--strangers] [--seeds A..B] [--only PREFIX] [--keep FOLDER]"
        );
        return ExitCode::from(2);
    };
    let begin = Instant::now();
    let strange = match wanted.strangers.then(Strange::new).transpose() {
        Ok(strange) => strange,
        Err(what) => {
            eprintln!("sensitivity: {what}");
            return ExitCode::FAILURE;
        }
    };
    let slice = Slice::of(wanted.seeds.clone(), wanted.keep.as_deref(), strange);
    let unmoved = slice.work(None);
    let chosen: Vec<_> = constants().filter(|c| c.name().starts_with(&wanted.only)).collect();
    println!(
        "{} constants, seeds {}..{}, {} real days and {} of the second world: {unmoved}",
        chosen.len(),
        wanted.seeds.start,
        wanted.seeds.end,
        slice.real_days(),
        slice.strange_days()
    );
    let bar = ProgressBar::new(chosen.len() as u64);
    let mut moves: Vec<Vec<Move>> = Vec::new();
    for constant in chosen {
        moves.push(wanted.factors.map(|by| moved_by(constant, by, &slice, &unmoved)).into());
        bar.inc(1);
    }
    bar.finish_and_clear();
    print!("{}", table(moves));
    println!("{:.0} min in all", begin.elapsed().as_secs_f64() / 60.0);
    ExitCode::SUCCESS
}

fn wanted() -> Option<Wanted> {
    let mut wanted =
        Wanted { factors: A_FIFTH, strangers: false, seeds: SEEDS, only: String::new(), keep: None };
    let mut words = std::env::args().skip(1);
    while let Some(word) = words.next() {
        match word.as_str() {
            "--half-and-double" => wanted.factors = HALF_AND_DOUBLE,
            "--strangers" => wanted.strangers = true,
            "--only" => wanted.only = words.next()?,
            "--keep" => wanted.keep = Some(words.next()?.into()),
            "--seeds" => {
                let seeds = words.next()?;
                let (from, to) = seeds.split_once("..")?;
                wanted.seeds = from.parse().ok()?..to.parse().ok()?;
            }
            _ => return None,
        }
    }
    Some(wanted)
}

/// A constant with another value, and what that changes.
struct Move {
    constant: &'static dyn Listed,
    number: f64,
    change: Change,
}

/// Differences from the outcome with every constant as it is.
struct Change {
    /// Of the mean F1 over the loads, with all channels.
    f1: f64,
    /// The same from the current alone.
    f1_alone: f64,
    healthy: i64,
    found: i64,
    first: i64,
    real: i64,
    /// Of the part of the time of the second world in which loads are right, of its log loss, and of its days with the right number of cycles.
    strange: (f64, f64, i64),
    /// Cycles of which something else is told, or the same with another cause first.
    told: usize,
}

impl Change {
    fn between(before: &Outcome, after: &Outcome) -> Self {
        let less = |of: fn(&Outcome) -> u64| of(after) as i64 - of(before) as i64;
        let pairs = before.told.iter().zip(&after.told);
        Self {
            f1: after.f1 - before.f1,
            f1_alone: after.f1_alone - before.f1_alone,
            healthy: less(|o| o.healthy),
            found: less(|o| o.found),
            first: less(|o| o.first),
            real: less(|o| o.real),
            strange: (
                after.strange.time() - before.strange.time(),
                after.strange.loss() - before.strange.loss(),
                after.strange.days - before.strange.days,
            ),
            told: pairs.map(|(b, a)| differing(b, a)).sum(),
        }
    }

    /// By how many runs the figures of the score and of the second world change, a hundredth of F1, of the time or a tenth of a nat being worth one; then, how
    /// many cycles are told otherwise.
    fn effect(&self) -> (f64, usize) {
        let (time, loss, days) = self.strange;
        let runs = [self.healthy, self.found, self.first, self.real, days].map(i64::abs).iter().sum::<i64>();
        let hundredths = self.f1.abs() + self.f1_alone.abs() + time.abs() + 0.1 * loss.abs();
        (runs as f64 + 100.0 * hundredths, self.told)
    }
}

/// How many of the cycles of a log, in order, are told differently; where not as many are found, those that are more or less count too.
fn differing(before: &[String], after: &[String]) -> usize {
    before.iter().zip(after).filter(|(b, a)| b != a).count() + before.len().abs_diff(after.len())
}

fn moved_by(constant: &'static dyn Listed, by: f64, slice: &Slice, unmoved: &Outcome) -> Move {
    let declared = constant.number();
    let mut number = declared * by;
    if constant.counts() {
        let step = by - 1.0;
        number = declared + step.signum() * (declared * step.abs()).round().max(1.0);
    }
    // A part of a whole is no more than all of it.
    if matches!(constant.unit(), "probability" | "part") {
        number = number.min(declared.max(1.0));
    }
    moved::to(constant, number);
    let outcome = slice.work(Some(constant.name()));
    moved::back();
    Move { constant, number, change: Change::between(unmoved, &outcome) }
}

/// Constants by their effect, each in both directions, and the names of those that have none.
fn table(mut moves: Vec<Vec<Move>>) -> String {
    let effect = |moves: &Vec<Move>| {
        moves
            .iter()
            .map(|m| m.change.effect())
            .max_by(|a, b| a.partial_cmp(b).unwrap_or(std::cmp::Ordering::Equal))
    };
    moves.sort_by(|a, b| effect(b).partial_cmp(&effect(a)).unwrap_or(std::cmp::Ordering::Equal));
    let (some, none): (Vec<_>, Vec<_>) =
        moves.into_iter().partition(|m| m.iter().any(|m| m.change.effect() > (0.0, 0)));
    let mut text = format!(
        "{:32} {:>30} {:>8} {:>8} {:>8} {:>6} {:>6} {:>6} {:>6} {:>8} {:>8} {:>6}\n",
        "",
        "from to",
        "load F1",
        "alone",
        "healthy",
        "found",
        "first",
        "real",
        "told",
        "strange",
        "loss",
        "days"
    );
    for Move { constant, number, change: c } in some.iter().flatten() {
        let decimals = |number: f64| (number * 1e4).round() / 1e4;
        let values = format!("{} to {} {}", decimals(constant.number()), decimals(*number), constant.unit());
        text.push_str(&format!(
            "{:32} {values:>30} {:>+8.4} {:>+8.4} {:>+8} {:>+6} {:>+6} {:>+6} {:>6} {:>+8.4} {:>+8.4} {:>+6}\n",
            constant.name(),
            c.f1,
            c.f1_alone,
            c.healthy,
            c.found,
            c.first,
            c.real,
            c.told,
            c.strange.0,
            c.strange.1,
            c.strange.2
        ));
    }
    let names: Vec<&str> = none.iter().filter_map(|m| Some(m.first()?.constant.name())).collect();
    text.push_str(&format!("\nno effect at all: {} constants: {}\n", names.len(), names.join(", ")));
    text
}
