//! The flash: a JEDEC serial NOR chip of up to 16 MiB on SPI.

use embassy_rp::gpio::Output;
use embassy_rp::peripherals::SPI0;
use embassy_rp::spi::{Async, Spi};
use embassy_sync::blocking_mutex::raw::NoopRawMutex;
use embassy_sync::mutex::Mutex;
use embassy_time::{Delay, Duration, Timer, with_timeout};
use embedded_hal_async::spi::{ErrorType, Operation, SpiDevice};
use embedded_hal_bus::spi::ExclusiveDevice;
use spi_memory_async::series25::{Flash, FlashParameters};
use tubtrace_core::{Memory, Storage};

/// Microseconds between two looks at a chip that is busy: a page takes 0.4 ms, a sector 45 to 400 ms.
const POLL_US: u32 = 400;

/// A chip that is busy for longer than this when it is opened is stuck: a sector takes 0.4 s.
const BUSY: Duration = Duration::from_secs(1);

/// A chip that is not opened by then cannot be used.
const PATIENCE: Duration = Duration::from_secs(20);

/// Asks the chip whether it is busy.
const READ_STATUS: u8 = 0x05;

/// The two commands that reset a chip whatever it does (JEDEC JESD216, soft reset sequence).
const RESET: [u8; 2] = [0x66, 0x99];

/// After which it listens again. From memory: data sheets say 30 us, and up to 12 ms out of an erasure.
const RESTING: Duration = Duration::from_millis(20);

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

type Bus = ExclusiveDevice<Spi<'static, SPI0, Async>, Output<'static>, Delay>;

/// The lines to the chip. They outlive a driver that has failed, so that another can try.
pub struct Lines(Mutex<NoopRawMutex, Bus>);

impl Lines {
    /// Clock and data, and what is low while the chip is spoken to.
    pub fn new(bus: Spi<'static, SPI0, Async>, select: Output<'static>) -> Self {
        let Ok(bus) = ExclusiveDevice::new(bus, select, Delay);
        Self(Mutex::new(bus))
    }
}

/// The lines as a driver has them.
pub struct Device(&'static Lines);

impl ErrorType for Device {
    type Error = <Bus as ErrorType>::Error;
}

impl SpiDevice for Device {
    async fn transaction(&mut self, operations: &mut [Operation<'_, u8>]) -> Result<(), Self::Error> {
        self.0.0.lock().await.transaction(operations).await
    }
}

/// The chip's driver.
pub type Chip = Flash<Device, Class, Delay>;

/// Opens the chip into `place` and gives what was remembered on it; `None` where there is none, or none that can be used. One that
/// does not answer is reset and asked again. Into its place, for on its way through several hands it would be several times on the
/// stack.
pub async fn open(lines: &'static Lines, place: &mut Option<Storage<Chip>>) -> Option<Option<Memory>> {
    if let Some(memory) = attempt(lines, place).await {
        return Some(memory);
    }
    defmt::warn!("flash reset");
    for command in RESET {
        Device(lines).write(&[command]).await.ok()?;
    }
    Timer::after(RESTING).await;
    attempt(lines, place).await
}

async fn attempt(lines: &'static Lines, place: &mut Option<Storage<Chip>>) -> Option<Option<Memory>> {
    let mut device = Device(lines);
    // A driver that was given up may have left a command open, and bytes that nobody took: an empty command ends the one, and a
    // write, of what is heard at any time, clears the others.
    device.transaction(&mut []).await.ok()?;
    device.write(&[READ_STATUS]).await.ok()?;
    let mut chip = with_timeout(BUSY, Flash::init(device, Delay, POLL_US, Class)).await.ok()?.ok()?;
    with_timeout(PATIENCE, async {
        let identification = chip.read_jedec_id().await.ok()?;
        let size = capacity(identification.device_id())?;
        defmt::info!("flash of {} KiB", size / 1_024);
        let storage = place.insert(Storage::open(chip, size).await.ok()?);
        let memory = storage.recall().await;
        if memory.is_err() {
            *place = None;
        }
        memory.ok()
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
