//! Windows out of samples: the arithmetic of a clamp meter, once every 100 ms.

mod battery;
mod current;
mod mains;
mod pickup;
mod sine;

pub(crate) use battery::millivolts;
pub use current::{Calibration, Current, measure};
pub use mains::MainsFinder;
pub use pickup::Pickup;
