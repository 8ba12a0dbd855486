//! Rows in order of time, whatever a clock did.

use super::notes::Notes;
use super::row::{Rows, SAME};

/// Fewer rows than this are no piece of a recording, but stray.
const A_PIECE: usize = 10;

/// Puts rows in order, and gives the times of those that were lost for it: with another value at a time that is there, or out of order.
pub(super) fn in_order(rows: &mut Rows, notes: &mut Notes) -> Vec<f64> {
    // As almost every file is.
    if rows.times.is_sorted_by(|a, b| b - a >= SAME) {
        return Vec::new();
    }
    pieces(rows, notes);
    // What is closer than files tell is one time.
    rows.times.iter_mut().for_each(|time| *time = (*time / SAME).round() * SAME);
    let kept = rising(&rows.times);
    let lost = others(rows, &kept, notes);
    rows.keep(&kept);
    lost
}

/// Turns a file round of which the newest rows stand first, and says whether it did.
pub(super) fn newest_last(rows: &mut Rows, notes: &mut Notes) -> bool {
    let steps = rows.times.windows(2);
    let (rising, falling) = steps.fold((0, 0), |(up, down), pair| {
        (up + usize::from(pair[1] > pair[0]), down + usize::from(pair[1] < pair[0]))
    });
    // Of fewer rows nothing is known.
    let turned = falling > rising && rows.len() >= A_PIECE;
    if turned {
        let line = rows.line(0);
        // There are fewer than eight million rows.
        let order: Vec<u32> = (0..rows.len() as u32).rev().collect();
        rows.keep(&order);
        notes.add("newest rows stand first, put in order of time", || format!("line {line}"));
    }
    turned
}

/// Pieces that stand in another order than they were recorded, as in files that were joined by their names.
fn pieces(rows: &mut Rows, notes: &mut Notes) {
    let times = &rows.times;
    let mut breaks: Vec<usize> = (1..times.len()).filter(|&i| times[i] < times[i - 1]).collect();
    let Some(&first) = breaks.first() else { return };
    breaks.push(times.len());
    let from = std::iter::once(0).chain(breaks.iter().copied());
    let pieces: Vec<_> = from.zip(&breaks).map(|(from, &to)| from..to).collect();
    let mut latest = f64::NEG_INFINITY;
    let mut is_behind = |time: &&f64| {
        latest = latest.max(**time);
        **time < latest
    };
    if pieces.iter().any(|p| p.len() < A_PIECE) || times.iter().filter(&mut is_behind).count() < A_PIECE {
        return;
    }
    let seams = pieces.len();
    // Stable: of rows at one time the one that stands first stays first.
    let mut order: Vec<u32> = pieces.into_iter().flatten().map(|row| row as u32).collect();
    order.sort_by(|&a, &b| times[a as usize].total_cmp(&times[b as usize]));
    if !are_of_one_recording(rows, &order, seams) {
        return;
    }
    let line = rows.line(first);
    rows.keep(&order);
    notes.add("pieces of the file were not in order of time, put in order", || format!("line {line}"));
}

/// Whether pieces are of one recording: where two of them tell of the same time, they tell the same. A clock that was set back does not.
fn are_of_one_recording(rows: &Rows, order: &[u32], seams: usize) -> bool {
    let (mut overlaps, mut same) = (0_usize, 0_usize);
    // Rows of another piece stand far from each other in the file, and side by side in order of time.
    for pair in order.windows(2).filter(|pair| pair[0].abs_diff(pair[1]) > 1) {
        let [a, b] = [pair[0] as usize, pair[1] as usize];
        overlaps += 1;
        if rows.times[b] - rows.times[a] < SAME && rows.values[a] == rows.values[b] {
            same += 1;
        }
    }
    // Each row that is there twice has its twin on one side and the next row on the other; where pieces only meet, there is no twin.
    overlaps <= 2 * same + seams
}

/// Indices of the most rows whose times rise. So one wild time costs one row, wherever it stands.
fn rising(times: &[f64]) -> Vec<u32> {
    // The longest increasing subsequence by patience sorting: `ends[k]` is the row that ends the best run of k + 1.
    let mut ends: Vec<u32> = Vec::new();
    let mut before: Vec<u32> = Vec::with_capacity(times.len());
    let at = |i: u32| times[i as usize];
    for (i, time) in (0..).zip(times) {
        let k = ends.partition_point(|&e| at(e) < *time);
        before.push(k.checked_sub(1).map_or(NONE, |k| ends[k]));
        if k == ends.len() {
            ends.push(i);
        } else if at(ends[k]) > *time {
            ends[k] = i;
        }
    }
    // From the last of them back, in the room that is there already.
    let mut at = ends.last().copied().unwrap_or(NONE);
    for kept in ends.iter_mut().rev() {
        *kept = at;
        at = before.get(at as usize).copied().unwrap_or(NONE);
    }
    ends
}

const NONE: u32 = u32::MAX;

/// Says why rows that are not kept are passed over, and gives the times of those with which something is lost.
fn others(rows: &Rows, kept: &[u32], notes: &mut Notes) -> Vec<f64> {
    let (mut lost, mut next) = (Vec::new(), kept.iter().copied().peekable());
    for row in 0..rows.len() {
        if next.next_if_eq(&(row as u32)).is_some() {
            continue;
        }
        let time = rows.times[row];
        let same = kept.binary_search_by(|&k| rows.times[k as usize].total_cmp(&time)).ok();
        let what = match same.map(|at| rows.values[kept[at] as usize]) {
            Some(value) if value == rows.values[row] => "row that was there already, skipped",
            other => {
                lost.push(time);
                match other {
                    Some(_) => "row with the same time as another but another value, skipped",
                    None => "row whose time is out of order, skipped",
                }
            }
        };
        notes.add(what, || format!("line {}", rows.line(row)));
    }
    lost
}
