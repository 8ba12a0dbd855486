//! What a person sees: the command's screens and messages, and its exit codes.
//! `TRYCMD=overwrite cargo test -p tubtrace --test cmd` writes what it prints now.

#[test]
fn screens() {
    // The same screens for whoever runs this, in whatever country.
    let cases = trycmd::TestCases::new();
    cases.env("LC_ALL", "C").env("TZ", "UTC").case("tests/cmd/*.trycmd").run();
}
