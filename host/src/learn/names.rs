//! Names of programmes, by what tells them apart.

use std::collections::BTreeMap;

use tubtrace_units::Seconds;

use crate::chart::{Chart, Limits, Machine};
use crate::intervals::Kind;

/// Names the programmes of a machine. A machine of one programme has its name.
pub(super) fn give(machine: &mut Machine) {
    if let [only] = machine.programmes.as_mut_slice() {
        only.name.clone_from(&machine.name);
        return;
    }
    let mut times: BTreeMap<String, u32> = BTreeMap::new();
    for programme in &mut machine.programmes {
        let name = described(programme);
        let count = times.entry(name.clone()).or_default();
        *count += 1;
        programme.name = if *count == 1 { name } else { format!("{name} ({count})") };
    }
}

/// "3 waters, heats twice, 31 min": what usually comes, and how long that is.
fn described(chart: &Chart) -> String {
    let usual =
        || chart.parts.iter().filter(|p| p.times.low > 0).flat_map(|p| p.intervals.iter().filter(|i| !i.may));
    let count = |kind: Kind| usual().filter(|i| i.kind == kind).count();
    let middle = |Limits { low, high }: Limits<Seconds>| Seconds((low.0 * high.0).sqrt());
    let lasts: Seconds = usual().filter_map(|i| i.lasts).map(middle).sum();
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
