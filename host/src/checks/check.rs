//! What a check is: one thing that can be wrong with a machine, its house or the logger, and all that there is to say of it.

use std::fmt;

use tubtrace_units::Seconds;

use super::baseline::Limit;
use super::constants::LASTED_DOUBT;
use super::context::Context;
use super::event::Event;
use super::outside::Outside;
use super::run::Run;
use crate::chart::Chart;
use crate::intervals::{Kind, Sign};
use crate::quantity::Quantity;

/// One thing that can be wrong. Its causes, what to measure next and what can hurt meanwhile stand in `causes.toml` under its word.
pub struct Check {
    /// Its word, as in JSON and in `causes.toml`: "siphons".
    pub id: &'static str,
    /// What it is about, where that is no interval of the chart: "hose".
    pub subject: &'static str,
    /// What the machine does, or should do, meanwhile; where it is an interval of the chart, what that one does.
    pub does: Kind,
    /// Findings are told from the least rank to the greatest: what is wrong with a part of the machine or the house before what
    /// follows from it.
    pub rank: u16,
    /// Another rank while the machine does this.
    pub rank_in: Option<(Kind, u16)>,
    /// Whether it is asked of runs of which only the water was heard. All others are asked of runs whose current was seen.
    pub unseen: bool,
    /// What it measures of a run, from its record alone.
    pub measure: fn(&Run) -> Vec<Sign>,
    /// What is usual of it on one machine and not on another, in the order of the chart's file. Learned from good runs.
    pub baselines: &'static [&'static dyn Limit],
    /// Holds what was measured, or how the run lies in its chart, against limits.
    pub hold: fn(&Context) -> Vec<Outside>,
    /// Widens what a chart has until it holds a good run of which this was found; `false` where no limit of a chart can.
    pub widen: fn(&mut Chart, &Outside) -> bool,
    /// It is not told beside these: "siphons", or "too-short fill" for what is found in a fill.
    pub masked_by: &'static [&'static str],
    /// It is told only beside one of these, if any are named; written likewise.
    pub only_with: &'static [&'static str],
    /// What this brings about later in the same cycle, written likewise: it is told under this, and not as a complaint of its own.
    pub followed_by: &'static [&'static str],
    /// What must be known for it to be asked. What is found in an interval of a chart needs the programme in any case.
    pub needs: Needs,
    /// What it is to be outside of its limits.
    pub grade: Grade,
    /// Whether it is asked where nothing is known, though it needs the machine: what is outside of what is common practice is then unusual.
    pub unusual_alone: bool,
    /// Whether it is asked only where no programme is known: it stands in for what a chart says better.
    pub stands_in: bool,
    /// Whether it is unusual, and not wrong, where it only says how drying went; see `Context::is_how_it_dries`.
    pub unusual_in_drying: bool,
    /// What the machine does in an interval of the chart where a choice of another programme explains it as well: what a timer ends is
    /// longer, or nothing is heated.
    pub chosen: &'static [Kind],
    /// Whether it rests on what came in which order and for how long, so that it cannot be judged in a water of which readings are lost.
    pub of_whole_waters: bool,
    /// The shortest event that its evidence rests on; where readings are too coarse to show that, it is not told.
    pub event: Event,
    /// What departs, in a few words.
    pub headline: Headline,
    /// Which numbers follow the headline.
    pub numbers: Numbers,
    /// What comes of it.
    pub harm: Harm,
    /// Whether it is about what comes in which order, and what each load draws, and not about how long or how warm: what is
    /// left to say of a test run in which each interval is cut short by hand.
    pub of_order_or_load: bool,
}

/// What it is to be outside of the limits of a check.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Grade {
    /// Something is wrong: the cycle departs.
    Wrong,
    /// It is unusual, and healthy machines of some makes or in some houses do it: it is told, and no cycle departs for it.
    Unusual,
}

/// What must be known of a machine for a check to be asked, from little to much.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Needs {
    /// Nothing: it is wrong on every machine.
    Nothing,
    /// What the machine does as a rule: it is wrong on one machine, and usual on another. What is found in an interval of a programme is
    /// so in another one like it, but for what is `chosen`.
    Machine,
    /// The programme that the cycle is of.
    Programme,
}

/// What comes of what a check finds. Common practice, no source.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Harm {
    /// The machine may be well: it is the logger that does not see.
    Logger,
    /// Next to nothing: something wears, or may fail later.
    Little,
    /// The dishes come out less clean, or it takes longer: the worse, the further it is beyond its limit.
    Wash,
    /// The programme does not do its work.
    Stops,
    /// It can scald, flood or burn.
    People,
}

/// What departs, in a few words.
#[derive(Clone, Copy, Debug)]
pub enum Headline {
    /// A clause that stands alone: "the drain pump does not stop".
    Is(&'static str),
    /// What is said of the interval or thing that is named before it.
    Of(&'static str),
}

/// Which numbers follow a headline.
#[derive(Clone, Copy, Debug)]
pub enum Numbers {
    /// The headline stands alone, and no number follows it.
    Without,
    /// The measured value follows, without limits.
    Measured,
    /// What was measured and what the chart has, but where the chart has it never.
    Both,
    /// What the chart has, and not what was measured.
    Chart,
    /// No number, but these words.
    Words(&'static str),
}

impl Check {
    /// What a check has that says nothing else. Its word, rank, headline and how it holds are its own.
    pub(super) const PLAIN: Self = Self {
        id: "",
        subject: "",
        does: Kind::Wash,
        rank: 0,
        rank_in: None,
        unseen: false,
        measure: |_| Vec::new(),
        baselines: &[],
        hold: |_| Vec::new(),
        widen: |_, _| false,
        masked_by: &[],
        only_with: &[],
        followed_by: &[],
        needs: Needs::Nothing,
        grade: Grade::Wrong,
        unusual_alone: false,
        stands_in: false,
        unusual_in_drying: false,
        chosen: &[],
        of_whole_waters: false,
        event: Event::Any,
        headline: Headline::Is(""),
        numbers: Numbers::Both,
        harm: Harm::Wash,
        of_order_or_load: false,
    };

    /// Its word, the same in JSON, in `causes.toml` and in the messages of tests.
    #[must_use]
    pub const fn word(&self) -> &'static str {
        self.id
    }

    /// Whether it is about order and loads alone; see [`Check::of_order_or_load`].
    #[must_use]
    pub const fn is_of_order_or_load(&self) -> bool {
        self.of_order_or_load
    }

    /// Its rank while the machine does something.
    #[must_use]
    pub fn rank_while(&self, does: Kind) -> u16 {
        self.rank_in.filter(|(kind, _)| *kind == does).map_or(self.rank, |(_, rank)| rank)
    }

    /// Something outside of its limits, as sure as a measurement is that does not rest on what the loads are taken for.
    pub(super) fn outside(
        &self,
        start: Seconds,
        measured: Quantity,
        expected: (Option<Quantity>, Option<Quantity>),
        uncertainty: Quantity,
    ) -> Outside {
        Outside::new((self.subject, self.does), start, measured, expected, uncertainty)
    }

    /// A part, or a multiple, that is more than it may be.
    pub(super) fn at_most(&self, sign: Sign, most: f64, doubt: f64) -> Outside {
        let limits = (None, Some(Quantity::Part(most)));
        self.outside(sign.at, sign.value, limits, Quantity::Part(doubt))
    }

    /// Something that lasted for longer than it may.
    pub(super) fn lasted(&self, context: &Context, at: Seconds, lasts: Quantity, most: Seconds) -> Outside {
        let doubt = Quantity::Time(context.surroundings.resolution * LASTED_DOUBT.get());
        self.outside(at, lasts, (None, Some(Quantity::Time(most))), doubt)
    }

    /// Something that came more often than it may.
    pub(super) fn counted(&self, at: Seconds, count: usize, most: u32) -> Outside {
        let limits = (None, Some(Quantity::Count(most)));
        self.outside(at, Quantity::Count(count as u32), limits, Quantity::Count(0))
    }

    /// Something that came so often instead of just so often.
    pub(super) fn came(&self, at: Seconds, count: usize, instead_of: u32) -> Outside {
        let expected = Some(Quantity::Count(instead_of));
        self.outside(at, Quantity::Count(count as u32), (expected, expected), Quantity::Count(0))
    }
}

impl PartialEq for Check {
    fn eq(&self, other: &Self) -> bool {
        self.id == other.id
    }
}

impl Eq for Check {}

impl fmt::Debug for Check {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.id)
    }
}

impl fmt::Display for Check {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.id)
    }
}

impl Headline {
    /// In words, of something with this name.
    #[must_use]
    pub fn of(self, name: &str) -> String {
        match self {
            Self::Is(clause) => clause.to_owned(),
            Self::Of(said) => format!("{name}: {said}"),
        }
    }
}
