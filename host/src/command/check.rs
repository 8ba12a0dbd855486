//! `tubtrace check`.

use std::path::{Path, PathBuf};

use clap::Args;

use super::about_job::AboutJob;
use super::known::{Given, Known};
use super::outcome::{Done, Failure};
use super::several::each;
use super::shown::{Shown, Strip};
use super::streams::{hand_over, print};
use super::worked::{About, OnPlate, Worked};
use crate::chart::Machine;
use crate::compare::{OTHERS, among};
use crate::diagnosis::diagnose;
use crate::findings::{Causes, Judged, Outcome, Severity, judge_with, off_by};
use crate::output::Rules;
use crate::report::{Subject, Verdict, check_json, explained, verdict};
use crate::sheet::{Drawn, Held, Options, held};
use crate::text::json;
use crate::trace::{Meter, Nominal};

/// Holds every cycle of a log against what the machine should do, and names each departure. Without a machine file or a chart, against
/// the other cycles of its programme.
///
/// For each: what was measured, what the chart has, what may be behind it and what to measure next.
#[derive(Args)]
#[command(
    after_help = "Examples:\n  tubtrace check night.tub --machine dishwasher.machine.toml\n  tubtrace check night.tub --sheet heavy.txt     what the paper behind its panel has\n  tubtrace check night.tub                       the odd one among its own cycles\n\nUnplug or lock out the supply and prove it dead before a panel comes off; panels back on before power."
)]
pub(super) struct Check {
    /// .tub logs or CSVs; - is standard input. Each is checked by itself.
    #[arg(required = true, value_name = "LOG")]
    logs: Vec<PathBuf>,
    #[command(flatten)]
    known: Known,
    /// A test run in which each interval was cut short by hand: only order and loads are judged.
    #[arg(long)]
    stepped: bool,
    /// How grave a departure has to be for the exit code to say so: slight, plain, grave or dangerous. All are shown.
    #[arg(long, value_name = "GRADE", default_value = "slight")]
    at_least: Severity,
    /// A file of causes of your own shop, beside those that come with the program.
    #[arg(long, value_name = "CAUSES")]
    causes: Option<PathBuf>,
    /// One JSON object for each log instead of text.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    about: About,
    #[command(flatten)]
    job: AboutJob,
    #[command(flatten)]
    plate: OnPlate,
    #[command(flatten)]
    shown: Shown,
    #[command(flatten)]
    strip: Strip,
}

impl Check {
    pub(super) fn run(self) -> Result<Done, Failure> {
        let own = self.causes.as_deref().map(read_causes).transpose()?;
        let causes = own.as_ref().unwrap_or(Causes::built_in());
        let inputs: Vec<&Path> = self.logs.iter().map(|log| &**log).chain(self.known.inputs()).collect();
        Rules::new(&inputs, false)?;
        let given = self.known.read()?;
        each(&self.logs, self.json, |log| self.check(log, &given, causes))
    }

    fn check(&self, log: &Path, given: &Given, causes: &Causes) -> Result<Done, Failure> {
        let mut worked = Worked::read(log, &self.about)?.rated(&self.plate);
        worked.job = self.job.of_log(log)?;
        if worked.cycles.is_empty() {
            let name = log.display();
            return Err(Failure::Other(format!("{name}: no cycle in it, so there is nothing to check")));
        }
        worked.judgeable(log)?;
        let machine = given.machine_of(&worked)?;
        let (name, judged) = match &machine {
            Some(machine) if self.stepped => {
                (machine.name.as_str(), judge_all(&worked, &machine.without_times(), causes))
            }
            Some(machine) => (machine.name.as_str(), judge_all(&worked, machine, causes)),
            None => (OTHERS, judge_among(&worked, causes)),
        };
        if let Some(machine) = &machine {
            same_scale(log, &worked, machine, &judged)?;
        }
        let (mut judged, options) =
            with_options(given.sheet.as_ref().filter(|_| !self.stepped), &worked, judged);
        if self.stepped {
            judged.iter_mut().for_each(Judged::keep_order_and_loads);
        }
        let subject = Subject { strip: self.strip.columns(), ..worked.subject(self.shown.units()) };
        let diagnoses = diagnose(&worked.cycles, &judged, causes);
        let told = Verdict { subject, chart: name, judged: &judged, diagnoses: &diagnoses, causes };
        if self.json {
            hand_over(&(json(&check_json(told)) + "\n"))?;
        } else {
            print(&verdict(told))?;
            let explained =
                options.iter().enumerate().filter_map(|(i, o)| Some(explained(i + 1, o.as_ref()?)));
            print(&explained.map(|text| format!("\n{text}")).collect::<String>())?;
        }
        let counts = judged.iter().any(|j| j.severity() >= Some(self.at_least));
        Ok(match told.outcome() {
            Outcome::Departs if counts => Done::Departs,
            Outcome::Within | Outcome::Departs => Done::Well,
            Outcome::Unknown => Done::Unknown,
        })
    }
}

/// Looks which options of the sheet explain what is not within it; nothing is looked for where there is no sheet.
pub(super) fn with_options(
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

/// Fails where no volts were given and all loads are off by one factor: watts at other volts than were taken, and no fault.
pub(super) fn same_scale(
    path: &Path,
    worked: &Worked,
    machine: &Machine,
    judged: &[Judged],
) -> Result<(), Failure> {
    let nominal = worked.log.trace.nominal;
    let Some(factor) = off_by(machine, &worked.cycles, judged).filter(|_| nominal.assumed) else {
        return Ok(());
    };
    let volts = nominal.volts.0;
    let remedy = match worked.log.trace.meter {
        Meter::Power => format!(
            "its watts were taken for those at {volts:.0} V; if the supply has other volts, say them: --volts {:.0} would fit",
            volts * factor
        ),
        Meter::Current => format!(
            "if the machine was learned from watts that were taken for those at {:.0} V, learn it with --volts {:.0}; else look at the clamp's range",
            Nominal::UNTOLD.volts.0,
            Nominal::UNTOLD.volts.0 / factor
        ),
    };
    Err(Failure::Other(format!(
        "{}: could not be judged: all loads draw {factor:.2} times what {} has, so readings and chart are of different scale; {remedy}",
        path.display(),
        machine.name
    )))
}

fn read_causes(path: &Path) -> Result<Causes, Failure> {
    let name = path.display().to_string();
    let text = crate::chart::small_text(path)
        .map_err(|error| Failure::Other(format!("cannot read {name}: {error}")))?;
    Causes::with(&text, &name).map_err(|error| Failure::Other(error.to_string()))
}

/// Judges every cycle by what the others say of the machine.
pub(super) fn judge_among(worked: &Worked, causes: &Causes) -> Vec<Judged> {
    among(&worked.cycles, worked.log.trace.resolution, worked.surroundings(), causes)
}

/// Judges every cycle by what its machine should do.
pub(super) fn judge_all(worked: &Worked, machine: &Machine, causes: &Causes) -> Vec<Judged> {
    let surroundings = worked.surroundings();
    worked.cycles.iter().map(|cycle| judge_with(machine, cycle, surroundings, causes)).collect()
}
