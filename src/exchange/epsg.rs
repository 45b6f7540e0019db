//! The well-known text of a code, for the systems that are taken and for those on NAD27, which
//! or drawn in another way, which are refused with a reason of their own.
//!
//! Source: EPSG's definitions as the crate `crs-definitions` 0.6 carries them. Whole, they would
//! more than double the program; a test keeps this selection as the crate has it.

use miniz_oxide::inflate::decompress_to_vec_with_limit;

/// A line for each code: the code, a tab, its well-known text.
static TABLE: &[u8] = include_bytes!("epsg.deflate");
/// More than the table holds.
const LARGEST: usize = 4 * 1024 * 1024;

/// The well-known text of a code.
pub(super) fn well_known_text(code: u16) -> Option<String> {
    let table = decompress_to_vec_with_limit(TABLE, LARGEST).ok()?;
    let wanted = code.to_string();
    let mut lines = std::str::from_utf8(&table).ok()?.lines().filter_map(|line| line.split_once('\t'));
    lines.find(|(code, _)| *code == wanted).map(|(_, text)| text.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exchange::prj::read;

    /// Who numbered a part of a system is nothing that is read here.
    fn without_authorities(text: &str) -> String {
        let mut parts = text.split(",AUTHORITY[");
        let first = parts.next().unwrap().to_string();
        parts.fold(first, |all, part| all + part.split_once(']').unwrap().1)
    }

    /// `UPDATE_EXPECTED=1` writes the table again.
    #[test]
    fn the_table_is_what_the_crate_holds_of_systems_that_are_taken() {
        let mut expected = String::new();
        for code in 0..=u16::MAX {
            let Some(known) = crs_definitions::from_code(code) else { continue };
            let kept = match read(known.wkt) {
                Ok(_) => true,
                Err(refused) => ["NAD27", "is drawn in"].iter().any(|why| refused.why.contains(why)),
            };
            if kept {
                let text = without_authorities(known.wkt);
                assert_eq!(read(&text), read(known.wkt), "{code}");
                expected.push_str(&format!("{code}\t{text}\n"));
            }
        }
        if std::env::var_os("UPDATE_EXPECTED").is_some() {
            let path = concat!(env!("CARGO_MANIFEST_DIR"), "/src/exchange/epsg.deflate");
            std::fs::write(path, miniz_oxide::deflate::compress_to_vec(expected.as_bytes(), 10)).unwrap();
        } else {
            let table = decompress_to_vec_with_limit(TABLE, LARGEST).unwrap();
            assert!(std::str::from_utf8(&table).unwrap() == expected, "the table is not what the crate holds");
        }
        assert!(expected.lines().count() > 500 && expected.len() < LARGEST);
        assert_eq!(well_known_text(5070), expected.lines().find_map(|l| l.strip_prefix("5070\t")).map(String::from));
        assert_eq!(well_known_text(1), None);
    }
}
