//! What is in flash: the log, and what the logger must remember across a reset.
//!
//! One chip holds both: the ring of frames first, then a sector for what is being erased, and in its last sectors the
//! [`Memory`].

mod erase_journal;
mod memory;
mod places;
mod reading;
mod ring;
mod sector;
mod verifying_flash;

use core::ops::Range;

use embedded_storage_async::nor_flash::NorFlash;
use tubtrace_protocol::Record;

use erase_journal::EraseJournal;
pub use memory::{Memory, RESERVE, RESERVE_EVERY};
pub use reading::Search;
pub use ring::{Full, Ring, RingError};
use verifying_flash::VerifyingFlash;

/// Sectors at the end of the chip for the memory. One is erased about every hour of recording, in turn.
const MEMORY_SECTORS: u32 = 4;

/// The whole flash chip of a logger: log, erase journal and memory.
pub struct Storage<F: NorFlash> {
    /// The frames of the log, oldest first.
    pub ring: Ring<F>,
    memory: Range<u32>,
}

impl<F: NorFlash> Storage<F> {
    /// Opens the first `size` bytes of a chip, with whatever an earlier run left there. The ring overwrites nothing
    /// until [`Ring::set_full`] says so.
    ///
    /// # Errors
    /// [`RingError::Range`] where the size is not whole sectors, or too small; the flash's own.
    pub async fn open(flash: F, size: u32) -> Result<Self, RingError<F::Error>> {
        let sectors = |n: u32| size.checked_sub(n * F::ERASE_SIZE as u32).ok_or(RingError::Range);
        let (journal, memory) = (sectors(MEMORY_SECTORS + 1)?, sectors(MEMORY_SECTORS)?);
        let mut flash = VerifyingFlash::new(flash, Some(EraseJournal::at(journal)));
        flash.recover().await.map_err(RingError::Flash)?;
        let mut ring = Ring::open_verifying(flash, 0..journal, Full::Stop)?;
        ring.measure().await?;
        Ok(Self { ring, memory: memory..size })
    }

    /// What was remembered before the reset. The ring does from now on what it says.
    ///
    /// # Errors
    /// The flash's own.
    pub async fn recall(&mut self) -> Result<Option<Memory>, RingError<F::Error>> {
        let memory = memory::recall(self.ring.flash(), self.memory.clone()).await?;
        if let Some(memory) = &memory {
            self.ring.set_full(memory.full);
        }
        Ok(memory)
    }

    /// Writes what must outlive a reset; a later call replaces it.
    ///
    /// # Errors
    /// The flash's own.
    pub async fn remember(&mut self, memory: &Memory) -> Result<(), RingError<F::Error>> {
        memory::remember(self.ring.flash(), self.memory.clone(), memory).await
    }

    /// Writes a record as the newest of the log.
    ///
    /// # Errors
    /// Full, or the flash's own.
    pub async fn append(&mut self, record: &Record) -> Result<(), RingError<F::Error>> {
        self.ring.append(record).await
    }
}
