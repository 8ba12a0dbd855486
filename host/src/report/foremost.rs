//! What stands before all else in the text: what the log comes to, and what to do first.

use super::subject::Verdict;
use super::wording::headline;

/// Departures that the first line names.
const NAMED: usize = 3;

/// What the log comes to, and what to do first; nothing where no cycle departs.
pub(super) fn foremost(verdict: Verdict) -> Option<[String; 2]> {
    let all = verdict.judged.iter().enumerate();
    let departing: Vec<_> = all.filter_map(|(i, judged)| Some((i + 1, judged.findings.first()?))).collect();
    let &(cycle, first) = departing.first()?;
    let named = departing.iter().take(NAMED).map(|(cycle, first)| format!("{cycle}: {}", headline(first)));
    let named: Vec<String> = named.collect();
    let more = match departing.len().saturating_sub(NAMED) {
        0 => String::new(),
        n => format!("; and {n} more"),
    };
    let (count, judged) = (departing.len(), verdict.judged.len());
    let (cycles, depart) =
        (if judged == 1 { "cycle" } else { "cycles" }, if count == 1 { "departs" } else { "depart" });
    let comes_to = format!("{count} of {judged} {cycles} {depart}. Cycle {}{more}.", named.join("; "));
    let caution = if first.advice.touches { ", minding its caution below" } else { "" };
    let next = format!("First, for cycle {cycle}{caution}: {}", first_sentence(&first.advice.next));
    Some([comes_to, next])
}

/// A text up to the first point that ends a sentence: one before a space and a capital.
fn first_sentence(text: &str) -> &str {
    let capital = |at: usize| text[at + 2..].starts_with(char::is_uppercase);
    let end = text.match_indices(". ").map(|(at, _)| at).find(|at| capital(*at));
    end.map_or(text, |at| &text[..=at])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sentence_ends_before_a_capital() {
        assert_eq!(first_sentence("Turn it off, e.g. by hand. Then wait."), "Turn it off, e.g. by hand.");
        assert_eq!(first_sentence("Measure 1.5 V"), "Measure 1.5 V");
        assert_eq!(first_sentence("\u{dc}ber 2. \u{dc}ber 3."), "\u{dc}ber 2.");
        assert_eq!(first_sentence(""), "");
    }
}
