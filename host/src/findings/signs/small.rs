//! What is small beside a pump: a vent or a dispenser that stays on, a dispenser that is on less often.

use tubtrace_units::{Load, Seconds};

use super::{Told, lasted, tell};
use crate::findings::{Case, Departure, Finding, Quantity};
use crate::intervals::Kind;

/// Less than this is a drain against a higher head, and a valve that is warm.
const STAYS: Seconds = Seconds(90.0);

/// A vent or a dispenser that is on where it should not be.
pub(super) fn stays_on(case: &Case, findings: &mut Vec<Finding>) {
    let Some((load, sign)) = case.cycle.signs.stays_on.filter(|(_, s)| s.lasts > STAYS) else { return };
    let does = if load == Load::Dispenser { Kind::Wash } else { Kind::Dry };
    let on = (sign.at, sign.lasts);
    findings.push(lasted(case, Departure::StaysOn, load.word(), does, on, Seconds(0.0)));
}

pub(super) fn dispenser(case: &Case, findings: &mut Vec<Finding>) {
    let habits = &case.chart.habits;
    let (seen, usual) = (case.cycle.signs.dispenses, habits.dispenses);
    // In a cycle that is cut or breaks off, or whose pump wanders, it cannot be told.
    let told = [
        Departure::Unsteady,
        Departure::PumpStalls,
        Departure::BrokeOff,
        Departure::BeganAgain,
        Departure::LeftOut,
        Departure::StaysOn,
    ];
    let cut = case.cycle.cut_at_start || case.cycle.cut_at_end;
    let doubtful = cut || findings.iter().any(|f| told.contains(&f.departure));
    // A meter of seconds and watts does not see a step of a few watts beside a pump.
    let sees = case.surroundings.resolution < Seconds(0.5);
    if seen < usual && !doubtful && sees {
        let mut finding = tell(Told {
            departure: Departure::DispensesLess,
            about: "dispenser",
            does: Kind::Wash,
            at: case.cycle.start(),
            measured: Quantity::Count(seen),
            limits: (Some(Quantity::Count(usual)), None),
            uncertainty: Quantity::Count(0),
        });
        // As likely as not, if so few are seen of a healthy one now and then.
        let chance = at_most(seen, usual, habits.dispenses_seen.clamp(0.0, 1.0));
        finding.certainty = if chance < BY_CHANCE { 1.0 - chance } else { 0.5 };
        findings.push(finding);
    }
}

/// What healthy dispensers leave unseen more often than this cannot be told.
const BY_CHANCE: f64 = 0.01;

/// Probability of at most `seen` of `times`, each of which is seen with probability `each`: the binomial distribution.
fn at_most(seen: u32, times: u32, each: f64) -> f64 {
    let choose = |k: u32| (0..k).map(|i| f64::from(times - i) / f64::from(i + 1)).product::<f64>();
    (0..=seen.min(times))
        .map(|k| choose(k) * each.powi(k as i32) * (1.0 - each).powi((times - k) as i32))
        .sum()
}

#[cfg(test)]
mod tests {
    use super::at_most;

    /// The cumulative binomial distribution of any handbook's table: n = 5, p = 0.5 and n = 10, p = 0.9.
    #[test]
    fn agrees_with_the_binomial_table() {
        for (seen, times, each, expected) in
            [(1, 5, 0.5, 0.1875), (2, 5, 0.5, 0.5), (8, 10, 0.9, 0.2639), (5, 5, 0.5, 1.0)]
        {
            assert!((at_most(seen, times, each) - expected).abs() < 5e-5, "{seen} of {times}");
        }
    }
}
