//! What no chart and no file of causes may say is refused where it stands, by line and column.

use std::io::Write;

use tubtrace::chart::{parse, read};
use tubtrace::findings::Causes;
#[cfg(unix)]
use tubtrace_tests::command::{Shop, said, tubtrace};

const CHART: &str = "chart = 1\nname = \"x\"\n[[part]]\nname = \"p\"\n[[part.interval]]\ndoes = \"wash\"\n";

/// What is said of a chart with this as its last line.
fn told(line: &str) -> String {
    parse(&format!("{CHART}{line}\n"), "c").expect_err(line).to_string()
}

#[test]
fn limits_are_two_numbers_the_smaller_first() {
    for line in [
        "lasts = [75, 90, 115]",
        "lasts = [75]",
        "lasts = []",
        "amps = [1, 2, 3]",
        "supply_c = [1, 2, 3]",
        "purges = [1, 2, 3]",
        "purges = [2, 1]",
        "purges = [1, 4294967295]",
    ] {
        let column = line.find('[').unwrap() + 1;
        assert!(told(line).starts_with(&format!("c:7:{column}: ")), "{line}: {}", told(line));
    }
    let three = parse(&CHART.replace("name = \"p\"", "name = \"p\"\ntimes = [0, 1, 2]"), "c").unwrap_err();
    assert!(three.to_string().starts_with("c:5:9: "), "{three}");
}

#[test]
fn no_number_is_nan_endless_or_negative() {
    for number in ["nan", "-nan", "inf", "-inf", "-1.0", "-1e308"] {
        for line in [format!("lasts = [{number}, 5]"), format!("amps = [0, {number}]")] {
            assert!(told(&line).starts_with("c:7:"), "{line}: {}", told(&line));
        }
        for habit in
            ["start_s", "wander", "sag", "drain_s", "emptying", "knock", "dispenses_seen", "switching"]
        {
            let said = told(&format!("[habits]\n{habit} = {number}"));
            assert!(said.starts_with(&format!("c:8:{}: ", habit.len() + 4)), "{habit} = {number}: {said}");
        }
        let said = told(&format!("[habits]\ninlet_l_min = [1, {number}]"));
        assert!(said.starts_with("c:8:15: "), "{said}");
        let cause = format!("[[cause]]\nword = \"flow-low\"\nexplains = {{ \"missing *\" = {number} }}\n");
        let said = Causes::with(&cause, "own.toml").expect_err(&cause).to_string();
        assert!(said.starts_with("own.toml:3:"), "{cause}: {said}");
    }
    assert!(told("[habits]\ninlet_l_min = [1, 2, 3]").starts_with("c:8:15: "));
    assert!(told("[habits]\ninlet_l_min = [2, 1]").starts_with("c:8:15: "));
    let plain = format!("{CHART}lasts = [75, 90]\n[habits]\ninlet_l_min = [1, 2]\nstops = 2\nsag = 0.5\n");
    parse(&plain, "c").unwrap();
}

#[test]
fn what_loads_draw_is_in_amperes_that_a_machine_can_draw() {
    let said = |line: &str| told(&format!("[loads]\n{line}"));
    for number in ["nan", "inf", "-0.1", "0.0", "101.0"] {
        let line = format!("drain-pump = {{ amps = {number}, spread = 0.01 }}");
        assert!(said(&line).starts_with("c:8:23: what a load draws"), "{line}: {}", said(&line));
    }
    let told = said("drain-pump = { amps = 101.5 }");
    assert!(told.contains("not 101.5: mend it, or delete all of [loads]"), "the value and a remedy: {told}");
    let spread = said("drain-pump = { amps = 0.1, spread = -1.0 }");
    assert!(spread.starts_with("c:8:37: how far it differs"), "{spread}");
    let unknown = said("dryer = { amps = 0.1 }");
    assert!(
        unknown.starts_with("c:8:1: ") && unknown.contains("\"dryer\"") && unknown.contains("drain-pump"),
        "{unknown}"
    );
    let without = said("drain-pump = { spread = 0.1 }");
    assert!(without.contains("\"amps\" is missing here: add it"), "{without}");
    let least = format!("{CHART}[loads]\nstandby = {{ amps = 0 }}\ndrain-pump = {{ amps = 0.1 }}\n");
    assert_eq!(parse(&least, "c").unwrap().draws.iter().count(), 2);
}

#[test]
fn a_machine_rests_for_a_day_at_most() {
    for number in ["nan", "-1.0", "86401.0"] {
        let said = told(&format!("[rests]\nlongest_s = {number}\nseen = 4"));
        assert!(
            said.starts_with("c:8:13: the longest rest is in seconds")
                && said.contains("delete all of [rests]"),
            "{said}"
        );
    }
    parse(&format!("{CHART}[rests]\nlongest_s = 0.0\nseen = 4\n"), "c").unwrap();
}

/// A valve that draws more than a pump was swapped with it as somebody wrote: nothing is read by that.
#[test]
fn loads_that_were_swapped_are_asked_about() {
    let loads = |valve: f64, pump: f64| {
        format!(
            "{CHART}[loads]\nfill-valve = {{ amps = {valve} }}\nwash-pump = {{ amps = {pump} }}\nheater-in-water = {{ amps = 9.3 }}\n"
        )
    };
    let said = parse(&loads(0.43, 0.04), "c").unwrap_err().to_string();
    assert!(
        said.starts_with(
            "c:8:23: fill-valve draws 0.43 A here, and wash-pump only 0.04 A: were the two swapped?"
        ),
        "{said}"
    );
    let said = parse(&loads(0.04, 9.5), "c").unwrap_err().to_string();
    assert!(said.contains("wash-pump draws 9.5 A here, and heater-in-water only 9.3 A"), "{said}");
    parse(&loads(0.04, 0.43), "c").unwrap();
}

/// Pumps differ from machine to machine, but the washes of the file say which is which. Where they draw alike, nothing is asked.
#[test]
fn pumps_that_were_swapped_are_asked_about() {
    let loads = |wash: f64, drain: f64| {
        let loads = format!("[loads]\nwash-pump = {{ amps = {wash} }}\ndrain-pump = {{ amps = {drain} }}\n");
        format!("{CHART}amps = [1.1, 1.2]\n{loads}")
    };
    let said = parse(&loads(0.41, 1.13), "c").unwrap_err().to_string();
    assert!(
        said.starts_with("c:9:22: wash-pump draws 0.41 A here and drain-pump 1.13 A")
            && said.contains("were the two swapped?"),
        "{said}"
    );
    parse(&loads(1.13, 0.41), "c").unwrap();
    parse(&loads(1.13, 1.1), "c").unwrap();
}

/// A chart without end is refused once it is too long, and one that is too long for its table of explanations likewise.
#[test]
fn what_is_far_too_large_is_refused() {
    let folder = std::env::temp_dir().join(format!("tubtrace-large-chart-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let path = folder.join("large.chart.toml");
    let mut file = std::fs::File::create(&path).unwrap();
    for _ in 0..1_100 {
        file.write_all(&[b'#'; 1_024]).unwrap();
    }
    let said = read(&path).unwrap_err().to_string();
    std::fs::remove_dir_all(&folder).unwrap();
    assert!(said.contains("1 MiB"), "{said}");
    let many = "[[part.interval]]\ndoes = \"wash\"\n".repeat(2_000);
    let said = parse(&format!("{CHART}{many}"), "c").unwrap_err().to_string();
    assert!(said.starts_with("c:") && said.contains("intervals"), "{said}");
}

/// A device that never ends has no length to look at first.
#[cfg(unix)]
#[test]
fn a_device_without_end_is_refused() {
    // The command in a process of its own: where it would go on for ever, it runs out of the memory that it may have.
    let shop = Shop::with_night();
    let limit = "ulimit -v 4000000; exec \"$0\" check night.tub --chart /dev/zero";
    let mut command = std::process::Command::new("sh");
    let done = command.arg("-c").arg(limit).arg(tubtrace()).current_dir(shop.path("")).output().unwrap();
    assert!(said(&done).contains("1 MiB"), "{}", said(&done));
    assert_eq!(done.status.code(), Some(2));
}
