//! Thermistor codes to temperatures.

/// Hundredths of a degree Celsius.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct CentiCelsius(pub i16);

/// The fixed resistor from the reference to the thermistor; the thermistor goes on to ground.
const FIXED_OHMS: u32 = 10_000;

/// A divider at its own supply.
const FULL_SCALE: u32 = 32_768;

const FIRST: i32 = -2_000;
const STEP: i32 = 200;

/// Resistance at -20, -18, ... 110 degrees C of a thermistor of 10 kOhm at 25 degrees C, B25/85 = 3977 K, by the
/// Steinhart-Hart equation 1/T = A + B ln R + C (ln R)^3 with A = 1.12924e-3, B = 2.34108e-4, C = 0.87755e-7
/// (coefficients published by sensor makers for this curve; the tests check it against a published R-T table).
const OHMS: [u32; 66] = [
    96_998, 86_432, 77_133, 68_936, 61_699, 55_301, 49_635, 44_611, 40_150, 36_182, 32_650, 29_499, 26_687,
    24_172, 21_921, 19_903, 18_092, 16_465, 15_001, 13_682, 12_493, 11_420, 10_450, 9_572, 8_777, 8_056,
    7_402, 6_807, 6_266, 5_774, 5_325, 4_916, 4_542, 4_200, 3_887, 3_601, 3_339, 3_098, 2_877, 2_674, 2_487,
    2_315, 2_157, 2_011, 1_876, 1_752, 1_637, 1_530, 1_432, 1_341, 1_256, 1_178, 1_105, 1_037, 974, 916, 862,
    811, 764, 720, 678, 640, 604, 571, 539, 510,
];

/// The code of a thermistor's divider against that of its supply, as a code of full scale: the supply drops out.
/// `None` where there is no supply to speak of, or the divider is above it.
#[must_use]
pub fn ratio(divider: i16, supply: i16) -> Option<i16> {
    let (divider, supply) = (u32::try_from(divider).ok()?, u32::try_from(supply).ok()?);
    // A quarter of the range: 3.3 V read in a range of 4.096 V are four fifths.
    if supply < FULL_SCALE / 4 {
        return None;
    }
    i16::try_from(divider * FULL_SCALE / supply).ok()
}

/// The temperature for a code as [`ratio`] gives it, or `None` where the thermistor is open, shorted or outside -20 to
/// 110 degrees C, which on a water line is the same thing.
#[must_use]
pub fn celsius(code: i16) -> Option<CentiCelsius> {
    let code = u32::try_from(code).ok()?;
    let ohms = FIXED_OHMS * code / (FULL_SCALE - code);
    // The table falls: the first entry that is not greater ends the step which holds `ohms`.
    let high = OHMS.partition_point(|&r| r > ohms);
    let (&below, &above) = (OHMS.get(high.checked_sub(1)?)?, OHMS.get(high)?);
    let into = (below - ohms) as i32 * STEP / (below - above) as i32;
    i16::try_from(FIRST + (high as i32 - 1) * STEP + into).ok().map(CentiCelsius)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn code(ohms: f64) -> i16 {
        (32_768.0 * ohms / (ohms + 10_000.0)).round() as i16
    }

    /// R/R25 of a published "resistance-temperature curves" reference guide for the material with B25/85 = 3977 K
    /// and B0/50 = 3892 K. Its own stated deviation at these points is up to 1.9 %, about 0.6 degrees C.
    #[test]
    fn agrees_with_a_published_table() {
        let table = [
            (0, 3.264),
            (5, 2.539),
            (10, 1.990),
            (15, 1.571),
            (20, 1.249),
            (25, 1.0),
            (30, 0.8056),
            (35, 0.6530),
            (40, 0.5325),
            (45, 0.4367),
            (50, 0.3601),
            (55, 0.2985),
            (60, 0.2487),
            (65, 0.2082),
            (70, 0.1751),
            (75, 0.1480),
            (80, 0.1256),
            (85, 0.1070),
            (90, 0.09155),
            (95, 0.07864),
            (100, 0.06781),
        ];
        for (degrees, ratio) in table {
            let CentiCelsius(found) = celsius(code(ratio * 10_000.0)).unwrap();
            assert!((i32::from(found) - degrees * 100).abs() <= 6, "{degrees}: {found}");
        }
    }

    #[test]
    fn open_shorted_and_absurd_are_no_temperature() {
        for code in [i16::MIN, -1, 0, 50, 32_000, i16::MAX] {
            assert_eq!(celsius(code), None, "{code}");
        }
    }

    #[test]
    fn never_rises_with_resistance() {
        let readings: std::vec::Vec<_> = (0..=i16::MAX).filter_map(celsius).collect();
        assert!(readings.len() > 20_000);
        assert!(readings.is_sorted_by(|a, b| a >= b));
    }
}
