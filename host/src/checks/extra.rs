//! What came that is not of the programme.

use tubtrace_units::Seconds;

use super::check::{Check, Grade, Harm, Headline, Needs, Numbers};
use super::constants::LASTED_DOUBT;
use super::context::Context;
use super::event::Event;
use super::outside::Outside;
use super::uncertainty::Band;
use crate::alignment::{BLINK, Phase, Step};
use crate::constant::constants;
use crate::intervals::Kind;
use crate::quantity::Quantity;

pub(super) static CHECKS: [&Check; 2] = [&EXTRA, &STANDS_STILL];

constants! { "checks.extra":
    /// A pause that the chart does not have and that is at least as long as this is worth telling.
    LONG_PAUSE: Seconds = Seconds(120.0), "s", Guess;
    /// A wash that the chart does not have and that is at least as long as this is worth telling: shorter ones are a control's adaptations.
    LONG_WASH: Seconds = Seconds(60.0), "s", Practice;
}

/// Something that is not in the chart.
static EXTRA: Check = Check {
    id: "extra",
    rank: 490,
    hold: |context| {
        let once = stands_still_once(context).map(|pause| pause.start);
        let told = extras(context).filter(|phase| Some(phase.start) != once);
        told.map(|phase| extra(context, &EXTRA, phase)).collect()
    },
    unusual_in_drying: true,
    of_whole_waters: true,
    needs: Needs::Programme,
    event: Event::Itself,
    headline: Headline::Of("not in the chart"),
    numbers: Numbers::Measured,
    of_order_or_load: true,
    ..Check::PLAIN
};

/// Everything stands still once for minutes, where the programme has no pause, and goes on: somebody opened the door to put something in. A
/// latch or a plug that is loose does so more than once.
static STANDS_STILL: Check = Check {
    id: "stands-still",
    does: Kind::Pause,
    rank: 491,
    hold: |context| {
        stands_still_once(context).map(|pause| extra(context, &STANDS_STILL, pause)).into_iter().collect()
    },
    grade: Grade::Unusual,
    masked_by: &["opened"],
    headline: Headline::Is("everything stops in the middle, and goes on"),
    harm: Harm::Little,
    ..EXTRA
};

/// What is in no chart and worth telling.
fn extras<'a>(context: &Context<'a>) -> impl Iterator<Item = &'a Phase> {
    let explanation = context.explanation;
    explanation.steps.iter().filter_map(move |step| match step {
        Step::Extra { phase } if worth_telling(context, *phase) => Some(&explanation.phases[*phase]),
        _ => None,
    })
}

/// The only pause that is in no chart, if there is exactly one.
fn stands_still_once<'a>(context: &Context<'a>) -> Option<&'a Phase> {
    let mut pauses = extras(context).filter(|phase| phase.kind == Kind::Pause);
    pauses.next().filter(|_| pauses.next().is_none())
}

fn worth_telling(context: &Context, phase: usize) -> bool {
    let phases = &context.explanation.phases;
    // What comes between a break and the new start belongs to the break.
    let after_break = context.explanation.began_again().is_some_and(|at| phase == at || phase == at + 1);
    match phases[phase].kind {
        // Stalls are told together, of the wash pump.
        Kind::Gap | Kind::Stall => false,
        Kind::Pause => {
            phases[phase].duration() >= LONG_PAUSE.get() && !after_break && phase + 1 < phases.len()
        }
        Kind::Wash => phases[phase].duration() >= LONG_WASH.get() && !after_break,
        _ => phases[phase].duration() >= BLINK.get() && !after_break,
    }
}

/// Something that is in no chart, for long enough to be something: about as long as a blink, it cannot be told from one.
fn extra(context: &Context, check: &'static Check, phase: &Phase) -> Outside {
    let none = Some(Quantity::Time(Seconds(0.0)));
    let doubt = context.surroundings.resolution * LASTED_DOUBT.get();
    let band = if phase.duration() > BLINK.get() + doubt { Band::Beyond } else { Band::Guard };
    let measured = Quantity::Time(phase.duration());
    let outside = check.outside(phase.start, measured, (none, none), Quantity::Time(doubt));
    let certainty = context.certainty(std::slice::from_ref(phase));
    outside.of(phase.kind.word(), phase.kind).sure(certainty).band(band)
}
