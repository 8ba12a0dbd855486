//! The erase journal: which sector is being erased, so that after a power cut it is known which one may be erased in part only.
//!
//! A sector that was erased in part may read as anything, also as one with room. An entry is written before a sector is erased
//! and overwritten with zeros after it; on the next start, whatever is not overwritten is erased again. Entries follow each other through
//! one sector of their own, which is itself erased when it is full, and then nothing is pending.

use embedded_storage_async::nor_flash::NorFlash;

/// A sector's number and its check, each with its complement.
const ENTRY: usize = 8;

/// One sector of entries, each of which names a sector that is being erased; the place of the next entry is kept.
#[derive(Clone, Copy, Debug)]
pub(super) struct EraseJournal {
    /// Its sector's first byte.
    start: u32,
    /// The next entry; `None` until looked for.
    next: Option<u32>,
}

impl EraseJournal {
    pub(super) const fn at(start: u32) -> Self {
        Self { start, next: None }
    }

    /// The place of the entry of the sector that was being erased when the power went, and that sector.
    pub(super) async fn pending<F: NorFlash>(&self, flash: &mut F) -> Result<Option<(u32, u32)>, F::Error> {
        let mut found = None;
        for at in self.entries::<F>() {
            let mut entry = [0; ENTRY];
            flash.read(at, &mut entry).await?;
            // One erasure at a time: a later entry that is valid makes an earlier one void.
            if let Some(sector) = sector_of(entry) {
                found = Some((at, sector));
            }
        }
        Ok(found)
    }

    /// Notes that a sector is about to be erased. Gives the place of the entry.
    pub(super) async fn begin<F: NorFlash>(&mut self, flash: &mut F, sector: u32) -> Result<u32, F::Error> {
        let at = match self.free(flash).await? {
            Some(at) => at,
            None => {
                flash.erase(self.start, self.start + F::ERASE_SIZE as u32).await?;
                self.start
            }
        };
        flash.write(at, &entry_of(sector)).await?;
        self.next = Some(at + ENTRY as u32);
        Ok(at)
    }

    /// Overwrites an entry with zeros: its erasure is done.
    pub(super) async fn complete<F: NorFlash>(&self, flash: &mut F, at: u32) -> Result<(), F::Error> {
        flash.write(at, &[0; ENTRY]).await
    }

    /// The first place that is blank, from the last known one on.
    async fn free<F: NorFlash>(&self, flash: &mut F) -> Result<Option<u32>, F::Error> {
        for at in self.entries::<F>().filter(|at| self.next.is_none_or(|next| *at >= next)) {
            let mut entry = [0; ENTRY];
            flash.read(at, &mut entry).await?;
            if entry == [0xff; ENTRY] {
                return Ok(Some(at));
            }
        }
        Ok(None)
    }

    fn entries<F: NorFlash>(&self) -> impl Iterator<Item = u32> + use<F> {
        (self.start..self.start + F::ERASE_SIZE as u32).step_by(ENTRY)
    }
}

fn entry_of(sector: u32) -> [u8; ENTRY] {
    let [a, b, c, d] = sector.to_le_bytes();
    [a, b, c, d, !a, !b, !c, !d]
}

fn sector_of(entry: [u8; ENTRY]) -> Option<u32> {
    let [a, b, c, d, ..] = entry;
    let sector = u32::from_le_bytes([a, b, c, d]);
    (entry == entry_of(sector)).then_some(sector)
}
