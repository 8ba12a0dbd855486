//! Metering against handbook values and against scipy.

use std::f64::consts::{PI, SQRT_2, TAU};

use proptest::prelude::*;
use tubtrace_core::metering::{Calibration, Current, MainsFinder, Pickup, measure};
use tubtrace_core::{BLOCK, Block, CHANNELS, Channel, WINDOW};
use tubtrace_protocol::Mains;

/// One ampere a count: milliamps are thousandths of a count.
fn fine() -> Calibration {
    Calibration::new(1_000_000).unwrap()
}

fn block(channel: Channel, samples: impl Fn(usize) -> f64) -> Block {
    let mut block = [2_048; BLOCK];
    for n in 0..WINDOW {
        block[n * CHANNELS + channel as usize] = (samples(n) + 0.5).floor().clamp(0.0, 4_095.0) as u16;
    }
    block
}

fn close(found: u16, expected: f64, relative: f64, absolute: f64) -> bool {
    (f64::from(found) - expected).abs() <= (expected * relative).max(absolute)
}

/// RMS, peak and crest factor of waveforms of amplitude A, as any electrical handbook tabulates them: sine A/sqrt 2
/// and 1.414; square A and 1; triangle A/sqrt 3 and 1.732; half-wave rectified sine A/2 and 2 (about zero; with its
/// mean A/pi removed, as a clamp does, the RMS is A sqrt(1/4 - 1/pi^2) and the peak A (1 - 1/pi)).
#[test]
fn waveforms_of_the_handbook() {
    const A: f64 = 1_500.0;
    type Wave = fn(f64) -> f64;
    let half_wave_rms = (0.25 - 1.0 / (PI * PI)).sqrt();
    let waves: [(&str, Wave, f64, f64); 4] = [
        ("sine", |p| (TAU * p).sin(), 1.0 / SQRT_2, 1.0),
        ("square", |p| if p < 0.5 { 1.0 } else { -1.0 }, 1.0, 1.0),
        ("triangle", |p| 1.0 - 4.0 * (p - 0.5).abs(), 1.0 / 3f64.sqrt(), 1.0),
        ("half-wave", |p| (TAU * p).sin().max(0.0), half_wave_rms, 1.0 - 1.0 / PI),
    ];
    // A coarse calibration, so that milliamps do not saturate: 20 mA a count.
    let calibration = Calibration::new(20_000).unwrap();
    for (mains, cycles) in [(Mains::Hz50, 5), (Mains::Hz60, 6)] {
        for (name, wave, rms, peak) in waves {
            // A hair off, so that rounding does not decide on which side of its jump a sample of the square falls.
            let phase = |n: usize| ((n as f64 + 1e-6) * f64::from(cycles) / WINDOW as f64).fract();
            let block = block(Channel::Current, |n| 2_048.0 + A * wave(phase(n)));
            let (current, _) = measure(&block, mains, calibration);
            assert!(close(current.rms, A * rms * 20.0, 0.002, 1.0), "{name}: {current:?}");
            assert!(close(current.peak, A * peak * 20.0, 0.005, 40.0), "{name}: {current:?}");
            let crest = f64::from(current.peak) / f64::from(current.rms);
            assert!((crest - peak / rms).abs() < 0.01, "{name}: crest {crest}");
        }
    }
}

/// Fourier series of the handbook: a square wave of amplitude A has 4A/pi at its frequency, nothing at twice, and a
/// third of that at three times.
#[test]
fn harmonics_of_a_square_wave() {
    let calibration = Calibration::new(20_000).unwrap();
    let wave = block(Channel::Current, |n| if (n / 40).is_multiple_of(2) { 3_048.0 } else { 1_048.0 });
    let (current, _) = measure(&wave, Mains::Hz60, calibration);
    let fundamental = 4.0 / PI / SQRT_2 * 1_000.0 * 20.0;
    assert!(close(current.fundamental, fundamental, 0.001, 1.0), "{current:?}");
    assert!(current.second <= 2, "{current:?}");
    // Twelve harmonics below the sampling rate fold back; the third of a sampled square is 0.4 % above its series.
    assert!(close(current.third, fundamental / 3.0, 0.006, 1.0), "{current:?}");
}

/// RMS, peak, and bins 1 to 3 of the mains, computed with numpy and scipy by `tests/references/metering.py` from the
/// same signal: harmonics, noise and an offset that is no whole count.
#[test]
fn agrees_with_scipy() {
    let reference =
        [(50, [8469.2, 14384.9, 7975.0, 1024.1, 2615.3]), (60, [8474.5, 14400.7, 7979.2, 1023.0, 2621.7])];
    for (hz, expected) in reference {
        let (mains, cycles) = if hz == 50 { (Mains::Hz50, 5.0) } else { (Mains::Hz60, 6.0) };
        let mut seed = 1u64;
        let noise: Vec<f64> = (0..WINDOW)
            .map(|_| {
                seed = (seed * 1_103_515_245 + 12_345) % (1 << 31);
                ((seed >> 16) % 21) as f64 - 10.0
            })
            .collect();
        let signal = |n: usize| {
            let s = |h: f64, a: f64, p: f64| a * (TAU * h * cycles * n as f64 / 480.0 + p).sin();
            let wave = s(1.0, 700.0, 0.3) + s(2.0, 90.0, -1.0) + s(3.0, 230.0, 2.0) + s(7.0, 41.0, 0.7);
            (2_051.3 + wave + 0.5).floor() + noise[n]
        };
        let (c, _) = measure(&block(Channel::Current, signal), mains, Calibration::NOMINAL);
        let found = [c.rms, c.peak, c.fundamental, c.second, c.third];
        for (found, expected) in found.into_iter().zip(expected) {
            // Half a milliamp of rounding; for the peak, half a count for the mean being a whole one.
            let absolute = if found == c.peak { 9.0 } else { 1.0 };
            assert!(close(found, expected, 0.0, absolute), "{hz} Hz: {found} for {expected}");
        }
    }
}

/// An amplitude outside 12 bits cannot come from the converter; the sums are sized for the worst that can.
#[test]
fn the_worst_signals_do_not_overflow() {
    for period in 1..WINDOW / 2 {
        let square = block(Channel::Current, |n| if (n / period).is_multiple_of(2) { 4_095.0 } else { 0.0 });
        for mains in [Mains::Hz50, Mains::Hz60, Mains::Unknown] {
            let (current, _) = measure(&square, mains, fine());
            assert_eq!(current.peak, u16::MAX, "saturates");
        }
    }
    let (flat, _) = measure(&[4_095; BLOCK], Mains::Unknown, fine());
    assert_eq!(flat, Current::default());
}

proptest! {
    #[test]
    fn rms_is_the_standard_deviation(samples in prop::collection::vec(0u16..4_096, WINDOW)) {
        let block = block(Channel::Current, |n| f64::from(samples[n]));
        let (current, _) = measure(&block, Mains::Hz50, Calibration::new(16_000).unwrap());
        let mean = samples.iter().map(|&s| f64::from(s)).sum::<f64>() / WINDOW as f64;
        let variance = samples.iter().map(|&s| (f64::from(s) - mean).powi(2)).sum::<f64>() / WINDOW as f64;
        prop_assert!(close(current.rms, variance.sqrt() * 16.0, 0.0, 1.0));
        prop_assert!(current.peak >= current.rms.saturating_sub(8));
    }

    #[test]
    fn nothing_panics(samples in prop::collection::vec(any::<u16>(), BLOCK)) {
        let block: Block = samples.try_into().unwrap();
        for mains in [Mains::Hz50, Mains::Hz60, Mains::Unknown] {
            let _ = measure(&block, mains, Calibration::NOMINAL);
            Pickup::new(Channel::Supply).level(&block, mains);
        }
    }
}

fn finder(channel: Channel, hz: f64, amplitude: f64) -> Mains {
    let mut finder = MainsFinder::default();
    for w in 0..20 {
        let time = |n: usize| (w * WINDOW + n) as f64 / 4_800.0;
        let block = block(channel, |n| 2_048.0 + amplitude * (TAU * hz * time(n)).sin());
        let (_, bins) = measure(&block, finder.mains(), Calibration::NOMINAL);
        finder.observe(&block, bins);
    }
    finder.mains()
}

#[test]
fn the_mains_is_found_by_itself() {
    for channel in [Channel::Current, Channel::Supply] {
        for (hz, expected) in
            [(49.7, Mains::Hz50), (50.3, Mains::Hz50), (59.7, Mains::Hz60), (60.3, Mains::Hz60)]
        {
            assert_eq!(finder(channel, hz, 40.0), expected, "{channel:?} {hz}");
        }
    }
    assert_eq!(finder(Channel::Current, 50.0, 1.0), Mains::Unknown, "too faint to say");
    assert_eq!(finder(Channel::Current, 55.0, 400.0), Mains::Unknown, "no grid has 55 Hz");
}

fn pickup(mains: Mains, signal: impl Fn(f64) -> f64) -> f64 {
    let mut pickup = Pickup::new(Channel::Drain);
    let mut level = 0;
    for w in 0..4 {
        let block = block(Channel::Drain, |n| 2_048.0 + signal((w * WINDOW + n) as f64 / 4_800.0));
        level = pickup.level(&block, mains);
    }
    f64::from(level) / 16.0
}

/// The comb lets a tone pass with 2 |sin(pi f / mains)| / sqrt 2; averaged over a band of flow noise that is 1.
#[test]
fn a_pickup_hears_flow_and_not_hum() {
    for (mains, hz) in [(Mains::Hz50, 50.0), (Mains::Hz60, 60.0)] {
        let hum = |t: f64| {
            (1..=9)
                .map(|h| 400.0 / f64::from(h) * (TAU * hz * f64::from(h) * t + f64::from(h)).sin())
                .sum::<f64>()
        };
        assert!(
            pickup(mains, hum) < 2.0,
            "hum of 400 counts and its harmonics leaves {}",
            pickup(mains, hum)
        );

        // Tones across the band of flow noise, at distances from harmonics that average the comb.
        let tones: Vec<f64> = (0..64).map(|i| 300.0 + f64::from(i) * 26.7).collect();
        let mean_square = tones
            .iter()
            .map(|f| pickup(mains, |t| 100.0 * SQRT_2 * (TAU * f * t).sin()).powi(2))
            .sum::<f64>()
            / tones.len() as f64;
        let gain = mean_square.sqrt() / 100.0;
        assert!((0.7..1.2).contains(&gain), "300 to 2,000 Hz pass with {gain}");

        // 0.1 Hz off: 2 sin(pi x 0.1 / 50) = 1.3 % of the fundamental, less the high pass.
        let drifted = |t: f64| 400.0 * (TAU * (hz + 0.1) * t).sin();
        assert!(pickup(mains, drifted) < 0.0126 * 400.0);
    }
}
