//! The programmes that a style can offer.

use super::style::Style;
use crate::programme::{Part, Programme, Role, water};
use crate::rng::Rng;

impl Style {
    /// One cold water and out, to wait for more dishes.
    pub fn rinse(&self) -> Programme {
        let parts = vec![Part::Water(self.pre(6.0, self.speeds[0]))];
        Programme { extra_rinse: 0.0, ..self.named("quick-rinse", 0.08, parts) }
    }

    /// A short programme at a lower temperature.
    pub fn quick(&self) -> Programme {
        let v = self.speeds[0];
        let main = water(Role::Main, self.litres).dispense();
        let mut parts = vec![Part::Water(self.sprayed(main, 6.0, v, self.main[2] - 4.0, false))];
        self.rinses(&mut parts, 1, 2.0, v);
        let w = water(Role::Last, self.litres);
        parts.push(Part::Water(self.sprayed(w, 2.5, v, self.main[2] - 2.0, false)));
        self.named("quick", 0.19, parts)
    }

    /// The usual programme.
    pub fn daily(&self) -> Programme {
        let v = self.speeds[1];
        let mut parts = self.begin();
        for n in 0..self.pres.max(usize::from(self.tank)) {
            parts.push(Part::Water(self.pre(if n == 0 { 5.0 } else { 2.5 }, v)));
        }
        let main = water(Role::Main, 1.04 * self.litres).spray(1.5, v).dispense();
        parts.push(Part::Water(self.main(main, 14.0, v, self.main[0], false)));
        self.rinses(&mut parts, self.rinses, 3.5, v);
        self.last(&mut parts, 5.0, v, 0.0);
        self.named("daily", 0.48, parts)
    }

    /// For pots: hotter, longer, a warm pre-wash.
    pub fn intensive(&self) -> Programme {
        let v = self.speeds[2];
        let mut parts = self.begin();
        let mut pre = self.sprayed(water(Role::Pre, 1.05 * self.litres), 5.0, v, 42.0, false);
        if let Some(m) = self.soak {
            pre = pre.soak(m, self.stir);
        }
        parts.push(Part::Water(pre));
        let main = water(Role::Main, 1.08 * self.litres).spray(1.5, v).dispense();
        parts.push(Part::Water(self.main(main, 24.0, v, self.main[1], true)));
        self.rinses(&mut parts, self.rinses + 1, 4.0, v);
        self.last(&mut parts, 6.0, v, 3.0);
        self.named("intensive", 0.12, parts)
    }

    /// Long and lukewarm.
    pub fn economy(&self) -> Programme {
        let v = self.speeds[3];
        let mut main = water(Role::Main, self.litres).spray(4.0, v).dispense();
        if let Some(m) = self.soak {
            main = main.soak(m, self.stir);
        }
        let mut parts = self.begin();
        if self.tank {
            parts.push(Part::Water(self.pre(4.0, v)));
        }
        parts.push(Part::Water(self.main(main, 32.0 * self.patience, v, self.main[2], false)));
        self.rinses(&mut parts, 1, 4.0, v);
        self.last(&mut parts, 5.0, v, -7.0);
        self.named("economy", 0.25, parts)
    }

    /// Two to four programmes, the daily one among them.
    pub fn programmes(&self, r: &mut Rng) -> Vec<Programme> {
        let mut others = vec![self.rinse(), self.quick(), self.intensive(), self.economy()];
        let wanted = r.whole(1, 3);
        while others.len() > wanted {
            let out = r.whole(0, others.len() - 1);
            others.remove(out);
        }
        others.push(self.daily());
        others
    }
}
