//! What is counted, and the tables of it.

use std::collections::BTreeMap;

use tubtrace_tests::program::{Advised, Said, Verdict};

use super::measurements::{Parts, parts};

/// A night that was worked.
pub struct Worked {
    /// The table that it is counted in.
    pub group: String,
    /// The machine whose row it is counted in as well; empty where the group is one.
    pub machine: String,
    /// What it is called where it is told of.
    pub name: String,
    /// The fault that is in it, with its right causes.
    pub fault: Option<(String, &'static [&'static str])>,
    /// Why nobody can tell the fault from these cycles; none where somebody can.
    pub untold: Option<&'static str>,
    /// From when to when the cycles with the fault last, seconds from the first reading.
    pub faulty: Vec<(f64, f64)>,
}

/// Nights of one kind.
#[derive(Default)]
struct Tally {
    nights: u32,
    departing: u32,
    /// Something is told as unusual, and nothing departs.
    unusual: u32,
    /// Of those that depart: the first finding is of a cycle with the fault.
    placed: u32,
    /// The first suspect of the first finding is right.
    first: u32,
    /// Any suspect of the first finding is right.
    among: u32,
    /// The first measurement that is told parts the right cause from the first that is not.
    measured: u32,
    /// What is told first, or why nothing is, with how often.
    told: BTreeMap<String, u32>,
}

#[derive(Default)]
struct Group {
    healthy: Tally,
    faults: BTreeMap<String, Tally>,
    /// Those of them of which nobody can tell the fault, by why.
    untold: BTreeMap<(String, &'static str), Tally>,
    /// Healthy nights and those with a fault that their cycles can show, by machine.
    machines: BTreeMap<String, [Tally; 2]>,
    left_out: BTreeMap<String, u32>,
}

/// All that is counted, in the order of the groups' names.
pub struct Figures {
    groups: BTreeMap<String, Group>,
    tell: bool,
    /// Advice whose first measurement is none that is known here.
    unknown: BTreeMap<String, u32>,
}

impl Figures {
    pub fn new(tell: bool) -> Self {
        Self { groups: BTreeMap::new(), tell, unknown: BTreeMap::new() }
    }

    pub fn leave_out(&mut self, group: &str, why: &str) {
        let group = self.groups.entry(group.to_owned()).or_default();
        *group.left_out.entry(why.to_owned()).or_default() += 1;
    }

    /// What was said of a night. The first that is told is the log's first answer or, where no cycle departs, what is unusual first.
    pub fn add(&mut self, worked: &Worked, said: &Said) {
        let first = match said {
            Said::Cycles(cycles) => {
                let place = |c: &&Verdict| c.advised.as_ref().map_or(usize::MAX, |a| a.place);
                let first = cycles.iter().filter(|c| c.departs).min_by_key(place);
                first.or(cycles.iter().find(|c| !c.unusual.is_empty()))
            }
            Said::Nothing(_) => None,
        };
        let right = worked.fault.as_ref().map_or(&[][..], |(_, right)| right);
        let told = match (said, first) {
            (Said::Nothing(why), _) => format!("no verdict: {why}"),
            (_, None) => "nothing found".to_owned(),
            (_, Some(verdict)) => {
                let suspect = verdict.advised.as_ref().and_then(|a| a.suspects.first());
                let what = verdict.findings.first().or(verdict.unusual.first());
                let (what, suspect) = (what.map_or("", String::as_str), suspect.map_or("", String::as_str));
                if verdict.departs {
                    format!("{what} ({suspect})")
                } else {
                    format!("unusual: {what} ({suspect})")
                }
            }
        };
        let placed = first.is_some_and(|v| is_of(v, &worked.faulty));
        let advised = first.and_then(|v| v.advised.as_ref()).filter(|_| placed);
        let parts = advised.map_or(Parts::No, |a| parts(a, right));
        if let (Parts::Unknown, Some(advised)) = (parts, advised) {
            *self.unknown.entry(advised.next.clone()).or_default() += 1;
        }
        let is =
            |of: &Advised, most: usize| of.suspects.iter().take(most).any(|s| right.contains(&s.as_str()));
        let one = Tally {
            nights: 1,
            departing: u32::from(first.is_some_and(|v| v.departs)),
            unusual: u32::from(first.is_some_and(|v| !v.departs)),
            placed: u32::from(placed),
            first: u32::from(advised.is_some_and(|a| is(a, 1))),
            among: u32::from(advised.is_some_and(|a| is(a, usize::MAX))),
            measured: u32::from(parts == Parts::Yes),
            told: BTreeMap::from([(told, 1)]),
        };
        let wrong = if worked.fault.is_some() { one.first == 0 } else { one.departing == 1 };
        if self.tell && wrong {
            println!("{}: {}, {}: {}", worked.group, worked.name, worked.what(), in_full(said));
        }
        let group = self.groups.entry(worked.group.clone()).or_default();
        let fault = worked.fault.as_ref().map(|(fault, _)| fault.as_str());
        if !worked.machine.is_empty() && worked.untold.is_none() {
            let own = group.machines.entry(worked.machine.clone()).or_default();
            own[usize::from(fault.is_some())].join(&one);
        }
        match fault {
            None => group.healthy.join(&one),
            Some(fault) => {
                if let Some(why) = worked.untold {
                    group.untold.entry((fault.to_owned(), why)).or_default().join(&one);
                }
                group.faults.entry(fault.to_owned()).or_default().join(&one);
            }
        }
    }

    pub fn print(&self) {
        for (name, group) in &self.groups {
            println!("\n{name}\n");
            group.print();
        }
        for (next, times) in &self.unknown {
            println!("\nfirst measurement not known to this table, {times} times: {next}");
        }
    }
}

impl Worked {
    fn what(&self) -> &str {
        self.fault.as_ref().map_or("healthy", |(fault, _)| fault)
    }
}

/// Whether a verdict is of a cycle with the fault.
fn is_of(verdict: &Verdict, faulty: &[(f64, f64)]) -> bool {
    faulty.iter().any(|(from, to)| verdict.start < *to && verdict.end > *from)
}

fn in_full(said: &Said) -> String {
    let of = |v: &Verdict| {
        let suspect = v.advised.as_ref().and_then(|a| a.suspects.first());
        format!("at {:.0}: {} ({})", v.start, v.told.join("; "), suspect.map_or("", String::as_str))
    };
    match said {
        Said::Nothing(why) => format!("no verdict: {why}"),
        Said::Cycles(cycles) => {
            let told: Vec<String> = cycles.iter().filter(|c| c.departs).map(of).collect();
            let unusual: Vec<&str> = cycles.iter().flat_map(|c| &c.unusual).map(String::as_str).collect();
            match (told.is_empty(), unusual.is_empty()) {
                (true, true) => "nothing found".to_owned(),
                (true, false) => format!("unusual: {}", unusual.join(", ")),
                (false, _) => told.join(" | "),
            }
        }
    }
}

impl Tally {
    fn join(&mut self, other: &Self) {
        self.nights += other.nights;
        self.departing += other.departing;
        self.unusual += other.unusual;
        self.placed += other.placed;
        self.first += other.first;
        self.among += other.among;
        self.measured += other.measured;
        for (what, times) in &other.told {
            *self.told.entry(what.clone()).or_default() += times;
        }
    }

    /// The numbers without those of some of its nights.
    fn without(&self, some: &Self) -> Self {
        Self {
            nights: self.nights - some.nights,
            departing: self.departing - some.departing,
            unusual: self.unusual - some.unusual,
            placed: self.placed - some.placed,
            first: self.first - some.first,
            among: self.among - some.among,
            measured: self.measured - some.measured,
            told: BTreeMap::new(),
        }
    }

    fn told(&self) -> String {
        let mut all: Vec<_> = self.told.iter().collect();
        all.sort_by_key(|(_, times)| std::cmp::Reverse(**times));
        let shown: Vec<String> = all.iter().map(|(what, times)| format!("{what} {times}")).collect();
        shown.join(", ")
    }

    fn row(&self, name: &str, told: &str) -> String {
        let percent = |part: u32| 100.0 * f64::from(part) / f64::from(self.nights.max(1));
        format!(
            "| {name} | {} | {:.0} % | {:.0} % | {:.0} % | {:.0} % | {:.0} % | {:.0} % | {told} |",
            self.nights,
            percent(self.departing),
            percent(self.unusual),
            percent(self.placed),
            percent(self.first),
            percent(self.among),
            percent(self.measured)
        )
    }
}

impl Group {
    fn print(&self) {
        let nothing = self.healthy.nights - self.healthy.departing;
        println!(
            "healthy nights: {}, of which nothing is found in {nothing} ({:.1} %), and something is called unusual in {} of these: {}",
            self.healthy.nights,
            100.0 * f64::from(nothing) / f64::from(self.healthy.nights.max(1)),
            self.healthy.unusual,
            self.healthy.told()
        );
        for (why, times) in &self.left_out {
            println!("left out, {times} times: {why}");
        }
        if self.faults.is_empty() {
            return;
        }
        println!(
            "\n| fault | nights | depart | unusual | in the right cycle first | right cause first | among the suspects | first measurement parts it | told first |\n|---|---|---|---|---|---|---|---|---|"
        );
        let (mut all, mut untold) = (Tally::default(), Tally::default());
        for (fault, tally) in &self.faults {
            println!("{}", tally.row(fault, &tally.told()));
            all.join(tally);
        }
        self.untold.values().for_each(|tally| untold.join(tally));
        println!(
            "{}\n{}",
            all.row("all", ""),
            all.without(&untold).row("all that these cycles can show", "")
        );
        println!(
            "\n| not to be told from one to three cycles | nights | nothing found | right cause first | why |\n|---|---|---|---|---|"
        );
        for ((fault, why), tally) in &self.untold {
            let quiet = tally.told.get("nothing found").copied().unwrap_or_default();
            println!("| {fault} | {} | {quiet} | {} | {why} |", tally.nights, tally.first);
        }
        if self.machines.is_empty() {
            return;
        }
        println!(
            "\n| machine | healthy nights | of which nothing is found | told first of the others | nights with a fault that they can show | depart | right cause first |\n|---|---|---|---|---|---|---|"
        );
        for (machine, [healthy, faulty]) in &self.machines {
            let others: Vec<String> = healthy
                .told
                .iter()
                .filter(|(what, _)| *what != "nothing found")
                .map(|(w, n)| format!("{w} {n}"))
                .collect();
            println!(
                "| {machine} | {} | {} | {} | {} | {} | {} |",
                healthy.nights,
                healthy.nights - healthy.departing,
                others.join(", "),
                faulty.nights,
                faulty.departing,
                faulty.first
            );
        }
    }
}
