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

/// Pieces that stand in another order than they were recorded, as in files that were joined by their names.
fn pieces(rows: &mut Rows, notes: &mut Notes) {
    let times = &rows.times;
    let mut breaks: Vec<usize> = (1..times.len()).filter(|&i| times[i] < times[i - 1]).collect();
    let Some(&first) = breaks.first() else { return };
    breaks.push(times.len());
    let from = std::iter::once(0).chain(breaks.iter().copied());
    let mut pieces: Vec<_> = from.zip(&breaks).map(|(from, &to)| from..to).collect();
    if pieces.iter().any(|p| p.len() < A_PIECE) {
        return;
    }
    pieces.sort_by(|a, b| times[a.start].total_cmp(&times[b.start]));
    if pieces.windows(2).all(|p| times[p[0].end - 1] < times[p[1].start]) {
        let line = rows.line(first);
        // There are fewer than eight million rows.
        let order: Vec<u32> = pieces.into_iter().flatten().map(|row| row as u32).collect();
        rows.keep(&order);
        notes.add("pieces of the file were not in order of time, put in order", || format!("line {line}"));
    }
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
            Some(value) if value == rows.values[row] => "row that was there already, passed over",
            other => {
                lost.push(time);
                match other {
                    Some(_) => "row with the same time as another but another value, passed over",
                    None => "row whose time is out of order, passed over",
                }
            }
        };
        notes.add(what, || format!("line {}", rows.line(row)));
    }
    lost
}
