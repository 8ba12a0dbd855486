//! Programmes: spans that belong to one run of the machine, by what its loads do.

use std::ops::Range;

use tubtrace_units::{Load, Seconds};

use super::constants::runs::{
    GIVES_UP_DRAINS, PURGE_PART, RUN_LASTS, RUNS_APART, RUNS_APART_LEAST, WAITS_FOR,
};
use super::span::Span;
use super::state::State;

/// Ranges of spans that are runs, each from its first span in which something is on to its last. Small loads far from any run, without
/// a fill and a drain of their own, are left out. After idle time of `apart` in an empty tub another run begins. A hole in the readings is no
/// idle time: what ran until shortly before it, and runs shortly after it, is one run, for as long as a programme may wait. `resolution` is the
/// time between two readings.
pub(crate) fn programmes(spans: &[Span], apart: Seconds, resolution: Seconds) -> Vec<Range<usize>> {
    let goes_on = |last: usize, next: usize| {
        let idle = spans[next].start - spans[last].end;
        let known: Seconds = spans[last + 1..next].iter().map(Span::duration).sum();
        let most = if known < RUN_LASTS.get() { WAITS_FOR.get() } else { RUNS_APART.get() };
        idle <= apart || (idle <= most && (in_water(&spans[..next]) || !fills_soon(&spans[next..])))
    };
    // Either of two readings may be an average over a start or a stop.
    let least = RUN_LASTS.get().max(resolution * 2.0);
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for i in (0..spans.len()).filter(|&i| spans[i].state != State::Off) {
        match groups.last_mut() {
            Some(group) if goes_on(group[group.len() - 1], i) => group.push(i),
            _ => groups.push(vec![i]),
        }
    }
    let mut runs: Vec<Range<usize>> = Vec::new();
    for group in groups {
        let (first, last) = (group[0], group[group.len() - 1]);
        let own = || group.iter().map(|&i| &spans[i]);
        let washes = own().filter(|s| washes(s.state)).map(|s| s.duration()).sum::<Seconds>() > least;
        let before =
            runs.last_mut().filter(|run| spans[first].start - spans[run.end - 1].end <= WAITS_FOR.get());
        let begins = washes || begins(own()) || is_cut_as_it_begins(spans, first, last);
        match before {
            Some(run) if !begins || waits(spans, run, first..last + 1) => run.end = last + 1,
            _ if begins => runs.push(first..last + 1),
            // It is a small load on its own, hours from any run.
            _ => {}
        }
    }
    runs
}

/// Whether water comes in soon after these spans begin: a run starts with it, or with a drain before it.
fn fills_soon(spans: &[Span]) -> bool {
    let soon = |s: &&Span| s.start - spans[0].start <= RUNS_APART_LEAST.get();
    spans.iter().take_while(soon).any(comes)
}

/// Index of the last wash of a run that is more than a pump that stirs, if it washes.
pub(crate) fn last_wash(spans: &[Span], run: &Range<usize>) -> Option<usize> {
    let stirs = |s: &Span| s.duration() < RUN_LASTS.get() / 2.0;
    let wash = |s: &Span| s.state.loads().has(Load::WashPump) && !stirs(s);
    spans[run.clone()].iter().rposition(wash).map(|i| run.start + i)
}

/// Whether a top-up is so long that it is a fill, and no part of a purge.
pub(crate) fn fills_long(span: &Span) -> bool {
    span.state == State::TopUp && span.duration() > PURGE_PART.get() * 2.0
}

/// Whether there is water in the tub after these spans: the last of them that moved water was a fill, or none moved any.
pub(crate) fn in_water(before: &[Span]) -> bool {
    before.iter().rev().find(|s| moves(s)).is_none_or(comes)
}

/// Whether the machine waited in water between a run and these spans: it came in and was not let out before, none comes in after until some
/// was let out, and the log knows of all of the wait.
fn waits(spans: &[Span], run: &Range<usize>, after: Range<usize>) -> bool {
    let known = spans[run.end - 1..=after.start].windows(2).all(|p| p[1].start - p[0].end < RUN_LASTS.get());
    let full = spans[run.clone()].iter().rev().find(|s| moves(s)).is_some_and(comes);
    let takes_more = spans[after].iter().find(|s| moves(s)).is_some_and(comes);
    known && full && !takes_more
}

/// Whether water comes in for longer than in a purge, or is let out.
fn moves(span: &Span) -> bool {
    span.duration() > PURGE_PART.get() && (comes(span) || span.state.drains())
}

fn comes(span: &Span) -> bool {
    span.state == State::Fill || fills_long(span)
}

/// Whether a machine began a programme without washing: it tried to fill, gave up and drained.
fn begins<'a>(group: impl Iterator<Item = &'a Span> + Clone) -> bool {
    let time = |wanted: &[State]| -> Seconds {
        group.clone().filter(|s| wanted.contains(&s.state)).map(|s| s.duration()).sum()
    };
    time(&[State::Fill, State::Small]) > RUN_LASTS.get() && time(&[State::Drain]) > GIVES_UP_DRAINS.get()
}

/// Whether water is let into an empty tub, and the log knows nothing of what came next: a run that a hole cuts as it begins.
fn is_cut_as_it_begins(spans: &[Span], first: usize, last: usize) -> bool {
    let hole = spans.get(last + 1).is_some_and(|next| next.start - spans[last].end >= RUN_LASTS.get());
    hole && comes(&spans[last]) && !in_water(&spans[..first])
}

fn washes(state: State) -> bool {
    state.loads().has(Load::WashPump) || matches!(state, State::DryHeat | State::PartDry)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::loads::by_hand::spans;

    const SECOND: Seconds = Seconds(1.0);

    fn runs(of: &[(State, f64)]) -> usize {
        programmes(&spans(of), RUNS_APART.get(), SECOND).len()
    }

    #[test]
    fn a_machine_that_never_rests_for_long_has_begun_again() {
        let run = [(State::Fill, 60.0), (State::Wash, 600.0), (State::Drain, 60.0)];
        let twice = |between: &[(State, f64)], apart: f64| {
            programmes(&spans(&[&run[..], between, &run].concat()), Seconds(apart), SECOND).len()
        };
        assert_eq!([600.0, 200.0].map(|apart| twice(&[(State::Off, 240.0)], apart)), [1, 2]);
        // A vent after the last drain belongs to the run before, and so does a wait in water.
        assert_eq!(
            programmes(
                &spans(&[&run[..], &[(State::Off, 240.0), (State::Small, 90.0)]].concat()),
                Seconds(200.0),
                SECOND
            )
            .len(),
            1
        );
        let dries = [&run[..], &[(State::Off, 240.0), (State::DryHeat, 90.0)]].concat();
        assert_eq!(programmes(&spans(&dries), Seconds(200.0), SECOND).len(), 1);
        let soaks = [&run[..2], &[(State::Off, 240.0)], &run[1..]].concat();
        assert_eq!(programmes(&spans(&soaks), Seconds(200.0), SECOND).len(), 1);
    }

    #[test]
    fn runs_are_apart_by_ten_minutes_and_a_last_drain_belongs_to_its_run() {
        let spans = spans(&[
            (State::Fill, 60.0),
            (State::Wash, 600.0),
            (State::Off, 2_000.0),
            (State::Drain, 60.0),
            (State::Off, 5_000.0),
            (State::Wash, 600.0),
            (State::Off, 5_000.0),
            (State::Small, 600.0),
        ]);
        assert_eq!(programmes(&spans, RUNS_APART.get(), SECOND), [0..4, 5..6]);
    }

    #[test]
    fn a_soak_belongs_to_its_run_and_what_takes_new_water_does_not() {
        let first = [(State::Fill, 60.0), (State::Wash, 600.0)];
        let then =
            |apart: f64, next: &[(State, f64)]| runs(&[&first, &[(State::Off, apart)][..], next].concat());
        let goes_on = [(State::Wash, 600.0), (State::Drain, 60.0)];
        assert_eq!(then(1_500.0, &goes_on), 1);
        assert_eq!(then(1_500.0, &[(State::Drain, 60.0), (State::Fill, 60.0), (State::Wash, 600.0)]), 1);
        assert_eq!(then(1_500.0, &[&first[..], &goes_on].concat()), 2);
        assert_eq!(then(5_000.0, &goes_on), 2);
        let emptied = [&first[..], &[(State::Drain, 60.0), (State::Off, 1_500.0)], &goes_on].concat();
        assert_eq!(runs(&emptied), 2);
    }

    #[test]
    fn a_hole_is_no_idle_time() {
        let run = [(State::Fill, 60.0), (State::Wash, 600.0), (State::Drain, 60.0)];
        let holed = |parts: [&[(State, f64)]; 2], hole: f64| {
            let (mut all, at) = (spans(&parts.concat()), parts[0].len());
            all[at..]
                .iter_mut()
                .for_each(|s| (s.start, s.end) = (s.start + Seconds(hole), s.end + Seconds(hole)));
            programmes(&all, RUNS_APART.get(), SECOND).len()
        };
        let (washed, drained) = (&run[..2], &run[..]);
        assert_eq!(holed([washed, &run[1..]], 1_500.0), 1);
        assert_eq!(holed([washed, &run[1..]], 5_000.0), 2);
        // New water in a tub that was emptied is a run of its own, and so is what comes long after the machine was seen to stand still.
        assert_eq!(holed([drained, &run], 1_500.0), 2);
        assert_eq!(holed([&[washed, &[(State::Off, 300.0)]].concat(), &run[1..]], 1_500.0), 2);
    }

    #[test]
    fn two_readings_are_no_run() {
        let then = [(State::Off, 1_500.0), (State::Wash, 120.0)];
        let spans = spans(&[&[(State::Wash, 600.0)], &then[..]].concat());
        let runs = |resolution: f64| programmes(&spans, RUNS_APART.get(), Seconds(resolution)).len();
        assert_eq!([1.0, 60.0].map(runs), [2, 1]);
    }

    #[test]
    fn who_fills_and_drains_without_washing_has_begun() {
        let tried = [(State::Fill, 90.0), (State::Drain, 30.0)];
        assert_eq!(runs(&tried), 1);
        assert_eq!(runs(&tried[..1]), 0);
    }

    #[test]
    fn a_pump_that_stirs_is_not_the_last_wash() {
        let spans =
            spans(&[(State::Fill, 60.0), (State::Wash, 600.0), (State::Drain, 60.0), (State::Wash, 20.0)]);
        assert_eq!(last_wash(&spans, &(0..4)), Some(1));
        assert_eq!(last_wash(&spans, &(2..4)), None);
    }
}
