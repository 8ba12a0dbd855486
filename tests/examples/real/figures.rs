//! What is counted.

use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::Path;

use tubtrace_tests::program::{Said, Verdict};

/// How healthy cycles were judged, counted.
#[derive(Default)]
pub struct Healthy {
    cycles: u32,
    departing: u32,
    unknown: u32,
    /// Departing cycles with a finding of the kind, and those where it is the first.
    kinds: BTreeMap<String, (u32, u32)>,
    /// What was found, with its day.
    told: Vec<String>,
    /// Days of which nothing was said, by the reason.
    silent: BTreeMap<String, u32>,
    /// Cycles that went into charts, and those that were there.
    learned: (u32, u32),
}

impl Healthy {
    pub fn add(&mut self, day: &Path, said: Said) {
        let day = day.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        match said {
            Said::Cycles(cycles) => cycles.into_iter().for_each(|c| self.add_cycle(&day, c)),
            Said::Nothing(why) => self.say_nothing(why),
        }
    }

    pub fn learned(&mut self, (used, all): (u32, u32)) {
        self.learned = (self.learned.0 + used, self.learned.1 + all);
    }

    pub fn say_nothing(&mut self, why: String) {
        *self.silent.entry(why).or_default() += 1;
    }

    pub fn join(&mut self, other: Self) {
        self.cycles += other.cycles;
        self.departing += other.departing;
        self.unknown += other.unknown;
        self.told.extend(other.told);
        self.learned(other.learned);
        for (kind, (any, first)) in other.kinds {
            let counts = self.kinds.entry(kind).or_default();
            *counts = (counts.0 + any, counts.1 + first);
        }
        for (why, days) in other.silent {
            *self.silent.entry(why).or_default() += days;
        }
    }

    fn add_cycle(&mut self, day: &str, cycle: Verdict) {
        self.told.extend(cycle.told.iter().map(|told| format!("{day} at {:.0}: {told}", cycle.start)));
        if cycle.unknown {
            self.told.push(format!("{day} at {:.0}: unknown", cycle.start));
        }
        self.cycles += 1;
        self.departing += u32::from(cycle.departs);
        self.unknown += u32::from(cycle.unknown);
        let first = cycle.findings.first().cloned();
        let mut kinds = cycle.findings;
        kinds.sort();
        kinds.dedup();
        for kind in kinds {
            let counts = self.kinds.entry(kind.clone()).or_default();
            counts.0 += 1;
            counts.1 += u32::from(first.as_ref() == Some(&kind));
        }
    }

    /// The part of its cycles that depart, in percent.
    pub fn departing(&self) -> f64 {
        percent(self.departing, self.cycles)
    }

    /// Everything that was found, line by line.
    pub fn told(&self) -> String {
        self.told.iter().map(|line| format!("        {line}\n")).collect()
    }

    /// One line, and what it is made of.
    pub fn row(&self, name: &str) -> String {
        let mut text = format!(
            "  {name:24} {:4} cycles, {:4} depart ({:3.0} %), {:3} of them or of the rest called of no known programme",
            self.cycles,
            self.departing,
            self.departing(),
            self.unknown
        );
        if self.learned.1 > 0 {
            let _ = write!(text, "; learned from {} of {}", self.learned.0, self.learned.1);
        }
        text.push('\n');
        let mut kinds: Vec<_> = self.kinds.iter().collect();
        kinds.sort_by_key(|(_, counts)| std::cmp::Reverse(counts.0));
        if !kinds.is_empty() {
            let shown: Vec<String> =
                kinds.iter().map(|(kind, (any, first))| format!("{kind} {any} ({first} first)")).collect();
            let _ = writeln!(text, "      {}", shown.join(", "));
        }
        for (why, days) in &self.silent {
            let _ = writeln!(text, "      no verdict, {days} times: {why}");
        }
        text
    }
}

/// Faults of one kind.
#[derive(Default)]
pub struct Faults {
    cycles: u32,
    departing: u32,
    unknown: u32,
    first: u32,
    /// Not put in, by the reason.
    left_out: BTreeMap<&'static str, u32>,
    /// What was said where it was not named first.
    told: Vec<String>,
}

impl Faults {
    /// What was said of the day into which the fault was put, between these two times.
    pub fn add(&mut self, day: &Path, said: &Said, (from, to): (f64, f64), named: &[&str]) {
        self.cycles += 1;
        let Said::Cycles(cycles) = said else { return };
        let hit: Vec<&Verdict> = cycles.iter().filter(|c| c.start < to && c.end > from).collect();
        let first = |c: &&Verdict| c.findings.first().is_some_and(|kind| named.contains(&kind.as_str()));
        self.departing += u32::from(hit.iter().any(|c| c.departs));
        self.unknown += u32::from(hit.iter().all(|c| c.unknown));
        if hit.iter().any(first) {
            self.first += 1;
            return;
        }
        let day = day.file_stem().unwrap_or_default().to_string_lossy();
        let of = |c: &&Verdict| if c.unknown { "unknown".to_owned() } else { c.told.join("; ") };
        self.told.push(format!("{day} at {from:.0}: {}", hit.iter().map(of).collect::<Vec<_>>().join(" | ")));
    }

    /// What was said instead, line by line.
    pub fn told(&self) -> String {
        self.told.iter().map(|line| format!("        {line}\n")).collect()
    }

    pub fn leave_out(&mut self, why: &'static str) {
        *self.left_out.entry(why).or_default() += 1;
    }

    pub fn join(&mut self, other: &Self) {
        self.cycles += other.cycles;
        self.departing += other.departing;
        self.unknown += other.unknown;
        self.told.extend(other.told.iter().cloned());
        self.first += other.first;
        for (why, count) in &other.left_out {
            *self.left_out.entry(why).or_default() += count;
        }
    }

    pub fn row(&self, name: &str) -> String {
        let left: Vec<String> =
            self.left_out.iter().map(|(why, count)| format!("not put into {count}: {why}")).collect();
        format!(
            "  {name:24} {:4} cycles, {:3.0} % depart, {:3.0} % named first, {:3.0} % of no known programme{}{}\n",
            self.cycles,
            percent(self.departing, self.cycles),
            percent(self.first, self.cycles),
            percent(self.unknown, self.cycles),
            if left.is_empty() { "" } else { "; " },
            left.join(", ")
        )
    }
}

fn percent(part: u32, whole: u32) -> f64 {
    100.0 * f64::from(part) / f64::from(whole.max(1))
}
