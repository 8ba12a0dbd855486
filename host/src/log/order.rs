//! Rows in order of time, whatever a clock did.

use super::Notes;
use super::meter_csv::Row;

/// The most rows whose times rise; the others are noted. So one wild time costs one row, wherever it stands.
pub(super) fn in_order(rows: Vec<Row>, notes: &mut Notes) -> Vec<Row> {
    // The longest increasing subsequence by patience sorting: `ends[k]` is the row that ends the best run of k + 1.
    let mut ends: Vec<usize> = Vec::new();
    let mut before: Vec<Option<usize>> = Vec::with_capacity(rows.len());
    for (i, row) in rows.iter().enumerate() {
        let k = ends.partition_point(|&e| rows[e].time < row.time);
        before.push(k.checked_sub(1).map(|k| ends[k]));
        if k == ends.len() {
            ends.push(i);
        } else if rows[ends[k]].time > row.time {
            ends[k] = i;
        }
    }
    let mut keep = vec![false; rows.len()];
    let mut at = ends.last().copied();
    while let Some(i) = at {
        keep[i] = true;
        at = before[i];
    }
    let mut kept: Vec<Row> = Vec::with_capacity(ends.len());
    for (row, keep) in rows.into_iter().zip(keep) {
        if keep {
            kept.push(row);
        } else if kept.last().is_some_and(|l| l.time == row.time) {
            notes.add("row with the same time as the one before, passed over", || {
                format!("line {}", row.line)
            });
        } else {
            notes.add("row whose time is out of order, passed over", || format!("line {}", row.line));
        }
    }
    kept
}
