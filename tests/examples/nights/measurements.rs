//! What each measurement that is advised shows of each cause. Written beside the advice and without regard to what explains what: it is the
//! judge. Common practice, no source.

use tubtrace_tests::program::Advised;

/// Whether the first measurement parts the right cause from the likeliest one that is not.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Parts {
    /// It does, or there is no other suspect and it shows the right one.
    Yes,
    /// It does not, or the right one is not among the suspects.
    No,
    /// What is advised begins with nothing that stands in the table.
    Unknown,
}

/// Causes that a measurement shows, those of one outcome together; of all others it finds nothing unusual.
type Outcomes = &'static [&'static [&'static str]];

/// Words of an advice, and what comes of it. Where several stand in one advice, the first is made first.
const MEASUREMENTS: [(&str, Outcomes); 50] = [
    ("leave the logger another night", &[]),
    ("panel was dead or showed an error", &[&["mains-lost"], &["control-resets"]]),
    ("turn the pump by hand", &[&["wash-pump-seized"], &["wash-pump-bearing"]]),
    ("the pickup sits tight", &[&["pickup-loose"]]),
    ("watch for ten minutes", &[&["inlet-valve-leaks"], &["control-relay"]]),
    ("ask whether the machine is fed hot or cold", &[]),
    ("measure the nearest hot tap", &[&["house-water-hot"], &["house-water-cold"]]),
    ("look at the element and its terminals", &ELEMENT),
    ("measure the element's resistance", &ELEMENT),
    ("look for suds", &[&["out-of-level"]]),
    (
        "look at plug, cord and the load's terminals",
        &[&["mains-lost", "mains-low"], &["element-shorted-turns"]],
    ),
    ("recorded heater current with its rating", &[&["element-part-open"], &["element-open"]]),
    ("dishes were lightly soiled", &[]),
    ("run it empty without detergent", &[&["detergent-or-soil"]]),
    ("open the supply valve fully", &[&["flow-low"], &["level-not-sensed"]]),
    ("kinked hose and a full filter", &[&["drain-blocked"]]),
    ("ask which programme", &[&["programme-changed"]]),
    ("see the water level after the fill", &[&["fill-level-short"], &["inlet-valve-leaks", "drain-blocked"]]),
    ("water was left in the tub", &[&["drain-blocked", "drain-pump-weak", "triac-or-relay-drain"]]),
    ("drain water's recorded temperature", &[&["temperature-sensor"], &["partly-loaded"]]),
    ("ask whether heated dry was chosen", &[&["programme-changed"]]),
    ("start a drain from the keypad", &[&["triac-or-relay-drain"], &["drain-blocked", "drain-pump-weak"]]),
    ("water siphons out between fills", &[&["drain-hose-loop"], &["fill-level-short"]]),
    ("compare with", &[]),
    ("take the clamp off first", &[&["logger-battery"]]),
    ("the jaw is closed around one", &[&["clamp-off"], &["clamp-on-two"]]),
    ("which clamp was on", &[&["clamp-range"]]),
    ("fit a clamp for more current", &[&["clamp-range"]]),
    ("the jaw is still closed", &[&["clamp-off"]]),
    ("press the pickup", &[&["pickup-loose"]]),
    ("clip's plug and lead", &[&["clip-open"]]),
    ("fit the clip to its pipe", &[&["clip-off"]]),
    ("open the supply valve;", &[&["water-shut-off", "flow-low"]]),
    ("motor is seized or its protector", &[&["wash-pump-seized"]]),
    ("water in the base pan", &[]),
    ("what else was on", &[&["mains-low"]]),
    ("what else went dark", &[&["mains-dip", "mains-lost"]]),
    ("pump's plug for heat marks", &[&["wash-pump-intermittent", "wash-pump-wiring"]]),
    ("whether the door was opened", &[&["door-latch"]]),
    ("listen to the relay", &[&["relay-chatters"]]),
    ("see whether current stays", &[&["dispenser-stuck", "control-relay"]]),
    ("vent stays open while it washes", &[&["vent-or-fan"]]),
    ("dish blocks the lid", &[&["dispenser-open"]]),
    ("water pressure", &[&["water-hammer"]]),
    ("look at the drain hose first", &[&["drain-hose-loop"]]),
    ("check valve in the drain outlet", &[&["air-gap-or-check-valve"]]),
    ("element's relay contacts", &[&["heater-relay-stuck"]]),
    ("follow the hose for a kink", &[&["drain-blocked"]]),
    ("whether a cold programme was set", &[&["programme-changed"]]),
    ("spray arms turn", &[&["suction-blocked"]]),
];

const ELEMENT: [&[&str]; 3] = [&["element-open"], &["element-part-open"], &["element-shorted-turns"]];

/// Whether the first measurement of an advice parts the right causes from the likeliest that is not.
pub fn parts(advised: &Advised, right: &[&str]) -> Parts {
    let Some(own) = advised.suspects.iter().find(|s| right.contains(&s.as_str())) else { return Parts::No };
    let next = advised.next.to_lowercase();
    let places = MEASUREMENTS.iter().filter_map(|(words, outcomes)| Some((next.find(words)?, *outcomes)));
    let Some((_, outcomes)) = places.min_by_key(|(place, _)| *place) else { return Parts::Unknown };
    let outcome = |cause: &str| outcomes.iter().position(|causes| causes.contains(&cause));
    let parted = match advised.suspects.iter().find(|s| !right.contains(&s.as_str())) {
        Some(rival) => outcome(own) != outcome(rival),
        None => outcome(own).is_some(),
    };
    if parted { Parts::Yes } else { Parts::No }
}
