//! Global alignment of two sequences: the cheapest way to pair what belongs together and to skip the rest.

/// Costs of an alignment of so many rows with so many columns.
pub(super) struct Costs<'a> {
    pub rows: usize,
    pub columns: usize,
    /// Of leaving a row without a counterpart.
    pub skip_row: &'a dyn Fn(usize) -> f64,
    /// Of leaving a column without one.
    pub skip_column: &'a dyn Fn(usize) -> f64,
    /// Of pairing a row with a column; infinite where that cannot be.
    pub pair: &'a dyn Fn(usize, usize) -> f64,
}

/// How two sequences lie beside each other.
#[derive(Debug, PartialEq)]
pub(super) struct Aligned {
    /// For each column, its row.
    pub rows: Vec<Option<usize>>,
    /// Of all of it.
    pub cost: f64,
}

impl Costs<'_> {
    /// The cheapest alignment (Needleman and Wunsch, Journal of Molecular Biology 48, 1970), with costs instead of scores. Of
    /// equals the latest is skipped: a rinse that only some have is skipped from its fill to its drain, and not from the
    /// drain before it.
    pub fn align(&self) -> Aligned {
        let cost = self.table();
        let mut rows = vec![None; self.columns];
        let (mut r, mut c) = (self.rows, self.columns);
        while r > 0 || c > 0 {
            let here = cost[r][c];
            if r > 0 && here >= cost[r - 1][c] + (self.skip_row)(r - 1) {
                r -= 1;
            } else if c > 0 && here >= cost[r][c - 1] + (self.skip_column)(c - 1) {
                c -= 1;
            } else {
                (r, c) = (r - 1, c - 1);
                rows[c] = Some(r);
            }
        }
        Aligned { rows, cost: cost[self.rows][self.columns] }
    }

    /// `table[r][c]`: the least cost of the first `r` rows and the first `c` columns.
    fn table(&self) -> Vec<Vec<f64>> {
        let mut cost = vec![vec![0.0; self.columns + 1]; self.rows + 1];
        for r in 0..self.rows {
            cost[r + 1][0] = cost[r][0] + (self.skip_row)(r);
        }
        for c in 0..self.columns {
            cost[0][c + 1] = cost[0][c] + (self.skip_column)(c);
        }
        for r in 0..self.rows {
            for c in 0..self.columns {
                let both = cost[r][c] + (self.pair)(r, c);
                let skipped =
                    (cost[r][c + 1] + (self.skip_row)(r)).min(cost[r + 1][c] + (self.skip_column)(c));
                cost[r + 1][c + 1] = both.min(skipped);
            }
        }
        cost
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Aligns letters; `equal`, `unequal` and `gap` are costs.
    fn letters(a: &str, b: &str, equal: f64, unequal: f64, gap: f64) -> (f64, String, String) {
        let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
        let aligned = Costs {
            rows: a.len(),
            columns: b.len(),
            skip_row: &|_| gap,
            skip_column: &|_| gap,
            pair: &|r, c| if a[r] == b[c] { equal } else { unequal },
        }
        .align();
        let (mut above, mut below, mut next) = (String::new(), String::new(), 0);
        for (c, row) in aligned.rows.iter().enumerate() {
            let until = row.unwrap_or(next);
            a[next..until].iter().for_each(|&x| (above.push(x), below.push('-')).0);
            above.push(row.map_or('-', |r| a[r]));
            below.push(b[c]);
            next = row.map_or(until, |r| r + 1);
        }
        a[next..].iter().for_each(|&x| (above.push(x), below.push('-')).0);
        (aligned.cost, above, below)
    }

    /// The worked example of the article "Needleman-Wunsch algorithm" of an open encyclopaedia: GCATGCG with GATTACA at +1 for a
    /// match, -1 for a mismatch and for a gap. The best score is 0, with three alignments that reach it.
    #[test]
    fn agrees_with_the_textbook() {
        let (cost, above, below) = letters("GCATGCG", "GATTACA", -1.0, 1.0, 1.0);
        assert_eq!(cost, 0.0);
        let best = [("GCATG-CG", "G-ATTACA"), ("GCA-TGCG", "G-ATTACA"), ("GCAT-GCG", "G-ATTACA")];
        assert!(best.contains(&(&above, &below)), "{above} {below}");
    }

    /// The edit distance of "kitten" and "sitting" is 3, of "sunday" and "saturday" the same (Wagner and Fischer, Journal of
    /// the ACM 21, 1974; the examples are those of any textbook).
    #[test]
    fn with_unit_costs_it_is_the_edit_distance() {
        assert_eq!(letters("kitten", "sitting", 0.0, 1.0, 1.0).0, 3.0);
        assert_eq!(letters("sunday", "saturday", 0.0, 1.0, 1.0).0, 3.0);
        assert_eq!(letters("", "abc", 0.0, 1.0, 1.0).0, 3.0);
    }
}
