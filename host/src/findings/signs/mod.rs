//! What the signs of a cycle say, beside its intervals. Limits are common practice, no source, unless they say otherwise.

mod logger;
mod machine;
mod small;

use tubtrace_units::Seconds;

use super::{Band, Case, Departure, Finding, Measurement, Quantity, finding};
use crate::intervals::{Kind, Sign};
pub(super) use logger::never_seen;

/// A clip that falls off reads nothing new: part of the cycle without a reading.
const SILENT: f64 = 0.02;

pub(super) fn look(case: &Case, findings: &mut Vec<Finding>) {
    machine::starts(case, findings);
    machine::stops(case, findings);
    machine::power(case, findings);
    machine::hose(case, findings);
    machine::inflow(case, findings);
    machine::heater(case, findings);
    machine::silent_pump(case, findings);
    small::stays_on(case, findings);
    small::dispenser(case, findings);
    logger::logger(case, findings);
}

struct Told<'a> {
    departure: Departure,
    about: &'a str,
    does: Kind,
    at: Seconds,
    measured: Quantity,
    limits: (Option<Quantity>, Option<Quantity>),
    uncertainty: Quantity,
}

fn tell(told: Told) -> Finding {
    let Told { departure, about, does, at, measured, limits, uncertainty } = told;
    let measurement =
        Measurement { measured, expected: limits, uncertainty, certainty: 0.95, band: Band::Beyond };
    finding(departure, about.to_owned(), does, at, measurement)
}

fn at_most_parts(
    departure: Departure,
    about: &str,
    does: Kind,
    worst: Sign,
    limit: f64,
    doubt: f64,
) -> Finding {
    tell(Told {
        departure,
        about,
        does,
        at: worst.at,
        measured: Quantity::Part(worst.value),
        limits: (None, Some(Quantity::Part(limit))),
        uncertainty: Quantity::Part(doubt),
    })
}

/// Something that lasted, from `at` on, for longer than it may.
fn lasted(
    case: &Case,
    departure: Departure,
    about: &str,
    does: Kind,
    (at, lasts): (Seconds, Seconds),
    most: Seconds,
) -> Finding {
    tell(Told {
        departure,
        about,
        does,
        at,
        measured: Quantity::Time(lasts),
        limits: (None, Some(Quantity::Time(most))),
        uncertainty: Quantity::Time(case.surroundings.resolution * 2.0),
    })
}

fn counted(departure: Departure, about: &str, does: Kind, at: Seconds, count: usize, most: u32) -> Finding {
    tell(Told {
        departure,
        about,
        does,
        at,
        measured: Quantity::Count(count as u32),
        limits: (None, Some(Quantity::Count(most))),
        uncertainty: Quantity::Count(0),
    })
}
