//! Pins, clocks and DMA.

use defmt_rtt as _;
use embassy_executor::Spawner;
use embassy_futures::join::join;
use embassy_rp::adc::{self, Adc, Channel};
use embassy_rp::gpio::{Level, Output, Pull};
use embassy_rp::uart::{self, UartTx};
use embassy_rp::{bind_interrupts, dma, peripherals};
use embassy_time::{Duration, Instant};
use panic_probe as _;
use static_cell::StaticCell;
use tubtrace_core::metering::Calibration;
use tubtrace_core::{Arming, BLOCK, Block, Logger};
use tubtrace_protocol::{LossCause, MAX_FRAME, OpenReason, Record, Tick, encode};

bind_interrupts!(struct Interrupts {
    ADC_IRQ_FIFO => adc::InterruptHandler;
    DMA_IRQ_0 => dma::InterruptHandler<peripherals::DMA_CH0>;
});

/// 48 MHz / (2,499 + 1) = 19,200 conversions a second: four channels in round robin, 4,800 each.
const DIVIDER: u16 = 2_499;

/// A window is 100 ms; this much longer between two of them, and one was lost.
const LATE: Duration = Duration::from_millis(150);

#[embassy_executor::main]
async fn main(_spawner: Spawner) {
    let board = embassy_rp::init(Default::default());
    let mut adc = Adc::new(board.ADC, Interrupts, adc::Config::default());
    let mut channels = [
        Channel::new_pin(board.PIN_26, Pull::None),
        Channel::new_pin(board.PIN_27, Pull::None),
        Channel::new_pin(board.PIN_28, Pull::None),
        Channel::new_pin(board.PIN_29, Pull::None),
    ];
    let mut dma = dma::Channel::new(board.DMA_CH0, Interrupts);
    let mut led = Output::new(board.PIN_25, Level::Low);
    let mut config = uart::Config::default();
    config.baudrate = 921_600;
    let mut port = UartTx::new_blocking(board.UART0, board.PIN_0, config);
    let mut send = move |record: Record| {
        let mut buffer = [0; MAX_FRAME];
        match encode(&record, &mut buffer) {
            // Blocks for 3 ms at most; the next window is being sampled meanwhile.
            Ok(frame) => {
                let _ = port.blocking_write(frame);
            }
            Err(_) => defmt::error!("a record did not fit its frame"),
        }
    };

    static BLOCKS: StaticCell<[Block; 2]> = StaticCell::new();
    let [mut sampled, mut metered] = BLOCKS.init([[0; BLOCK]; 2]).each_mut();
    let arming = Arming { logger: 0, calibration: Calibration::NOMINAL, label: Default::default() };
    let mut logger = Logger::open(arming, Tick(0), OpenReason::Power, &mut send);
    defmt::info!("recording");

    let _ = adc.read_many_multichannel(&mut channels, metered, DIVIDER, &mut dma).await;
    let mut last = Instant::now();
    loop {
        // Sampling of the next window starts first; then this one is worked while the DMA runs.
        let sampling = adc.read_many_multichannel(&mut channels, sampled, DIVIDER, &mut dma);
        let working = async {
            let window = logger.window(metered, &mut send);
            led.set_level(Level::from(window.rms > 20));
        };
        let (result, ()) = join(sampling, working).await;
        let now = Instant::now();
        let late = now - last;
        last = now;
        if result.is_err() || late > LATE {
            // What was not sampled in time is said to be lost, in whole windows.
            let windows = (late.as_millis() / 100).saturating_sub(1).max(1) as u32;
            defmt::warn!("lost {} windows", windows);
            logger.lost(windows, LossCause::Overrun, &mut send);
        }
        core::mem::swap(&mut sampled, &mut metered);
    }
}
