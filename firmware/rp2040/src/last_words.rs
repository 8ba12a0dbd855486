//! What the firmware says when it stops itself: kept in memory that a reset leaves alone, told by the next start.

use core::fmt::Write;
use core::mem::MaybeUninit;
use core::panic::PanicInfo;
use core::sync::atomic::{AtomicU8, AtomicU32, Ordering};

use cortex_m_rt::exception;
use embassy_rp::pac;
use heapless::String;

/// Says that [`Words`] were written, and not merely left by chance when the power came.
const WRITTEN: u32 = 0x7475_6274;

#[repr(C)]
struct Words {
    written: AtomicU32,
    length: AtomicU32,
    bytes: [AtomicU8; 96],
}

#[allow(unsafe_code, reason = "names a section that cortex-m-rt defines for memory it does not initialise")]
#[unsafe(link_section = ".uninit.WORDS")]
static WORDS: MaybeUninit<Words> = MaybeUninit::uninit();

fn words() -> &'static Words {
    // Sound: a `Words` is atomics of integers, so whatever bits the memory has after power-up or a reset are one; and the
    // memory is real and this program's own, so reading it gives some fixed bits.
    #[allow(unsafe_code)]
    unsafe {
        WORDS.assume_init_ref()
    }
}

/// What the last run said, once.
pub fn take() -> Option<String<96>> {
    let words = words();
    if words.written.load(Ordering::Relaxed) != WRITTEN {
        return None;
    }
    words.written.store(0, Ordering::Relaxed);
    let length = words.length.load(Ordering::Relaxed) as usize;
    let mut text = String::new();
    for byte in words.bytes.iter().take(length) {
        // Paths and messages of this firmware are ASCII; anything else is not worth a decoder.
        let byte = byte.load(Ordering::Relaxed);
        let _ = text.push(if byte.is_ascii() && !byte.is_ascii_control() { byte.into() } else { '?' });
    }
    Some(text)
}

/// Writes as much as there is room for.
struct Pen(usize);

impl Write for Pen {
    fn write_str(&mut self, text: &str) -> core::fmt::Result {
        for &byte in text.as_bytes() {
            if let Some(place) = words().bytes.get(self.0) {
                place.store(byte, Ordering::Relaxed);
                self.0 += 1;
            }
        }
        Ok(())
    }
}

fn stop(pen: Pen) -> ! {
    words().length.store(pen.0 as u32, Ordering::Relaxed);
    words().written.store(WRITTEN, Ordering::Relaxed);
    // All but the oscillators, as the watchdog does: the DMA must not go on writing.
    pac::PSM.wdsel().write_value(pac::psm::regs::Wdsel(0x0001_ffff & !0b11));
    pac::WATCHDOG.ctrl().modify(|w| w.set_trigger(true));
    loop {
        cortex_m::asm::nop();
    }
}

#[panic_handler]
fn panic(info: &PanicInfo) -> ! {
    cortex_m::interrupt::disable();
    let mut pen = Pen(0);
    if let Some(place) = info.location() {
        // The file's name without its folders: the message has room for little.
        let file = place.file().rsplit(['/', '\\']).next().unwrap_or_default();
        let _ = write!(pen, "{file}:{}: ", place.line());
    }
    let _ = write!(pen, "{}", info.message());
    defmt::error!("stopped itself");
    stop(pen)
}

/// A fault of the processor, told by where it happened.
#[allow(unsafe_code, reason = "the attribute wants it; nothing in it is unsafe")]
#[exception]
unsafe fn HardFault(frame: &cortex_m_rt::ExceptionFrame) -> ! {
    let mut pen = Pen(0);
    let _ = write!(pen, "hard fault at {:#010x}", frame.pc());
    stop(pen)
}
