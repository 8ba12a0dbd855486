//! The statistics of groups: numbers in, numbers out. None of it knows what a cycle is.

mod arrangements;
#[cfg(test)]
mod examples;
mod many;
mod permutation;
mod power;
mod prepared;
mod rank_sum;
mod score;
mod shift;
mod spread;
mod trend;

pub use arrangements::{Arrangements, Unit, enough, least_p, number};
pub use many::{false_discoveries, holm};
pub use permutation::{Tested, test};
pub use power::{band, least_shown};
pub use prepared::{Column, Scale};
pub use rank_sum::RankSum;
pub use shift::Pairs;
pub use spread::from_own_median;
pub use trend::{drifts, slope};
