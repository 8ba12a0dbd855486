//! What the logger must remember across a reset: how it was armed, and which ticks may have been used.

use core::ops::Range;

use embedded_storage_async::nor_flash::NorFlash;
use sequential_storage::cache::Cache;
use sequential_storage::map::{MapConfig, MapStorage};
use serde::{Deserialize, Serialize};
use tubtrace_protocol::{Label, Tick};

use super::ring::{Full, RingError, TRIES};
use super::verifying_flash::VerifyingFlash;

/// Ticks that are reserved ahead. After a reset the log goes on behind them, so no tick is ever used twice; how long the
/// logger was really off, it cannot know.
pub const RESERVE: u32 = 1_200;

/// Ticks between two reservations: one a minute.
pub const RESERVE_EVERY: u32 = 600;

// The next reservation is written while the last one still holds.
const _: () = assert!(RESERVE > RESERVE_EVERY);

/// Bytes of a serialised memory at most, with the key and some room.
const BYTES: usize = 96;

const KEY: u8 = 0;

/// What the logger remembers across a reset.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Memory {
    /// Serial number of the logger.
    pub logger: u32,
    /// Whether a log was being recorded.
    pub recording: bool,
    /// No tick from here on has been used.
    pub reserved: Tick,
    /// Calibration of the clamp: microamps for one count of the converter.
    pub microamps_per_count: u32,
    /// What to do when the flash is full.
    pub full: Full,
    /// What the technician called the log.
    pub label: Label,
}

pub(super) async fn recall<F: NorFlash>(
    flash: &mut VerifyingFlash<F>,
    range: Range<u32>,
) -> Result<Option<Memory>, RingError<F::Error>> {
    let mut buffer = [0; BYTES];
    let config = MapConfig::try_new(range).map_err(|_| RingError::Range)?;
    let mut map = MapStorage::new(flash, config, Cache::new_uncached());
    let bytes: Option<&[u8]> = map.fetch_item(&mut buffer, &KEY).await?;
    // A memory of another version of the firmware is none.
    Ok(bytes.and_then(|b| postcard::from_bytes(b).ok()))
}

pub(super) async fn remember<F: NorFlash>(
    flash: &mut VerifyingFlash<F>,
    range: Range<u32>,
    memory: &Memory,
) -> Result<(), RingError<F::Error>> {
    let (mut buffer, mut bytes) = ([0; BYTES], [0; BYTES]);
    let bytes: &[u8] = postcard::to_slice(memory, &mut bytes).map_err(|_| RingError::Corrupted)?;
    let config = MapConfig::try_new(range).map_err(|_| RingError::Range)?;
    let mut map = MapStorage::new(flash, config, Cache::new_uncached());
    for _ in 0..TRIES {
        map.flash().spoiled = false;
        map.store_item(&mut buffer, &KEY, &bytes).await?;
        if !map.flash().spoiled {
            return Ok(());
        }
    }
    Err(RingError::Worn)
}
