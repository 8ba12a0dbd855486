//! One sector of the ring, read as a queue of its own: so that reading can begin anywhere.
//!
//! The queue gives its frames from the oldest on only, and what its pages look like is its own business. So it is shown a chip
//! of two sectors: the one that is wanted, and a blank one behind it. Nothing is ever written there.

use embedded_storage_async::nor_flash::{ErrorType, NorFlash, ReadNorFlash};

/// Bytes that are read at once: headers of frames are small, and every command to a chip costs its own time.
const AHEAD: usize = 256;

pub(super) struct Sector<'f, F> {
    flash: &'f mut F,
    start: u32,
    ahead: [u8; AHEAD],
    /// What `ahead` holds: from where in the sector.
    from: Option<usize>,
}

impl<'f, F: NorFlash> Sector<'f, F> {
    pub(super) const fn new(flash: &'f mut F, start: u32) -> Self {
        Self { flash, start, ahead: [0; AHEAD], from: None }
    }

    /// What is held from a byte on, read first where it is not: one byte at least.
    async fn from(&mut self, at: usize) -> Result<&[u8], F::Error> {
        let from = match self.from {
            Some(from) if (from..from + AHEAD).contains(&at) => from,
            _ => {
                let from = at.min(F::ERASE_SIZE - AHEAD);
                self.from = None;
                self.flash.read(self.start + from as u32, &mut self.ahead).await?;
                self.from = Some(from);
                from
            }
        };
        Ok(&self.ahead[at - from..])
    }
}

impl<F: ErrorType> ErrorType for Sector<'_, F> {
    type Error = F::Error;
}

impl<F: NorFlash> ReadNorFlash for Sector<'_, F> {
    const READ_SIZE: usize = F::READ_SIZE;

    async fn read(&mut self, offset: u32, bytes: &mut [u8]) -> Result<(), F::Error> {
        let offset = offset as usize;
        if offset >= F::ERASE_SIZE {
            bytes.fill(0xff);
        } else if bytes.len() <= F::READ_SIZE {
            // A marker of the sector's state, at either end: not where reading goes on.
            self.flash.read(self.start + offset as u32, bytes).await?;
        } else {
            let mut done = 0;
            while done < bytes.len() {
                let held = self.from(offset + done).await?;
                let more = held.len().min(bytes.len() - done);
                bytes[done..done + more].copy_from_slice(&held[..more]);
                done += more;
            }
        }
        Ok(())
    }

    fn capacity(&self) -> usize {
        2 * F::ERASE_SIZE
    }
}

impl<F: NorFlash> NorFlash for Sector<'_, F> {
    const WRITE_SIZE: usize = F::WRITE_SIZE;
    const ERASE_SIZE: usize = F::ERASE_SIZE;

    /// The queue would repair what it cannot read; that is for the ring to do.
    async fn erase(&mut self, _: u32, _: u32) -> Result<(), F::Error> {
        Ok(())
    }

    async fn write(&mut self, _: u32, _: &[u8]) -> Result<(), F::Error> {
        Ok(())
    }
}
