//! The logger's image for an RP2040 board.
//!
//! `tubtrace-core` decides everything; what is here moves bytes between it and the pins. Five tasks share one core and never
//! wait for one another: the sampler takes windows out of a DMA ring, the request handler writes them to flash and answers the host, two
//! move bytes over USB, and one waits for the button.
#![cfg_attr(target_os = "none", no_std, no_main)]

#[cfg(target_os = "none")]
mod board;
#[cfg(target_os = "none")]
mod clips;
#[cfg(target_os = "none")]
mod flash;
#[cfg(target_os = "none")]
mod heartbeat;
#[cfg(target_os = "none")]
mod last_words;
#[cfg(target_os = "none")]
mod power;
#[cfg(target_os = "none")]
mod request_handler;
#[cfg(target_os = "none")]
mod sampler;
#[cfg(target_os = "none")]
mod usb;

#[cfg(not(target_os = "none"))]
fn main() {
    eprintln!("this is the logger's firmware: build it for its own processor, --target thumbv6m-none-eabi");
    std::process::exit(2);
}
