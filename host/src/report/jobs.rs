//! A list of jobs: when, whose, which machine, and what each comes to in a line.

use std::fmt::Write;

use serde::Serialize;

use super::answer::in_short;
use super::style::{ALERT, FINE, HEAD};
use super::words::day;
use crate::diagnosis::Diagnosis;
use crate::findings::{Judged, Severity};
use crate::job::Job;
use crate::text::harmless;
use crate::trace::Trace;

/// A log of the list.
#[derive(Clone, Debug, Serialize)]
pub struct JobRow {
    /// The file's name.
    file: String,
    /// What the log calls itself; empty where it could not be read.
    label: String,
    /// The day on which it begins, by its own clock.
    day: Option<String>,
    #[serde(flatten)]
    job: Job,
    cycles: usize,
    departing: usize,
    /// How grave the gravest departure is.
    severity: Option<Severity>,
    /// What it comes to, in a line; or why it could not be read.
    verdict: String,
}

impl JobRow {
    /// Of a log that was judged.
    #[must_use]
    pub fn of(file: String, job: Job, trace: &Trace, judged: &[Judged], diagnoses: &[Diagnosis]) -> Self {
        let departing = judged.iter().filter(|j| j.departs()).count();
        let verdict = match (judged.len(), diagnoses.split_first()) {
            (0, _) => "no cycle in it".to_owned(),
            (1, None) => "nothing found in 1 cycle".to_owned(),
            (n, None) => format!("nothing found in {n} cycles"),
            (n, Some((first, rest))) => {
                let more = if rest.is_empty() { String::new() } else { format!("; and {} more", rest.len()) };
                format!("{departing} of {n}: {}{more}", in_short(first))
            }
        };
        let (label, day) = (trace.label.clone(), trace.clock.as_ref().map(day));
        let severity = judged.iter().filter_map(Judged::severity).max();
        Self { file, label, day, job, cycles: judged.len(), departing, severity, verdict }
    }

    /// Of a log that could not be read or judged, and why.
    #[must_use]
    pub fn failed(file: String, why: String) -> Self {
        let (label, job) = (String::new(), Job::default());
        Self { file, label, day: None, job, cycles: 0, departing: 0, severity: None, verdict: why }
    }
}

/// The list as a table, a row for each log.
#[must_use]
pub fn jobs_table(rows: &[JobRow]) -> String {
    let who = |row: &JobRow| {
        let said = [row.job.customer.as_deref(), row.job.place.as_deref(), row.job.appliance.as_deref()];
        let said: Vec<&str> = said.into_iter().flatten().collect();
        harmless(&if said.is_empty() { row.label.clone() } else { said.join(", ") })
    };
    let columns: Vec<[String; 3]> =
        rows.iter().map(|r| [r.day.clone().unwrap_or_default(), harmless(&r.file), who(r)]).collect();
    let width =
        |i: usize| columns.iter().map(|c| c[i].chars().count()).max().unwrap_or(0).max(HEADS[i].len());
    let widths = [width(0), width(1), width(2)];
    let mut text = format!("{HEAD}");
    let _ = writeln!(
        text,
        "{:<w0$}  {:<w1$}  {:<w2$}  verdict{HEAD:#}",
        HEADS[0],
        HEADS[1],
        HEADS[2],
        w0 = widths[0],
        w1 = widths[1],
        w2 = widths[2]
    );
    for (row, [day, file, who]) in rows.iter().zip(&columns) {
        let verdict = harmless(&row.verdict);
        let verdict = match row.severity {
            Some(_) => format!("{ALERT}{verdict}{ALERT:#}"),
            None if row.cycles > 0 => format!("{FINE}{verdict}{FINE:#}"),
            None => verdict,
        };
        let _ = writeln!(
            text,
            "{day:<w0$}  {file:<w1$}  {who:<w2$}  {verdict}",
            w0 = widths[0],
            w1 = widths[1],
            w2 = widths[2]
        );
        if let Some(complaint) = &row.job.complaint {
            let _ = writeln!(text, "{:w0$}  complaint: {}", "", harmless(complaint), w0 = widths[0]);
        }
    }
    text
}

/// The heads of the first columns.
const HEADS: [&str; 3] = ["day", "log", "job"];

/// A log of the list: one object on one line.
#[must_use]
pub fn jobs_json(row: &JobRow) -> String {
    // Strings and numbers only: it cannot fail.
    serde_json::to_string(row).unwrap_or_default()
}
