//! What holds of all causes, measurements and words for customers.

use super::*;
use crate::checks::all;

const KINDS: [Kind; 6] = [Kind::Fill, Kind::Wash, Kind::Heat, Kind::Drain, Kind::Dry, Kind::Pause];

fn advise(departure: &str, does: Kind) -> Advice {
    Causes::built_in().advise(all().find(|c| c.id == departure).unwrap(), does)
}

#[test]
fn every_check_has_a_cause() {
    for (check, does) in all().flat_map(|c| KINDS.map(|k| (c, k))) {
        let advice = Causes::built_in().advise(check, does);
        assert!(!advice.suspects.is_empty(), "{check} {does}");
        assert!(advice.suspects.iter().all(|s| !s.text.is_empty()), "{check} {does}: {advice:?}");
    }
    for check in all() {
        let explains = |cause: &Cause| KINDS.iter().any(|k| cause.explains(&format!("{check} {k}")) > 0.0);
        assert!(BUILT_IN.all().iter().any(explains), "no cause explains {check}");
    }
}

/// A contact that is welded heats on whatever the machine does: in a water it heats for too long, at the end it dries or heats.
#[test]
fn one_contact_explains_heat_that_does_not_stop() {
    let all = BUILT_IN.all();
    let sticks = all.iter().find(|c| c.word == "heater-relay-stuck").unwrap();
    let kinds =
        ["heats-too-long heat", "too-long heat", "heat-at-end heat", "heat-at-end dry", "heats-on dry"];
    assert!(kinds.iter().all(|kind| sticks.explains(kind) > 0.0));
    for end in ["heat-at-end heat", "heat-at-end dry"] {
        let likeliest = all.iter().max_by(|a, b| a.explains(end).total_cmp(&b.explains(end))).unwrap();
        assert_eq!(likeliest.word, sticks.word);
    }
}

/// Whatever is suspected can be looked at, and told to a customer; so can whatever is found.
#[test]
fn every_suspect_can_be_looked_at_and_told_to_a_customer() {
    for word in BUILT_IN.0.suspect.keys() {
        let shows = |m: &Measurement| m.shows.iter().any(|s| s.of.get(word).is_some_and(|p| *p > 0.0));
        assert!(BUILT_IN.measurements().iter().any(shows), "nothing is measured of {word}");
        assert!(BUILT_IN.all().iter().any(|c| c.word == *word), "nothing speaks for {word}");
        assert!(BUILT_IN.0.because.contains_key(word), "{word}");
    }
    for check in all() {
        assert!(BUILT_IN.0.happened.contains_key(check.word()), "{check}");
    }
    for measurement in BUILT_IN.measurements() {
        assert_eq!(measurement.complaint(), None, "{}", measurement.word);
        assert!(!BUILT_IN.cautions_of(std::iter::once(measurement)).is_empty(), "{}", measurement.word);
        let suspects = measurement.shows.iter().flat_map(|s| s.of.keys());
        assert!(suspects.into_iter().all(|s| BUILT_IN.0.suspect.contains_key(s)), "{}", measurement.word);
    }
}

#[test]
fn causes_know_no_other_words() {
    let known: Vec<&str> = all().map(|c| c.id).collect();
    assert!(BUILT_IN.0.departure.iter().all(|e| known.contains(&e.is.as_str())));
    for cause in BUILT_IN.all() {
        assert!(BUILT_IN.0.suspect.contains_key(&cause.word), "{}", cause.word);
        let nothing: Vec<String> = cause.explains.keys().filter_map(|k| matches_nothing(k)).collect();
        assert!(nothing.is_empty(), "{cause:?}: {nothing:?}");
    }
}

/// Common practice, no source.
#[test]
fn what_the_trade_looks_at_first() {
    assert_eq!(advise("never-purged", Kind::Wash).suspects[0].word, "drain-hose-loop");
    let starved = advise("current-low", Kind::Wash);
    assert!(
        starved.suspects.iter().any(|s| s.word == "out-of-level"),
        "a machine out of level starves its pump"
    );
}

/// What is done, by words of a measurement, and the cautions of which one must stand beside it. Common practice, no source.
const ACTS: [(&[&str], &[&str]); 14] = [
    (&["voltage"], &["live"]),
    (&["the outlet", "cord and outlet"], &["outlet"]),
    (&["filter", "into the sump", "impeller", "check valve", "float moves"], &["sump"]),
    (&["turn the wash pump"], &["sump"]),
    (&["capacitor", "winding"], &["capacitor"]),
    (&["element"], &["element", "welded"]),
    (&["relay contacts"], &["welded"]),
    (&["relay", "plugs on the control"], &["mains", "element", "capacitor", "welded", "clip"]),
    (&["coil", "actuator", "latch", "temperature sensor"], &["mains"]),
    (&["bucket"], &["bucket"]),
    (&["drain hose", "pressure ("], &["water"]),
    (&["jaw", "keypad", "the clamp on", "the clamp stays"], &["clip"]),
    (&["hot tap", "thermostat"], &["hot", "element"]),
    (&["cells"], &["cells"]),
];

#[test]
fn what_can_hurt_stands_beside_what_is_done() {
    // A blank before each word: nobody who chose a programme holds a hose.
    let words = |m: &Measurement| format!(" {}", m.what.to_lowercase());
    for (measurement, (acts, cautions)) in BUILT_IN.measurements().iter().flat_map(|m| ACTS.map(|a| (m, a))) {
        if let Some(act) = acts.iter().find(|a| words(measurement).contains(&format!(" {a}"))) {
            let said = measurement.caution.words();
            let stands = cautions.iter().any(|c| said.iter().any(|s| s == c));
            // What is asked opens nothing.
            assert!(stands || measurement.effort == 1, "{act} without {cautions:?}: {measurement:?}");
        }
    }
    for (acts, _) in ACTS {
        let done = |act: &&str| BUILT_IN.measurements().iter().any(|m| words(m).contains(&format!(" {act}")));
        assert!(acts.iter().all(done), "nobody is told to do one of {acts:?}");
    }
}

/// The supply lead is outside; a conductor of a pump or a dispenser is not.
#[test]
fn nobody_is_sent_to_clamp_inside() {
    let clamps = |m: &&Measurement| m.what.contains("clamp on") || m.what.contains("clamp stays");
    for measurement in BUILT_IN.measurements().iter().filter(clamps) {
        assert!(measurement.what.contains("supply lead"), "{measurement:?}");
    }
}

/// What is measured live comes last, after what is looked at unplugged, by licensed people, and with its caution.
#[test]
fn live_measurements_come_last() {
    let live: Vec<_> =
        BUILT_IN.measurements().iter().filter(|m| m.what.to_lowercase().contains("voltage")).collect();
    assert!(!live.is_empty());
    for measurement in live {
        let (before, voltage) = measurement.what.split_at(measurement.what.find("voltage").unwrap());
        let licensed = before.contains("nplugged") && before.contains("last") && before.contains("licensed");
        assert!(licensed && measurement.effort == 4, "{measurement:?}");
        assert!(!voltage.contains("nplugged"), "{measurement:?}");
        assert!(
            BUILT_IN.cautions_of(std::iter::once(measurement)).ends_with("Never move live wiring."),
            "{measurement:?}"
        );
    }
}

#[test]
fn several_cautions_are_told_in_their_order() {
    let shop = |caution: &str| {
        let text = format!(
            "[caution]\na = \"Mind a.\"\nb = \"Mind b.\"\n[[measurement]]\nword = \"own\"\neffort = 2\nwhat = \"Look.\"\nshows = []\notherwise = \"no\"\ncaution = {caution}\n"
        );
        Causes::with(&text, "shop.toml")
    };
    let told = |caution: &str| {
        let shop = shop(caution).unwrap();
        shop.cautions_of(shop.measurements().iter().filter(|m| m.word == "own"))
    };
    assert_eq!(told("\"b\""), "Mind b.");
    assert_eq!(told("[\"b\", \"a\"]"), "Mind b. Mind a.");
    let unknown = shop("[\"a\", \"c\"]").unwrap_err().to_string();
    assert_eq!(
        unknown,
        "shop.toml: the measurement \"own\" names the caution \"c\", which is not under [caution]"
    );
}

#[test]
fn a_shop_adds_its_own() {
    let text = r#"
        [suspect]
        our-valve = "the valve of the last recall"
        [[departure]]
        is = "too-long"
        does = "fill"
        suspects = ["our-valve", "flow-low"]
        [[cause]]
        word = "our-valve"
        explains = { "too-long fill" = 6 }
    "#;
    let causes = Causes::with(text, "shop.toml").unwrap();
    let too_long = all().find(|c| c.id == "too-long").unwrap();
    let advice = causes.advise(too_long, Kind::Fill);
    assert_eq!(advice.suspects[0].text, "the valve of the last recall");
    assert_eq!(causes.advise(too_long, Kind::Drain).suspects[0].word, "drain-blocked");
    assert!(causes.all().iter().any(|c| c.word == "our-valve"));
}

#[test]
fn a_typo_in_it_is_told() {
    let told = |text| Causes::with(text, "shop.toml").unwrap_err().to_string();
    assert!(told("[suspect]\nx = 3\n").starts_with("shop.toml:2:5: "), "{}", told("[suspect]\nx = 3\n"));
    let unknown = "[[cause]]\nword = \"nobody\"\nexplains = {}\n";
    assert_eq!(told(unknown), "shop.toml: the cause \"nobody\" is not under [suspect]");
}

/// A key that matches nothing would be passed over without a word, and its cause never be named.
#[test]
fn a_key_that_matches_nothing_is_told_with_its_place_and_a_remedy() {
    let said = |key: &str| format!("[[cause]]\nword = \"element-open\"\nexplains = {{ {key:?} = 4 }}\n");
    let told = |key: &str| Causes::with(&said(key), "shop.toml").unwrap_err().to_string();
    assert_eq!(
        told("no-heat"),
        "shop.toml:3:26: \"no-heat\" matches nothing: a key is a finding's word and what the machine does; \
         write \"no-heat heat\", or \"no-heat *\" for whatever it does"
    );
    assert!(told("no-heat hot").contains("\"no-heat hot\" matches nothing"), "{}", told("no-heat hot"));
    assert!(told("no-het heat").contains("no finding is called \"no-het\""), "{}", told("no-het heat"));
    assert!(Causes::with(&said("no-heat *"), "shop.toml").is_ok());
    let departure = "[[departure]]\nis = \"no-het\"\nsuspects = [\"element-open\"]\n";
    let told = Causes::with(departure, "shop.toml").unwrap_err().to_string();
    assert!(told.starts_with("shop.toml:2:6: no finding is called \"no-het\""), "{told}");
}
