//! `compare --html`: the page of two groups, by the command as it is.

use tubtrace_tests::command::Shop;

/// Two invented logs of five cycles; in the second the first drain lasts 8 s longer.
fn shop() -> Shop {
    let shop = Shop::new();
    for name in ["invented-before.csv", "invented-after.csv"] {
        let from = concat!(env!("CARGO_MANIFEST_DIR"), "/../host/tests/cmd/two-groups/").to_owned() + name;
        std::fs::copy(from, shop.path(name)).unwrap();
    }
    shop
}

const ASKED: [&str; 5] = ["compare", "invented-before.csv", "--with", "invented-after.csv", "--html"];

#[test]
fn the_page_shows_what_differs_and_asks_nothing_of_a_network() {
    let shop = shop();
    let (code, said) = shop.run(&[&ASKED[..], &["page.html"]].concat());
    assert_eq!(code, 1, "{said}");
    let page = String::from_utf8(shop.bytes("page.html")).unwrap();
    assert!(page.contains("2 of 40 questions show a difference."));
    // Of two that differ a bar and the cycles each, for eyes and for who has it read aloud.
    let differs = page.split("What differs").nth(1).unwrap().split("</section>").next().unwrap();
    assert_eq!(differs.matches("class=\"forest\"").count(), 2);
    assert!(differs.contains("30.0 s \u{2192} 40.0 s: +8.0 s (+8.0 s to +10.0 s), p 0.008"), "{differs}");
    assert!(differs.contains(
        "aria-label=\"A: 5 values about 30.0 s; B: 5 values about 40.0 s; all from 30.0 s to 40.0 s\""
    ));
    assert_eq!((differs.matches("class=\"g0\"").count(), differs.matches("class=\"g1\"").count()), (10, 10));
    assert!(page.contains("Nowhere is it shown that they part."), "a longer drain draws as much");
    assert!(!page.contains("http:") && !page.contains("https:"));
}

#[test]
fn the_page_goes_over_nothing_that_is_there() {
    let shop = shop();
    std::fs::write(shop.path("old.html"), "old").unwrap();
    shop.refuses(&[&ASKED[..], &["old.html"]].concat(), "old.html");
    assert_eq!(shop.bytes("old.html"), b"old");
    shop.refuses(&[&ASKED[..], &["invented-after.csv", "--force"]].concat(), "invented-after.csv");
}
