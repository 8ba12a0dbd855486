//! `tubtrace sheet`.

use std::io::IsTerminal;
use std::path::{Path, PathBuf};

use clap::Args;

use super::asking::ask;
use super::known::drawn;
use super::outcome::{Done, Failure};
use super::shown::{Shown, Strip};
use super::streams::{print, say};
use super::writing::Writing;
use crate::chart::{Machine, to_toml};
use crate::report::paper;
use crate::sheet::{Paper, read, to_text};

/// Turns the sheet behind the panel, the paper chart of a cycle, into a chart, and draws it to compare with the paper.
///
/// The sheet is typed in as text, one line for each interval, from a file, from standard input (-), or line by line as it is asked for. A
/// printed time is rough: limits are drawn as wide as that. A sheet says nothing of what this machine draws, and neither does its chart.
#[derive(Args)]
#[command(after_help = "\
A line is what is on, and how long:
  fill 1:30                    minutes and seconds; also 4, 4 min, 1 1/2, 90 s
  wash 4 + heat                the heater is on meanwhile
  wash 4 + heat to 55 C        until the water is warm, however long it takes; or 131 F
  wash 12 + 1-3 purges         short drains and refills within it
  drain 1
  dry 20 + heat
  pause 2
  wash 8-12                    a range, where the paper has one
  may wash 2                   an interval that may be left out
  rinse 2                      a wash by another name; or wash 2 (any name)
A line with a colon is a heading, of what stands below as far as the end of that water:
  main wash:
  may rinse:
  rinse: 1-2 times
And once, if you like:
  name heavy, 120 V
  volts 120
  heater 800 W                 what the plate has: then a heater that is half dead is told
Notes stand behind #.

Examples:
  tubtrace sheet heavy.txt
  tubtrace sheet heavy.txt -o heavy.chart.toml
  tubtrace sheet -o heavy.chart.toml         asks for it line by line
  tubtrace check night.tub --sheet heavy.txt

Unplug or lock out the supply and prove it dead before a panel comes off to reach the sheet; panels back on before power.")]
pub(super) struct Sheet {
    /// The sheet as text; - is standard input. Without it, it is asked for line by line.
    sheet: Option<PathBuf>,
    /// Where the chart goes; - is standard output. Without it, the sheet is only drawn.
    #[arg(short, long, value_name = "CHART")]
    output: Option<PathBuf>,
    #[command(flatten)]
    writing: Writing,
    #[command(flatten)]
    shown: Shown,
    #[command(flatten)]
    strip: Strip,
}

impl Sheet {
    pub(super) fn run(self) -> Result<Done, Failure> {
        let inputs: Vec<&Path> = self.sheet.iter().map(PathBuf::as_path).collect();
        let place = self.output.as_deref().map(|output| self.writing.place(output, &inputs)).transpose()?;
        let (paper_typed, name) = match &self.sheet {
            Some(path) => (read(path)?, path.as_path()),
            None if std::io::stdin().is_terminal() => {
                let mut answers = std::io::stdin().lock();
                (ask(&mut answers, &mut std::io::stderr())?, Path::new("-"))
            }
            None => {
                let what = "which sheet? Name a file, or - for standard input; on a terminal it is asked for line by line";
                return Err(Failure::Other(what.into()));
            }
        };
        let drawn = drawn(&paper_typed, name)?;
        let to_standard_output = self.output.as_deref() == Some(Path::new("-"));
        if !to_standard_output {
            print(&paper(&drawn, self.strip.columns(), self.shown.units()))?;
        }
        if let (Some(place), Some(output)) = (place, &self.output) {
            place.write_all(text(&paper_typed, drawn.chart.into()).as_bytes())?;
            if !to_standard_output {
                say(&format!("{}: a chart of the sheet, for --machine", output.display()));
            }
        }
        Ok(Done::Well)
    }
}

/// The chart as it is kept: the sheet above it, as it was typed, for whoever changes it later.
fn text(paper: &Paper, machine: Machine) -> String {
    let typed: String = to_text(paper).lines().map(|line| format!("#   {line}\n")).collect();
    format!("# Drawn from the sheet behind the panel, whose times are rough:\n{typed}{}", to_toml(&machine))
}
