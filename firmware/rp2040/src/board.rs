//! The board: its pins, and who does what.

use core::cell::RefCell;
use core::fmt::Write;

use defmt_rtt as _;
use embassy_executor::Spawner;
use embassy_futures::select::{Either, select};
use embassy_rp::adc::{self, Adc, Channel};
use embassy_rp::clocks::RoscRng;
use embassy_rp::gpio::{Input, Level, Output, Pull};
use embassy_rp::i2c::{self, I2c};
use embassy_rp::spi::{self, Spi};
use embassy_rp::usb::{self as usb_driver, Driver};
use embassy_rp::watchdog::{ResetReason, Watchdog};
use embassy_rp::{bind_interrupts, dma, peripherals};
use embassy_time::{Duration, Ticker, Timer, with_timeout};
use heapless::String;
use static_cell::StaticCell;
use tubtrace_core::{BLOCK, Block, Start, Station};
use tubtrace_protocol::OpenReason;

use crate::clips::Clips;
use crate::heartbeat::{Heartbeat, WindowDone};
use crate::sampler::{Sampler, Taken};
use crate::usb::{Outgoing, Plugged, Plugs, Requests, ToHost};
use crate::{flash, last_words, power, request_handler, usb};

bind_interrupts!(struct Interrupts {
    DMA_IRQ_0 => dma::InterruptHandler<peripherals::DMA_CH2>, dma::InterruptHandler<peripherals::DMA_CH3>;
    USBCTRL_IRQ => usb_driver::InterruptHandler<peripherals::USB>;
});

/// Half of what the memory's interface clock allows; a lead of a hand's width is no trouble.
const FLASH_HZ: u32 = 12_000_000;

/// The converter's fast mode.
const CLIPS_HZ: u32 = 400_000;

/// The watchdog's patience. The sampler feeds it ten times a second.
const PATIENCE: Duration = Duration::from_secs(4);

/// A chip that takes longer to be written to at the start is not waited for: an erase takes 0.4 s, and the watchdog 4.
const WRITING: Duration = Duration::from_secs(2);

/// Seconds that the request handler may be without a sign of life before the watchdog is left to bite.
const HANDLER_PATIENCE: u32 = 60;

/// The watchdog's register that says, across a reset, that the core was talking to the clips' converter.
const TALKING: usize = 0;

/// A contact that bounces is quiet after this.
const BOUNCE: Duration = Duration::from_millis(50);

#[embassy_executor::main]
async fn main(spawner: Spawner) {
    let board = embassy_rp::init(power::config());
    power::stop_unused_clocks();
    let mut watchdog = Watchdog::new(board.WATCHDOG);
    let start = why(&watchdog);
    defmt::info!("starting: {}", defmt::Debug2Format(&start.reason));
    watchdog.start(PATIENCE);

    let mut config = spi::Config::default();
    config.frequency = FLASH_HZ;
    let bus = Spi::new(
        board.SPI0,
        board.PIN_18,
        board.PIN_19,
        board.PIN_16,
        board.DMA_CH2,
        board.DMA_CH3,
        Interrupts,
        config,
    );
    static LINES: StaticCell<flash::Lines> = StaticCell::new();
    let lines = &*LINES.init(flash::Lines::new(bus, Output::new(board.PIN_17, Level::High)));
    let mut storage = None;
    let memory = fed(&mut watchdog, flash::open(lines, &mut storage)).await;
    let memory = memory.unwrap_or_else(|| {
        // It may have been given up between the opening and what it remembers.
        storage = None;
        None
    });
    let serial = memory.as_ref().map_or_else(|| RoscRng.next_u32(), |m| m.logger);

    static STATION: StaticCell<RefCell<Station>> = StaticCell::new();
    let stored = storage.as_ref().is_some_and(|s| s.ring.used() > 0);
    let station = STATION.init(RefCell::new(Station::start(memory, serial, start, stored)));
    if let Some(opened) = &mut storage {
        // The number is chosen once, and what was reserved before the reset is used up.
        let memory = station.borrow_mut().memory();
        if with_timeout(WRITING, opened.remember(&memory)).await.is_err() {
            // It hangs where it is written to. The request handler tries it again.
            storage = None;
        }
    }
    if storage.is_none() {
        defmt::error!("no flash");
        station.borrow_mut().without_flash();
    }

    static OUTGOING: StaticCell<Outgoing> = StaticCell::new();
    static REQUESTS: StaticCell<Requests> = StaticCell::new();
    static WINDOW_DONE: StaticCell<WindowDone> = StaticCell::new();
    static HEARTBEAT: Heartbeat = Heartbeat::new();
    static PLUGS: Plugs = Plugs::new();
    let outgoing = &*OUTGOING.init(Outgoing::new());
    let requests = &*REQUESTS.init(Requests::new());
    let window_done = &*WINDOW_DONE.init(WindowDone::new());

    static NAME: StaticCell<String<8>> = StaticCell::new();
    let name = NAME.init(String::new());
    let _ = write!(name, "{serial:08x}");
    let port = usb::port(Driver::new(board.USB, Interrupts), name, Plugged(outgoing, &PLUGS));
    let mut config = i2c::Config::default();
    config.frequency = CLIPS_HZ;
    let bus = I2c::new_blocking(board.I2C0, board.PIN_5, board.PIN_4, config);
    // A bus that a damaged lead holds down hangs whoever talks on it. It has cost one reset; it will not cost a second.
    let hung = watchdog.get_scratch(TALKING) != 0;
    watchdog.set_scratch(TALKING, 0);
    let clips = (!hung).then(|| Clips::new(bus));
    let lamp = Output::new(board.PIN_25, Level::Low);
    let pressed = Input::new(board.PIN_14, Pull::Up);
    let adc = Adc::new_blocking(board.ADC, adc::Config::default());
    let channels = [
        Channel::new_pin(board.PIN_26, Pull::None),
        Channel::new_pin(board.PIN_27, Pull::None),
        Channel::new_pin(board.PIN_28, Pull::None),
        Channel::new_pin(board.PIN_29, Pull::None),
    ];
    watchdog.feed(PATIENCE);
    let sampler = Sampler::start(&adc, channels, board.DMA_CH0, board.DMA_CH1);

    // There is room for each task once, and each is begun once.
    spawner.spawn(usb::run(port.device).unwrap());
    spawner.spawn(usb::receive(port.receiver, requests).unwrap());
    spawner.spawn(usb::send(port.sender, outgoing).unwrap());
    spawner.spawn(
        request_handler::work(
            station,
            storage,
            lines,
            requests,
            window_done,
            ToHost::new(outgoing, &PLUGS, &HEARTBEAT),
        )
        .unwrap(),
    );
    spawner.spawn(button(station, pressed).unwrap());
    sample(station, sampler, clips, lamp, window_done, watchdog, &HEARTBEAT).await
}

/// Waits for something that ends by its own patience, and keeps the watchdog quiet meanwhile.
async fn fed<T>(watchdog: &mut Watchdog, what: impl Future<Output = T>) -> T {
    let feed = async {
        loop {
            watchdog.feed(PATIENCE);
            Timer::after_secs(1).await;
        }
    };
    match select(what, feed).await {
        Either::First(done) => done,
        Either::Second(never) => never,
    }
}

/// Takes windows as they come, for ever.
async fn sample(
    station: &RefCell<Station>,
    mut sampler: Sampler,
    mut clips: Option<Clips>,
    mut lamp: Output<'static>,
    window_done: &WindowDone,
    mut watchdog: Watchdog,
    heartbeat: &Heartbeat,
) -> ! {
    static BLOCK_OF_SAMPLES: StaticCell<Block> = StaticCell::new();
    let block = BLOCK_OF_SAMPLES.init([0; BLOCK]);
    let mut ticker = Ticker::every(Duration::from_millis(100));
    loop {
        loop {
            match sampler.take(block) {
                Taken::Nothing => break,
                Taken::Window => {
                    station.borrow_mut().window(block);
                    watchdog.set_scratch(TALKING, 1);
                    let codes = clips.as_mut().and_then(Clips::step);
                    watchdog.set_scratch(TALKING, 0);
                    if let Some(codes) = codes {
                        station.borrow_mut().temperatures(codes);
                    }
                }
                Taken::Lost(windows) => {
                    defmt::warn!("lost {} windows", windows);
                    station.borrow_mut().lost(windows);
                }
            }
        }
        lamp.set_level(station.borrow().lit().into());
        window_done.signal(());
        if heartbeat.age() < HANDLER_PATIENCE {
            watchdog.feed(PATIENCE);
        }
        ticker.next().await;
    }
}

/// Waits for presses of the button, which pulls its pin to ground.
#[embassy_executor::task]
async fn button(station: &'static RefCell<Station>, mut pin: Input<'static>) -> ! {
    loop {
        pin.wait_for_falling_edge().await;
        Timer::after(BOUNCE).await;
        if pin.is_low() {
            defmt::info!("button");
            station.borrow_mut().button();
            pin.wait_for_high().await;
            Timer::after(BOUNCE).await;
        }
    }
}

/// Why the processor starts, and what it said when it stopped itself.
fn why(watchdog: &Watchdog) -> Start {
    let panic = last_words::take();
    let reason = match (watchdog.reset_reason(), &panic) {
        (Some(_), Some(_)) => OpenReason::Panic,
        (Some(ResetReason::TimedOut), None) => OpenReason::Watchdog,
        // A forced reset that left no words is how a programmer starts the board.
        (Some(ResetReason::Forced), None) | (None, _) => OpenReason::Power,
    };
    Start { reason, panic }
}
