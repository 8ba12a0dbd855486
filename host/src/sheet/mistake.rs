//! What is wrong with a sheet, told by line.

use std::fmt;
use std::io;

/// Mistakes that are told at most; who made more has another file in hand.
const TOLD: usize = 20;

/// What is wrong with a line, and how it is written right.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mistake {
    /// Which line it is, from 1.
    pub line: usize,
    /// A sentence.
    pub what: String,
}

/// All mistakes of a sheet.
#[derive(Debug)]
pub struct Mistakes {
    /// What the sheet is called: its path, or "standard input".
    pub name: String,
    /// In order of lines; at least one.
    pub all: Vec<Mistake>,
}

impl fmt::Display for Mistakes {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let told = self.all.iter().take(TOLD).map(|m| format!("{}:{}: {}", self.name, m.line, m.what));
        f.write_str(&told.collect::<Vec<_>>().join("\n"))?;
        match self.all.len().saturating_sub(TOLD) {
            0 => Ok(()),
            more => write!(f, "\nand {more} more mistakes"),
        }
    }
}

/// Why a sheet cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum SheetError {
    /// It could not be read.
    #[error("cannot read the sheet {name}: {error}")]
    Io {
        /// Its path as it was given, or "standard input".
        name: String,
        /// What the system says of it.
        error: io::Error,
    },
    /// Something in it is not understood.
    #[error("{0}")]
    Wrong(Mistakes),
}
