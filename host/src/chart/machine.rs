//! What is known of one machine: its programmes, each as a chart.

use tubtrace_units::Amps;

use super::baselines::Baselines;
use super::expected::Chart;
use super::numbers::PUMPS_DIFFER;
use crate::intervals::Kind;
use crate::loads::{Drawn, Draws};
use crate::stats::median;

/// What is known of one machine.
#[derive(Clone, Debug, PartialEq)]
pub struct Machine {
    /// As a person calls it.
    pub name: String,
    /// Its programmes: at least one. All have the machine's baselines.
    pub programmes: Vec<Chart>,
    /// What its loads draw, if that is known.
    pub draws: Draws,
}

impl From<Chart> for Machine {
    /// A machine of which one programme is known.
    fn from(chart: Chart) -> Self {
        Self { name: chart.name.clone(), programmes: vec![chart], draws: Draws::default() }
    }
}

impl Machine {
    /// A machine of which nothing is known: one programme of which nothing is foreseen.
    #[must_use]
    pub fn unknown() -> Self {
        Chart {
            name: String::new(),
            parts: Vec::new(),
            baselines: Baselines::default(),
            seen: 0,
            of_sheet: false,
        }
        .into()
    }

    /// Gives all programmes these baselines: they are the machine's, and its file has them once. With them a programme is more than its sheet.
    pub(crate) fn share(&mut self, baselines: &Baselines) {
        for chart in &mut self.programmes {
            chart.baselines.clone_from(baselines);
            chart.of_sheet = false;
        }
    }

    /// What its washes draw, where that is what the drain pump is said to draw and not the wash pump: the two were swapped. Neither pump draws
    /// more than the other on every machine, and pumps that are alike cannot be swapped.
    #[must_use]
    pub fn swapped_pumps(&self) -> Option<Amps> {
        let pump = |drawn| self.draws.get(drawn).map(|draw| draw.amps.0);
        let (wash, drain) = pump(Drawn::WashPump).zip(pump(Drawn::DrainPump))?;
        let intervals = self.programmes.iter().flat_map(|p| &p.parts).flat_map(|part| &part.intervals);
        let washes = intervals.filter(|i| i.kind == Kind::Wash).filter_map(|i| i.amps);
        let middles: Vec<f64> = washes.map(|amps| (amps.low.0 + amps.high.0) / 2.0).collect();
        if middles.is_empty() {
            return None;
        }
        let washes = median(&middles);
        let alike = |a: f64, b: f64| (a / b).ln().abs() <= PUMPS_DIFFER.ln();
        (!alike(wash, drain) && !alike(wash, washes) && alike(drain, washes)).then_some(Amps(washes))
    }

    /// Takes what its loads draw; nothing is known of that where its washes say otherwise.
    pub(crate) fn take_draws(&mut self, draws: Draws) {
        self.draws = draws;
        if self.swapped_pumps().is_some() {
            self.draws = Draws::default();
        }
    }

    /// The same machine with nothing said of how long anything lasts.
    #[must_use]
    pub fn without_times(&self) -> Self {
        let programmes = self.programmes.iter().map(Chart::without_times).collect();
        Self { name: self.name.clone(), programmes, draws: self.draws.clone() }
    }
}
