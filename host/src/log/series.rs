//! Records into the series of a trace: ticks become seconds, milliamps amperes, and what overlaps or is missing is said.

use tubtrace_core::{MIDSCALE, WINDOW};
use tubtrace_protocol::{Mains, Tick, Window, Windows};
use tubtrace_units::{Amps, Celsius, Seconds, Volts};

use super::assumptions::Assumptions;
use super::contents::Log;
use super::records::{Records, clock_of};
use super::timing::{Reset, Timing};
use crate::trace::{Burst, Detail, Health, HeardFill, Meter, Noise, Nominal, Step, Temperature, Trace};

/// Seconds of a tick, which is a window of the logger.
const TICK: Seconds = Seconds(0.1);

/// What a gap is called that damage has made.
const DAMAGED: &str = "gap where the log is damaged: what the machine did there is not known";

impl Records {
    /// The log of these records.
    ///
    /// # Errors
    /// A sentence, where no current was recorded.
    pub(super) fn into_log(mut self, assumptions: Assumptions) -> Result<Log, String> {
        if self.windows.is_empty() {
            return Err("no intact record of current in it: not a tubtrace log, or damaged beyond use".into());
        }
        if self.label.is_none() {
            self.notes.add("the opening record is missing, so the label is not known", || "the start".into());
        }
        let nominal = match (assumptions.volts, self.mains) {
            (Some(volts), _) => Nominal { volts, assumed: false },
            (None, Mains::Hz60) => Nominal { volts: Volts(120.0), assumed: true },
            (None, _) => Nominal::UNTOLD,
        };
        self.windows.sort_by_key(|w| w.start);
        self.temperatures.sort_by_key(|t| t.start);
        let timing = self.timing();
        let mut steps = self.steps(&timing, nominal.volts);
        // A pickup hears at least itself: one that reads zero throughout is not there.
        if steps.iter().all(|s| s.detail.is_none_or(|d| d.supply.0 == 0.0 && d.drain.0 == 0.0)) {
            steps.iter_mut().for_each(|s| s.detail = None);
        }
        let trace = Trace {
            steps: steps.into_iter().collect(),
            temperatures: self.temperatures(&timing),
            fills: self.fills.iter().map(|fill| heard(fill, &timing)).collect(),
            clipped: self.clipped(&timing),
            lost: Vec::new(),
            damaged: std::mem::take(&mut self.damaged),
            marks: self.marks.iter().map(|&t| timing.at(t)).collect(),
            health: self.health(&timing),
            bursts: bursts(&mut self.bursts, &timing),
            clock: timing.clock(&self.anchors),
            meter: Meter::Current,
            nominal,
            label: self.label.unwrap_or_default(),
            resolution: TICK,
            battery_ended: self.battery_ended,
        };
        Ok(Log { trace, notes: self.notes })
    }

    /// How ticks become seconds. A log in which frames are doubled or out of order still has its resets in order.
    fn timing(&mut self) -> Timing {
        self.anchors.sort_by_key(|a| a.tick);
        self.openings.sort_by_key(|o| o.0);
        self.openings.dedup();
        let last = |tick: Tick| {
            let before = self.windows[..self.windows.partition_point(|w| w.start < tick)].last();
            before.map_or(Tick(0), |w| w.start.after(w.len()).min(tick))
        };
        let resets: Vec<_> =
            self.openings.iter().map(|&(tick, reason)| Reset { tick, last: last(tick), reason }).collect();
        Timing::of(&self.anchors, &resets, &mut self.notes)
    }

    /// Runs in order of time. A run that overlaps what is there already (a doubled or foreign frame) is passed over.
    fn steps(&mut self, timing: &Timing, volts: Volts) -> Vec<Step> {
        let mut steps: Vec<Step> = Vec::new();
        let mut end = Tick(0);
        for record in &self.windows {
            for (first, next, window) in placed(record) {
                let (from, to) = (timing.at(first), timing.at(next));
                let last = steps.last().map(|s: &Step| s.end);
                if last.is_some_and(|last| last > from) {
                    self.notes
                        .add("run of windows that was there already, skipped", || clock_of(record.start));
                } else if next > first {
                    if let Some(last) = last.filter(|last| from > *last) {
                        let damaged = self.damage.contains(&end);
                        let what = if damaged { DAMAGED } else { "gap without windows" };
                        self.notes.add(what, || crate::text::from_start(last));
                        self.damaged.extend(damaged.then_some((last, from)));
                    }
                    steps.push(step(from, to, window, volts));
                    end = next;
                }
            }
        }
        // What is damaged behind all that is left ends nobody knows when.
        if let Some(last) = steps.last().filter(|_| self.damage.contains(&end)) {
            self.damaged.push((last.end, last.end));
        }
        steps
    }

    /// Runs of windows whose peak is the end of the converter's range.
    fn clipped(&self, timing: &Timing) -> Vec<(Seconds, Seconds)> {
        // Half of 12 bits, less what the bias may be off.
        let end = u64::from(self.microamps) * 2_000 / 1_000;
        let runs = self.windows.iter().filter(|_| self.microamps > 0).flat_map(placed);
        let at_end = runs.filter(|(.., window)| u64::from(window.peak) >= end.min(u64::from(u16::MAX)));
        at_end.map(|(first, next, _)| (timing.at(first), timing.at(next))).collect()
    }

    fn health(&self, timing: &Timing) -> Vec<Health> {
        let reading = |h: &tubtrace_protocol::Health| Health {
            at: timing.at(h.tick),
            battery: Volts(f64::from(h.battery_mv) / 1_000.0),
            clipped: h.clipped,
        };
        let mut health: Vec<Health> = self.health.iter().map(reading).collect();
        health.sort_by(|a, b| a.at.total_cmp(&b.at));
        health.dedup();
        health
    }

    fn temperatures(&self, timing: &Timing) -> Vec<Temperature> {
        let mut readings: Vec<Temperature> = Vec::new();
        for record in &self.temperatures {
            let mut start = timing.at(record.start);
            for run in &record.runs {
                let end = start + Seconds(f64::from(run.seconds));
                let celsius = |c: Option<i16>| c.map(|c| Celsius(f64::from(c) / 100.0));
                if readings.last().is_none_or(|r| r.end.0 <= start.0 + 1e-6) {
                    readings.push(Temperature {
                        start,
                        end,
                        supply: celsius(run.supply),
                        drain: celsius(run.drain),
                    });
                }
                start = end;
            }
        }
        readings
    }
}

/// The runs of a record, each with its first tick and the one after its last.
fn placed(record: &Windows) -> impl Iterator<Item = (Tick, Tick, Window)> + '_ {
    let mut next = record.start;
    record.runs().map(move |(windows, window)| {
        let first = next;
        next = first.after(windows.into());
        (first, next, window)
    })
}

/// The pieces of bursts put together: they are in the log one behind the other, unless frames are shuffled or lost.
fn bursts(pieces: &mut [tubtrace_protocol::Burst], timing: &Timing) -> Vec<Burst> {
    let place = |b: &tubtrace_protocol::Burst| u64::from(b.tick.0) * WINDOW as u64 + u64::from(b.offset);
    pieces.sort_by_key(place);
    let mut bursts: Vec<Burst> = Vec::new();
    let mut next = None;
    for piece in pieces.iter() {
        let samples = piece.samples().map(|s| s.wrapping_sub(MIDSCALE).cast_signed());
        match bursts.last_mut().filter(|_| next == Some(place(piece))) {
            Some(burst) => burst.samples.extend(samples),
            // Doubled frames are there already.
            None if next.is_some_and(|next| place(piece) < next) => continue,
            None => {
                let into = Seconds(f64::from(piece.offset) / WINDOW as f64 / f64::from(Tick::PER_SECOND));
                bursts.push(Burst { start: timing.at(piece.tick) + into, samples: samples.collect() });
            }
        }
        next = Some(place(piece) + piece.samples().count() as u64);
    }
    bursts
}

fn step(start: Seconds, end: Seconds, window: Window, volts: Volts) -> Step {
    let amps = |milliamps: u16| Amps(f64::from(milliamps) / 1_000.0);
    let noise = |level: u16| Noise(f64::from(level) / 16.0);
    let detail = Detail {
        fundamental: amps(window.fundamental),
        third: amps(window.third),
        supply: noise(window.supply),
        drain: noise(window.drain),
    };
    Step { start, end, power: amps(window.rms).at(volts), detail: Some(detail) }
}

fn heard(fill: &tubtrace_protocol::Fill, timing: &Timing) -> HeardFill {
    let end = timing.at(fill.start.after(fill.windows));
    HeardFill { start: timing.at(fill.start), end, level: Noise(f64::from(fill.level) / 16.0) }
}
