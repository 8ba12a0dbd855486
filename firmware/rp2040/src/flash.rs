//! The flash: a JEDEC serial NOR chip of up to 16 MiB on SPI.

use embassy_rp::gpio::Output;
use embassy_rp::peripherals::SPI0;
use embassy_rp::spi::{Async, Spi};
use embassy_time::{Delay, Duration, with_timeout};
use embedded_hal_bus::spi::ExclusiveDevice;
use spi_memory_async::series25::{Flash, FlashParameters};
use tubtrace_core::{Memory, Storage};

/// Microseconds between two looks at a chip that is busy: a page takes 0.4 ms, a sector 45 to 400 ms.
const POLL_US: u32 = 400;

/// A chip that is busy for longer than this is broken.
const PATIENCE: Duration = Duration::from_secs(20);

/// Bytes that 24 address bits reach.
const REACH: u32 = 1 << 24;

/// The largest chip that is driven; what is there is found by its identification.
pub struct Class;

impl FlashParameters for Class {
    const PAGE_SIZE: usize = 256;
    const SECTOR_SIZE: usize = 4_096;
    const BLOCK_SIZE: usize = 65_536;
    const CHIP_SIZE: usize = REACH as usize;
}

type Device = ExclusiveDevice<Spi<'static, SPI0, Async>, Output<'static>, Delay>;
/// The chip's driver.
pub type Chip = Flash<Device, Class, Delay>;

/// Opens the chip and what is stored on it; `None` where there is none, or none that can be used.
pub async fn open(
    bus: Spi<'static, SPI0, Async>,
    select: Output<'static>,
) -> Option<(Storage<Chip>, Option<Memory>)> {
    let device = ExclusiveDevice::new(bus, select, Delay).ok()?;
    with_timeout(PATIENCE, async {
        let mut chip = Flash::init(device, Delay, POLL_US, Class).await.ok()?;
        let identification = chip.read_jedec_id().await.ok()?;
        let size = capacity(identification.device_id())?;
        defmt::info!("flash of {} KiB", size / 1_024);
        let mut storage = Storage::open(chip, size).await.ok()?;
        let memory = storage.recall().await.ok()?;
        Some((storage, memory))
    })
    .await
    .ok()
    .flatten()
}

/// JEDEC chips give the power of two of their bytes as the second byte of the device's identification. An absent chip reads
/// as all ones or all zeros.
fn capacity(device: &[u8]) -> Option<u32> {
    let power = *device.get(1)?;
    (16..=24).contains(&power).then(|| 1 << power)
}
