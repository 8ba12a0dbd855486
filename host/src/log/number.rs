//! Numbers as people's meters and spreadsheets write them: a point or a comma before the decimals, the other, a space or an apostrophe
//! between thousands.

use std::borrow::Cow;

/// What stands before the decimals.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Decimal {
    Point,
    Comma,
}

/// What the numbers of a column, or of a file, say of their decimals: the first line that has each.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Seen {
    point: Option<usize>,
    comma: Option<usize>,
    /// A comma with three digits behind it, which may be either.
    either: Option<usize>,
}

impl Seen {
    /// Looks at what stands in `line`.
    pub(super) fn look(&mut self, text: &str, line: usize) {
        let text = without_unit(text).0;
        if !text.contains([',', '.']) || text.contains(|c: char| !c.is_ascii_digit() && !SIGNS.contains(&c)) {
            return;
        }
        let seen = match (text.rfind(','), text.rfind('.')) {
            (Some(comma), Some(point)) if comma > point => &mut self.comma,
            (Some(_), Some(_)) => &mut self.point,
            (Some(at), None) => match alone(text, at) {
                Alone::Decimals => &mut self.comma,
                Alone::Thousands => &mut self.point,
                Alone::Either => &mut self.either,
            },
            (None, Some(at)) => match alone(text, at) {
                Alone::Decimals => &mut self.point,
                Alone::Thousands => &mut self.comma,
                // A point is one of decimals unless the file has commas for them.
                Alone::Either => return,
            },
            (None, None) => return,
        };
        seen.get_or_insert(line);
    }

    /// What the numbers of both say together; of either kind the first that was seen.
    pub(super) fn and(self, other: Self) -> Self {
        Self {
            point: self.point.or(other.point),
            comma: self.comma.or(other.comma),
            either: self.either.or(other.either),
        }
    }

    /// What stands before the decimals of a column, in a file of which all columns together say `file`.
    ///
    /// # Errors
    /// A sentence, where it cannot be told.
    pub(super) fn decimal(self, file: Self) -> Result<Decimal, String> {
        let told = if self.point.is_some() || self.comma.is_some() { self } else { file };
        match (told.point, told.comma, self.either) {
            (Some(point), Some(comma), _) => Err(format!(
                "line {point} has a decimal point and line {comma} a decimal comma; write all numbers of the file in one way"
            )),
            (_, Some(_), _) => Ok(Decimal::Comma),
            (None, None, Some(line)) => Err(format!(
                "line {line}: nothing in the file tells whether the comma is before decimals or between thousands; write numbers with a decimal point and nothing between thousands"
            )),
            _ => Ok(Decimal::Point),
        }
    }
}

const SIGNS: [char; 9] = [',', '.', '-', '+', ' ', '\'', '\u{a0}', '\u{2009}', '\u{202f}'];

enum Alone {
    Decimals,
    Thousands,
    Either,
}

/// What a sign at `at` is for that is the only kind of its sort in a number.
fn alone(text: &str, at: usize) -> Alone {
    let sign = &text[at..=at];
    if text.matches(sign).count() > 1 {
        return Alone::Thousands;
    }
    let whole = text[..at].trim_start_matches(['-', '+']);
    let thousands = text.len() - at == 4 && (1..=3).contains(&whole.len()) && !whole.starts_with('0');
    if thousands { Alone::Either } else { Alone::Decimals }
}

/// Units that stand behind a number, and what one is.
const UNITS: [(&str, f64); 4] = [("kW", 1_000.0), ("W", 1.0), ("mA", 0.001), ("A", 1.0)];

/// The text of a number without a unit behind it, and what one of that unit is.
pub(super) fn without_unit(text: &str) -> (&str, f64) {
    let unit = UNITS.iter().find_map(|(unit, is)| text.strip_suffix(unit).map(|text| (text.trim_end(), *is)));
    unit.unwrap_or((text, 1.0))
}

/// The number, if it is one and not without end.
pub(super) fn number(text: &str, decimal: Decimal) -> Option<f64> {
    let plain = match decimal {
        Decimal::Point if text.parse::<f64>().is_ok() => Cow::Borrowed(text),
        Decimal::Point => Cow::Owned(plain(text, '.', ',')?),
        Decimal::Comma => Cow::Owned(plain(text, ',', '.')?),
    };
    plain.parse().ok().filter(|v: &f64| v.is_finite())
}

/// With a point before the decimals, and nothing between thousands, which stand in threes.
fn plain(text: &str, decimal: char, between: char) -> Option<String> {
    let (whole, decimals) = text.split_once(decimal).map_or((text, None), |(w, d)| (w, Some(d)));
    let groups: Vec<&str> = whole.split(|c| c == between || SIGNS[4..].contains(&c)).collect();
    let unsigned = groups[0].trim_start_matches(['-', '+']);
    let threes = groups[1..].iter().all(|g| g.len() == 3 && g.bytes().all(|b| b.is_ascii_digit()));
    if groups.len() > 1 && !(threes && (1..=3).contains(&unsigned.len())) {
        return None;
    }
    Some(groups.concat() + &decimals.map_or_else(String::new, |d| format!(".{d}")))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(texts: &[&str]) -> Result<Vec<Option<f64>>, String> {
        let mut seen = Seen::default();
        texts.iter().enumerate().for_each(|(i, t)| seen.look(t, i + 1));
        let decimal = seen.decimal(seen)?;
        Ok(texts.iter().map(|t| number(t, decimal)).collect())
    }

    #[test]
    fn thousands_and_decimals_are_told_apart_by_the_column() {
        for (texts, numbers) in [
            (["2,113.0", "1,050", "12.5"], [2_113.0, 1_050.0, 12.5]),
            (["2.113,0", "1.050", "12,5"], [2_113.0, 1_050.0, 12.5]),
            (["1,234,567", "2,113", "5"], [1_234_567.0, 2_113.0, 5.0]),
            (["2 113,0", "0,012", "-1,5"], [2_113.0, 0.012, -1.5]),
            (["2'113.5", "1.050", "1e3"], [2_113.5, 1.05, 1_000.0]),
        ] {
            assert_eq!(read(&texts).unwrap(), numbers.map(Some), "{texts:?}");
        }
        assert!(read(&["2,113", "5"]).unwrap_err().contains("line 1: nothing in the file tells"));
        assert!(read(&["2,5", "1.5"]).unwrap_err().contains("line 2 has a decimal point and line 1"));
        assert_eq!(read(&["12,34.5", "1.5"]).unwrap(), [None, Some(1.5)], "not in threes");
    }
}
