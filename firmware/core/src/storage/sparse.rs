//! A flash that does not erase what is blank: forgetting a short log on a large chip takes seconds, not minutes.

use embedded_storage_async::nor_flash::{ErrorType, NorFlash, ReadNorFlash};

pub(super) struct Sparse<F>(pub(super) F);

impl<F: ErrorType> ErrorType for Sparse<F> {
    type Error = F::Error;
}

impl<F: ReadNorFlash> ReadNorFlash for Sparse<F> {
    const READ_SIZE: usize = F::READ_SIZE;

    async fn read(&mut self, offset: u32, bytes: &mut [u8]) -> Result<(), F::Error> {
        self.0.read(offset, bytes).await
    }

    fn capacity(&self) -> usize {
        self.0.capacity()
    }
}

impl<F: NorFlash> NorFlash for Sparse<F> {
    const WRITE_SIZE: usize = F::WRITE_SIZE;
    const ERASE_SIZE: usize = F::ERASE_SIZE;

    async fn erase(&mut self, from: u32, to: u32) -> Result<(), F::Error> {
        let size = F::ERASE_SIZE as u32;
        // The queue checked that its range is whole sectors when it was made.
        for sector in (from..to).step_by(F::ERASE_SIZE) {
            if !self.blank(sector, sector + size).await? {
                self.0.erase(sector, sector + size).await?;
            }
        }
        Ok(())
    }

    async fn write(&mut self, offset: u32, bytes: &[u8]) -> Result<(), F::Error> {
        self.0.write(offset, bytes).await
    }
}

impl<F: NorFlash> Sparse<F> {
    async fn blank(&mut self, from: u32, to: u32) -> Result<bool, F::Error> {
        let mut bytes = [0; 128];
        for at in (from..to).step_by(bytes.len()) {
            self.0.read(at, &mut bytes).await?;
            if bytes.iter().any(|&b| b != 0xff) {
                return Ok(false);
            }
        }
        Ok(true)
    }
}
