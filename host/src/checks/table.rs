//! The table of baselines in a chart's file: names that the checks give, in their order, and no other.

use std::fmt;
use std::sync::LazyLock;

use serde::de::{DeserializeSeed, Error, MapAccess, Visitor};
use serde::ser::SerializeMap;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::baseline::{Limit, Shape};
use super::learn::baselines;
use crate::chart::{Baselines, Value};

/// All of them, with what is common where nothing is said, in the order of the checks.
impl Serialize for Baselines {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(None)?;
        for baseline in baselines() {
            if let Some(value) = self.get(baseline.key()).or(baseline.common()) {
                map.serialize_entry(baseline.key(), &value)?;
            }
        }
        map.end()
    }
}

impl<'de> Deserialize<'de> for Baselines {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_map(Table)
    }
}

struct Table;

impl<'de> Visitor<'de> for Table {
    type Value = Baselines;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("struct Habits")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Baselines, A::Error> {
        let mut said = Vec::new();
        while let Some(baseline) = map.next_key_seed(Name)? {
            let value = match baseline.shape() {
                Shape::Number => Value::Number(map.next_value()?),
                Shape::Count => Value::Count(map.next_value()?),
                Shape::Range => Value::Range(map.next_value()?),
            };
            if baseline.common() != Some(value) {
                said.push((baseline.key(), value));
            }
        }
        Ok(said.into_iter().collect())
    }
}

/// The name of a baseline that there is.
struct Name;

static NAMES: LazyLock<Vec<&'static str>> = LazyLock::new(|| baselines().map(Limit::key).collect());

impl<'de> DeserializeSeed<'de> for Name {
    type Value = &'static dyn Limit;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<Self::Value, D::Error> {
        deserializer.deserialize_identifier(self)
    }
}

impl Visitor<'_> for Name {
    type Value = &'static dyn Limit;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("field identifier")
    }

    fn visit_str<E: Error>(self, name: &str) -> Result<Self::Value, E> {
        baselines().find(|h| h.key() == name).ok_or_else(|| E::unknown_field(name, &NAMES))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chart::{parse, to_toml};

    const CHART: &str = include_str!("../../charts/invented-120v-heavy.chart.toml");

    fn told(baselines: &str) -> String {
        let lines = CHART.lines().count();
        let error = parse(&format!("{CHART}\n[habits]\n{baselines}\n"), "c").unwrap_err().to_string();
        error.replace(&format!("c:{}:", lines + 3), "c:here:")
    }

    #[test]
    fn a_baseline_that_there_is_not_is_told_with_its_place() {
        assert!(
            told("hum = 3").starts_with("c:here:1: nothing here is called \"hum\""),
            "{}",
            told("hum = 3")
        );
        assert!(told("stops = 1.5").starts_with("c:here:9: "), "{}", told("stops = 1.5"));
        assert!(told("inlet_l_min = 2").starts_with("c:here:15: "), "{}", told("inlet_l_min = 2"));
    }

    #[test]
    fn baselines_are_written_as_they_are_read() {
        let chart = parse(&format!("{CHART}\n[habits]\nsag = 0.5\nstops = 3\n"), "c").unwrap();
        let written = to_toml(&chart);
        assert_eq!(parse(&written, "written").unwrap(), chart);
        let names: Vec<&str> =
            written.split_once("[habits]\n").unwrap().1.lines().filter_map(|l| l.split(' ').next()).collect();
        // What charts have always had comes in the same order, whatever a new check adds.
        let always = [
            "start_s",
            "switching",
            "stops",
            "wander",
            "sag",
            "drain_s",
            "emptying",
            "after_drain",
            "hose_in_fills",
            "heater_cycles",
            "dispenses",
            "dispenses_seen",
            "knock",
        ];
        let old: Vec<&str> = names.into_iter().filter(|n| always.contains(n)).collect();
        assert_eq!(old, always);
    }

    #[test]
    fn what_is_common_need_not_be_said() {
        let chart = parse(&format!("{CHART}\n[habits]\nstart_s = 1.1\n"), "c").unwrap();
        assert_eq!(chart.programmes[0].baselines, Baselines::default());
        assert!(!to_toml(&chart).contains("[habits]"));
    }
}
