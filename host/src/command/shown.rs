//! How things are shown: in whose units, and what the terminal can draw.

use std::io::IsTerminal;

use clap::{Args, ValueEnum};
use tubtrace_units::LitresPerMinute;

use crate::report::{Units, WIDTH};

/// The option that says in which units people read what is printed.
#[derive(Args, Clone, Copy)]
pub(super) struct Shown {
    /// Units for people: si (degrees C, litres) or us (degrees F, US gallons); by default those of your locale. JSON is always si.
    #[arg(long, value_name = "UNITS")]
    units: Option<Word>,
}

#[derive(Clone, Copy, ValueEnum)]
enum Word {
    Si,
    Us,
}

impl Shown {
    pub(super) fn units(self) -> Units {
        match self.units {
            Some(Word::Si) => Units::Si,
            Some(Word::Us) => Units::Us,
            None => Units::of_locale(&locale()),
        }
    }

    /// Columns that text is wrapped to: those of the terminal, and no more than are good to read.
    pub(super) fn width(self) -> usize {
        match terminal_size::terminal_size() {
            Some((width, _)) if std::io::stdout().is_terminal() => {
                usize::from(width.0).clamp(NARROWEST, WIDEST_TEXT)
            }
            _ => WIDTH,
        }
    }
}

/// What POSIX calls the locale of measurement, in its order; elsewhere that of the system.
fn locale() -> String {
    let set = |name: &str| std::env::var(name).ok().filter(|value| !value.is_empty());
    set("LC_ALL")
        .or_else(|| set("LC_MEASUREMENT"))
        .or_else(|| set("LANG"))
        .or_else(sys_locale::get_locale)
        .unwrap_or_default()
}

/// How much water comes in.
#[derive(Args, Clone, Copy)]
pub(super) struct Inlet {
    /// What the inlet valve lets by in a minute, from its marking or a bucket: gives the volume of each fill. Litres, or US gallons
    /// with us units.
    #[arg(long, value_name = "FLOW", value_parser = flow)]
    inlet: Option<f64>,
}

fn flow(text: &str) -> Result<f64, String> {
    let flow: f64 = text.parse().map_err(|_| "not a number".to_owned())?;
    if (0.1..100.0).contains(&flow) { Ok(flow) } else { Err("0.1 to 100 a minute".into()) }
}

impl Inlet {
    /// The flow that was given, read in the units that are shown.
    pub(super) fn flow(self, units: Units) -> Option<LitresPerMinute> {
        self.inlet.map(|number| units.flow_of(number))
    }
}

/// Whether a strip of each cycle is drawn.
#[derive(Args, Clone, Copy)]
pub(super) struct Strip {
    /// Draw a strip of the cycle: by default where the output is a terminal that can.
    #[arg(long, value_name = "WHEN", default_value = "auto")]
    strip: When,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum When {
    Auto,
    Always,
    Never,
}

/// Columns of the narrowest strip that is drawn, and of the widest.
const NARROWEST: usize = 40;
const WIDEST: usize = 120;

/// Columns of the widest text: longer lines are hard to read. Common practice, no source.
const WIDEST_TEXT: usize = 100;

impl Strip {
    /// How wide a strip is to be drawn, if at all.
    pub(super) fn columns(self) -> Option<usize> {
        let able = std::io::stdout().is_terminal() && supports_unicode::on(supports_unicode::Stream::Stdout);
        let columns = terminal_size::terminal_size().map_or(80, |(width, _)| usize::from(width.0));
        match self.strip {
            When::Always => Some(columns.clamp(NARROWEST, WIDEST)),
            When::Auto if able && columns >= NARROWEST => Some(columns.min(WIDEST)),
            When::Auto | When::Never => None,
        }
    }
}
