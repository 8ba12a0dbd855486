//! What the LED says: a number of short flashes every four seconds, the worst news first.

/// Something worth a pattern, the most urgent first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Lamp {
    /// The button was heard: lit for a second.
    Heard,
    /// The button was heard, and its mark could not be kept: five times on and off in a second.
    Refused,
    /// The flash cannot be used: on and off, twice a second.
    NoFlash,
    /// Five flashes: the battery is low.
    BatteryLow,
    /// Four flashes: the flash is nearly full, and will stop.
    NearlyFull,
    /// Three flashes: a temperature clip is open, shorted or not there.
    ClipMissing,
    /// Two flashes: no mains seen. The machine may be off; the clamp may be open, or around both conductors.
    NoMains,
    /// One flash: recording, all is well.
    Recording,
    /// Dark: not recording.
    Dark,
}

/// Windows in a pattern.
const PERIOD: u32 = 40;

/// A flash is lit for one window in three.
const FLASH: u32 = 3;

impl Lamp {
    const fn flashes(self) -> u32 {
        match self {
            Self::Recording => 1,
            Self::NoMains => 2,
            Self::ClipMissing => 3,
            Self::NearlyFull => 4,
            Self::BatteryLow => 5,
            Self::Heard | Self::Refused | Self::NoFlash | Self::Dark => 0,
        }
    }

    /// Whether the LED is lit in a window.
    #[must_use]
    pub const fn lit(self, window: u32) -> bool {
        let at = window % PERIOD;
        match self {
            Self::Heard => true,
            Self::Refused => window.is_multiple_of(2),
            Self::NoFlash => window % 5 < 2,
            _ => at < self.flashes() * FLASH && at.is_multiple_of(FLASH),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn flashes_can_be_counted() {
        let lamps = [
            Lamp::Dark,
            Lamp::Recording,
            Lamp::NoMains,
            Lamp::ClipMissing,
            Lamp::NearlyFull,
            Lamp::BatteryLow,
        ];
        for (count, lamp) in lamps.into_iter().enumerate() {
            let rises = (0..PERIOD).filter(|&w| lamp.lit(w) && !lamp.lit((w + PERIOD - 1) % PERIOD)).count();
            assert_eq!(rises, count, "{lamp:?}");
        }
    }

    #[test]
    fn a_pause_parts_one_count_from_the_next() {
        // The longest pattern leaves 2.5 s dark before it begins again; flashes are 0.3 s apart.
        assert!((16..PERIOD).all(|w| !Lamp::BatteryLow.lit(w)));
    }
}
