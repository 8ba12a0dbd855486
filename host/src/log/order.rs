//! Rows in order of time, whatever a clock did.

use super::Notes;
use super::row::{Row, SAME};

/// Fewer rows than this are no piece of a recording, but stray.
const A_PIECE: usize = 10;

/// Rows in order, and the times of those that were lost for it: with another value at a time that is there, or out of order.
pub(super) fn in_order(mut rows: Vec<Row>, notes: &mut Notes) -> (Vec<Row>, Vec<f64>) {
    // As almost every file is.
    if rows.is_sorted_by(|a, b| b.time - a.time >= SAME) {
        return (rows, Vec::new());
    }
    pieces(&mut rows, notes);
    // What is closer than files tell is one time.
    rows.iter_mut().for_each(|r| r.time = (r.time / SAME).round() * SAME);
    rising(rows, notes)
}

/// Pieces that stand in another order than they were recorded, as in files that were joined by their names.
fn pieces(rows: &mut [Row], notes: &mut Notes) {
    let mut pieces: Vec<&[Row]> = rows.chunk_by(|a, b| a.time <= b.time).collect();
    if pieces.len() < 2 || pieces.iter().any(|p| p.len() < A_PIECE) {
        return;
    }
    pieces.sort_by(|a, b| a[0].time.total_cmp(&b[0].time));
    if pieces.windows(2).all(|p| p[0][p[0].len() - 1].time < p[1][0].time) {
        let line = rows.windows(2).find(|p| p[1].time < p[0].time).map_or(0, |p| p[1].line);
        rows.sort_by(|a, b| a.time.total_cmp(&b.time));
        notes.add("pieces of the file were not in order of time, put in order", || format!("line {line}"));
    }
}

/// The most rows whose times rise; the others are noted. So one wild time costs one row, wherever it stands.
fn rising(rows: Vec<Row>, notes: &mut Notes) -> (Vec<Row>, Vec<f64>) {
    // The longest increasing subsequence by patience sorting: `ends[k]` is the row that ends the best run of k + 1.
    let mut ends: Vec<u32> = Vec::new();
    let mut before: Vec<u32> = Vec::with_capacity(rows.len());
    let at = |i: u32| rows[i as usize].time;
    for (i, row) in (0..).zip(&rows) {
        let k = ends.partition_point(|&e| at(e) < row.time);
        before.push(k.checked_sub(1).map_or(NONE, |k| ends[k]));
        if k == ends.len() {
            ends.push(i);
        } else if at(ends[k]) > row.time {
            ends[k] = i;
        }
    }
    let mut keep = vec![false; rows.len()];
    let mut at = ends.last().copied().unwrap_or(NONE);
    while at != NONE {
        keep[at as usize] = true;
        at = before[at as usize];
    }
    drop(before);
    let mut kept: Vec<Row> = Vec::with_capacity(ends.len());
    let mut others: Vec<Row> = Vec::new();
    for (row, keep) in rows.into_iter().zip(keep) {
        if keep { kept.push(row) } else { others.push(row) }
    }
    let lost = others.into_iter().filter_map(|row| note(&row, &kept, notes).then_some(row.time)).collect();
    (kept, lost)
}

const NONE: u32 = u32::MAX;

/// Says why a row is passed over, and whether something is lost with it.
fn note(row: &Row, kept: &[Row], notes: &mut Notes) -> bool {
    let same = kept.binary_search_by(|k| k.time.total_cmp(&row.time)).ok().map(|at| &kept[at]);
    let (what, lost) = match same {
        Some(same) if same.value == row.value => ("row that was there already, passed over", false),
        Some(_) => ("row with the same time as another but another value, passed over", true),
        None => ("row whose time is out of order, passed over", true),
    };
    notes.add(what, || format!("line {}", row.line));
    lost
}
