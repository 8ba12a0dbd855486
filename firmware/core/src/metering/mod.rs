//! Windows out of samples: the arithmetic of a clamp meter, once every 100 ms.

mod current;
mod mains;
mod pickup;
mod sine;

pub use current::{Calibration, Current, measure};
pub use mains::MainsFinder;
pub use pickup::Pickup;
