//! The ring: frames in NOR flash, oldest first, whole or not at all whatever happens to the power.

use core::ops::Range;

use super::places::Places;
use super::verifying_flash::VerifyingFlash;
use embedded_storage_async::nor_flash::NorFlash;
use sequential_storage::cache::{Cache, Uncached, page_states::CalculatedPageStates};
use sequential_storage::queue::{QueueConfig, QueueStorage};
pub use tubtrace_protocol::Full;
use tubtrace_protocol::{MAX_FRAME, Record, encode};

/// A frame that does not read back is written again, behind where it was spoiled: a page that was programmed in part, or a
/// sector with a worn cell, is passed within so many frames of any size.
pub(super) const TRIES: usize = 8;

type PageCache = Cache<CalculatedPageStates, Uncached, Uncached>;

/// Why the ring did not do it.
#[derive(Debug, PartialEq, Eq)]
pub enum RingError<E> {
    /// Full, and told to stop.
    Full,
    /// The range is not whole sectors of this flash, or too small.
    Range,
    /// The flash said no.
    Flash(E),
    /// Nothing that is written can be read back.
    Worn,
    /// What is stored cannot be made sense of, even after repair.
    Corrupted,
}

impl<E> From<sequential_storage::Error<E>> for RingError<E> {
    fn from(error: sequential_storage::Error<E>) -> Self {
        match error {
            sequential_storage::Error::FullStorage => Self::Full,
            sequential_storage::Error::Storage { value, .. } => Self::Flash(value),
            _ => Self::Corrupted,
        }
    }
}

/// Frames in flash. A frame is acknowledged when `append` returns; from then on a power cut does not lose it.
pub struct Ring<F: NorFlash> {
    pub(super) queue: QueueStorage<VerifyingFlash<F>, PageCache>,
    full: Full,
    /// Bytes in use, headers included; kept up to date from the last [`Ring::measure`] on.
    used: u32,
}

impl<F: NorFlash> Ring<F> {
    /// The ring in `range` of `flash`, with whatever an earlier run left there.
    ///
    /// # Errors
    /// [`RingError::Range`] where the range is not whole sectors, or too small.
    pub fn open(flash: F, range: Range<u32>, full: Full) -> Result<Self, RingError<F::Error>> {
        Self::open_verifying(VerifyingFlash::new(flash, None), range, full)
    }

    pub(super) fn open_verifying(
        mut flash: VerifyingFlash<F>,
        range: Range<u32>,
        full: Full,
    ) -> Result<Self, RingError<F::Error>> {
        let sectors = range.len() / F::ERASE_SIZE;
        let cache = Cache::new(CalculatedPageStates::new(sectors), Uncached, Uncached);
        let config = QueueConfig::try_new(range.clone()).map_err(|_| RingError::Range)?;
        flash.places = Places::over(range, F::ERASE_SIZE);
        Ok(Self { queue: QueueStorage::new(flash, config, cache), full, used: 0 })
    }

    /// What to do from now on when the flash is full.
    pub const fn set_full(&mut self, full: Full) {
        self.full = full;
    }

    /// Looks at the flash once to find how much of it is in use.
    ///
    /// # Errors
    /// The flash's own.
    pub async fn measure(&mut self) -> Result<(), RingError<F::Error>> {
        let left = self.queue.space_left().await?;
        // The two markers of every sector are neither used nor left.
        let markers = self.capacity() / F::ERASE_SIZE as u32 * 2 * F::WRITE_SIZE as u32;
        self.used = self.capacity().saturating_sub(left).saturating_sub(markers);
        Ok(())
    }

    /// Bytes in use, roughly: what the ends of sectors leave unused is not counted.
    #[must_use]
    pub const fn used(&self) -> u32 {
        self.used
    }

    /// Bytes of flash in all.
    #[must_use]
    pub const fn capacity(&self) -> u32 {
        let range = self.queue.flash_range();
        range.end - range.start
    }

    /// Writes a record as the newest.
    ///
    /// # Errors
    /// Full, or the flash's own.
    pub async fn append(&mut self, record: &Record) -> Result<(), RingError<F::Error>> {
        let mut buffer = [0; MAX_FRAME];
        // Cannot fail: MAX_FRAME holds every record, which the tests of the protocol show.
        let frame = encode(record, &mut buffer).map_err(|_| RingError::Corrupted)?;
        self.append_frame(frame).await
    }

    /// Writes a frame, closing zero included, as the newest.
    ///
    /// # Errors
    /// Full, or the flash's own.
    pub async fn append_frame(&mut self, frame: &[u8]) -> Result<(), RingError<F::Error>> {
        let item = frame.len() as u32 + QueueStorage::<VerifyingFlash<F>, PageCache>::item_overhead_size();
        for _ in 0..TRIES {
            self.queue.flash().spoiled = false;
            self.queue.push(frame, self.full == Full::Overwrite).await?;
            self.used = self.used.saturating_add(item).min(self.capacity());
            // What is spoiled is passed over when the ring is read; behind it there is flash that is not.
            if !self.queue.flash().spoiled {
                return Ok(());
            }
        }
        Err(RingError::Worn)
    }

    /// Forgets everything. Sectors are erased in order, so a power cut on the way leaves a shorter log and no broken one.
    ///
    /// # Errors
    /// The flash's own.
    pub async fn erase(&mut self) -> Result<(), RingError<F::Error>> {
        self.queue.erase_all().await?;
        self.used = 0;
        Ok(())
    }

    /// The chip itself, for what else is stored on it.
    pub(super) const fn flash(&mut self) -> &mut VerifyingFlash<F> {
        self.queue.flash()
    }

    /// The chip as it is, to be asked and not to be changed.
    pub const fn chip(&mut self) -> &mut F {
        &mut self.queue.flash().flash
    }

    /// Gives the flash back, with all that was written to it.
    pub fn into_flash(self) -> F {
        self.queue.destroy().0.flash
    }
}
