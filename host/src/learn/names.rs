//! Names of programmes, by what tells them apart.

use tubtrace_units::Seconds;

use crate::chart::{Chart, Limits, Machine};
use crate::intervals::Kind;

/// Names the programmes of a machine, whose cycles are so long in the middle. A machine of one programme has its name.
pub(super) fn give(machine: &mut Machine, lengths: &[Seconds]) {
    if let [only] = machine.programmes.as_mut_slice() {
        only.name.clone_from(&machine.name);
        return;
    }
    let mut programmes = std::mem::take(&mut machine.programmes);
    for (programme, lasts) in programmes.iter_mut().zip(lengths) {
        programme.name = described(programme, *lasts);
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
    let middle = |Limits { low, high }: Limits<Seconds>| Seconds((low.0 * high.0).sqrt());
    chart.must_come().filter_map(|i| i.lasts).map(middle).sum()
}

/// "3 waters, heats twice, 31 min": what usually comes, and how long its cycles are.
fn described(chart: &Chart, lasts: Seconds) -> String {
    let count = |kind: Kind| chart.must_come().filter(|i| i.kind == kind).count();
    let waters = match count(Kind::Fill) {
        0 => String::new(),
        1 => "1 water, ".to_owned(),
        n => format!("{n} waters, "),
    };
    let heats = match count(Kind::Heat) {
        0 => "no heat".to_owned(),
        1 => "heats once".to_owned(),
        2 => "heats twice".to_owned(),
        n => format!("heats {n} times"),
    };
    format!("{waters}{heats}, {:.0} min", lasts.0 / 60.0)
}
