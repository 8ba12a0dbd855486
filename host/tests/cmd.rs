//! What a person sees: the command's screens and messages, and its exit codes.
//! `TRYCMD=overwrite cargo test -p tubtrace --test cmd` writes what it prints now.

#[test]
fn screens() {
    // The same screens for whoever runs this, in whatever country.
    let cases = trycmd::TestCases::new();
    cases.env("LC_ALL", "C").env("TZ", "UTC").case("tests/cmd/*.trycmd").run();
}

/// The README's section on a repaired control shows what the first of these screens holds.
#[test]
fn the_readme_shows_the_first_bench_test() {
    let screens = include_str!("cmd/bench.trycmd");
    let first =
        screens.split("invented-runs.csv\n").nth(1).and_then(|rest| rest.split("```").next()).unwrap().trim();
    assert!(first.contains("PASS"), "{first}");
    assert!(include_str!("../../README.md").contains(first), "the README does not show\n{first}");
}

/// The README's section on two groups shows what the first of these screens holds.
#[test]
fn the_readme_shows_the_first_comparison() {
    let screens = include_str!("cmd/compare.trycmd");
    let first = screens.split("? 1\n").nth(1).and_then(|rest| rest.split("```").next()).unwrap().trim();
    assert!(first.contains("What differs"), "{first}");
    assert!(include_str!("../../README.md").contains(first), "the README does not show\n{first}");
}
