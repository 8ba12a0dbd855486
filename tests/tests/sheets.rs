//! The sheet behind the panel, from text to verdict: simulated machines held against the sheet that their paper would be, a real day against one that was
//! typed off it, and the command with sheets of any kind. `cargo xtask sheets` counts more machines.

use std::fs;

use tubtrace::findings::{Outcome, Surroundings, judge};
use tubtrace::intervals::Kind;
use tubtrace_tests::command::{Shop, said};
use tubtrace_tests::paper::{Counted, Plain, drawn, faulty, healthy, more_rinses};
use tubtrace_tests::real::{days, worked};
use tubtrace_units::Seconds;

/// Machines that nobody looked at while the sheet was made: the two that are always there, and two that are drawn.
const SEEDS: std::ops::Range<u64> = 420..424;

/// Those of which plain faults are tried: one on 230 V, and one that is drawn.
const FAULTY: std::ops::Range<u64> = 421..423;

/// Of 12 healthy cycles at most one departs, and none is called a stranger; a rinse more than on the sheet is no fault.
#[test]
fn healthy_nights_are_within_their_sheets() {
    let (mut own, mut fewer) = (Counted::default(), Counted::default());
    for seed in SEEDS {
        healthy(seed, 3, &mut own);
        more_rinses(seed, 2, &mut fewer);
    }
    println!(
        "{} of {} healthy cycles depart; with a rinse fewer on the sheet {} of {}",
        own.departing, own.cycles, fewer.departing, fewer.cycles
    );
    assert!(own.cycles == 12 && own.departing <= 1 && own.unknown == 0, "{}", own.told.join("\n"));
    assert!(
        fewer.cycles == 8 && fewer.within + fewer.explained == 8 && fewer.explained > 1,
        "{}",
        fewer.told.join("\n")
    );
}

/// A sheet tells plain faults as a learned chart does. Where nothing leaves the tub the loads of some machines are read wrongly, sheet or not.
#[test]
fn plain_faults_depart_with_the_right_cause_first() {
    let mut all = Counted::default();
    for plain in Plain::ALL {
        let mut own = Counted::default();
        FAULTY.for_each(|seed| faulty(seed, plain, &mut own));
        println!(
            "{plain:?}: {} of {} depart, the right cause first in {}",
            own.departing, own.cycles, own.right_first
        );
        all.cycles += own.cycles;
        all.right_first += own.right_first;
        all.told.extend(own.told);
    }
    assert!(all.cycles == 16 && all.right_first * 10 >= all.cycles * 9, "{all:?}\n{}", all.told.join("\n"));
}

/// A sheet as a person would type it off a day of a real machine, in half minutes, holds that day's cycles of the same programme.
#[test]
fn a_sheet_typed_for_a_real_programme_holds_its_day() {
    let (mut held, mut others) = (0, 0);
    for day in days("machine-") {
        let (log, cycles) = worked(&day);
        let surroundings = Surroundings::of(&log.trace, &cycles);
        for cycle in cycles.iter().filter(|c| !c.cut_at_start && !c.cut_at_end) {
            let mut text = String::from("name typed\n");
            for interval in &cycle.intervals {
                // No paper has less than half a minute, and nobody writes down a blink.
                let minutes = ((interval.duration().0 / 30.0).round() / 2.0).max(0.5);
                let what = match interval.kind {
                    Kind::Heat => "wash MIN + heat",
                    Kind::Fill | Kind::Wash | Kind::Drain | Kind::Dry => "KIND MIN",
                    Kind::Pause if interval.duration() > Seconds(60.0) => "pause MIN",
                    // Nothing that a paper has.
                    _ => continue,
                };
                if interval.duration() > Seconds(10.0) {
                    let line =
                        what.replace("KIND", interval.kind.word()).replace("MIN", &format!("{minutes:.1}"));
                    text.push_str(&(line + "\n"));
                }
            }
            if text.lines().count() < 4 {
                continue;
            }
            match judge(&drawn(&text).chart.into(), cycle, surroundings).outcome() {
                Outcome::Within => held += 1,
                _ => others += 1,
            }
        }
    }
    if held + others == 0 {
        println!("skipped: no real cycles, for TUBTRACE_REAL_CYCLES names no folder with them");
        return;
    }
    println!("of {} real cycles, {held} are within a sheet that was typed off them", held + others);
    assert!(held * 10 >= (held + others) * 8, "{held} of {}", held + others);
}

/// The machine of `invented`, as its paper would be.
const SHEET: &str = "# Invented.\nname invented\nfill 1\nwash 3\ndrain 0:40\nfill 1\nwash 1\nwash 5 + heat\nwash 4\ndrain 0:45\nfill 1\nrinse 1:30\ndrain 0:45\n";

#[test]
fn a_night_and_a_sheet_are_checked_in_one_step() {
    let shop = Shop::with_night();
    fs::write(shop.path("sheet.txt"), SHEET).unwrap();
    shop.well(&["check", "night.tub", "--sheet", "sheet.txt"]);
    shop.well(&["report", "night.tub", "--sheet", "sheet.txt", "-o", "night.html"]);
    assert!(String::from_utf8(shop.bytes("night.html")).unwrap().contains("invented"));

    // The chart that is kept is the one that the sheet is checked by.
    shop.well(&["sheet", "sheet.txt", "-o", "kept.chart.toml"]);
    shop.well(&["check", "night.tub", "--machine", "kept.chart.toml"]);
    shop.refuses(&["sheet", "sheet.txt", "-o", "kept.chart.toml"], "is there already");
    shop.refuses(&["sheet", "sheet.txt", "-o", "sheet.txt", "--force"], "is read here too");
    shop.refuses(
        &["report", "night.tub", "--sheet", "sheet.txt", "-o", "sheet.txt", "--force"],
        "is read here too",
    );
    shop.refuses(&["check", "-", "--sheet", "-"], "only once");
    shop.refuses(&["check", "night.tub", "--sheet", "gone.txt"], "cannot read the sheet gone.txt");

    let mut command = shop.command(&["check", "night.tub", "--sheet", "-"]);
    let output = command.stdin(fs::File::open(shop.path("sheet.txt")).unwrap()).output().unwrap();
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
}

/// What differs from the sheet is told with the line that would explain it.
#[test]
fn an_option_explains_what_differs() {
    let shop = Shop::with_night();
    for (sheet, told) in [
        (SHEET.replace("wash 4\n", "wash 2\n"), "line 9 were \"wash 2-4\" and not \"wash 2\""),
        (format!("{SHEET}fill 1\nfinal wash 3\ndrain 0:45\n"), "\"may water 4:\" stood above line 14"),
    ] {
        fs::write(shop.path("sheet.txt"), &sheet).unwrap();
        let output = shop.command(&["check", "night.tub", "--sheet", "sheet.txt"]).output().unwrap();
        let shown = String::from_utf8(output.stdout).unwrap();
        let flat = shown.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flat.contains(told) && flat.contains("would be within the sheet"), "{sheet}\n{shown}");
    }
}

#[cfg(unix)]
#[test]
fn what_is_no_sheet_is_refused_and_never_waited_for() {
    let shop = Shop::with_night();
    shop.refuses(&["sheet", "/dev/zero"], "1 MiB");
    shop.refuses(&["sheet", "night.tub"], "night.tub:1:");
    shop.refuses(&["sheet", "meter.csv"], "meter.csv:1:");
    fs::write(shop.path("many.txt"), "wsh 4\n".repeat(100_000)).unwrap();
    shop.refuses(&["sheet", "many.txt"], "and 99980 more mistakes");
    let output = shop.command(&["sheet"]).stdin(std::process::Stdio::null()).output().unwrap();
    assert!(output.status.code() == Some(2) && said(&output).contains("which sheet?"), "{}", said(&output));
}
