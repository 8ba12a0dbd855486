//! What `arm`, `pull` and `watch` share: connecting to the logger, the time to give it, and its answers in words.

use clap::Args;
use jiff::Timestamp;
use jiff::tz::TimeZone;
use tubtrace_protocol::{Attached, Checked, Clamp, HostClock, Mains, State, Status, Thermistor};

use super::outcome::Failure;
use crate::link::{Link, Wire, open};
use crate::text::harmless;

/// Which logger is meant, where several are plugged in.
#[derive(Args)]
pub(super) struct Which {
    /// Port of the logger: COM7, /dev/ttyACM0, /dev/cu.usbmodem1; or tcp:HOST:PORT behind a bridge. By default the one
    /// logger that is plugged in.
    #[arg(long, value_name = "PORT")]
    port: Option<String>,
}

impl Which {
    pub(super) fn connect(&self) -> Result<Link<Box<dyn Wire>>, Failure> {
        let wire = open(self.port.as_deref())?;
        // A number that no earlier conversation is likely to have used.
        let nonce = Timestamp::now().as_microsecond() as u32;
        Ok(Link::begin(wire, nonce)?)
    }
}

/// The time of this computer and its offset from UTC, as the logger takes it.
pub(super) fn clock() -> HostClock {
    let now = Timestamp::now();
    HostClock {
        unix_ms: now.as_millisecond(),
        // At most a day, which fits.
        offset_minutes: (TimeZone::system().to_offset(now).seconds() / 60) as i16,
    }
}

/// The logger's state in two lines: what it holds, and how full its memory and battery are.
pub(super) fn describe(logger: u32, firmware: &str, status: &Status) -> String {
    let state = match status.state {
        State::Empty => "empty".to_owned(),
        State::Recording => format!("recording \"{}\"", harmless(&status.label)),
        State::Stopped => format!("holds \"{}\", not recording", harmless(&status.label)),
        State::NoFlash => "cannot record: its flash memory does not answer".to_owned(),
    };
    let hours = f64::from(status.tick.0) / 36_000.0;
    let full = u64::from(status.used) * 100 / u64::from(status.capacity.max(1));
    let lost = if status.lost > 0 { format!(", {} windows lost", status.lost) } else { String::new() };
    let mains = match status.mains {
        Mains::Unknown => "no mains seen",
        Mains::Hz50 => "50 Hz",
        Mains::Hz60 => "60 Hz",
    };
    format!(
        "Logger {logger:08x}, firmware {}: {state}.\n{hours:.1} h, {full} % of its memory, battery {:.1} V, {mains}{lost}.",
        harmless(firmware),
        f64::from(status.battery_mv) / 1_000.0,
    )
}

/// The result of the self-check, a line for each clip; where one is not well, the line says what to do.
pub(super) fn checked(checked: &Checked) -> Vec<String> {
    let clamp = match checked.clamp {
        Clamp::Live => "sees current",
        Clamp::Quiet => {
            "no current. Do not touch it under power: unplug the machine or lock it out, see that the jaw is closed around \
             ONE insulated conductor, then power back on, start the machine, look again"
        }
        Clamp::Clipped => {
            "more current than it can take. Do not touch it under power: unplug the machine or lock it out, then another \
             clamp, or the right conductor"
        }
    };
    let pickup = |attached| match attached {
        Attached::Hears => "hears",
        Attached::Quiet => {
            "quiet: reach behind nothing that has power; unplugged, tap the line beside it and look again"
        }
        Attached::Stuck => "does not move: its lead is broken or shorted",
    };
    let thermistor = |clip| match clip {
        Thermistor::Reads(centi) => format!("{:.1} \u{b0}C", f64::from(centi) / 100.0),
        Thermistor::Open => "open: not plugged in, or its lead is broken".into(),
        Thermistor::Shorted => "shorted".into(),
        Thermistor::NoConverter => "no answer from its converter".into(),
    };
    vec![
        format!("clamp           {clamp}"),
        format!("supply pickup   {}", pickup(checked.pickups[0])),
        format!("drain pickup    {}", pickup(checked.pickups[1])),
        format!("supply clip     {}", thermistor(checked.clips[0])),
        format!("drain clip      {}", thermistor(checked.clips[1])),
    ]
}

/// Whether every clip works, so that a recording can begin without asking.
pub(super) fn is_well(checked: &Checked) -> bool {
    checked.clamp == Clamp::Live
        && checked.pickups == [Attached::Hears; 2]
        && checked.clips.iter().all(|c| matches!(c, Thermistor::Reads(_)))
}
