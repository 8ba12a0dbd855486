//! The thermistor clips: three channels of a 16-bit converter, one conversion after the other, a window each.

use ads1x1x::ic::{Ads1115, Resolution16Bit};
use ads1x1x::{Ads1x1x, ChannelId, DataRate16Bit, FullScaleRange, TargetAddr, channel, mode};
use embassy_rp::i2c::{Blocking, I2c};
use embassy_rp::peripherals::I2C0;
use tubtrace_core::ratio;

type Bus = I2c<'static, I2C0, Blocking>;
type Converter = Ads1x1x<Bus, Ads1115, Resolution16Bit, mode::OneShot>;

/// The clips' converter, read in steps: a conversion takes 8 ms and nobody waits for it.
pub struct Clips {
    converter: Converter,
    /// Which window of the second comes next.
    step: u8,
    codes: [Option<i16>; 3],
}

impl Clips {
    /// The converter on its bus. One that does not answer is asked again every second.
    pub fn new(bus: Bus) -> Self {
        Self { converter: Ads1x1x::new_ads1115(bus, TargetAddr::Gnd), step: 0, codes: [None; 3] }
    }

    /// Once a window; once a second gives the codes (supply, drain), or `None` where the converter is silent.
    pub fn step(&mut self) -> Option<Option<[i16; 2]>> {
        let step = self.step;
        self.step = (step + 1) % 10;
        match step {
            0 => {
                // A converter that was unplugged has forgotten its settings. Writing them starts a conversion of its own,
                // so the first one that is wanted begins a window later.
                let _ = self.converter.set_full_scale_range(FullScaleRange::Within4_096V);
                let _ = self.converter.set_data_rate(DataRate16Bit::Sps128);
                None
            }
            1 => {
                let _ = self.converter.read(channel::SingleA0);
                None
            }
            2 => {
                self.codes[0] = self.finish(channel::SingleA0);
                let _ = self.converter.read(channel::SingleA1);
                None
            }
            3 => {
                self.codes[1] = self.finish(channel::SingleA1);
                let _ = self.converter.read(channel::SingleA2);
                None
            }
            4 => {
                self.codes[2] = self.finish(channel::SingleA2);
                Some(self.ratios())
            }
            _ => None,
        }
    }

    fn finish<C: ChannelId<Converter>>(&mut self, channel: C) -> Option<i16> {
        self.converter.read(channel).ok()
    }

    /// Both dividers against their supply. One that cannot be is the code of a short.
    fn ratios(&self) -> Option<[i16; 2]> {
        let [supply, drain, reference] = self.codes;
        let reference = reference?;
        Some([ratio(supply?, reference).unwrap_or(0), ratio(drain?, reference).unwrap_or(0)])
    }
}
