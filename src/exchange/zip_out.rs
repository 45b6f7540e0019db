//! Files packed into one `.zip` (PKWARE APPNOTE): stored as they are, since
//! those that go out are small.

/// Version of the format that a reader must know.
const VERSION: u16 = 20;
/// The names are UTF-8.
const UTF8: u16 = 1 << 11;
/// The first day that the format knows, 1980-01-01: nothing here asks the clock.
const DAY: u16 = (1 << 5) | 1;

/// Packs files, each with its name.
///
/// # Errors
/// Says what the format cannot hold.
pub fn zip(files: &[(String, Vec<u8>)]) -> Result<Vec<u8>, String> {
    let large = |_| "too much for one .zip".to_string();
    let mut bytes: Vec<u8> = Vec::new();
    let mut list: Vec<u8> = Vec::new();
    for (name, content) in files {
        let start = u32::try_from(bytes.len()).map_err(large)?;
        let size = u32::try_from(content.len()).map_err(large)?;
        let name_length = u16::try_from(name.len()).map_err(large)?;
        // The same in front of the file and in the list at the end.
        let mut told: Vec<u8> = [VERSION, UTF8, 0, 0, DAY].into_iter().flat_map(u16::to_le_bytes).collect();
        told.extend([rawzip::crc32(content), size, size].into_iter().flat_map(u32::to_le_bytes));
        told.extend([name_length, 0].into_iter().flat_map(u16::to_le_bytes));
        bytes.extend([b"PK\x03\x04", told.as_slice(), name.as_bytes(), content].concat());
        list.extend([b"PK\x01\x02", VERSION.to_le_bytes().as_slice(), &told, &[0; 10]].concat());
        list.extend(start.to_le_bytes());
        list.extend(name.as_bytes());
    }
    let at = u32::try_from(bytes.len()).map_err(large)?;
    let length = u32::try_from(list.len()).map_err(large)?;
    let count = u16::try_from(files.len()).map_err(large)?;
    bytes.extend(list);
    bytes.extend([b"PK\x05\x06".as_slice(), &[0; 4]].concat());
    bytes.extend([count, count].into_iter().flat_map(u16::to_le_bytes));
    bytes.extend([length, at].into_iter().flat_map(u32::to_le_bytes));
    bytes.extend([0; 2]);
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exchange::zip::entries;

    #[test]
    fn what_is_packed_comes_out_again() {
        let files = vec![("a.txt".to_string(), b"litter".to_vec()), ("b/ü.bin".to_string(), vec![0; 70_000])];
        assert_eq!(entries(&zip(&files).unwrap(), |_| true).unwrap(), files);
        assert_eq!(entries(&zip(&[]).unwrap(), |_| true).unwrap(), []);
    }
}
