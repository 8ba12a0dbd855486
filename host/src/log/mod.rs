//! Logs into traces: `.tub` logs and CSV files from any meter, damaged or not.

mod assumptions;
mod columns;
mod contents;
mod error;
mod join;
mod layout;
mod meter_csv;
mod moment;
mod notes;
mod number;
mod order;
mod plausible;
mod read;
mod resample;
mod riff;
mod row;
mod rows;
mod source;
mod timing;
mod tub;
mod wav;
mod write;

pub use assumptions::Assumptions;
pub use contents::Log;
pub use error::LogError;
pub use layout::{COLUMNS, Layout};
pub use moment::MILLISECONDS;
pub use notes::{Note, Notes};
pub use read::{intact, is_tub, parse, parse_as, read, read_as, read_bytes};
pub use riff::is_wav;
pub(crate) use timing::ALL as CONSTANTS;
pub use wav::{Scale, from_wav, from_wav_reader};
pub(crate) use write::append;
pub use write::to_tub;
