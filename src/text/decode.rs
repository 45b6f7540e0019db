//! Bytes of a file to text.

use crate::findings::{Finding, Place};

/// Largest file that is read: a farm file is under 100 kB, a county's
/// boundaries a few hundred MB.
const LARGEST: usize = 512 * 1024 * 1024;

/// Turns the bytes of a file into text: UTF-8 with or without a byte order
/// mark, or UTF-16 with one (as some editors save "Unicode" text).
///
/// # Errors
/// A finding when the file is too large or is not text.
pub fn decode(file: &str, bytes: Vec<u8>) -> Result<String, Box<Finding>> {
    let place = Place::file(file);
    if bytes.len() > LARGEST {
        let found = format!("the file has {} bytes", bytes.len());
        let finding = Finding::error("file-too-large", &place, found);
        return Err(Box::new(finding.accepts(format!("at most {LARGEST} bytes"))));
    }
    let wide = |order: fn([u8; 2]) -> u16| {
        let units = bytes[2..].chunks_exact(2).map(|c| order([c[0], c[1]]));
        char::decode_utf16(units).collect::<Result<String, _>>().ok()
    };
    let text = match bytes.as_slice() {
        [0xEF, 0xBB, 0xBF, rest @ ..] => String::from_utf8(rest.to_vec()).ok(),
        [0xFF, 0xFE, ..] => wide(u16::from_le_bytes),
        [0xFE, 0xFF, ..] => wide(u16::from_be_bytes),
        _ => {
            return String::from_utf8(bytes).map_err(|e| {
                let at = e.utf8_error().valid_up_to();
                let line = e.as_bytes()[..at].iter().filter(|b| **b == b'\n').count() + 1;
                let place = Place { file: file.into(), line, column: 1 };
                not_text(&place)
            });
        }
    };
    text.ok_or_else(|| not_text(&place))
}

fn not_text(place: &Place) -> Box<Finding> {
    let finding = Finding::error("not-text", place, "the file is not saved as UTF-8 text")
        .accepts("plain text saved as UTF-8")
        .fix("open it in an editor and save it again with the encoding UTF-8");
    Box::new(finding)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_and_wide_text_are_read() {
        assert_eq!(decode("a", b"\xEF\xBB\xBFfarm: A".to_vec()).unwrap(), "farm: A");
        assert_eq!(decode("a", b"\xFF\xFEf\0a\0".to_vec()).unwrap(), "fa");
        assert_eq!(decode("a", b"\xFE\xFF\0f\0a".to_vec()).unwrap(), "fa");
        let bad = decode("a", b"farm: A\nnote: caf\xE9\n".to_vec()).unwrap_err();
        assert_eq!(bad.place.line, 2);
    }
}
