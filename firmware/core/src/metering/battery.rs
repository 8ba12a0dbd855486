//! The battery's voltage in a window.

use crate::sampling::{Block, Channel, WINDOW, channel};

/// Mean of the battery channel: a third of the supply, 12 bits over 3.3 V, so 3 x 3,300 mV / 4,096 a count.
pub(crate) fn millivolts(block: &Block) -> u16 {
    let sum: u32 = channel(block, Channel::Battery).map(u32::from).sum();
    // 4,095 counts are 9,897 mV.
    (u64::from(sum) * 9_900 / (4_096 * WINDOW as u64)) as u16
}
