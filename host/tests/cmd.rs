//! What a person sees: the command's screens and messages, and its exit codes.
//! `TRYCMD=overwrite cargo test -p tubtrace --test cmd` writes what it prints now.

#[test]
fn screens() {
    trycmd::TestCases::new().case("tests/cmd/*.trycmd").run();
}
