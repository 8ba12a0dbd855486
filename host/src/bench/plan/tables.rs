//! The tables of a plan, and what each of them may say.

use serde::Deserialize;
use toml::Spanned;
use tubtrace_units::Seconds;

use super::{Original, Own, Plan, Wanted};
use crate::chart::{Complaint, Limits, complain};
use crate::checks;
use crate::intervals::Kind;

/// Confidence where the plan says none. Common practice, no source.
const CONFIDENCE: f64 = 0.95;

/// Runs of a plan at most: a control that runs for more wears out on the bench.
const MOST_RUNS: u32 = 100_000;

/// Nothing lasts longer than a week.
const LONGEST: f64 = 604_800.0;

/// A file.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Table {
    bench: Spanned<u32>,
    control: Spanned<String>,
    customer: Option<String>,
    complaint: Option<String>,
    repair: Option<String>,
    machine: Spanned<String>,
    confidence: Option<Spanned<f64>>,
    #[serde(default)]
    stepped: bool,
    loads: Option<Loads>,
    good_one_in: Option<Spanned<u32>>,
    #[serde(default)]
    runs: Vec<Spanned<RunsTable>>,
    fault: Option<FaultTable>,
    #[serde(default)]
    limits: Vec<Spanned<LimitsTable>>,
}

#[derive(Clone, Copy, Deserialize, PartialEq, Eq)]
#[serde(rename_all = "kebab-case")]
enum Loads {
    Machine,
    Dummy,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RunsTable {
    programme: Option<String>,
    count: Spanned<u32>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FaultTable {
    kind: Spanned<String>,
    seen: Spanned<Vec<u32>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LimitsTable {
    programme: Option<String>,
    interval: String,
    lasts_s: Spanned<Vec<f64>>,
}

impl Table {
    /// The plan, or the first thing in it that no plan can say. `line` says on which line a byte of the text stands.
    pub(super) fn check(self, line: &dyn Fn(usize) -> usize) -> Result<Plan, Complaint> {
        if *self.bench.get_ref() != 1 {
            let version = self.bench.get_ref();
            return Err(complain(
                &self.bench,
                format!("this is version {version} of plans, and here is read 1: say bench = 1"),
            ));
        }
        let empty = |text: &Spanned<String>| text.get_ref().trim().is_empty();
        if empty(&self.control) {
            return Err(complain(
                &self.control,
                "the control has no name: its serial number, or what tells it from others",
            ));
        }
        if empty(&self.machine) {
            return Err(complain(
                &self.machine,
                "which machine file or chart the runs are held against is missing: name the file",
            ));
        }
        let confidence = self.confidence.as_ref().map_or(CONFIDENCE, |c| *c.get_ref());
        if let Some(said) = self.confidence.as_ref().filter(|c| !(0.5..=0.9999).contains(c.get_ref())) {
            return Err(complain(said, "a confidence is between 0.5 and 0.9999, as in 0.95"));
        }
        if let Some(said) = self.good_one_in.as_ref().filter(|n| *n.get_ref() < 2) {
            return Err(complain(
                said,
                "a control that may go back fails once in so many runs, two at the least: good_one_in = 200",
            ));
        }
        if self.runs.is_empty() {
            return Err(complain(
                &self.bench,
                "how many runs are wanted is missing: add [[runs]] with programme and count",
            ));
        }
        let runs = self.runs.into_iter().map(|runs| check_runs(runs, line)).collect::<Result<_, _>>()?;
        let limits = self.limits.into_iter().map(|own| check_limits(own, line)).collect::<Result<_, _>>()?;
        Ok(Plan {
            control: self.control.into_inner(),
            customer: self.customer,
            complaint: self.complaint,
            repair: self.repair,
            machine: self.machine.into_inner().into(),
            confidence,
            stepped: self.stepped,
            dummy: self.loads == Some(Loads::Dummy),
            runs,
            fault: self.fault.map(FaultTable::check).transpose()?,
            good_one_in: self.good_one_in.map(Spanned::into_inner),
            limits,
        })
    }
}

fn check_runs(runs: Spanned<RunsTable>, line: &dyn Fn(usize) -> usize) -> Result<Wanted, Complaint> {
    let line = line(runs.span().start);
    let RunsTable { programme, count } = runs.into_inner();
    let number = *count.get_ref();
    if !(1..=MOST_RUNS).contains(&number) {
        return Err(complain(&count, format!("from 1 to {MOST_RUNS} runs, and here are {number}")));
    }
    Ok(Wanted { programme, count: number as usize, line })
}

impl FaultTable {
    fn check(self) -> Result<Original, Complaint> {
        let kind = self.kind.get_ref();
        let known = kind.split_once(' ').is_some_and(|(check, does)| {
            let does = toml::Value::String(does.to_owned());
            checks::all().any(|c| c.word() == check) && does.try_into::<Kind>().is_ok()
        });
        if !known {
            return Err(complain(
                &self.kind,
                format!(
                    "\"{kind}\" is no kind of finding; a kind is what check --json calls it, as in \"no-heat heat\""
                ),
            ));
        }
        match self.seen.get_ref()[..] {
            [found, before] if found >= 1 && found <= before => {
                Ok(Original { kind: self.kind.into_inner(), found: found as usize, before: before as usize })
            }
            _ => Err(complain(&self.seen, "how often it was found, and in how many runs, as in [1, 8]")),
        }
    }
}

fn check_limits(own: Spanned<LimitsTable>, line: &dyn Fn(usize) -> usize) -> Result<Own, Complaint> {
    let line = line(own.span().start);
    let LimitsTable { programme, interval, lasts_s } = own.into_inner();
    let [low, high] = lasts_s.get_ref()[..] else {
        return Err(complain(
            &lasts_s,
            "these are two numbers of seconds, the least and the most, as in [60, 110]",
        ));
    };
    if ![low, high].iter().all(|s| (0.0..=LONGEST).contains(s)) {
        return Err(complain(&lasts_s, format!("these are seconds, from 0 to {LONGEST}")));
    }
    if low > high {
        return Err(complain(&lasts_s, format!("the smaller number comes first: [{high}, {low}]")));
    }
    Ok(Own { programme, interval, lasts: Limits { low: Seconds(low), high: Seconds(high) }, line })
}
