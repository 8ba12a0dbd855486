//! The programme: the steps of one cycle.

use tubtrace_units::Seconds;

use super::adaptation::Adaptation;
use super::appliance::Appliance;
use super::fault::Trouble;
use super::faulty_programme::with_fault;
use super::programme_step::ProgrammeStep;
use crate::random::Random;

/// The longest that the control waits for water, and for heat.
const FILL_LIMIT: Seconds = Seconds(330.0);
const HOLD_LIMIT: Seconds = Seconds(1_500.0);

/// The steps of one cycle.
#[must_use]
pub fn programme(
    appliance: &Appliance,
    adaptation: &Adaptation,
    trouble: Option<Trouble>,
    random: &mut Random,
) -> Vec<ProgrammeStep> {
    let pace = appliance.pace;
    let fill = ProgrammeStep::Fill(appliance.fill, FILL_LIMIT);
    let drain = ProgrammeStep::Drain(pace.drain);
    let hold = |until| ProgrammeStep::Hold(until, HOLD_LIMIT);

    let mut steps = vec![fill];
    if adaptation.prewash_purge {
        steps.extend([
            ProgrammeStep::Wash(pace.prewash[0]),
            ProgrammeStep::Purge,
            ProgrammeStep::Wash(pace.prewash[1]),
        ]);
    } else {
        steps.push(ProgrammeStep::Wash(pace.prewash[0] + pace.prewash[1] + Seconds(10.0)));
    }
    steps.push(drain);
    let [before, dispense, after] = pace.main;
    steps.extend([
        fill,
        ProgrammeStep::Wash(before),
        ProgrammeStep::Dispense(dispense),
        ProgrammeStep::Wash(after),
    ]);
    steps.push(hold(appliance.holds[0] + adaptation.warmer));
    for _ in 0..adaptation.purges {
        steps.extend([ProgrammeStep::Wash(pace.purge_every), ProgrammeStep::Purge]);
    }
    let unpurged = f64::from(3 - adaptation.purges);
    steps.extend([ProgrammeStep::Wash(pace.tail + pace.purge_every * unpurged), drain]);
    for _ in 0..pace.rinses + u8::from(adaptation.extra_rinse) {
        steps.extend([fill, ProgrammeStep::Wash(pace.rinse), drain]);
    }
    let [before, dispense, after] = pace.last;
    steps.extend([fill, ProgrammeStep::Wash(before), ProgrammeStep::Dispense(dispense)]);
    steps.extend([hold(appliance.holds[1]), ProgrammeStep::Wash(after), drain]);
    steps.extend([ProgrammeStep::DryHeat(pace.dry[0]), ProgrammeStep::Vent(pace.dry[1])]);
    match trouble {
        Some(trouble) => with_fault(steps, trouble, random),
        None => steps,
    }
}
