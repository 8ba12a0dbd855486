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
        (
            "panic",
            Record::Panic(Panic { tick: Tick(1_200), message: "storage.rs:12: no".try_into().unwrap() }),
        ),
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

/// `(name, message, its frame)`: what stands under "Requests and replies".
fn messages() -> Vec<(&'static str, String)> {
    let clock = HostClock { unix_ms: 1_800_000_000_000, offset_minutes: -300 };
    let requests = [
        ("hello", Request::Hello { nonce: 300 }),
        (
            "arm",
            Request::Arm(Arm {
                clock,
                label: "flat 3".try_into().unwrap(),
                microamps_per_count: 16_113,
                full: Full::Stop,
            }),
        ),
        ("read", Request::Read(Cursor { frames: 2, check: 0x0738_9e05 })),
    ];
    let replies = [
        (
            "identity",
            Reply::Hello(Identity {
                nonce: 300,
                version: 1,
                logger: 7,
                firmware: "0.1.0".try_into().unwrap(),
            }),
        ),
        ("refused", Reply::Refused(Refusal::NotEmpty)),
        ("end", Reply::End { cursor: Cursor { frames: 2, check: 0x0738_9e05 } }),
    ];
    let requests = requests.iter().map(|(name, r)| {
        let frame = encode_request(r, &mut [0; MAX_FRAME]).unwrap().to_vec();
        assert_eq!(decode_request(frame.strip_suffix(&[0]).unwrap()).as_ref(), Ok(r));
        (*name, hex(&frame))
    });
    let replies = replies.iter().map(|(name, r)| {
        let frame = encode_reply(r, &mut [0; MAX_FRAME]).unwrap().to_vec();
        assert_eq!(decode_reply(frame.strip_suffix(&[0]).unwrap()), Ok(Some(r.clone())));
        (*name, hex(&frame))
    });
    requests.chain(replies).collect()
}

#[test]
fn the_messages_are_what_this_crate_writes_and_reads() {
    let specification = include_str!("../SPEC.md");
    let text = specification.split("```messages\n").nth(1).unwrap().split("```").next().unwrap();
    let lines: Vec<_> = messages().iter().map(|(name, frame)| format!("{name:<8} {frame}\n")).collect();
    assert_eq!(text, lines.concat());
}

#[test]
fn a_reply_and_a_frame_of_a_log_are_told_apart() {
    let mark = encode(&Record::Mark(Mark { tick: Tick(9) }), &mut [0; MAX_FRAME]).unwrap().to_vec();
    assert_eq!(decode_reply(mark.strip_suffix(&[0]).unwrap()), Ok(None));
    let reply = encode_reply(&Reply::Done, &mut [0; MAX_FRAME]).unwrap().to_vec();
    let reply = reply.strip_suffix(&[0]).unwrap();
    assert_eq!(decode(reply), Ok(Err(REPLY)), "a reader of logs passes it over");
    assert_eq!(decode_request(reply), Err(Damage::Content));
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
