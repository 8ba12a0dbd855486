//! What checks of several subjects rest on.

pub(super) mod drains;
pub(super) mod fills;
pub(super) mod warmth;
