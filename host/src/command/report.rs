//! `tubtrace report`.

use std::path::{Path, PathBuf};

use clap::Args;
use tubtrace_units::Seconds;

use super::check::{judge_all, judge_among};
use super::shown::{Inlet, Shown};
use super::{About, Done, Failure, Worked, Writing, say};
use crate::chart::Chart;
use crate::compare::FEWEST;
use crate::findings::{Causes, Judged};
use crate::learn::{LearnError, learn};
use crate::report::{Sheet, Subject, beside, page};

/// Makes one page of a log, for a phone, a laptop and paper: verdict, findings, pictures, tables.
///
/// The page stands alone: it opens without a network, and nothing in it asks for one. With --after, a repair's before and after stand
/// side by side. Without a chart, three cycles or more are held against each other, and what was before against what came after.
#[derive(Args)]
#[command(
    after_help = "Examples:\n  tubtrace report night.tub --chart heavy.chart.toml -o night.html\n  tubtrace report before.tub --after after.tub --chart heavy.chart.toml -o repair.html\n\nUnplug or lock out the supply and prove it dead before a panel comes off; panels back on before power."
)]
pub(super) struct Report {
    /// A .tub log or a CSV; - is standard input.
    log: PathBuf,
    /// A log from after the repair: the first is then the one from before.
    #[arg(long, value_name = "LOG")]
    after: Option<PathBuf>,
    /// The cycle chart that the machine should follow.
    #[arg(long, value_name = "CHART")]
    chart: Option<PathBuf>,
    /// Where the page goes; - is standard output.
    #[arg(short, long, value_name = "FILE.html")]
    output: PathBuf,
    #[command(flatten)]
    writing: Writing,
    #[command(flatten)]
    inlet: Inlet,
    #[command(flatten)]
    about: About,
    #[command(flatten)]
    shown: Shown,
}

/// A log as it is told: what it was held against, and what came of it.
struct Told {
    worked: Worked,
    against: Option<String>,
    judged: Vec<Judged>,
}

impl Report {
    pub(super) fn run(self) -> Result<Done, Failure> {
        let others = [self.after.as_deref(), self.chart.as_deref()];
        let inputs: Vec<&Path> = std::iter::once(&*self.log).chain(others.into_iter().flatten()).collect();
        let place = self.writing.place(&self.output, &inputs)?;
        let chart = self.chart.as_deref().map(crate::chart::read).transpose()?;
        let read = |path: &Path| {
            let worked = Worked::read(path, &self.about)?;
            worked.judgeable(path)?;
            Ok::<_, Failure>(worked)
        };
        let html = match &self.after {
            None => {
                let told = Told::of(read(&self.log)?, chart.as_ref())?;
                page(self.sheet(&told, ""))
            }
            Some(after) => {
                let (before, after) = match &chart {
                    None => Told::without_chart(read(&self.log)?, read(after)?).map_err(|error| {
                        Failure::Other(format!("{}: {error}; give a chart with --chart", after.display()))
                    })?,
                    Some(chart) => {
                        (Told::of(read(&self.log)?, Some(chart))?, Told::of(read(after)?, Some(chart))?)
                    }
                };
                beside(self.sheet(&before, "before"), self.sheet(&after, "after"))
            }
        };
        place.write_all(html.as_bytes())?;
        if self.output != Path::new("-") {
            say(&format!("{}: {} kB", self.output.display(), html.len().div_ceil(1_000)));
        }
        Ok(Done::Well)
    }

    fn sheet<'a>(&self, told: &'a Told, role: &'a str) -> Sheet<'a> {
        let units = self.shown.units();
        let subject = Subject { inlet: self.inlet.flow(units), ..told.worked.subject(units) };
        Sheet { subject, chart: told.against.as_deref(), judged: &told.judged, role }
    }
}

impl Told {
    /// Held against a chart or, where there are enough, each cycle against the others.
    fn of(worked: Worked, chart: Option<&Chart>) -> Result<Self, LearnError> {
        let (against, judged) = match chart {
            Some(chart) => (Some(named(&chart.name)), judge_all(&worked, chart, Causes::built_in())),
            None if worked.cycles.len() >= FEWEST => (
                Some("what the other cycles of this log do".into()),
                judge_among(&worked, Causes::built_in())?,
            ),
            None => (None, Vec::new()),
        };
        Ok(Self { worked, against, judged })
    }

    /// What was before a repair is held against what came after it, which is taken as good: it is held against its own cycles where
    /// there are enough, and else against nothing.
    fn without_chart(before: Worked, after: Worked) -> Result<(Self, Self), LearnError> {
        let good: Vec<_> = after.cycles.iter().collect();
        let resolution = Seconds::max(before.log.trace.resolution, after.log.trace.resolution);
        let chart = learn(&good, "after", resolution)?.chart;
        let judged = judge_all(&before, &chart, Causes::built_in());
        let against = Some("what the machine does after the repair".into());
        // Its intervals are called as those of the other log, whatever its own cycles are held against.
        let alike = judge_all(&after, &chart, Causes::built_in());
        let mut after = Self::of(after, None)?;
        if after.judged.is_empty() {
            after.judged = alike;
        } else {
            after.judged.iter_mut().zip(alike).for_each(|(own, same)| own.placed = same.placed);
        }
        Ok((Self { worked: before, against, judged }, after))
    }
}

fn named(chart: &str) -> String {
    format!("the chart \u{201c}{chart}\u{201d}")
}
