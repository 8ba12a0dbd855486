//! What a window of samples is.

/// Samples a second of each channel.
pub const SAMPLE_RATE: u32 = 4_800;

/// Samples of each channel in a window.
pub const WINDOW: usize = 480;

/// Channels in round robin.
pub const CHANNELS: usize = 4;

/// Samples in a window, all channels.
pub const BLOCK: usize = WINDOW * CHANNELS;

/// The middle of the converter's 12 bits: its inputs are biased to it.
pub const MIDSCALE: u16 = 2_048;

/// Mains cycles in a window, at 50 and at 60 Hz.
pub(crate) const CYCLES_50: usize = 5;
pub(crate) const CYCLES_60: usize = 6;

// A window holds whole cycles at either frequency, so neither an RMS nor a DFT bin over it leaks. Two windows are
// the 10/12-cycle interval of IEC 61000-4-30.
const _: () = {
    assert!(WINDOW * 50 == CYCLES_50 * SAMPLE_RATE as usize);
    assert!(WINDOW * 60 == CYCLES_60 * SAMPLE_RATE as usize);
    assert!(SAMPLE_RATE as usize == 10 * WINDOW);
};

/// The four analogue inputs, in the order of the round robin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Channel {
    /// The current clamp, biased to the middle of the range.
    Current,
    /// Pickup on the supply line.
    Supply,
    /// Pickup on the drain hose.
    Drain,
    /// A third of the supply voltage of the board.
    Battery,
}

/// One window of all channels as the converter delivers it: 12-bit counts, interleaved.
pub type Block = [u16; BLOCK];

/// The samples of one channel.
pub(crate) fn channel(block: &Block, channel: Channel) -> impl Iterator<Item = u16> + '_ {
    block.iter().skip(channel as usize).step_by(CHANNELS).copied()
}

/// Whether a sample is at either end of the converter's range, with two counts of margin: a converter with an offset does not reach
/// its ends.
pub(crate) fn at_end(sample: &u16) -> bool {
    !(2..=4_093).contains(sample)
}
