//! What each measurement that is advised shows of each cause. Common practice, no source. It was written with the program's own table of
//! measurements in view, so it finds what that forgets or chooses badly, and not where both are wrong about the trade.

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

/// The measurement that the answer names first, by its word, and what comes of it.
const MEASUREMENTS: [(&str, Outcomes); 39] = [
    ("ask-programme", &[&["programme-changed"]]),
    ("ask-load", &[&["partly-loaded"], &["light-soil"], &["detergent-or-soil"]]),
    ("ask-house", &[&["mains-lost", "mains-dip", "mains-low"], &["neutral-loose"]]),
    ("run-again", &[&["control-timing", "control-clock"]]),
    ("panel", &[&["mains-lost"], &["control-resets"]]),
    ("outlet", &[&["mains-low", "mains-dip", "mains-lost"]]),
    ("supply-voltage", &[&["mains-low"], &["neutral-loose"]]),
    ("control-plugs", &[&["control-resets", "control-relay", "relay-chatters"]]),
    ("latch", &[&["door-latch"]]),
    ("bucket", &[&["water-shut-off"], &["flow-low"]]),
    ("inlet-valve", &[&["flow-low"], &["inlet-valve-open"], &["inlet-valve-weak"]]),
    ("float", &[&["fill-level-short"], &["level-not-sensed"]]),
    ("still-fills", &[&["inlet-valve-leaks"]]),
    ("hot-tap", &[&["house-water-cold"], &["long-pipe"], &["house-water-hot"]]),
    ("water-pressure", &[&["water-hammer"]]),
    ("drain-hose", &[&["drain-blocked", "suction-blocked"], &["drain-hose-loop"], &["drain-air-locked"]]),
    ("filter", &[&["drain-blocked", "suction-blocked"]]),
    ("check-valve", &[&["air-gap-or-check-valve"]]),
    ("start-a-drain", &[&["triac-or-relay-drain"], &["drain-blocked"], &["drain-pump-weak"]]),
    ("drain-pump", &[&["drain-pump-weak"], &["triac-or-relay-drain"], &["drain-intermittent"]]),
    (
        "base-pan",
        &[&["base-pan-wet"], &["drain-relay-welded", "dispenser-stuck", "vent-or-fan", "heater-relay-stuck"]],
    ),
    ("wash-pump", &[&["wash-pump-seized"], &["wash-pump-bearing"], &["wash-pump-worn"]]),
    ("capacitor", &[&["wash-pump-start"]]),
    ("wash-pump-plug", &[&["wash-pump-wiring"], &["wash-pump-intermittent"]]),
    ("suds", &[&["out-of-level"]]),
    ("water-level", &[&["fill-level-short"], &["inlet-valve-leaks", "drain-blocked"]]),
    ("listen", &[&["relay-chatters"], &["wash-pump-start", "wash-pump-seized"]]),
    ("element", &ELEMENT),
    ("cut-out", &[&["limit-thermostat"]]),
    ("heater-relay", &[&["heater-relay-stuck"], &["control-relay"]]),
    ("temperature-sensor", &[&["temperature-sensor"]]),
    ("without-detergent", &[&["soil-sensor"], &["detergent-or-soil"]]),
    ("vent", &[&["vent-or-fan"]]),
    ("dispenser", &[&["dispenser-open"]]),
    ("dispenser-actuator", &[&["dispenser-open"], &["dispenser-stuck"]]),
    ("jaw", &[&["clamp-off"], &["clamp-on-two"], &["clamp-range"]]),
    ("pickups", &[&["pickup-loose"]]),
    ("clips", &[&["clip-off"], &["clip-open"]]),
    ("cells", &[&["logger-battery"]]),
];

const ELEMENT: [&[&str]; 3] = [&["element-open"], &["element-part-open"], &["element-shorted-turns"]];

/// Whether the first measurement of an advice parts the right causes from the likeliest that is not.
pub fn parts(advised: &Advised, right: &[&str]) -> Parts {
    let Some(own) = advised.suspects.iter().find(|s| right.contains(&s.as_str())) else { return Parts::No };
    let known = MEASUREMENTS.iter().find(|(word, _)| advised.next == *word);
    let Some((_, outcomes)) = known else { return Parts::Unknown };
    let outcome = |cause: &str| outcomes.iter().position(|causes| causes.contains(&cause));
    let parted = match advised.suspects.iter().find(|s| !right.contains(&s.as_str())) {
        Some(rival) => outcome(own) != outcome(rival),
        None => outcome(own).is_some(),
    };
    if parted { Parts::Yes } else { Parts::No }
}
