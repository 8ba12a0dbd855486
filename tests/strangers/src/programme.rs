//! A programme is a row of waters and dryings; a water is fill, acts, drain.

/// What a water is for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Role {
    Pre,
    Main,
    Rinse,
    Last,
}

/// Where a water comes from or goes to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Way {
    Mains,
    Tank,
}

/// One thing done with a water in the tub.
#[derive(Clone, Debug)]
pub enum Act {
    /// Spray for minutes at a share of full speed, heated to a temperature if given.
    Wash { minutes: f64, speed: f64, heat: Option<f64>, hold: bool },
    /// Open the dispenser.
    Dispense,
    /// Stand still, or with a short stir now and then.
    Soak { minutes: f64, stir: bool },
    /// Regenerate the softener if its turn has come.
    Regenerate,
}

/// What happens between one fill and the drain after it.
#[derive(Clone, Debug)]
pub struct Water {
    pub role: Role,
    pub litres: f64,
    pub from: Way,
    pub to: Way,
    /// The share of it that is left in the tub on purpose for the next water.
    pub leaves: f64,
    pub acts: Vec<Act>,
}

/// How the load is dried.
#[derive(Clone, Debug)]
pub enum Dry {
    /// Nothing runs.
    Still { minutes: f64 },
    /// The element warms the air by on and off times.
    Element { minutes: f64, share: f64, on: f64, off: f64 },
    /// A fan runs, for the whole time or in turns of minutes.
    Fan { minutes: f64, on: f64, off: f64 },
    /// A dry heater with its fan, at first and then the fan alone.
    Sorption { heated: f64, blown: f64 },
}

/// One part of a programme.
#[derive(Clone, Debug)]
pub enum Part {
    Water(Water),
    /// A dry heater drives the water out of the sorbent before the washing.
    Desorb {
        minutes: f64,
    },
    Vent,
    /// Regenerate the softener after the last water if its turn has come, and drain its rinse.
    Soften,
    Dry(Dry),
}

/// A programme.
#[derive(Clone, Debug)]
pub struct Programme {
    pub name: &'static str,
    /// How often a household chooses it.
    pub weight: f64,
    /// The chance that a dirty load brings another rinse.
    pub extra_rinse: f64,
    pub parts: Vec<Part>,
}

/// So many litres from the mains that are drained again, in which nothing happens yet.
pub fn water(role: Role, litres: f64) -> Water {
    Water { role, litres, from: Way::Mains, to: Way::Mains, leaves: 0.0, acts: Vec::new() }
}

impl Water {
    /// Spray cold.
    pub fn spray(mut self, minutes: f64, speed: f64) -> Self {
        self.acts.push(Act::Wash { minutes, speed, heat: None, hold: false });
        self
    }

    /// Spray and heat; with `hold` the temperature is kept for the minutes.
    pub fn hot(mut self, minutes: f64, speed: f64, celsius: f64, hold: bool) -> Self {
        self.acts.push(Act::Wash { minutes, speed, heat: Some(celsius), hold });
        self
    }

    /// Open the dispenser.
    pub fn dispense(mut self) -> Self {
        self.acts.push(Act::Dispense);
        self
    }

    /// Stand in water for minutes; with `stir` the pump runs shortly now and then.
    pub fn soak(mut self, minutes: f64, stir: bool) -> Self {
        self.acts.push(Act::Soak { minutes, stir });
        self
    }

    /// Regenerate the softener before the drain.
    pub fn regenerate(mut self) -> Self {
        self.acts.push(Act::Regenerate);
        self
    }

    /// Leave a share of it for the next water.
    pub fn leaving(mut self, share: f64) -> Self {
        self.leaves = share;
        self
    }

    /// Take this water from the tank.
    pub fn from_tank(mut self) -> Self {
        self.from = Way::Tank;
        self
    }

    /// Keep this water in the tank.
    pub fn to_tank(mut self) -> Self {
        self.to = Way::Tank;
        self
    }
}

impl Programme {
    /// Whether any water of the programme is heated by the machine, or the air is.
    pub fn heats(&self) -> bool {
        self.parts.iter().any(|p| match p {
            Part::Water(w) => w.acts.iter().any(|a| matches!(a, Act::Wash { heat: Some(_), .. })),
            Part::Dry(Dry::Element { .. }) => true,
            _ => false,
        })
    }
}
