//! Two days of a logger's life; `cargo xtask long-run` lives through thirty.

use tubtrace_tests::long_run::live_days;

#[test]
fn every_window_is_read_back_or_explained() {
    let totals = live_days(2, 4, |_| {});
    println!("{totals:?}");
    assert!(totals.given >= 2 * 864_000 && totals.resets >= 4, "{totals:?}");
    assert_eq!(totals.unexplained(), 0);
    assert_eq!(totals.told_lost, 0, "the flash kept up");
    // While nothing runs, windows that are alike are held back for four minutes at most.
    assert!(totals.most_in_hand <= 2_700, "{totals:?}");
    assert_eq!(totals.presses.0, totals.presses.1);
    assert!(totals.reads.0 > 0 && totals.reads.1 > 0, "{totals:?}");
}
