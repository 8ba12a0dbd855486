//! `tubtrace watch`.

use std::io::IsTerminal;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use clap::Args;
use ratatui::crossterm::event::{KeyCode, KeyModifiers};
use tubtrace_units::Seconds;

use super::asked::asked_to_end;
use super::logger::{Which, clock, describe};
use super::outcome::{Done, Failure};
use super::seen::Seen;
use super::shown::Shown;
use super::streams::{print, say};
use crate::link::LinkError;
use crate::live::{Arrival, Estimate, HEADING, Listener, Screen, Second, Session, Terminal, draw};
use crate::loads::Draws;
use crate::output::Growing;

/// How many windows make a line, and after how many the estimate is made anew: a second of them.
const LINE: u32 = 10;

/// How many windows are taken at once, at most: a minute of them.
const MOST: u32 = 600;

/// The lengths of time among which `+` and `-` choose what the strips show.
const SPANS: [Seconds; 6] =
    [Seconds(60.0), Seconds(300.0), Seconds(900.0), Seconds(3_600.0), Seconds(10_800.0), Seconds(43_200.0)];

/// How long one wait lasts, for a window or for a key.
const TICK: Duration = Duration::from_millis(100);

/// How often the screen is drawn while nothing comes.
const SECOND: Duration = Duration::from_secs(1);

/// When no window has come for longer than this, the screen says so.
const PATIENCE: Duration = Duration::from_secs(2);

/// Shows what the logger measures, and what the machine seems to be doing, until it is stopped with q or Ctrl-C.
///
/// On a terminal: current, pickups and clips, the loads as inferred so far, the interval it is taken for, presses of the button. What a
/// load draws is learned as it runs, so the first minutes are told with less certainty, or taken from --machine. Elsewhere: a line a second.
#[derive(Args)]
#[command(after_help = "Examples:
  tubtrace watch
  tubtrace watch --keep seen.tub             keeps what was seen, as a log
  tubtrace watch --seconds 60 --json
  tubtrace watch --machine dishwasher.machine.toml   names the loads from the first reading

With the clamp on, watch from a computer that runs on its battery: a mains-powered one defeats the isolation.")]
pub(super) struct Watch {
    /// Stop after so many seconds.
    #[arg(long, value_name = "N")]
    seconds: Option<u32>,
    /// A JSON object for every line.
    #[arg(long)]
    json: bool,
    /// A line a second, on a terminal too.
    #[arg(long)]
    lines: bool,
    /// Keep what was seen, as a log.
    #[arg(long, value_name = "LOG.tub")]
    keep: Option<PathBuf>,
    /// What is known of the machine: its file. What its loads draw is then known from the first reading on.
    #[arg(long, value_name = "MACHINE")]
    machine: Option<PathBuf>,
    #[command(flatten)]
    which: Which,
    #[command(flatten)]
    shown: Shown,
}

impl Watch {
    pub(super) fn run(self) -> Result<Done, Failure> {
        self.keep.as_deref().map(Growing::check).transpose()?;
        let known = self.machine.as_deref().map(known).transpose()?.unwrap_or_default();
        let mut link = self.which.connect()?;
        let status = link.status()?;
        let identity = link.identity().clone();
        let about = describe(identity.logger, &identity.firmware, &status);
        let session = Session::new(clock(), &status.label, identity.logger, status.mains);
        let listener = Listener::begin(link)?;
        let mut seen = Seen::begin(session, self.keep.as_deref())?;
        let asked = asked_to_end();
        let dumb = std::env::var_os("TERM").is_some_and(|term| term == "dumb");
        let watched = if std::io::stdout().is_terminal() && !self.json && !self.lines && !dumb {
            self.on_screen((&about, &known), &mut seen, &listener, &asked)
        } else {
            say(&about);
            self.in_lines(&mut seen, &listener, &asked)
        };
        listener.end();
        // Whatever ended it: what was seen was seen.
        let kept = seen.end();
        if let (Some(path), Ok(())) = (&self.keep, &kept) {
            say(&format!("kept {}", path.display()));
        }
        watched?;
        kept?;
        Ok(Done::Well)
    }

    fn in_lines(&self, seen: &mut Seen, listener: &Listener, asked: &AtomicBool) -> Result<(), Failure> {
        if !self.json {
            say(HEADING);
        }
        let mut left = self.seconds;
        let mut windows = Vec::new();
        while left != Some(0) && !asked.load(Ordering::Relaxed) {
            match listener.next(TICK) {
                Arrival::Window(window) => {
                    seen.take(&window)?;
                    windows.push(window);
                }
                Arrival::Nothing => {}
                Arrival::Silence => return Err(LinkError::Silent.into()),
                Arrival::Broken(error) => return Err(error.into()),
            }
            if windows.len() == LINE as usize {
                let line = Second::of(&windows);
                print(&(if self.json { line.json() } else { line.text() } + "\n"))?;
                windows.clear();
                left = left.map(|n| n - 1);
            }
        }
        Ok(())
    }

    /// Draws once a second and at every key. The terminal is given back before anything else is said.
    fn on_screen(
        &self,
        (about, known): (&str, &Draws),
        seen: &mut Seen,
        listener: &Listener,
        asked: &AtomicBool,
    ) -> Result<(), Failure> {
        let mut terminal = Terminal::begin()?;
        let logger = about.replace('\n', " ");
        let (mut estimate, mut zoom): (Option<Estimate>, usize) = (None, 2);
        let (mut came, mut due, mut last, mut drawn) = (0_u32, true, Instant::now(), Instant::now());
        while self.seconds.is_none_or(|seconds| came / LINE < seconds) && !asked.load(Ordering::Relaxed) {
            let windows = take(listener, seen)?;
            if windows > 0 {
                last = Instant::now();
                if (came + windows) / LINE > came / LINE {
                    due = true;
                    estimate = Estimate::of(&seen.session.log(), known).or(estimate);
                }
                came += windows;
            }
            let silent = last.elapsed();
            let waits = silent > PATIENCE;
            if due || (waits && drawn.elapsed() > SECOND) {
                due = false;
                drawn = Instant::now();
                let screen = Screen {
                    logger: &logger,
                    latest: seen.session.latest(),
                    estimate: estimate.as_ref(),
                    span: SPANS[zoom],
                    missed: seen.session.missed(),
                    silent: waits.then_some(Seconds(silent.as_secs_f64())),
                    units: self.shown.units(),
                };
                terminal.draw(|frame| draw(frame, screen))?;
            }
            if let Some(key) = terminal.key(TICK)? {
                due = true;
                match key.code {
                    KeyCode::Char('q') | KeyCode::Esc => break,
                    KeyCode::Char('c') if key.modifiers.contains(KeyModifiers::CONTROL) => break,
                    KeyCode::Char('+') => zoom = (zoom + 1).min(SPANS.len() - 1),
                    KeyCode::Char('-') => zoom = zoom.saturating_sub(1),
                    _ => {}
                }
            }
        }
        Ok(())
    }
}

/// What the loads of the machine in this file draw.
fn known(path: &Path) -> Result<Draws, Failure> {
    let draws = crate::chart::read(path)?.draws;
    if !draws.tell_loads() {
        let name = path.display();
        say(&format!(
            "{name}: it does not say what valve and pumps draw, so that is learned as they run; tubtrace learn --add writes it"
        ));
    }
    Ok(draws)
}

/// Takes the windows that have come meanwhile, and gives how many they were. At most [`MOST`] are taken at once, so that keys are read even
/// while a logger sends faster than windows can be taken.
fn take(listener: &Listener, seen: &mut Seen) -> Result<u32, Failure> {
    for windows in 0..MOST {
        match listener.next(Duration::ZERO) {
            Arrival::Window(window) => seen.take(&window)?,
            // The screen says so itself.
            Arrival::Nothing | Arrival::Silence => return Ok(windows),
            Arrival::Broken(error) => return Err(error.into()),
        }
    }
    Ok(MOST)
}
