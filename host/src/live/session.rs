//! What was seen since the view began, as a log: the recorder is the logger's own.

use tubtrace_core::CentiCelsius;
use tubtrace_core::recording::{TemperatureRecorder, WindowRecorder};
use tubtrace_protocol::{
    Anchor, CloseReason, Closed, FORMAT, HostClock, Label, Live, Mains, Mark, OpenReason, Opened, Record,
    Tick, VERSION,
};

use crate::log::append;

/// Windows that came, and the log that they make.
#[derive(Clone, Debug)]
pub struct Session {
    log: Vec<u8>,
    windows: WindowRecorder,
    clips: TemperatureRecorder,
    /// What the logger counts where this log begins, modulo 2^32.
    zero: u32,
    next: Tick,
    latest: Option<Live>,
    missed: u32,
}

impl Session {
    /// An empty one, that begins now by the host's clock.
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
        Self { log, windows, clips, zero: 0, next: tick, latest: None, missed: 0 }
    }

    /// Takes a window. Those that did not come before it are a gap; after a reset of the logger its count begins anew, and how long it
    /// was off is not known.
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
    }

    /// What the recorders hold goes into the log.
    fn flush(&mut self) {
        let windows = self.windows.flush().map(Record::Windows);
        let clips = self.clips.flush().map(Record::Temperatures);
        for record in windows.into_iter().chain(clips) {
            append(&mut self.log, &record);
        }
    }

    /// The log so far, not closed: what the recorders hold back is in it too. What follows is appended to it.
    pub fn settle(&mut self) -> &[u8] {
        self.flush();
        &self.log
    }

    /// The log so far, closed: what [`Self::settle`] gave, and more.
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

    /// Windows that were not shown: the link was too slow, or broke for a while.
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
