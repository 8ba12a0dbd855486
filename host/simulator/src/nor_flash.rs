//! Serial NOR flash in memory, which behaves like the chip: writing only clears bits, erasing is by sectors, and power
//! may go at any byte.

use std::cell::Cell;
use std::rc::Rc;

use embedded_storage_async::nor_flash::{
    ErrorType, MultiwriteNorFlash, NorFlash, NorFlashError, NorFlashErrorKind, ReadNorFlash,
};

/// Why the chip refuses an operation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FlashError {
    /// An address outside of the chip.
    OutOfBounds,
    /// Not on sector boundaries.
    NotAligned,
    /// The power went before the operation ended.
    PowerCut,
}

impl NorFlashError for FlashError {
    fn kind(&self) -> NorFlashErrorKind {
        match self {
            Self::OutOfBounds => NorFlashErrorKind::OutOfBounds,
            Self::NotAligned => NorFlashErrorKind::NotAligned,
            Self::PowerCut => NorFlashErrorKind::Other,
        }
    }
}

/// A chip of NOR flash in memory.
#[derive(Clone)]
pub struct RamFlash {
    bytes: Vec<u8>,
    /// Bytes that may still be written or erased before the power goes.
    fuse: Option<usize>,
    reads: Rc<Cell<Reads>>,
}

/// What was read of a chip.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Reads {
    /// Read commands that the chip was given.
    pub commands: u64,
    /// Bytes that it gave in answer.
    pub bytes: u64,
}

impl Reads {
    /// How long the board takes for it: its bus carries 12 million bits a second, and a command is an operation and three
    /// bytes of address. What the processor does between two commands is
    /// taken for 50 us: a guess.
    #[must_use]
    pub fn time(self) -> std::time::Duration {
        let bits = (self.bytes + 4 * self.commands) * 8;
        std::time::Duration::from_nanos(bits * 1_000 / 12 + self.commands * 50_000)
    }
}

impl RamFlash {
    /// An erased chip of so many sectors of 4 KiB.
    #[must_use]
    pub fn new(sectors: usize) -> Self {
        Self { bytes: vec![0xff; sectors * Self::ERASE_SIZE], fuse: None, reads: Rc::default() }
    }

    /// The power will go after so many bytes are written or erased; `None`: it will not.
    pub fn set_fuse(&mut self, bytes: Option<usize>) {
        self.fuse = bytes;
    }

    /// What was read since this was last asked.
    pub fn take_reads(&mut self) -> Reads {
        self.reads.take()
    }

    /// Where it is counted what is read, for who watches a chip that somebody else has. Clones of the chip count together.
    #[must_use]
    pub fn counter(&self) -> Rc<Cell<Reads>> {
        Rc::clone(&self.reads)
    }

    /// Bytes of the chip.
    #[must_use]
    pub fn size(&self) -> u32 {
        self.bytes.len() as u32
    }

    /// What is in it.
    pub(crate) fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// To change without asking the chip.
    pub(crate) fn bytes_mut(&mut self) -> &mut [u8] {
        &mut self.bytes
    }

    fn burn(&mut self) -> Result<(), FlashError> {
        match &mut self.fuse {
            Some(0) => Err(FlashError::PowerCut),
            Some(left) => {
                *left -= 1;
                Ok(())
            }
            None => Ok(()),
        }
    }

    fn range(&self, offset: u32, length: usize) -> Result<std::ops::Range<usize>, FlashError> {
        let start = offset as usize;
        let end =
            start.checked_add(length).filter(|&e| e <= self.bytes.len()).ok_or(FlashError::OutOfBounds)?;
        Ok(start..end)
    }
}

impl ErrorType for RamFlash {
    type Error = FlashError;
}

impl ReadNorFlash for RamFlash {
    const READ_SIZE: usize = 1;

    async fn read(&mut self, offset: u32, bytes: &mut [u8]) -> Result<(), FlashError> {
        let range = self.range(offset, bytes.len())?;
        bytes.copy_from_slice(&self.bytes[range]);
        let Reads { commands, bytes: read } = self.reads.get();
        self.reads.set(Reads { commands: commands + 1, bytes: read + bytes.len() as u64 });
        Ok(())
    }

    fn capacity(&self) -> usize {
        self.bytes.len()
    }
}

impl NorFlash for RamFlash {
    const WRITE_SIZE: usize = 1;
    const ERASE_SIZE: usize = 4_096;

    async fn erase(&mut self, from: u32, to: u32) -> Result<(), FlashError> {
        if !(from as usize).is_multiple_of(Self::ERASE_SIZE)
            || !(to as usize).is_multiple_of(Self::ERASE_SIZE)
        {
            return Err(FlashError::NotAligned);
        }
        for i in self.range(from, to.saturating_sub(from) as usize)? {
            self.burn()?;
            self.bytes[i] = 0xff;
        }
        Ok(())
    }

    async fn write(&mut self, offset: u32, bytes: &[u8]) -> Result<(), FlashError> {
        for (i, byte) in self.range(offset, bytes.len())?.zip(bytes) {
            self.burn()?;
            self.bytes[i] &= byte;
        }
        Ok(())
    }
}

// Bits of a byte that is written already may be cleared later, as on every serial NOR chip.
impl MultiwriteNorFlash for RamFlash {}
