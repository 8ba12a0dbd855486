//! Constants of the reading of logs.

use tubtrace_units::{Amps, Seconds};

use crate::constant::constants;

constants! { "log":
    /// Anchors closer than this say little about drift: a millisecond of the host's clock in ten minutes is 2 ppm, the link's delay of some
    /// 10 ms is 20.
    BASE: f64 = 600.0, "s", Guess;
    /// No crystal is off by more than this; then somebody has set the computer's clock.
    WORST_DRIFT: f64 = 1e-3, "part", Practice;
    /// A reading holds until the next, unless that comes later than this many times the interval that nine in ten keep: then something is
    /// missing.
    GAP: f64 = 3.0, "factor", Guess;
    /// The next reading is never too late before this time has passed.
    GAP_AT_LEAST: Seconds = Seconds(10.0), "s", Guess;
    /// Time between readings that is no gap, although they say how long they hold: they are written to a millisecond.
    ROUNDING: Seconds = Seconds(0.02), "s", Guess;
    /// Current that no circuit of a household carries, for breakers for households are made up to it.
    MOST_AMPS: Amps = Amps(125.0), "A", Source("IEC 60898-1, 1");
    /// Volts between the phases of a household, at which that current is more power than any circuit carries.
    MOST_VOLTS: f64 = 440.0, "V", Source("IEC 60898-1, 1");
    /// A reading below zero is zero down to this part of the most that a circuit carries, some watts: the error of a meter.
    NEARLY_ZERO: f64 = 1e-4, "part", Guess;
    /// Readings beyond that, one behind the other, that are no glitch of a meter: glitches last a reading or two.
    NO_GLITCH: usize = 5, "readings", Guess;
    /// Readings further apart show nothing of a fill or a drain, which last from one to two minutes.
    READINGS_APART: Seconds = Seconds(90.0), "s", Practice;
    /// Rows of one time are those of several series where each differs from the one beside it by this many times as much as from the one that is
    /// in the same place of the next time. In one series it differs from both alike, or less from the one beside it.
    SERIES_APART: f64 = 2.0, "factor", Guess;
    /// What is put between two logs of which nobody knows how far they are apart: so long that no run goes on over it.
    LOGS_APART: Seconds = Seconds(3_600.0), "s", Practice;

    /// Readings that are alike for less than this hide little.
    STILL: f64 = 300.0, "s", Practice;
    /// A pump that has settled may well give one value for five minutes; a meter that stands still does so for this long at least once.
    SURELY_STILL: f64 = 600.0, "s", Practice;
    /// Loads are said to wander by a part in fifty and more, so that what is fewer steps of the meter than this may well read alike for long.
    STEADY_STEPS: f64 = 50.0, "steps", Guess;
    /// What draws up to this many times as much wanders alike.
    WANDERS_ALIKE: f64 = 1.25, "factor", Guess;
    /// So many other stretches of readings say how long those are: with fewer, one more or less is another answer.
    STRETCHES: usize = 4, "stretches", Guess;
    /// A meter that stands still does so for this many times as long as any other stretch of readings alike.
    TIMES_LONGER: usize = 3, "factor", Guess;
    /// And a stretch as long comes by chance in fewer files than this.
    BY_CHANCE: f64 = 1e-4, "part", Guess;
    /// Part of the readings of what draws as much, or more, above which such stretches are how this file has its loads: a meter that stands still does so now
    /// and then. Of machines f and g as many stretches are left out as without it.
    NEVER_WANDERS: f64 = 0.9, "part", Guess;
    /// Where stretches are of so many readings on average, loads are smooth or modelled, and how long one is says nothing of the meter; by the minute real ones are of
    /// one or two.
    SMOOTH: f64 = 10.0, "readings", Guess;
    /// Zeros behind it for longer than this are a machine that has ended meanwhile.
    ZEROS_BEHIND: f64 = 3_600.0, "s", Guess;
}
