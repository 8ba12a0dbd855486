//! The constants of the alignment. A cost is about minus the natural logarithm of how often the like is seen, in nats; what matters is
//! the order of the costs, and by how much they are apart.

use tubtrace_units::Seconds;

use crate::constant::constants;

constants! { "alignment":
    /// An interval or a part that the chart says may be left out is left out.
    LEFT_OUT: f64 = 0.3, "nats", Guess;
    /// An interval that must come does not.
    MISSING: f64 = 12.0, "nats", Guess;
    /// A pause that must come does not: it may have been too short to see.
    MISSING_PAUSE: f64 = 1.0, "nats", Guess;
    /// A whole part that must come does not: one thing that is wrong, and not as many as it has intervals.
    MISSING_PART: f64 = 18.0, "nats", Guess;
    /// An interval that must come does not, beside a gap of the log in which it may have come unseen.
    UNSEEN: f64 = 3.0, "nats", Guess;

    /// An interruption that is shorter than this is a blink of a relay or of a reading.
    BLINK: Seconds = Seconds(10.0), "s", Guess;

    /// A duration is outside of its limits, however little: more than it costs to leave out what may be left out.
    OUTSIDE: f64 = 1.0, "nats", Guess;
    /// A duration outside of its limits costs the square of the logarithm of its ratio to the limit over this.
    SPREAD: f64 = 0.35, "factor", Guess;
    /// A duration outside of its limits costs at most this.
    ODD_LENGTH: f64 = 6.0, "nats", Guess;

    /// A pause comes that the chart does not have.
    EXTRA_PAUSE: f64 = 0.3, "nats", Guess;
    /// A pause that the chart does not have costs one more for each stretch of this length.
    EXTRA_PAUSE_GROWS: Seconds = Seconds(60.0), "s", Guess;
    /// A pause that the chart does not have costs at most this.
    EXTRA_PAUSE_MOST: f64 = 6.0, "nats", Guess;
    /// Something comes that the chart does not have, for no longer than a blink.
    EXTRA_BLINK: f64 = 1.5, "nats", Guess;
    /// Drying comes that the chart does not have.
    EXTRA_DRY: f64 = 4.0, "nats", Guess;
    /// A stalled wash pump, which no chart has.
    EXTRA_STALL: f64 = 5.0, "nats", Guess;
    /// A purge comes outside of a wash.
    EXTRA_PURGE: f64 = 6.0, "nats", Guess;
    /// A fill, a drain, a wash or a hold comes that the chart does not have.
    EXTRA: f64 = 5.0, "nats", Guess;
    /// A fill or a drain that the chart does not have costs one more for each stretch of this length: the longer, the less it is nothing.
    EXTRA_WATER_GROWS: Seconds = Seconds(20.0), "s", Guess;
    /// A wash or a hold that the chart does not have costs one more for each stretch of this length.
    EXTRA_WASH_GROWS: Seconds = Seconds(60.0), "s", Guess;
    /// A fill, a drain, a wash or a hold that the chart does not have costs at most this.
    EXTRA_MOST: f64 = 9.0, "nats", Guess;

    /// A wash stands for a hold or a hold for a wash: heat does not come or comes unasked, or one of pump and heater is not seen.
    WASH_FOR_HEAT: f64 = 5.0, "nats", Guess;
    /// Heat with the pump running stands for drying.
    HEAT_FOR_DRY: f64 = 3.0, "nats", Guess;
    /// A stalled pump stands for a wash.
    STALL_FOR_WASH: f64 = 4.0, "nats", Guess;
    /// A stalled pump stands for a hold.
    STALL_FOR_HEAT: f64 = 6.0, "nats", Guess;
    /// One small load stands for another, a fill, a drain or drying, whose level says too little.
    SMALL_FOR_SMALL: f64 = 6.0, "nats", Guess;
    /// A pause stands for drying, which is mostly waiting.
    PAUSE_FOR_DRY: f64 = 5.0, "nats", Guess;
    /// A pause stands for a fill or a drain: the control waits and nothing runs.
    PAUSE_FOR_WATER: f64 = 7.0, "nats", Guess;
    /// A wash stands for washing and a hold without anything to part them, for each hold that is not heated.
    UNHEATED: f64 = 5.0, "nats", Guess;

    /// A purge comes within a wash of which the chart has no purges.
    UNASKED_PURGE: f64 = 4.0, "nats", Guess;
    /// A wash is interrupted by a stalled pump, or by a pause between two of its tries.
    TRY_AGAIN: f64 = 0.4, "nats", Guess;
    /// A stall or a pause within a wash is one of a pump that tries again up to this length.
    TRY_AGAIN_WITHIN: Seconds = Seconds(120.0), "s", Guess;
    /// An interval is interrupted by a blink.
    BLINK_WITHIN: f64 = 1.0, "nats", Guess;
    /// A hold is interrupted by washing without heat, as its thermostat does for REST_OF_HEAT.
    WASH_WITHIN_HEAT: f64 = 1.5, "nats", Guess;
    /// Washing that interrupts a hold for longer than this costs as much more as where it is in no chart.
    REST_OF_HEAT: Seconds = Seconds(120.0), "s", Guess;
    /// A pause that interrupts an interval costs one for each stretch of this length.
    PAUSE_WITHIN_GROWS: Seconds = Seconds(20.0), "s", Guess;
    /// A pause that interrupts an interval costs at most this.
    PAUSE_WITHIN_MOST: f64 = 6.0, "nats", Guess;
    /// A wash is interrupted by heat.
    HEAT_WITHIN_WASH: f64 = 6.0, "nats", Guess;
    /// A drain is interrupted by what looks like a fill or drying, or a fill by what looks like a drain.
    SMALL_WITHIN_SMALL: f64 = 3.0, "nats", Guess;

    /// The programme breaks off and begins again from the start.
    BEGIN_AGAIN: f64 = 8.0, "nats", Guess;
    /// The programme breaks off for good: less than two intervals that are missing, and more than one.
    BREAK_OFF: f64 = 20.0, "nats", Guess;
    /// The programme breaks off for good with water in the tub: less than the drain that is missing.
    BREAK_OFF_IN_WATER: f64 = 11.0, "nats", Guess;
    /// The programme breaks off for good although a drain or drying was the last that was seen: this much more, which is still less than two
    /// intervals that are missing.
    BREAK_OFF_AT_END: f64 = 3.0, "nats", Guess;
    /// A pause or a gap that is shorter than this breaks nothing off.
    BREAK: Seconds = Seconds(60.0), "s", Guess;
    /// So many of the longest pauses, at most, are tried as the place where the programme broke off.
    MOST_BREAKS: usize = 32, "pauses", Guess;

    /// One interval of a chart spans so many phases at most: itself, and what interrupts it.
    LONGEST_SPAN: usize = 24, "phases", Guess;
    /// One stretch of washing without heat stands for so many intervals of a chart at most.
    LONGEST_BLEND: usize = 8, "intervals", Guess;
    /// A log that begins or ends within the programme: it breaks ties only.
    OPEN: f64 = 0.01, "nats", Guess;

    /// A meter with so long between two readings gives their means, and not what is drawn just then.
    MEANS_FROM: Seconds = Seconds(10.0), "s", Practice;
    /// An interval of so many means has at least one to itself, whose level is its own.
    MEANS_OF_OWN: f64 = 3.0, "means", Source("each end lies anywhere within a mean, so of three the middle one is whole");
    /// What draws less than this part of what the chart's holds draw is no element, not even one of which only a branch is left.
    PART_OF_ELEMENT: f64 = 0.25, "part", Practice;
    /// An interval must be seen in means where no more than this part of its limits, in logarithms, is shorter than means show.
    HARDLY_UNSEEN: f64 = 0.25, "part", Source(
        "limits are some three standard deviations of the logarithm from their middle, and one in twenty is beyond 1.64 of them"
    );
}
