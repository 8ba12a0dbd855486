//! Traces of other meters as `.tub` logs.

use tubtrace_core::metering::Calibration;
use tubtrace_protocol::{
    Anchor, CloseReason, Closed, FORMAT, MAX_FRAME, OpenReason, Opened, Record, TemperatureRun, Temperatures,
    Tick, VERSION, Window, Windows, encode,
};
use tubtrace_units::{Amps, Celsius, Seconds};

use crate::trace::{Step, Trace, Zone};

/// The trace as a log: the same readings at the resolution of a log, 100 ms and a milliamp. Pickups that there were not
/// stay at zero, which no pickup ever reads, and so stay absent.
#[must_use]
pub fn to_tub(trace: &Trace, name: &str) -> Vec<u8> {
    let mut log = Vec::new();
    let mut put = |record: &Record| append(&mut log, record);
    let mut label = tubtrace_protocol::Label::new();
    for c in name.chars() {
        if label.push(c).is_err() {
            break;
        }
    }
    put(&Record::Opened(Opened {
        format: FORMAT,
        version: VERSION,
        tick: Tick(0),
        reason: OpenReason::Armed,
        logger: 0,
        microamps_per_count: Calibration::NOMINAL.microamps_per_count(),
        label,
    }));
    if let Some(clock) = trace.clock {
        let offset_minutes = match clock.zone {
            Zone::Unsaid => Anchor::UNSAID,
            // At most a day, which fits.
            zone => (zone.offset().seconds() / 60) as i16,
        };
        put(&Record::Anchor(Anchor { tick: Tick(0), unix_ms: clock.start.as_millisecond(), offset_minutes }));
    }
    windows(trace, &mut put);
    temperatures(trace, &mut put);
    put(&Record::Closed(Closed { tick: tick(trace.duration()), reason: CloseReason::Stopped }));
    log
}

/// The greatest current that a log holds, in whole milliamps.
#[must_use]
pub fn most_amps() -> Amps {
    Amps(f64::from(u16::MAX) / 1_000.0)
}

/// Appends a record to a log.
pub(crate) fn append(log: &mut Vec<u8>, record: &Record) {
    let mut buffer = [0; MAX_FRAME];
    // MAX_FRAME holds every record, which the tests of the protocol show.
    if let Ok(frame) = encode(record, &mut buffer) {
        log.extend_from_slice(frame);
    }
}

fn tick(time: Seconds) -> Tick {
    // `as` saturates: 13.6 years.
    Tick((time.0 * f64::from(Tick::PER_SECOND)).round() as u32)
}

fn windows(trace: &Trace, put: &mut impl FnMut(&Record)) {
    let mut record = Windows::default();
    let mut next = Tick(0);
    for step in &trace.steps {
        let (start, end) = (tick(step.start), tick(step.end));
        if record.is_full() || (start != next && !record.is_empty()) {
            put(&Record::Windows(std::mem::take(&mut record)));
        }
        if record.is_empty() {
            record = Windows::new(start);
        }
        let length = end.0.saturating_sub(start.0);
        let value = window(trace, &step);
        // A reading that holds for longer than a run can be is several runs.
        for part in (0..length).step_by(usize::from(u16::MAX)) {
            let part = (length - part).min(u32::from(u16::MAX)) as u16;
            if record.push(part, value).is_err() {
                let at = Tick(record.start.0 + record.len());
                put(&Record::Windows(std::mem::replace(&mut record, Windows::new(at))));
                // There is room in an empty record.
                let _ = record.push(part, value);
            }
        }
        next = end;
    }
    if !record.is_empty() {
        put(&Record::Windows(record));
    }
}

/// Only RMS is known; what is taken from it is said to be all there is.
fn window(trace: &Trace, step: &Step) -> Window {
    let milliamps = |amps: f64| (amps * 1_000.0).round() as u16;
    let rms = milliamps(trace.amps(step.power).0);
    match step.detail {
        None => Window { rms, fundamental: rms, ..Window::default() },
        Some(detail) => Window {
            rms,
            fundamental: milliamps(detail.fundamental.0),
            third: milliamps(detail.third.0),
            supply: (detail.supply.0 * 16.0).round() as u16,
            drain: (detail.drain.0 * 16.0).round() as u16,
            ..Window::default()
        },
    }
}

fn temperatures(trace: &Trace, put: &mut impl FnMut(&Record)) {
    let centi = |c: Option<Celsius>| c.map(|c| (c.0 * 100.0).round() as i16);
    let mut record = Temperatures::default();
    let mut next = Seconds(0.0);
    for reading in &trace.temperatures {
        let seconds = (reading.end - reading.start).0.round().clamp(1.0, f64::from(u16::MAX)) as u16;
        let apart = (reading.start - next).abs() > Seconds(0.5);
        if record.runs.is_full() || (apart && !record.runs.is_empty()) {
            put(&Record::Temperatures(std::mem::take(&mut record)));
        }
        if record.runs.is_empty() {
            record.start = tick(reading.start);
        }
        let run = TemperatureRun { seconds, supply: centi(reading.supply), drain: centi(reading.drain) };
        let _ = record.runs.push(run);
        next = reading.end;
    }
    if !record.runs.is_empty() {
        put(&Record::Temperatures(record));
    }
}
