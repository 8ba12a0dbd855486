//! `.tub` logs: frames into a trace.

use std::collections::BTreeSet;

use tubtrace_core::{MIDSCALE, WINDOW};
use tubtrace_protocol::{
    Anchor, CloseReason, FORMAT, Item, Mains, OpenReason, Opened, Reader, Record, Temperatures, Tick,
    VERSION, Window, Windows,
};
use tubtrace_units::{Amps, Celsius, Seconds, Volts};

use super::assumptions::Assumptions;
use super::contents::Log;
use super::join::join;
use super::notes::Notes;
use super::timing::{Reset, Timing};
use crate::trace::{Burst, Detail, Health, HeardFill, Meter, Noise, Nominal, Step, Temperature, Trace};

const TICK: Seconds = Seconds(0.1);

/// What a gap is called that damage has made.
const DAMAGED: &str = "gap where the log is damaged: what the machine did there is not known";

pub(super) fn parse(bytes: &[u8], assumptions: Assumptions) -> Result<Log, String> {
    let mut logs = vec![Contents::default()];
    let mut take = |found: Found| {
        let last = logs.len() - 1;
        if let Found::Item(Item::Record(Record::Opened(opened))) = &found
            && logs[last].is_another(opened)
        {
            logs.push(Contents::default());
        }
        if let Some(log) = logs.last_mut() {
            match found {
                Found::Item(item) => log.take(item),
                Found::Hole { at } => log.hole(at),
            }
        }
    };
    read(bytes, &mut take);
    let mut usable: Option<Log> = None;
    let mut why = None;
    for contents in logs {
        match contents.into_log(assumptions) {
            Ok(log) => {
                usable = Some(match usable.take() {
                    Some(first) => join(first, log),
                    None => log,
                });
            }
            Err(what) => why = Some(what),
        }
    }
    usable.ok_or_else(|| why.unwrap_or_default())
}

/// What stands in a log.
#[expect(clippy::large_enum_variant, reason = "each is handed over and used at once; none is kept")]
enum Found {
    Item(Item),
    /// Zeros where frames should be, from this byte.
    Hole {
        at: usize,
    },
}

/// Zeros in a row that are a hole. One ends a frame; a byte that damage has made zero adds one beside it, and rarely two.
const HOLE: usize = 4;

/// Hands over what stands in the bytes, in order.
fn read(bytes: &[u8], take: &mut impl FnMut(Found)) {
    let mut reader = Reader::default();
    let mut at = 0;
    for frame in bytes.split_inclusive(|&b| b == 0) {
        reader.push(frame, |item| take(Found::Item(item)));
        at += frame.len();
        let zeros = |bytes: &[u8]| bytes.len() == HOLE && bytes.iter().all(|&b| b == 0);
        // Said once, at the last zero that has so many before it and at which the hole is just long enough.
        if frame.len() == 1
            && at >= HOLE
            && zeros(&bytes[at - HOLE..at])
            && (at == HOLE || bytes[at - HOLE - 1] != 0)
        {
            take(Found::Hole { at: at - HOLE });
        }
    }
    reader.finish(|item| take(Found::Item(item)));
}

/// The frames of a log that are intact, as they are: what damage has made of the others is left out.
pub(super) fn intact(bytes: &[u8]) -> Vec<u8> {
    let mut log = Vec::with_capacity(bytes.len());
    read(bytes, &mut |found| {
        if let Found::Item(Item::Record(record)) = found {
            super::write::append(&mut log, &record);
        }
    });
    log
}

/// The records of a log, sorted by what they are for.
#[derive(Default)]
struct Contents {
    windows: Vec<Windows>,
    temperatures: Vec<Temperatures>,
    fills: Vec<tubtrace_protocol::Fill>,
    marks: Vec<Tick>,
    anchors: Vec<Anchor>,
    /// Where and why the log was opened again.
    openings: Vec<(Tick, OpenReason)>,
    mains: Mains,
    label: Option<String>,
    /// How the log begins.
    opened: Option<Opened>,
    /// Microamps of a count of the clamp; zero until an opening record says.
    microamps: u32,
    health: Vec<tubtrace_protocol::Health>,
    bursts: Vec<tubtrace_protocol::Burst>,
    battery_ended: bool,
    /// The latest start of a record of windows.
    latest: Option<Tick>,
    /// Ends of the records of windows behind which something is damaged.
    damage: BTreeSet<Tick>,
    /// Behind which of them the reader is.
    behind: Tick,
    damaged: Vec<(Seconds, Seconds)>,
    notes: Notes,
}

impl Contents {
    /// Whether this opens another log: it was armed anew, and its ticks begin before those that are here end. A frame that is
    /// doubled opens the same log again.
    fn is_another(&self, opened: &Opened) -> bool {
        let same = self.opened.as_ref() == Some(opened);
        let goes_on = self.latest.is_none_or(|start| start < opened.tick);
        self.opened.is_some() && !same && opened.reason == OpenReason::Armed && !goes_on
    }

    fn take(&mut self, item: Item) {
        match item {
            Item::Record(record) => self.record(record),
            Item::Unknown { kind } => {
                self.notes.add("record of a newer logger, passed over", || format!("kind {kind}"));
            }
            Item::Damaged { at, .. } => {
                self.notes.add("damaged or cut frame, passed over", || format!("byte {at}"));
                self.damage.insert(self.behind);
            }
        }
    }

    fn hole(&mut self, at: usize) {
        self.notes.add("hole of zeros, where frames were", || format!("byte {at}"));
        self.damage.insert(self.behind);
    }

    fn record(&mut self, record: Record) {
        match record {
            Record::Opened(opened) => {
                if opened.format != FORMAT || opened.version > VERSION {
                    let what =
                        "opening record of another format or a newer version, read as far as it is known";
                    self.notes.add(what, || clock_of(opened.tick));
                }
                if self.label.is_some() {
                    self.openings.push((opened.tick, opened.reason));
                }
                self.microamps = opened.microamps_per_count;
                self.label = Some(opened.label.as_str().to_owned());
                self.opened.get_or_insert(opened);
            }
            Record::Windows(windows) => {
                self.behind = windows.start.after(windows.len());
                self.latest = self.latest.max(Some(windows.start));
                self.windows.push(windows);
            }
            Record::Temperatures(temperatures) => self.temperatures.push(temperatures),
            Record::Fill(fill) => self.fills.push(fill),
            Record::Anchor(anchor) => self.anchors.push(anchor),
            Record::Mark(mark) => self.marks.push(mark.tick),
            Record::Health(health) => {
                if health.mains != Mains::Unknown {
                    self.mains = health.mains;
                }
                self.health.push(health);
                if health.clipped > 0 {
                    self.notes
                        .add("ten minutes with samples at the converter's limit", || clock_of(health.tick));
                }
            }
            Record::Loss(loss) => {
                let what = format!("{} windows lost ({:?})", loss.windows, loss.cause).to_lowercase();
                self.notes.add(&what, || clock_of(loss.first));
            }
            Record::Panic(panic) => {
                let what = format!(
                    "the logger's firmware had stopped itself: {}",
                    crate::text::harmless(&panic.message)
                );
                self.notes.add(&what, || clock_of(panic.tick));
            }
            Record::Burst(burst) => self.bursts.push(burst),
            Record::Closed(closed) => self.battery_ended = closed.reason == CloseReason::Battery,
        }
    }

    fn into_log(mut self, assumptions: Assumptions) -> Result<Log, String> {
        if self.windows.is_empty() {
            return Err("no intact record of current in it: not a tubtrace log, or damaged beyond use".into());
        }
        if self.label.is_none() {
            self.notes.add("the opening record is missing, so the label is not known", || "the start".into());
        }
        let nominal = match (assumptions.volts, self.mains) {
            (Some(volts), _) => Nominal { volts, assumed: false },
            (None, Mains::Hz60) => Nominal { volts: Volts(120.0), assumed: true },
            (None, _) => Nominal { volts: Volts(230.0), assumed: true },
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
                        .add("run of windows that was there already, passed over", || clock_of(record.start));
                } else if next > first {
                    if let Some(last) = last.filter(|last| from > *last) {
                        let damaged = self.damage.contains(&end);
                        let what = if damaged { DAMAGED } else { "gap without windows" };
                        self.notes.add(what, || crate::text::duration(last));
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

fn clock_of(tick: Tick) -> String {
    crate::text::duration(Seconds(f64::from(tick.0) / f64::from(Tick::PER_SECOND)))
}
