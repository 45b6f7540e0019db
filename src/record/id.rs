//! The id of an entry, by which a correction names it.

use crate::record::cells::Cells;

/// Letters and digits of an id: none that looks like another, and no vowel,
/// so that no word comes out.
const SIGNS: &[u8; 26] = b"bcdfghjkmnpqrstvwxz2345679";
/// How many of the signs are letters; an id starts with one, so that no
/// spreadsheet takes it for a number.
const LETTERS: u64 = 19;

/// A number out of text: FNV-1a, 64 bits.
fn mixed(text: &str, seed: u64) -> u64 {
    let start = 0xcbf2_9ce4_8422_2325 ^ seed.wrapping_mul(0x9e37_79b9_7f4a_7c15);
    let mut hash = text.bytes().fold(start, |hash, b| (hash ^ u64::from(b)).wrapping_mul(0x0100_0000_01b3));
    // The low bits of FNV mix badly; fold the high ones in.
    hash ^= hash >> 29;
    hash = hash.wrapping_mul(0xbf58_476d_1ce4_e5b9);
    hash ^ (hash >> 32)
}

/// `270315-k7m2qx`: the day, and six signs out of the content and a salt. Two
/// people who log the same on the same day have different salts.
pub(super) fn of(cells: &Cells, salt: u64) -> String {
    let date = cells.get("date").unwrap_or_default();
    let digits: String = date.chars().filter(char::is_ascii_digit).collect();
    let day = if digits.len() == 8 { &digits[2..] } else { "000000" };
    let content: Vec<String> =
        cells.iter().filter(|(column, _)| *column != "id").map(|(c, v)| format!("{c}={v}")).collect();
    let mut number = mixed(&content.join("\n"), salt);
    let mut id = format!("{day}-");
    for i in 0..6 {
        let from = if i == 0 { LETTERS } else { SIGNS.len() as u64 };
        id.push(char::from(SIGNS[(number % from) as usize]));
        number /= from;
    }
    id
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_tell_entries_apart() {
        let cells: Cells = [("date", "2027-03-15".to_string()), ("lot", "shed".to_string())].into_iter().collect();
        let mut ids: Vec<String> = (0..2_000).map(|salt| of(&cells, salt)).collect();
        assert!(ids[0].starts_with("270315-") && ids[0].len() == 13, "{}", ids[0]);
        ids.sort();
        ids.dedup();
        assert_eq!(ids.len(), 2_000);
        assert_eq!(of(&cells, 7), of(&cells, 7));
    }
}
