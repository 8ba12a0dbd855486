//! Samples of any rate as samples of the board's rate.

use rubato::audioadapter_buffers::direct::InterleavedSlice;
use rubato::{Async, FixedAsync, Indexing, Resampler, SincInterpolationParameters, WindowFunction};
use tubtrace_core::SAMPLE_RATE;

/// Rates that can be taken.
pub(super) const RATES: std::ops::RangeInclusive<u32> = 1_000..=768_000;

/// Frames at the board's rate that are made at a time, about: the filter is as long, and so as steep.
const AT_A_TIME: usize = 1_200;

/// Zero crossings of the filter, at the lower rate: so steep that it passes 400 Hz whole and nothing above half the board's rate.
const CROSSINGS: usize = 128;

/// The longest filter, in frames. A rate with which the board's has no large divisor in common would need a longer one for its delay to
/// be a whole number of frames; it is then late by up to half a frame, a tenth of a millisecond.
const LONGEST: usize = 32_768;

/// Frames of samples, interleaved, from one rate to the board's. What would alias is filtered out.
pub(super) struct Rate {
    channels: usize,
    resampler: Option<Box<dyn Resampler<f64>>>,
    /// What has come and is not yet resampled.
    waiting: Vec<f64>,
    /// Frames that are still to be dropped: the filter's delay.
    delay: usize,
    /// Frames that came, and that went out.
    came: u64,
    gone: u64,
    ratio: f64,
}

impl Rate {
    /// From `rate`, which is one of [`RATES`]; gives what is wrong with it otherwise.
    pub(super) fn new(rate: u32, channels: usize) -> Result<Self, String> {
        let ratio = f64::from(SAMPLE_RATE) / f64::from(rate);
        let resampler = (rate != SAMPLE_RATE).then(|| resampler(rate, channels)).transpose()?;
        // Half the filter; the first frame that comes out is already a step in (`last_index` in rubato's asynchro.rs).
        let half = filter_length(rate) as f64 / 2.0 * ratio;
        let delay = if resampler.is_some() { half.round() as usize - 1 } else { 0 };
        Ok(Self { channels, resampler, waiting: Vec::new(), delay, came: 0, gone: 0, ratio })
    }

    /// Takes a frame; `out` hears the frames that come of it.
    pub(super) fn push(&mut self, frame: &[f64], out: &mut impl FnMut(&[f64])) -> Result<(), String> {
        self.came += 1;
        let Some(resampler) = &mut self.resampler else {
            out(frame);
            return Ok(());
        };
        self.waiting.extend_from_slice(frame);
        if self.waiting.len() < resampler.input_frames_next() * self.channels {
            return Ok(());
        }
        self.resample(None, out)
    }

    /// What is left, and what is still in the filter: as long as what came, to a frame.
    pub(super) fn finish(&mut self, out: &mut impl FnMut(&[f64])) -> Result<(), String> {
        let all = (self.came as f64 * self.ratio).round() as u64;
        while self.resampler.is_some() && self.gone < all {
            let left = self.waiting.len() / self.channels;
            let before = self.gone;
            self.resample(Some((left, all)), out)?;
            if left == 0 && self.gone == before && self.delay == 0 {
                break;
            }
        }
        Ok(())
    }

    /// One block, or at the end the frames that are left of it, so many frames in all at most.
    fn resample(&mut self, last: Option<(usize, u64)>, out: &mut impl FnMut(&[f64])) -> Result<(), String> {
        let Some(resampler) = &mut self.resampler else { return Ok(()) };
        let mut frames = resampler.input_frames_next();
        let mut indexing = Indexing::new();
        if let Some((left, _)) = last {
            indexing = indexing.partial_len(left.min(frames));
            frames = left.min(frames);
        }
        let fail = |e: &dyn std::fmt::Display| format!("it cannot be resampled: {e}");
        let input = InterleavedSlice::new(&self.waiting, self.channels, frames).map_err(|e| fail(&e))?;
        let made = resampler.process(&input, Some(&indexing)).map_err(|e| fail(&e))?;
        self.waiting.drain(..frames * self.channels);
        for frame in made.take_data().chunks_exact(self.channels) {
            if self.delay > 0 {
                self.delay -= 1;
            } else if last.is_none_or(|(_, all)| self.gone < all) {
                self.gone += 1;
                out(frame);
            }
        }
        Ok(())
    }
}

fn resampler(rate: u32, channels: usize) -> Result<Box<dyn Resampler<f64>>, String> {
    let at_a_time = AT_A_TIME * rate as usize / SAMPLE_RATE as usize;
    let filter = SincInterpolationParameters::new(filter_length(rate), WindowFunction::BlackmanHarris2);
    let ratio = f64::from(SAMPLE_RATE) / f64::from(rate);
    let sinc = Async::new_sinc(ratio, 1.0, &filter, at_a_time.max(1), channels, FixedAsync::Input)
        .map_err(|e| format!("{rate} samples a second cannot be resampled: {e}"))?;
    Ok(Box::new(sinc))
}

/// The filter's length in frames at `rate`: half of it, its delay, is a whole number of frames at the board's rate where one is short enough.
fn filter_length(rate: u32) -> usize {
    let steep = CROSSINGS * rate.div_ceil(SAMPLE_RATE) as usize;
    let block = rate / gcd(rate, SAMPLE_RATE);
    // The library wants a multiple of eight.
    let whole = 8 * (2 * block / gcd(2 * block, 8)) as usize;
    let length = steep.next_multiple_of(whole);
    if length <= LONGEST { length } else { steep }
}

const fn gcd(a: u32, b: u32) -> u32 {
    if b == 0 { a } else { gcd(b, a % b) }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::{SQRT_2, TAU};

    use super::*;

    /// A second of a tone, resampled.
    fn tone(rate: u32, hertz: f64) -> Vec<f64> {
        let mut made = Vec::new();
        let mut take = |frame: &[f64]| made.push(frame[0]);
        let mut to = Rate::new(rate, 1).unwrap();
        for n in 0..rate {
            to.push(&[(TAU * hertz * f64::from(n) / f64::from(rate)).sin()], &mut take).unwrap();
        }
        to.finish(&mut take).unwrap();
        made
    }

    fn rms(of: &[f64]) -> f64 {
        (of.iter().map(|v| v * v).sum::<f64>() / of.len() as f64).sqrt()
    }

    /// A tone within the band keeps its level and its time; one above half the new rate is gone (Nyquist and Shannon).
    #[test]
    fn tones_stay_and_what_would_alias_goes() {
        for rate in [8_000, 11_025, 44_100, 44_101, 48_000, 96_000] {
            let low = tone(rate, 400.0);
            assert_eq!(low.len(), 4_800, "{rate}");
            let exact = (0..4_800).map(|n| (TAU * 400.0 * f64::from(n) / 4_800.0).sin());
            let error: Vec<f64> = low.iter().zip(exact).map(|(a, b)| a - b).collect();
            // Its ends ring. The library's table is read one of its 128 steps between two frames late, 1 us here. Where rates have no divisor the filter's delay is no whole number of frames, of which half a one is left.
            let (level, error) = (rms(&low[400..4_400]), rms(&error[400..4_400]));
            assert!((level * SQRT_2 - 1.0).abs() < 1e-3, "{rate}: {level}");
            assert!(error < if rate == 44_101 { 0.2 } else { 2e-3 }, "{rate}: {error}");
            let gone = rms(&tone(rate, 3_400.0)[400..4_400]);
            assert!(gone < 1e-3, "{rate}: {gone}");
        }
    }

    #[test]
    fn the_board_s_own_rate_is_left_alone() {
        let exact: Vec<f64> = (0..4_800).map(|n| (TAU * 400.0 * f64::from(n) / 4_800.0).sin()).collect();
        assert_eq!(tone(4_800, 400.0), exact);
    }
}
