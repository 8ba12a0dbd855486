//! The report's page as a file: how large it can get, and what a log may not do to it. What a browser makes of it: `tests/page`.

use std::fmt::Write;

use rand::RngExt;
use rand::rand_core::SeedableRng;
use tubtrace::analysis::Analysis;
use tubtrace::compare::among;
use tubtrace::diagnosis::diagnose;
use tubtrace::findings::{Causes, Surroundings};
use tubtrace::log::{Assumptions, parse};
use tubtrace::report::{Sheet, Subject, page};
use tubtrace_simulator::Random;
use tubtrace_tests::command::Shop;

/// Twelve hours of an invented machine at a reading a second, no two of which are alike: eight cycles, drawn and clips both noisy.
fn restless() -> String {
    let mut random = Random::seed_from_u64(7);
    let mut csv = String::from("time,watts,supply_c,drain_c\n");
    let plan = [
        (90, 12.0),
        (900, 95.0),
        (700, 2_050.0),
        (600, 94.0),
        (60, 28.0),
        (90, 12.0),
        (400, 96.0),
        (60, 28.0),
        (2_400, 1.0),
    ];
    let mut second = 0;
    for _ in 0..8 {
        for (lasts, watts) in plan {
            for _ in 0..lasts {
                let noise: f64 = random.random_range(0.97..1.03);
                let clips: [f64; 2] = [random.random_range(20.0..55.0), random.random_range(20.0..55.0)];
                // One surge in all the night.
                let watts = if second == 20_000 { 3_333.0 } else { watts * noise };
                let _ = writeln!(csv, "{second},{watts:.2},{:.2},{:.2}", clips[0], clips[1]);
                second += 1;
            }
        }
    }
    assert!(second > 41_000, "half a day");
    csv
}

fn page_of(csv: &str, label: &str) -> String {
    let mut log = parse(csv.as_bytes(), Assumptions::default()).unwrap();
    log.trace.label = label.to_owned();
    let cycles = Analysis::of(&log.trace).cycles;
    assert_eq!(cycles.len(), 8);
    let surroundings = Surroundings::of(&log.trace, &cycles);
    let judged = among(&cycles, log.trace.resolution, surroundings, Causes::built_in());
    let subject = Subject::of(&log, &cycles);
    let causes = Causes::built_in();
    let diagnoses = diagnose(&cycles, &judged, causes);
    page(Sheet {
        subject,
        chart: Some("the others"),
        judged: &judged,
        diagnoses: &diagnoses,
        causes,
        role: "",
        options: &[],
        all: false,
    })
}

#[test]
fn a_night_that_never_rests_is_small_enough_and_hides_no_spike() {
    let page = page_of(&restless(), "night");
    assert!(page.len() < 1_500_000, "{} bytes", page.len());
    // The surge is the top of its picture's scale but for a tenth: its height is 1000 - 1000 sqrt(1 / 1.1) = 47.
    let paths: Vec<&str> = page.split("<path class=\"curve c0\"").skip(1).collect();
    let drawn = |p: &&str| p.split_once("d=\"M").map(|(_, rest)| highest(&format!("M{rest}")));
    assert!(
        paths.iter().any(|p| p.contains("data-name=\"power\"") && drawn(p) == Some(47)),
        "the surge is drawn"
    );
}

/// The least height of a path of `M x y`, `h dx` and `v dy`.
fn highest(path: &str) -> i64 {
    let d = path.split('"').next().unwrap_or_default();
    let number = |text: &str| text.parse::<i64>().expect("a number");
    let mut least = i64::MAX;
    for piece in d.split('M').skip(1) {
        let (start, steps) = piece.split_once('h').expect("it holds for a while");
        let mut y = number(start.split_once(' ').expect("x and y").1);
        least = least.min(y);
        for (_, down) in steps.split('h').filter_map(|step| step.split_once('v')) {
            y += number(down);
            least = least.min(y);
        }
    }
    least
}

/// A customer is told something of a night in which nothing was found as well.
#[test]
fn a_healthy_page_has_a_box_for_the_customer() {
    // Without its one surge.
    let html = page_of(&restless().replace(",3333.00,", ",95.00,"), "quiet");
    let (_, told) = html.split_once("<section class=\"customer\">").unwrap();
    let (told, _) = told.split_once("</section>").unwrap();
    assert!(told.contains("In 7 runs nothing went wrong."), "{told}");
    assert!(!told.contains("For the customer:"), "its heading says so");
}

/// The heading counts as the screen does, the colours are named where they are first seen, and what departs comes before what does not.
#[test]
fn what_departs_comes_first() {
    let shop = Shop::new();
    shop.well(&["demo", "--save", "demo/"]);
    shop.well(&["report", "demo/night.tub", "-o", "night.html"]);
    let html = String::from_utf8(shop.bytes("night.html")).unwrap();
    // The answer's order: what is explained best of what is as grave, and not the first in time.
    assert!(html.contains("<h1>3 of 6 cycles depart: in cycle 6 its pump ran"), "the heading");
    assert_eq!(html.matches("<section class=\"customer\">").count(), 1);
    let at = |what: &str| html.find(what).unwrap_or_else(|| panic!("no {what}"));
    assert!(at("class=\"legend\"") < at("<h2>Findings"));
    let mut cycles: Vec<u32> = (1..=6).collect();
    cycles.sort_by_key(|n| at(&format!("id=\"cycle-{n}\"")));
    assert_eq!(cycles, [2, 4, 6, 1, 3, 5]);
}

#[test]
fn what_a_label_holds_stays_text() {
    let label = "<script>alert(1)</script> & \"flat\" 3\u{1b}[2J";
    let page = page_of(&restless(), label);
    assert!(!page.contains("<script>alert"), "it is escaped");
    assert!(page.contains("&lt;script&gt;alert(1)&lt;/script&gt; &amp; &quot;flat&quot; 3"));
    assert!(!page.contains('\u{1b}'));
    assert!(page.contains("default-src 'none'"));
    for asked in ["http://", "https://", "src=", "@import", "url("] {
        assert!(!page.contains(asked), "nothing is asked for by {asked}");
    }
}

/// A log of two million presses of the button; the page has the first and says how many there are.
#[test]
fn a_page_of_very_many_marks_is_as_small() {
    let mut log = parse(restless().as_bytes(), Assumptions::default()).unwrap();
    let cycles = Analysis::of(&log.trace).cycles;
    let page_of = |log: &tubtrace::log::Log| {
        let subject = Subject::of(log, &cycles);
        page(Sheet {
            subject,
            chart: None,
            judged: &[],
            diagnoses: &[],
            causes: Causes::built_in(),
            role: "",
            options: &[],
            all: false,
        })
    };
    let plain = page_of(&log).len();
    log.trace.marks = (0..2_000_000).map(|i| tubtrace_units::Seconds(f64::from(i) * 0.02)).collect();
    let marked = page_of(&log);
    assert!(marked.contains("2000000 times in all"));
    // Two hundred in each of eight cycles and the whole, of a hundred bytes or so each.
    assert!(marked.len() < plain + 9 * 200 * 150 + 10_000, "{} beside {plain}", marked.len());
}
