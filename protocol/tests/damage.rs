//! Whatever happens to the bytes of a log, every frame that was not hit is read.

use proptest::prelude::*;
use tubtrace_protocol::*;

fn record() -> impl Strategy<Value = Record> {
    let window = any::<[u16; CHANNELS]>().prop_map(Window::from_array);
    prop_oneof![
        (any::<u32>(), prop::collection::vec((any::<u16>(), window), 0..=MAX_RUNS)).prop_map(
            |(start, runs)| {
                let mut record = Windows::new(Tick(start));
                for (n, w) in runs {
                    record.push(n, w).unwrap();
                }
                Record::Windows(record)
            }
        ),
        (any::<u32>(), any::<u16>(), prop::collection::vec(0u16..4096, 0..=BURST_CHUNK))
            .prop_map(|(tick, offset, samples)| Record::Burst(Burst::new(Tick(tick), offset, &samples))),
        (any::<u32>(), prop::collection::vec(any::<(u16, Option<i16>, Option<i16>)>(), 0..=16)).prop_map(
            |(start, runs)| Record::Temperatures(Temperatures {
                start: Tick(start),
                runs: runs
                    .into_iter()
                    .map(|(seconds, supply, drain)| TemperatureRun { seconds, supply, drain })
                    .collect(),
            })
        ),
        (any::<u32>(), any::<i64>(), any::<i16>()).prop_map(
            |(tick, unix_ms, offset_minutes)| Record::Anchor(Anchor {
                tick: Tick(tick),
                unix_ms,
                offset_minutes
            })
        ),
        any::<u32>().prop_map(|tick| Record::Mark(Mark { tick: Tick(tick) })),
        (any::<u32>(), any::<u32>(), "[a-zé ]{0,12}").prop_map(|(tick, logger, label)| Record::Opened(
            Opened {
                format: FORMAT,
                version: VERSION,
                tick: Tick(tick),
                reason: OpenReason::Armed,
                logger,
                microamps_per_count: 16_113,
                label: label.as_str().try_into().unwrap(),
            }
        )),
    ]
}

/// The log of `records` and, for each byte, the frame that it belongs to.
fn log(records: &[Record]) -> (Vec<u8>, Vec<usize>) {
    let (mut bytes, mut owner) = (Vec::new(), Vec::new());
    for (i, r) in records.iter().enumerate() {
        let mut buffer = [0; MAX_FRAME];
        let frame = encode(r, &mut buffer).expect("every record fits");
        owner.extend(std::iter::repeat_n(i, frame.len()));
        bytes.extend_from_slice(frame);
    }
    (bytes, owner)
}

fn read(bytes: &[u8], piece: usize) -> (Vec<Record>, usize) {
    let (mut records, mut damaged) = (Vec::new(), 0);
    let mut take = |item| match item {
        Item::Record(r) => records.push(r),
        Item::Unknown { .. } | Item::Damaged { .. } => damaged += 1,
    };
    let mut reader = Reader::default();
    bytes.chunks(piece).for_each(|p| reader.push(p, &mut take));
    reader.finish(&mut take);
    (records, damaged)
}

fn without(records: &[Record], hit: usize) -> Vec<Record> {
    records.iter().enumerate().filter(|(i, _)| *i != hit).map(|(_, r)| r.clone()).collect()
}

proptest! {
    #[test]
    fn what_is_written_is_read(records in prop::collection::vec(record(), 0..12), piece in 1usize..600) {
        let (bytes, _) = log(&records);
        prop_assert_eq!(read(&bytes, piece), (records, 0));
    }

    #[test]
    fn a_flipped_bit_loses_at_most_the_frame_it_hits(
        records in prop::collection::vec(record(), 1..8), at in any::<prop::sample::Index>(), bit in 0u8..8,
    ) {
        let (mut bytes, owner) = log(&records);
        let at = at.index(bytes.len());
        bytes[at] ^= 1 << bit;
        let (read, damaged) = read(&bytes, 64);
        let all = read == records;
        prop_assert!(all || read == without(&records, owner[at]), "flip at {at}");
        // A flip may cost nothing (the closing zero of a frame), but what it costs is said.
        prop_assert!(all || damaged >= 1);
    }

    #[test]
    fn a_cut_loses_at_most_the_frame_it_hits(
        records in prop::collection::vec(record(), 1..8), at in any::<prop::sample::Index>(),
    ) {
        let (bytes, owner) = log(&records);
        let at = at.index(bytes.len());
        let (read, damaged) = read(&bytes[..at], 64);
        // Before the cut every frame is whole; the one cut may still be whole if only its zero is gone.
        prop_assert!(read == records[..owner[at]] || read == records[..=owner[at]]);
        let whole = at == 0 || bytes[at - 1] == 0 || read.len() == owner[at] + 1;
        prop_assert_eq!(damaged, usize::from(!whole));
    }

    #[test]
    fn noise_never_panics(bytes in prop::collection::vec(any::<u8>(), 0..4096), piece in 1usize..600) {
        read(&bytes, piece);
    }
}

#[test]
fn every_flip_of_one_log() {
    let records: Vec<_> = (0..6).map(|i| Record::Mark(Mark { tick: Tick(i * 77) })).collect();
    let (bytes, owner) = log(&records);
    for at in 0..bytes.len() {
        for bit in 0..8 {
            let mut hit = bytes.clone();
            hit[at] ^= 1 << bit;
            let (read, _) = read(&hit, 7);
            assert!(read == records || read == without(&records, owner[at]), "byte {at} bit {bit}");
        }
    }
}

#[test]
fn a_kind_of_the_future_is_skipped_and_counted() {
    let mut bytes = Vec::new();
    // Kind 200 with three bytes of something: postcard spells 200 as c8 01.
    let mut body = vec![0xc8, 0x01, 1, 2, 3];
    body.extend(CRC.checksum(&body).to_le_bytes());
    let mut frame = [0; 32];
    let n = cobs::encode(&body, &mut frame);
    bytes.extend_from_slice(&frame[..n]);
    bytes.push(0);
    bytes.extend(log(&[Record::Mark(Mark { tick: Tick(9) })]).0);

    let mut items = Vec::new();
    Reader::default().push(&bytes, |i| items.push(i));
    assert_eq!(items, [Item::Unknown { kind: 200 }, Item::Record(Record::Mark(Mark { tick: Tick(9) }))]);
}

#[test]
fn a_field_of_the_future_is_ignored() {
    let mut body = postcard::to_stdvec_like(&Record::Mark(Mark { tick: Tick(9) }));
    body.extend([1, 2, 3]);
    body.extend(CRC.checksum(&body).to_le_bytes());
    let mut frame = [0; 32];
    let n = cobs::encode(&body, &mut frame);
    assert_eq!(decode(&frame[..n]), Ok(Ok(Record::Mark(Mark { tick: Tick(9) }))));
}

/// `postcard::to_stdvec` without its `use-std` feature, which would reach the no_std crate under test.
mod postcard {
    pub fn to_stdvec_like(record: &tubtrace_protocol::Record) -> Vec<u8> {
        ::postcard::to_slice(record, &mut [0; 512]).unwrap().to_vec()
    }
}
