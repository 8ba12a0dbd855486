//! What to measure first: what tells most about which suspect it is. Expected information of a measurement is the mutual information of its
//! outcome and the suspects (Lindley, On a measure of the information provided by an experiment, Annals of Mathematical Statistics 27,
//! 1956), in bits; a little is taken off for effort, so that of two that tell as much the easier comes first.

use super::causes::Causes;
use super::constants::{EFFORT, FALSE_SIGN};
use super::measurement::{Measurement, Showing};

/// Something to look at or measure, and what it may show.
#[derive(Clone, Debug)]
pub struct Step<'a> {
    /// What to do.
    pub measurement: &'a Measurement,
    /// What it may show, of what some suspect is a sign; the last is what it shows else.
    pub signs: Vec<Sign<'a>>,
    /// The expected information on which of the suspects it is, in bits.
    pub bits: f64,
}

/// Something that a measurement may show.
#[derive(Clone, Debug)]
pub struct Sign<'a> {
    /// What is seen.
    pub seen: &'a str,
    /// The probability that it is.
    pub probability: f64,
    /// Which suspect is then the likeliest, by its place among them, and how probable it is; none where that is something else.
    pub means: Option<(usize, f64)>,
}

/// A suspect, by its word, and how probable it is.
pub(crate) type Suspected<'a> = (&'a str, f64);

/// The measurement that tells most of the suspects, after another has shown nothing of what it may show.
pub(crate) fn best<'a>(suspects: &[Suspected], causes: &'a Causes, after: Option<&Step>) -> Option<Step<'a>> {
    let named: f64 = suspects.iter().map(|s| s.1).sum();
    let mut before: Vec<f64> = suspects.iter().map(|s| s.1).collect();
    before.push((1.0 - named).max(0.0));
    if let Some(after) = after {
        let nothing = after.measurement.shows.len();
        let shown = |(i, p): (usize, &f64)| p * shows(after.measurement, suspects.get(i))[nothing];
        before = normalised(before.iter().enumerate().map(shown).collect());
    }
    let other = |m: &&Measurement| after.is_none_or(|after| after.measurement.word != m.word);
    let steps = causes.measurements().iter().filter(other).map(|m| step(m, suspects, &before));
    let worth = |step: &Step| step.bits - EFFORT.get() * f64::from(step.measurement.effort);
    // None where all measurements that there are say nothing of these suspects.
    let telling = steps.filter(|step| step.signs.len() > 1);
    telling.max_by(|a, b| worth(a).total_cmp(&worth(b)))
}

/// A measurement, by these probabilities of the suspects and, last, of something else.
fn step<'a>(measurement: &'a Measurement, suspects: &[Suspected], before: &[f64]) -> Step<'a> {
    let shown: Vec<Vec<f64>> = (0..before.len()).map(|i| shows(measurement, suspects.get(i))).collect();
    let count = measurement.shows.len() + 1;
    let seen: Vec<f64> = (0..count).map(|o| before.iter().zip(&shown).map(|(p, s)| p * s[o]).sum()).collect();
    let after = |o: usize| normalised(before.iter().zip(&shown).map(|(p, s)| p * s[o]).collect());
    let bits = entropy(before) - (0..count).map(|o| seen[o] * entropy(&after(o))).sum::<f64>();
    let named = |o: usize| suspects.iter().any(|s| measurement.shows[o].of.contains_key(s.0));
    let signs =
        measurement.outcomes().enumerate().filter(|(o, _)| *o == count - 1 || named(*o)).map(|(o, text)| {
            let after = after(o);
            let likeliest = (0..suspects.len()).max_by(|a, b| after[*a].total_cmp(&after[*b]));
            let means = likeliest.filter(|i| after[*i] > after[suspects.len()]).map(|i| (i, after[i]));
            Sign { seen: text, probability: seen[o], means }
        });
    Step { measurement, signs: signs.collect(), bits }
}

/// The probabilities of what a measurement shows where this suspect is at fault, or something that nobody thought of.
fn shows(measurement: &Measurement, suspect: Option<&Suspected>) -> Vec<f64> {
    let of = |s: &Showing| suspect.and_then(|suspect| s.of.get(suspect.0).copied());
    let mut shown: Vec<f64> = measurement.shows.iter().map(|s| of(s).unwrap_or(FALSE_SIGN.get())).collect();
    // What is a sign of several suspects may be so for sure: nothing is left for the others then.
    let all: f64 = shown.iter().sum();
    let most = 1.0 - FALSE_SIGN.get();
    if all > most {
        shown.iter_mut().for_each(|p| *p *= most / all);
    }
    shown.push(1.0 - shown.iter().sum::<f64>());
    shown
}

fn normalised(weights: Vec<f64>) -> Vec<f64> {
    let all: f64 = weights.iter().sum();
    if all > 0.0 { weights.into_iter().map(|w| w / all).collect() } else { weights }
}

/// In bits.
fn entropy(probabilities: &[f64]) -> f64 {
    probabilities.iter().filter(|p| **p > 0.0).map(|p| -p * p.log2()).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A channel that turns one in ten around tells 1 - H(0.1) = 0.531 bits of two that are as likely (Cover and Thomas, Elements of
    /// Information Theory, 2nd ed., 7.1.4).
    #[test]
    fn agrees_with_the_binary_symmetric_channel() {
        let text = r#"
            [suspect]
            one = "one"
            two = "two"
            [[measurement]]
            word = "turned"
            effort = 1
            what = "Look."
            shows = [ { seen = "so", of = { one = 0.9, two = 0.1 } } ]
            otherwise = "not so"
            caution = "chart"
        "#;
        let causes = Causes::with(text, "two").unwrap();
        let turned = causes.measurements().iter().find(|m| m.word == "turned").unwrap();
        let suspects = [("one", 0.5), ("two", 0.5)];
        let step = step(turned, &suspects, &[0.5, 0.5, 0.0]);
        assert!((step.bits - 0.531).abs() < 5e-4, "{}", step.bits);
        assert_eq!(step.signs[0].means.map(|(i, _)| i), Some(0));
        assert_eq!(step.signs[1].means.map(|(i, p)| (i, (p * 100.0).round())), Some((1, 90.0)));
    }

    #[test]
    fn what_parts_the_suspects_comes_first_and_what_nobody_suspects_never() {
        let causes = Causes::built_in();
        let drain = [("triac-or-relay-drain", 0.5), ("drain-blocked", 0.4)];
        let first = best(&drain, causes, None).unwrap();
        assert_eq!(first.measurement.word, "start-a-drain");
        let then = best(&drain, causes, Some(&first)).unwrap();
        assert_ne!(then.measurement.word, "start-a-drain");
        assert!(first.signs.iter().all(|s| s.probability > 0.0));
        let sum: f64 = first.signs.iter().map(|s| s.probability).sum();
        assert!(sum <= 1.0 + 1e-9, "{sum}");
        assert!(best(&[], causes, None).is_none());
    }

    /// Common practice, no source.
    #[test]
    fn what_is_free_is_done_before_anything_is_opened() {
        let first = |suspects: &[Suspected]| {
            best(suspects, Causes::built_in(), None).unwrap().measurement.word.clone()
        };
        assert_eq!(first(&[("flow-low", 0.6), ("inlet-valve-weak", 0.3)]), "bucket");
        assert_eq!(first(&[("drain-relay-welded", 0.7), ("base-pan-wet", 0.25)]), "base-pan");
        assert_eq!(
            first(&[("drain-hose-loop", 0.38), ("light-soil", 0.35), ("soil-sensor", 0.09)]),
            "ask-load"
        );
    }
}
