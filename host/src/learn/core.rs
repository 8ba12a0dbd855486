//! What of a cycle belongs in a chart: blinks dropped, purges counted where they come.

use tubtrace_units::{Amps, Celsius, Seconds};

use crate::intervals::{Cycle, Interval, Kind};

/// One interval as a chart would have it.
#[derive(Clone, Debug)]
pub(super) struct Core {
    pub kind: Kind,
    pub duration: Seconds,
    pub amps: Amps,
    /// Purges within.
    pub purges: u32,
    /// Supply water at its end.
    pub supply: Option<Celsius>,
    /// Of a hold: how warm its water was when it was drained.
    pub drained_at: Option<Celsius>,
    end: Seconds,
    longest: Seconds,
}

/// Shorter than this is a blink.
const BLINK: Seconds = Seconds(10.0);

/// The core of a cycle.
pub(super) fn core(cycle: &Cycle) -> Vec<Core> {
    let mut cores: Vec<Core> = Vec::new();
    for interval in &cycle.intervals {
        let blink = interval.duration() < BLINK && interval.kind != Kind::Purge;
        match (interval.kind, cores.last_mut()) {
            (Kind::Gap | Kind::Stall, _) => {}
            _ if blink => {}
            (Kind::Purge, Some(last)) if washes(last.kind) => last.purges += 1,
            (Kind::Purge, _) => {}
            (kind, Some(last)) if last.kind == kind => last.take(interval),
            _ => cores.push(Core::of(interval)),
        }
    }
    for i in 0..cores.len() {
        if cores[i].kind == Kind::Heat {
            let rest = cores[i..].iter().take_while(|c| c.kind != Kind::Fill);
            cores[i].drained_at = rest.filter(|c| c.kind == Kind::Drain).find_map(|c| c.drained_at);
        }
    }
    cores
}

fn washes(kind: Kind) -> bool {
    matches!(kind, Kind::Wash | Kind::Heat)
}

impl Core {
    fn of(interval: &Interval) -> Self {
        let measured = &interval.measured;
        Self {
            kind: interval.kind,
            duration: interval.duration(),
            amps: measured.amps,
            purges: 0,
            supply: measured.supply.map(|s| s.water),
            drained_at: measured.drain.map(|s| s.water),
            end: interval.end,
            longest: interval.duration(),
        }
    }

    /// Goes on to the end of `interval`, over whatever blinks and purges lay between.
    fn take(&mut self, interval: &Interval) {
        self.duration += interval.end - self.end;
        self.end = interval.end;
        if interval.duration() > self.longest {
            self.longest = interval.duration();
            self.amps = interval.measured.amps;
        }
        self.supply = interval.measured.supply.map(|s| s.water).or(self.supply);
        self.drained_at = interval.measured.drain.map(|s| s.water).or(self.drained_at);
    }
}
