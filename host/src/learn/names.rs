//! Names of programmes, by what tells them apart.

use tubtrace_units::Seconds;

use crate::chart::{Chart, Expected, Limits, Machine};
use crate::intervals::Kind;

/// Names the programmes of a machine, whose cycles are so long in the middle. A machine of one programme has its name.
pub(super) fn give(machine: &mut Machine, lengths: &[Seconds]) {
    if let [only] = machine.programmes.as_mut_slice() {
        only.name.clone_from(&machine.name);
        return;
    }
    let mut programmes = std::mem::take(&mut machine.programmes);
    let names: Vec<String> =
        programmes.iter().zip(lengths).map(|(programme, lasts)| described(programme, *lasts)).collect();
    for i in 0..programmes.len() {
        let twin = (0..programmes.len()).find(|&other| other != i && names[other] == names[i]);
        let apart = twin.and_then(|twin| told_apart(&programmes[i], &programmes[twin]));
        programmes[i].name = names[i].clone() + &apart.unwrap_or_default();
    }
    add(machine, programmes);
}

/// Adds programmes to a machine, each by a name that no other has; a single one that has the machine's own name is named as well.
pub(super) fn add(machine: &mut Machine, programmes: Vec<Chart>) {
    let own = machine.name.clone();
    let together = machine.programmes.len() + programmes.len() > 1;
    let (mut unnamed, mut named): (Vec<Chart>, Vec<Chart>) =
        std::mem::take(&mut machine.programmes).into_iter().partition(|c| together && c.name == own);
    let baselines = unnamed.iter().chain(&named).next().map(|c| c.baselines.clone());
    unnamed.extend(programmes);
    for mut programme in unnamed {
        // One that has the machine's name was alone until now, and nobody knows how long its cycles were.
        let name =
            if programme.name == own { described(&programme, by_limits(&programme)) } else { programme.name };
        let taken = |name: &str| named.iter().any(|c| c.name == name);
        let numbered = (2..).map(|n| format!("{name} ({n})"));
        programme.name = std::iter::once(name.clone()).chain(numbered).find(|n| !taken(n)).unwrap_or(name);
        // The machine's baselines are those that it had.
        programme.baselines = baselines.clone().unwrap_or(programme.baselines);
        named.push(programme);
    }
    machine.programmes = named;
}

/// About how long a programme is by the limits of what must come.
fn by_limits(chart: &Chart) -> Seconds {
    chart.must_come().filter_map(middle).sum()
}

/// How long an interval usually is.
fn middle(interval: &Expected) -> Option<Seconds> {
    interval.lasts.map(|Limits { low, high }| Seconds((low.0 * high.0).sqrt()))
}

/// "3 waters, heats twice, 31 min": what usually comes, and how long its cycles are.
fn described(chart: &Chart, lasts: Seconds) -> String {
    let waters = match count(chart, Kind::Fill) {
        0 => String::new(),
        1 => "1 water, ".to_owned(),
        n => format!("{n} waters, "),
    };
    let may = chart.parts.iter().flat_map(|p| &p.intervals).filter(|i| i.kind == Kind::Heat).count();
    let heats = match (count(chart, Kind::Heat), may) {
        (_, 0) => "no heat".to_owned(),
        (1, 1) => "heats once".to_owned(),
        (2, 2) => "heats twice".to_owned(),
        (n, most) if n >= most => format!("heats {n} times"),
        (n, most) => format!("heats {n} to {most} times"),
    };
    format!("{waters}{heats}, {:.0} min", lasts.0 / 60.0)
}

/// How often what a machine does usually comes.
fn count(chart: &Chart, kind: Kind) -> usize {
    chart.must_come().filter(|i| i.kind == kind).count()
}

/// ", first wash 10 min": where a programme differs most from one that is described likewise; nothing where both are the same to the minute.
fn told_apart(chart: &Chart, twin: &Chart) -> Option<String> {
    const TOLD: [Kind; 5] = [Kind::Heat, Kind::Wash, Kind::Dry, Kind::Fill, Kind::Drain];
    if let Some(kind) = TOLD.into_iter().find(|&kind| count(chart, kind) != count(twin, kind)) {
        let n = count(chart, kind);
        return Some(format!(", {n} {}", if n == 1 { kind.word() } else { kind.plural() }));
    }
    let lengths = |chart: &Chart, kind: Kind| -> Vec<Seconds> {
        chart.must_come().filter(|i| i.kind == kind).filter_map(middle).collect()
    };
    let differ = TOLD.into_iter().flat_map(|kind| {
        let both = lengths(chart, kind).into_iter().zip(lengths(twin, kind));
        both.enumerate().map(move |(n, (own, other))| (kind, n, own, (own / other).ln().abs()))
    });
    let (kind, n, lasts, _) = differ.max_by(|a, b| a.3.total_cmp(&b.3))?;
    let lasts =
        if lasts.0 < 120.0 { format!("{:.0} s", lasts.0) } else { format!("{:.0} min", lasts.0 / 60.0) };
    let which = ["first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth"].get(n)?;
    Some(format!(", {which} {} {lasts}", kind.word()))
}
