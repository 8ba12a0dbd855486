//! Ticks into seconds: the logger's drift taken out, and what it could not know of a reset filled in from the host's clock.

use jiff::{SignedDuration, Timestamp, tz::Offset};
use tubtrace_protocol::{Anchor, OpenReason, Tick};
use tubtrace_units::Seconds;

use super::constants::{BASE, WORST_DRIFT};
use super::notes::Notes;
use crate::text::{duration, from_start};
use crate::trace::{Clock, Zone};

/// The log was opened again at `tick`, behind windows that end at `last`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Reset {
    pub(super) tick: Tick,
    pub(super) last: Tick,
    pub(super) reason: OpenReason,
}

/// Seconds for ticks, piece by piece between resets.
#[derive(Debug)]
pub(super) struct Timing {
    /// First tick of each piece, and its time.
    pieces: Vec<(Tick, f64)>,
    /// Seconds of a second by the logger's crystal.
    rate: f64,
}

impl Timing {
    /// Of a log with these anchors and resets, each in order.
    pub(super) fn of(anchors: &[Anchor], resets: &[Reset], notes: &mut Notes) -> Self {
        let mut timing = Self { pieces: vec![(Tick(0), 0.0)], rate: rate(anchors, resets, notes) };
        for (i, reset) in resets.iter().enumerate() {
            let ends = resets.get(i + 1).map_or(u32::MAX, |next| next.tick.0);
            // Anchors are in order: the first that is not before the reset.
            let after = anchors.get(anchors.partition_point(|a| a.tick < reset.tick));
            let after = after.filter(|a| a.tick.0 < ends);
            let at = after.and_then(|anchor| timing.told(anchors, anchor, reset));
            let why = reason(reset.reason);
            let end = timing.at(reset.last);
            match at {
                Some(at) => {
                    let off = duration(Seconds(at) - end);
                    notes.add(&format!("the logger was off for {off} ({why})"), || from_start(end));
                }
                None => notes.add(&format!("the logger was off, for how long is not known ({why})"), || {
                    from_start(end)
                }),
            }
            let unknown = timing.at(reset.tick).0;
            timing.pieces.push((reset.tick, at.unwrap_or(unknown)));
        }
        timing
    }

    /// The time of the first tick after a reset by a host's clock that was there before and after it.
    fn told(&self, anchors: &[Anchor], after: &Anchor, reset: &Reset) -> Option<f64> {
        let before = anchors[..anchors.partition_point(|a| a.tick < reset.tick)].last()?;
        let between = after.unix_ms.checked_sub(before.unix_ms)? as f64 / 1_000.0;
        let at = self.at(before.tick).0 + between - logger_seconds(reset.tick, after.tick) * self.rate;
        // A clock that was set back puts the piece before the windows it follows: then nothing is known.
        (at >= self.at(reset.last).0).then_some(at)
    }

    /// The time of a tick.
    pub(super) fn at(&self, tick: Tick) -> Seconds {
        let next = self.pieces.partition_point(|(first, _)| *first <= tick).max(1);
        let (first, at) = self.pieces[next - 1];
        Seconds(at + logger_seconds(first, tick) * self.rate)
    }

    /// The wall clock of the log.
    pub(super) fn clock(&self, anchors: &[Anchor]) -> Option<Clock> {
        let anchor = anchors.first()?;
        let at = Timestamp::from_millisecond(anchor.unix_ms).ok()?;
        let into = SignedDuration::from_millis((self.at(anchor.tick).0 * 1_000.0).round() as i64);
        let zone = match anchor.offset_minutes {
            Anchor::UNSAID => Zone::Unsaid,
            minutes => Zone::At(Offset::from_seconds(i32::from(minutes) * 60).ok()?),
        };
        Some(Clock { start: at.checked_sub(into).ok()?, zone })
    }
}

/// What a second of the logger really lasts, by the two anchors that are furthest apart with no reset between.
fn rate(anchors: &[Anchor], resets: &[Reset], notes: &mut Notes) -> f64 {
    // Both are in order, so the two that are furthest apart in a piece are its first and its last.
    let piece = |a: &Anchor| resets.partition_point(|r| r.tick <= a.tick);
    let span = |(a, b): &(&Anchor, &Anchor)| logger_seconds(a.tick, b.tick);
    let pieces = anchors.chunk_by(|a, b| piece(a) == piece(b));
    let ends = pieces.filter_map(|anchors| anchors.first().zip(anchors.last()));
    let widest = ends.max_by(|x, y| span(x).total_cmp(&span(y)));
    let Some((a, b)) = widest.filter(|pair| span(pair) >= BASE.get()) else { return 1.0 };
    let rate = (b.unix_ms.saturating_sub(a.unix_ms)) as f64 / 1_000.0 / span(&(a, b));
    if (rate - 1.0).abs() > WORST_DRIFT.get() {
        notes.add(
            "the computer's clock was set while the log was recorded, so drift is not taken out",
            || duration(Seconds(logger_seconds(Tick(0), b.tick))),
        );
        return 1.0;
    }
    rate
}

fn logger_seconds(from: Tick, to: Tick) -> f64 {
    // Division by ten is exact in decimals where multiplication by 0.1 is not.
    (f64::from(to.0) - f64::from(from.0)) / f64::from(Tick::PER_SECOND)
}

const fn reason(reason: OpenReason) -> &'static str {
    match reason {
        OpenReason::Armed => "it was armed again",
        OpenReason::Power => "its power had gone",
        OpenReason::Watchdog => "its watchdog began it anew",
        OpenReason::Panic => "its firmware had stopped itself",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn anchor(tick: u32, unix_ms: i64) -> Anchor {
        Anchor { tick: Tick(tick), unix_ms, offset_minutes: 60 }
    }

    fn reset(tick: u32, last: u32) -> Reset {
        Reset { tick: Tick(tick), last: Tick(last), reason: OpenReason::Power }
    }

    fn close(found: Seconds, seconds: f64) -> bool {
        (found.0 - seconds).abs() < 1e-6
    }

    #[test]
    fn without_anchors_a_tick_is_a_tenth_of_a_second() {
        let timing = Timing::of(&[], &[], &mut Notes::default());
        assert_eq!(timing.at(Tick(123_457)), Seconds(12_345.7));
        assert!(timing.clock(&[]).is_none());
    }

    #[test]
    fn two_anchors_take_drift_out() {
        // 40 ppm fast over ten hours: the logger counts 1.44 s too much.
        let anchors = [anchor(0, 1_000_000), anchor(360_000, 1_000_000 + 35_998_560)];
        let timing = Timing::of(&anchors, &[], &mut Notes::default());
        assert!(close(timing.at(Tick(360_000)), 35_998.56));
        assert!(close(timing.at(Tick(180_000)), 17_999.28));
    }

    #[test]
    fn a_clock_that_was_set_is_not_drift() {
        let mut notes = Notes::default();
        let anchors = [anchor(0, 0), anchor(360_000, 39_600_000)];
        let timing = Timing::of(&anchors, &[], &mut notes);
        assert_eq!(timing.at(Tick(360_000)), Seconds(36_000.0));
        assert!(notes.all()[0].what.contains("clock was set"));
    }

    #[test]
    fn anchors_on_both_sides_tell_how_long_it_was_off() {
        let mut notes = Notes::default();
        // Windows end at 500 s; it was off for an hour; 60 s after the reset a host is there.
        let anchors = [anchor(0, 0), anchor(7_000 + 600, (500 + 3_600 + 60) * 1_000)];
        let timing = Timing::of(&anchors, &[reset(7_000, 5_000)], &mut notes);
        assert!(close(timing.at(Tick(4_999)), 499.9));
        assert!(close(timing.at(Tick(7_000)), 4_100.0));
        assert!(close(timing.at(Tick(7_600)), 4_160.0));
        assert_eq!(notes.all()[0].what, "the logger was off for 01:00:00 (its power had gone)");
        assert_eq!(notes.all()[0].first, "00:08:20 from the start");
    }

    #[test]
    fn without_an_anchor_after_it_nothing_is_claimed() {
        let mut notes = Notes::default();
        let timing = Timing::of(&[anchor(0, 0)], &[reset(7_000, 5_000)], &mut notes);
        assert!(close(timing.at(Tick(7_001)), 700.1));
        assert!(notes.all()[0].what.contains("not known"));
        // Nor when the clocks contradict each other.
        let set_back = [anchor(0, 10_000_000), anchor(7_600, 10_100_000)];
        let timing = Timing::of(&set_back, &[reset(7_000, 5_000)], &mut Notes::default());
        assert!(close(timing.at(Tick(7_001)), 700.1));
    }
}
