//! `tubtrace watch`.

use std::io::IsTerminal;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, SyncSender, TryRecvError, sync_channel};
use std::time::{Duration, Instant};

use clap::Args;
use ratatui::crossterm::event::{KeyCode, KeyModifiers};
use tubtrace_protocol::{Live, Request};
use tubtrace_units::Seconds;

use super::logger::{Which, clock, describe};
use super::shown::Shown;
use super::{Done, Failure, print, say, write};
use crate::link::{Link, LinkError, Wire};
use crate::live::{Believed, HEADING, Screen, Second, Session, Terminal, believe, draw};

/// Windows in a line, and between two looks at what they mean.
const LINE: u32 = 10;

/// Times that the strips show.
const SPANS: [Seconds; 6] =
    [Seconds(60.0), Seconds(300.0), Seconds(900.0), Seconds(3_600.0), Seconds(10_800.0), Seconds(43_200.0)];

/// Windows that wait for the screen at most; a screen on a slow line skips none before.
const WAITING: usize = 600;

/// When nothing has come for longer, the screen says so.
const PATIENCE: Duration = Duration::from_secs(2);

/// Shows what the logger measures, and what the machine seems to be doing, until it is stopped with q or Ctrl-C.
///
/// On a terminal: current, pickups and clips, the loads as inferred so far, the interval it is taken for, presses of the button. What a
/// load draws is learned as it runs, so the first minutes are told with less certainty. Elsewhere: a line a second.
#[derive(Args)]
#[command(
    after_help = "Examples:\n  tubtrace watch\n  tubtrace watch --keep seen.tub             keeps what was seen, as a log\n  tubtrace watch --seconds 60 --json\n\nWith the clamp on, watch from a computer that runs on its battery: one on the mains is a path to the mains."
)]
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
    #[command(flatten)]
    which: Which,
    #[command(flatten)]
    shown: Shown,
}

/// What comes from the link.
enum Heard {
    Window(Live),
    /// Nothing for as long as the link is patient.
    Nothing,
    Broken(LinkError),
}

impl Watch {
    pub(super) fn run(self) -> Result<Done, Failure> {
        let mut link = self.which.connect()?;
        let status = link.status()?;
        let identity = link.identity().clone();
        let about = describe(identity.logger, &identity.firmware, &status);
        let session = Session::new(clock(), &status.label, identity.logger, status.mains);
        link.order(&Request::Live { on: true })?;
        let wanted = Arc::new(AtomicBool::new(true));
        let (send, receive) = sync_channel(WAITING);
        let listening = {
            let wanted = Arc::clone(&wanted);
            std::thread::spawn(move || listen(link, &send, &wanted))
        };
        let dumb = std::env::var_os("TERM").is_some_and(|term| term == "dumb");
        let drawn = std::io::stdout().is_terminal() && !self.json && !self.lines && !dumb;
        let watched = if drawn {
            self.on_screen(&about, session, &receive)
        } else {
            self.in_lines(&about, session, &receive)
        };
        wanted.store(false, Ordering::Relaxed);
        drop(receive);
        let session = watched?;
        // It ends with the window that it waits for; where none comes, nobody waits for it.
        if session.latest().is_some() {
            let patience = Instant::now();
            while !listening.is_finished() && patience.elapsed() < Duration::from_millis(500) {
                std::thread::sleep(Duration::from_millis(10));
            }
        }
        if let Some(path) = &self.keep {
            write(path, &session.log())?;
            say(&format!("kept {}", path.display()));
        }
        Ok(Done::Well)
    }

    fn in_lines(
        &self,
        about: &str,
        mut session: Session,
        heard: &Receiver<Heard>,
    ) -> Result<Session, Failure> {
        say(about);
        if !self.json {
            say(HEADING);
        }
        let mut left = self.seconds;
        let mut windows = Vec::new();
        while left != Some(0) {
            match heard.recv() {
                Ok(Heard::Window(window)) => {
                    session.take(&window);
                    windows.push(window);
                }
                Ok(Heard::Nothing) => return Err(LinkError::Silent.into()),
                Ok(Heard::Broken(error)) => return Err(error.into()),
                Err(_) => break,
            }
            if windows.len() == LINE as usize {
                let line = Second::of(&windows);
                print(&(if self.json { line.json() } else { line.text() } + "\n"))?;
                windows.clear();
                left = left.map(|n| n - 1);
            }
        }
        Ok(session)
    }

    /// Draws once a second and at every key; the terminal is given back before anything else is said.
    fn on_screen(
        &self,
        about: &str,
        mut session: Session,
        heard: &Receiver<Heard>,
    ) -> Result<Session, Failure> {
        let mut terminal = Terminal::begin()?;
        let logger = about.replace('\n', " ");
        let (mut believed, mut zoom): (Option<Believed>, usize) = (None, 2);
        let (mut came, mut due) = (0_u32, true);
        let mut last = Instant::now();
        loop {
            match take(heard, &mut session) {
                Ok(0) => {}
                Ok(windows) => {
                    last = Instant::now();
                    due |= (came + windows) / LINE > came / LINE;
                    came += windows;
                }
                Err(failure) => {
                    drop(terminal);
                    return Err(failure);
                }
            }
            let silent = last.elapsed();
            let waits = silent > PATIENCE;
            due |= waits;
            if due {
                due = false;
                believed = believe(&session.log()).or(believed);
                let screen = Screen {
                    logger: &logger,
                    latest: session.latest(),
                    believed: believed.as_ref(),
                    span: SPANS[zoom],
                    missed: session.missed(),
                    silent: waits.then_some(Seconds(silent.as_secs_f64())),
                    units: self.shown.units(),
                };
                terminal.draw(|frame| draw(frame, screen))?;
            }
            let over = self.seconds.is_some_and(|seconds| came / LINE >= seconds);
            if over || terminal.is_asked_to_end() {
                return Ok(session);
            }
            if let Some(key) = terminal.key(Duration::from_millis(100))? {
                due = true;
                match key.code {
                    KeyCode::Char('q') | KeyCode::Esc => return Ok(session),
                    KeyCode::Char('c') if key.modifiers.contains(KeyModifiers::CONTROL) => {
                        return Ok(session);
                    }
                    KeyCode::Char('+') => zoom = (zoom + 1).min(SPANS.len() - 1),
                    KeyCode::Char('-') => zoom = zoom.saturating_sub(1),
                    _ => {}
                }
            }
        }
    }
}

/// Everything that has come meanwhile; gives how many windows.
fn take(heard: &Receiver<Heard>, session: &mut Session) -> Result<u32, Failure> {
    let mut windows = 0;
    loop {
        match heard.try_recv() {
            Ok(Heard::Window(window)) => {
                session.take(&window);
                windows += 1;
            }
            // The screen says so itself.
            Ok(Heard::Nothing) => {}
            Ok(Heard::Broken(error)) => return Err(error.into()),
            Err(TryRecvError::Empty | TryRecvError::Disconnected) => return Ok(windows),
        }
    }
}

/// Hands on what comes, until nobody wants it.
fn listen(mut link: Link<Box<dyn Wire>>, send: &SyncSender<Heard>, wanted: &AtomicBool) {
    while wanted.load(Ordering::Relaxed) {
        let heard = match link.live() {
            Ok(window) => Heard::Window(window),
            Err(LinkError::Silent) => Heard::Nothing,
            Err(error) => Heard::Broken(error),
        };
        let broken = matches!(heard, Heard::Broken(_));
        if send.send(heard).is_err() || broken {
            break;
        }
    }
    // Who has gone needs not be told.
    let _ = link.order(&Request::Live { on: false });
}
