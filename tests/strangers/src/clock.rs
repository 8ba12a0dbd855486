//! Ticks, seconds and dates. One tick is a tenth of a second.

/// Ticks in a second.
pub const PER_SECOND: f64 = 10.0;

/// Ticks in a day.
pub const PER_DAY: usize = 864_000;

/// Seconds as a whole number of ticks, at least one.
pub fn ticks(seconds: f64) -> usize {
    ((seconds * PER_SECOND).round() as usize).max(1)
}

/// A calendar date from days since 1970-01-01 (the civil calendar, Hinnant's method).
pub fn date(days: i64) -> (i64, i64, i64) {
    let z = days + 719_468;
    let era = z.div_euclid(146_097);
    let doe = z.rem_euclid(146_097);
    let yoe = (doe - doe / 1460 + doe / 36_524 - doe / 146_096) / 365;
    let doy = doe - (365 * yoe + yoe / 4 - yoe / 100);
    let mp = (5 * doy + 2) / 153;
    let d = doy - (153 * mp + 2) / 5 + 1;
    let m = if mp < 10 { mp + 3 } else { mp - 9 };
    let y = yoe + era * 400 + i64::from(m <= 2);
    (y, m, d)
}

/// ISO time without zone for a moment counted in ticks from a day's midnight.
pub fn iso(day: i64, tick: usize) -> String {
    let over = (tick / PER_DAY) as i64;
    let (y, m, d) = date(day + over);
    let left = tick % PER_DAY;
    let (s, tenth) = (left / 10, left % 10);
    let text = format!("{y:04}-{m:02}-{d:02}T{:02}:{:02}:{:02}", s / 3600, s / 60 % 60, s % 60);
    if tenth == 0 { text } else { format!("{text}.{tenth}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn known_dates() {
        assert_eq!(iso(0, 0), "1970-01-01T00:00:00");
        assert_eq!(iso(11_016, 36_005), "2000-02-29T01:00:00.5");
        assert_eq!(iso(22_279, PER_DAY), "2031-01-01T00:00:00");
    }
}
