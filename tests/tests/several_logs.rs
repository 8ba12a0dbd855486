//! Options that several commands have mean the same in each, and what is known of a job or a sheet stands in whatever is made of a log.

use std::fs;

use serde_json::Value;
use tubtrace_tests::command::Shop;

/// A cause of a shop's own, which explains what the machine of [`tubtrace_tests::command::invented`] is charged with below.
const OWN: &str = "[suspect]\nour-own = \"a cause of our own\"\n\n[[cause]]\nword = \"our-own\"\nexplains = { \"no-heat heat\" = 4.5 }\n";

fn printed(shop: &Shop, arguments: &[&str]) -> String {
    String::from_utf8(shop.command(arguments).output().unwrap().stdout).unwrap()
}

fn json(shop: &Shop, arguments: &[&str]) -> Value {
    serde_json::from_str(&printed(shop, arguments)).unwrap_or_else(|e| panic!("{arguments:?}: {e}"))
}

#[test]
fn each_log_of_a_report_has_its_page() {
    let shop = Shop::with_night();
    fs::copy(shop.path("night.tub"), shop.path("second.tub")).unwrap();
    shop.well(&["report", "night.tub", "second.tub", "-o", "pages/"]);
    let pages =
        ["pages/night.html", "pages/second.html"].map(|page| String::from_utf8(shop.bytes(page)).unwrap());
    assert!(pages.iter().all(|page| page.contains("</html>")));
    // Nothing is written over, and all of that is known before a log is read.
    shop.refuses(&["report", "second.tub", "night.tub", "-o", "pages/"], "is there already");
    shop.refuses(&["report", "night.tub", "second.tub", "-o", "night.tub"], "name a folder");
    shop.refuses(
        &["report", "night.tub", "second.tub", "--after", "night.tub", "-o", "x.html"],
        "one log from before",
    );
    // One that cannot be read keeps no other from its page.
    fs::write(shop.path("broken.csv"), "nothing").unwrap();
    shop.refuses(&["report", "broken.csv", "second.tub", "-o", "more/"], "1 of 2 logs");
    assert!(shop.path("more/second.html").exists() && !shop.path("more/broken.html").exists());
}

/// Stepped through by hand: no interval is as long as it should be, and only what is out of order or draws what it should not is told.
#[test]
fn a_report_is_judged_as_a_check_is() {
    let shop = Shop::with_night();
    shop.well(&["learn", "night.tub", "-o", "m.machine.toml"]);
    // Each stretch of the meter's file a quarter as long: a run that was stepped.
    let meter = String::from_utf8(shop.bytes("meter.csv")).unwrap();
    let rows = meter.lines().skip(1).filter_map(|row| row.split_once(','));
    let quick: Vec<(u64, &str)> = rows
        .map(|(time, watts)| (time.parse::<u64>().unwrap(), watts))
        .filter(|(time, _)| time % 4 == 0)
        .collect();
    let rows: String = quick.iter().map(|(time, watts)| format!("{},{watts}\n", time / 4)).collect();
    fs::write(shop.path("quick.csv"), format!("time,watts\n{rows}")).unwrap();
    let machine = ["--machine", "m.machine.toml"];
    let page = |name: &str, options: &[&str]| {
        let all: Vec<&str> =
            ["report", "quick.csv", "-o", name].iter().chain(&machine).chain(options).copied().collect();
        let (code, said) = shop.run(&all);
        assert_eq!(code, 0, "{said}");
        String::from_utf8(shop.bytes(name)).unwrap()
    };
    let (timed, stepped) = (page("timed.html", &[]), page("stepped.html", &["--stepped"]));
    assert!(!stepped.contains("takes too long") && !stepped.contains("too short"));
    assert!(
        timed.contains("too short") || timed.contains("not a programme") || timed.contains("no programme"),
        "as long as it should be"
    );
}

#[test]
fn causes_of_a_shop_stand_beside_the_others() {
    let shop = Shop::with_night();
    shop.well(&["learn", "night.tub", "-o", "m.machine.toml"]);
    fs::write(shop.path("own.toml"), OWN).unwrap();
    let cold = String::from_utf8(shop.bytes("meter.csv")).unwrap();
    let cold: String = cold
        .lines()
        .map(
            |row| if row.contains(",2040") { row.replace(",2040", ",92") + "\n" } else { format!("{row}\n") },
        )
        .collect();
    fs::write(shop.path("cold.csv"), cold).unwrap();
    let told = printed(&shop, &["check", "cold.csv", "--machine", "m.machine.toml", "--causes", "own.toml"]);
    let one = |text: &str| told.split_whitespace().collect::<Vec<_>>().join(" ").contains(text);
    assert!(one("a cause of our own (") && one("heating element open"), "{told}");
    let (code, said) = shop.run(&[
        "report",
        "cold.csv",
        "--machine",
        "m.machine.toml",
        "--causes",
        "own.toml",
        "-o",
        "cold.html",
    ]);
    assert_eq!(code, 0, "{said}");
    let page = String::from_utf8(shop.bytes("cold.html")).unwrap();
    assert!(page.contains("a cause of our own") && page.contains("heating element open"));
    shop.refuses(&["report", "cold.csv", "--causes", "none.toml", "-o", "x.html"], "cannot read none.toml");
}

/// A rinse more than on the sheet is a choice at the panel: so say text, JSON and page.
#[test]
fn choices_of_the_sheet_are_told_wherever_a_log_is_judged() {
    let shop = Shop::with_night();
    fs::write(
        shop.path("paper.txt"),
        "name invented\nprewash:\nfill 1\nwash 3\ndrain 0:40\nmain wash:\nfill 1\nwash 1\nheat to 55 C\nwash 4\ndrain 0:45\n",
    )
    .unwrap();
    let told = json(&shop, &["check", "night.tub", "--sheet", "paper.txt", "--json"]);
    let options = &told["cycles"][0]["options"];
    assert!(options["changes"].as_array().is_some_and(|c| !c.is_empty()), "{told}");
    let instead = options["changes"][0]["instead"].as_str().unwrap();
    let text = printed(&shop, &["check", "night.tub", "--sheet", "paper.txt"]);
    assert!(text.contains("Cycle 1 would be"), "{text}");
    shop.well(&["report", "night.tub", "--sheet", "paper.txt", "-o", "night.html"]);
    let page = String::from_utf8(shop.bytes("night.html")).unwrap();
    assert!(page.contains("Cycle 1 would be") && page.contains(instead), "{instead}");
    // Without a sheet, there are none.
    assert!(json(&shop, &["check", "night.tub", "--json"])["cycles"][0].get("options").is_none());
}

/// What a program needs to tell a person: when the log began, and each suspect in words.
#[test]
fn what_programs_read_has_the_start_of_the_log_and_suspects_in_words() {
    let shop = Shop::new();
    shop.well(&["demo", "--save", "."]);
    let told = json(&shop, &["check", "night.tub", "--json"]);
    assert_eq!(told["start"], "2026-03-06T20:00:00+00:00", "{told}");
    let suspects: Vec<&Value> = told["diagnoses"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|d| d["suspects"].as_array().unwrap())
        .collect();
    assert!(suspects.len() > 3, "{told}");
    for suspect in suspects {
        assert!(suspect["text"].as_str().unwrap().contains(' '), "{suspect}");
    }
}

#[test]
fn what_is_said_of_a_job_is_kept_and_printed() {
    let shop = Shop::with_night();
    shop.well(&[
        "report",
        "night.tub",
        "-o",
        "night.html",
        "--customer",
        "invented",
        "--complaint",
        "stays cold",
    ]);
    assert!(String::from_utf8(shop.bytes("night.html")).unwrap().contains("complaint: stays cold"));
    for command in ["check", "timeline"] {
        let told = json(&shop, &[command, "night.tub", "--json"]);
        assert_eq!(told["job"]["complaint"], "stays cold", "{told}");
        assert_eq!(told["label"], "meter", "{told}");
        assert!(printed(&shop, &[command, "night.tub"]).contains("customer: invented"));
    }
    // A logger keeps its label alone: a job is kept for the log that will be, or refused before anything is asked of a logger.
    shop.refuses(&["arm", "--port", "tcp:127.0.0.1:1", "--customer", "invented"], "--for");
}

/// Of 48 cycles of which none departs three have a picture, unless all are asked for, and what stands of the others is small.
#[test]
fn a_page_of_many_cycles_shows_few() {
    let shop = Shop::new();
    fs::write(shop.path("many.csv"), tubtrace_tests::command::invented(48)).unwrap();
    let page = |options: &[&str]| {
        let all: Vec<&str> =
            ["report", "many.csv", "--force", "-o", "many.html"].iter().chain(options).copied().collect();
        shop.well(&all);
        String::from_utf8(shop.bytes("many.html")).unwrap()
    };
    let (some, all) = (page(&[]), page(&["--all"]));
    let pictures = |page: &str| page.matches("<section class=\"cycle\"").count();
    assert_eq!((pictures(&some), pictures(&all)), (3, 48));
    assert!(some.contains("Of 48 cycles 3 are shown here") && !all.contains("are shown here"));
    let each = all.len() / 48;
    assert!(some.len() < 12 * each, "{} of {}", some.len(), all.len());
}
