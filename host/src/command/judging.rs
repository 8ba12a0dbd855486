//! Judging the cycles of a log: the options that say how, and the one way in which every command does it.

use std::ops::RangeInclusive;
use std::path::{Path, PathBuf};

use clap::Args;

use super::outcome::Failure;
use super::worked::Worked;
use crate::chart::Machine;
use crate::compare::{OTHERS, among};
use crate::findings::{Causes, Judged, judge_with, off_scale};
use crate::parallel;
use crate::sheet::{Drawn, Held, Options, held};
use crate::trace::{Meter, Nominal};

/// How cycles are judged.
#[derive(Args, Default)]
pub(super) struct How {
    /// A test run in which each interval was cut short by hand: only order and loads are judged.
    #[arg(long)]
    stepped: bool,
    /// A file of causes of your own shop, beside those that come with the program.
    #[arg(long, value_name = "CAUSES")]
    causes: Option<PathBuf>,
}

/// The cycles of a log, judged.
pub(super) struct Outcomes {
    /// Name of what they were held against.
    pub(super) chart: String,
    /// What each comes to.
    pub(super) judged: Vec<Judged>,
    /// The options of the sheet that explain each.
    pub(super) options: Vec<Option<Options>>,
}

impl How {
    /// By the causes that come with the program; of a test run that was cut short by hand, order and loads alone.
    pub(super) const fn stepped(stepped: bool) -> Self {
        Self { stepped, causes: None }
    }

    /// The files that are read.
    pub(super) fn inputs(&self) -> Option<&Path> {
        self.causes.as_deref()
    }

    /// The causes of a shop, beside those that come with the program; none where none are given.
    pub(super) fn own_causes(&self) -> Result<Option<Causes>, Failure> {
        let Some(path) = &self.causes else { return Ok(None) };
        let name = path.display().to_string();
        let text = crate::chart::small_text(path)
            .map_err(|error| Failure::Other(format!("cannot read {name}: {error}")))?;
        Causes::with(&text, &name).map(Some).map_err(|error| Failure::Other(error.to_string()))
    }

    /// Judges the cycles of a log by their machine, or else each by the others.
    ///
    /// # Errors
    /// Where too much of it was lost, and where readings and machine are of different scale.
    pub(super) fn judge(
        &self,
        log: &Path,
        worked: &Worked,
        machine: Option<&Machine>,
        sheet: Option<&Drawn>,
        causes: &Causes,
    ) -> Result<Outcomes, Failure> {
        worked.judgeable(log)?;
        let (chart, judged) = match machine {
            Some(machine) if self.stepped => {
                (machine.name.clone(), judge_all(worked, &machine.without_times(), causes))
            }
            Some(machine) => (machine.name.clone(), judge_all(worked, machine, causes)),
            None => (OTHERS.to_owned(), judge_among(worked, causes)),
        };
        if let Some(machine) = machine {
            same_scale(log, worked, machine, &judged)?;
        }
        let (mut judged, options) = with_options(sheet.filter(|_| !self.stepped), worked, judged);
        if self.stepped {
            judged.iter_mut().for_each(Judged::keep_order_and_loads);
        }
        Ok(Outcomes { chart, judged, options })
    }
}

/// Looks which options of the sheet explain what is not within it; nothing is looked for where there is no sheet.
fn with_options(
    sheet: Option<&Drawn>,
    worked: &Worked,
    judged: Vec<Judged>,
) -> (Vec<Judged>, Vec<Option<Options>>) {
    let surroundings = worked.surroundings();
    let held = |(cycle, judged)| match sheet {
        Some(sheet) => {
            let Held { judged, options } = held(sheet, cycle, judged, surroundings);
            (judged, options)
        }
        None => (judged, None),
    };
    worked.cycles.iter().zip(judged).map(held).unzip()
}

/// Fails where all loads are off by one factor: the readings are of another scale or of another machine, and no load is at fault.
fn same_scale(path: &Path, worked: &Worked, machine: &Machine, judged: &[Judged]) -> Result<(), Failure> {
    let trace = &worked.log.trace;
    let of = (&worked.cycles[..], judged);
    let Some(factor) = off_scale(machine, trace, of, worked.surroundings()) else { return Ok(()) };
    let nominal = trace.nominal;
    let volts = nominal.volts.0 * factor;
    let of_meter = match trace.meter {
        Meter::Power => {
            format!("if its watts are to be multiplied, say by what: --scale {:.2} would fit", 1.0 / factor)
        }
        Meter::Current => format!(
            "if the clamp has another range, say by what its readings are to be multiplied: --scale {:.2} would fit",
            1.0 / factor
        ),
    };
    let of_supply = match trace.meter {
        _ if !nominal.assumed => String::new(),
        Meter::Power if SUPPLIES.contains(&volts) => format!(
            "; its watts were taken for those at {:.0} V, and if the supply has other volts: --volts {volts:.0} would fit",
            nominal.volts.0
        ),
        Meter::Current if SUPPLIES.contains(&(Nominal::UNTOLD.volts.0 / factor)) => format!(
            "; if the machine was learned from watts that were taken for those at {:.0} V, learn it with --volts {:.0}",
            Nominal::UNTOLD.volts.0,
            Nominal::UNTOLD.volts.0 / factor
        ),
        _ => String::new(),
    };
    Err(Failure::Other(format!(
        "{}: could not be judged: all loads draw {factor:.2} times what {} has, so the readings are of another scale, or of another machine, and no part of this one is at fault; {of_meter}{of_supply}",
        path.display(),
        machine.name
    )))
}

/// Nominal volts of supplies, with what they vary by. IEC 60038, ANSI C84.1; from memory.
const SUPPLIES: RangeInclusive<f64> = 90.0..=264.0;

/// Judges every cycle by what the others say of the machine.
fn judge_among(worked: &Worked, causes: &Causes) -> Vec<Judged> {
    among(&worked.cycles, worked.log.trace.resolution, worked.surroundings(), causes)
}

/// Judges every cycle by what its machine should do.
pub(super) fn judge_all(worked: &Worked, machine: &Machine, causes: &Causes) -> Vec<Judged> {
    let surroundings = worked.surroundings();
    parallel::map(&worked.cycles, |cycle| judge_with(machine, cycle, surroundings, causes))
}
