//! The constants by which a printed time becomes limits: how rough a sheet is.

use tubtrace_units::Seconds;

use crate::constant::constants;

constants! { "sheet":
    /// A time is printed in minutes or half minutes, so what is meant is as much as this less or more.
    ROUNDED: Seconds = Seconds(15.0), "s", Practice;
    /// Beyond rounding, what a timer ends lasts up to one and this times as long as a sheet has it, or as much shorter: a sheet is of the type, and not of
    /// this machine and its mains.
    ROUGH: f64 = 0.2, "part", Practice;
    /// The same of fills and drains, which the house's pressure, a float and the height of the hose make longer and shorter.
    ROUGH_WATER: f64 = 0.5, "part", Practice;
    /// A heater that is whole draws at least this part of its rated current: nine tenths of its rating at nine tenths of the volts.
    RATED_LEAST: f64 = 0.81, "part", Source(
        "from memory: IEC 60335-1, 10.1, allows a heating appliance 10 % less than its rating; IEC 60038 the supply 10 % less than nominal"
    );
}
