//! Dates and times of day as people and their spreadsheets write them: 15.05.2012, 5/15/2012, 15 May 2012; 21:30, 9:30:00 pm.

use jiff::civil::Date;

/// Which field of a date in numbers is what.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Order {
    DayMonthYear,
    MonthDayYear,
    YearMonthDay,
}

/// All orders; where nothing tells, the first that fits is taken. Common practice, no source.
const ORDERS: [Order; 3] = [Order::DayMonthYear, Order::MonthDayYear, Order::YearMonthDay];

const MONTHS: [&str; 12] =
    ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];

/// A time as it is written.
pub(super) struct Written<'a> {
    /// What stands before the time of day; nothing, where that is all.
    pub(super) date: &'a str,
    /// Seconds since midnight; of a time without a date also since a beginning that is more than a day ago.
    pub(super) seconds: f64,
    /// Whether it says that it is UTC.
    pub(super) utc: bool,
}

/// A date, if there is any, and a time of day behind it, whose fields are parted by colons.
pub(super) fn written(text: &str) -> Option<Written<'_>> {
    let colon = text.find(':')?;
    let space = text[..colon].char_indices().rfind(|(_, c)| c.is_whitespace());
    let (date, clock) = text.split_at(space.map_or(0, |(at, c)| at + c.len_utf8()));
    let date = date.trim().trim_end_matches(',');
    let end = clock.find(|c: char| !c.is_ascii_digit() && !":.,".contains(c)).unwrap_or(clock.len());
    let (clock, behind) = clock.split_at(end);
    let behind = behind.replace('.', "").to_ascii_lowercase();
    let (mut half, mut utc) = (None, false);
    for word in behind.split_whitespace() {
        match word {
            "am" if half.is_none() => half = Some(0),
            "pm" if half.is_none() => half = Some(12),
            "z" | "utc" | "gmt" => utc = true,
            _ => return None,
        }
    }
    let mut fields = clock.split(':');
    let whole = |text: &str| text.parse::<u32>().ok().filter(|_| text.len() <= 4);
    let hours = whole(fields.next()?)?;
    let minutes = whole(fields.next()?).filter(|m| *m < 60)?;
    let seconds = fields.next().map_or(Some(0.0), |s| s.replace(',', ".").parse::<f64>().ok())?;
    let hours = match half {
        Some(noon) if (1..=12).contains(&hours) => hours % 12 + noon,
        None if hours < 24 || (date.is_empty() && clock.split(':').count() == 3) => hours,
        _ => return None,
    };
    let fits = fields.next().is_none() && (0.0..60.0).contains(&seconds);
    fits.then(|| Written { date, seconds: f64::from(hours * 3_600 + minutes * 60) + seconds, utc })
}

/// The day that is written so: year first where it has four digits, a month by its English name, or else in this order.
pub(super) fn day(text: &str, order: Order) -> Option<Date> {
    let mut fields = text.split(['/', '.', '-', ' ', ',']).filter(|field| !field.is_empty());
    let mut next = || fields.next();
    let mut first = next()?;
    // The name of a day says nothing beyond its date.
    if first.starts_with(|c: char| c.is_alphabetic()) && month(first).is_none() {
        first = next()?;
    }
    let (second, third) = (next()?, next()?);
    if next().is_some() {
        return None;
    }
    let (year, month, day) = match (month(first), month(second)) {
        (Some(month), _) => (third, month, second),
        (_, Some(month)) if first.len() == 4 => (first, month, third),
        (_, Some(month)) => (third, month, first),
        _ if first.len() == 4 => (first, number(second)?, third),
        _ => match order {
            Order::DayMonthYear => (third, number(second)?, first),
            Order::MonthDayYear => (third, number(first)?, second),
            Order::YearMonthDay if third.len() == 4 => return None,
            Order::YearMonthDay => (first, number(second)?, third),
        },
    };
    let century = match year.len() {
        2 => 2_000,
        4 => 0,
        _ => return None,
    };
    let year = year.parse::<i16>().ok().filter(|_| year.bytes().all(|b| b.is_ascii_digit()))?;
    Date::new(year + century, month, number(day)?).ok()
}

/// A day or a month.
fn number(text: &str) -> Option<i8> {
    text.parse().ok().filter(|_| text.len() <= 2 && text.bytes().all(|b| b.is_ascii_digit()))
}

fn month(name: &str) -> Option<i8> {
    let begins = name.get(..3)?.to_ascii_lowercase();
    (1..).zip(MONTHS).find(|(_, month)| *month == begins).map(|(number, _)| number)
}

/// What all times of a file say of how they are written.
#[derive(Default)]
pub(super) struct Evidence {
    before: String,
    /// The first date that is not the same in each order, with its line.
    first: Option<(String, usize)>,
    days: [Option<Date>; 3],
    /// Of each order: the dates that are none in it, and the days that its dates move by from one to the next.
    against: [(usize, i64); 3],
    last: Option<(String, f64)>,
    rising: usize,
    falling: usize,
}

impl Evidence {
    /// Looks at a time, and a day that stands apart from it, in `line`.
    pub(super) fn look(&mut self, text: &str, day: Option<&str>, line: usize) {
        let by_iso = text.as_bytes().get(4) == Some(&b'-');
        let Some(told) = written(text).filter(|_| !by_iso) else {
            // Times by ISO 8601 sort as their letters do; in seconds they are compared when they are read.
            if by_iso {
                self.moves_on(text, 0.0);
            }
            return;
        };
        // Within a day, for the order of the days is still to be told.
        self.moves_on("", told.seconds);
        let date = if told.date.is_empty() { day.unwrap_or_default() } else { told.date };
        if date.is_empty() || date == self.before {
            return;
        }
        date.clone_into(&mut self.before);
        let days = ORDERS.map(|order| self::day(date, order));
        if self.first.is_none() && days[0] != days[1] {
            self.first = Some((date.to_owned(), line));
        }
        for ((against, before), day) in self.against.iter_mut().zip(&mut self.days).zip(days) {
            match (day, *before) {
                (None, _) => against.0 += 1,
                (Some(day), Some(before)) => against.1 += i64::from((day - before).get_days().abs()),
                (Some(_), None) => {}
            }
            *before = day.or(*before);
        }
    }

    fn moves_on(&mut self, text: &str, seconds: f64) {
        if let Some((before, at)) = &self.last {
            match text.cmp(before).then(seconds.total_cmp(at)) {
                std::cmp::Ordering::Greater => self.rising += 1,
                std::cmp::Ordering::Less => self.falling += 1,
                std::cmp::Ordering::Equal => {}
            }
        }
        let (before, at) = self.last.get_or_insert_default();
        text.clone_into(before);
        *at = seconds;
    }

    /// Whether the newest time stands first.
    pub(super) const fn is_newest_first(&self) -> bool {
        self.falling > self.rising
    }

    /// The order that makes dates of the most, and has them follow each other most closely.
    pub(super) fn order(&self) -> Order {
        let best = (0..ORDERS.len()).min_by_key(|&at| self.against[at]).unwrap_or_default();
        ORDERS[best]
    }

    /// Where nothing in the file tells the day from the month: the first date, with its line. That points part them day first is common practice,
    /// no source.
    pub(super) fn is_open(&self) -> Option<(&str, usize)> {
        let (date, line) = self.first.as_ref()?;
        (self.against[0] == self.against[1] && !date.contains('.')).then_some((date, *line))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_of_day_by_either_clock() {
        let seconds = |text| written(text).map(|w| w.seconds);
        // NIST, "Times of day FAQs": 12 am is midnight where it is used at all, 12 pm noon.
        for (text, hours) in [
            ("12:00:00 AM", 0.0),
            ("12:30 pm", 12.5),
            ("9:30:00 p.m.", 21.5),
            ("06/03/2026 09:30:00\u{202f}PM", 21.5),
            ("21:30", 21.5),
            ("25:30:00", 25.5),
        ] {
            assert_eq!(seconds(text), Some(hours * 3_600.0), "{text}");
        }
        assert_eq!(seconds("1:02:03,5"), Some(3_723.5));
        for text in ["13:00 PM", "0:30 am", "21:61", "21:30:60", "24:00", "06/03/2026 24:00:00", "x 1:2 q"] {
            assert_eq!(seconds(text), None, "{text}");
        }
    }

    #[test]
    fn days_in_numbers_and_names() {
        let told = Date::constant(2012, 5, 15);
        for text in ["15.05.2012", "15/5/12", "15 May 2012", "May 15, 2012", "Tue 15-May-12", "2012/05/15"] {
            assert_eq!(day(text, Order::DayMonthYear), Some(told), "{text}");
        }
        assert_eq!(day("05/15/2012", Order::MonthDayYear), Some(told));
        assert_eq!(day("12-05-15", Order::YearMonthDay), Some(told));
        for text in ["31.02.2012", "15.05", "15.05.2012.1", "15.05.012", "+1.05.2012", "a.b.c"] {
            assert_eq!(day(text, Order::DayMonthYear), None, "{text}");
        }
    }

    #[test]
    fn the_whole_file_tells_the_order() {
        let of = |dates: &[&str]| {
            let mut evidence = Evidence::default();
            dates.iter().for_each(|date| evidence.look(&format!("{date} 20:00"), None, 2));
            (evidence.order(), evidence.is_open().is_some())
        };
        assert_eq!(of(&["06/03/2026", "13/03/2026"]), (Order::DayMonthYear, false));
        assert_eq!(of(&["03/06/2026", "03/13/2026"]), (Order::MonthDayYear, false));
        // Nothing above 12, but nights that follow each other.
        assert_eq!(of(&["06/03/2026", "07/03/2026"]), (Order::DayMonthYear, false));
        assert_eq!(of(&["03/06/2026", "03/07/2026"]), (Order::MonthDayYear, false));
        assert_eq!(of(&["26-03-06", "26-03-07"]), (Order::YearMonthDay, false));
        assert_eq!(of(&["06/03/2026"]), (Order::DayMonthYear, true));
        assert_eq!(of(&["06.03.2026"]), (Order::DayMonthYear, false));
        assert_eq!(of(&["05/05/2026"]), (Order::DayMonthYear, false));
    }
}
