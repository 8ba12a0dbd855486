//! The cable: a USB serial port, whose bytes go to the request handler and come from it.

use core::sync::atomic::{AtomicU32, Ordering};

use embassy_rp::peripherals::USB;
use embassy_rp::usb::Driver;
use embassy_sync::blocking_mutex::raw::NoopRawMutex;
use embassy_sync::channel::Channel;
use embassy_sync::pipe::Pipe;
use embassy_time::{Duration, Timer, with_timeout};
use embassy_usb::class::cdc_acm::{CdcAcmClass, Receiver, Sender, State};
use embassy_usb::{Builder, Config, Handler, UsbDevice};
use static_cell::StaticCell;
use tubtrace_core::link::{Gone, Inbox, Outlet};
use tubtrace_protocol::{Damage, Request};

use crate::heartbeat::Heartbeat;

/// Vendor and product from the range that is free for tests and prototypes; a host goes by the product's name.
const VENDOR: u16 = 0x1209;
const PRODUCT: u16 = 0x0001;

/// Bytes of a full-speed bulk packet.
const PACKET: usize = 64;

/// A host that takes nothing for so long has gone.
const PATIENCE: Duration = Duration::from_secs(2);

/// Bytes on their way to the host.
pub type Outgoing = Pipe<NoopRawMutex, 1_024>;
/// Requests that wait. A host asks one thing at a time.
pub type Requests = Channel<NoopRawMutex, Result<Request, Damage>, 2>;
type Bus = Driver<'static, USB>;

/// The device with its two directions.
pub struct Port {
    /// The USB device itself, whose task runs the bus.
    pub device: UsbDevice<'static, Bus>,
    /// Sends bytes to the host.
    pub sender: Sender<'static, Bus>,
    /// Receives bytes from the host.
    pub receiver: Receiver<'static, Bus>,
}

/// Describes the device to the bus.
pub fn port(driver: Bus, serial: &'static str, plugged: Plugged) -> Port {
    let mut config = Config::new(VENDOR, PRODUCT);
    config.manufacturer = Some("tubtrace");
    config.product = Some("tubtrace logger");
    config.serial_number = Some(serial);
    // Its own battery; from the bus it takes next to nothing.
    config.self_powered = true;
    config.max_power = 50;

    static DESCRIPTORS: StaticCell<([u8; 128], [u8; 32], [u8; 64])> = StaticCell::new();
    let (configuration, capabilities, control) = DESCRIPTORS.init(([0; 128], [0; 32], [0; 64]));
    let mut builder = Builder::new(driver, config, configuration, capabilities, &mut [], control);
    static PLUGGED: StaticCell<Plugged> = StaticCell::new();
    builder.handler(PLUGGED.init(plugged));
    static STATE: StaticCell<State> = StaticCell::new();
    let class = CdcAcmClass::new(&mut builder, STATE.init(State::new()), PACKET as u16);
    let (sender, receiver) = class.split();
    Port { device: builder.build(), sender, receiver }
}

/// Runs the USB device for as long as the board has power.
#[embassy_executor::task]
pub async fn run(mut device: UsbDevice<'static, Bus>) -> ! {
    device.run().await
}

/// Packets in, requests out.
#[embassy_executor::task]
pub async fn receive(mut receiver: Receiver<'static, Bus>, requests: &'static Requests) -> ! {
    let mut packet = [0; PACKET];
    loop {
        receiver.wait_connection().await;
        // What was begun before the cable came out is over.
        let mut inbox = Inbox::default();
        while let Ok(length) = receiver.read_packet(&mut packet).await {
            for &byte in &packet[..length] {
                if let Some(request) = inbox.push(byte) {
                    requests.send(request).await;
                }
            }
        }
    }
}

/// Bytes in, packets out.
#[embassy_executor::task]
pub async fn send(mut sender: Sender<'static, Bus>, outgoing: &'static Outgoing) -> ! {
    let mut packet = [0; PACKET];
    loop {
        sender.wait_connection().await;
        outgoing.clear();
        loop {
            let length = outgoing.read(&mut packet).await;
            let mut sent = sender.write_packet(&packet[..length]).await;
            if length == PACKET && outgoing.is_empty() && sent.is_ok() {
                // A transfer that ends with a full packet is closed by an empty one.
                sent = sender.write_packet(&[]).await;
            }
            if sent.is_err() {
                break;
            }
        }
    }
}

/// How often a host has reset the bus.
pub struct Plugs(AtomicU32);

impl Plugs {
    /// No reset of the bus has been counted yet.
    pub const fn new() -> Self {
        Self(AtomicU32::new(0))
    }

    fn count(&self) -> u32 {
        self.0.load(Ordering::Relaxed)
    }
}

/// Hears a host reset the bus, which it does when the cable has come in again: what was on its way is for nobody.
pub struct Plugged(pub &'static Outgoing, pub &'static Plugs);

impl Handler for Plugged {
    fn reset(&mut self) {
        // One thread: nobody else counts.
        self.1.0.store(self.1.count().wrapping_add(1), Ordering::Relaxed);
        self.0.clear();
    }
}

/// The request handler's way to the host.
pub struct ToHost {
    outgoing: &'static Outgoing,
    plugs: &'static Plugs,
    /// Their number when the host asked: an answer is for nobody who plugs in later.
    asked: u32,
    heartbeat: &'static Heartbeat,
}

impl ToHost {
    /// To the host that bytes to `outgoing` reach.
    pub const fn new(
        outgoing: &'static Outgoing,
        plugs: &'static Plugs,
        heartbeat: &'static Heartbeat,
    ) -> Self {
        Self { outgoing, plugs, asked: 0, heartbeat }
    }

    /// Something new is to be sent.
    pub fn begin(&mut self) {
        self.heartbeat.tap();
        self.asked = self.plugs.count();
    }
}

impl Outlet for ToHost {
    async fn send(&mut self, bytes: &[u8]) -> Result<(), Gone> {
        self.heartbeat.tap();
        let sent = with_timeout(PATIENCE, self.outgoing.write_all(bytes)).await;
        if sent.is_err() || self.plugs.count() != self.asked {
            // What is left of it is for nobody.
            self.outgoing.clear();
            return Err(Gone);
        }
        Ok(())
    }

    async fn pause(&mut self) {
        self.heartbeat.tap();
        Timer::after_secs(1).await;
    }
}
