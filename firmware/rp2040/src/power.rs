//! Clocks: one PLL, at 48 MHz, which USB and the converter need anyway; and none for blocks that are not used.

use embassy_rp::clocks::{ClockConfig, PeriClkSrc, SysClkSrc};
use embassy_rp::config::Config;
use embassy_rp::pac;

const CRYSTAL_HZ: u32 = 12_000_000;

/// 48 MHz from the USB PLL for everything; the system PLL stays off.
pub fn config() -> Config {
    let mut clocks = ClockConfig::crystal(CRYSTAL_HZ);
    if let Some(crystal) = &mut clocks.xosc {
        crystal.sys_pll = None;
    }
    clocks.sys_clk.src = SysClkSrc::PllUsb;
    clocks.peri_clk_src = Some(PeriClkSrc::Sys);
    clocks.rtc_clk = None;
    Config::new(clocks)
}

/// Stops the clocks of what this board does not use. The core's own stops while it waits for an event.
pub fn stop_unused_clocks() {
    pac::CLOCKS.wake_en0().modify(|w| {
        w.set_clk_sys_i2c1(false);
        w.set_clk_sys_jtag(false);
        w.set_clk_sys_pio0(false);
        w.set_clk_sys_pio1(false);
        w.set_clk_sys_pll_sys(false);
        w.set_clk_sys_pwm(false);
        w.set_clk_rtc_rtc(false);
        w.set_clk_sys_rtc(false);
        w.set_clk_peri_spi1(false);
        w.set_clk_sys_spi1(false);
    });
    pac::CLOCKS.wake_en1().modify(|w| {
        w.set_clk_peri_uart0(false);
        w.set_clk_sys_uart0(false);
        w.set_clk_peri_uart1(false);
        w.set_clk_sys_uart1(false);
        w.set_clk_sys_tbman(false);
    });
}
