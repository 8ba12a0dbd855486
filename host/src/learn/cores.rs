//! What of a cycle belongs in a chart: blinks dropped, purges counted where they come.

use tubtrace_units::{Amps, Celsius, Seconds};

use super::constants::BLINK;
use crate::alignment::{Phase, clearest, phases};
use crate::intervals::{Cycle, Interval, Kind};

/// One interval as a chart would have it.
#[derive(Clone, Debug)]
pub(super) struct Core {
    pub kind: Kind,
    pub duration: Seconds,
    /// What is drawn meanwhile, where any reading is all of it.
    pub amps: Option<Amps>,
    /// Purges within.
    pub purges: u32,
    /// Supply water at its end.
    pub supply: Option<Celsius>,
    /// Of a hold: how warm its water was when it was drained.
    pub drained_at: Option<Celsius>,
    end: Seconds,
    longest: Seconds,
}

/// The cores of a cycle, in order of time.
pub(super) fn cores(cycle: &Cycle) -> Vec<Core> {
    let mut cores: Vec<Core> = Vec::new();
    for phase in phases(&cycle.intervals, cycle.resolution, Amps(0.0)) {
        let blink = phase.duration() < BLINK.get() && phase.kind != Kind::Purge;
        let core = Core::of(&phase, &cycle.intervals, cycle.resolution);
        match (phase.kind, cores.last_mut()) {
            (Kind::Gap | Kind::Stall, _) => {}
            _ if blink => {}
            (Kind::Purge, Some(last)) if washes(last.kind) => last.purges += 1,
            (Kind::Purge, _) => {}
            (kind, Some(last)) if last.kind == kind => last.take(&core),
            _ => cores.push(core),
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
    /// Of the intervals of a phase.
    fn of(phase: &Phase, all: &[Interval], resolution: Seconds) -> Self {
        let own = || all[phase.intervals.clone()].iter().filter(|i| i.kind == phase.kind);
        let clearest = clearest(phase.kind, all[phase.intervals.clone()].iter(), resolution);
        Self {
            kind: phase.kind,
            duration: phase.duration(),
            amps: clearest.map(|i| i.measured.amps),
            purges: 0,
            supply: own().rev().find_map(|i| i.measured.supply).map(|s| s.water),
            drained_at: own().rev().find_map(|i| i.measured.drain).map(|s| s.water),
            end: phase.end,
            longest: clearest.map_or(Seconds(0.0), Interval::duration),
        }
    }

    /// Goes on to the end of `next`, over whatever blinks and purges lay between.
    fn take(&mut self, next: &Self) {
        self.duration += next.end - self.end;
        self.end = next.end;
        if next.longest > self.longest {
            (self.longest, self.amps) = (next.longest, next.amps);
        }
        self.supply = next.supply.or(self.supply);
        self.drained_at = next.drained_at.or(self.drained_at);
    }
}
