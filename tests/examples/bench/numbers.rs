//! What the numbers alone come to, without a log: chances of a plan, run lengths of charts, errors of a test after each run.

use rand::{RngExt, SeedableRng};
use rand_xoshiro::Xoshiro256PlusPlus;
use tubtrace::bench::statistics::{Answer, Sequential, cusum, ewma, individuals, signals};
use tubtrace::compare::NotSeen;

/// One run of eight fails.
const RATE: f64 = 1.0 / 8.0;

/// Weight and reach of the average, and allowance and decision of the sum, as the program has them.
const AVERAGE: (f64, f64) = (0.2, 2.962);
const SUM: (f64, f64) = (0.5, 5.0);

/// Mean run lengths to a shift of one standard deviation: Lucas and Saccucci, Technometrics 32 (1990), and the Markov chain of Brook and Evans
/// (`tests/references/bench.py`).
const PUBLISHED: (f64, f64) = (10.542, 10.376);

struct Random(Xoshiro256PlusPlus);

impl Random {
    fn part(&mut self) -> f64 {
        self.0.random_range(0.0..1.0)
    }

    /// A standard normal deviate (Box and Muller, Annals of Mathematical Statistics 29, 1958).
    fn normal(&mut self) -> f64 {
        let (u, v): (f64, f64) = (self.0.random_range(1e-12..1.0), self.part());
        (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    }
}

/// Prints all of it; whether it is as is wanted.
pub fn print(slice: bool) -> bool {
    let mut random = Random(Xoshiro256PlusPlus::seed_from_u64(18));
    let rounds = if slice { 4_000 } else { 40_000 };
    let results = [
        left_in(&mut random, rounds),
        drift(&mut random, rounds),
        alarms(&mut random, rounds / 4),
        after_each(&mut random, rounds),
    ];
    !results.contains(&false)
}

/// A fault that comes in one of eight runs was seen in eight runs before the repair, and is still there: how often does a plan of 95 % pass?
fn left_in(random: &mut Random, rounds: usize) -> bool {
    let (mut passed, mut asked, mut wanted) = (0_u32, 0_u32, 0_usize);
    for _ in 0..rounds {
        let found = (0..8).filter(|_| random.part() < RATE).count();
        if found == 0 {
            continue;
        }
        let needed = (1..1_000).find(|&after| NotSeen { found, before: 8, after }.by_chance() <= 0.05);
        let needed = needed.unwrap_or(1_000).max(20);
        asked += 1;
        wanted += needed;
        passed += u32::from((0..needed).all(|_| random.part() >= RATE));
    }
    let part = f64::from(passed) / f64::from(asked);
    println!(
        "fault left in at one of eight, seen in 8 runs before, plan at 95 % (mean {:.1} runs), every failure seen: {:.1} % pass; wanted: at most 5",
        wanted as f64 / f64::from(asked),
        100.0 * part
    );
    part <= 0.05
}

/// A mean that moves by one standard deviation from the tenth run on, the chart known: after how many runs is it found?
fn drift(random: &mut Random, rounds: usize) -> bool {
    let mut lengths = [0_usize; 2];
    for _ in 0..rounds {
        // A signal before the tenth run is a false alarm, and another chart is taken.
        let values = loop {
            let values: Vec<f64> =
                (0..400).map(|i| random.normal() + if i >= 10 { 1.0 } else { 0.0 }).collect();
            let early = |at: Option<usize>| at.is_some_and(|at| at < 10);
            if !early(average(&values)) && !early(sum(&values)) {
                break values;
            }
        };
        lengths[0] += average(&values).unwrap_or(400) - 9;
        lengths[1] += sum(&values).unwrap_or(400) - 9;
    }
    let [average, sum] = lengths.map(|l| l as f64 / rounds as f64);
    println!(
        "drift of 1 SD from the tenth run, centre and SD known: found after {average:.1} runs by the average (published: {:.1}), {sum:.1} by the sum ({:.1})",
        PUBLISHED.0, PUBLISHED.1
    );
    let mut found = 0;
    for _ in 0..rounds {
        let values: Vec<f64> = (0..30).map(|i| random.normal() + if i >= 10 { 1.0 } else { 0.0 }).collect();
        found += usize::from(by_itself(&values));
    }
    println!(
        "  centre and SD taken from the same 30 runs, as the command does: told in {:.0} % of tests",
        100.0 * found as f64 / rounds as f64
    );
    average <= PUBLISHED.0 * 1.03 && sum <= PUBLISHED.1 * 1.03
}

fn average(values: &[f64]) -> Option<usize> {
    ewma(values, 0.0, 1.0, AVERAGE.0, AVERAGE.1).signal()
}

fn sum(values: &[f64]) -> Option<usize> {
    cusum(values, 0.0, SUM.0, SUM.1).signal()
}

/// Whether average or sum signal, where centre and standard deviation are those of the values.
fn by_itself(values: &[f64]) -> bool {
    let Some(chart) = individuals(values, 0.0) else { return false };
    let drifts = ewma(values, chart.centre, chart.deviation, AVERAGE.0, AVERAGE.1).signal();
    let sums = cusum(values, chart.centre, SUM.0 * chart.deviation, SUM.1 * chart.deviation).signal();
    drifts.is_some() || sums.is_some()
}

/// How often a chart of 20 runs of a healthy interval signals, by the limits that those runs give.
fn alarms(random: &mut Random, rounds: usize) -> bool {
    let (mut rules, mut drifts) = (0, 0);
    for _ in 0..rounds {
        let values: Vec<f64> = (0..20).map(|_| random.normal()).collect();
        let Some(chart) = individuals(&values, 0.0) else { continue };
        rules += usize::from(!signals(&values, chart.centre, chart.deviation).is_empty());
        drifts += usize::from(by_itself(&values));
    }
    let percent = |n: usize| 100.0 * n as f64 / rounds as f64;
    println!(
        "charts of 20 healthy runs that signal, limits from the same runs: {:.0} % by the four rules, {:.1} % by average or sum (so a signal is no failure)",
        percent(rules),
        percent(drifts)
    );
    true
}

/// Errors of Wald's test, beside his bounds.
fn after_each(random: &mut Random, rounds: usize) -> bool {
    let test = Sequential { good: 0.005, bad: RATE, refused: 0.05, passed: 0.05 };
    let mut asked = |rate: f64, wrong: Answer| {
        let (mut errors, mut runs) = (0_usize, 0_usize);
        for _ in 0..rounds {
            let (mut failed, mut all) = (0, 0);
            let answer = loop {
                all += 1;
                failed += usize::from(random.part() < rate);
                match test.after(failed, all) {
                    Answer::GoOn => {}
                    answer => break answer,
                }
            };
            errors += usize::from(answer == wrong);
            runs += all;
        }
        (errors as f64 / rounds as f64, runs as f64 / rounds as f64)
    };
    let (refused, passed) = (asked(test.good, Answer::Bad), asked(test.bad, Answer::Good));
    let bound = 0.05 / 0.95;
    println!(
        "asked after each run (Wald), one of 200 against one of eight: {:.1} % of good ones refused, {:.1} % of bad ones passed (bounds: {:.1} each), after {:.1} and {:.1} runs",
        100.0 * refused.0,
        100.0 * passed.0,
        100.0 * bound,
        refused.1,
        passed.1
    );
    // Three standard errors of a rate of 5 % in as many rounds.
    let room = 3.0 * (0.05 * 0.95 / rounds as f64).sqrt();
    refused.0 <= bound + room && passed.0 <= bound + room
}
