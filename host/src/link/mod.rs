//! The link to a logger: requests over a wire, replies and frames of its log back.

mod conversation;
mod error;
mod part;
mod patience;
mod port;
mod pull;
mod pulled;

pub use conversation::Link;
pub use error::LinkError;
pub use part::Part;
pub use patience::Patience;
pub use port::{PortError, Wire, open};
pub use pull::pull;
pub use pulled::{PullError, Pulled};
