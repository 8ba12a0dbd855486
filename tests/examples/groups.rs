//! What `compare` says where nothing differs, and where something does: `cargo xtask groups [--limits | --power | --real]`.
//!
//! With `--limits` a slice of it, which fails where a figure is outside of what it must be; with `--power` or `--real` only that part.

use std::process::ExitCode;
use std::time::Instant;

use rand::{RngExt, SeedableRng};
use rand_xoshiro::Xoshiro256PlusPlus;
use tubtrace::compare::statistics::{Arrangements, Column, Pairs, Scale, Tested, Unit, least_shown, test};
use tubtrace::compare::{Asking, Comparison, Observed, Said, compare};
use tubtrace::intervals::Cycle;
use tubtrace::learn::Nights;
use tubtrace::loads::Draws;
use tubtrace::log::{Assumptions, read};
use tubtrace::trace::Trace;
use tubtrace_tests::real::{cycles_folder, minutes_folder};

/// Questions of a comparison, about as many as a programme of a dozen intervals has.
const QUESTIONS: usize = 60;

/// Arrangements of each of many comparisons.
const ARRANGEMENTS: usize = 1_000;

type Random = Xoshiro256PlusPlus;

/// A standard normal deviate (Box and Muller, Annals of Mathematical Statistics 29, 1958).
fn normal(random: &mut Random) -> f64 {
    let (u, v): (f64, f64) = (random.random_range(1e-12..1.0), random.random_range(0.0..1.0));
    (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
}

/// Values of cycles, night by night: of each question, half of the variance is the night's where `nights` says so, and half of what is left is
/// common to all questions of a cycle. The first question is greater by `shift` in the second group.
fn values(random: &mut Random, (nights, cycles): (usize, usize), together: f64, shift: f64) -> Vec<Vec<f64>> {
    let mut columns = vec![Vec::new(); QUESTIONS];
    for night in 0..2 * nights {
        let own: Vec<f64> = (0..QUESTIONS).map(|_| normal(random) * together.sqrt()).collect();
        for _ in 0..cycles {
            let common = normal(random) * (0.5 * (1.0 - together)).sqrt();
            for (column, own) in columns.iter_mut().zip(&own) {
                column.push(own + common + normal(random) * (0.5 * (1.0 - together)).sqrt());
            }
            if night >= nights {
                *columns[0].last_mut().expect("it was pushed") += shift;
            }
        }
    }
    columns
}

/// Tests columns of so many units in each of two groups.
fn tested(columns: &[Vec<f64>], arrangements: usize) -> Tested {
    let count = columns[0].len();
    let units: Vec<Unit> = (0..count).map(|i| Unit { stratum: 0, group: u8::from(i >= count / 2) }).collect();
    let columns: Vec<Column> = columns
        .iter()
        .map(|c| Column { values: c.iter().copied().map(Some).collect(), scale: Scale::Measured(0.1) })
        .collect();
    test(&units, &columns, &Arrangements::of(&units, arrangements), 0.05)
}

/// Means of each night's cycles.
fn by_night(columns: &[Vec<f64>], cycles: usize) -> Vec<Vec<f64>> {
    let mean = |night: &[f64]| night.iter().sum::<f64>() / cycles as f64;
    columns.iter().map(|c| c.chunks(cycles).map(mean).collect()).collect()
}

fn any(tested: &Tested) -> bool {
    tested.of_any.iter().any(|p| *p <= 0.05)
}

fn percent(part: usize, of: usize) -> f64 {
    100.0 * part as f64 / of as f64
}

/// Comparisons of groups that do not differ, by nights and by cycles; gives whether nights hold their level, and cycles do not.
fn nothing(rounds: usize) -> bool {
    let mut random = Random::seed_from_u64(17);
    let (mut nights, mut naive) = (0, 0);
    for _ in 0..rounds {
        let columns = values(&mut random, (8, 4), 0.5, 0.0);
        nights += usize::from(any(&tested(&by_night(&columns, 4), ARRANGEMENTS)));
        naive += usize::from(any(&tested(&columns, ARRANGEMENTS)));
    }
    println!(
        "nothing differs, {rounds} comparisons of 8 nights of 4 cycles with as many, half of the variance the night's, {QUESTIONS} questions:\n  anything found, nights exchanged: {:.1} % (wanted: 4 to 6)\n  anything found, cycles exchanged: {:.1} % (it does not hold)",
        percent(nights, rounds),
        percent(naive, rounds)
    );
    let sure = 100.0 * 3.0 * (0.05 * 0.95 / rounds as f64).sqrt();
    (percent(nights, rounds) - 5.0).abs() <= sure && percent(naive, rounds) > 20.0
}

/// How often a comparison finds the smallest difference that another one, of units of the same kind, said would be found in four of five.
fn power(rounds: usize) -> bool {
    let mut random = Random::seed_from_u64(18);
    let mut well = true;
    for units in [6, 12, 30] {
        let (mut told, mut found, mut sum) = (0_u32, 0_u32, 0.0);
        for _ in 0..rounds {
            let before = tested(&values(&mut random, (units, 1), 0.0, 0.0), ARRANGEMENTS);
            let Some(shift) = least_shown(&before, 0, 0.8) else { continue };
            let now = tested(&values(&mut random, (units, 1), 0.0, shift), ARRANGEMENTS);
            (told, sum) = (told + 1, sum + shift);
            found += u32::from(now.of_any[0] <= 0.05);
        }
        println!(
            "{units} against {units}: the difference of {:.2} standard deviations (mean of {told}) that is told to be found in 80 %: found in {:.1} %",
            sum / f64::from(told),
            100.0 * f64::from(found) / f64::from(told)
        );
        // Three standard errors of a part of four in five.
        let sure = 100.0 * 3.0 * (0.8 * 0.2 / f64::from(told.max(1))).sqrt();
        well &= (100.0 * f64::from(found) / f64::from(told) - 80.0).abs() <= sure;
    }
    well
}

/// 250 cycles and 250 with a drain that lasts 3 s longer, standard deviation 0.8 s.
fn drain() -> bool {
    let mut random = Random::seed_from_u64(19);
    let columns: Vec<Vec<f64>> = values(&mut random, (250, 1), 0.0, 3.0 / 0.8)
        .into_iter()
        .map(|c| c.into_iter().map(|v| (600.0 + 8.0 * v).round() / 10.0).collect())
        .collect();
    let tested = tested(&columns, 10_000);
    let pairs = Pairs::of([[columns[0][..250].to_vec(), columns[0][250..].to_vec()]]);
    let (shift, interval) = (pairs.shift().unwrap_or(f64::NAN), pairs.interval(0.95));
    let others = tested.of_any[1..].iter().filter(|p| **p <= 0.05).count();
    println!(
        "250 against 250, a drain 3 s longer, standard deviation 0.8 s: {shift:.2} s {interval:?}, p {}; {others} others found",
        tested.of_any[0]
    );
    tested.of_any[0] <= 0.05 && others == 0 && (shift - 3.0).abs() < 0.2
}

fn speed() {
    let mut random = Random::seed_from_u64(20);
    let columns: Vec<Vec<f64>> = (0..4).flat_map(|_| values(&mut random, (1_000, 1), 0.0, 0.0)).collect();
    let start = Instant::now();
    let _ = tested(&columns, 10_000);
    println!(
        "1,000 against 1,000, {} questions, 10,000 arrangements: {:.1} s",
        columns.len(),
        start.elapsed().as_secs_f64()
    );
}

/// Days of each real machine, split at random so often, and the first half against the second.
fn real(rounds: usize) {
    for folder in [cycles_folder(), minutes_folder()].into_iter().flatten() {
        let Ok(files) = std::fs::read_dir(&folder) else { continue };
        let mut names: Vec<String> = files
            .filter_map(|f| f.ok()?.file_name().into_string().ok())
            .filter(|n| n.ends_with(".csv"))
            .collect();
        names.sort();
        for days in names.chunk_by(|a, b| a.split('_').next() == b.split('_').next()) {
            let logs: Vec<_> =
                days.iter().filter_map(|n| read(&folder.join(n), Assumptions::default()).ok()).collect();
            let traces: Vec<&Trace> = logs.iter().map(|l| &l.trace).collect();
            let nights = Nights::read(&traces, &Draws::default());
            let Ok(learned) = nights.learn("") else { continue };
            let split = |groups: &[u8], most: usize| -> Comparison {
                let observed: Vec<Observed> = nights
                    .cycles
                    .iter()
                    .enumerate()
                    .flat_map(|(log, own)| {
                        let (group, volts) = (groups[log], logs[log].trace.nominal.volts);
                        own.iter().map(move |cycle: &Cycle| {
                            let began = log as f64 * 86_400.0 + cycle.start().0;
                            Observed { cycle, group, machine: 0, log, volts, began }
                        })
                    })
                    .collect();
                compare(&observed, &learned.machine, Asking { most, ..Asking::default() })
            };
            let halves: Vec<u8> = (0..logs.len()).map(|i| u8::from(i >= logs.len() / 2)).collect();
            let mut random = Random::seed_from_u64(21);
            let mut found = 0;
            for _ in 0..rounds {
                let mut groups = halves.clone();
                (1..groups.len()).rev().for_each(|i| groups.swap(i, random.random_range(0..=i)));
                found +=
                    usize::from(split(&groups, ARRANGEMENTS).rows.iter().any(|r| r.said == Said::Differs));
            }
            let machine = days[0].split('_').next().unwrap_or_default();
            println!(
                "{machine}, {} days, split at random {rounds} times: anything found in {:.1} % (wanted: 4 to 6)",
                logs.len(),
                percent(found, rounds)
            );
            let told = split(&halves, 10_000);
            println!(
                "  first half against second: least p {:.4}, {} questions",
                told.least_p,
                told.rows.len()
            );
            for row in told.rows.iter().filter(|r| r.said == Said::Differs) {
                let q = &row.question;
                println!(
                    "    {}: {} {}: {:?} -> {:?} {}, p {:.4}",
                    told.programmes[q.programme].0,
                    q.interval.as_deref().unwrap_or("whole cycle"),
                    q.measure.word(),
                    row.groups[0].middle,
                    row.groups[1].middle,
                    q.measure.unit(),
                    row.of_any
                );
            }
        }
    }
}

fn main() -> ExitCode {
    let slice = std::env::args().any(|a| a == "--limits");
    if std::env::args().any(|a| a == "--power") {
        return if power(1_000) { ExitCode::SUCCESS } else { ExitCode::FAILURE };
    }
    if std::env::args().any(|a| a == "--real") {
        real(1_000);
        return ExitCode::SUCCESS;
    }
    let well = [nothing(if slice { 400 } else { 2_000 }), power(if slice { 400 } else { 1_000 }), drain()];
    if !slice {
        speed();
        real(1_000);
    }
    if slice && well.contains(&false) { ExitCode::FAILURE } else { ExitCode::SUCCESS }
}
