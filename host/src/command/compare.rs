//! `tubtrace compare`.

use std::path::{Path, PathBuf};

use clap::{Arg, ArgAction, ArgMatches, Args, Command, FromArgMatches, ValueEnum, value_parser};

use super::grouped::{By, cycles_of, listed, logs, machines_of};
use super::known::{Known, best};
use super::outcome::{Done, Failure};
use super::shown::Shown;
use super::streams::{hand_over, print};
use super::worked::{About, judgeable, read_logs};
use super::writing::Writing;
use crate::compare::{Asking, Exchanged, Observed, Said, SameWithin, compare};
use crate::intervals::Cycle;
use crate::learn::draw;
use crate::loads::Draws;
use crate::log::Log;
use crate::output::Rules;
use crate::report::{Called, groups_json, groups_page, groups_text};
use crate::text::json;
use crate::trace::Trace;

/// Compares two groups of cycles, or more: which intervals differ, by how much, whether that is chance, and what could have been seen.
///
/// Cycles of all are sorted into programmes together, with a machine file or without, and each interval and the cycle as a whole are compared:
/// how long, energy at nominal volts, current, water, purges, how often. Cycles are exchanged between the groups at random, night by night and
/// machine by machine, to see what chance alone does. It also tells what drifts within a group, and which cycles are far from the others.
#[derive(Args)]
#[command(
    after_help = "Examples:\n  tubtrace compare before/ --with after/\n  tubtrace compare old*.tub --with new*.tub --machine dishwasher.machine.toml --same-within 2s\n  tubtrace compare before.tub --with after.tub --all\n  tubtrace compare one/ --with two/ --with three/ --html versions.html\n\nExit codes: 0 nothing differs, 1 something does, 3 so few cannot tell."
)]
pub(super) struct Compare {
    /// The first group: logs, or folders of them.
    #[arg(required = true, value_name = "A")]
    first: Vec<PathBuf>,
    #[command(flatten)]
    others: Others,
    #[command(flatten)]
    known: Known,
    /// Asks whether the groups are the same within so much: 2s of what lasts, 3% of the first group's middle of anything measured.
    #[arg(long, value_name = "2s|3%", value_parser = within)]
    same_within: Vec<SameWithin>,
    /// Asks as well how much durations vary, of eight values a group and more. This is about exact, not exact: a few more false alarms than 5 %.
    #[arg(long)]
    varies: bool,
    /// What is exchanged between the groups: nights (a log, or a day of a long one) with all their cycles, cycles one by one, or machines.
    /// By default nights; cycles where a group has but one night; machines where none is in both groups and there are several.
    #[arg(long, value_name = "WHAT")]
    exchange: Option<What>,
    /// Of which machine a log is: that which its job names as its appliance (auto; those that name none are of one), each log of its own (log), or
    /// each folder (folder).
    #[arg(long, value_name = "BY", default_value = "auto")]
    machines: By,
    /// How many ways of exchanging are tried, where there are more.
    #[arg(long, value_name = "N", default_value = "10000", value_parser = value_parser!(u32).range(100..=1_000_000))]
    permutations: u32,
    /// Lists every question, with what would have been seen of it.
    #[arg(long)]
    all: bool,
    /// JSON instead of text.
    #[arg(long)]
    json: bool,
    /// A page as well, with a picture of each difference and of the cycles of each group.
    #[arg(long, value_name = "PAGE.html")]
    html: Option<PathBuf>,
    #[command(flatten)]
    writing: Writing,
    #[command(flatten)]
    about: About,
    #[command(flatten)]
    shown: Shown,
}

/// The other groups: each `--with` is one.
struct Others(Vec<Vec<PathBuf>>);

impl Args for Others {
    fn augment_args(command: Command) -> Command {
        command.arg(
            Arg::new("with")
                .long("with")
                .required(true)
                .num_args(1..)
                .action(ArgAction::Append)
                .value_name("B")
                .value_parser(value_parser!(PathBuf))
                .help("The second group, as the first; each further --with is another group"),
        )
    }

    fn augment_args_for_update(command: Command) -> Command {
        Self::augment_args(command)
    }
}

impl FromArgMatches for Others {
    fn from_arg_matches(matches: &ArgMatches) -> Result<Self, clap::Error> {
        let groups = matches.get_occurrences::<PathBuf>("with").into_iter().flatten();
        Ok(Self(groups.map(|group| group.cloned().collect()).collect()))
    }

    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), clap::Error> {
        *self = Self::from_arg_matches(matches)?;
        Ok(())
    }
}

#[derive(Clone, Copy, ValueEnum)]
enum What {
    Nights,
    Cycles,
    Machines,
}

fn within(text: &str) -> Result<SameWithin, String> {
    let number = |text: &str| text.trim().parse().ok().filter(|n: &f64| *n > 0.0 && n.is_finite());
    let seconds = text.strip_suffix('s').and_then(number).map(SameWithin::Seconds);
    let part = text.strip_suffix('%').and_then(number).map(|n| SameWithin::Part(n / 100.0));
    seconds.or(part).ok_or_else(|| "seconds or percent: 2s, 3%".to_owned())
}

impl Compare {
    pub(super) fn run(self) -> Result<Done, Failure> {
        let given: Vec<&[PathBuf]> =
            std::iter::once(&*self.first).chain(self.others.0.iter().map(|group| &**group)).collect();
        let groups: Vec<Vec<PathBuf>> = given.iter().map(|group| logs(group)).collect::<Result<_, _>>()?;
        // Put in an order that does not say which group a log is of: what is learned of them must not know it.
        let mut all: Vec<(&Path, u8)> = Vec::new();
        for (group, own) in (0..).zip(&groups) {
            all.extend(own.iter().map(|path| (&**path, group)));
        }
        all.sort_by_key(|(path, _)| (path.file_name().map(ToOwned::to_owned), path.to_path_buf()));
        if let Some(twice) = all.windows(2).find(|w| w[0].0 == w[1].0) {
            return Err(Failure::Other(format!(
                "{}: given twice; a log is of one group",
                twice[0].0.display()
            )));
        }
        let paths: Vec<&Path> = all.iter().map(|(path, _)| *path).collect();
        let inputs: Vec<&Path> = paths.iter().copied().chain(self.known.inputs()).collect();
        Rules::new(&inputs, false)?;
        let page = self.html.as_ref().map(|page| self.writing.place(page, &inputs)).transpose()?;
        let known = self.known.read()?;
        let logs = read_logs(&paths, &self.about)?;
        let machines = machines_of(self.machines, &paths)?;
        let by = |draws: &Draws| cycles_of(&logs, &machines, draws);
        let (nights, known) = best(known.machines.unwrap_or_default(), by);
        for ((path, log), cycles) in paths.iter().zip(&logs).zip(&nights) {
            judgeable(path, &log.trace, cycles)?;
        }
        let cycles: Vec<&Cycle> = nights.iter().flatten().collect();
        let resolution = logs.iter().map(|log| log.trace.resolution).reduce(tubtrace_units::Seconds::max);
        let (machine, sorted_by) = match known {
            Some(machine) => {
                let name = format!("the machine file \"{}\"", machine.name);
                (machine, name)
            }
            None => {
                let learned = draw(&cycles, "", resolution.unwrap_or_default())?;
                (learned.machine, "what they have in common".to_owned())
            }
        };
        let begins = begins(&logs);
        let observed: Vec<Observed> = (0..logs.len())
            .flat_map(|log| {
                let (group, machine, volts) = (all[log].1, machines[log], logs[log].trace.nominal.volts);
                let begins = begins[log];
                let one = move |cycle: &Cycle| begins + cycle.start().0;
                nights[log].iter().map(move |cycle| Observed {
                    cycle,
                    group,
                    machine,
                    log,
                    volts,
                    began: one(cycle),
                })
            })
            .collect();
        let exchanged = self.exchange.map(|what| match what {
            What::Nights => Exchanged::Nights,
            What::Cycles => Exchanged::Cycles,
            What::Machines => Exchanged::Machines,
        });
        let (within, most) = (&*self.same_within, self.permutations as usize);
        let asking = Asking { exchanged, within, varies: self.varies, most, curves: self.html.is_some() };
        let compared = compare(&observed, &machine, asking);
        if let Some(none) = compared.cycles.iter().position(|cycles| *cycles == 0) {
            return Err(Failure::Other(format!(
                "{}: no whole cycle that could be compared",
                listed(given[none])
            )));
        }
        let names: Vec<String> = given.iter().map(|group| listed(group)).collect();
        let names: Vec<&str> = names.iter().map(|name| &**name).collect();
        let logs: Vec<(&Path, &Trace)> =
            paths.iter().copied().zip(logs.iter().map(|log| &log.trace)).collect();
        let called = Called {
            names: &names,
            logs: &logs,
            machine: &sorted_by,
            width: self.shown.width(),
            all: self.all,
        };
        if let Some(page) = page {
            page.write_all(groups_page(&compared, called).as_bytes())?;
        }
        if self.json {
            hand_over(&(json(&groups_json(&compared, called)) + "\n"))?;
        } else {
            print(&groups_text(&compared, called))?;
        }
        let mut rows = compared.rows.iter().chain(compared.pairs.iter().flat_map(|pair| &pair.rows));
        Ok(if rows.any(|r| r.said == Said::Differs) {
            Done::Departs
        } else if compared.rows.iter().any(|r| r.said == Said::CannotTell) {
            Done::Unknown
        } else {
            Done::Well
        })
    }
}

/// When each log begins, in seconds: by their clocks, or where one has none, in their order, one behind the other.
fn begins(logs: &[Log]) -> Vec<f64> {
    let clocks: Option<Vec<f64>> =
        logs.iter().map(|log| Some(log.trace.clock?.start.as_millisecond() as f64 / 1_000.0)).collect();
    clocks.unwrap_or_else(|| {
        let mut end = 0.0;
        let begin = |log: &Log| {
            end += log.trace.duration().0;
            end - log.trace.duration().0
        };
        logs.iter().map(begin).collect()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn seconds_and_percent_are_understood() {
        assert_eq!(within("2s"), Ok(SameWithin::Seconds(2.0)));
        assert_eq!(within("3%"), Ok(SameWithin::Part(0.03)));
        assert!(within("3").is_err() && within("-1s").is_err());
    }
}
