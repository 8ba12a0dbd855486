//! The ring: frames in NOR flash, oldest first, whole or not at all whatever happens to the power.

use core::ops::Range;

use embedded_storage_async::nor_flash::NorFlash;
use sequential_storage::cache::{Cache, Uncached, page_states::CalculatedPageStates};
use sequential_storage::queue::{QueueConfig, QueueStorage};
use tubtrace_protocol::{MAX_FRAME, Record, encode};

type PageCache = Cache<CalculatedPageStates, Uncached, Uncached>;

/// What to do when the flash is full; chosen when the logger is armed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Full {
    /// Keep what there is and stop.
    Stop,
    /// Let the oldest go.
    Overwrite,
}

/// Why the ring did not do it.
#[derive(Debug, PartialEq, Eq)]
pub enum RingError<E> {
    /// Full, and told to stop.
    Full,
    /// The range is not whole sectors of this flash, or too small.
    Range,
    /// The flash said no.
    Flash(E),
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
    queue: QueueStorage<F, PageCache>,
    full: Full,
}

impl<F: NorFlash> Ring<F> {
    /// The ring in `range` of `flash`, with whatever an earlier run left there.
    ///
    /// # Errors
    /// [`RingError::Range`].
    pub fn open(flash: F, range: Range<u32>, full: Full) -> Result<Self, RingError<F::Error>> {
        let sectors = range.len() / F::ERASE_SIZE;
        let config = QueueConfig::try_new(range).map_err(|_| RingError::Range)?;
        let cache = Cache::new(CalculatedPageStates::new(sectors), Uncached, Uncached);
        Ok(Self { queue: QueueStorage::new(flash, config, cache), full })
    }

    /// Writes a record as the newest.
    ///
    /// # Errors
    /// Full, or the flash's own.
    pub async fn append(&mut self, record: &Record) -> Result<(), RingError<F::Error>> {
        let mut buffer = [0; MAX_FRAME];
        // Cannot fail: MAX_FRAME holds every record, which the tests of the protocol show.
        let frame = encode(record, &mut buffer).map_err(|_| RingError::Corrupted)?;
        Ok(self.queue.push(frame, self.full == Full::Overwrite).await?)
    }

    /// Hands over every frame, oldest first. Nothing is erased.
    ///
    /// # Errors
    /// The flash's own.
    pub async fn read(&mut self, mut frame: impl FnMut(&[u8])) -> Result<(), RingError<F::Error>> {
        let mut buffer = [0; MAX_FRAME];
        let mut frames = self.queue.iter().await?;
        while let Some(entry) = frames.next(&mut buffer).await? {
            frame(&entry);
        }
        Ok(())
    }

    /// Forgets everything.
    ///
    /// # Errors
    /// The flash's own.
    pub async fn erase(&mut self) -> Result<(), RingError<F::Error>> {
        Ok(self.queue.erase_all().await?)
    }

    /// The flash back.
    pub fn into_flash(self) -> F {
        self.queue.destroy().0
    }
}
