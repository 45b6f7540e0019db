//! The entries of a `.kmz` or `.zip` (PKWARE APPNOTE): stored or deflated, no more.
//!
//! What an entry says of its size is not believed: no entry may unfold beyond a limit.

use miniz_oxide::inflate::decompress_to_vec_with_limit;

/// Largest entry, unfolded.
const LARGEST: usize = 128 * 1024 * 1024;
/// All entries together, unfolded.
const LARGEST_SUM: usize = 256 * 1024 * 1024;
/// Most entries that are looked at.
const MOST_ENTRIES: usize = 1_000;

/// Whether some bytes begin as a packed file does.
pub(super) fn is_zip(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"PK\x05\x06")
}

/// The entries that `wanted` says yes to, by name and content.
///
/// # Errors
/// Says in a sentence what is wrong with the file.
pub(super) fn entries(bytes: &[u8], wanted: impl Fn(&str) -> bool) -> Result<Vec<(String, Vec<u8>)>, String> {
    let cut = || "the packed file is cut off or damaged".to_string();
    let from = bytes.len().saturating_sub(66_000);
    let tail = bytes.get(from..).ok_or_else(cut)?;
    let end = tail.windows(4).rposition(|w| w == b"PK\x05\x06").ok_or_else(cut)? + from;
    let count = two(bytes, end + 10).ok_or_else(cut)?;
    let mut at = four(bytes, end + 16).ok_or_else(cut)?;
    if count > MOST_ENTRIES {
        return Err(format!("the packed file has {count} entries, more than {MOST_ENTRIES}"));
    }
    let mut all = Vec::new();
    let mut sum = 0_usize;
    for _ in 0..count {
        let head = bytes.get(at..).filter(|head| head.starts_with(b"PK\x01\x02")).ok_or_else(cut)?;
        let flags = two(head, 8).ok_or_else(cut)?;
        let method = two(head, 10).ok_or_else(cut)?;
        let packed = four(head, 20).ok_or_else(cut)?;
        let lengths = two(head, 28).zip(two(head, 30)).zip(two(head, 32)).ok_or_else(cut)?;
        let ((name, extra), comment) = lengths;
        let start = four(head, 42).ok_or_else(cut)?;
        let name_text = String::from_utf8_lossy(head.get(46..46 + name).ok_or_else(cut)?).into_owned();
        at += 46 + name + extra + comment;
        if !wanted(&name_text) {
            continue;
        }
        if flags & 1 != 0 {
            return Err(format!("`{name_text}` in it is locked with a password"));
        }
        let own = bytes.get(start..).filter(|own| own.starts_with(b"PK\x03\x04")).ok_or_else(cut)?;
        let skip = two(own, 26).zip(two(own, 28)).map(|(a, b)| 30 + a + b).ok_or_else(cut)?;
        let data = own.get(skip..skip.saturating_add(packed)).ok_or_else(cut)?;
        let content = match method {
            0 => data.to_vec(),
            8 => decompress_to_vec_with_limit(data, LARGEST)
                .map_err(|_| format!("`{name_text}` in it cannot be unpacked, or grows beyond {LARGEST} bytes"))?,
            other => return Err(format!("`{name_text}` in it is packed in a way that is not read ({other})")),
        };
        sum = sum.saturating_add(content.len());
        if sum > LARGEST_SUM {
            return Err(format!("the packed file grows beyond {LARGEST_SUM} bytes"));
        }
        all.push((name_text, content));
    }
    Ok(all)
}

fn two(bytes: &[u8], at: usize) -> Option<usize> {
    Some(usize::from(u16::from_le_bytes(bytes.get(at..at.checked_add(2)?)?.try_into().ok()?)))
}

fn four(bytes: &[u8], at: usize) -> Option<usize> {
    usize::try_from(u32::from_le_bytes(bytes.get(at..at.checked_add(4)?)?.try_into().ok()?)).ok()
}
