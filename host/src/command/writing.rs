//! Where a command may write its output: `--force`, and what it must not overwrite.

use std::path::Path;

use clap::Args;

use crate::output::{OutputError, Place, Rules};

/// Whether files that are there already may be overwritten.
#[derive(Args)]
pub(super) struct Writing {
    /// Write over a file that is there already; never over one that is read.
    #[arg(long)]
    pub(super) force: bool,
}

impl Writing {
    /// Checks, before a command begins its work, that it may write to `output`; none of its `inputs` may be overwritten.
    pub(super) fn place(&self, output: &Path, inputs: &[&Path]) -> Result<Place, OutputError> {
        Rules::new(inputs, self.force)?.place(output)
    }

    /// Does the same for an output in a folder, and creates the folder where it is not there.
    pub(super) fn place_below(&self, output: &Path, inputs: &[&Path]) -> Result<Place, OutputError> {
        Rules::new(inputs, self.force)?.place_below(output)
    }
}
