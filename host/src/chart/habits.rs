//! Habits: what a machine does beside its intervals, with the most that is usual: a table by name. What each name means, what is
//! common, how it is learned and how the table is written, the checks say that are held against it (`checks`).

use std::collections::BTreeMap;

use serde::Serialize;

/// What is usual of one habit.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Value {
    /// A number, in the unit of its name.
    Number(f64),
    /// How often.
    Count(u32),
    /// The least and the most.
    Range([f64; 2]),
}

/// What is usual where that is not what is common.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Habits(BTreeMap<&'static str, Value>);

impl Habits {
    /// What is said of one, if anything is.
    #[must_use]
    pub fn get(&self, key: &str) -> Option<Value> {
        self.0.get(key).copied()
    }

    /// Says this of one, or nothing.
    pub(crate) fn set(&mut self, key: &'static str, value: Option<Value>) {
        match value {
            Some(value) => self.0.insert(key, value),
            None => self.0.remove(key),
        };
    }
}

impl FromIterator<(&'static str, Value)> for Habits {
    fn from_iter<I: IntoIterator<Item = (&'static str, Value)>>(habits: I) -> Self {
        Self(habits.into_iter().collect())
    }
}
