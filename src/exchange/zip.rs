//! The entries of a `.kmz` or `.zip`: stored or deflated, no more.
//!
//! What an entry says of its size is not believed: no entry may unfold beyond a limit.

use miniz_oxide::inflate::decompress_to_vec_with_limit;
use rawzip::{CompressionMethod, ZipArchive, ZipVerification, crc32};

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
    let damaged = |_: rawzip::Error| "the packed file is cut off or damaged".to_string();
    let archive = ZipArchive::from_slice(bytes).map_err(damaged)?;
    let count = archive.entries_hint();
    if count > MOST_ENTRIES as u64 {
        return Err(format!("the packed file has {count} entries, more than {MOST_ENTRIES}"));
    }
    let mut all = Vec::new();
    let mut sum = 0_usize;
    for entry in archive.entries().take(MOST_ENTRIES) {
        let entry = entry.map_err(damaged)?;
        let name = String::from_utf8_lossy(entry.file_path().as_ref()).into_owned();
        if !wanted(&name) {
            continue;
        }
        if entry.flags().is_encrypted() {
            return Err(format!("`{name}` in it is locked with a password"));
        }
        let packed = archive.get_entry(entry.wayfinder()).map_err(damaged)?;
        let content = match entry.compression_method() {
            CompressionMethod::STORE => packed.data().to_vec(),
            CompressionMethod::DEFLATE => decompress_to_vec_with_limit(packed.data(), LARGEST)
                .map_err(|_| format!("`{name}` in it cannot be unpacked, or grows beyond {LARGEST} bytes"))?,
            other => return Err(format!("`{name}` in it is packed in a way that is not read ({})", other.as_u16())),
        };
        let found = ZipVerification { crc: crc32(&content), uncompressed_size: content.len() as u64 };
        packed.claim_verifier().valid(found).map_err(|_| format!("`{name}` in it was damaged on the way"))?;
        sum = sum.saturating_add(content.len());
        if sum > LARGEST_SUM {
            return Err(format!("the packed file grows beyond {LARGEST_SUM} bytes"));
        }
        all.push((name, content));
    }
    Ok(all)
}
