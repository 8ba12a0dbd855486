//! Runs every byte example of `SPEC.md`: the record, its CRC and the frame must be what this crate writes and reads.

use std::collections::BTreeMap;

use tubtrace_protocol::*;

fn examples() -> BTreeMap<&'static str, Record> {
    let washing =
        Window { rms: 612, peak: 905, fundamental: 600, second: 4, third: 71, supply: 30, drain: 210 };
    let mut windows = Windows::new(Tick(600));
    windows.push(25, Window::default()).unwrap();
    windows.push(3, washing).unwrap();
    windows.push(1, Window { rms: 9_402, ..washing }).unwrap();
    BTreeMap::from([
        (
            "opened",
            Record::Opened(Opened {
                format: FORMAT,
                version: VERSION,
                tick: Tick(0),
                reason: OpenReason::Armed,
                logger: 7,
                microamps_per_count: 16_113,
                label: "flat 3".try_into().unwrap(),
            }),
        ),
        ("windows", Record::Windows(windows)),
        (
            "temperatures",
            Record::Temperatures(Temperatures {
                start: Tick(600),
                runs: [
                    TemperatureRun { seconds: 60, supply: Some(2_150), drain: None },
                    TemperatureRun { seconds: 1, supply: Some(-5), drain: Some(6_400) },
                ]
                .into_iter()
                .collect(),
            }),
        ),
        ("fill", Record::Fill(Fill { start: Tick(1_000), windows: 652, level: 480 })),
        ("burst", Record::Burst(Burst::new(Tick(1_000), 160, &[2_048, 2_049, 1_900]))),
        (
            "anchor",
            Record::Anchor(Anchor { tick: Tick(0), unix_ms: 1_800_000_000_000, offset_minutes: -300 }),
        ),
        ("mark", Record::Mark(Mark { tick: Tick(300) })),
        (
            "health",
            Record::Health(Health { tick: Tick(600), battery_mv: 4_870, mains: Mains::Hz60, clipped: 0 }),
        ),
        ("loss", Record::Loss(Loss { first: Tick(36_000), windows: 4, cause: LossCause::Overrun })),
        ("closed", Record::Closed(Closed { tick: Tick(432_000), reason: CloseReason::Stopped })),
    ])
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|b| format!("{b:02x}")).collect::<Vec<_>>().join(" ")
}

fn example(name: &str, record: &Record) -> String {
    let mut plain = [0; MAX_RECORD];
    let plain = postcard::to_slice(record, &mut plain).unwrap();
    let mut frame = [0; MAX_FRAME];
    let frame = encode(record, &mut frame).unwrap();
    let check = CRC.checksum(plain).to_le_bytes();
    format!("{name}\nrecord {}\ncheck  {}\nframe  {}\n", hex(plain), hex(&check), hex(frame))
}

#[test]
fn the_examples_are_what_this_crate_writes_and_reads() {
    let specification = include_str!("../SPEC.md");
    let written: Vec<&str> =
        specification.split("```example\n").skip(1).map(|rest| rest.split("```").next().unwrap()).collect();
    let records = examples();
    assert_eq!(records.len(), Record::KINDS as usize, "one example of every kind");
    assert_eq!(written.len(), records.len(), "and each of them in SPEC.md");
    for text in written {
        let name = text.lines().next().unwrap();
        let record = &records[name];
        assert_eq!(text, example(name, record));

        let frame = text.lines().last().unwrap().trim_start_matches("frame  ");
        let bytes: Vec<u8> = frame.split(' ').map(|b| u8::from_str_radix(b, 16).unwrap()).collect();
        assert_eq!(decode(bytes.strip_suffix(&[0]).unwrap()), Ok(Ok(record.clone())));
    }
}

#[test]
fn the_largest_records_fit_a_frame() {
    let far = Window::from_array([u16::MAX / 2; CHANNELS]);
    let mut windows = Windows::new(Tick(u32::MAX));
    for i in 0..MAX_RUNS {
        windows.push(u16::MAX, if i % 2 == 0 { far } else { Window::default() }).unwrap();
    }
    let samples: Vec<u16> = (0..BURST_CHUNK).map(|i| if i % 2 == 0 { 4_095 } else { 0 }).collect();
    let run = TemperatureRun { seconds: u16::MAX, supply: Some(i16::MIN), drain: Some(i16::MIN) };
    let largest = [
        Record::Windows(windows),
        Record::Burst(Burst::new(Tick(u32::MAX), u16::MAX, &samples)),
        Record::Temperatures(Temperatures {
            start: Tick(u32::MAX),
            runs: std::iter::repeat_n(run, 16).collect(),
        }),
    ];
    for record in largest {
        let mut plain = [0; MAX_RECORD];
        assert!(postcard::to_slice(&record, &mut plain).is_ok());
        assert!(encode(&record, &mut [0; MAX_FRAME]).is_ok());
    }
}
