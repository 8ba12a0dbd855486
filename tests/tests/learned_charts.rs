//! All that `learn` writes is read back as it was, and no example departs from the chart that was learned from it.

use std::path::PathBuf;

use strangers::meter::Meter;
use tubtrace::chart::{parse, to_toml};
use tubtrace::findings::{Surroundings, judge};
use tubtrace::intervals::Cycle;
use tubtrace::learn::learn;
use tubtrace_simulator::machine::Appliance;
use tubtrace_simulator::scenario::{Case, Night};
use tubtrace_tests::real::{days, days_of_minutes, worked};
use tubtrace_tests::second_world::{self, KINDS};
use tubtrace_tests::{explain, live};
use tubtrace_units::Seconds;

/// What was counted: no claim about examples is worth much where most of them are passed over.
#[derive(Debug, Default)]
struct Counted {
    examples: usize,
    left_out: usize,
    odd: usize,
    wrong: Vec<String>,
}

impl Counted {
    /// Learns from these and holds each against what was learned.
    fn learn(&mut self, cycles: &[(&Cycle, Surroundings)], what: &str) {
        let only: Vec<&Cycle> = cycles.iter().map(|c| c.0).collect();
        let resolution = cycles.iter().map(|c| c.1.resolution).fold(Seconds(0.0), Seconds::max);
        let Ok(learned) = learn(&only, "learned", resolution) else { return };
        let text = to_toml(&learned.machine);
        match parse(&text, "written") {
            Ok(read) if read == learned.machine => {}
            Ok(_) => self.wrong.push(format!("{what}: read back as another chart\n{text}")),
            Err(error) => self.wrong.push(format!("{what}: {error}\n{text}")),
        }
        self.examples += cycles.len();
        self.left_out += learned.left_out.len();
        self.odd += learned.odd.len();
        for i in learned.used.iter().filter(|i| !learned.odd.contains(i)) {
            let judged = judge(&learned.machine, cycles[*i].0, cycles[*i].1);
            if judged.departs() {
                let told = explain(&judged, &learned.machine);
                self.wrong.push(format!("{what}: example {i} at {:.0}\n{told}", cycles[*i].0.start()));
            }
        }
    }

    /// Each on its own, by twos and threes of neighbours, and all together.
    fn groups(&mut self, cycles: &[(&Cycle, Surroundings)], what: &str) {
        for size in [1, 2, 3] {
            for (i, group) in cycles.windows(size).enumerate() {
                self.learn(group, &format!("{what}, {size} from {i}"));
            }
        }
        self.learn(cycles, &format!("{what}, all"));
    }

    fn holds(self, what: &str) {
        let Self { examples, left_out, odd, wrong } = self;
        println!("{what}: {examples} examples, {left_out} left out by name, {odd} with an odd one set aside");
        assert!(wrong.is_empty(), "{what}: {} wrong\n{}", wrong.len(), wrong.join("\n"));
    }
}

#[test]
fn simulated_nights_are_within_their_own_charts() {
    let mut counted = Counted::default();
    let drawn = (0..3).map(|seed| Case::draw(700 + seed).good);
    let known = [Appliance::on_120_volts(), Appliance::on_230_volts()].map(|a| Night::healthy(71, a, 4));
    for (i, night) in drawn.chain(known).enumerate() {
        let night = live(&night);
        let surroundings = Surroundings::of(&night.log.trace, &night.cycles);
        let cycles: Vec<_> = night.cycles.iter().map(|c| (c, surroundings)).collect();
        counted.groups(&cycles, &format!("night {i}"));
    }
    // Healthy runs of one machine: leaving out more than one in ten would be the easy way.
    assert!(counted.left_out * 10 <= counted.examples, "{counted:?}");
    counted.holds("simulated");
}

/// The cycles of each day, with what is known of that day's log.
fn seen_on(days: &[PathBuf]) -> Vec<(Vec<Cycle>, Surroundings)> {
    let seen = |day: &PathBuf| {
        let (log, cycles) = worked(day);
        let surroundings = Surroundings::of(&log.trace, &cycles);
        (cycles, surroundings)
    };
    days.iter().map(seen).collect()
}

fn of_days<'a>(
    days: impl IntoIterator<Item = &'a (Vec<Cycle>, Surroundings)>,
    what: &str,
    counted: &mut Counted,
) {
    let cycles: Vec<(&Cycle, Surroundings)> =
        days.into_iter().flat_map(|(cycles, of)| cycles.iter().map(move |c| (c, *of))).collect();
    counted.learn(&cycles, what);
}

/// Any days together, also those of different programmes: what a person gives to `learn` without thinking.
#[test]
fn real_days_are_within_their_own_charts() {
    let mut counted = Counted::default();
    for machine in ["machine-a", "machine-b", "machine-c"] {
        let days = seen_on(&days(machine));
        for i in 0..days.len() {
            for j in i..days.len() {
                let two = days[i..=i].iter().chain(if i == j { None } else { days.get(j) });
                of_days(two, &format!("{machine} {i} and {j}"), &mut counted);
            }
        }
        if !days.is_empty() {
            of_days(&days, machine, &mut counted);
        }
    }
    counted.holds("real");
}

/// Machines of every kind of the second world: each by its first day, and by three.
#[test]
fn machines_of_the_second_world_are_within_their_own_charts() {
    let folder = tempfile::tempdir().unwrap();
    let mut counted = Counted::default();
    for kind in KINDS {
        let days = seen_on(&second_world::days(kind, 2, Meter::OneWatt, &[], folder.path(), (3, 0)).unwrap());
        of_days(&days[..1], &format!("{}, a day", kind.name), &mut counted);
        of_days(&days, kind.name, &mut counted);
    }
    counted.holds("second world");
}

/// Means of a minute, of which no interval may come in all examples: weeks together, and a month.
#[test]
fn real_minutes_are_within_their_own_charts() {
    let mut counted = Counted::default();
    for machine in ["machine-f", "machine-g"] {
        let days = seen_on(&days_of_minutes(machine));
        for (i, week) in days.chunks(7).enumerate() {
            of_days(week, &format!("{machine}, week {i}"), &mut counted);
        }
        let month = days.iter().skip(days.len() / 2).take(26);
        of_days(month, &format!("{machine}, a month"), &mut counted);
    }
    counted.holds("means of a minute");
}
