//! `tubtrace completions` and `tubtrace man`.

use std::path::PathBuf;

use clap::{Args, CommandFactory};
use clap_complete::Shell;

use super::{Done, Failure, Tubtrace, print, say};

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
    pub(super) fn run(self) -> Result<Done, Failure> {
        let mut script = Vec::new();
        clap_complete::generate(self.shell, &mut Tubtrace::command(), "tubtrace", &mut script);
        print(&String::from_utf8_lossy(&script))?;
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
}

impl Man {
    pub(super) fn run(self) -> Result<Done, Failure> {
        let Some(folder) = self.to else {
            let mut page = Vec::new();
            let failed = |error| Failure::Write { name: "standard output".into(), error };
            clap_mangen::Man::new(Tubtrace::command()).render(&mut page).map_err(failed)?;
            print(&String::from_utf8_lossy(&page))?;
            return Ok(Done::Well);
        };
        let failed = |error| Failure::Write { name: folder.display().to_string(), error };
        std::fs::create_dir_all(&folder).map_err(failed)?;
        clap_mangen::generate_to(Tubtrace::command(), &folder).map_err(failed)?;
        say(&format!("{}: a page for each command", folder.display()));
        Ok(Done::Well)
    }
}
