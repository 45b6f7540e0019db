//! The bytes of a file: regular files alone, and no more of them than the kind
//! of file can need.

use std::fs::{File, Metadata};
use std::io::{self, Read};
use std::path::Path;

/// Most bytes of `farm.yaml` or `calibration.yaml`; a large farm's has 1 MB.
pub const MOST_WRITTEN: u64 = 16 * 1024 * 1024;
/// Most bytes of boundaries, keep-outs and soils; a county's have some 300 MB.
pub const MOST_GROUND: u64 = 512 * 1024 * 1024;
/// Most bytes of the log; a busy farm's year has some 100 kB.
pub const MOST_LOG: u64 = 64 * 1024 * 1024;
/// Most bytes of a table of a laboratory or a scale.
pub const MOST_TABLE: u64 = 64 * 1024 * 1024;
/// Most bytes of one file of published figures.
pub const MOST_FIGURES: u64 = 16 * 1024 * 1024;
/// Most bytes of a plan; one of a thousand fields has some 20 MB.
pub const MOST_PLAN: u64 = 64 * 1024 * 1024;

const MEGABYTE: u64 = 1024 * 1024;

/// Reads a regular file, or one that a link leads to.
///
/// # Errors
/// Where it cannot be read, is no regular file, or holds more than `most`.
pub fn read(path: &Path, most: u64) -> io::Result<Vec<u8>> {
    limited(open(path)?, most)
}

/// Opens a regular file for reading. What is no file is never opened: a pipe
/// would wait for its writer, and a device may act on being opened.
///
/// # Errors
/// Where it cannot be opened or is no regular file.
pub fn open(path: &Path) -> io::Result<File> {
    regular(&std::fs::metadata(path)?)?;
    let file = File::open(path)?;
    regular(&file.metadata()?)?;
    Ok(file)
}

/// Refuses folders, pipes, devices and sockets.
///
/// # Errors
/// Unless it is a regular file.
pub fn regular(of: &Metadata) -> io::Result<()> {
    if of.is_file() {
        return Ok(());
    }
    let is =
        if of.is_dir() { "it is a folder, not a file" } else { "it is a pipe, device or socket, not a regular file" };
    Err(io::Error::other(is))
}

/// The whole of an open file, in one piece from the start.
///
/// # Errors
/// Where it cannot be read or holds more than `most`.
pub fn whole(file: &File, most: u64) -> io::Result<Vec<u8>> {
    let length = usize::try_from(file.metadata()?.len().min(most)).unwrap_or_default();
    read_into(Vec::with_capacity(length + 1), file, most)
}

/// Reads to the end, or refuses what goes on past `most` bytes.
///
/// # Errors
/// Where it cannot be read or holds more than `most`.
pub fn limited(from: impl Read, most: u64) -> io::Result<Vec<u8>> {
    read_into(Vec::new(), from, most)
}

fn read_into(mut bytes: Vec<u8>, from: impl Read, most: u64) -> io::Result<Vec<u8>> {
    from.take(most.saturating_add(1)).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > most {
        return Err(io::Error::other(format!("it holds more than {} MB, the most that is read", most / MEGABYTE)));
    }
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_never_ends_is_refused() {
        assert_eq!(limited(&b"abc"[..], 3).unwrap(), b"abc");
        assert!(limited(&b"abcd"[..], 3).is_err());
        assert!(limited(io::repeat(0), 2 * MEGABYTE).unwrap_err().to_string().contains("more than 2 MB"));
    }

    #[test]
    fn a_folder_is_no_file() {
        let folder = tempfile::tempdir().unwrap();
        assert!(read(folder.path(), 9).unwrap_err().to_string().contains("it is a folder"));
        std::fs::write(folder.path().join("a"), "abc").unwrap();
        assert_eq!(read(&folder.path().join("a"), 9).unwrap(), b"abc");
    }
}
