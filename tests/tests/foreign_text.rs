//! Text of others (labels, names, headers, keys, causes, file names) never steers the terminal or the page that shows it.

use std::path::Path;

use proptest::prelude::*;
use tubtrace::log::{Assumptions, parse, to_tub};
use tubtrace_tests::command::{Shop, invented};

/// What people typed that no terminal should obey: a title, a cleared screen, a blink, an 8-bit control, a line turned around.
const STEERS: &str = "\u{1b}]0;x\u{7}\u{1b}[2J\u{1b}[5m\r\u{8}\u{7f}\u{9b}2J\u{61c}\u{200e}\u{200f}\u{2028}\u{2029}\u{202a}\u{202e}\u{2066}\u{2069}";

/// Any text, with something in it that steers.
fn foreign() -> impl Strategy<Value = String> {
    let steering: Vec<char> = STEERS.chars().collect();
    let one = prop_oneof![proptest::sample::select(steering), any::<char>(), proptest::char::range(' ', '~')];
    proptest::collection::vec(one, 1..30)
        .prop_map(|chars| chars.into_iter().filter(|c| *c != '\0').collect::<String>() + "\u{1b}[5m\u{202e}")
}

/// What no terminal and no page may be given (C0 but newline, DEL, C1, what sets a direction, separators of Unicode), once the styles of
/// the program itself are taken out: bold, faint, underlined, a colour, and back.
fn left(text: &str) -> Option<String> {
    let own = ["0", "1", "2", "4", "31", "32", "33", "34", "35", "36"];
    let plain = own.iter().fold(text.to_owned(), |text, code| text.replace(&format!("\u{1b}[{code}m"), ""));
    let steers = |c: char| {
        (c.is_control() && c != '\n')
            || "\u{61c}\u{200e}\u{200f}".contains(c)
            || ('\u{2028}'..='\u{202e}').contains(&c)
            || ('\u{2066}'..='\u{2069}').contains(&c)
    };
    let at = plain.find(steers)?;
    Some(plain[at..].chars().take(12).flat_map(char::escape_unicode).collect())
}

fn basic(text: &str) -> String {
    format!("\"{}\"", text.chars().map(|c| format!("\\U{:08X}", u32::from(c))).collect::<String>())
}

/// Runs the command as on a terminal with colours; everything that it writes can be shown. Gives how it ended.
fn shows(shop: &Shop, arguments: &[&str]) -> i32 {
    let output = shop.command(arguments).env("CLICOLOR_FORCE", "1").output().unwrap();
    for (what, stream) in [("output", &output.stdout), ("errors", &output.stderr)] {
        let text = String::from_utf8_lossy(stream);
        assert_eq!(left(&text), None, "{arguments:?}: {what}: {text}");
    }
    output.status.code().unwrap()
}

/// The chart of a run of [`invented`], with `name` wherever a name may be, and a fill that takes longer than that of any run.
fn chart(shop: &Shop, name: &str) -> String {
    std::fs::write(shop.path("learned.csv"), invented(1)).unwrap();
    let learned = shop.command(&["learn", "learned.csv", "-o", "-"]).output().unwrap();
    let mut fills = 0;
    let line = |line: &str| match line.split_once(" = ") {
        Some(("name", _)) => format!("name = {}\n", basic(name)),
        Some(("lasts", _)) if fills == 0 => {
            fills += 1;
            "lasts = [1000, 2000]\n".to_owned()
        }
        _ => format!("{line}\n"),
    };
    String::from_utf8(learned.stdout).unwrap().lines().map(line).collect()
}

/// Causes of a shop for everything that the chart finds, with `text` wherever there is text.
fn causes(text: &str) -> String {
    let own = basic(text);
    let departure = |is: &str| format!("[[departure]]\nis = \"{is}\"\nsuspects = [\"ours\"]\n");
    let shows = format!(
        "shows = [ {{ seen = {own}, of = {{ ours = 0.9 }} }} ]\notherwise = {own}\ncaution = \"care\""
    );
    let look = format!("[[measurement]]\nword = \"look\"\neffort = 1\nwhat = {own}\n{shows}\n");
    let all: String = ["too-short", "missing", "extra", "began-again", "broke-off"].map(departure).concat();
    format!("[suspect]\nours = {own}\n[caution]\ncare = {own}\n{all}{look}")
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, ..ProptestConfig::default() })]

    #[test]
    fn neither_screens_nor_pages_are_steered_by_it(text in foreign()) {
        let shop = Shop::new();
        let write = |name: &str, text: &str| std::fs::write(shop.path(name), text).unwrap();
        write("a.chart.toml", &chart(&shop, &text));
        write("causes.toml", &causes(&text));
        // A label has 32 bytes.
        let start = (0..text.len()).find(|at| text.is_char_boundary(*at) && text.len() - at <= 32).unwrap_or(0);
        let log = parse(invented(1).as_bytes(), Assumptions::default()).unwrap();
        std::fs::write(shop.path("night.tub"), to_tub(&log.trace, &text[start..])).unwrap();
        prop_assert_eq!(shows(&shop, &["timeline", "night.tub", "--strip", "always"]), 0);
        prop_assert_eq!(shows(&shop, &["timeline", "night.tub", "--json"]), 0);
        let check = ["check", "night.tub", "--chart", "a.chart.toml", "--causes", "causes.toml", "--strip", "always"];
        prop_assert_eq!(shows(&shop, &check), 1);
        prop_assert_eq!(shows(&shop, &[&check[..], &["--json"]].concat()), 1);
        prop_assert_eq!(shows(&shop, &["report", "night.tub", "--chart", "a.chart.toml", "-o", "night.html"]), 0);
        let page = String::from_utf8(shop.bytes("night.html")).unwrap();
        prop_assert_eq!(left(&page), None, "the page");

        // What cannot be read is named.
        write("header.csv", &format!("{text},watts\n1,2\n"));
        prop_assert_eq!(shows(&shop, &["timeline", "header.csv"]), 2);
        write("key.chart.toml", &format!("chart = 1\nname = \"x\"\n{} = 1\n", basic(&text)));
        write("does.chart.toml", &format!("chart = 1\nname = \"x\"\n[[part]]\n[[part.interval]]\ndoes = {}\n", basic(&text)));
        for bad in ["key.chart.toml", "does.chart.toml"] {
            prop_assert_eq!(shows(&shop, &["check", "night.tub", "--chart", bad]), 2);
        }
        let word = format!("[[cause]]\nword = {}\nexplains = {{}}\n", basic(&text));
        write("word.toml", &word);
        prop_assert_eq!(shows(&shop, &["check", "night.tub", "--causes", "word.toml"]), 2);
        let name = format!("./{text}.tub");
        prop_assert!(!Path::new(&shop.path(&name)).exists());
        prop_assert_eq!(shows(&shop, &["timeline", &name]), 2);
        prop_assert_eq!(shows(&shop, &["timeline", "night.tub", &format!("--{text}")]), 2);
    }
}

/// What programs read is as it was given: escaped, not replaced.
#[test]
fn json_keeps_it() {
    let shop = Shop::new();
    std::fs::write(shop.path("meter.csv"), invented(1)).unwrap();
    std::fs::write(shop.path("a.chart.toml"), chart(&shop, STEERS)).unwrap();
    let output = shop.command(&["check", "meter.csv", "--chart", "a.chart.toml", "--json"]).output().unwrap();
    let told: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let names: Vec<&str> =
        told["findings"].as_array().unwrap().iter().filter_map(|f| f["interval"].as_str()).collect();
    assert!(names.contains(&STEERS), "{names:?}");
}
