//! Reads `*.plan.toml`. Every complaint names file, line and column.

use std::path::Path;

use super::Plan;
use super::tables::Table;
use crate::chart::{Complaint, FileError, place, small_text, tables};

/// Reads the plan at `path`; its machine file is looked for from the plan's folder.
///
/// # Errors
/// See [`FileError`].
pub fn read(path: &Path) -> Result<Plan, FileError> {
    let name = path.display().to_string();
    let text = small_text(path).map_err(|error| FileError::Io { what: "plan", name: name.clone(), error })?;
    let plan = parse(&text, &name)?;
    Ok(Plan { machine: path.parent().unwrap_or(Path::new("")).join(&plan.machine), ..plan })
}

/// Reads a plan from `text`; `name` is for messages.
///
/// # Errors
/// [`FileError::Wrong`].
pub fn parse(text: &str, name: &str) -> Result<Plan, FileError> {
    let wrong = |complaint: Complaint| complaint.in_file(text, name);
    let table: Table = tables(text).map_err(wrong)?;
    let line = |at: usize| place(text, at).0;
    table.check(&line).map_err(wrong)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const WHOLE: &str = r#"
bench = 1
control = "invented 0417"
complaint = "now and then it does not heat"
repair = "relay of the element replaced"
machine = "dishwasher.machine.toml"
confidence = 0.9

[[runs]]
programme = "normal"
count = 20

[fault]
kind = "no-heat heat"
seen = [1, 8]

[[limits]]
interval = "first fill"
lasts_s = [60, 110]
"#;

    fn told(text: &str) -> String {
        parse(text, "a.plan.toml").unwrap_err().to_string()
    }

    #[test]
    fn what_people_write_is_read() {
        let plan = parse(WHOLE, "a.plan.toml").unwrap();
        assert_eq!((plan.count(), plan.confidence, plan.stepped, plan.dummy), (20, 0.9, false, false));
        let fault = plan.fault.unwrap();
        assert_eq!((&*fault.kind, fault.found, fault.before), ("no-heat heat", 1, 8));
        assert_eq!((&*plan.limits[0].interval, plan.limits[0].lasts.high.0), ("first fill", 110.0));
        assert_eq!((plan.runs[0].line, plan.limits[0].line), (9, 17));
    }

    #[test]
    fn what_cannot_be_meant_is_told_with_its_place_and_a_remedy() {
        for (is, instead, told_is) in [
            ("bench = 1", "bench = 2", "a.plan.toml:2:9: this is version 2 of plans, and here is read 1"),
            ("count = 20", "count = 0", "a.plan.toml:11:9: from 1 to 100000 runs, and here are 0"),
            ("count = 20", "cuont = 20", "a.plan.toml:11:1: nothing here is called \"cuont\""),
            (
                "confidence = 0.9",
                "confidence = 95",
                "a.plan.toml:7:14: a confidence is between 0.5 and 0.9999, as in 0.95",
            ),
            (
                "seen = [1, 8]",
                "seen = [9, 8]",
                "a.plan.toml:15:8: how often it was found, and in how many runs, as in [1, 8]",
            ),
            ("no-heat heat", "cold heat", "a.plan.toml:14:8: \"cold heat\" is no kind of finding"),
            ("no-heat heat", "no-heat oven", "a.plan.toml:14:8: \"no-heat oven\" is no kind of finding"),
            ("[60, 110]", "[110, 60]", "a.plan.toml:19:11: the smaller number comes first: [60, 110]"),
            ("control = \"invented 0417\"", "control = \" \"", "a.plan.toml:3:11: the control has no name"),
            ("[[runs]]\nprogramme = \"normal\"\ncount = 20\n", "", "how many runs are wanted"),
        ] {
            assert!(WHOLE.contains(is));
            let told = told(&WHOLE.replace(is, instead));
            assert!(told.contains(told_is), "{told} and not {told_is}");
        }
    }

    proptest! {
        #[test]
        fn no_text_panics(text in "\\PC{0,300}", at in 0..WHOLE.len(), with in "\\PC{0,6}") {
            let _ = parse(&text, "any");
            let (before, after) = WHOLE.split_at(at);
            let _ = parse(&format!("{before}{with}{after}"), "any");
        }

        #[test]
        fn what_is_read_can_be_meant(found in 0_u32..30, before in 0_u32..30, count in 0_u32..200_000, confidence in -1.0..2.0_f64) {
            let text = WHOLE
                .replace("[1, 8]", &format!("[{found}, {before}]"))
                .replace("count = 20", &format!("count = {count}"))
                .replace("confidence = 0.9", &format!("confidence = {confidence:?}"));
            let can_be = (1..=before).contains(&found) && (1..=100_000).contains(&count) && (0.5..=0.9999).contains(&confidence);
            prop_assert_eq!(parse(&text, "any").is_ok(), can_be);
        }
    }
}
