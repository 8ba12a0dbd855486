//! The page of a repair, without a chart: its intervals before and after are of one programme, and held against each other.

use std::process::Command;

#[test]
fn a_drain_that_lasts_longer_after_a_repair_is_told_and_nothing_else() {
    let folder = std::env::temp_dir().join(format!("tubtrace-repair-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let page = folder.join("repair.html");
    let log = |name: &str| format!("{}/tests/cmd/two-groups/{name}.csv", env!("CARGO_MANIFEST_DIR"));
    let done = Command::new(env!("CARGO_BIN_EXE_tubtrace"))
        .args(["report", &log("invented-before"), "--after", &log("invented-after"), "-o"])
        .arg(&page)
        .status()
        .unwrap();
    assert!(done.success());
    let html = std::fs::read_to_string(&page).unwrap();
    std::fs::remove_dir_all(&folder).unwrap();
    let from = html.find("How long each interval lasted").unwrap();
    let table = &html[from..from + html[from..].find("</table>").unwrap()];
    let rows: Vec<&str> = table.split("<tr>").filter(|row| row.contains("scope=\"row\"")).collect();
    // The first drain of the second log was made 8 s longer.
    let told: Vec<&&str> = rows.iter().filter(|row| row.contains("<strong>yes</strong>")).collect();
    assert!(told.len() == 1 && told[0].contains("water 1: drain") && told[0].contains("+8.0 s"), "{told:?}");
    assert!(rows.iter().all(|row| row.contains("not shown") || row.contains("yes")), "{rows:?}");
}
