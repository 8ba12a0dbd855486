//! Which days are learned from, and which are checked.

/// One way of splitting a machine's days.
pub struct Split {
    /// The split in words, for the table.
    pub name: &'static str,
    /// For each round, days to learn from and days to check.
    pub rounds: Vec<(Vec<usize>, Vec<usize>)>,
}

/// Leaving one day out of many makes a chart for each: of more days than this it is done for so many, spread over all.
const LEFT_OUT: usize = 12;

/// Every second of so many days learned from, the first among them or not, and the others checked.
#[must_use]
pub fn every_second(days: usize) -> [Split; 2] {
    let part = |rest| (0..days).partition(|d| d % 2 == rest);
    [("even days to odd", 0), ("odd days to even", 1)]
        .map(|(name, rest)| Split { name, rounds: vec![part(rest)] })
}

/// All ways in which so many days are split.
#[must_use]
pub fn splits(days: usize) -> Vec<Split> {
    let part = |learns: &dyn Fn(usize) -> bool| (0..days).partition::<Vec<usize>, _>(|&d| learns(d));
    let one_way = |name, learns: &dyn Fn(usize) -> bool| Split { name, rounds: vec![part(learns)] };
    let left = days.min(LEFT_OUT);
    let [even, odd] = every_second(days);
    vec![
        even,
        odd,
        one_way("first half to second", &|d| d < days / 2),
        one_way("second half to first", &|d| d >= days / 2),
        Split {
            name: "all days but one",
            rounds: (0..left).map(|i| i * days / left).map(|out| part(&|d| d != out)).collect(),
        },
    ]
}
