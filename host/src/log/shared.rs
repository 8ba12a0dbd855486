//! Times that several rows share: a file whose clock shows minutes only, or seconds, though it has several readings in each.

use std::ops::Range;

use super::constants::SERIES_APART;
use super::notes::Notes;
use super::row::{Rows, SAME};
use crate::stats::median;

/// Spreads rows evenly from the time that they share to the next one, where most of them share one. Rows are in the order of
/// the file, the oldest first.
///
/// # Errors
/// A sentence, where rows of several series share each time.
pub(super) fn spread(rows: &mut Rows, notes: &mut Notes) -> Result<(), String> {
    let is_shared = |at: usize| rows.times[at] == rows.times[at - 1];
    // A file that has each row twice has readings that are alike.
    let differ = |at: usize| is_shared(at) && rows.values[at] != rows.values[at - 1];
    let twice = 2 * (1..rows.len()).filter(|at| is_shared(*at)).count();
    if twice < rows.len() || !(1..rows.len()).any(differ) {
        return Ok(());
    }
    let shared = shared(&rows.times);
    let counts: Vec<f64> = shared.iter().map(|s| s.len() as f64).collect();
    let usual = median(&counts).floor();
    if are_of_several(rows, &shared) {
        return Err(format!(
            "line {}: {usual} rows for each time, which are those of {usual} meters or channels; keep the rows of the machine's alone",
            rows.line(0)
        ));
    }
    let steps: Vec<f64> =
        shared.windows(2).map(|pair| rows.times[pair[1].start] - rows.times[pair[0].start]).collect();
    let rising: Vec<f64> = steps.iter().copied().filter(|step| *step > 0.0).collect();
    if rising.is_empty() {
        return Ok(());
    }
    let step = median(&rising);
    let is_next = |at: usize| steps.get(at).is_some_and(|apart| (apart - step).abs() < SAME);
    notes.add(&format!("{usual} rows for each time, spread evenly until the next"), || {
        format!("line {}", rows.line(0))
    });
    for (at, rows_of_it) in shared.iter().enumerate() {
        let (goes_on, went_on) = (is_next(at), at > 0 && is_next(at - 1));
        let count = rows_of_it.len() as f64;
        // A recording begins and ends somewhere between two times.
        let apart = if goes_on && went_on { step / count } else { step / count.max(usual) };
        let late = if goes_on && !went_on { step - count * apart } else { 0.0 };
        for (row, time) in rows.times[rows_of_it.clone()].iter_mut().enumerate() {
            *time += late + row as f64 * apart;
        }
    }
    Ok(())
}

/// Rows one behind the other that have the same time.
fn shared(times: &[f64]) -> Vec<Range<usize>> {
    let mut from = 0;
    let runs = times.chunk_by(|a, b| a == b);
    runs.map(|run| {
        from += run.len();
        from - run.len()..from
    })
    .collect()
}

/// Whether the rows of each time are those of several series: then each is like the one in the same place of the next time, and unlike the one
/// beside it.
fn are_of_several(rows: &Rows, shared: &[Range<usize>]) -> bool {
    let differ = |a: usize, b: usize| (rows.values[a] - rows.values[b]).abs();
    let alike = shared.windows(2).filter(|pair| pair[0].len() == pair[1].len());
    let (mut beside, mut across) = (0.0, 0.0);
    for (at, next) in alike.flat_map(|pair| pair[0].clone().zip(pair[1].clone())) {
        across += differ(at, next);
        beside += if at + 1 < rows.len() && rows.times[at + 1] == rows.times[at] {
            differ(at, at + 1)
        } else {
            0.0
        };
    }
    beside > SERIES_APART.get() * across
}
