//! Text by whatever code its bytes are: UTF-8, UTF-16 with its mark, and a byte for each letter.

use std::borrow::Cow;

use csv::{ByteRecord, StringRecord};

/// Whether these bytes begin with the mark of UTF-16, of either order (The Unicode Standard, 23.8).
pub(super) fn are_of_utf16(bytes: &[u8]) -> bool {
    bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff])
}

/// The same text in UTF-8, if its mark says that it is UTF-16; else the bytes as they are. Half a letter becomes the mark for none.
pub(super) fn utf8(bytes: &[u8]) -> Cow<'_, [u8]> {
    if !are_of_utf16(bytes) {
        return Cow::Borrowed(bytes);
    }
    let of = if bytes[0] == 0xff { u16::from_le_bytes } else { u16::from_be_bytes };
    let units = bytes[2..].chunks_exact(2).map(|pair| of([pair[0], pair[1]]));
    let letters = char::decode_utf16(units).map(|letter| letter.unwrap_or(char::REPLACEMENT_CHARACTER));
    Cow::Owned(letters.collect::<String>().into_bytes())
}

/// The fields of a row, without spaces around them: in UTF-8, or else each byte a letter of ISO 8859-1, which older programs write.
pub(super) fn fields(record: ByteRecord) -> StringRecord {
    let mut fields = match StringRecord::from_byte_record(record) {
        Ok(fields) => fields,
        Err(error) => {
            let letters = |field: &[u8]| field.iter().copied().map(char::from).collect::<String>();
            error.into_byte_record().iter().map(letters).collect()
        }
    };
    fields.trim();
    fields
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn either_order_of_utf16_is_told_by_its_mark() {
        // RFC 2781, 4: "=Ra" behind U+12345, in both orders.
        let text = "\u{12345}=Ra".as_bytes();
        let big = b"\xfe\xff\xd8\x08\xdf\x45\x00\x3d\x00\x52\x00\x61";
        let little = b"\xff\xfe\x08\xd8\x45\xdf\x3d\x00\x52\x00\x61\x00";
        assert_eq!((&*utf8(big), &*utf8(little), &*utf8(text)), (text, text, text));
        // Half a pair, and an odd byte at the end.
        assert_eq!(&*utf8(b"\xff\xfe\x08\xd8\x3d\x00\x52"), "\u{fffd}=".as_bytes());
    }

    #[test]
    fn a_byte_is_a_letter_where_it_is_no_utf8() {
        let of = |fields: &[&[u8]]| super::fields(ByteRecord::from(fields.to_vec()));
        // 0xB0 is the degree sign and 0xFC u with two dots in ISO 8859-1.
        assert_eq!(of(&[b"\xb0C ", b"k\xfchl"]), StringRecord::from(vec!["\u{b0}C", "k\u{fc}hl"]));
        assert_eq!(of(&["\u{b0}C".as_bytes()]), StringRecord::from(vec!["\u{b0}C"]));
    }
}
