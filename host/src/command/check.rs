//! `tubtrace check`.

use std::path::{Path, PathBuf};

use clap::Args;

use super::about_job::AboutJob;
use super::judging::{How, Outcomes};
use super::known::{Given, Known};
use super::outcome::{Done, Failure};
use super::several::each;
use super::shown::{Shown, Strip};
use super::streams::{hand_over, print};
use super::worked::{About, OnPlate, read_log};
use crate::diagnosis::diagnose;
use crate::findings::{Causes, Outcome, Severity};
use crate::output::Rules;
use crate::report::{Subject, Verdict, check_json, verdict};
use crate::text::json;

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
    #[command(flatten)]
    how: How,
    /// How grave a departure has to be for the exit code to say so: slight, plain, grave or dangerous. All are shown.
    #[arg(long, value_name = "GRADE", default_value = "slight")]
    at_least: Severity,
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
        let own = self.how.own_causes()?;
        let causes = own.as_ref().unwrap_or(Causes::built_in());
        let logs = self.logs.iter().map(|log| &**log);
        let inputs: Vec<&Path> = logs.chain(self.known.inputs()).chain(self.how.inputs()).collect();
        Rules::new(&inputs, false)?;
        let given = self.known.read()?;
        each(&self.logs, self.json, |log| self.check(log, &given, causes))
    }

    fn check(&self, log: &Path, given: &Given, causes: &Causes) -> Result<Done, Failure> {
        let (worked, machine) = given.work_one(read_log(log, &self.about)?, self.job.of_log(log)?)?;
        let worked = worked.rated(&self.plate);
        if worked.cycles.is_empty() {
            let name = log.display();
            // The logger's own clamp has one scale.
            let metered = worked.log.trace.steps.iter().filter(|step| step.detail.is_none());
            let highest = scale(metered.map(|step| step.power.0).fold(0.0, f64::max));
            return Err(Failure::Other(format!(
                "{name}: no cycle in it, so there is nothing to check{highest}"
            )));
        }
        let Outcomes { chart, judged, options } =
            self.how.judge(log, &worked, machine.as_ref(), given.sheet.as_ref(), causes)?;
        let subject = Subject { strip: self.strip.columns(), ..worked.subject(self.shown) };
        let diagnoses = diagnose(&worked.cycles, &judged, causes);
        let told = Verdict {
            subject,
            chart: &chart,
            judged: &judged,
            options: &options,
            diagnoses: &diagnoses,
            causes,
        };
        if self.json {
            hand_over(&(json(&check_json(told)) + "\n"))?;
        } else {
            print(&verdict(told))?;
        }
        let counts = judged.iter().any(|j| j.severity() >= Some(self.at_least));
        Ok(match told.outcome() {
            Outcome::Departs if counts => Done::Departs,
            Outcome::Within | Outcome::Departs => Done::Well,
            Outcome::Unknown => Done::Unknown,
        })
    }
}

/// What the highest power of a log without a cycle says of its unit: a machine that is on draws watts, and kilowatts that were taken
/// for them come to a few at most. Nothing of a log in which nothing is ever on, or something plainly is.
fn scale(highest: f64) -> String {
    if (0.5..=KILOWATTS).contains(&highest) {
        format!("; its highest reading is {highest:.1} W: if these are kilowatts, say so: --scale 1000")
    } else {
        String::new()
    }
}

/// What a dishwasher on a household circuit draws at most, in kilowatts: 16 A at 230 V.
const KILOWATTS: f64 = 3.7;

#[cfg(test)]
mod tests {
    use super::scale;

    #[test]
    fn kilowatts_are_asked_for() {
        assert!(scale(2.1).contains("2.1 W: if these are kilowatts, say so: --scale 1000"));
        assert_eq!([scale(0.0), scale(2_100.0)], ["", ""]);
    }
}
