//! Files into a folder: all of them whole, or none.

use crate::cli::{Exit, out};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use tempfile::NamedTempFile;

/// A file to be written.
#[derive(Clone, Debug)]
pub(super) struct Document {
    pub(super) name: &'static str,
    pub(super) bytes: Vec<u8>,
}

/// Writes documents; earlier ones stay unless `force` is set.
pub(super) fn documents(folder: &Path, list: &[Document], force: bool) -> Exit {
    let shown =
        |names: &[&str]| names.iter().map(|n| folder.join(n).display().to_string()).collect::<Vec<_>>().join(", ");
    let there: Vec<&str> = list.iter().map(|d| d.name).filter(|name| folder.join(name).exists()).collect();
    if !there.is_empty() && !force {
        out::say(&format!("{} is there already; --force writes over it\n", shown(&there)));
        return Exit::Usage;
    }
    let names: Vec<&str> = list.iter().map(|d| d.name).collect();
    match save(folder, list.iter().map(|d| (d.name, d.bytes.as_slice()))) {
        Ok(()) => {
            out::say(&format!("wrote {}: open it in a browser to read it on a phone or print it\n", shown(&names)));
            Exit::Done
        }
        Err(e) => {
            out::say(&format!("{} cannot be written: {e}\n", shown(&names)));
            Exit::Errors
        }
    }
}

/// Writes all files or none: all of them beside their places first, then each
/// into its own; what went before is put back when one of them fails.
pub(super) fn save<'a>(folder: &Path, files: impl IntoIterator<Item = (&'a str, &'a [u8])>) -> io::Result<()> {
    std::fs::create_dir_all(folder)?;
    let mut ready: Vec<(NamedTempFile, PathBuf)> = Vec::new();
    for (name, bytes) in files {
        let mut file = beside(folder)?;
        file.write_all(bytes)?;
        file.as_file().sync_all()?;
        ready.push((file, folder.join(name)));
    }
    let mut done: Vec<(PathBuf, Option<Vec<u8>>)> = Vec::new();
    for (file, path) in ready {
        let before = if path.exists() { std::fs::read(&path).map(Some) } else { Ok(None) };
        let moved = before.and_then(|before| file.persist(&path).map(|_| before).map_err(|e| e.error));
        match moved {
            Ok(before) => done.push((path, before)),
            Err(e) => {
                put_back(&done);
                return Err(e);
            }
        }
    }
    Ok(())
}

/// A file to be moved into its place, which others may read as they may read
/// any other file of this user.
fn beside(folder: &Path) -> io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    builder.tempfile_in(folder)
}

fn put_back(done: &[(PathBuf, Option<Vec<u8>>)]) {
    for (path, before) in done {
        // The first error is the one to tell; this is as far as fixing goes.
        let _ = match before {
            Some(bytes) => std::fs::write(path, bytes),
            None => std::fs::remove_file(path),
        };
    }
}
