//! The records of a `.tub` log, sorted by what they are for.

use std::collections::BTreeSet;

use tubtrace_protocol::{
    Anchor, CloseReason, FORMAT, Item, Mains, OpenReason, Opened, Record, Temperatures, Tick, VERSION,
    Windows,
};
use tubtrace_units::Seconds;

use super::notes::Notes;

/// The records of a log, sorted by what they are for.
#[derive(Default)]
pub(super) struct Records {
    pub(super) windows: Vec<Windows>,
    pub(super) temperatures: Vec<Temperatures>,
    pub(super) fills: Vec<tubtrace_protocol::Fill>,
    pub(super) marks: Vec<Tick>,
    pub(super) anchors: Vec<Anchor>,
    /// Where and why the log was opened again.
    pub(super) openings: Vec<(Tick, OpenReason)>,
    pub(super) mains: Mains,
    pub(super) label: Option<String>,
    /// How the log begins.
    pub(super) opened: Option<Opened>,
    /// Microamps of a count of the clamp; zero until an opening record says.
    pub(super) microamps: u32,
    pub(super) health: Vec<tubtrace_protocol::Health>,
    pub(super) bursts: Vec<tubtrace_protocol::Burst>,
    pub(super) battery_ended: bool,
    /// The latest start of a record of windows.
    pub(super) latest: Option<Tick>,
    /// Ends of the records of windows behind which something is damaged.
    pub(super) damage: BTreeSet<Tick>,
    /// Behind which of them the reader is.
    pub(super) behind: Tick,
    pub(super) damaged: Vec<(Seconds, Seconds)>,
    pub(super) notes: Notes,
}

impl Records {
    /// Whether this opens another log: it was armed anew, and its ticks begin before those that are here end. A frame that is
    /// doubled opens the same log again.
    pub(super) fn is_another(&self, opened: &Opened) -> bool {
        let same = self.opened.as_ref() == Some(opened);
        let goes_on = self.latest.is_none_or(|start| start < opened.tick);
        self.opened.is_some() && !same && opened.reason == OpenReason::Armed && !goes_on
    }

    pub(super) fn take(&mut self, item: Item) {
        match item {
            Item::Record(record) => self.record(record),
            Item::Unknown { kind } => {
                self.notes.add("record of a newer logger, skipped", || format!("kind {kind}"));
            }
            Item::Damaged { at, .. } => {
                self.notes.add("damaged or cut frame, skipped", || format!("byte {at}"));
                self.damage.insert(self.behind);
            }
        }
    }

    pub(super) fn hole(&mut self, at: usize) {
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
}

/// A time since the log began, for notes.
pub(super) fn clock_of(tick: Tick) -> String {
    crate::text::from_start(Seconds(f64::from(tick.0) / f64::from(Tick::PER_SECOND)))
}
