//! The list of all checks, and of their constants.

use super::check::Check;
use super::{
    balance, clamp, clips, constants, contacts, course, current, deaf, drain_end, drain_goes_on, drain_hose,
    drain_start, element, emptying, ended, evidence, extra, heat_energy, heater, inflow, logger, mains,
    order, pickups, programme, pump_start, purges, restarts, sag, small_loads, stops, supply, times, tries,
    valve, wash_pump, waters,
};
use crate::constant::List;

/// All checks, subject by subject. A chart's baselines are written in this order, and what cannot be told and begins together is told
/// in it.
static SUBJECTS: [&[&Check]; 35] = [
    &ended::CHECKS,
    &programme::CHECKS,
    &extra::CHECKS,
    &times::CHECKS,
    &purges::CHECKS,
    &current::CHECKS,
    &supply::CHECKS,
    &pump_start::CHECKS,
    &stops::CHECKS,
    &wash_pump::CHECKS,
    &mains::CHECKS,
    &drain_end::CHECKS,
    &drain_goes_on::CHECKS,
    &drain_hose::CHECKS,
    &drain_start::CHECKS,
    &heater::CHECKS,
    &heat_energy::CHECKS,
    &small_loads::CHECKS,
    &inflow::CHECKS,
    &valve::CHECKS,
    &clamp::CHECKS,
    &pickups::CHECKS,
    &clips::CHECKS,
    &logger::CHECKS,
    &course::CHECKS,
    &emptying::CHECKS,
    &restarts::CHECKS,
    &element::CHECKS,
    &tries::CHECKS,
    &contacts::CHECKS,
    &balance::CHECKS,
    &waters::CHECKS,
    &sag::CHECKS,
    &order::CHECKS,
    &deaf::CHECKS,
];

/// The constants of all checks: those that several share, and those of each subject and of each kind of evidence.
pub(crate) static CONSTANTS: [List; 33] = [
    constants::ALL,
    ended::ALL,
    programme::ALL,
    extra::ALL,
    current::ALL,
    pump_start::ALL,
    stops::ALL,
    wash_pump::ALL,
    mains::ALL,
    drain_end::ALL,
    drain_goes_on::ALL,
    drain_hose::ALL,
    drain_start::ALL,
    heater::ALL,
    heat_energy::ALL,
    small_loads::ALL,
    inflow::ALL,
    valve::ALL,
    clamp::ALL,
    clips::ALL,
    course::ALL,
    emptying::ALL,
    restarts::ALL,
    element::ALL,
    tries::ALL,
    contacts::ALL,
    balance::ALL,
    waters::ALL,
    sag::ALL,
    order::ALL,
    deaf::ALL,
    evidence::drains::ALL,
    evidence::fills::ALL,
];

/// All checks, in the order of their subjects.
pub fn all() -> impl Iterator<Item = &'static Check> {
    SUBJECTS.iter().flat_map(|checks| checks.iter().copied())
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::super::learn::baselines;
    use super::*;

    #[test]
    fn no_two_checks_have_one_word_or_one_rank() {
        let words: BTreeSet<&str> = all().map(|c| c.id).collect();
        let ranks: BTreeSet<u16> = all().map(|c| c.rank).collect();
        assert_eq!((words.len(), ranks.len()), (all().count(), all().count()));
    }

    #[test]
    fn no_two_baselines_have_one_name() {
        let names: BTreeSet<&str> = baselines().map(|h| h.key()).collect();
        assert_eq!(names.len(), baselines().count());
    }

    /// What follows is a check, and brings about nothing itself: so no cause of a cause has to be told, and nothing goes round in a circle.
    #[test]
    fn what_follows_is_a_check_that_nothing_follows() {
        for check in all() {
            for kind in check.followed_by {
                let follows = all().find(|c| kind.split(' ').next() == Some(c.id));
                let follows = follows.unwrap_or_else(|| panic!("{check}: {kind} is no check"));
                assert!(follows.followed_by.is_empty(), "{check}: {follows} brings something about itself");
            }
        }
    }

    /// What a check is masked by, and what it is only told with, is a check, and by no way round the check itself.
    #[test]
    fn masks_are_checks_and_go_round_in_no_circle() {
        let by_word = |kind: &str| all().find(|c| kind.split(' ').next() == Some(c.id));
        for check in all() {
            let (mut reached, mut next) = (BTreeSet::new(), vec![check]);
            while let Some(at) = next.pop() {
                for kind in at.masked_by.iter().chain(at.only_with) {
                    let mask = by_word(kind).unwrap_or_else(|| panic!("{at}: {kind} is no check"));
                    assert!(mask != check, "{check} masks itself by way of {at}");
                    if reached.insert(mask.id) {
                        next.push(mask);
                    }
                }
            }
        }
    }
}
