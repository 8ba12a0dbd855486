//! Further nights of a machine that is known.

use tubtrace_units::Seconds;

use super::cores::cores;
use super::draws::{draws, with};
use super::example::useless;
use super::learned::{LearnError, Learned};
use super::machine::learn;
use super::{held, names};
use crate::chart::Machine;
use crate::findings::{Finding, Severity, Surroundings, judge};
use crate::intervals::Cycle;
use crate::programme::recognise;

/// Takes further good cycles of a machine into what is known of it: those of a programme that is known widen its limits where they must,
/// others make programmes of their own. Limits that were learned before do not become narrower. What departs gravely from a programme that is known is
/// left out: a fault that is taken in once is within ever after.
///
/// # Errors
/// When none of the cycles can be used.
pub fn add(machine: Machine, cycles: &[&Cycle], resolution: Seconds) -> Result<Learned, LearnError> {
    let (mut used, mut left_out, mut new) = (Vec::new(), Vec::new(), Vec::new());
    let mut machine = machine;
    for (index, &cycle) in cycles.iter().enumerate() {
        if let Some(why) = useless(cycle, &cores(cycle)) {
            left_out.push((index, why.to_owned()));
            continue;
        }
        if let Some(finding) = gravest(&machine, cycle, resolution) {
            let why = format!(
                "it departs gravely from \"{}\" ({}), which is no habit to be learned; if it is good, learn anew from all cycles, without --add",
                machine.name,
                finding.departure.headline.of(&finding.interval),
            );
            left_out.push((index, why));
            continue;
        }
        let recognised = recognise(&machine, cycle);
        let chart = &mut machine.programmes[recognised.programme];
        if !recognised.is_known() {
            new.push(index);
        } else if held::takes(chart, cycle) {
            // What one programme needs wider is the machine's.
            let baselines = chart.baselines.clone();
            machine.share(&baselines);
            used.push(index);
        } else {
            let why = format!("it departs from \"{}\" in what no limit of a programme holds", chart.name);
            left_out.push((index, why));
        }
    }
    let only: Vec<&Cycle> = new.iter().map(|&i| cycles[i]).collect();
    let (mut unlike, mut odd) = (Vec::new(), Vec::new());
    if let Ok(others) = learn(&only, &machine.name, resolution) {
        used.extend(others.used.into_iter().map(|i| new[i]));
        odd.extend(others.odd.into_iter().map(|i| new[i]));
        left_out.extend(others.left_out.into_iter().map(|(i, why)| (new[i], why)));
        unlike = others.unlike;
        names::add(&mut machine, others.machine.programmes);
    }
    if used.is_empty() {
        return Err(LearnError::NoCycle);
    }
    used.sort_unstable();
    let further: Vec<&Cycle> = used.iter().map(|&i| cycles[i]).collect();
    let all = with(&machine.draws, &draws(&further));
    machine.take_draws(all);
    Ok(Learned { machine, used, left_out, unlike, odd })
}

/// What departs gravely in a cycle of a machine that is known, such as heat that never comes; none of a programme that is not known.
fn gravest(machine: &Machine, cycle: &Cycle, resolution: Seconds) -> Option<Finding> {
    let alone = Surroundings { resolution, quiet_supply: None, battery_ended: false, plate: None };
    let judged = judge(machine, cycle, alone);
    let grave = judged.findings.into_iter().filter(|finding| finding.severity() >= Severity::Grave);
    grave.max_by_key(Finding::severity)
}
