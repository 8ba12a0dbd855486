//! Many runs of one repaired control: whether it may go back. A run that is missing, of another programme or in doubt is never a pass.

mod assessment;
mod constants;
mod digest;
mod dummy;
mod fault;
mod overlay;
mod plan;
mod run;
mod series;
pub mod statistics;

pub use assessment::{Assessment, Programme, Verdict, assess};
pub(crate) use constants::ALL as CONSTANTS;
pub use digest::digest;
pub use dummy::without_water;
pub use fault::Shown;
pub use overlay::overlaid;
pub use plan::{Original, Own, Plan, Wanted, parse, read};
pub use run::{Counts, Doubt, Found, Run};
pub use series::{Point, Series, Spread};
