//! The same for programs. Field names are part of the command's interface: they are added to, never changed.

use serde_json::{Value, json};

use super::called::Called;
use super::within::place;
use super::wording::{exchanged, letter};
use crate::compare::{Comparison, Drift, Odd, Pair, Question, Row, Said};

/// The comparison for programs.
#[must_use]
pub fn groups_json(of: &Comparison, called: Called) -> String {
    let group = |g: usize| {
        json!({
            "letter": letter(g as u8), "name": called.names[g], "cycles": of.cycles[g], "left_out": of.left_out[g], "nights": of.nights[g],
            "machines": of.machines[g], "units": of.units[g],
        })
    };
    let programme = |(name, counts): &(String, Vec<usize>)| json!({ "name": name, "cycles": counts });
    let programme_of = |question: &Question| of.programmes.get(question.programme).map(|p| p.0.as_str());
    let row = |row: &Row| {
        let question = &row.question;
        json!({
            "programme": programme_of(question),
            "interval": question.interval,
            "measure": question.measure.word(),
            "unit": question.measure.unit(),
            "said": match row.said {
                Said::Differs => "differs",
                Said::Same => "same",
                Said::NotShown => "not-shown",
                Said::CannotTell => "cannot-tell",
            },
            "counts": row.groups.iter().map(|g| g.count).collect::<Vec<_>>(),
            "middles": row.groups.iter().map(|g| g.middle).collect::<Vec<_>>(),
            "shift": row.shift,
            "interval_95": row.interval.map(|(low, high)| [low, high]),
            "cliffs_delta": row.delta,
            "p": row.p,
            "p_of_any": row.of_any,
            "q": row.q,
            "least_shown": row.least_shown,
            "same_within": row.same.map(|s| s.0),
            "p_same": row.same.map(|s| s.1),
        })
    };
    let pair = |pair: &Pair| json!({ "groups": pair.groups.map(letter), "questions": pair.rows.iter().map(row).collect::<Vec<_>>() });
    let drift = |drift: &Drift| {
        json!({
            "group": letter(drift.group), "machine": drift.machine, "programme": programme_of(&drift.question),
            "interval": drift.question.interval, "measure": drift.question.measure.word(),
            "unit": drift.question.measure.unit(), "by": drift.by, "over": drift.over, "p_of_any": drift.of_any,
        })
    };
    let odd = |odd: &Odd| {
        let (file, time) = place(odd, called);
        json!({
            "group": letter(odd.group), "file": file, "time": time, "start_s": odd.start.0,
            "programme": programme_of(&odd.question), "interval": odd.question.interval,
            "measure": odd.question.measure.word(), "unit": odd.question.measure.unit(),
            "value": odd.value, "middle": odd.middle, "deviations": odd.far, "more": odd.more,
        })
    };
    let all: Value = json!({
        "groups": (0..of.cycles.len()).map(group).collect::<Vec<_>>(),
        "sorted_by": called.machine,
        "programmes": of.programmes.iter().map(programme).collect::<Vec<_>>(),
        "exchanged": exchanged(of.exchanged),
        "arrangements": of.arrangements.0,
        "all_arrangements": of.arrangements.1,
        "shared_machines": of.shared_machines,
        "least_p": of.least_p,
        "least_in_each_group": of.enough,
        "pairs": of.pairs.iter().map(pair).collect::<Vec<_>>(),
        "drifts": of.drifts.iter().map(drift).collect::<Vec<_>>(),
        "odd_cycles": of.odd.iter().map(odd).collect::<Vec<_>>(),
        "questions": of.rows.iter().map(row).collect::<Vec<_>>(),
    });
    serde_json::to_string_pretty(&all).unwrap_or_default()
}
