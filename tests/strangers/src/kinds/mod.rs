//! The kinds of machines.

pub mod base;
mod controls;
mod drains;
mod dryers;
mod fills;
mod pumps;
mod repertoire;
pub mod style;
mod waters;

use crate::machine::Machine;
use crate::rng::Rng;

/// A kind, from which machines are drawn by seed.
pub struct Kind {
    pub name: &'static str,
    pub sentence: &'static str,
    pub build: fn(&mut Rng, &'static str) -> Machine,
}

const fn kind(
    name: &'static str,
    build: fn(&mut Rng, &'static str) -> Machine,
    sentence: &'static str,
) -> Kind {
    Kind { name, sentence, build }
}

/// All kinds.
#[rustfmt::skip]
pub const KINDS: &[Kind] = &[
    kind("plain-230", waters::plain_cold, "Cold-fed on 230 V, one pump speed, heats the main wash and the last rinse, dries standing."),
    kind("plain-120", waters::plain_hot, "Hot-fed on 120 V, fills by time, heats a little, dries with the element."),
    kind("hot-fed-230", waters::hot_fed, "A 230 V machine on the hot tap, which often has nothing left to heat."),
    kind("hot-dry-only", waters::hot_dry_only, "Hot-fed; the element never heats the water and only dries."),
    kind("tank", waters::tank, "Keeps the last water in a tank for the next cycle's first, which then has no fill."),
    kind("soak", waters::soak, "Soaks of 15 to 20 minutes in the water, with or without a short stir."),
    kind("softener", waters::softener, "Regenerates its softener between waters every few cycles."),
    kind("tabletop", waters::tabletop, "Small for a table, little water, a heater of 700 to 1200 W."),
    kind("speeds", pumps::speeds, "An inverter pump with a speed for each programme."),
    kind("turns", pumps::turns, "Spray arms in turn, the pump rests about 6 s in 41."),
    kind("swing", pumps::swing, "The pump's speed swings between full and low every half minute or so."),
    kind("ramp", pumps::ramp, "The pump takes 20 s to come to its speed."),
    kind("diverter", pumps::diverter, "A diverter motor of 3 to 12 W moves between the arms while the pump runs."),
    kind("shaded-pole", pumps::shaded_pole, "Shaded-pole motors for washing and draining, with poor power factor."),
    kind("large-120", pumps::large, "A wash pump of 3.6 A on 120 V that lags 42 degrees."),
    kind("one-motor", pumps::one_motor, "One motor that washes one way round and drains the other."),
    kind("near-drain", drains::near, "The drain pump's power is within 20 % of the wash pump's."),
    kind("strong-drain", drains::strong, "The drain pump draws more than the wash pump."),
    kind("both-pumps", drains::both, "Both pumps run in the first seconds of a drain."),
    kind("purges", drains::purges, "A drain is a long run and purges of irregular length."),
    kind("level-drain", drains::level, "The drain pump runs until it draws air, so its time varies by 20 %."),
    kind("half-drain", drains::half, "Leaves a third to two thirds of the main wash in the tub for the rinse."),
    kind("grinder", drains::grinder, "Drains through a grinder on a strong motor, on 120 V."),
    kind("pulse-fill", fills::pulses, "The fill comes in pulses of seconds."),
    kind("float", fills::float, "The control opens the valve for a time and a float shuts it."),
    kind("thin-supply", fills::thin, "A supply of low pressure: fills of three to six minutes, by flow meter."),
    kind("heat-pump", dryers::heat_pump, "A heat pump of about 240 W instead of an element, cycles of hours."),
    kind("fan-hours", dryers::fan_hours, "A fan dries for hours, often in turns, with the vent open."),
    kind("sorption", dryers::sorption, "A dry heater with a fan at the end, on some also before the washing."),
    kind("vented", dryers::vented, "An actuator opens a vent before a drying with the element at part power."),
    kind("awake", controls::awake, "A control that draws 3 to 9 W awake and nothing asleep."),
    kind("slices", controls::slices, "The heater is switched every ten seconds to control its power."),
    kind("stages", controls::stages, "Two heating circuits, one of them off near the temperature."),
    kind("clockwork", controls::clockwork, "A timer on a small motor: everything by time, nothing noticed."),
    kind("delayed", controls::delayed, "Often started hours later; the control waits on a few watts."),
    kind("long-lamp", controls::long_lamp, "A lamp burns for hours after the end."),
    kind("busy-sensor", controls::busy_sensor, "A turbidity sensor: a dirty load brings another rinse in a third of the cycles."),
];

/// The kind of a name.
pub fn named(name: &str) -> Option<&'static Kind> {
    KINDS.iter().find(|k| k.name == name)
}

impl Kind {
    /// The machine of a seed.
    pub fn machine(&self, seed: u64) -> Machine {
        (self.build)(&mut Rng::stream(seed, self.name, 0, 0), self.name)
    }
}
