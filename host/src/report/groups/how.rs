//! What was done to compare groups, and what it can and cannot show.

use super::super::wording::list;
use super::super::words::counted;
use super::called::Called;
use super::wording::exchanged;
use crate::compare::{Comparison, Exchanged};
use crate::text::harmless;

/// What was done, and what it can and cannot show.
pub(super) fn how(of: &Comparison, called: Called) -> Vec<String> {
    let (count, all) = of.arrangements;
    let tried = if all { format!("all {count}") } else { format!("{count}") };
    let what = exchanged(of.exchanged);
    let mut told = vec![format!(
        "How: cycles of {} groups were sorted into programmes together, by {}, blind to their group. {} questions were asked. {} {what} were exchanged between the groups in {tried} ways; the chance that any question differs by chance is 5 % in all{}.",
        if of.pairs.is_empty() { "both" } else { "all" },
        harmless(called.machine),
        of.rows.len(),
        list(&of.units),
        if of.pairs.is_empty() { "" } else { ", and as much for all pairs together" }
    )];
    told.push(match of.exchanged {
        Exchanged::Cycles if of.nights.contains(&1) && of.cycles.iter().any(|n| *n > 1) => "One night on a side: its cycles share water, load and room, so they are more alike than those of two nights, and what differs may be the night and not the change. Several nights in each group would tell.".into(),
        Exchanged::Cycles => "Each cycle was taken by itself: right only if cycles of one night are no more alike than those of two.".into(),
        Exchanged::Nights => "Cycles of one night stay together, for they are more alike than those of two: a night counts once, with the mean of its cycles.".into(),
        Exchanged::Machines => "No machine is in several groups, so whole machines are exchanged: each counts once.".into(),
    });
    let one_each = of.machines.iter().all(|n| *n == 1);
    if of.shared_machines == 0 && one_each {
        told.push("One machine on each side: this shows what these two machines do, and not whether the change makes the difference, for no two machines are alike. The same machine before and after, or several on each side, would tell.".into());
    } else if one_each {
        told.push("One machine, before and after: what else changed in between (season, water, load, wear) cannot be told from the change, and other machines may answer otherwise.".into());
    } else if of.shared_machines > 0 {
        told.push(format!(
            "{} in several groups: only what is of one machine was exchanged.",
            counted(of.shared_machines, "machine")
        ));
    }
    told
}
