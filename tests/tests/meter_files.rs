//! A meter's CSV as people have them, by the command as it is: what has to be said of it is said to any command that reads one, and whatever is
//! done to the file of one night, what is told of it stays the same, or why it is not.

use std::fs;

use serde_json::Value;
use tubtrace_tests::command::Shop;

/// Watts of a night of an invented machine, a reading each second from 20:00 on: two runs, each a fill, a wash, a hold, a wash, a drain.
fn night() -> Vec<(u32, f64)> {
    let run = [(90, 12.0), (500, 150.0), (1_200, 2_113.0), (600, 150.0), (60, 35.0)];
    let mut readings = Vec::new();
    for (lasts, watts) in [&[(900, 0.0)][..], &run, &[(6_000, 0.0)], &run, &[(900, 0.0)]].concat() {
        for _ in 0..lasts {
            let at = readings.len() as u32;
            // A meter's last digit.
            readings.push((at, watts + f64::from(at * 7 % 10) / 10.0));
        }
    }
    readings
}

/// A row of a file for each reading.
type Row = fn(u32, f64) -> String;

/// A file with this header, and a row for each reading.
fn written(shop: &Shop, name: &str, header: &str, row: impl Fn(u32, f64) -> String) {
    let rows: String = night().into_iter().map(|(at, watts)| row(at, watts) + "\n").collect();
    fs::write(shop.path(name), format!("{header}\n{rows}")).unwrap();
}

/// What a command prints, what it says beside that, and how it ends.
fn asked(shop: &Shop, arguments: &[&str], options: &[&str]) -> (String, String, i32) {
    let all: Vec<&str> = arguments.iter().chain(options).copied().collect();
    let output = shop.command(&all).output().unwrap();
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (text(&output.stdout), text(&output.stderr), output.status.code().unwrap_or(-1))
}

/// Seconds from midnight of 6 March 2026, as a clock shows them.
fn clock(seconds: u32) -> String {
    let day = 6 + seconds / 86_400;
    format!("2026-03-{day:02} {}", time_of_day(seconds))
}

fn time_of_day(seconds: u32) -> String {
    format!("{:02}:{:02}:{:02}", seconds / 3_600 % 24, seconds / 60 % 60, seconds % 60)
}

/// 23:30, so that midnight is passed.
const LATE: u32 = 84_600;

/// What a command says of its cycles: kinds and lengths of intervals, without what the label or the clock brings.
fn intervals(shop: &Shop, name: &str, options: &[&str]) -> Vec<(String, i64)> {
    let (told, errors, _) = asked(shop, &["timeline", "--json", name], options);
    let told: Value = serde_json::from_str(&told).unwrap_or_else(|_| panic!("{options:?}: {errors}"));
    let cycles = told["cycles"].as_array().unwrap();
    assert_eq!(cycles.len(), 2, "{options:?}: {errors}");
    let all = cycles.iter().flat_map(|c| c["intervals"].as_array().unwrap());
    all.map(|i| {
        let lasts = i["end_s"].as_f64().unwrap() - i["start_s"].as_f64().unwrap();
        (i["name"].as_str().unwrap().to_owned(), lasts.round() as i64)
    })
    .collect()
}

#[test]
fn every_command_is_told_how_a_meter_writes() {
    let shop = Shop::new();
    written(&shop, "plain.csv", "time,watts", |at, watts| format!("{},{watts:.1}", clock(LATE + at)));
    let expected = intervals(&shop, "plain.csv", &[]);
    assert!(expected.iter().any(|(what, lasts)| what == "heat" && (1_195..=1_205).contains(lasts)));
    let cases: [(&str, Row, &[&str]); 8] = [
        (
            "When,Power",
            |a, w| format!("{},{w:.1}", clock(LATE + a)),
            &["--column", "time=When", "--column", "watts=Power"],
        ),
        (
            "Date,Time,Watts",
            |a, w| format!("{},{},{w:.1}", &clock(LATE + a)[..10], time_of_day(LATE + a)),
            &[],
        ),
        (
            "Day,Time,Watts",
            |a, w| {
                let date = clock(LATE + a);
                format!("{}/03/2026,{},{w:.1}", &date[8..10], time_of_day(LATE + a))
            },
            &["--column", "date=Day", "--time", "%d/%m/%Y %H:%M:%S"],
        ),
        ("time,watts", |a, w| format!("{},{w:.1}", 1_772_839_800 + a), &[]),
        ("time,watts", |a, w| format!("{},{w:.1}", time_of_day(LATE + a)), &[]),
        ("time,watts", |a, w| format!("{},{w:.1}", time_of_day(LATE + a)), &["--date", "2026-03-06"]),
        ("time,watts", |a, w| format!("{},{:.4}", clock(LATE + a), w / 1_000.0), &["--scale", "1000"]),
        ("time,watts", |a, w| format!("{},{:.1}", clock(LATE + a), -w), &["--scale", "-1"]),
    ];
    for (i, (header, row, options)) in cases.into_iter().enumerate() {
        let [csv, page, log, machine] =
            ["csv", "html", "tub", "machine.toml"].map(|end| format!("case{i}.{end}"));
        written(&shop, &csv, header, row);
        let told = intervals(&shop, &csv, options);
        // A factor moves the last digit of a reading, and that the end of an interval by a reading or two.
        let same = |(a, b): (&(String, i64), &(String, i64))| a.0 == b.0 && (a.1 - b.1).abs() <= 4;
        let all_same = told.len() == expected.len() && told.iter().zip(&expected).all(same);
        assert!(all_same, "{header} {options:?}: {told:?}");
        // What `timeline` reads so, the other commands read so.
        for arguments in [
            &["report", &csv, "-o", &page][..],
            &["import", &csv, "-o", &log],
            &["learn", &csv, "-o", &machine],
            &["check", &csv],
            &["export", &csv, "--to", "-", "--as", "csv"],
        ] {
            let (_, errors, code) = asked(&shop, arguments, options);
            assert!(code != 2, "{arguments:?} {options:?}: {errors}");
        }
    }
}

/// Times of day have no day, so nothing says on which day the log begins; with one said, the clock goes on over midnight.
#[test]
fn a_day_that_is_said_is_the_first() {
    let shop = Shop::new();
    written(&shop, "night.csv", "time,watts", |at, watts| format!("{},{watts:.1}", time_of_day(LATE + at)));
    let (told, errors, _) = asked(&shop, &["timeline", "night.csv"], &[]);
    assert!(errors.contains("--date") && told.contains("no time of day"), "{errors}{told}");
    let (told, ..) = asked(&shop, &["timeline", "night.csv"], &["--date", "2026-03-06"]);
    assert!(told.contains("from Fri 2026-03-06 23:30") && told.contains("Cycle 2   02:"), "{told}");
    let (told, ..) =
        asked(&shop, &["timeline", "night.csv"], &["--time", "%H:%M:%S", "--date", "2026-03-06"]);
    assert!(told.contains("from Fri 2026-03-06 23:30"), "{told}");
}

/// What is not understood is shown as it stands there, and what to do about it is an option of the very command.
#[test]
fn what_is_not_understood_is_shown_with_its_remedy() {
    let shop = Shop::new();
    let cases: [(&str, Row, &[&str]); 6] = [
        (
            "time,watts",
            |a, w| format!("6th of March 2026 {},{w:.1}", time_of_day(a)),
            &["\"6th of March 2026 00:00:00\"", "--time"],
        ),
        (
            "time,watts",
            |a, w| format!("{},{:.1}", clock(a), -w),
            &["-12", "the clamp sits the other way round", "--scale -1"],
        ),
        ("time,watts", |a, w| format!("{},{w:.1}", a * 1_000), &["1000 s apart", "--time milliseconds"]),
        ("time,amps", |a, w| format!("{},{:.0}", clock(a), w / 0.23), &["milliamperes", "--scale 0.001"]),
        // 6 March 2026 is the 46,087th day of a spreadsheet that counts from 1900 (ECMA-376 part 1, 18.17.4.1).
        (
            "time,watts",
            |a, w| format!("{:.6},{w:.1}", 46_087.0 + f64::from(a) / 86_400.0),
            &["46087", "a spreadsheet counts", "--time days"],
        ),
        (
            "time,Power A (W),Power B (W)",
            |a, w| format!("{},{w:.1},0", clock(a)),
            &["several columns may be watts", "--column watts=\"Power A (W)\""],
        ),
    ];
    for (header, row, says) in cases {
        written(&shop, "night.csv", header, row);
        for command in ["check", "timeline"] {
            let (told, errors, code) = asked(&shop, &[command, "night.csv"], &[]);
            assert_eq!(code, 2, "{says:?}: {told}{errors}");
            assert!(says.iter().all(|said| errors.contains(said)), "{says:?}: {errors}");
        }
    }
    // A reading here and there below zero, by no more than a meter's error, is zero.
    written(&shop, "night.csv", "time,watts", |a, w| {
        format!("{},{:.1}", clock(a), if w < 1.0 { w - 0.5 } else { w })
    });
    let (_, errors, code) = asked(&shop, &["check", "night.csv"], &[]);
    assert!(code != 2 && errors.contains("a little below zero, taken as zero"), "{errors}");
}

/// Files that were joined in the order of their names, and of which one repeats the last minutes of the other.
#[test]
fn files_joined_out_of_order_lose_nothing_where_they_overlap() {
    let shop = Shop::new();
    let row = |at: u32, watts: f64| format!("{},{watts:.1}\n", clock(at));
    let all: Vec<String> = night().into_iter().map(|(at, watts)| row(at, watts)).collect();
    fs::write(shop.path("night.csv"), format!("time,watts\n{}", all.concat())).unwrap();
    let expected = intervals(&shop, "night.csv", &[]);
    let half = all.len() / 2;
    let joined = format!("time,watts\n{}time,watts\n{}", all[half - 500..].concat(), all[..half].concat());
    fs::write(shop.path("night.csv"), &joined).unwrap();
    assert_eq!(intervals(&shop, "night.csv", &[]), expected);
    let (_, errors, code) = asked(&shop, &["check", "night.csv"], &[]);
    assert!(
        code != 2 && errors.contains("put in order") && errors.contains("500 x row that was there already"),
        "{errors}"
    );
    // Where the pieces tell of the same time and not the same, one of them is lost, and nothing is judged.
    let other: Vec<String> = night().into_iter().map(|(at, watts)| row(at, watts + 3.0)).collect();
    fs::write(
        shop.path("night.csv"),
        format!("time,watts\n{}{}", all[half - 500..].concat(), other[..half].concat()),
    )
    .unwrap();
    let (told, errors, code) = asked(&shop, &["check", "night.csv"], &[]);
    assert!(code == 2 && errors.contains("could not be judged"), "{told}{errors}");
}

/// A meter that says that it has no reading has lost none; texts in the place of readings, for hours, are rows that matter.
#[test]
fn rows_that_matter_decide_that_nothing_is_judged() {
    let shop = Shop::new();
    let with = |text: &'static str| {
        move |at: u32, watts: f64| {
            if (3_960..8_740).contains(&at) {
                format!("{},{text}", clock(at))
            } else {
                format!("{},{watts:.1}", clock(at))
            }
        }
    };
    written(&shop, "night.csv", "time,watts", with("unavailable"));
    let (told, errors, code) = asked(&shop, &["check", "night.csv"], &[]);
    assert!(code == 3 && errors.contains("says it has no reading"), "{told}{errors}");
    written(&shop, "night.csv", "time,watts", with("12.0 ?"));
    let (told, errors, code) = asked(&shop, &["check", "night.csv"], &[]);
    assert!(
        code == 2 && errors.contains("could not be judged") && errors.contains("01:19:40 of readings"),
        "{told}{errors}"
    );
    assert!(errors.contains("\"12.0 ?\""), "{errors}");
}

/// Means over a minute: that they show no more than holds is said, in the text and of what was tried.
#[test]
fn what_means_cannot_show_is_said() {
    let shop = Shop::new();
    let all = night();
    let mean = |of: &[(u32, f64)]| of.iter().map(|(_, watts)| watts).sum::<f64>() / of.len() as f64;
    let rows: String = all.chunks(60).map(|of| format!("{},{:.1}\n", clock(of[0].0), mean(of))).collect();
    fs::write(shop.path("night.csv"), format!("time,watts\n{rows}")).unwrap();
    let (told, errors, code) = asked(&shop, &["check", "night.csv"], &[]);
    let told = told.replace('\n', " ");
    assert_eq!(code, 3, "{told}{errors}");
    assert!(told.contains("show no fill, no drain and nothing that is brief"), "{told}");
    assert!(
        told.contains("60 s apart") && !told.contains("fills at") && !told.contains("drains at"),
        "{told}"
    );
}
