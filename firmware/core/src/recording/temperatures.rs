//! Temperatures, once a second, as runs within 0.1 degrees C.

use tubtrace_protocol::{TemperatureRun, Temperatures, Tick};

use crate::thermistor::CentiCelsius;

/// How far a recorded temperature may be from the true one, hundredths of a degree C.
pub const TEMPERATURE_BOUND: i16 = 10;

/// A record is handed over after so long; while nothing changes, one run may go on for longer.
const LONGEST_SECONDS: u16 = 60;
const LONGEST_STILL: u16 = 240;

/// Turns pairs of readings into [`Temperatures`] records; the run keeps the first reading as its value.
#[derive(Clone, Debug, Default)]
pub struct TemperatureRecorder {
    record: Temperatures,
}

impl TemperatureRecorder {
    /// Takes the readings (supply, drain) of one second. Gives a record when one is complete.
    pub fn push(&mut self, tick: Tick, readings: [Option<CentiCelsius>; 2]) -> Option<Temperatures> {
        let [supply, drain] = readings.map(|r| r.map(|CentiCelsius(c)| c));
        let longest = if self.record.runs.len() < 2 { LONGEST_STILL } else { LONGEST_SECONDS };
        if let Some(run) = self.record.runs.last_mut()
            && near(run.supply, supply)
            && near(run.drain, drain)
            && run.seconds < longest
        {
            run.seconds += 1;
            return None;
        }
        let seconds: u32 = self.record.runs.iter().map(|r| u32::from(r.seconds)).sum();
        let complete = self.record.runs.is_full() || seconds >= u32::from(LONGEST_SECONDS);
        let done = complete.then(|| core::mem::take(&mut self.record));
        if self.record.runs.is_empty() {
            self.record.start = tick;
        }
        let _ = self.record.runs.push(TemperatureRun { seconds: 1, supply, drain });
        done
    }

    /// Hands over what is held.
    pub fn flush(&mut self) -> Option<Temperatures> {
        let record = core::mem::take(&mut self.record);
        (!record.runs.is_empty()).then_some(record)
    }
}

fn near(a: Option<i16>, b: Option<i16>) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => a.abs_diff(b) <= TEMPERATURE_BOUND.unsigned_abs(),
        (a, b) => a == b,
    }
}

#[cfg(test)]
mod tests {
    use std::vec::Vec;

    use super::*;

    #[test]
    fn every_reading_is_recorded_within_the_bound() {
        let readings: Vec<[Option<CentiCelsius>; 2]> = (0..4_000i32)
            .map(|i| {
                let supply = (i / 700 != 2).then_some(CentiCelsius((1_500 + i % 311) as i16));
                [supply, Some(CentiCelsius((6_000 - i) as i16))]
            })
            .collect();
        let mut recorder = TemperatureRecorder::default();
        let mut records: Vec<_> = readings
            .iter()
            .enumerate()
            .filter_map(|(s, &r)| recorder.push(Tick(s as u32 * Tick::PER_SECOND), r))
            .collect();
        records.extend(recorder.flush());

        let mut at = 0;
        for record in &records {
            assert_eq!(record.start.0, at as u32 * Tick::PER_SECOND, "no gap, no overlap");
            for run in &record.runs {
                for reading in &readings[at..at + usize::from(run.seconds)] {
                    let [supply, drain] = reading.map(|r| r.map(|CentiCelsius(c)| c));
                    assert!(near(run.supply, supply) && near(run.drain, drain));
                }
                at += usize::from(run.seconds);
            }
        }
        assert_eq!(at, readings.len());
    }
}
