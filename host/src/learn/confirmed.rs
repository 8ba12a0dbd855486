//! Programmes that their own cycles confirm: a cycle is of one that was seen a few times only if it would be taken for it by what the others
//! of it teach. Cycles that are alike in nothing but that they are unlike all others are no programme.

use super::constants::ENOUGH;
use super::example::Example;
use super::programme::programme;
use super::spreads::Spreads;
use crate::chart::{Baselines, Chart, Machine};
use crate::loads::Draws;
use crate::programme::recognise;

/// The groups anew, where a cycle that the others of its group do not confirm is one by itself; none where all are confirmed. Groups of many confirm
/// themselves.
pub(super) fn regrouped<'a>(
    groups: &[Vec<Example<'a>>],
    baselines: &Baselines,
    spreads: &Spreads,
) -> Option<Vec<Vec<Example<'a>>>> {
    let is_small = |group: &[Example]| (2..ENOUGH.get()).contains(&group.len());
    if groups.len() < 2 || !groups.iter().any(|group| is_small(group)) {
        return None;
    }
    let chart = |examples: &[Example]| programme(examples, "", baselines, spreads).chart;
    let charts: Vec<Chart> = groups.iter().map(|group| chart(group)).collect();
    let is_confirmed = |at: usize, member: usize| {
        let mut others = groups[at].clone();
        let own = others.remove(member);
        let mut programmes = charts.clone();
        programmes[at] = chart(&others);
        let machine = Machine { name: String::new(), programmes, draws: Draws::default() };
        recognise(&machine, own.cycle).programme == at
    };
    let mut singles: Vec<Vec<Example>> = Vec::new();
    let mut kept: Vec<Vec<Example>> = Vec::new();
    for (at, group) in groups.iter().enumerate() {
        let own = |member: &usize| !is_small(group) || is_confirmed(at, *member);
        let (own, alone): (Vec<usize>, Vec<usize>) = (0..group.len()).partition(own);
        singles.extend(alone.into_iter().map(|member| vec![group[member].clone()]));
        kept.extend((!own.is_empty()).then(|| own.into_iter().map(|m| group[m].clone()).collect()));
    }
    if singles.is_empty() {
        return None;
    }
    kept.extend(singles);
    // The most frequent first, as they were.
    kept.sort_by_key(|group| std::cmp::Reverse(group.len()));
    Some(kept)
}
