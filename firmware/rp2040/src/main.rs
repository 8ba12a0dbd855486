//! The logger's image for an RP2040 board.
//!
//! First version: current clamp and both pickups are sampled, metered and recorded by `tubtrace-core`, and the frames leave
//! on the serial port (GP0, 921,600 baud), ready to be kept as a `.tub` log. There is no flash ring, no USB and no
//! thermistor converter on it yet.
#![cfg_attr(target_os = "none", no_std, no_main)]

#[cfg(target_os = "none")]
mod board;

#[cfg(not(target_os = "none"))]
fn main() {
    eprintln!("this is the logger's firmware: build it for its own processor, --target thumbv6m-none-eabi");
    std::process::exit(2);
}
