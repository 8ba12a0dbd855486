//! Baselines: what is usual of one machine and not of another. A chart that says nothing of one has what is common practice, no
//! source; a learned one has what good runs of its machine do, with room.

use tubtrace_units::Seconds;

use super::constants::{FEW, ROOM_OF_FEW, ROOM_OF_MANY};
use crate::chart::{Baselines, Value};
use crate::intervals::{Sign, Signs};

/// Something that is usual, within a limit that is learned.
pub struct Baseline<T: 'static> {
    /// Its name in the chart's file.
    pub key: &'static str,
    /// What is common practice where the chart says nothing.
    pub common: fn() -> T,
    /// The limit that good runs of one machine give.
    pub learn: fn(&Good, T) -> T,
}

impl<T: Usual> Baseline<T> {
    /// What is usual by what a chart says.
    pub(super) fn by(&self, baselines: &Baselines) -> T {
        baselines.get(self.key).and_then(T::from_value).unwrap_or_else(self.common)
    }

    /// Says in a chart what is usual.
    pub(super) fn say(&self, baselines: &mut Baselines, usual: T) {
        baselines.set(self.key, usual.value().filter(|usual| (self.common)().value() != Some(*usual)));
    }
}

/// A baseline whatever its type, as the chart's file has it.
pub trait Limit: Sync {
    /// Its name in the chart's file.
    fn key(&self) -> &'static str;
    /// What is common, as it is written; none, where nothing is known without a chart.
    fn common(&self) -> Option<Value>;
    /// What it looks like in the file.
    fn shape(&self) -> Shape;
    /// The limit that good runs of one machine give.
    fn learn(&self, good: &Good) -> Option<Value>;
}

impl<T: Usual> Limit for Baseline<T> {
    fn key(&self) -> &'static str {
        self.key
    }

    fn common(&self) -> Option<Value> {
        (self.common)().value()
    }

    fn shape(&self) -> Shape {
        T::SHAPE
    }

    fn learn(&self, good: &Good) -> Option<Value> {
        (self.learn)(good, (self.common)()).value()
    }
}

/// What a baseline looks like in the chart's file.
#[derive(Clone, Copy, Debug)]
pub enum Shape {
    /// A number, with or without a fraction.
    Number,
    /// A whole number, not negative.
    Count,
    /// The least and the most.
    Range,
}

/// The types that what is usual may have.
pub trait Usual: Copy + Sync {
    /// As it is in the chart's file.
    const SHAPE: Shape;
    /// As it is written to the chart's file; none, where nothing is known.
    fn value(self) -> Option<Value>;
    /// As it is read from the chart's file; none, where what stands there has another shape.
    fn from_value(value: Value) -> Option<Self>;
}

impl Usual for f64 {
    const SHAPE: Shape = Shape::Number;

    fn value(self) -> Option<Value> {
        Some(Value::Number(self))
    }

    fn from_value(value: Value) -> Option<Self> {
        if let Value::Number(number) = value { Some(number) } else { None }
    }
}

impl Usual for Seconds {
    const SHAPE: Shape = Shape::Number;

    fn value(self) -> Option<Value> {
        self.0.value()
    }

    fn from_value(value: Value) -> Option<Self> {
        f64::from_value(value).map(Self)
    }
}

impl Usual for u32 {
    const SHAPE: Shape = Shape::Count;

    fn value(self) -> Option<Value> {
        Some(Value::Count(self))
    }

    fn from_value(value: Value) -> Option<Self> {
        if let Value::Count(count) = value { Some(count) } else { None }
    }
}

impl Usual for [f64; 2] {
    const SHAPE: Shape = Shape::Range;

    fn value(self) -> Option<Value> {
        Some(Value::Range(self))
    }

    fn from_value(value: Value) -> Option<Self> {
        if let Value::Range(range) = value { Some(range) } else { None }
    }
}

/// What a chart need not say, and does not where nothing is known.
impl<T: Usual> Usual for Option<T> {
    const SHAPE: Shape = T::SHAPE;

    fn value(self) -> Option<Value> {
        self.and_then(T::value)
    }

    fn from_value(value: Value) -> Option<Self> {
        T::from_value(value).map(Some)
    }
}

/// What was measured of good runs.
pub struct Good<'a> {
    /// What was measured of each.
    pub(super) runs: Vec<&'a Signs>,
    /// Time between two readings.
    pub(super) resolution: Seconds,
}

impl Good<'_> {
    /// The number of good runs.
    pub(super) fn count(&self) -> usize {
        self.runs.len()
    }

    /// Whether they are so few that little is known.
    pub(super) fn few(&self) -> bool {
        self.count() < FEW.get()
    }

    /// What the check with this id measured of each.
    pub(super) fn signs(&self, check: &'static str) -> impl Iterator<Item = &[Sign]> {
        self.runs.iter().map(|signs| signs.by(check))
    }

    /// Of each run that has one, the number that stands for it.
    pub(super) fn each(&self, check: &'static str, of: fn(&[Sign]) -> Option<Sign>) -> Vec<f64> {
        self.signs(check).filter_map(|signs| Some(of(signs)?.value.number())).collect()
    }

    /// The greatest of these; minus infinity where there is none.
    pub(super) fn most(&self, check: &'static str, of: fn(&[Sign]) -> Option<Sign>) -> f64 {
        self.each(check, of).into_iter().fold(f64::NEG_INFINITY, f64::max)
    }

    /// The most that any of them did, with room, and never less than what is common.
    pub(super) fn over(&self, common: f64, check: &'static str, of: fn(&[Sign]) -> Option<Sign>) -> f64 {
        common.max(self.room() * self.most(check, of))
    }

    /// How many times the most that any of them did is still usual.
    pub(super) fn room(&self) -> f64 {
        if self.few() { ROOM_OF_FEW.get() } else { ROOM_OF_MANY.get() }
    }
}
