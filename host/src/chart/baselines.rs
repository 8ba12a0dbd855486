//! Baselines: what is usual of a machine beside its intervals, with its limits: a table by name (`[habits]` in the chart's file). What
//! each name means, what is common, how it is learned and how the table is written, the checks say that are held against it (`checks`).

use std::collections::BTreeMap;

use serde::Serialize;

/// What is usual in one respect, as a chart says it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Value {
    /// A number, in the unit of its name.
    Number(f64),
    /// How often something comes.
    Count(u32),
    /// The least and the most.
    Range([f64; 2]),
}

/// What is usual where that is not what is common.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Baselines(BTreeMap<&'static str, Value>);

impl Baselines {
    /// Whether nothing is known of the machine.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

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

impl FromIterator<(&'static str, Value)> for Baselines {
    fn from_iter<I: IntoIterator<Item = (&'static str, Value)>>(baselines: I) -> Self {
        Self(baselines.into_iter().collect())
    }
}
