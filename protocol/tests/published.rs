//! The format's building blocks against the documents that define them.

use tubtrace_protocol::CRC;

/// Cheshire and Baker, "Consistent Overhead Byte Stuffing", IEEE/ACM Transactions on Networking 7 (2), 1999: a zero
/// is replaced by the distance to the next one; 254 bytes without a zero take the code 255 and imply none.
#[test]
fn cobs_follows_the_paper() {
    let examples: [(&[u8], &[u8]); 6] = [
        (&[0x00], &[0x01, 0x01]),
        (&[0x00, 0x00], &[0x01, 0x01, 0x01]),
        (&[0x00, 0x11, 0x00], &[0x01, 0x02, 0x11, 0x01]),
        (&[0x11, 0x22, 0x00, 0x33], &[0x03, 0x11, 0x22, 0x02, 0x33]),
        (&[0x11, 0x22, 0x33, 0x44], &[0x05, 0x11, 0x22, 0x33, 0x44]),
        // The packet of the paper's figure 2: the start of an IPv4 header.
        (
            &[0x45, 0x00, 0x00, 0x2c, 0x4c, 0x79, 0x00, 0x00, 0x40, 0x06, 0x4f, 0x37],
            &[0x02, 0x45, 0x01, 0x04, 0x2c, 0x4c, 0x79, 0x01, 0x05, 0x40, 0x06, 0x4f, 0x37],
        ),
    ];
    for (plain, stuffed) in examples {
        let mut buffer = [0; 32];
        let n = cobs::encode(plain, &mut buffer);
        assert_eq!(&buffer[..n], stuffed);
        let n = cobs::decode_in_place(&mut buffer[..n]).unwrap();
        assert_eq!(&buffer[..n], plain);
    }

    let long: Vec<u8> = (1..=254).collect();
    let mut buffer = [0; 300];
    let n = cobs::encode(&long, &mut buffer);
    assert_eq!(buffer[0], 0xff);
    assert!(n <= 256, "one code byte in 254, and at most one more at the end");
}

/// Catalogue of parametrised CRC algorithms, entry CRC-32/ISCSI: the check value of "123456789" is 0xe3069283.
/// RFC 3720 (iSCSI) B.4 gives the CRC of 32 zeros as the bytes aa 36 91 8a.
#[test]
fn crc_gives_the_catalogue_s_check_value() {
    assert_eq!(CRC.checksum(b"123456789"), 0xe306_9283);
    assert_eq!(CRC.checksum(&[0; 32]).to_le_bytes(), [0xaa, 0x36, 0x91, 0x8a]);
    assert_eq!(CRC.checksum(&[0xff; 32]).to_le_bytes(), [0x43, 0xab, 0xa8, 0x62]);
}

/// The postcard wire specification, section "Varint encoded integers": its unsigned table and its zig-zag table.
#[test]
fn varints_follow_postcard_s_specification() {
    let unsigned: [(u16, &[u8]); 6] = [
        (0, &[0x00]),
        (127, &[0x7f]),
        (128, &[0x80, 0x01]),
        (16_383, &[0xff, 0x7f]),
        (16_384, &[0x80, 0x80, 0x01]),
        (65_535, &[0xff, 0xff, 0x03]),
    ];
    for (value, bytes) in unsigned {
        assert_eq!(postcard::to_slice(&value, &mut [0; 8]).unwrap(), bytes);
    }
    let signed: [(i16, &[u8]); 8] = [
        (0, &[0x00]),
        (-1, &[0x01]),
        (1, &[0x02]),
        (63, &[0x7e]),
        (-64, &[0x7f]),
        (64, &[0x80, 0x01]),
        (-65, &[0x81, 0x01]),
        (-32_768, &[0xff, 0xff, 0x03]),
    ];
    for (value, bytes) in signed {
        assert_eq!(postcard::to_slice(&value, &mut [0; 8]).unwrap(), bytes);
    }
}
