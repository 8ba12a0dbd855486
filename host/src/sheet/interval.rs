//! A line that is an interval: what is on, for how long, and until how warm.

use tubtrace_units::{Celsius, Seconds};

use super::paper::{Does, Says, Step, Time};
use super::quantity::{Quantity, quantity};
use super::tokens::{Token, short};
use super::words::{Act, Means, joined, meaning, meant, spaced};
use crate::chart::Limits;
use crate::chart::numbers::MOST_PURGES;

/// What a line can say, for those who wrote another.
const FORMS: &str = "a line is what is on and how long: fill 1:30, wash 4 + heat to 55 C, drain 1, dry 20 + heat, pause 2; notes stand behind #";

const NO_PURGES: Limits<u32> = Limits { low: 0, high: 0 };

/// What was found in a line so far.
#[derive(Default)]
struct Found {
    acts: Vec<Act>,
    name: Option<String>,
    may: bool,
    time: Option<Time>,
    until: Option<Celsius>,
    purges: Option<Limits<u32>>,
}

/// The interval that these pieces of a line say; `aside` is its name in parentheses.
pub(super) fn interval(tokens: &[Token], aside: Option<String>) -> Result<Says, String> {
    let mut tokens = pairs_joined(tokens);
    let mut found = Found::default();
    // "wash 2 if dirty": what the condition is, is a note.
    if let Some(at) = tokens.iter().position(|token| matches!(token, Token::Word(w) if is_if(w))) {
        tokens.truncate(at);
        found.may = true;
    }
    let is = |token: &Token, means| matches!(token, Token::Word(w) if meaning(w) == Some(means));
    for part in tokens.split(|token| is(token, Means::And)) {
        if part.iter().any(|token| is(token, Means::Purge)) {
            found.purged(part)?;
        } else {
            found.read(part)?;
        }
    }
    match aside {
        Some(aside) if meaning(&aside) == Some(Means::May) => found.may = true,
        Some(aside) if aside.split(' ').next().is_some_and(is_if) => found.may = true,
        Some(aside) => found.name = Some(aside),
        None => {}
    }
    found.says()
}

fn is_if(word: &str) -> bool {
    word.eq_ignore_ascii_case("if")
}

/// Two words that are one are one.
fn pairs_joined(tokens: &[Token]) -> Vec<Token> {
    let mut all: Vec<Token> = Vec::new();
    for token in tokens {
        if let (Token::Word(second), Some(Token::Word(first))) = (token, all.last())
            && let Some(one) = joined(first, second)
        {
            all.pop();
            all.push(Token::Word(one.into()));
        } else {
            all.push(token.clone());
        }
    }
    all
}

impl Found {
    /// Reads what stands between two "+".
    fn read(&mut self, part: &[Token]) -> Result<(), String> {
        let (mut at, mut most) = (0, false);
        let mut leading: Vec<&str> = Vec::new();
        while let Some(token) = part.get(at) {
            let Token::Word(word) = token else {
                let (quantity, end) = quantity(part, at)?;
                self.take(quantity, most, part, at)?;
                (at, most) = (end, false);
                continue;
            };
            at += 1;
            match meaning(word) {
                // What stands before a word that says what is on is its name: "detergent wash".
                Some(Means::Act(Act::Beside, _)) => {
                    self.acts.push(Act::Beside);
                    leading.push(word);
                }
                Some(Means::Act(act, names)) => {
                    if names || !leading.is_empty() {
                        leading.push(word);
                        self.name.get_or_insert(spaced(&leading.join(" ")));
                    }
                    leading.clear();
                    self.acts.push(act);
                }
                Some(Means::May) => self.may = true,
                Some(Means::Most) => most = true,
                Some(Means::To) if leading.is_empty() => {}
                Some(Means::Filler) => {}
                None if self.acts.iter().all(|a| *a == Act::Beside)
                    && word.chars().all(|c| c.is_alphabetic() || c == '-') =>
                {
                    leading.push(word);
                }
                _ => return Err(not_understood(word)),
            }
        }
        let mut leading = leading.into_iter().filter(|word| meaning(word).is_none()).peekable();
        match leading.peek().copied() {
            Some(word) => Err(not_understood(leading.find(|w| meant(w).is_some()).unwrap_or(word))),
            None => Ok(()),
        }
    }

    fn take(&mut self, quantity: Quantity, most: bool, part: &[Token], at: usize) -> Result<(), String> {
        match quantity {
            Quantity::Warm(warm) => {
                if self.until.replace(warm).is_some() {
                    return Err("two temperatures; one line is one interval".into());
                }
            }
            Quantity::Time(time) => {
                let heats = self.acts.last() == Some(&Act::Heat);
                let to = matches!(at.checked_sub(1).map(|i| &part[i]), Some(Token::Word(w)) if meaning(w) == Some(Means::To));
                if let (true, true, Token::Number(_, written)) = (heats, to, &part[at]) {
                    return Err(format!("heat to {written} of what? Write {written} C, or {written} F"));
                }
                let time = match time {
                    Time::About(high) if most => Time::Between(Limits { low: Seconds(0.0), high }),
                    time => time,
                };
                if self.time.replace(time).is_some() {
                    return Err("two times; one line is one interval, and a range is written 8-12".into());
                }
            }
        }
        Ok(())
    }

    /// Reads how often purges come: "1-3 purges", "may purge", "purge".
    fn purged(&mut self, part: &[Token]) -> Result<(), String> {
        let mut numbers = Vec::new();
        let mut may = false;
        for token in part {
            match token {
                Token::Number(number, _) if number.fract() == 0.0 && *number <= f64::from(MOST_PURGES) => {
                    numbers.push(*number as u32);
                }
                Token::Number(_, written) | Token::Clock(_, written) => {
                    return Err(format!("{} purges: a whole number up to {MOST_PURGES}", short(written)));
                }
                Token::Word(word) => match meaning(word) {
                    Some(Means::May | Means::Most) => may = true,
                    Some(Means::Purge | Means::Times | Means::Filler | Means::To) => {}
                    _ => {
                        return Err(format!(
                            "purges stand by themselves: wash 12 + 1-3 purges; {}",
                            not_understood(word)
                        ));
                    }
                },
            }
        }
        let (low, high) = match numbers[..] {
            [] => (1, 1),
            [number] => (number, number),
            [low, high] => (low, high),
            _ => return Err("purges come so often, or from so often to so often: 1-3 purges".into()),
        };
        if low > high {
            return Err("the smaller number comes first: 1-3 purges".into());
        }
        self.purges = Some(Limits { low: if may { 0 } else { low }, high });
        Ok(())
    }

    fn says(self) -> Result<Says, String> {
        let does = self.does()?;
        let purges = self.purges.unwrap_or(NO_PURGES);
        if self.until.is_some() && does != Does::Heat {
            return Err("a temperature is what water is heated to: heat to 55 C".into());
        }
        if self.purges.is_some() && !does.in_water() {
            return Err("purges come within a wash: wash 12 + 1-3 purges".into());
        }
        let Self { name, may, time, until, .. } = self;
        Ok(Says::Interval(Step { name, does, may, time, until, purges }))
    }

    /// What all that is on makes together.
    fn does(&self) -> Result<Does, String> {
        let on = |act| self.acts.contains(&act);
        let only = |acts: &[Act]| self.acts.iter().all(|a| acts.contains(a) || *a == Act::Beside);
        let does = match () {
            () if self.acts.is_empty() => return Err(format!("says nothing that is on: {FORMS}")),
            () if on(Act::Fill) && only(&[Act::Fill, Act::Wash]) => Does::Fill,
            () if on(Act::Drain) && only(&[Act::Drain, Act::Wash]) => Does::Drain,
            () if on(Act::Dry) && on(Act::Heat) && only(&[Act::Dry, Act::Heat, Act::Air]) => Does::HeatedDry,
            () if on(Act::Dry) && only(&[Act::Dry, Act::Air]) => Does::Dry,
            () if on(Act::Heat) && only(&[Act::Heat, Act::Wash]) => Does::Heat,
            () if on(Act::Wash) && only(&[Act::Wash, Act::Air]) => Does::Wash,
            () if on(Act::Air) && only(&[Act::Air]) => Does::Dry,
            () if on(Act::Pause) && only(&[Act::Pause, Act::Air]) => Does::Pause,
            () if only(&[]) => {
                return Err("only a dispenser; say what is on beside it: wash 1 + dispenser".into());
            }
            () => return Err(format!("does not go together on one line; {FORMS}")),
        };
        Ok(does)
    }
}

fn not_understood(word: &str) -> String {
    let word = short(word);
    if word.eq_ignore_ascii_case("pump") {
        return "which pump? Write wash 4, or drain 1".into();
    }
    match meant(&word) {
        Some(meant) => format!("\"{word}\" is not understood; is \"{meant}\" meant?"),
        None => format!("\"{word}\" is not understood; {FORMS}"),
    }
}
