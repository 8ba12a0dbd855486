//! The logger itself.

use super::check::{Check, Harm, Headline, Numbers};
use crate::intervals::Kind;

pub(super) static CHECKS: [&Check; 1] = [&LOG_ENDS];

/// The log ends in the middle, because the logger's battery did.
static LOG_ENDS: Check = Check {
    id: "log-ends",
    subject: "logger",
    does: Kind::Pause,
    rank: 10,
    hold: |context| {
        let ends = context.cycle.cut_at_end && context.surroundings.battery_ended;
        ends.then(|| LOG_ENDS.counted(context.cycle.end(), 1, 0)).into_iter().collect()
    },
    headline: Headline::Is("the log ends in the middle: the logger's battery is empty"),
    numbers: Numbers::Measured,
    harm: Harm::Logger,
    ..Check::PLAIN
};
