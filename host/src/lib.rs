//! From a log to findings, one stage a module, each of which knows only the type it takes and the type it gives.
//!
//! ```text
//! log file -> trace -> loads -> intervals -> programme -> alignment -> checks -> findings -> report
//! ```
pub mod alignment;
pub mod analysis;
pub mod chart;
pub mod checks;
pub mod command;
pub mod compare;
pub mod constant;
pub mod export;
pub mod findings;
pub mod intervals;
pub mod learn;
pub mod link;
pub mod live;
pub mod loads;
pub mod log;
pub mod output;
pub mod programme;
mod quantity;
pub mod report;
mod stats;
mod text;
pub mod trace;

/// All constants that could have another value, stage by stage.
pub fn constants() -> impl Iterator<Item = &'static dyn constant::Listed> {
    let stages: [&[constant::List]; 9] = [
        &[alignment::CONSTANTS],
        &checks::CONSTANTS,
        &[compare::CONSTANTS],
        &[findings::CONSTANTS],
        &[intervals::CONSTANTS],
        &[learn::CONSTANTS],
        &loads::constants::CONSTANTS,
        &[log::CONSTANTS],
        &[programme::CONSTANTS],
    ];
    stages.into_iter().flatten().flat_map(|list| list.iter().copied())
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::constant::{Listed, Origin};
    use super::constants;

    #[test]
    fn no_two_constants_have_one_name() {
        let names: BTreeSet<&str> = constants().map(Listed::name).collect();
        assert_eq!(names.len(), constants().count());
    }

    #[test]
    fn every_constant_says_what_it_is() {
        for constant in constants() {
            let name = constant.name();
            assert!(constant.number().is_finite(), "{name}");
            assert!(!constant.unit().is_empty() && constant.meaning().split(' ').count() > 3, "{name}");
            assert!(constant.origin() != Origin::Source(""), "{name}");
        }
    }
}
