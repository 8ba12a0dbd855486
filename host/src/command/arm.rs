//! `tubtrace arm`.

use std::io::{BufRead, IsTerminal, Write};

use clap::Args;
use tubtrace_core::metering::Calibration;
use tubtrace_protocol::{Full, Label, Reply, Request, State};

use super::logger::{Which, checked, clock, describe, is_well};
use super::{Done, Failure, print, say};
use crate::link::LinkError;

const CAUTIONS: &str = "\
Before it is left alone:
  Clamp on ONE insulated conductor, insulation sound and dry; nothing opened, no
  terminal touched. Fit the clips with the machine unplugged or locked out, panels
  back on, then power. Take the cable out: the logger runs from its own battery
  while the clamp is on. Not where water can reach it, or a door can crush a lead.
  Local codes and licensed practice come first.";

/// Checks the clips of the logger that is plugged in, and starts its record.
#[derive(Args)]
#[command(
    after_help = "Example:\n  tubtrace arm --label \"flat 3\"\n  tubtrace arm --check       only looks at the clips\n\nClamp on one insulated conductor only; open nothing to attach a clip. Unplug or lock out first, panels back on before power."
)]
pub(super) struct Arm {
    /// What to call the record: the customer's flat, the job, at most 32 bytes.
    #[arg(long, default_value = "")]
    label: String,
    /// Only look at the clips and at what the logger is doing.
    #[arg(long, conflicts_with_all = ["label", "erase", "overwrite"])]
    check: bool,
    /// Forget the record that the logger still holds. Asks first.
    #[arg(long)]
    erase: bool,
    /// Do not ask.
    #[arg(long)]
    yes: bool,
    /// When the memory is full, let the oldest go instead of stopping.
    #[arg(long)]
    overwrite: bool,
    /// Clamp calibration: amps of a reference meter divided by the logger's own, for the same load.
    #[arg(long, default_value_t = 1.0, value_parser = scale)]
    scale: f64,
    #[command(flatten)]
    which: Which,
}

fn scale(text: &str) -> Result<f64, String> {
    // Wider than any clamp that is worth calibrating.
    text.parse().ok().filter(|s| (0.2..=5.0).contains(s)).ok_or_else(|| "from 0.2 to 5".to_owned())
}

impl Arm {
    pub(super) fn run(self) -> Result<Done, Failure> {
        let label = Label::try_from(self.label.as_str())
            .map_err(|_| Failure::Other("a label has at most 32 bytes; shorten it".into()))?;
        let mut link = self.which.connect()?;
        let status = link.status()?;
        let identity = link.identity().clone();
        say(&describe(identity.logger, &identity.firmware, &status));

        let Reply::Checked(found) = link.ask(&Request::Check)? else {
            return Err(LinkError::Confused.into());
        };
        print(&(checked(&found).join("\n") + "\n"))?;
        if self.check {
            return Ok(if is_well(&found) { Done::Well } else { Done::Departs });
        }
        if self.erase && status.state == State::Stopped {
            self.agree(&status.label)?;
            say("Erasing; a full memory takes some minutes.");
            link.order(&Request::Erase { token: status.erase_token })?;
        }
        let microamps = f64::from(Calibration::NOMINAL.microamps_per_count()) * self.scale;
        link.order(&Request::Arm(tubtrace_protocol::Arm {
            clock: clock(),
            label,
            // At most 80,565, by the range of the scale.
            microamps_per_count: microamps.round() as u32,
            full: if self.overwrite { Full::Overwrite } else { Full::Stop },
        }))?;
        let name = if self.label.is_empty() { String::new() } else { format!(" \"{}\"", self.label) };
        print(&format!("Recording{name}. The lamp flashes once every four seconds while all is well.\n\n"))?;
        print(&format!("{CAUTIONS}\n"))?;
        Ok(Done::Well)
    }

    /// Erasing cannot be undone, so a person says yes, or says so on the command line.
    fn agree(&self, label: &str) -> Result<(), Failure> {
        if self.yes {
            return Ok(());
        }
        let refuse = |what: &str| Err(Failure::Other(format!("nothing was erased: {what}")));
        if !std::io::stdin().is_terminal() {
            return refuse("add --yes to erase without being asked");
        }
        let _ = write!(
            anstream::stderr(),
            "The record \"{}\" will be gone for good. Type yes to erase it: ",
            crate::report::harmless(label)
        );
        let mut answer = String::new();
        let _ = std::io::stdin().lock().read_line(&mut answer);
        if answer.trim() == "yes" { Ok(()) } else { refuse("the answer was not yes") }
    }
}
