//! The programmes of a machine, from its style of washing.

use crate::programme::{Dry, Part, Programme, Role, Water, water};
use crate::rng::Rng;

/// How a machine washes.
#[derive(Clone, Debug)]
pub struct Style {
    pub litres: f64,
    /// Times the usual minutes.
    pub pace: f64,
    /// Temperatures of the main wash: daily, intensive, economy.
    pub main: [f64; 3],
    /// Times those of the economy programme, which is long on many machines.
    pub patience: f64,
    /// Whether the machine heats its wash waters at all.
    pub heats: bool,
    /// The last rinse's temperature, if it is heated.
    pub last: Option<f64>,
    pub rinses: usize,
    /// Cold waters before the daily main wash.
    pub pres: usize,
    /// The share of the speed at which the main wash is warmed up.
    pub warming: Option<f64>,
    /// The share of the main wash that is left for the next water.
    pub leaves: f64,
    /// Speeds: quick, daily, intensive, economy.
    pub speeds: [f64; 4],
    /// Minutes of a soak in the economy and intensive programmes.
    pub soak: Option<f64>,
    pub stir: bool,
    pub dry: Dry,
    pub vents: bool,
    /// The last water is kept for the next cycle's first.
    pub tank: bool,
    /// Minutes for which a sorbent is heated first.
    pub desorb: Option<f64>,
    /// The softener is regenerated after the last water rather than in the rinse.
    pub softens_last: bool,
    /// The chance that a dirty load brings another rinse.
    pub extra_rinse: f64,
}

impl Style {
    /// A usual style: minutes, temperatures and counts drawn in usual ranges.
    pub fn usual(r: &mut Rng, litres: f64) -> Style {
        let main = r.range(50.0, 60.0);
        Style {
            litres,
            pace: r.range(0.75, 1.3),
            main: [main, r.range(62.0, 70.0), r.range(44.0, 51.0)],
            patience: r.range(0.8, 3.0),
            heats: true,
            last: Some(r.range(52.0, 66.0)),
            rinses: r.whole(1, 2),
            pres: r.weighted(&[0.15, 0.65, 0.2]),
            warming: None,
            leaves: 0.0,
            speeds: [1.0; 4],
            soak: None,
            stir: false,
            dry: Dry::Still { minutes: r.range(8.0, 35.0) },
            vents: false,
            tank: false,
            desorb: None,
            softens_last: false,
            extra_rinse: 0.0,
        }
    }

    pub fn sprayed(&self, w: Water, minutes: f64, speed: f64, celsius: f64, hold: bool) -> Water {
        let minutes = minutes * self.pace;
        if self.heats { w.hot(minutes, speed, celsius, hold) } else { w.spray(minutes, speed) }
    }

    /// A main wash: warmed up at one speed on some machines, then washed at another.
    pub fn main(&self, w: Water, minutes: f64, speed: f64, celsius: f64, hold: bool) -> Water {
        let w = match self.warming {
            Some(share) if self.heats => w.hot(0.5, speed * share, celsius - 2.0, false),
            _ => w,
        };
        self.sprayed(w, minutes, speed, celsius, hold).leaving(self.leaves)
    }

    pub fn pre(&self, minutes: f64, speed: f64) -> Water {
        let w = water(Role::Pre, self.litres).spray(minutes * self.pace, speed);
        if self.tank { w.from_tank() } else { w }
    }

    pub fn rinses(&self, parts: &mut Vec<Part>, count: usize, minutes: f64, speed: f64) {
        for n in 0..count {
            let mut w = water(Role::Rinse, 0.93 * self.litres).spray(minutes * self.pace, speed);
            if n + 1 == count && !self.softens_last {
                w = w.regenerate();
            }
            parts.push(Part::Water(w));
        }
    }

    pub fn last(&self, parts: &mut Vec<Part>, minutes: f64, speed: f64, warmer: f64) {
        let w = water(Role::Last, self.litres);
        let minutes = minutes * self.pace;
        // The rinse aid is let out with the same actuator.
        let w = match self.last {
            Some(t) if self.heats => w.dispense().hot(minutes, speed, t + warmer, false),
            _ => w.dispense().spray(minutes, speed),
        };
        parts.push(Part::Water(if self.tank { w.to_tank() } else { w }));
        if self.softens_last {
            parts.push(Part::Soften);
        }
        if self.vents {
            parts.push(Part::Vent);
        }
        parts.push(Part::Dry(self.dry.clone()));
    }

    pub fn begin(&self) -> Vec<Part> {
        let desorb = self.desorb.map(|minutes| Part::Desorb { minutes });
        desorb.into_iter().collect()
    }

    pub fn named(&self, name: &'static str, weight: f64, parts: Vec<Part>) -> Programme {
        Programme { name, weight, extra_rinse: self.extra_rinse, parts }
    }
}
