//! `tubtrace arm`.

use std::io::{BufRead, IsTerminal, Write};
use std::path::PathBuf;

use clap::Args;
use tubtrace_core::metering::Calibration;
use tubtrace_protocol::{Checked, Full, Label, Refusal, Reply, Request, State};

use super::about_job::AboutJob;
use super::logger::{Which, checked, clock, describe, is_well};
use super::outcome::{Done, Failure};
use super::streams::{print, say};
use crate::link::LinkError;
use crate::text::{harmless, plain};

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
    after_help = "Example:\n  tubtrace arm --label \"flat 3\"\n  tubtrace arm --label \"flat 3\" --for flat3.tub --complaint \"stays cold\"\n  tubtrace arm --check       only looks at the clips\n\nClamp on one insulated conductor only; open nothing to attach a clip. Unplug or lock out first, panels back on before power."
)]
pub(super) struct Arm {
    /// What to call the record: the customer's flat, the job, at most 32 bytes.
    #[arg(long, default_value = "")]
    label: String,
    /// Only look at the clips and at what the logger is doing.
    #[arg(long, conflicts_with_all = ["label", "erase", "overwrite"])]
    check: bool,
    /// Delete the record that the logger still holds. Asks first.
    #[arg(long)]
    erase: bool,
    /// Do not ask whether to erase.
    #[arg(long)]
    yes: bool,
    /// Record although a clip does not do what it should. Without it, that is asked.
    #[arg(long, conflicts_with = "check")]
    anyway: bool,
    /// When the memory is full, let the oldest go instead of stopping.
    #[arg(long)]
    overwrite: bool,
    /// Clamp calibration: amps of a reference meter divided by the logger's own, for the same load.
    #[arg(long, default_value_t = 1.0, value_parser = scale)]
    scale: f64,
    /// The log into which this record is going to be pulled: the job is kept beside it at once, as in flat3.job.toml.
    #[arg(long = "for", value_name = "LOG.tub", conflicts_with = "check")]
    log: Option<PathBuf>,
    #[command(flatten)]
    which: Which,
    #[command(flatten)]
    job: AboutJob,
}

fn scale(text: &str) -> Result<f64, String> {
    // Wider than any clamp that is worth calibrating.
    text.parse().ok().filter(|s| (0.2..=5.0).contains(s)).ok_or_else(|| "from 0.2 to 5".to_owned())
}

impl Arm {
    pub(super) fn run(self) -> Result<Done, Failure> {
        let label = Label::try_from(self.label.as_str())
            .map_err(|_| Failure::Other("a label has at most 32 bytes; shorten it".into()))?;
        // At most 80,565, by the range of the scale.
        let microamps = f64::from(Calibration::NOMINAL.microamps_per_count()) * self.scale;
        let job = match &self.log {
            Some(log) => self.job.beside(log)?,
            None if self.job.is_said() => {
                let what = "a logger keeps its label alone; where is the job to be kept? Name the log that it is going to be pulled into: --for flat3.tub";
                return Err(Failure::Other(what.into()));
            }
            None => None,
        };
        let mut link = self.which.connect()?;
        let status = link.status()?;
        let identity = link.identity().clone();
        say(&describe(identity.logger, &identity.firmware, &status));
        if !self.check {
            self.may_begin(status.state)?;
        }

        let Reply::Checked(found) = link.ask(&Request::Check)? else {
            return Err(LinkError::Confused.into());
        };
        print(&(checked(&found).join("\n") + "\n"))?;
        if self.check {
            return Ok(if is_well(&found) { Done::Well } else { Done::Departs });
        }
        // All that may stand against it comes before the old record goes.
        self.agree_to_clips(&found)?;
        let erases = status.state == State::Stopped;
        if erases {
            self.agree_to_erase(&status.label)?;
            say("Erasing; a full memory takes some minutes.");
            link.order(&Request::Erase { token: status.erase_token })?;
        }
        let armed = link.order(&Request::Arm(tubtrace_protocol::Arm {
            clock: clock(),
            label,
            microamps_per_count: microamps.round() as u32,
            full: if self.overwrite { Full::Overwrite } else { Full::Stop },
        }));
        armed.map_err(|error| match erases {
            true => Failure::Other(format!("the old record is erased, and no new one has begun: {error}")),
            false => error.into(),
        })?;
        if let Some((place, job)) = job {
            place.write_all(job.to_toml().as_bytes())?;
        }
        let name =
            if self.label.is_empty() { String::new() } else { format!(" \"{}\"", harmless(&self.label)) };
        print(&format!("Recording{name}. The lamp flashes once every four seconds while all is well.\n\n"))?;
        print(&format!("{CAUTIONS}\n"))?;
        Ok(Done::Well)
    }

    /// Whether a logger in this state can be armed.
    fn may_begin(&self, state: State) -> Result<(), LinkError> {
        match state {
            State::Empty => Ok(()),
            State::Stopped if self.erase => Ok(()),
            State::Stopped => Err(LinkError::Refused(Refusal::NotEmpty)),
            State::Recording => Err(LinkError::Refused(Refusal::Recording)),
            State::NoFlash => Err(LinkError::Refused(Refusal::Flash)),
        }
    }

    /// A night with a clip that does not do what it should is mostly lost, so a person says that it is meant.
    fn agree_to_clips(&self, found: &Checked) -> Result<(), Failure> {
        if self.anyway || is_well(found) {
            return Ok(());
        }
        let refuse =
            |what: &str| Err(Failure::Other(format!("nothing is recorded and nothing erased: {what}")));
        if self.yes || !std::io::stdin().is_terminal() {
            return refuse("mend what does not do as it should above, or add --anyway");
        }
        if asked("Not all clips do what they should. Type yes to record anyway: ") {
            Ok(())
        } else {
            refuse("the answer was not yes")
        }
    }

    /// Erasing cannot be undone, so a person says yes, or says so on the command line.
    fn agree_to_erase(&self, label: &str) -> Result<(), Failure> {
        if self.yes {
            return Ok(());
        }
        let refuse = |what: &str| Err(Failure::Other(format!("nothing was erased: {what}")));
        if !std::io::stdin().is_terminal() {
            return refuse("add --yes to erase without being asked");
        }
        if asked(&format!("The record \"{label}\" will be gone for good. Type yes to erase it: ")) {
            Ok(())
        } else {
            refuse("the answer was not yes")
        }
    }
}

/// Whether a person at the terminal says yes.
fn asked(question: &str) -> bool {
    let _ = write!(anstream::stderr(), "{}", plain(question));
    let mut answer = String::new();
    let _ = std::io::stdin().lock().read_line(&mut answer);
    answer.trim() == "yes"
}
