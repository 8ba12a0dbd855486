//! What other tools read: tables as CSV, JSON Lines and Parquet, loads as a value change dump, waveforms as WAV.

mod csv;
mod folder;
mod intervals;
mod jsonl;
mod parquet;
mod readings;
mod table;
mod vcd;
mod wav;

use std::path::Path;

pub use self::csv::to_csv;
pub use self::parquet::to_parquet;
pub use folder::{TABLES, below, names};
pub use intervals::intervals;
pub use jsonl::to_jsonl;
pub use readings::{readings, too_many};
pub use table::{Column, Table, Values};
pub use vcd::to_vcd;
pub use wav::{PlacedBurst, SampleFile, bursts_to_wav};

/// The kinds of file that an export can be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// Comma separated values, RFC 4180.
    Csv,
    /// JSON Lines: an object on each line.
    Jsonl,
    /// Apache Parquet: a table by columns, for query engines.
    Parquet,
    /// Value change dump, IEEE 1364.
    Vcd,
    /// RIFF WAVE: samples of a waveform.
    Wav,
}

impl Format {
    /// The endings of their files' names.
    pub const ENDINGS: [&str; 5] = ["csv", "jsonl", "parquet", "vcd", "wav"];

    /// The kind that the ending of a file's name stands for, in capitals or small letters; `None` where it stands for none.
    #[must_use]
    pub fn of(path: &Path) -> Option<Self> {
        Self::of_ending(&path.extension()?.to_str()?.to_ascii_lowercase())
    }

    /// The kind that an ending stands for, given without its dot and in small letters; `None` where it stands for none.
    #[must_use]
    pub fn of_ending(ending: &str) -> Option<Self> {
        match ending {
            "csv" => Some(Self::Csv),
            "jsonl" | "ndjson" => Some(Self::Jsonl),
            "parquet" => Some(Self::Parquet),
            "vcd" => Some(Self::Vcd),
            "wav" => Some(Self::Wav),
            _ => None,
        }
    }
}
