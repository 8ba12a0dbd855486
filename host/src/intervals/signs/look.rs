//! Reads the signs of a cycle from its trace.

use tubtrace_units::{Load, Seconds, Watts};

use super::{Sign, Signs};
use crate::intervals::{Cycle, Interval, Kind, filled, heated_waters};
use crate::loads::{Levels, median, quantile};
use crate::trace::{Detail, Noise, Step, Trace};

/// A pump that starts is looked at for this long.
const START: Seconds = Seconds(9.0);

/// A run must last this long for its steadiness to be judged, and for a sag in it to be one.
const STEADY: Seconds = Seconds(45.0);

/// After a drain the hose is listened to from here to there.
const AFTER_DRAIN: (Seconds, Seconds) = (Seconds(1.0), Seconds(9.0));

/// Reads the signs of a cycle.
pub(in crate::intervals) fn read(cycle: &Cycle, next: Seconds, trace: &Trace, levels: &Levels) -> Signs {
    let look = Look { cycle, trace, levels };
    let wash = levels.standby + levels.wash;
    let (mut starts, mut chatter) = (Vec::new(), Vec::new());
    for at in look.wash_starts() {
        let (surge, switched) = look.start(at, wash);
        starts.push(Sign { at, lasts: surge, value: 0.0 });
        chatter.push(Sign { at, lasts: START, value: f64::from(switched) });
    }
    let inflows = look.inflows();
    Signs {
        starts,
        chatter,
        rests: look.rests(),
        spread: look.runs(&[Kind::Wash]).filter_map(|i| look.spread(i)).collect(),
        sags: look.sags(),
        emptying: look.runs(&[Kind::Drain]).filter_map(|i| look.emptying(i)).collect(),
        quiet_hose: look.quiet_hose(),
        after_drain: look.runs(&[Kind::Drain]).filter_map(|i| look.after_drain(i)).collect(),
        hose_in_fills: look.runs(&[Kind::Fill]).filter_map(|i| look.hose(i)).collect(),
        heater_cycles: look.heater_cycles(),
        fills_heard: look.runs(&[Kind::Fill]).filter_map(|i| look.fill_heard(i)).collect(),
        knocks: look.runs(&[Kind::Fill]).filter_map(|i| look.knock(i)).collect(),
        inflow_uncertainty: inflows.iter().map(|i| i.1).fold(0.0, f64::max),
        inflows: inflows.into_iter().map(|i| i.0).collect(),
        unpowered_flow: look.unpowered_flow(next),
        dispenses: cycle.intervals.iter().filter(|i| i.loads.has(Load::Dispenser)).count() as u32,
        clip_silent: look.clip_silent(),
        clip_still: look.clip_still(),
        out_of_scale: None,
        stays_on: look.stays_on(),
        clipped: trace.clipped_within(cycle.start(), cycle.end()),
        longest_drain: look
            .cycle
            .intervals
            .chunk_by(|a, b| look.drains(a) && look.drains(b))
            .filter(|run| look.drains(&run[0]))
            .map(|run| run[run.len() - 1].end - run[0].start)
            .fold(Seconds(0.0), Seconds::max),
    }
}

fn washes(interval: &Interval) -> bool {
    matches!(interval.kind, Kind::Wash | Kind::Heat | Kind::Purge | Kind::Stall)
}

struct Look<'a> {
    cycle: &'a Cycle,
    trace: &'a Trace,
    levels: &'a Levels,
}

impl<'a> Look<'a> {
    fn runs(&self, kinds: &'static [Kind]) -> impl Iterator<Item = &'a Interval> {
        self.cycle.intervals.iter().filter(|i| kinds.contains(&i.kind))
    }

    /// Whether the drain pump runs, and not something that draws more and was taken for it.
    fn drains(&self, interval: &Interval) -> bool {
        let most = (self.levels.standby + self.levels.drain) * 1.7;
        interval.loads.has(Load::DrainPump)
            && (interval.loads.has(Load::WashPump) || interval.measured.power < most)
    }

    /// Where the wash pump starts from a standstill.
    fn wash_starts(&self) -> Vec<Seconds> {
        let pairs = self.cycle.intervals.windows(2);
        pairs.filter(|p| washes(&p[1]) && !washes(&p[0])).map(|p| p[1].start).collect()
    }

    /// For how long it surges, and how often it goes off and on, in the first seconds.
    fn start(&self, at: Seconds, wash: Watts) -> (Seconds, u32) {
        let (mut surge, mut switched, mut on) = (Seconds(0.0), 0, true);
        for step in self.trace.between(at, at + START) {
            if step.power.0 > 1.5 * wash.0 && !self.heats(&step) {
                surge += step.duration();
            }
            let now = step.power.0 > 0.6 * wash.0;
            switched += u32::from(on && !now);
            on = now;
        }
        (surge, switched)
    }

    fn heats(&self, step: &Step) -> bool {
        self.levels.heater.is_some_and(|h| step.power.0 > 0.85 * h.level.0)
    }

    /// Pauses with washing on both sides, or with water moving the same way.
    fn rests(&self) -> Vec<Sign> {
        let triples = self.cycle.intervals.windows(3);
        let same =
            |a: &Interval, b: &Interval| a.kind == b.kind && matches!(a.kind, Kind::Fill | Kind::Drain);
        let goes_on = |a: &Interval, b: &Interval| (washes(a) && washes(b)) || same(a, b);
        let rest = |t: &&[Interval]| t[1].kind == Kind::Pause && goes_on(&t[0], &t[2]);
        triples.filter(rest).map(|t| Sign { at: t[1].start, lasts: t[1].duration(), value: 0.0 }).collect()
    }

    /// Readings of an interval without its first and last seconds.
    fn inner(&self, interval: &Interval) -> impl Iterator<Item = Step> + '_ {
        self.trace.between(interval.start + Seconds(6.0), interval.end - Seconds(2.0))
    }

    fn spread(&self, interval: &Interval) -> Option<Sign> {
        if interval.duration() < STEADY {
            return None;
        }
        let at = |part| quantile(self.inner(interval).map(|s| (s.power.0, s.duration().0)), part);
        let (low, middle, high) = (at(0.1)?, at(0.5)?, at(0.9)?);
        Some(Sign { at: interval.start, lasts: interval.duration(), value: (high - low) / middle.max(1.0) })
    }

    /// Sags within intervals, and whole washes that draw less than those of the same cycle do.
    fn sags(&self) -> Vec<Sign> {
        let within = self.runs(&[Kind::Wash, Kind::Heat]).filter_map(|i| self.sag(i));
        let long = || self.runs(&[Kind::Wash]).filter(|i| i.duration() >= STEADY);
        let usual = median(long().map(|i| (i.measured.power.0, i.duration().0))).unwrap_or(0.0);
        let whole = long().map(|i| Sign {
            at: i.start,
            lasts: i.duration(),
            value: i.measured.power.0 / usual.max(1.0),
        });
        within.chain(whole).collect()
    }

    /// A stretch in the middle of an interval, not to either end of it, that is lower than the rest.
    fn sag(&self, interval: &Interval) -> Option<Sign> {
        let steps: Vec<Step> = self.inner(interval).collect();
        let high = quantile(steps.iter().map(|s| (s.power.0, s.duration().0)), 0.75)?;
        let low = |s: &Step| s.power.0 < 0.93 * high && s.power.0 > 0.5 * high;
        let stretches = steps.chunk_by(|a, b| low(a) == low(b)).filter(|c| low(&c[0]));
        let longest = stretches.max_by(|a, b| time(a).total_cmp(&time(b)))?;
        let lasts = time(longest);
        let level = median(longest.iter().map(|s| (s.power.0, s.duration().0)))?;
        (lasts >= STEADY).then_some(Sign { at: longest[0].start, lasts, value: level / high })
    }

    fn drain_level(&self, from: Seconds, to: Seconds) -> Option<f64> {
        let levels = self.trace.between(from, to).filter_map(|s| Some((s.detail?.drain.0, s.duration().0)));
        median(levels)
    }

    /// What the drain pickup hears of itself: the quietest twentieth of the cycle.
    fn quiet_hose(&self) -> Option<f64> {
        let (start, end) = (self.cycle.start(), self.cycle.end());
        let levels = self.trace.between(start, end).filter_map(|s| Some((s.detail?.drain.0, s.duration().0)));
        quantile(levels, 0.05).map(|level| level.max(1.0))
    }

    fn emptying(&self, interval: &Interval) -> Option<Sign> {
        let loud = interval.measured.drain_noise?;
        let flows = |s: &Step| s.detail.is_some_and(|d: Detail| d.drain.0 > 0.45 * loud.0);
        let heard: f64 =
            self.trace.between(interval.start, interval.end).filter(flows).map(|s| s.duration().0).sum();
        let lasts = interval.duration();
        Some(Sign { at: interval.start, lasts, value: heard / lasts.0.max(0.1) })
    }

    fn after_drain(&self, interval: &Interval) -> Option<Sign> {
        let (from, to) = (interval.end + AFTER_DRAIN.0, interval.end + AFTER_DRAIN.1);
        // The pump beside the hose would be heard.
        let undisturbed = self.cycle.intervals.iter().all(|i| !washes(i) || i.end <= from || i.start >= to);
        let level = self.drain_level(from, to).filter(|_| undisturbed)?;
        Some(Sign { at: from, lasts: to - from, value: level / self.quiet_hose()? })
    }

    fn hose(&self, interval: &Interval) -> Option<Sign> {
        let from = interval.start + interval.duration() * 0.6;
        let level = self.drain_level(from, interval.end)?;
        Some(Sign { at: from, lasts: interval.end - from, value: level / self.quiet_hose()? })
    }

    /// In each run of holding and washing: how often the heater goes off and comes again within two minutes.
    fn heater_cycles(&self) -> Vec<Sign> {
        let heats = |i: &&Interval| i.kind == Kind::Heat;
        let all: Vec<&Interval> = self.cycle.intervals.iter().filter(heats).collect();
        // Whether it went off in a gap nobody knows.
        let gap = |a: &Interval, b: &Interval| {
            let between = |i: &&Interval| i.start >= a.end && i.end <= b.start;
            self.cycle.intervals.iter().filter(between).any(|i| i.kind == Kind::Gap)
        };
        all.chunk_by(|a, b| b.start - a.end < Seconds(120.0) && b.water == a.water)
            .map(|run| Sign {
                at: run[0].start,
                lasts: run[run.len() - 1].end - run[0].start,
                value: run.windows(2).filter(|p| !gap(p[0], p[1])).count() as f64,
            })
            .collect()
    }

    /// How much water came in a minute, by heat, and its expanded uncertainty.
    fn inflows(&self) -> Vec<(Sign, f64)> {
        let filled = filled(self.cycle);
        let of = |water: u32| self.cycle.intervals.iter().filter(move |i| i.water == water);
        let all = heated_waters(self.cycle);
        let steady = all.iter().filter(|h| of(h.water).all(|i| i.kind != Kind::Purge));
        let sign = |h: &crate::intervals::HeatedWater| {
            let (_, time) = *filled.iter().find(|(water, _)| *water == h.water)?;
            let (inflow, uncertainty) = h.inflow(time);
            let at = of(h.water).next()?.start;
            Some((Sign { at, lasts: time, value: inflow.0 }, uncertainty.0))
        };
        steady.filter_map(sign).collect()
    }

    fn fill_heard(&self, interval: &Interval) -> Option<Sign> {
        let threshold = self.levels.flow?.supply.0;
        let level = interval.measured.supply_noise?.0;
        Some(Sign { at: interval.start, lasts: interval.duration(), value: level / threshold })
    }

    fn knock(&self, interval: &Interval) -> Option<Sign> {
        let (from, to) = (interval.end - Seconds(0.4), interval.end + Seconds(0.4));
        let levels = self.trace.between(from, to).filter_map(|s| Some(s.detail?.supply.0));
        let loudest = levels.max_by(f64::total_cmp)?;
        Some(Sign { at: interval.end, lasts: to - from, value: loudest })
    }

    /// Water that is heard while next to no current flows, from the start of the cycle to the next.
    fn unpowered_flow(&self, next: Seconds) -> Option<Sign> {
        let flow = self.levels.flow?;
        let heard = |s: &Step| {
            let loud = |d: Detail| d.supply > Noise(2.0 * flow.supply.0);
            s.power.0 < self.levels.standby.0 + 2.0 && s.detail.is_some_and(loud)
        };
        let steps: Vec<Step> = self.trace.between(self.cycle.start(), next).filter(heard).collect();
        let first = steps.first()?;
        Some(Sign { at: first.start, lasts: time(&steps), value: 0.0 })
    }

    fn stays_on(&self) -> Option<(Load, Sign)> {
        let moves_water = |i: &&Interval| matches!(i.kind, Kind::Fill | Kind::Drain);
        let of = |load: Load| {
            let beside = self.cycle.intervals.iter().filter(moves_water).filter(move |i| i.loads.has(load));
            let lasts: Seconds = beside.clone().map(Interval::duration).sum();
            beside.clone().next().map(|first| (load, Sign { at: first.start, lasts, value: 0.0 }))
        };
        [Load::Vent, Load::Dispenser]
            .into_iter()
            .filter_map(of)
            .max_by(|a, b| a.1.lasts.total_cmp(&b.1.lasts))
    }

    fn clip_still(&self) -> Vec<&'static str> {
        let (start, end) = (self.cycle.start(), self.cycle.end());
        let late = start + (end - start) * 0.65;
        let early = start + (end - start) * 0.4;
        let within = |of: fn(&crate::trace::Temperature) -> Option<tubtrace_units::Celsius>, from, to| {
            let within = self.trace.temperatures.iter().filter(|r| r.end > from && r.start < to);
            let values: Vec<f64> = within.filter_map(of).map(|c| c.0).collect();
            let low = values.iter().copied().fold(f64::INFINITY, f64::min);
            values.iter().copied().fold(f64::NEG_INFINITY, f64::max) - low
        };
        let ranges = |of| (within(of, start, early), within(of, late, end));
        let (supply, drain) = (ranges(|r| r.supply), ranges(|r| r.drain));
        // It moved before, it does not now, and the other one does.
        let still = |own: (f64, f64), other: (f64, f64)| {
            own.0 > 0.5 * MOVES && (0.0..HANGS).contains(&own.1) && other.1 > MOVES
        };
        let found = [(still(supply, drain), "supply clip"), (still(drain, supply), "drain clip")];
        found.into_iter().filter(|(still, _)| *still).map(|(_, name)| name).collect()
    }

    fn clip_silent(&self) -> [f64; 2] {
        let (start, end) = (self.cycle.start(), self.cycle.end());
        let within = || self.trace.temperatures.iter().filter(|r| r.end > start && r.start < end);
        let all: f64 = within().map(|r| (r.end - r.start).0).sum();
        let silent = |of: fn(&crate::trace::Temperature) -> bool| -> f64 {
            within().filter(|r| of(r)).map(|r| (r.end - r.start).0).sum::<f64>() / all.max(1.0)
        };
        [silent(|r| r.supply.is_none()), silent(|r| r.drain.is_none())]
    }
}

/// A clip that is on a pipe moves by more than this in the last third of a cycle; one that hangs in the air by less.
const MOVES: f64 = 4.0;
const HANGS: f64 = 1.0;

fn time(steps: &[Step]) -> Seconds {
    steps.iter().map(Step::duration).sum()
}
