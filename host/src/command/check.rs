//! `tubtrace check`.

use std::path::PathBuf;

use clap::Args;

use super::{About, Done, Failure, Worked, print};
use crate::chart::Chart;
use crate::findings::{Judged, Surroundings, judge};
use crate::report::{Verdict, check_json, verdict};

/// Holds every cycle of a log against a chart, and names each departure.
///
/// For each: what was measured, what the chart has, what may be behind it and what to measure next.
#[derive(Args)]
#[command(
    after_help = "Example:\n  tubtrace check night.tub --chart heavy.chart.toml\n\nUnplug or lock out the supply and prove it dead before a panel comes off; panels back on before power."
)]
pub(super) struct Check {
    /// A .tub log or a CSV; - is standard input.
    log: PathBuf,
    /// The cycle chart that the machine should follow.
    #[arg(long, value_name = "CHART")]
    chart: PathBuf,
    /// One JSON object instead of text.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    about: About,
}

impl Check {
    pub(super) fn run(self) -> Result<Done, Failure> {
        let chart = crate::chart::read(&self.chart)?;
        let worked = Worked::read(&self.log, &self.about)?;
        if worked.cycles.is_empty() {
            let name = self.log.display();
            return Err(Failure::Other(format!("{name}: no cycle in it, so there is nothing to check")));
        }
        let judged = judge_all(&worked, &chart);
        let told = Verdict { subject: worked.subject(), chart: &chart.name, judged: &judged };
        if self.json {
            print(&(check_json(told) + "\n"))?;
        } else {
            print(&verdict(told))?;
        }
        Ok(if told.departs() { Done::Departs } else { Done::Well })
    }
}

/// Every cycle against the chart.
pub(super) fn judge_all(worked: &Worked, chart: &Chart) -> Vec<Judged> {
    let surroundings = Surroundings::of(&worked.log.trace, &worked.cycles);
    worked.cycles.iter().map(|cycle| judge(chart, cycle, surroundings)).collect()
}
