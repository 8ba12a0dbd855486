//! The same for programs. Field names are part of the command's interface: they are added to, never changed.

use serde_json::{Value, json};

use super::told::{Bench, Input};
use super::words::{came_to, not_covered, verdict};
use crate::bench::statistics::Answer;
use crate::bench::{Counts, Run, Series, Verdict};

/// The test for programs.
#[must_use]
pub fn bench_json(of: Bench) -> String {
    let a = of.assessment;
    let input = |input: &Input| json!({ "name": input.name, "sha256": input.digest });
    let run = |(number, run): (usize, &Run)| {
        json!({
            "number": number + 1,
            "log": of.logs.get(run.found.log).map(|log| &log.name),
            "began": run.found.began.map(|at| at.to_string()),
            "start_s": run.found.cycle.start().0,
            "programme": run.programme(),
            "cold": run.cold,
            "counts": match run.counts {
                Counts::Clean => "clean",
                Counts::Departs => "departs",
                Counts::Doubt(_) => "doubt",
                Counts::Other => "other",
            },
            "why": came_to(of, run),
            "kinds": run.found.judged.findings.iter().map(|f| f.kind()).collect::<Vec<_>>(),
        })
    };
    let all: Value = json!({
        "verdict": match a.verdict {
            Verdict::Passed => "pass",
            Verdict::Failed => "fail",
            Verdict::NotEnough => "not-enough-runs",
        },
        "said": verdict(a.verdict),
        "control": of.plan.control,
        "customer": of.plan.customer,
        "complaint": of.plan.complaint,
        "repair": of.plan.repair,
        "machine": of.machine,
        "confidence": of.plan.confidence,
        "stepped": of.plan.stepped,
        "dummy_loads": of.plan.dummy,
        "runs_wanted": a.wanted(),
        "runs_lacking": a.lacking(),
        "runs_clean": a.clean(),
        "runs_departing": a.departing(),
        "runs_repeated": a.repeated,
        "fails_at_most": a.at_most,
        "fails_interval": a.rate.map(|(low, high)| [low, high]),
        "fault": of.plan.fault.as_ref().zip(a.fault.as_ref()).map(|(original, shown)| json!({
            "kind": original.kind,
            "seen": [original.found, original.before],
            "needed": shown.needed,
            "needed_if_known": shown.if_known,
            "by_chance": shown.by_chance,
            "again": shown.again.iter().map(|run| run + 1).collect::<Vec<_>>(),
            "clear_after": shown.clear.map(|(runs, _)| runs),
            "clear_is": shown.clear.map(|(_, answer)| if answer == Answer::Good { "good" } else { "bad" }),
        })),
        "programmes": a.programmes.iter().map(|p| json!({
            "name": p.name, "wanted": p.wanted, "clean": p.clean, "departing": p.departing, "doubt": p.doubtful,
        })).collect::<Vec<_>>(),
        "runs": a.runs.iter().enumerate().map(run).collect::<Vec<_>>(),
        "intervals": a.series.iter().map(interval).collect::<Vec<_>>(),
        "not_covered": not_covered(of),
        "program": env!("CARGO_PKG_VERSION"),
        "plan": input(of.files[0]),
        "machine_file": input(of.files[1]),
        "logs": of.logs.iter().map(input).collect::<Vec<_>>(),
    });
    serde_json::to_string_pretty(&all).unwrap_or_default()
}

fn interval(series: &Series) -> Value {
    let run = |point: usize| series.points[point].run + 1;
    let spread = series.spread.as_ref();
    json!({
        "programme": series.programme,
        "interval": series.name,
        "limits_s": series.limits.map(|l| [l.low.0, l.high.0]),
        "cold_s": series.cold.map(|p| p.lasted.0),
        "values_s": series.points.iter().map(|p| p.lasted.0).collect::<Vec<_>>(),
        "runs": series.points.iter().map(|p| p.run + 1).collect::<Vec<_>>(),
        "uncertainties_s": series.points.iter().map(|p| p.uncertainty.0).collect::<Vec<_>>(),
        "least_s": spread.map(|s| s.least),
        "median_s": spread.map(|s| s.median),
        "most_s": spread.map(|s| s.most),
        "sd_s": spread.map(|s| s.deviation),
        "gauge_part": spread.map(|s| s.gauge),
        "limits_too_tight": spread.map(|s| s.too_tight),
        "cpk": spread.and_then(|s| s.capability).map(|c| c.cpk),
        "cpk_interval": spread.and_then(|s| s.capability).map(|c| [c.low, c.high]),
        "chart_s": spread.and_then(|s| s.chart).map(|c| json!({
            "centre": c.centre, "moving_range": c.moving_range, "low": c.low, "high": c.high,
        })),
        "foreseen_s": spread.and_then(|s| s.foreseen).map(|(low, high)| [low, high]),
        "signals": spread.map(|s| s.signals.iter().map(|signal| json!({
            "run": run(signal.at), "rule": signal.rule.words(),
        })).collect::<Vec<_>>()),
        "average_drifts_at_run": spread.and_then(|s| s.drifts).map(run),
        "sum_drifts_at_run": spread.and_then(|s| s.sums).map(run),
    })
}
