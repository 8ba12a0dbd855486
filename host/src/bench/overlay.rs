//! The machine as this test holds it: with the limits of the plan, and every programme that the plan names.

use super::plan::Plan;
use crate::chart::{Chart, Machine};

/// The machine with the plan's limits in place of its own.
///
/// # Errors
/// A sentence that begins with the line of the plan, where it names a programme or an interval that the machine does not have.
pub fn overlaid(machine: &Machine, plan: &Plan) -> Result<Machine, String> {
    for wanted in &plan.runs {
        named(machine, wanted.programme.as_deref(), wanted.line)?;
    }
    let mut machine = machine.clone();
    for own in &plan.limits {
        let wanted = own.programme.as_deref();
        if wanted.is_some() {
            named(&machine, wanted, own.line)?;
        }
        let mut found = false;
        for chart in machine.programmes.iter_mut().filter(|c| wanted.is_none_or(|name| c.name == name)) {
            for interval in chart.parts.iter_mut().flat_map(|p| &mut p.intervals) {
                if interval.name == own.interval {
                    interval.lasts = Some(own.lasts);
                    found = true;
                }
            }
        }
        if !found {
            let all = machine.programmes.iter().filter(|c| wanted.is_none_or(|name| c.name == name));
            return Err(format!(
                "{}: no interval is called \"{}\"; there are: {}",
                own.line,
                own.interval,
                listed(all.flat_map(|c| c.parts.iter().flat_map(|p| p.intervals.iter().map(|i| &*i.name))))
            ));
        }
    }
    Ok(machine)
}

/// The programme of the machine that a plan names; where it names none, the only one.
pub(super) fn named<'a>(machine: &'a Machine, name: Option<&str>, line: usize) -> Result<&'a Chart, String> {
    let names = || listed(machine.programmes.iter().map(|c| &*c.name));
    match (name, &machine.programmes[..]) {
        (Some(name), all) => all
            .iter()
            .find(|c| c.name == name)
            .ok_or_else(|| format!("{line}: the machine has no programme \"{name}\"; it has: {}", names())),
        (None, [only]) => Ok(only),
        (None, _) => Err(format!(
            "{line}: the machine has several programmes, so say of which: programme = \"...\", one of: {}",
            names()
        )),
    }
}

/// Names between quotation marks, each once.
fn listed<'a>(names: impl Iterator<Item = &'a str>) -> String {
    let mut all: Vec<String> = Vec::new();
    for name in names.map(|name| format!("\"{name}\"")) {
        if !all.contains(&name) {
            all.push(name);
        }
    }
    all.join(", ")
}
