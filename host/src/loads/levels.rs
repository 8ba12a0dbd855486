//! Levels: what the loads draw in each run of a trace.

use tubtrace_units::Seconds;

use super::signatures::Signatures;

/// What the loads draw, from run to run. Without a machine's file it is the same in all of them.
#[derive(Clone, Debug)]
pub struct Levels {
    first: Signatures,
    /// Those of later runs, each from when on.
    later: Vec<(Seconds, Signatures)>,
}

impl Levels {
    /// The same in all runs.
    #[must_use]
    pub const fn all(signatures: Signatures) -> Self {
        Self { first: signatures, later: Vec::new() }
    }

    /// The same up to here, and others from here on.
    #[must_use]
    pub fn then(mut self, from: Seconds, next: Self) -> Self {
        self.later.push((from, next.first));
        self.later.extend(next.later);
        self
    }

    /// Those that hold at a time.
    #[must_use]
    pub fn at(&self, time: Seconds) -> &Signatures {
        let later = self.later.partition_point(|(from, _)| *from <= time);
        later.checked_sub(1).map_or(&self.first, |at| &self.later[at].1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::loads::by_hand::signatures;

    #[test]
    fn each_holds_from_its_run_on() {
        let with =
            |watts: f64| Levels::all(Signatures { wash: tubtrace_units::Watts(watts), ..signatures() });
        let levels = with(100.0).then(Seconds(50.0), with(60.0)).then(Seconds(90.0), with(80.0));
        let wash = [0.0, 49.0, 50.0, 89.0, 90.0, 1e6].map(|time| levels.at(Seconds(time)).wash.0);
        assert_eq!(wash, [100.0, 100.0, 60.0, 60.0, 80.0, 80.0]);
    }
}
