//! Many runs of one repaired control: whether it may go back. A run that is missing, of another programme or in doubt is never a pass.

mod assessment;
mod constants;
mod digest;
mod dummy;
mod overlay;
mod plan;
mod run;
mod series;
pub mod statistics;

pub use assessment::{Assessment, Programme, Shown, Verdict, assess};
pub(crate) use constants::ALL as CONSTANTS;
pub use digest::digest;
pub use dummy::without_water;
pub use overlay::overlaid;
pub use plan::{Original, Own, Plan, PlanError, Wanted, parse, read};
pub use run::{Counts, Doubt, Found, Run};
pub use series::{Point, Series, Spread};
