//! The terminal: taken over for the screen, and given back however the program ends.

use std::io;
use std::time::Duration;

use ratatui::DefaultTerminal;
use ratatui::crossterm::event::{self, Event, KeyEvent, KeyEventKind};

/// Why the screen cannot be drawn.
#[derive(Debug, thiserror::Error)]
#[error("the terminal cannot be drawn on ({0}); add --lines for a line a second")]
pub struct TerminalError(#[from] io::Error);

/// A terminal that is drawn on. When it is dropped, and in a panic, it is put back as it was before.
pub struct Terminal(DefaultTerminal);

impl Terminal {
    /// Takes the terminal over.
    ///
    /// # Errors
    /// When it cannot be.
    pub fn begin() -> Result<Self, TerminalError> {
        Ok(Self(ratatui::try_init()?))
    }

    /// Draws a screen; only what has changed is sent.
    ///
    /// # Errors
    /// When the terminal is gone.
    pub fn draw(&mut self, what: impl FnOnce(&mut ratatui::Frame)) -> Result<(), TerminalError> {
        self.0.draw(what)?;
        Ok(())
    }

    /// Waits for a key, at most for `patience`; `None` where none was pressed.
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
}

impl Drop for Terminal {
    fn drop(&mut self) {
        ratatui::restore();
    }
}
