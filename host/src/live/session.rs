//! The windows that came since the view began, made into a log by the logger's own recorder.

use tubtrace_core::CentiCelsius;
use tubtrace_core::recording::{TemperatureRecorder, WindowRecorder};
use tubtrace_protocol::{
    Anchor, CloseReason, Closed, FORMAT, HostClock, Label, Live, Mains, Mark, OpenReason, Opened, Record,
    Tick, VERSION,
};

use crate::log::append;

/// Largest log that is kept in memory, in bytes. When it is exceeded, the older half is dropped. The other half holds eighteen hours of a
/// machine that washes without end, at 56 kB an hour (`cargo xtask sizes`); the screen shows twelve.
const MOST: usize = 2 << 20;

/// A log that grows by every window of the logger.
#[derive(Clone, Debug)]
pub struct Session {
    log: Vec<u8>,
    /// Bytes at its beginning that say what log it is; they are never dropped.
    head: usize,
    /// Bytes that were dropped behind the head so far.
    forgotten: usize,
    windows: WindowRecorder,
    clips: TemperatureRecorder,
    /// Count of the logger's windows at which this log begins, modulo 2^32.
    zero: u32,
    next: Tick,
    latest: Option<Live>,
    missed: u32,
}

impl Session {
    /// An empty log that begins now by the host's clock.
    #[must_use]
    pub fn new(clock: HostClock, label: &Label, logger: u32, mains: Mains) -> Self {
        let mut log = Vec::new();
        let (format, version, tick) = (FORMAT, VERSION, Tick(0));
        // Windows come in milliamps; there are no bursts for which a count would matter.
        let microamps_per_count = tubtrace_core::metering::Calibration::NOMINAL.microamps_per_count();
        let reason = OpenReason::Armed;
        let label = label.clone();
        append(
            &mut log,
            &Record::Opened(Opened { format, version, tick, reason, logger, microamps_per_count, label }),
        );
        let HostClock { unix_ms, offset_minutes } = clock;
        append(&mut log, &Record::Anchor(Anchor { tick, unix_ms, offset_minutes }));
        let health = tubtrace_protocol::Health { tick, battery_mv: 0, mains, clipped: 0 };
        append(&mut log, &Record::Health(health));
        let (windows, clips) = (WindowRecorder::default(), TemperatureRecorder::default());
        let head = log.len();
        Self { log, head, forgotten: 0, windows, clips, zero: 0, next: tick, latest: None, missed: 0 }
    }

    /// Adds a window. Windows that were missed before it leave a gap in the log. After a reset the logger counts from zero again; how long
    /// it was off is not known, so the log goes on right behind the last window.
    pub fn take(&mut self, live: &Live) {
        if self.latest.is_some_and(|last| live.uptime <= last.uptime) {
            self.zero = live.uptime.wrapping_sub(self.next.after(1).0);
        } else if self.latest.is_none() {
            self.zero = live.uptime;
        }
        // The zero may lie before the logger's own: modulo 2^32 the difference is right all the same.
        let tick = Tick(live.uptime.wrapping_sub(self.zero));
        if tick > self.next {
            self.missed = self.missed.saturating_add(tick.0 - self.next.0);
            self.flush();
        }
        if let Some(record) = self.windows.push(tick, live.window) {
            append(&mut self.log, &Record::Windows(record));
        }
        if tick.0.is_multiple_of(Tick::PER_SECOND)
            && let Some(record) = self.clips.push(tick, live.clips.map(|c| c.map(CentiCelsius)))
        {
            append(&mut self.log, &Record::Temperatures(record));
        }
        if live.mark {
            append(&mut self.log, &Record::Mark(Mark { tick }));
        }
        self.next = tick.after(1);
        self.latest = Some(*live);
        if self.log.len() > MOST {
            self.forget();
        }
    }

    /// Drops the older half of the log, to the end of a frame.
    fn forget(&mut self) {
        let half = self.head.midpoint(self.log.len());
        let end = self.log[half..].iter().position(|&b| b == 0).map_or(self.log.len(), |at| half + at + 1);
        self.log.drain(self.head..end);
        self.forgotten += end - self.head;
    }

    /// How many bytes of the log were dropped, all of them older than what is left.
    #[must_use]
    pub const fn forgotten(&self) -> usize {
        self.forgotten
    }

    /// Writes what the recorders hold back into the log.
    fn flush(&mut self) {
        let windows = self.windows.flush().map(Record::Windows);
        let clips = self.clips.flush().map(Record::Temperatures);
        for record in windows.into_iter().chain(clips) {
            append(&mut self.log, &record);
        }
    }

    /// The log so far without its closing record, and without what was [dropped](Self::forgotten). What the recorders held back is
    /// written first. Later calls give the same bytes with more behind them.
    pub fn settle(&mut self) -> &[u8] {
        self.flush();
        &self.log
    }

    /// The log so far with its closing record: what [`Self::settle`] gives, and the end.
    #[must_use]
    pub fn log(&self) -> Vec<u8> {
        let mut ended = self.clone();
        ended.flush();
        append(&mut ended.log, &Record::Closed(Closed { tick: self.next, reason: CloseReason::Stopped }));
        ended.log
    }

    /// The window that came last.
    #[must_use]
    pub const fn latest(&self) -> Option<&Live> {
        self.latest.as_ref()
    }

    /// How many windows never came, because the link was too slow or broke for a while.
    #[must_use]
    pub const fn missed(&self) -> u32 {
        self.missed
    }
}

#[cfg(test)]
mod tests {
    use tubtrace_protocol::Window;
    use tubtrace_units::Seconds;

    use super::*;
    use crate::log::{Assumptions, parse};

    fn live(uptime: u32, rms: u16) -> Live {
        let window = Window { rms, fundamental: rms, supply: 16, drain: 16, ..Window::default() };
        Live { uptime, window, clips: [Some(2_000), None], mark: uptime == 1_030 }
    }

    fn session() -> Session {
        let clock = HostClock { unix_ms: 1_800_000_000_000, offset_minutes: 60 };
        Session::new(clock, &Label::try_from("flat 3").unwrap(), 7, Mains::Hz60)
    }

    #[test]
    fn what_came_is_a_log_with_its_gap_and_its_mark() {
        let mut session = session();
        for n in (1_000..1_100).chain(1_200..1_250) {
            session.take(&live(n, if n < 1_050 { 100 } else { 5_000 }));
        }
        let trace = parse(&session.log(), Assumptions::default()).unwrap().trace;
        assert_eq!((trace.label.as_str(), trace.nominal.volts.0), ("flat 3", 120.0));
        assert_eq!(trace.duration(), Seconds(25.0));
        assert_eq!(trace.marks, [Seconds(3.0)]);
        assert_eq!(trace.gaps().collect::<Vec<_>>(), [(Seconds(10.0), Seconds(20.0))]);
        assert_eq!(session.missed(), 100);
        assert!(trace.temperatures.iter().all(|t| t.supply.is_some() && t.drain.is_none()));
    }

    /// A logger that sends a week in a minute, no window like the one before it: what is held is bounded, and whoever writes as it comes
    /// has all of it.
    #[test]
    fn a_flood_is_not_held() {
        let mut session = session();
        let (mut kept, mut written) = (Vec::new(), 0);
        let mut most = 0;
        for n in 0..1_500_000 {
            session.take(&live(n, if n % 2 == 0 { 100 } else { 5_000 }));
            if n % 100 == 99 {
                let forgotten = session.forgotten();
                let frames = session.settle();
                kept.extend_from_slice(&frames[written - forgotten..]);
                written = forgotten + frames.len();
                most = most.max(frames.len());
            }
        }
        assert!(session.forgotten() > MOST, "it was a flood: {}", session.forgotten());
        assert!(most <= MOST + 4_096, "{most}");
        let all = parse(&kept, Assumptions::default()).unwrap();
        assert_eq!(all.trace.steps.len(), 1_500_000);
        assert!(all.notes.all().is_empty(), "{:?}", all.notes);
        let shown = parse(&session.log(), Assumptions::default()).unwrap();
        assert_eq!((shown.trace.label.as_str(), shown.trace.duration()), ("flat 3", Seconds(150_000.0)));
        assert!(shown.notes.all().is_empty(), "{:?}", shown.notes);
        assert!(
            shown.trace.steps.iter().eq(all
                .trace
                .steps
                .iter()
                .skip(all.trace.steps.len() - shown.trace.steps.len()))
        );
    }

    #[test]
    fn a_logger_that_begins_anew_goes_on_behind_what_was() {
        let mut session = session();
        for n in (5_000..5_050).chain(1..51) {
            session.take(&live(n, 100));
        }
        let trace = parse(&session.log(), Assumptions::default()).unwrap().trace;
        assert!((trace.duration().0 - 10.1).abs() < 1e-9, "{}", trace.duration());
    }
}
