//! `tubtrace completions` and `tubtrace man`.

use std::path::{Path, PathBuf};

use clap::{Args, Command};
use clap_complete::Shell;

use super::outcome::{Done, Failure};
use super::streams::{hand_over, say};
use super::writing::Writing;
use crate::output::{OutputError, Place};

/// Prints what lets a shell complete this command and its options.
#[derive(Args)]
#[command(
    after_help = "Examples:\n  tubtrace completions bash > ~/.local/share/bash-completion/completions/tubtrace\n  tubtrace completions zsh > \"${fpath[1]}/_tubtrace\"\n  tubtrace completions fish > ~/.config/fish/completions/tubtrace.fish\n  tubtrace completions powershell >> $PROFILE"
)]
pub(super) struct Completions {
    /// Which shell.
    shell: Shell,
}

impl Completions {
    /// `whole` is the command with all that it has below it.
    pub(super) fn run(self, mut whole: Command) -> Result<Done, Failure> {
        let mut script = Vec::new();
        clap_complete::generate(self.shell, &mut whole, "tubtrace", &mut script);
        hand_over(&String::from_utf8_lossy(&script))?;
        Ok(Done::Well)
    }
}

/// Prints the manual page, or writes one for each command into a folder.
#[derive(Args)]
#[command(after_help = "Examples:\n  tubtrace man | man -l -\n  tubtrace man --to ~/.local/share/man/man1")]
pub(super) struct Man {
    /// A folder for all of them.
    #[arg(long, value_name = "FOLDER")]
    to: Option<PathBuf>,
    #[command(flatten)]
    writing: Writing,
}

impl Man {
    /// `whole` is the command with all that it has below it.
    pub(super) fn run(self, whole: Command) -> Result<Done, Failure> {
        let Some(folder) = self.to.as_deref() else {
            let mut page = Vec::new();
            let failed = |error| OutputError::Write { name: "standard output".into(), error };
            clap_mangen::Man::new(whole).render(&mut page).map_err(failed)?;
            hand_over(&String::from_utf8_lossy(&page))?;
            return Ok(Done::Well);
        };
        for (place, page) in pages_in(whole, folder, &self.writing)? {
            place.write_all(&page)?;
        }
        say(&format!("{}: a page for each command", folder.display()));
        Ok(Done::Well)
    }
}

/// The page of each command, and where in the folder it goes.
fn pages_in(whole: Command, folder: &Path, writing: &Writing) -> Result<Vec<(Place, Vec<u8>)>, OutputError> {
    let failed = |error| OutputError::Write { name: folder.display().to_string(), error };
    // What generates them knows what they are called, and writes them by itself.
    let made = tempfile::tempdir().map_err(failed)?;
    clap_mangen::generate_to(whole, made.path()).map_err(failed)?;
    let pages = std::fs::read_dir(made.path()).map_err(failed)?;
    pages
        .map(|page| {
            let page = page.map_err(failed)?;
            let place = writing.place_below(&folder.join(page.file_name()), &[])?;
            Ok((place, std::fs::read(page.path()).map_err(failed)?))
        })
        .collect()
}
