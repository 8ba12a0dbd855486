//! The way to the host, which the board provides.

use tubtrace_protocol::{MAX_FRAME, Reply, encode_reply};

/// Nobody listens any more.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Gone;

/// The way to the host.
#[allow(async_fn_in_trait, reason = "one thread; nobody needs to name the future")]
pub trait Outlet {
    /// Sends bytes to the host.
    ///
    /// # Errors
    /// [`Gone`], when nobody takes them any more.
    async fn send(&mut self, bytes: &[u8]) -> Result<(), Gone>;

    /// Waits for about a second.
    async fn pause(&mut self);
}

/// Sends a reply.
///
/// # Errors
/// When nobody listens any more.
pub(super) async fn reply(outlet: &mut impl Outlet, reply: &Reply) -> Result<(), Gone> {
    let mut buffer = [0; MAX_FRAME];
    // A reply is far shorter than the longest record.
    let frame = encode_reply(reply, &mut buffer).map_err(|_| Gone)?;
    outlet.send(frame).await
}
