//! Loads: which of them run when, inferred from all channels together.
//!
//! 1. The readings are grouped into segments of steady power and noise (`segment.rs`).
//!    What comes on again and again and is not of the machine is taken off them first (`house`).
//! 2. The segments are split into runs of the machine, and runs of another clamp are brought to the scale of the others (`runs.rs`).
//! 3. What each load of this machine draws ([`Signatures`]) is learned from the trace itself (`learning.rs`), or given by the machine's file
//!    ([`Draws`], `given.rs`).
//! 4. A hidden Markov model over the joint states of the loads gives the most likely state of each segment (`hmm.rs`, `emission.rs`).
//! 5. What the model cannot know is corrected by a list of passes (`refinement`).

#[cfg(test)]
pub(crate) mod by_hand;
mod chain;
mod columns;
pub(crate) mod constants;
mod course;
mod draws;
mod emission;
mod given;
mod hmm;
mod house;
mod infer;
mod initial;
mod learning;
mod levels;
mod parts;
mod place;
mod posterior;
pub(crate) mod programmes;
mod refinement;
mod runs;
mod segment;
mod signatures;
mod span;
mod state;

pub use draws::{Draw, Drawn, Draws, Rest};
pub use hmm::{Hmm, Steps};
pub use house::{House, house};
pub use infer::{Inferred, infer, infer_known, infer_watched};
pub use levels::Levels;
pub use parts::{Part, parts};
pub use posterior::Posterior;
pub use refinement::{Evidence, PASSES, Pass, Reading, UnseenRun};
pub use runs::{Run, ScaledTrace};
pub use segment::{Segment, steady_segments};
pub use signatures::{Flow, Heater, Signatures};
pub use span::Span;
pub use state::State;
