//! Which days are learned from, and which are checked.

use std::ops::Range;

/// One way of splitting a machine's days.
pub struct Split {
    /// The split in words, for the table.
    pub name: &'static str,
    /// For each round, days to learn from and days to check.
    pub rounds: Vec<(Vec<usize>, Vec<usize>)>,
}

/// Leaving one day out of many makes a chart for each: of more days than this it is done for so many, spread over all.
const LEFT_OUT: usize = 12;

/// All ways in which so many days are split.
pub fn splits(days: usize) -> Vec<Split> {
    let all: Range<usize> = 0..days;
    let part = |learns: &dyn Fn(usize) -> bool| all.clone().partition::<Vec<usize>, _>(|&d| learns(d));
    let one_way = |name, learns: &dyn Fn(usize) -> bool| Split { name, rounds: vec![part(learns)] };
    let left = days.min(LEFT_OUT);
    vec![
        one_way("even days to odd", &|d| d % 2 == 0),
        one_way("odd days to even", &|d| d % 2 == 1),
        one_way("first half to second", &|d| d < days / 2),
        one_way("second half to first", &|d| d >= days / 2),
        Split {
            name: "all days but one",
            rounds: (0..left).map(|i| i * days / left).map(|out| part(&|d| d != out)).collect(),
        },
    ]
}
