//! `tubtrace check`.

use std::path::{Path, PathBuf};

use clap::Args;

use super::shown::{Shown, Strip};
use super::{About, Done, Failure, Worked, hand_over, print};
use crate::chart::Chart;
use crate::compare::{FEWEST, among};
use crate::findings::{Causes, Judged, Surroundings, judge_with};
use crate::learn::LearnError;
use crate::report::{Subject, Verdict, check_json, verdict};
use crate::text::json;

/// Holds every cycle of a log against a chart, and names each departure. Without a chart, against the other cycles.
///
/// For each: what was measured, what the chart has, what may be behind it and what to measure next.
#[derive(Args)]
#[command(
    after_help = "Examples:\n  tubtrace check night.tub --chart heavy.chart.toml\n  tubtrace check night.tub                  the odd one among its own cycles\n\nUnplug or lock out the supply and prove it dead before a panel comes off; panels back on before power."
)]
pub(super) struct Check {
    /// A .tub log or a CSV; - is standard input.
    log: PathBuf,
    /// The cycle chart that the machine should follow. Without one, a log of three cycles or more is held against itself.
    #[arg(long, value_name = "CHART")]
    chart: Option<PathBuf>,
    /// A test run in which each interval was cut short by hand: only order and loads are judged.
    #[arg(long)]
    stepped: bool,
    /// A file of causes of your own shop, beside those that come with the program.
    #[arg(long, value_name = "CAUSES")]
    causes: Option<PathBuf>,
    /// One JSON object instead of text.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    about: About,
    #[command(flatten)]
    shown: Shown,
    #[command(flatten)]
    strip: Strip,
}

impl Check {
    pub(super) fn run(self) -> Result<Done, Failure> {
        let own = self.causes.as_deref().map(read_causes).transpose()?;
        let causes = own.as_ref().unwrap_or(Causes::built_in());
        let chart = self.chart.as_deref().map(crate::chart::read).transpose()?;
        let worked = Worked::read(&self.log, &self.about)?;
        if worked.cycles.is_empty() {
            let name = self.log.display();
            return Err(Failure::Other(format!("{name}: no cycle in it, so there is nothing to check")));
        }
        worked.judgeable(&self.log)?;
        let (name, mut judged) = match &chart {
            Some(chart) if self.stepped => {
                (chart.name.as_str(), judge_all(&worked, &chart.without_times(), causes))
            }
            Some(chart) => (chart.name.as_str(), judge_all(&worked, chart, causes)),
            None => ("none; each cycle against the others", self.among(&worked, causes)?),
        };
        if self.stepped {
            judged.iter_mut().for_each(|j| j.findings.retain(|f| f.departure.is_of_order_or_load()));
        }
        let subject = Subject { strip: self.strip.columns(), ..worked.subject(self.shown.units()) };
        let told = Verdict { subject, chart: name, judged: &judged };
        if self.json {
            hand_over(&(json(&check_json(told)) + "\n"))?;
        } else {
            print(&verdict(told))?;
        }
        Ok(if told.departs() { Done::Departs } else { Done::Well })
    }

    fn among(&self, worked: &Worked, causes: &Causes) -> Result<Vec<Judged>, Failure> {
        let count = worked.cycles.len();
        if count < FEWEST {
            return Err(Failure::Other(format!(
                "{}: {count} cycles are too few to hold against each other; give a chart with --chart, or a log of {FEWEST} or more",
                self.log.display()
            )));
        }
        Ok(judge_among(worked, causes)?)
    }
}

fn read_causes(path: &Path) -> Result<Causes, Failure> {
    let name = path.display().to_string();
    let text = crate::chart::small_text(path)
        .map_err(|error| Failure::Other(format!("cannot read {name}: {error}")))?;
    Causes::with(&text, &name).map_err(|error| Failure::Other(error.to_string()))
}

/// Every cycle against the others.
pub(super) fn judge_among(worked: &Worked, causes: &Causes) -> Result<Vec<Judged>, LearnError> {
    let surroundings = Surroundings::of(&worked.log.trace, &worked.cycles);
    among(&worked.cycles, worked.log.trace.resolution, surroundings, causes)
}

/// Every cycle against the chart.
pub(super) fn judge_all(worked: &Worked, chart: &Chart, causes: &Causes) -> Vec<Judged> {
    let surroundings = Surroundings::of(&worked.log.trace, &worked.cycles);
    worked.cycles.iter().map(|cycle| judge_with(chart, cycle, surroundings, causes)).collect()
}
