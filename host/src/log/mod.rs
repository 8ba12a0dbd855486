//! Logs into traces: `.tub` logs and CSV files from any meter, damaged or not.

mod assumptions;
mod calendar;
mod columns;
mod constants;
mod contents;
mod error;
mod frames;
mod headers;
mod join;
mod layout;
mod letters;
mod meter_csv;
mod moment;
mod notes;
mod number;
mod order;
mod plausible;
mod read;
mod records;
mod resample;
mod riff;
mod row;
mod rows;
mod series;
mod shared;
mod source;
mod still;
mod timing;
mod tub;
mod wav;
mod write;

pub use assumptions::Assumptions;
pub(crate) use constants::ALL as CONSTANTS;
pub use contents::Log;
pub use error::LogError;
pub use layout::{COLUMNS, DAYS, Layout, MILLISECONDS};

pub use notes::{Note, Notes};
pub use read::{intact, is_tub, parse, parse_as, read, read_as, read_bytes};
pub use riff::is_wav;
pub use wav::{Scale, from_wav, from_wav_reader};
pub(crate) use write::append;
pub use write::{most_amps, to_tub};
