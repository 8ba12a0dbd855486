//! The link: what a host asks over the cable, answered.

mod handler;
mod inbox;
mod outlet;
mod requests;

pub use handler::RequestHandler;
pub use inbox::Inbox;
pub use outlet::{Gone, Outlet};
