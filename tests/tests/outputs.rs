//! What the command writes: never over what it reads, never over what is there unless told to, whole or not at all.

use std::fs;
use std::process::Stdio;

use tubtrace_tests::command::{Shop, said};

/// What these commands read is night.tub, by one name or another, and so would be what they write.
#[test]
fn an_input_is_never_an_output() {
    let shop = Shop::with_night();
    let mut names = vec!["night.tub", "./night.tub", "hard.tub"];
    fs::hard_link(shop.path("night.tub"), shop.path("hard.tub")).unwrap();
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink("night.tub", shop.path("soft.tub")).unwrap();
        names.push("soft.tub");
    }
    // Where names are the same in capitals, so is the file.
    if shop.path("NIGHT.TUB").exists() {
        names.push("NIGHT.TUB");
    }
    let (night, meter) = (shop.bytes("night.tub"), shop.bytes("meter.csv"));
    for name in names {
        for arguments in [
            &["report", "night.tub", "-o", name][..],
            &["report", "meter.csv", "--after", "night.tub", "-o", name],
            &["report", name, "-o", "night.tub"],
            &["learn", "meter.csv", "night.tub", "-o", name],
            &["export", "night.tub", "--as", "csv", "--to", name],
            &["import", "night.tub", "-o", name],
        ] {
            shop.refuses(arguments, "is read here too");
            shop.refuses(&[arguments, &["--force"]].concat(), "is read here too");
            assert!(shop.bytes("night.tub") == night, "{arguments:?} wrote over its input");
        }
    }
    shop.refuses(&["import", "meter.csv", "-o", "meter.csv"], "is read here too");
    shop.refuses(&["report", "night.tub", "--chart", "meter.csv", "-o", "meter.csv"], "is read here too");
    assert!(shop.bytes("meter.csv") == meter);

    for arguments in [&["learn", "-", "-o", "night.tub"][..], &["import", "-", "-o", "night.tub", "--force"]]
    {
        let mut command = shop.command(arguments);
        let output = command.stdin(fs::File::open(shop.path("night.tub")).unwrap()).output().unwrap();
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {}", said(&output));
        assert!(said(&output).contains("is read here too"), "{}", said(&output));
        assert!(shop.bytes("night.tub") == night, "{arguments:?} wrote over its input");
    }
}

#[test]
fn standard_input_is_read_once() {
    let shop = Shop::with_night();
    for arguments in
        [&["learn", "-", "-", "-o", "a.toml"][..], &["report", "-", "--after", "-", "-o", "a.html"]]
    {
        let mut command = shop.command(arguments);
        let output = command.stdin(fs::File::open(shop.path("night.tub")).unwrap()).output().unwrap();
        assert_eq!(output.status.code(), Some(2));
        assert!(said(&output).contains("only once"), "{}", said(&output));
    }
}

/// Every writer, and the file that it makes.
const WRITERS: [(&[&str], &str); 10] = [
    (&["report", "night.tub", "-o", "made"], "made"),
    (&["learn", "night.tub", "-o", "made"], "made"),
    (&["sheet", "sheet.txt", "-o", "made"], "made"),
    (&["import", "meter.csv", "-o", "made"], "made"),
    (&["export", "night.tub", "--as", "csv", "--to", "made"], "made"),
    (&["export", "night.tub", "--as", "jsonl", "--to", "made"], "made"),
    (&["export", "night.tub", "--as", "vcd", "--to", "made"], "made"),
    (&["export", "night.tub", "--as", "parquet", "--to", "made"], "made"),
    (&["export", "night.tub", "--to", "made/"], "made/readings/log=night/readings.parquet"),
    (&["man", "--to", "."], "tubtrace-pull.1"),
];

/// A shop with a night and a sheet.
fn with_sheet() -> Shop {
    let shop = Shop::with_night();
    fs::write(shop.path("sheet.txt"), "fill 1\nwash 3\ndrain 1\n".repeat(4)).unwrap();
    shop
}

#[test]
fn what_is_there_stays_unless_told_to_go() {
    let shop = with_sheet();
    for (arguments, made) in WRITERS {
        let _ = fs::remove_file(shop.path("made"));
        shop.well(arguments);
        let new = shop.bytes(made);
        fs::write(shop.path(made), "a customer's").unwrap();
        shop.refuses(arguments, "is there already");
        assert_eq!(shop.bytes(made), b"a customer's", "{arguments:?}");
        shop.well(&[arguments, &["--force"]].concat());
        assert!(shop.bytes(made) == new, "{arguments:?}");
    }
    assert!(shop.names().iter().all(|n| !n.starts_with('.')), "no rubbish: {:?}", shop.names());
}

/// Refused before the night is recorded, and before samples are made.
#[test]
fn the_demo_is_not_kept_over_a_customers_night() {
    let shop = Shop::new();
    for (name, arguments) in [
        ("night.tub", &["demo", "--save", "."][..]),
        ("heavy.chart.toml", &["demo", "--save", "."]),
        ("kitchen.wav", &["demo", "--samples", "kitchen.wav", "--minutes", "1"]),
    ] {
        fs::write(shop.path(name), "a customer's").unwrap();
        shop.refuses(arguments, "is there already");
        assert!(!shop.run(arguments).1.contains("Recorded"));
        assert_eq!(shop.names(), [name]);
        assert_eq!(shop.bytes(name), b"a customer's");
        fs::remove_file(shop.path(name)).unwrap();
    }
    shop.well(&["demo", "--samples", "kitchen.wav", "--minutes", "1"]);
    let samples = shop.bytes("kitchen.wav");
    assert_eq!(hound::WavReader::new(&samples[..]).unwrap().duration(), 60 * 4_800);
}

#[test]
fn a_place_that_cannot_be_written_is_named_before_the_work() {
    let shop = Shop::with_night();
    shop.refuses(&["report", "nowhere.tub", "-o", "no/such/night.html"], "no folder");
    shop.refuses(&["report", "nowhere.tub", "-o", "."], "is a folder");
    shop.refuses(&["demo", "--samples", "no/kitchen.wav"], "no folder");
    fs::write(shop.path("file"), "").unwrap();
    shop.refuses(&["export", "nowhere.tub", "--to", "file/"], "file");
    shop.refuses(&["demo", "--save", "file"], "file");
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink("nothing", shop.path("dangling")).unwrap();
        shop.refuses(&["report", "night.tub", "-o", "dangling"], "is there already");
    }
}

/// `--force` through a link writes what the link leads to, and keeps who may read it.
#[cfg(unix)]
#[test]
fn a_link_stays_a_link_and_permissions_stay() {
    use std::os::unix::fs::PermissionsExt;
    let shop = Shop::with_night();
    fs::create_dir(shop.path("filed")).unwrap();
    fs::write(shop.path("filed/night.html"), "old").unwrap();
    fs::set_permissions(shop.path("filed/night.html"), fs::Permissions::from_mode(0o640)).unwrap();
    std::os::unix::fs::symlink("filed/night.html", shop.path("night.html")).unwrap();
    shop.well(&["report", "night.tub", "-o", "night.html", "--force"]);
    assert!(fs::symlink_metadata(shop.path("night.html")).unwrap().is_symlink());
    let filed = fs::metadata(shop.path("filed/night.html")).unwrap();
    assert!(filed.len() > 1_000);
    assert_eq!(filed.permissions().mode() & 0o777, 0o640);
    // A new file is as any other program makes it.
    shop.well(&["report", "night.tub", "-o", "new.html"]);
    fs::write(shop.path("any"), "").unwrap();
    let mode = |name| fs::metadata(shop.path(name)).unwrap().permissions().mode();
    assert_eq!(mode("new.html"), mode("any"));
}

#[cfg(unix)]
#[test]
fn devices_and_pipes_are_written_straight() {
    let shop = Shop::with_night();
    shop.well(&["report", "night.tub", "-o", "night.html"]);
    let page = shop.bytes("night.html");
    for name in ["-", "/dev/stdout"] {
        let output = shop.command(&["report", "night.tub", "-o", name]).output().unwrap();
        assert!(output.stdout == page, "{name}: {}", said(&output));
        let into = fs::File::create(shop.path("into.html")).unwrap();
        let status = shop.command(&["report", "night.tub", "-o", name]).stdout(into).status();
        assert!(status.unwrap().success());
        assert!(shop.bytes("into.html") == page, "{name} into a file");
    }
    shop.well(&["report", "night.tub", "-o", "/dev/null"]);
    shop.well(&["export", "night.tub", "--as", "parquet", "--to", "/dev/null"]);

    let made = std::process::Command::new("mkfifo").arg(shop.path("pipe")).status();
    if !made.is_ok_and(|s| s.success()) {
        println!("skipped: a pipe with a name, for there is no mkfifo");
        return;
    }
    let writer = shop.command(&["report", "night.tub", "-o", "pipe"]).stderr(Stdio::null()).spawn();
    assert!(shop.bytes("pipe") == page);
    assert!(writer.unwrap().wait().unwrap().success());
}

/// Names that come to the same in a folder are refused before anything is written; the same name twice is numbered.
#[test]
fn no_log_is_dropped_from_a_folder() {
    let shop = Shop::with_night();
    fs::create_dir(shop.path("other")).unwrap();
    for name in ["a.b.tub", "a_b.tub", "c.tub", "c-2.tub", "other/c.tub", "other/C.tub"] {
        if !shop.path(name).exists() {
            fs::copy(shop.path("night.tub"), shop.path(name)).unwrap();
        }
    }
    for logs in [["a.b.tub", "c.tub", "a_b.tub"], ["c.tub", "c-2.tub", "other/c.tub"]] {
        shop.refuses(&[&["export"], &logs[..], &["--to", "all/"]].concat(), "rename one");
        assert!(!shop.path("all").exists(), "{logs:?}");
    }
    shop.refuses(&["export", "c.tub", "other/C.tub", "--to", "all/"], "rename one");
    shop.well(&["export", "a.b.tub", "c.tub", "other/c.tub", "--to", "all/"]);
    for table in ["readings", "intervals"] {
        for log in ["a_b", "c", "c-2"] {
            let path = shop.path(format!("all/{table}/log={log}/{table}.parquet"));
            assert!(path.exists(), "{}", path.display());
        }
    }
}

/// Killed at any moment, a writer leaves what was there or all of what it makes.
#[cfg(unix)]
#[test]
fn a_killed_writer_leaves_the_old_or_the_new() {
    use std::time::{Duration, Instant};
    const KILLS: u32 = 24;
    let shop = with_sheet();
    let (mut old_left, mut new_left) = (0, 0);
    for (arguments, made) in WRITERS {
        let _ = fs::remove_file(shop.path("made"));
        let begin = Instant::now();
        shop.well(arguments);
        let (took, new) = (begin.elapsed(), shop.bytes(made));
        let forced = [arguments, &["--force"]].concat();
        for n in 0..KILLS {
            fs::write(shop.path(made), "a customer's").unwrap();
            let mut child = shop.command(&forced).stderr(Stdio::null()).spawn().unwrap();
            // Any moment between begin and end, a little beyond; the golden ratio spreads them evenly.
            let part = f64::from(n) * 0.618_033_988_75 % 1.0 * 1.1;
            std::thread::sleep(Duration::from_secs_f64(took.as_secs_f64() * part));
            child.kill().unwrap();
            child.wait().unwrap();
            let left = shop.bytes(made);
            assert!(left == b"a customer's" || left == new, "{arguments:?}: {} bytes are left", left.len());
            if left == new { new_left += 1 } else { old_left += 1 }
        }
    }
    assert!(old_left > 0 && new_left > 0, "{old_left} kills before, {new_left} after");
}

/// Where there is no room for it, what was there is as it was, and nothing else is left.
#[cfg(unix)]
#[test]
fn a_full_disk_leaves_what_was_there() {
    let shop = with_sheet();
    for (arguments, made) in WRITERS {
        let _ = fs::remove_file(shop.path("made"));
        shop.well(arguments);
        fs::write(shop.path(made), "a customer's").unwrap();
        let before = shop.names();
        // A file may have 512 bytes; the signal that says so is ignored, so that writing fails as on a full disk.
        let line = "trap '' XFSZ; ulimit -f 1; exec \"$0\" \"$@\"";
        let limited = |arguments: &[&str]| {
            let mut command = std::process::Command::new("sh");
            command.args(["-c", line]).arg(tubtrace_tests::command::tubtrace()).args(arguments);
            let output = command.current_dir(shop.path("")).output().unwrap();
            (output.status.code(), said(&output))
        };
        let (code, told) = limited(&[arguments, &["--force"]].concat());
        assert_eq!(code, Some(2), "{arguments:?}: {told}");
        assert!(told.contains("cannot write"), "{told}");
        assert_eq!(shop.bytes(made), b"a customer's", "{arguments:?}");
        assert_eq!(shop.names(), before, "{arguments:?}");
        fs::remove_file(shop.path(made)).unwrap();
        let (code, told) = limited(arguments);
        assert_eq!(code, Some(2), "{arguments:?}: {told}");
        assert!(!shop.path(made).exists(), "{arguments:?}");
    }
    if fs::exists("/dev/full").unwrap_or(false) {
        shop.refuses(&["report", "night.tub", "-o", "/dev/full"], "cannot write /dev/full");
    } else {
        println!("skipped: a device that is full, for there is no /dev/full");
    }
}

/// The same on a disk that is really small, where one may be mounted.
#[cfg(target_os = "linux")]
#[test]
fn a_small_disk_leaves_what_was_there() {
    let shop = Shop::with_night();
    fs::create_dir(shop.path("disk")).unwrap();
    let line = "mount -t tmpfs -o size=16k tmpfs disk || exit 77; echo old > disk/night.html; \
        \"$0\" report night.tub -o disk/night.html --force; code=$?; ls -A disk; cat disk/night.html; exit $code";
    let mut command = std::process::Command::new("unshare");
    command.args(["-m", "sh", "-c", line]).arg(tubtrace_tests::command::tubtrace());
    match command.current_dir(shop.path("")).output() {
        Ok(output) if output.status.code() == Some(2) => {
            assert_eq!(String::from_utf8_lossy(&output.stdout), "night.html\nold\n", "{}", said(&output));
        }
        Ok(output) if output.status.code() == Some(0) => panic!("a page of 16 kB: {}", said(&output)),
        other => println!("skipped: a small disk, for none may be mounted here: {other:?}"),
    }
}
