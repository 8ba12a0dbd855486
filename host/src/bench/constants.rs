//! Constants of the bench.

use tubtrace_units::Seconds;

use crate::constant::constants;

constants! { "bench":
    /// Weight of the newest value in the moving average that looks for slow drift.
    WEIGHT: f64 = 0.2, "part", Source("Lucas and Saccucci, Technometrics 32 (1990): with 2.962, an average of 10.5 values to a shift of one standard deviation");
    /// Limits of that average: with them a signal comes every 500 values where nothing changes.
    REACH: f64 = 2.962, "standard deviations of the average", Source("Lucas and Saccucci, Technometrics 32 (1990); tests/references/bench.py");
    /// What the cumulative sum lets by in each value.
    ALLOWANCE: f64 = 0.5, "standard deviations", Source("NIST/SEMATECH e-Handbook, 6.3.2.3: half of the shift that is looked for, here one standard deviation");
    /// Cumulative sum at which it signals: every 465 values where nothing changes.
    DECISION: f64 = 5.0, "standard deviations", Source("Montgomery, Introduction to Statistical Quality Control, cusum chapter; run lengths in tests/references/bench.py");
    /// Runs from which on a chart of single values is drawn; with fewer, limits foresee the next value.
    CHARTED_FROM: usize = 15, "runs", Practice;
    /// Fewer runs than these foresee nothing: the quantile of Student's t is by an expansion that is good from four degrees of freedom on.
    FORESEEN_FROM: usize = 5, "runs", Source("Abramowitz and Stegun, 26.7.5, as stats.rs has it");
    /// Runs of two logs that begin closer together than this are the same run: no programme begins twice in a minute.
    SAME_RUN: Seconds = Seconds(60.0), "s", Practice;
}
