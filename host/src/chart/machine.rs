//! What is known of one machine: its programmes, each as a chart.

use super::baselines::Baselines;
use super::expected::Chart;
use crate::loads::Draws;

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

    /// The same machine with nothing said of how long anything lasts.
    #[must_use]
    pub fn without_times(&self) -> Self {
        let programmes = self.programmes.iter().map(Chart::without_times).collect();
        Self { name: self.name.clone(), programmes, draws: self.draws.clone() }
    }
}
