//! The waters of a sheet: which of its lines are one part of the programme.

use super::mistake::Mistake;
use super::paper::{Does, Line, Paper, Says, Step};
use crate::chart::Limits;

/// A part of the programme, with the lines that it is made of.
#[derive(Clone, Debug, PartialEq)]
pub struct Water {
    /// What the paper calls it; nothing where it has no heading.
    pub name: Option<String>,
    /// How often it comes.
    pub times: Limits<u32>,
    /// On which line it begins: its heading, or its first interval.
    pub line: usize,
    /// Its intervals, each with its line.
    pub steps: Vec<(usize, Step)>,
}

const ONCE: Limits<u32> = Limits { low: 1, high: 1 };

impl Water {
    fn begin(name: Option<String>, times: Limits<u32>, line: usize) -> Self {
        Self { name, times, line, steps: Vec::new() }
    }

    fn does(&self, does: &[Does]) -> bool {
        self.steps.iter().any(|(_, step)| does.contains(&step.does))
    }

    /// Whether it is drying, and no water.
    #[must_use]
    pub fn is_drying(&self) -> bool {
        self.does(&[Does::Dry, Does::HeatedDry])
    }

    /// Whether an interval that does this is of another part: a fill after a drain, drying, and what comes after drying.
    fn ends_before(&self, does: Does) -> bool {
        let dries = matches!(does, Does::Dry | Does::HeatedDry);
        match does {
            _ if self.steps.is_empty() => false,
            Does::Pause => false,
            _ if dries != self.is_drying() => true,
            Does::Fill => self.does(&[Does::Drain]),
            _ => false,
        }
    }

    /// Whether it, or what is washed in it, is called so.
    fn is_called(&self, name: &str) -> bool {
        let same = |own: &Option<String>| own.as_ref().is_some_and(|own| own.eq_ignore_ascii_case(name));
        let washes = |step: &Step| step.does.in_water() && (same(&step.name) || name == "wash");
        same(&self.name) || self.steps.iter().any(|(_, step)| washes(step))
    }
}

/// The parts of a sheet, in order.
///
/// # Errors
/// Every line that has no place in one.
pub fn waters(paper: &Paper) -> Result<Vec<Water>, Vec<Mistake>> {
    let mut all: Vec<Water> = Vec::new();
    let mut mistakes = Vec::new();
    for Line { number, says } in &paper.lines {
        match says {
            Says::Heading { name, times } => {
                mistakes.extend(all.last().and_then(empty));
                all.push(Water::begin(Some(name.clone()), *times, *number));
            }
            Says::Interval(step) => {
                if all.last().is_none_or(|water| water.ends_before(step.does)) {
                    all.push(Water::begin(None, ONCE, *number));
                }
                if let Some(water) = all.last_mut() {
                    water.steps.push((*number, step.clone()));
                }
            }
            Says::Again { name, may } => match all.iter().rev().find(|water| water.is_called(name)) {
                Some(like) => {
                    let times = Limits { low: u32::from(!may), high: 1 };
                    let steps = like.steps.iter().map(|(_, step)| (*number, step.clone())).collect();
                    all.push(Water { name: like.name.clone(), times, line: *number, steps });
                }
                None => mistakes.push(Mistake { line: *number, what: no_like(name, *may) }),
            },
        }
    }
    mistakes.extend(all.last().and_then(empty));
    if mistakes.is_empty() { Ok(all) } else { Err(mistakes) }
}

fn empty(water: &Water) -> Option<Mistake> {
    let name = water.name.as_deref().unwrap_or_default();
    let what = format!(
        "nothing stands below \"{name}:\"; write its fill, wash and drain there, or leave the heading out"
    );
    water.steps.is_empty().then_some(Mistake { line: water.line, what })
}

fn no_like(name: &str, may: bool) -> String {
    let may = if may { "may " } else { "" };
    format!(
        "\"{may}{name}\" has no time, and no water is in the tub here; write \"{may}{name}:\" as a heading above its fill, wash and drain, \
         or its minutes behind it"
    )
}
