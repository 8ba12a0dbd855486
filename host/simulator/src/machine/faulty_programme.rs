//! What a fault of the control does to a programme.

use rand::RngExt;
use tubtrace_units::{Celsius, Litres, Seconds};

use super::fault::{Fault, Trouble};
use super::programme_step::ProgrammeStep;
use crate::random::Random;

/// The programme as the control runs it with this trouble.
pub(super) fn with_fault(
    mut steps: Vec<ProgrammeStep>,
    trouble: Trouble,
    random: &mut Random,
) -> Vec<ProgrammeStep> {
    match trouble.fault {
        Fault::ShortFill => {
            for step in &mut steps {
                if let ProgrammeStep::Fill(to, _) = step {
                    *to = Litres(to.0 * trouble.between(0.7, 0.4));
                }
            }
        }
        Fault::SensorReadsLow => {
            for step in &mut steps {
                if let ProgrammeStep::Hold(until, _) = step {
                    *until += Celsius(40.0);
                }
            }
        }
        Fault::NoPurge => steps.retain(|s| *s != ProgrammeStep::Purge),
        Fault::HeatWithoutWater => {
            let waters = waters(&steps);
            let at = waters[random.random_range(1..waters.len())].0;
            steps.insert(at, ProgrammeStep::DryHeat(Seconds(trouble.between(60.0, 240.0))));
        }
        Fault::HeatStuckOn => steps.push(ProgrammeStep::DryHeat(Seconds(trouble.between(600.0, 1_800.0)))),
        Fault::IntervalShort => scale_one(&mut steps, trouble.between(0.55, 0.2), random),
        Fault::IntervalLong => scale_one(&mut steps, trouble.between(1.8, 3.0), random),
        Fault::TimerDrift => {
            let by = trouble.between(1.25, 1.6);
            steps.iter_mut().for_each(|s| scale(s, by));
        }
        Fault::WaterSkipped => {
            // The main one: without a rinse the control may do by itself.
            let (from, to) = waters(&steps)[1];
            steps.drain(from..to);
        }
        Fault::WaterRepeated => {
            let (from, to) = inner(&steps, random);
            // Twice more: once may be a rinse that the control added.
            let again = steps[from..to].repeat(2);
            steps.splice(to..to, again);
        }
        Fault::StopAndRestart => {
            let stop = steps.iter().position(|s| matches!(s, ProgrammeStep::Hold(..))).map_or(0, |i| i + 1);
            let mut stopped = steps[..stop].to_vec();
            stopped.extend([
                ProgrammeStep::Wash(Seconds(95.0)),
                ProgrammeStep::Pause(Seconds(240.0)),
                ProgrammeStep::Drain(Seconds(45.0)),
            ]);
            stopped.extend(steps);
            steps = stopped;
        }
        Fault::StopsHalfway => {
            let washes: Vec<usize> =
                (2..steps.len() - 2).filter(|&i| matches!(steps[i], ProgrammeStep::Wash(_))).collect();
            steps.truncate(washes[random.random_range(0..washes.len())] + 1);
        }
        Fault::WrongOrder => {
            // Drying comes before the last water.
            let dry =
                steps.iter().position(|s| matches!(s, ProgrammeStep::DryHeat(_))).unwrap_or(steps.len());
            let last = waters(&steps).last().map_or(0, |w| w.0);
            let drying = steps.split_off(dry);
            steps.splice(last..last, drying);
        }
        Fault::DoorOpened => {
            let washes: Vec<usize> = (0..steps.len()).filter(|&i| long_wash(&steps[i])).collect();
            let at = washes[random.random_range(0..washes.len())];
            if let ProgrammeStep::Wash(time) = steps[at] {
                let first = time * random.random_range(0.25..0.75);
                let pause = ProgrammeStep::Pause(Seconds(trouble.between(45.0, 400.0)));
                steps.splice(at..=at, [ProgrammeStep::Wash(first), pause, ProgrammeStep::Wash(time - first)]);
            }
        }
        _ => {}
    }
    steps
}

fn long_wash(step: &ProgrammeStep) -> bool {
    matches!(step, ProgrammeStep::Wash(time) if *time > Seconds(100.0))
}

fn scale(step: &mut ProgrammeStep, by: f64) {
    match step {
        ProgrammeStep::Wash(t)
        | ProgrammeStep::Dispense(t)
        | ProgrammeStep::Drain(t)
        | ProgrammeStep::DryHeat(t)
        | ProgrammeStep::Vent(t)
        | ProgrammeStep::Pause(t) => {
            *t = *t * by;
        }
        ProgrammeStep::Fill(..) | ProgrammeStep::Hold(..) | ProgrammeStep::Purge => {}
    }
}

/// One long wash or drain, any.
fn scale_one(steps: &mut [ProgrammeStep], by: f64, random: &mut Random) {
    let fit: Vec<usize> = (0..steps.len())
        .filter(|&i| long_wash(&steps[i]) || matches!(steps[i], ProgrammeStep::Drain(_)))
        .collect();
    scale(&mut steps[fit[random.random_range(0..fit.len())]], by);
}

/// The waters: from a fill to the drain that ends it, as indices of steps.
fn waters(steps: &[ProgrammeStep]) -> Vec<(usize, usize)> {
    let mut waters = Vec::new();
    let mut from = None;
    for (i, step) in steps.iter().enumerate() {
        match step {
            ProgrammeStep::Fill(..) if from.is_none() => from = Some(i),
            ProgrammeStep::Drain(_) => waters.extend(from.take().map(|f| (f, i + 1))),
            _ => {}
        }
    }
    waters
}

/// One of the waters but the first and the last.
fn inner(steps: &[ProgrammeStep], random: &mut Random) -> (usize, usize) {
    let waters = waters(steps);
    waters[random.random_range(1..waters.len() - 1)]
}
