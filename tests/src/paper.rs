//! The sheet of a simulated machine, as its maker's paper would have it: times in half minutes, and what is only a habit of one machine not on it.

use std::fmt::Write;

use tubtrace::findings::{Outcome, Surroundings};
use tubtrace::sheet::{Drawn, Held, chart, held, parse};
use tubtrace_simulator::machine::{Appliance, Fault};
use tubtrace_simulator::scenario::{Case, Night};
use tubtrace_units::Seconds;

use crate::{Worked, causes_of, explain, live};

/// The lines of the paper.
#[must_use]
pub fn paper_of(appliance: &Appliance) -> String {
    let pace = appliance.pace;
    let fill = minutes(Seconds(60.0 * appliance.fill.0 / appliance.inlet.0));
    let (drain, [first_hold, last_hold]) =
        (minutes(pace.drain), appliance.holds.map(|until| until.0.round()));
    let water = |text: &mut String, name: &str, washed: &[String]| {
        let _ = write!(text, "{name}:\nfill {fill}\n{}\ndrain {drain}\n", washed.join("\n"));
    };
    let sum = |all: &[Seconds]| minutes(all.iter().copied().sum());
    let mut text = format!("# Invented: a simulated machine.\nname invented, {:.0} V\n", appliance.volts.0);
    water(
        &mut text,
        "prewash",
        &[format!("wash {} + may purge", sum(&[pace.prewash[0], pace.prewash[1], Seconds(10.0)]))],
    );
    // Three stretches that may end with a purge each.
    let after = sum(&[pace.tail, pace.purge_every * 3.0]);
    let before = format!("wash {} + dispenser", sum(&pace.main));
    water(
        &mut text,
        "main wash",
        &[before, format!("heat to {first_hold} C"), format!("wash {after} + 1-3 purges")],
    );
    let rinses = format!(
        "rinse: {}-{} times\nfill {fill}\nrinse {}\ndrain {drain}\n",
        pace.rinses,
        pace.rinses + 1,
        minutes(pace.rinse)
    );
    text.push_str(&rinses);
    let before = format!("rinse {} + rinse aid", sum(&pace.last[..2]));
    water(
        &mut text,
        "last rinse",
        &[before, format!("heat to {last_hold} C"), format!("wash {}", minutes(pace.last[2]))],
    );
    let _ = writeln!(text, "dry {} + heat", sum(&pace.dry));
    text
}

/// To half minutes, as a paper has it.
fn minutes(time: Seconds) -> String {
    let halves = (time.0 / 30.0).round().max(1.0) as u32;
    format!("{}{}", halves / 2, if halves % 2 == 1 { ":30" } else { "" })
}

/// The sheet, drawn.
///
/// # Panics
/// When it is none.
#[must_use]
pub fn drawn(text: &str) -> Drawn {
    let paper = parse(text.as_bytes()).unwrap_or_else(|mistakes| panic!("{mistakes:?}\n{text}"));
    chart(&paper).unwrap_or_else(|mistakes| panic!("{mistakes:?}\n{text}"))
}

/// What is counted of cycles that are held against sheets.
#[derive(Debug, Default)]
pub struct Counted {
    /// Cycles.
    pub cycles: usize,
    /// Within the sheet.
    pub within: usize,
    /// Called of a programme that the sheet does not have.
    pub unknown: usize,
    /// Within the sheet but for a choice at the panel.
    pub explained: usize,
    /// Departing.
    pub departing: usize,
    /// Departing, and a right cause comes first. Of healthy cycles none.
    pub right_first: usize,
    /// What is not as it should be, in words.
    pub told: Vec<String>,
}

impl Counted {
    fn count(&mut self, Held { judged, options }: &Held, sheet: &Drawn, right: &[&str], what: &str) {
        self.cycles += 1;
        self.explained += usize::from(options.as_ref().is_some_and(|options| options.all));
        match judged.outcome() {
            Outcome::Within => self.within += 1,
            Outcome::Unknown => self.unknown += 1,
            Outcome::Departs => self.departing += 1,
        }
        let first = judged.findings.first().map(|f| f.advice.suspects[0].word.as_str());
        let as_wanted = if right.is_empty() {
            judged.outcome() == Outcome::Within
        } else {
            first.is_some_and(|f| right.contains(&f))
        };
        self.right_first += usize::from(!right.is_empty() && as_wanted);
        if !as_wanted {
            let (outcome, odds) = (judged.outcome(), judged.odds);
            self.told.push(format!(
                "{what}: {outcome:?}, {odds:?}\n{}",
                explain(judged, &sheet.chart.clone().into())
            ));
        }
    }
}

/// Machines of the sheets: the two that are always there, or any, by a seed.
fn appliance(seed: u64) -> Appliance {
    match seed % 4 {
        0 => Appliance::on_120_volts(),
        1 => Appliance::on_230_volts(),
        _ => Case::draw(seed).good.appliance,
    }
}

/// Every cycle as the command judges it with a sheet: with its options.
fn all_held(night: &Worked, drawn: &Drawn) -> Vec<Held> {
    let surroundings = Surroundings::of(&night.log.trace, &night.cycles);
    let judged = night.judge(&drawn.chart.clone().into());
    night.cycles.iter().zip(judged).map(|(cycle, judged)| held(drawn, cycle, judged, surroundings)).collect()
}

/// So many healthy runs of a machine, held against a sheet.
fn against(seed: u64, runs: usize, sheet: &Drawn, counted: &mut Counted) {
    let night = live(&Night::healthy(seed, appliance(seed), runs));
    for (i, judged) in all_held(&night, sheet).iter().enumerate() {
        counted.count(judged, sheet, &[], &format!("seed {seed}, cycle {}", i + 1));
    }
}

/// Healthy runs of the machine of this seed, held against its sheet.
pub fn healthy(seed: u64, runs: usize, counted: &mut Counted) {
    against(seed, runs, &drawn(&paper_of(&appliance(seed))), counted);
}

/// The same with a rinse fewer on the sheet than the machine does.
pub fn more_rinses(seed: u64, runs: usize, counted: &mut Counted) {
    let mut fewer = appliance(seed);
    fewer.pace.rinses = fewer.pace.rinses.saturating_sub(1);
    against(seed, runs, &drawn(&paper_of(&fewer)), counted);
}

/// The same with the sheet of another machine: nothing is wrong with them, and none of them is of it.
pub fn of_another(seed: u64, runs: usize, counted: &mut Counted) {
    against(seed, runs, &drawn(&paper_of(&appliance(seed + 1))), counted);
}

/// What plainly goes wrong, with the causes of which any is right.
#[derive(Clone, Copy, Debug)]
pub enum Plain {
    /// A fault of the simulator at its plainest.
    Of(Fault),
    /// Every drain takes four times as long as on the sheet.
    LongDrain,
}

impl Plain {
    /// Those that a sheet must tell.
    pub const ALL: [Self; 8] = [
        Self::Of(Fault::NoHeat),
        Self::Of(Fault::DrainOpen),
        Self::Of(Fault::NoDrainFlow),
        Self::Of(Fault::NoWater),
        Self::Of(Fault::LeakingValve),
        Self::Of(Fault::SlowFill),
        Self::Of(Fault::PumpWontStart),
        Self::LongDrain,
    ];
}

/// A night of the machine of this seed with a healthy run and one that fails, of which the latter is held against its sheet.
///
/// # Panics
/// When there are not two cycles.
pub fn faulty(seed: u64, plain: Plain, counted: &mut Counted) {
    let appliance = appliance(seed);
    let sheet = drawn(&paper_of(&appliance));
    let (night, right) = match plain {
        Plain::Of(fault) => (Night::with_faults(seed, appliance, &[fault]), causes_of(fault)),
        Plain::LongDrain => {
            let mut slow = appliance;
            slow.pace.drain = slow.pace.drain * 4.0;
            let right: &[&str] = &["drain-blocked", "drain-pump-weak", "control-timing"];
            (Night::healthy(seed, slow, 1), right)
        }
    };
    let night = live(&night);
    let truth = &night.recording.truth.cycles;
    let what = format!("seed {seed}, {plain:?}");
    let judged = all_held(&night, &sheet);
    let fails = truth.iter().position(|t| t.fault().is_some()).unwrap_or(0);
    match judged.get(fails).filter(|_| judged.len() == truth.len()) {
        Some(judged) => counted.count(judged, &sheet, right, &what),
        None => counted.told.push(format!("{what}: {} cycles for {} runs", judged.len(), truth.len())),
    }
}
