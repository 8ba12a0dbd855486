//! A table of sines over one window, and correlation with it: one DFT bin.

use crate::sampling::WINDOW;

/// Amplitude of the table. With samples of 12 bits whose mean is removed, the sum of |x| over a window is at most
/// 480 x 2,047.5 (half of them at either end), so a bin is at most 2.02e9 and fits an `i32`.
pub(super) const UNIT: i32 = 2_048;
const _: () = assert!((WINDOW as i64) * 4_096 / 2 * (UNIT as i64) <= i32::MAX as i64);

static SINE: [i16; WINDOW] = table();

const fn table() -> [i16; WINDOW] {
    let mut table = [0; WINDOW];
    let mut i = 0;
    while i < WINDOW {
        let value = sine(2.0 * core::f64::consts::PI * (i as f64) / WINDOW as f64) * UNIT as f64;
        table[i] = if value < 0.0 { (value - 0.5) as i16 } else { (value + 0.5) as i16 };
        i += 1;
    }
    table
}

/// Taylor's series after folding into -pi/2 ... pi/2; runs in the compiler only.
const fn sine(x: f64) -> f64 {
    let pi = core::f64::consts::PI;
    let x = if x > 1.5 * pi {
        x - 2.0 * pi
    } else if x > 0.5 * pi {
        pi - x
    } else {
        x
    };
    let (mut term, mut sum, mut n) = (x, x, 1.0);
    while n < 20.0 {
        term *= -x * x / ((n + 1.0) * (n + 2.0));
        sum += term;
        n += 2.0;
    }
    sum
}

/// Sums of `x` times cosine and sine with `cycles` cycles in the window.
pub(super) fn correlate(x: &[i16; WINDOW], cycles: usize) -> (i32, i32) {
    let (mut re, mut im) = (0i32, 0i32);
    let mut phase = 0;
    for &x in x {
        let ahead = phase + WINDOW / 4;
        let cosine = SINE[if ahead >= WINDOW { ahead - WINDOW } else { ahead }];
        re += i32::from(x) * i32::from(cosine);
        im += i32::from(x) * i32::from(SINE[phase]);
        phase += cycles;
        if phase >= WINDOW {
            phase -= WINDOW;
        }
    }
    (re, im)
}

/// |X|^2 of a bin as [`correlate`] gives it.
pub(super) fn power((re, im): (i32, i32)) -> u64 {
    let square = |v: i32| u64::from(v.unsigned_abs()).pow(2);
    square(re) + square(im)
}
