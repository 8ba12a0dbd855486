//! The page of a bench test is made, checked again, and does not pass for what it is not.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

const FILES: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/cmd/bench");

fn bench(plan: &str, log: &str, more: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_tubtrace"));
    let at = |name: &str| Path::new(FILES).join(name);
    command.env("LC_ALL", "C").arg("bench").arg(at(plan)).arg(at(log)).args(more);
    command.output().expect("the command runs")
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned()
}

#[test]
fn a_page_is_made_again_to_the_byte_and_a_changed_one_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let page = folder.path().join("repair.html");
    let name = page.to_str().unwrap();
    assert_eq!(bench("repair.plan.toml", "invented-runs.csv", &["--page", name]).status.code(), Some(0));
    let html = fs::read_to_string(&page).unwrap();
    assert!(
        html.contains("PASS") && !html.contains("FAIL") && html.len() < 1_000_000,
        "{} bytes",
        html.len()
    );
    // FIPS 180-4 by another program: `sha256sum tests/cmd/bench/invented.machine.toml`.
    let machine = Command::new("sha256sum").arg(Path::new(FILES).join("invented.machine.toml")).output();
    if let Ok(sum) = machine {
        let sum = said(&sum);
        assert!(html.contains(sum.split(' ').next().unwrap()), "{sum}");
    }
    let verify = |plan, log| bench(plan, log, &["--verify", name]);
    assert_eq!(verify("repair.plan.toml", "invented-runs.csv").status.code(), Some(0));
    let other = verify("repair.plan.toml", "invented-fails.csv");
    assert_eq!(other.status.code(), Some(1));
    assert!(said(&other).contains("invented-fails.csv is not the file"), "{}", said(&other));
    let other = verify("longer.plan.toml", "invented-runs.csv");
    assert!(said(&other).contains("longer.plan.toml is not the file"), "{}", said(&other));
    fs::write(&page, html.replacen("0417", "0418", 1)).unwrap();
    let changed = verify("repair.plan.toml", "invented-runs.csv");
    assert_eq!(changed.status.code(), Some(1));
    assert!(said(&changed).contains("the page itself was changed"), "{}", said(&changed));
}

#[test]
fn a_page_of_a_failed_test_says_so_and_what_departed() {
    let folder = tempfile::tempdir().unwrap();
    let page = folder.path().join("repair.html");
    let name = page.to_str().unwrap();
    assert_eq!(bench("repair.plan.toml", "invented-fails.csv", &["--page", name]).status.code(), Some(1));
    let html = fs::read_to_string(&page).unwrap();
    assert!(html.contains("FAIL") && !html.contains("PASS") && html.contains("the heater draws nothing"));
}

#[test]
fn json_has_the_verdict_and_every_run() {
    let output = bench("longer.plan.toml", "invented-runs.csv", &["--json"]);
    assert_eq!(output.status.code(), Some(4));
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(json["verdict"], "not-enough-runs");
    assert_eq!((json["runs"].as_array().unwrap().len(), &json["runs_lacking"]), (20, &serde_json::json!(20)));
    assert!(
        json["runs"][0]["cold"] == true && json["intervals"][0]["values_s"].as_array().unwrap().len() == 19
    );
}
