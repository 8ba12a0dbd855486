//! Constants of what comes before the loads are known: segments of steady readings, and the runs that they belong to.

use tubtrace_units::Seconds;

use crate::constant::constants;

constants! { "loads":
    /// Two stretches that are less apart than this are one after another.
    ROUNDING: f64 = 0.01, "s", Source("a tenth of the tick of 0.1 s of which all times of a log are sums");
    /// Readings of a segment differ from its middle by no more than this: meters at hand resolve about 2 W.
    SEGMENT_POWER: f64 = 2.5, "W", Guess;
    /// The same as a part of its power, where that is more: a steady load moves a few percent with the mains.
    SEGMENT_POWER_PART: f64 = 0.05, "part", Guess;
    /// Greatest ratio of flow noise within a segment.
    SEGMENT_NOISE: f64 = 2.0, "factor", Guess;
    /// What a pickup hears of itself.
    PICKUP_OWN_NOISE: f64 = 2.0, "counts of the converter", Guess;
    /// Longest segment, so that a slow drift does not hide in one.
    SEGMENT_LONGEST: Seconds = Seconds(60.0), "s", Guess;

    /// Idle time after which another run begins, unless the machine waited in water.
    RUNS_APART: Seconds = Seconds(600.0), "s", Practice;
    /// In an empty tub another run begins after so many times the longest rest of a machine's programmes.
    RESTS_BY_FAR: f64 = 2.0, "factor", Guess;
    /// Cycles from which that rest is believed.
    RESTS_SEEN: u32 = 3, "cycles", Guess;
    /// And after no less than this: nobody empties and loads a machine faster.
    RUNS_APART_LEAST: Seconds = Seconds(120.0), "s", Practice;
    /// Power below which a machine is idle: its control draws less.
    IDLE_BELOW: f64 = 6.0, "W", Practice;
    /// How much the power of a control that waits varies.
    IDLE_STEADY: f64 = 1.5, "W", Guess;
    /// The same as a part of it, where that is more.
    IDLE_STEADY_PART: f64 = 0.2, "part", Guess;
    /// Power below which a machine is idle if it stays so for as long as runs are apart: through a clamp for a tenth of the current the
    /// control alone draws tens of watts.
    IDLE_SMALL_CLAMP: f64 = 40.0, "W", Guess;
    /// Longest time at the end of the clamp's range after which a run still says what its loads draw.
    CLIPPED_AT_MOST: Seconds = Seconds(10.0), "s", Guess;
    /// Ratio to the other runs, both of usual and of greatest power, above which a run was metered by another clamp. A house's mains
    /// varies by a tenth, and no fault makes all loads draw twice as much.
    OUT_OF_SCALE: f64 = 2.5, "factor", Guess;
    /// Part of the time of a run below whose power its greatest power is taken: peaks are no loads.
    MOST_DRAWN: f64 = 0.97, "probability", Guess;
    /// Shortest programme whose power is compared with others.
    PROGRAMME_LASTS: Seconds = Seconds(1_200.0), "s", Practice;
    /// Greatest power of a run below which it neither washes nor heats and says nothing of the others.
    PROGRAMME_DRAWS: f64 = 150.0, "W", Practice;

    /// Longest wait of a programme: drying before a last drain, or a soak.
    WAITS_FOR: Seconds = Seconds(2_700.0), "s", Practice;
    /// Shortest washing or filling that makes a run; a pump that stirs while it drains washes for less.
    RUN_LASTS: Seconds = Seconds(60.0), "s", Guess;
    /// Shortest drain of a run that filled and gave up.
    GIVES_UP_DRAINS: Seconds = Seconds(10.0), "s", Guess;
    /// Longest part of a purge: each is 5 s, and twice that is still one.
    PURGE_PART: Seconds = Seconds(10.0), "s", Practice;

    /// A log of more segments than this is worked in parts: a night of steady readings has a few hundred, and each costs the better part of
    /// a kilobyte while loads are inferred.
    PART_SEGMENTS: usize = 12_000, "segments", Guess;
    /// Time after which a part may end in shorter idle time, and after twice of which anywhere: a programme lasts a few hours.
    PART_LASTS: Seconds = Seconds(86_400.0), "s", Practice;
}
