//! What the README shows is what the command prints.

use std::fs;
use std::path::Path;

use tubtrace_tests::command::Shop;

/// A line that stands for any lines.
const LEFT_OUT: &str = "...";

/// The README's examples: a command, and the lines that it shows of what that prints.
fn examples() -> Vec<(String, Vec<String>)> {
    let readme = Path::new(env!("CARGO_MANIFEST_DIR")).join("../README.md");
    let text = fs::read_to_string(readme).unwrap();
    let blocks = text.split("```console\n$ ").skip(1).map(|rest| rest.split("```").next().unwrap());
    blocks
        .map(|block| {
            let mut lines = block.lines().map(str::to_owned);
            (lines.next().unwrap(), lines.collect())
        })
        .collect()
}

/// Whether these lines are those, with others where some are left out.
fn shows(shown: &[String], printed: &[&str]) -> bool {
    match shown.split_first() {
        None => printed.is_empty(),
        Some((line, rest)) if line == LEFT_OUT => {
            (0..=printed.len()).any(|skipped| shows(rest, &printed[skipped..]))
        }
        Some((line, rest)) => printed.first().is_some_and(|own| own == line) && shows(rest, &printed[1..]),
    }
}

#[test]
fn examples_are_what_is_printed() {
    let shop = Shop::new();
    shop.well(&["demo", "--save", "demo/"]);
    let examples = examples();
    assert_eq!(examples.len(), 2);
    for (command, shown) in examples {
        let words: Vec<&str> = command.split(' ').collect();
        let mut asked = shop.command(&words[1..]);
        asked.env("LC_ALL", "C").env("TZ", "UTC");
        let printed = String::from_utf8(asked.output().unwrap().stdout).unwrap();
        let lines: Vec<&str> = printed.lines().collect();
        assert!(shows(&shown, &lines), "{command} prints\n{printed}");
    }
}
