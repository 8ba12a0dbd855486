//! Asks for a sheet line by line.

use std::io::{BufRead, Write};
use std::path::Path;

use super::outcome::Failure;
use crate::sheet::{Mistake, Mistakes, Paper, SheetError, Typed, called, chart, written};
use crate::text::plain;

const BEGIN: &str = "\
The sheet, a line for each interval: fill 1:30, wash 4 + heat to 55 C, drain 1, dry 20 + heat.
A heading has a colon, as in \"rinse: 1-2 times\". \"undo\" takes a line back, an empty line ends.";

/// Asks until an empty line ends a sheet that has no mistake. Each line is read as it is typed.
pub(super) fn ask(answers: &mut impl BufRead, to: &mut impl Write) -> Result<Paper, Failure> {
    let mut typed = Typed::default();
    let mut number = 1;
    let mut tell = |text: &str| {
        let _ = write!(to, "{}", plain(text)).and_then(|()| to.flush());
    };
    tell(&format!("{BEGIN}\n"));
    loop {
        tell(&format!("{number:>3}> "));
        let mut line = Vec::new();
        let read = answers.read_until(b'\n', &mut line);
        let ended = read.map_err(|error| SheetError::Io { name: called(Path::new("-")), error })? == 0;
        if ended || line.trim_ascii().is_empty() {
            match whole(&typed) {
                Ok(paper) => return Ok(paper),
                Err(all) if ended => {
                    tell("\n");
                    return Err(SheetError::Wrong(Mistakes { name: called(Path::new("-")), all }).into());
                }
                Err(all) => all.iter().for_each(|mistake| tell(&told(mistake))),
            }
        } else if line.trim_ascii().eq_ignore_ascii_case(b"undo") {
            tell(&match typed.undo() {
                Some(line) => format!("     \"{}\" is taken back\n", written(&line.says)),
                None => "     there is no line to take back\n".into(),
            });
        } else {
            match typed.take(number, &line) {
                Ok(()) => number += 1,
                Err(mistake) => tell(&told(&mistake)),
            }
        }
    }
}

/// The sheet, if a chart can be made of it.
fn whole(typed: &Typed) -> Result<Paper, Vec<Mistake>> {
    let paper = typed.paper().map_err(|mistake| vec![mistake])?;
    chart(&paper).map(|_| paper)
}

fn told(mistake: &Mistake) -> String {
    format!("     line {}: {}\n", mistake.line, mistake.what)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::to_text;

    fn answered(lines: &str) -> (Result<Paper, Failure>, String) {
        let mut told = Vec::new();
        let paper = ask(&mut lines.as_bytes(), &mut told);
        (paper, String::from_utf8(told).unwrap())
    }

    #[test]
    fn a_mistake_is_told_at_once_and_the_line_asked_again() {
        let (paper, told) = answered("fill 1:30\nwsh 4\nwash 4\ndrain 1\ndrain 2\nundo\n\n");
        assert_eq!(to_text(&paper.unwrap()), "fill 1:30\nwash 4\ndrain 1\n");
        assert!(told.contains("line 2: \"wsh\" is not understood; is \"wash\" meant?"), "{told}");
        assert!(told.contains("\"drain 2\" is taken back"), "{told}");
    }

    #[test]
    fn what_no_chart_can_be_made_of_is_asked_on() {
        let (paper, told) = answered("\nfill 1\nheater 800 W\n\nvolts 120\n");
        assert!(told.contains("no line says") && told.contains("volts 120"), "{told}");
        assert!(paper.is_ok());
        assert!(answered("fill 1\nheater 800 W\n").0.unwrap_err().to_string().contains("standard input:"));
        assert!(answered("").0.is_err());
    }
}
