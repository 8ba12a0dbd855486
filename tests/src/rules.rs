//! What each pass makes of what the model gives: how much time it changes, how often that was right before it and after, and what was stated.

use std::collections::BTreeMap;

use tubtrace::loads::{Draws, ScaledTrace, Span, State, infer_watched};
use tubtrace::trace::Trace;
use tubtrace_units::Loads;

use crate::coverage::MAIN;

/// A certainty that moves by less than this is the same.
const MOVES: f64 = 0.005;

/// A second of which it is known what ran.
pub struct Known {
    /// Its middle, in seconds from the first reading.
    pub at: f64,
    /// The loads that ran.
    pub loads: Loads,
}

/// What was counted, each in the order of the passes.
#[derive(Clone, Debug, Default)]
pub struct Rules(BTreeMap<Rule, Moved>);

/// The place of a pass, its name, and what it does: it makes one state of another, or states one for more or less sure.
type Rule = (usize, &'static str, String);

/// Sums over what one rule changed.
#[derive(Clone, Copy, Debug, Default)]
struct Moved {
    /// Spans that it changed, and those that were right before it and after for more than half of their time.
    spans: u64,
    spans_right: [u64; 2],
    before: Stated,
    after: Stated,
    /// Of what no later pass changed, as it is stated in the end.
    last: Stated,
}

impl Moved {
    fn add(&mut self, other: &Self) {
        self.spans += other.spans;
        self.spans_right.iter_mut().zip(other.spans_right).for_each(|(own, other)| *own += other);
        self.before.add(&other.before);
        self.after.add(&other.after);
        self.last.add(&other.last);
    }
}

/// Seconds, those of them with the right main loads, and the sum of what is stated.
#[derive(Clone, Copy, Debug, Default)]
struct Stated {
    seconds: f64,
    right: f64,
    stated: f64,
}

impl Stated {
    fn count(&mut self, found: &Span, really: Loads) {
        let main = |loads: Loads| MAIN.map(|load| loads.has(load));
        self.seconds += 1.0;
        self.right += f64::from(u8::from(main(found.loads()) == main(really)));
        self.stated += found.certainty();
    }

    fn add(&mut self, other: &Self) {
        self.seconds += other.seconds;
        self.right += other.right;
        self.stated += other.stated;
    }

    fn part(&self, of: f64) -> f64 {
        of / self.seconds.max(1.0)
    }
}

impl Rules {
    /// Of one trace, whose seconds are known in order of time.
    #[must_use]
    pub fn of(trace: &Trace, draws: &Draws, known: &[Known]) -> Self {
        let mut rules = Self::default();
        let mut last: Vec<Option<Rule>> = vec![None; known.len()];
        let (mut place, mut before): (usize, Vec<Option<Span>>) = (0, Vec::new());
        let _ = infer_watched(&ScaledTrace::of(trace), draws, |pass, spans| {
            let after = at(spans, known);
            let mut changed: BTreeMap<(Rule, u64), Moved> = BTreeMap::new();
            for (n, (was, is)) in before.iter().zip(&after).enumerate() {
                let (Some(was), Some(is)) = (was, is) else { continue };
                let Some(what) = change(was, is) else { continue };
                let rule = (place, pass, what);
                let moved = changed.entry((rule.clone(), is.start.0.to_bits())).or_default();
                moved.before.count(was, known[n].loads);
                moved.after.count(is, known[n].loads);
                last[n] = Some(rule);
            }
            for ((rule, _), moved) in changed {
                let right = |of: Stated| u64::from(2.0 * of.right > of.seconds);
                let spans_right = [right(moved.before), right(moved.after)];
                rules.0.entry(rule).or_default().add(&Moved { spans: 1, spans_right, ..moved });
            }
            (place, before) = (place + 1, after);
        });
        for (rule, (is, known)) in last.into_iter().zip(before.iter().zip(known)) {
            let rule = rule.unwrap_or_else(|| (0, "model", "all else".to_owned()));
            if let Some(is) = is {
                rules.0.entry(rule).or_default().last.count(is, known.loads);
            }
        }
        rules
    }

    /// Adds the sums of other traces.
    pub fn add(&mut self, other: &Self) {
        for (rule, moved) in &other.0 {
            self.0.entry(rule.clone()).or_default().add(moved);
        }
    }

    /// A table in Markdown.
    #[must_use]
    pub fn table(&self) -> String {
        let mut text = String::from(
            "| pass | makes | spans | right before | right after | seconds | right before | stated | right after | stated | last to change, s | right | stated |\n\
             |---|---|---|---|---|---|---|---|---|---|---|---|---|\n",
        );
        for ((_, pass, what), Moved { spans, spans_right: [were, are], before, after, last }) in &self.0 {
            let of = |s: &Stated| format!("{:.3} | {:.3}", s.part(s.right), s.part(s.stated));
            text.push_str(&format!(
                "| {pass} | {what} | {spans} | {were} | {are} | {:.0} | {} | {} | {:.0} | {} |\n",
                after.seconds,
                of(before),
                of(after),
                last.seconds,
                of(last)
            ));
        }
        text
    }
}

/// The span in each of these seconds; none, where nothing is known.
fn at(spans: &[Span], known: &[Known]) -> Vec<Option<Span>> {
    let of = |second: &Known| {
        let span = spans.get(spans.partition_point(|s| s.end.0 <= second.at));
        span.copied().filter(|s| s.start.0 <= second.at)
    };
    known.iter().map(of).collect()
}

/// What was done to a span, if anything was.
fn change(was: &Span, is: &Span) -> Option<String> {
    let told = |state: State, beside: Option<_>| match beside {
        Some(load) => format!("{state:?} beside {load}"),
        None => format!("{state:?}"),
    };
    let (from, to) = (told(was.state, was.overlay), told(is.state, is.overlay));
    match (is.certainty() - was.certainty()) / MOVES {
        _ if from != to => Some(format!("{from} to {to}")),
        more if more > 1.0 => Some(format!("{from} surer")),
        more if more < -1.0 => Some(format!("{from} less sure")),
        _ => None,
    }
}
