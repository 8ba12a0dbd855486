//! Where a command's output may go.

use std::path::Path;

use clap::Args;

use crate::output::{OutputError, Place, Rules};

/// What may be written over.
#[derive(Args)]
pub(super) struct Writing {
    /// Write over a file that is there already; never over one that is read.
    #[arg(long)]
    pub(super) force: bool,
}

impl Writing {
    /// The place of an output of a command that reads `inputs`, asked before its work.
    pub(super) fn place(&self, output: &Path, inputs: &[&Path]) -> Result<Place, OutputError> {
        Rules::new(inputs, self.force)?.place(output)
    }

    /// Likewise of one in a folder, which is made where it is not there.
    pub(super) fn place_below(&self, output: &Path, inputs: &[&Path]) -> Result<Place, OutputError> {
        Rules::new(inputs, self.force)?.place_below(output)
    }
}
