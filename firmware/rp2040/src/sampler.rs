//! The sampler: the converter free-running in round robin, its DMA into a ring, and windows out of that ring.
//!
//! The core wakes ten times a second and looks how far the DMA has come. There is no interrupt for a sample and nothing to
//! re-arm: when the DMA has moved its count, a second channel writes the count anew, within a few cycles of the 2,500 between
//! two samples.

use core::sync::atomic::{AtomicU16, AtomicU32, Ordering};

use embassy_rp::Peri;
use embassy_rp::adc::{Adc, Blocking, Channel};
use embassy_rp::pac;
use embassy_rp::pac::dma::vals::{DataSize, TreqSel};
use embassy_rp::peripherals::{DMA_CH0, DMA_CH1};
use tubtrace_core::{BLOCK, Block, SAMPLE_RATE};

/// Samples in the ring: 16 KiB, 0.43 s, for an erase of the flash keeps the core from nothing but a slow host might.
const RING: usize = 8_192;

/// Bits of the address that the DMA lets change: the ring's size in bytes.
const RING_BITS: u8 = (RING * size_of::<u16>()).trailing_zeros() as u8;

/// Transfers before the count is written anew: 437 s. A power of two, so that positions wrap by themselves.
const COUNT: u32 = 1 << 23;

/// Divider of the 48 MHz clock of the converter, minus one: 19,200 conversions a second.
const DIVIDER: u16 = 2_499;
const _: () = assert!(48_000_000 / (DIVIDER as u32 + 1) == 4 * SAMPLE_RATE);

/// Samples kept clear of the place where the DMA writes.
const MARGIN: usize = 64;

/// Windows that fit between it and itself.
const KEPT: u32 = ((RING - MARGIN) / BLOCK) as u32;

#[repr(C, align(16384))]
struct Samples([AtomicU16; RING]);
const _: () = assert!(align_of::<Samples>() == RING * size_of::<u16>());

/// Atomic because the DMA writes it behind the compiler's back.
static SAMPLES: Samples = Samples([const { AtomicU16::new(0) }; RING]);

/// What the second channel copies. An atomic lies in memory, where a constant need not.
static RELOAD: AtomicU32 = AtomicU32::new(COUNT);

/// What [`Sampler::take`] found.
pub enum Taken {
    /// The next window is not complete yet.
    Nothing,
    /// The next window of samples is complete.
    Window,
    /// So many windows were overwritten before anybody took them.
    Lost(u32),
}

/// Takes windows out of the ring.
pub struct Sampler {
    /// Samples taken, modulo [`COUNT`].
    taken: u32,
    _owned: (Peri<'static, DMA_CH0>, Peri<'static, DMA_CH1>, [Channel<'static>; 4]),
}

impl Sampler {
    /// Starts sampling.
    pub fn start(
        _adc: &Adc<'static, Blocking>,
        channels: [Channel<'static>; 4],
        ring: Peri<'static, DMA_CH0>,
        reload: Peri<'static, DMA_CH1>,
    ) -> Self {
        let (first, second) = (pac::DMA.ch(0), pac::DMA.ch(1));
        second.read_addr().write_value(RELOAD.as_ptr() as u32);
        second.write_addr().write_value(first.al1_trans_count_trig().as_ptr() as u32);
        second.trans_count().write_value(1);
        let mut control = pac::dma::regs::CtrlTrig(0);
        control.set_data_size(DataSize::SIZE_WORD);
        control.set_treq_sel(TreqSel::PERMANENT);
        control.set_chain_to(1);
        control.set_irq_quiet(true);
        control.set_en(true);
        // The alias that does not trigger.
        second.al1_ctrl().write_value(control.0);

        first.read_addr().write_value(pac::ADC.fifo().as_ptr() as u32);
        first.write_addr().write_value(SAMPLES.0.as_ptr() as u32);
        first.trans_count().write_value(COUNT);
        first.ctrl_trig().write(|w| {
            w.set_data_size(DataSize::SIZE_HALFWORD);
            w.set_incr_write(true);
            w.set_ring_sel(true);
            w.set_ring_size(RING_BITS);
            w.set_treq_sel(TreqSel::ADC);
            w.set_chain_to(1);
            w.set_irq_quiet(true);
            w.set_high_priority(true);
            w.set_en(true);
        });

        pac::ADC.fcs().write(|w| {
            w.set_en(true);
            w.set_dreq_en(true);
            w.set_thresh(1);
        });
        pac::ADC.div().write(|w| w.set_int(DIVIDER));
        pac::ADC.cs().modify(|w| {
            w.set_ainsel(0);
            w.set_rrobin(0b1111);
            w.set_start_many(true);
        });
        Self { taken: 0, _owned: (ring, reload, channels) }
    }

    /// Copies the next window, if the DMA has passed it.
    pub fn take(&mut self, block: &mut Block) -> Taken {
        let waiting = self.waiting();
        if waiting as usize > RING - MARGIN {
            let lost = waiting / BLOCK as u32 - KEPT;
            self.taken = (self.taken + lost * BLOCK as u32) % COUNT;
            return Taken::Lost(lost);
        }
        if (waiting as usize) < BLOCK {
            return Taken::Nothing;
        }
        let start = self.taken as usize;
        for (i, sample) in block.iter_mut().enumerate() {
            *sample = SAMPLES.0[(start + i) % RING].load(Ordering::Relaxed);
        }
        self.taken = (self.taken + BLOCK as u32) % COUNT;
        Taken::Window
    }

    /// Samples that wait. The count that is left tells how many were written, without doubt for 437 s; a wrap of the ring
    /// alone would not.
    fn waiting(&self) -> u32 {
        let written = COUNT - pac::DMA.ch(0).trans_count().read();
        written.wrapping_sub(self.taken) % COUNT
    }
}
