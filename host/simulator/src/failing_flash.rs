//! A flash that dies in any operation, wears out, and lies: bits that stick, sectors that do not erase, bits that flip at rest.

use embedded_storage_async::nor_flash::{ErrorType, MultiwriteNorFlash, NorFlash, ReadNorFlash};
use rand::RngExt;
use rand::rand_core::SeedableRng;

use crate::nor_flash::{FlashError, RamFlash};
use crate::random::Random;

/// When the power goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cut {
    /// Before the operation does anything.
    Before,
    /// In the middle of it: a page is programmed in part, a sector erased in part, and a few bits are as chance has it.
    During,
    /// When it is done, and before anybody is told.
    After,
}

/// A chip of NOR flash that fails as it is told to.
#[derive(Clone)]
pub struct FailingFlash {
    chip: RamFlash,
    /// Operations that change something, so far.
    operations: u32,
    cut: Option<(u32, Cut)>,
    dead: bool,
    random: Random,
    /// Bits of a byte that stay as they are, whatever is written: (offset, mask).
    stuck: Vec<(u32, u8)>,
    /// Sectors that keep what is in them.
    unerasable: Vec<u32>,
    /// How often each sector was erased.
    erased: Vec<u32>,
}

impl FailingFlash {
    /// An erased chip of so many sectors of 4 KiB; chance comes from the seed.
    #[must_use]
    pub fn new(sectors: usize, seed: u64) -> Self {
        Self {
            chip: RamFlash::new(sectors),
            operations: 0,
            cut: None,
            dead: false,
            random: Random::seed_from_u64(seed),
            stuck: Vec::new(),
            unerasable: Vec::new(),
            erased: vec![0; sectors],
        }
    }

    /// The power goes in the operation of this number, the first being 0.
    pub const fn cut_in(&mut self, operation: u32, cut: Cut) {
        self.cut = Some((operation, cut));
    }

    /// The power is back, and nothing else is planned.
    pub const fn power_up(&mut self) {
        (self.cut, self.dead) = (None, false);
    }

    /// Operations that changed something.
    #[must_use]
    pub const fn operations(&self) -> u32 {
        self.operations
    }

    /// How often each sector was erased.
    #[must_use]
    pub fn erased(&self) -> &[u32] {
        &self.erased
    }

    /// Bytes of the chip.
    #[must_use]
    pub fn size(&self) -> u32 {
        self.chip.size()
    }

    /// From now on these bits of a byte keep their value.
    pub fn stick(&mut self, offset: u32, mask: u8) {
        self.stuck.push((offset, mask));
    }

    /// From now on this sector keeps what is in it.
    pub fn wear_out(&mut self, sector: u32) {
        self.unerasable.push(sector);
    }

    /// A bit changes while nobody looks.
    pub fn flip(&mut self, offset: u32, bit: u8) {
        self.chip.bytes_mut()[offset as usize] ^= 1 << (bit % 8);
    }

    /// Whether the operation that begins is done; `None`: in part.
    fn begin(&mut self) -> Result<Option<bool>, FlashError> {
        if self.dead {
            return Err(FlashError::PowerCut);
        }
        let now = self.operations;
        self.operations += 1;
        match self.cut {
            Some((at, cut)) if at == now => {
                self.dead = true;
                match cut {
                    Cut::Before => Err(FlashError::PowerCut),
                    Cut::During => Ok(None),
                    Cut::After => Ok(Some(false)),
                }
            }
            _ => Ok(Some(true)),
        }
    }

    /// Puts back what sticks.
    fn keep_stuck(&mut self, before: &[u8], from: u32) {
        for &(offset, mask) in &self.stuck {
            let Some(&was) = offset.checked_sub(from).and_then(|i| before.get(i as usize)) else { continue };
            let byte = &mut self.chip.bytes_mut()[offset as usize];
            *byte = (*byte & !mask) | (was & mask);
        }
    }

    fn copy(&self, from: u32, to: u32) -> Vec<u8> {
        self.chip.bytes()[from as usize..to as usize].to_vec()
    }
}

impl ErrorType for FailingFlash {
    type Error = FlashError;
}

impl ReadNorFlash for FailingFlash {
    const READ_SIZE: usize = 1;

    async fn read(&mut self, offset: u32, bytes: &mut [u8]) -> Result<(), FlashError> {
        if self.dead { Err(FlashError::PowerCut) } else { self.chip.read(offset, bytes).await }
    }

    fn capacity(&self) -> usize {
        self.chip.capacity()
    }
}

impl NorFlash for FailingFlash {
    const WRITE_SIZE: usize = RamFlash::WRITE_SIZE;
    const ERASE_SIZE: usize = RamFlash::ERASE_SIZE;

    async fn erase(&mut self, from: u32, to: u32) -> Result<(), FlashError> {
        let done = self.begin()?;
        let before = self.copy(from, to);
        self.chip.erase(from, to).await?;
        for sector in from / Self::ERASE_SIZE as u32..to / Self::ERASE_SIZE as u32 {
            self.erased[sector as usize] += 1;
            if self.unerasable.contains(&sector) {
                let start = sector as usize * Self::ERASE_SIZE;
                let own = start - from as usize..start - from as usize + Self::ERASE_SIZE;
                self.chip.bytes_mut()[start..start + Self::ERASE_SIZE].copy_from_slice(&before[own]);
            }
        }
        if done.is_none() {
            // Erasing lifts bits one by one, in no order; some are there already.
            let lifted = self.random.random_range(0.0..1.0);
            for (i, was) in before.iter().enumerate() {
                let lift: u8 = (0..8).map(|b| u8::from(self.random.random_bool(lifted)) << b).sum();
                self.chip.bytes_mut()[from as usize + i] = was | lift;
            }
        }
        self.keep_stuck(&before, from);
        if done == Some(true) { Ok(()) } else { Err(FlashError::PowerCut) }
    }

    async fn write(&mut self, offset: u32, bytes: &[u8]) -> Result<(), FlashError> {
        let done = self.begin()?;
        let before = self.copy(offset, offset + bytes.len() as u32);
        self.chip.write(offset, bytes).await?;
        if done.is_none() {
            // A page is programmed as a whole: up to some byte it is there, then bits are, then nothing.
            let whole = self.random.random_range(0..=bytes.len());
            for (i, was) in before.iter().enumerate().skip(whole) {
                let mask: u8 = if i < whole + 4 { self.random.random() } else { 0 };
                self.chip.bytes_mut()[offset as usize + i] = was & (bytes[i] | !mask);
            }
        }
        self.keep_stuck(&before, offset);
        if done == Some(true) { Ok(()) } else { Err(FlashError::PowerCut) }
    }
}

// Bits of a byte that is written already may be cleared later, as in `RamFlash`.
impl MultiwriteNorFlash for FailingFlash {}
