//! Constants of how long each place of a programme lasts on average. A place is left at a constant rate, so a factor of two costs 0.2
//! nats a stretch.

use tubtrace_units::Seconds;

use crate::constant::constants;

constants! { "loads.dwell":
    /// A machine is idle for hours between programmes.
    IDLE: Seconds = Seconds(20_000.0), "s", Practice;
    /// Pause in an empty tub, between a drain and what follows.
    PAUSE: Seconds = Seconds(20.0), "s", Practice;
    /// Time between the valve and the pump, or between two pulses of the valve.
    SETTLE: Seconds = Seconds(5.0), "s", Practice;
    /// Rest of the pump in water: spray arms change, the motor turns round.
    REST: Seconds = Seconds(8.0), "s", Practice;
    /// Wait of the control in water, and the time until it tries a pump again that would not start.
    WAIT: Seconds = Seconds(60.0), "s", Practice;
    /// Heat in water beside a pump that would not start.
    HEAT_REST: Seconds = Seconds(300.0), "s", Practice;
    /// Soak, in which nothing runs in water.
    SOAK: Seconds = Seconds(600.0), "s", Practice;
    /// One opening of the valve, for the water of one wash.
    FILL: Seconds = Seconds(90.0), "s", Practice;
    /// Washing that goes on without a rest.
    WASH: Seconds = Seconds(1_200.0), "s", Practice;
    /// Washing between two rests of the pump, with heat or without.
    STIR: Seconds = Seconds(40.0), "s", Practice;
    /// One time that the heater is on, in water or in air, whole or in part.
    HEAT: Seconds = Seconds(900.0), "s", Practice;
    /// One run of the drain pump.
    DRAIN: Seconds = Seconds(45.0), "s", Practice;
    /// Run of a vent or a fan behind the last drain.
    SMALL: Seconds = Seconds(1_500.0), "s", Practice;
    /// Current of a pump that starts or is locked: its motor's protector opens within seconds.
    INRUSH: Seconds = Seconds(3.0), "s", Practice;
    /// Drain within a wash that lets dirty water out.
    PURGE: Seconds = Seconds(8.0), "s", Practice;
    /// Fill within a wash, behind a purge or where water is short.
    TOP_UP: Seconds = Seconds(15.0), "s", Practice;
    /// Drain in which the wash pump stirs what lies on the bottom.
    WASH_AND_DRAIN: Seconds = Seconds(30.0), "s", Practice;
    /// Drain that goes on while water comes in.
    DRAIN_AND_FILL: Seconds = Seconds(150.0), "s", Practice;
}
