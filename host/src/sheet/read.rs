//! Reads a sheet: all lines that can be read, and every mistake by its line.

use std::io::{self, Read};
use std::path::Path;

use super::line::{Content, line};
use super::mistake::{Mistake, Mistakes, SheetError};
use super::paper::{Does, Line, Paper, Plate, Says};

/// Bytes of a sheet at most.
const LARGEST: u64 = 1 << 20;

/// Reads the sheet at `path`; `-` is standard input.
///
/// # Errors
/// [`SheetError::Io`], or all mistakes of its lines.
pub fn read(path: &Path) -> Result<Paper, SheetError> {
    let name = called(path);
    let failed = |error| SheetError::Io { name: name.clone(), error };
    let mut bytes = Vec::new();
    if path == Path::new("-") {
        io::stdin().lock().take(LARGEST + 1).read_to_end(&mut bytes).map_err(failed)?;
    } else {
        std::fs::File::open(path)
            .map_err(failed)?
            .take(LARGEST + 1)
            .read_to_end(&mut bytes)
            .map_err(failed)?;
    }
    if bytes.len() as u64 > LARGEST {
        let what = "larger than 1 MiB, and a sheet has some dozen lines";
        return Err(failed(io::Error::new(io::ErrorKind::FileTooLarge, what)));
    }
    parse(&bytes).map_err(|all| SheetError::Wrong(Mistakes { name, all }))
}

/// What a sheet is called in messages.
#[must_use]
pub fn called(path: &Path) -> String {
    if path == Path::new("-") { "standard input".into() } else { path.display().to_string() }
}

/// Reads a sheet from the bytes of a text.
///
/// # Errors
/// All mistakes of its lines.
pub fn parse(text: &[u8]) -> Result<Paper, Vec<Mistake>> {
    let text = text.strip_prefix(b"\xef\xbb\xbf").unwrap_or(text);
    if text.starts_with(b"\xff\xfe") || text.starts_with(b"\xfe\xff") {
        return Err(vec![Mistake {
            line: 1,
            what: "is UTF-16; save the sheet as plain text in UTF-8".into(),
        }]);
    }
    let mut typed = Typed::default();
    let mut mistakes = Vec::new();
    for (i, line) in text.split(|b| *b == b'\n').enumerate() {
        mistakes.extend(typed.take(i + 1, line).err());
    }
    if mistakes.is_empty() { typed.paper().map_err(|mistake| vec![mistake]) } else { Err(mistakes) }
}

/// A sheet while it is read or typed.
#[derive(Debug, Default)]
pub struct Typed {
    paper: Paper,
}

impl Typed {
    /// Takes the next line, which has this number. A line with a mistake leaves the sheet as it was.
    ///
    /// # Errors
    /// What is wrong with the line.
    pub fn take(&mut self, number: usize, bytes: &[u8]) -> Result<(), Mistake> {
        let wrong = |what| Mistake { line: number, what };
        let text = std::str::from_utf8(bytes).map_err(|error| {
            let column = String::from_utf8_lossy(&bytes[..error.valid_up_to()]).chars().count() + 1;
            wrong(format!("is no UTF-8 text from character {column} on; save the sheet as UTF-8, or leave out what is there"))
        })?;
        match line(text).map_err(wrong)? {
            None => {}
            Some(Content::Name(name)) => once(&mut self.paper.name, name, "name").map_err(wrong)?,
            Some(Content::Volts(volts)) => once(&mut self.paper.volts, volts, "volts").map_err(wrong)?,
            Some(Content::Heater(rated)) => {
                once(&mut self.paper.heater, Plate { line: number, rated }, "heater's rating")
                    .map_err(wrong)?
            }
            Some(Content::Says(says)) => {
                self.paper.lines.push(Line { number, says: whole_water(says, self.is_dry()) })
            }
        }
        Ok(())
    }

    /// Takes back the last line that says something of the programme; `None` where there is none.
    pub fn undo(&mut self) -> Option<Line> {
        self.paper.lines.pop()
    }

    /// The sheet, as far as it was typed.
    ///
    /// # Errors
    /// Where no line says what the machine does.
    pub fn paper(&self) -> Result<Paper, Mistake> {
        if self.paper.lines.iter().any(|l| matches!(l.says, Says::Interval(_))) {
            return Ok(self.paper.clone());
        }
        let what = "no line says what the machine does; a sheet begins like this: fill 1:30".into();
        Err(Mistake { line: 1, what })
    }

    /// Whether the water of the lines so far has gone, or there was none.
    fn is_dry(&self) -> bool {
        let last = self.paper.lines.iter().rev().find_map(|line| match &line.says {
            Says::Heading { .. } | Says::Again { .. } => Some(true),
            Says::Interval(step) => match step.does {
                Does::Fill | Does::Wash | Does::Heat => Some(false),
                Does::Drain | Does::Dry | Does::HeatedDry => Some(true),
                Does::Pause => None,
            },
        });
        last.unwrap_or(true)
    }
}

/// A wash without a time in a tub without water is another whole water of its name.
fn whole_water(says: Says, dry: bool) -> Says {
    match says {
        Says::Interval(step)
            if dry && step.does == Does::Wash && step.time.is_none() && step.purges.high == 0 =>
        {
            Says::Again { name: step.name.unwrap_or_else(|| "wash".into()), may: step.may }
        }
        says => says,
    }
}

fn once<T>(place: &mut Option<T>, value: T, what: &str) -> Result<(), String> {
    match place.replace(value) {
        None => Ok(()),
        Some(first) => {
            *place = Some(first);
            Err(format!("the {what} stands further up already; leave one out"))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::to_text;
    use super::*;

    fn mistakes(text: &[u8]) -> Vec<(usize, String)> {
        parse(text).unwrap_err().into_iter().map(|m| (m.line, m.what)).collect()
    }

    #[test]
    fn every_mistake_is_told_by_its_line() {
        let all = mistakes(b"fill 1:30\nwsh 4\n\n# fine\ndrain 1:99\nvolts 120\nvolts 230\n");
        assert_eq!(all.iter().map(|m| m.0).collect::<Vec<_>>(), [2, 5, 7]);
        assert!(all[2].1.contains("further up already"), "{all:?}");
    }

    #[test]
    fn hostile_text_is_told_by_its_line() {
        for (text, line, told) in [
            (&b"fill 1\nwash\x00 4\n"[..], 2, "U+0000"),
            (b"fill 1\nwash 4 \xb0C\n", 2, "no UTF-8 text from character 8 on"),
            (b"\xff\xfef\x00i\x00", 1, "UTF-16"),
            (b"", 1, "no line says"),
            (b"# nothing\n\n", 1, "no line says"),
            (b"main wash:\n", 1, "no line says"),
            (b"fill 1\nwash 1e309\n", 2, "no number"),
        ] {
            let all = mistakes(text);
            assert!(all.len() == 1 && all[0].0 == line && all[0].1.contains(told), "{all:?}");
        }
        let long = [b"fill 1\n".to_vec(), vec![b'w'; 1 << 20], b"\ndrain 1".to_vec()].concat();
        assert_eq!(mistakes(&long)[0].0, 2);
        assert_eq!(mistakes(&b"wsh 4\n".repeat(100_000)).len(), 100_000);
    }

    #[test]
    fn other_ends_of_lines_and_a_mark_of_the_encoding_are_read() {
        let plain = parse(b"fill 1:30\nwash 4\ndrain 1\n").unwrap();
        for text in
            [&b"\xef\xbb\xbffill 1:30\r\nwash 4\r\ndrain 1\r\n"[..], b"\tfill\t1:30\n wash 4  \ndrain 1"]
        {
            assert_eq!(parse(text).unwrap(), plain);
        }
    }

    #[test]
    fn a_wash_without_a_time_in_an_empty_tub_is_another_water() {
        let text = "fill 1\nrinse 2\ndrain 1\nmay rinse\n";
        let paper = parse(text.as_bytes()).unwrap();
        assert_eq!(paper.lines[3].says, Says::Again { name: "rinse".into(), may: true });
        assert_eq!(to_text(&paper), text);
    }
}
