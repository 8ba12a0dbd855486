//! A verifying flash: a sector that is blank already is not erased, and whatever was written is read back and compared.
//!
//! After a power cut a page may be programmed in part and look free, and a worn cell keeps its bit. What is written over such a
//! place is spoiled, and the chip does not say so.

use super::erase_journal::EraseJournal;
use super::places::Places;
use embedded_storage_async::nor_flash::{ErrorType, MultiwriteNorFlash, NorFlash, ReadNorFlash};

/// A flash chip whose writes are read back, and whose erasures are entered in a journal.
pub(super) struct VerifyingFlash<F> {
    pub(super) flash: F,
    /// Something that was written since this was last cleared does not read as it should.
    pub(super) spoiled: bool,
    /// Where the sector that is being erased is noted; `None` for a ring that is opened without [`super::Storage`].
    journal: Option<EraseJournal>,
    /// The offset of the latest read, by which the ring finds the sector of the frame that the queue gave it.
    pub(super) looked: u32,
    /// What is known of where frames are.
    pub(super) places: Places,
}

impl<F: NorFlash> VerifyingFlash<F> {
    pub(super) const fn new(flash: F, journal: Option<EraseJournal>) -> Self {
        Self { flash, spoiled: false, journal, looked: 0, places: Places::over(0..0, F::ERASE_SIZE) }
    }
}

impl<F: NorFlash> VerifyingFlash<F> {
    /// Erases again what was being erased when the power went.
    pub(super) async fn recover(&mut self) -> Result<(), F::Error> {
        let Some(journal) = self.journal else { return Ok(()) };
        if let Some((entry, sector)) = journal.pending(&mut self.flash).await? {
            // What it names lies on this chip, or it is no entry of ours.
            if (sector as usize + F::ERASE_SIZE) <= self.flash.capacity() {
                self.flash.erase(sector, sector + F::ERASE_SIZE as u32).await?;
            }
            journal.complete(&mut self.flash, entry).await?;
        }
        Ok(())
    }

    async fn erase_sector(&mut self, sector: u32) -> Result<(), F::Error> {
        let size = F::ERASE_SIZE as u32;
        let Some(journal) = &mut self.journal else { return self.flash.erase(sector, sector + size).await };
        let entry = journal.begin(&mut self.flash, sector).await?;
        self.flash.erase(sector, sector + size).await?;
        journal.complete(&mut self.flash, entry).await
    }
}

impl<F: ErrorType> ErrorType for VerifyingFlash<F> {
    type Error = F::Error;
}

impl<F: ReadNorFlash> ReadNorFlash for VerifyingFlash<F> {
    const READ_SIZE: usize = F::READ_SIZE;

    async fn read(&mut self, offset: u32, bytes: &mut [u8]) -> Result<(), F::Error> {
        self.looked = offset;
        self.flash.read(offset, bytes).await
    }

    fn capacity(&self) -> usize {
        self.flash.capacity()
    }
}

impl<F: NorFlash> NorFlash for VerifyingFlash<F> {
    const WRITE_SIZE: usize = F::WRITE_SIZE;
    const ERASE_SIZE: usize = F::ERASE_SIZE;

    /// Sectors that are blank stay as they are: forgetting a short log on a large chip takes seconds, not minutes. One that does
    /// not come out blank is erased once more.
    async fn erase(&mut self, from: u32, to: u32) -> Result<(), F::Error> {
        let size = F::ERASE_SIZE as u32;
        // The queue checked that its range is whole sectors when it was made.
        for sector in (from..to).step_by(F::ERASE_SIZE) {
            self.places.erased(sector);
            for _ in 0..2 {
                if self.reads_as(sector, size, None).await? {
                    break;
                }
                self.erase_sector(sector).await?;
            }
        }
        Ok(())
    }

    async fn write(&mut self, offset: u32, bytes: &[u8]) -> Result<(), F::Error> {
        self.places.written(offset);
        self.flash.write(offset, bytes).await?;
        if !self.reads_as(offset, bytes.len() as u32, Some(bytes)).await? {
            self.spoiled = true;
        }
        Ok(())
    }
}

// Written twice as the chip below allows it: a bit that is cleared stays so.
impl<F: MultiwriteNorFlash> MultiwriteNorFlash for VerifyingFlash<F> {}

impl<F: NorFlash> VerifyingFlash<F> {
    /// Whether so many bytes read as these or, without any, as erased.
    async fn reads_as(&mut self, from: u32, length: u32, wanted: Option<&[u8]>) -> Result<bool, F::Error> {
        let mut buffer = [0; 128];
        let mut done = 0;
        while done < length {
            let part = &mut buffer[..(length - done).min(128) as usize];
            self.flash.read(from + done, part).await?;
            let alike = match wanted {
                Some(wanted) => *part == wanted[done as usize..done as usize + part.len()],
                None => part.iter().all(|&b| b == 0xff),
            };
            if !alike {
                return Ok(false);
            }
            done += part.len() as u32;
        }
        Ok(true)
    }
}
