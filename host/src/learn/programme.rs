//! One programme, drawn from its examples.

use tubtrace_units::Seconds;

use super::cores::Core;
use super::example::Example;
use super::parts::parts;
use super::profile::{self, Profile};
use super::spreads::Spreads;
use super::written::as_written;
use crate::chart::numbers::MOST_INTERVALS;
use crate::chart::{Baselines, Chart};

/// One programme and how it came about.
pub(super) struct Programme {
    pub(super) chart: Chart,
    pub(super) used: Vec<usize>,
    pub(super) left_out: Vec<(usize, &'static str)>,
    pub(super) unlike: Vec<String>,
    pub(super) odd: Vec<usize>,
}

/// The examples of a programme side by side, and the indices of their cycles in the order of adding, as in the columns.
pub(super) fn profile(examples: &[Example]) -> (Profile, Vec<usize>) {
    let mut examples: Vec<&Example> = examples.iter().collect();
    let cores: Vec<&[Core]> = examples.iter().map(|e| e.cores.as_slice()).collect();
    let first = examples.remove(profile::medoid(&cores).unwrap_or(0));
    let mut used = vec![first.index];
    let mut profile = Profile::new(first.cores.clone());
    for example in examples {
        if profile.columns.len() + example.cores.len() <= MOST_INTERVALS / 2 {
            let fit = profile.fit(&example.cores);
            profile.add(example.cores.clone(), &fit);
            used.push(example.index);
        }
    }
    profile.turn_to_fills();
    (profile, used)
}

/// Draws a programme from its examples: at least one.
pub(super) fn programme(
    examples: &[Example],
    name: &str,
    baselines: &Baselines,
    spreads: &Spreads,
) -> Programme {
    let (profile, mut used) = profile(examples);
    let many = examples.iter().filter(|e| !used.contains(&e.index));
    let left_out = many.map(|e| (e.index, "it has more intervals than any programme")).collect();
    let resolution = examples.iter().map(|e| e.cycle.resolution).fold(Seconds(0.0), Seconds::max);
    let mut found = Vec::new();
    let parts = parts(&profile, resolution, spreads, &mut found);
    let mut odd: Vec<usize> = found.iter().filter(|o| o.set_aside).map(|o| used[o.row]).collect();
    odd.sort_unstable();
    odd.dedup();
    let unlike = found.into_iter().map(|o| o.what).collect();
    let seen = used.len() as u32;
    let mut chart =
        Chart { name: name.to_owned(), parts, baselines: baselines.clone(), seen, of_sheet: false };
    as_written(&mut chart);
    used.sort_unstable();
    Programme { chart, used, left_out, unlike, odd }
}
