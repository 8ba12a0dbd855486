//! The terminal: taken over for the screen, and given back however the program ends.

use std::io;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use ratatui::DefaultTerminal;
use ratatui::crossterm::event::{self, Event, KeyEvent, KeyEventKind};

/// Why there is no screen.
#[derive(Debug, thiserror::Error)]
#[error("the terminal cannot be drawn on ({0}); add --lines for a line a second")]
pub struct TerminalError(#[from] io::Error);

/// A terminal that is drawn on. Dropped, or in a panic, it is as it was before.
pub struct Terminal {
    inner: DefaultTerminal,
    asked_to_end: Arc<AtomicBool>,
}

impl Terminal {
    /// Takes the terminal over.
    ///
    /// # Errors
    /// When it cannot be.
    pub fn begin() -> Result<Self, TerminalError> {
        let asked_to_end = Arc::new(AtomicBool::new(false));
        let asked = Arc::clone(&asked_to_end);
        // Another handler can only be ours, from an earlier screen; then signals end the program as they always do.
        let _ = ctrlc::set_handler(move || asked.store(true, Ordering::Relaxed));
        Ok(Self { inner: ratatui::try_init()?, asked_to_end })
    }

    /// Draws a screen; only what has changed is sent.
    ///
    /// # Errors
    /// When the terminal is gone.
    pub fn draw(&mut self, what: impl FnOnce(&mut ratatui::Frame)) -> Result<(), TerminalError> {
        self.inner.draw(what)?;
        Ok(())
    }

    /// A key that is pressed within `patience`.
    ///
    /// # Errors
    /// When the terminal is gone.
    pub fn key(&self, patience: Duration) -> Result<Option<KeyEvent>, TerminalError> {
        if event::poll(patience)?
            && let Event::Key(key) = event::read()?
            && key.kind != KeyEventKind::Release
        {
            return Ok(Some(key));
        }
        Ok(None)
    }

    /// Whether somebody asked the program to end: SIGTERM, a closed window.
    #[must_use]
    pub fn is_asked_to_end(&self) -> bool {
        self.asked_to_end.load(Ordering::Relaxed)
    }
}

impl Drop for Terminal {
    fn drop(&mut self) {
        ratatui::restore();
    }
}
