//! One document into a folder, whole or not at all.

use crate::cli::{Exit, out};
use std::io::Write;
use std::path::Path;
use tempfile::NamedTempFile;

/// Writes a document; an earlier one stays unless `force` is set.
pub(super) fn document(folder: &Path, name: &str, text: &str, force: bool) -> Exit {
    let path = folder.join(name);
    if path.exists() && !force {
        out::say(&format!("{} is there already; --force writes over it\n", path.display()));
        return Exit::Usage;
    }
    match save(folder, &path, text) {
        Ok(()) => {
            out::say(&format!("wrote {}: open it in a browser to read it on a phone or print it\n", path.display()));
            Exit::Done
        }
        Err(e) => {
            out::say(&format!("{} cannot be written: {e}\n", path.display()));
            Exit::Errors
        }
    }
}

/// First beside its place, then into it.
fn save(folder: &Path, path: &Path, text: &str) -> std::io::Result<()> {
    std::fs::create_dir_all(folder)?;
    let mut file = beside(folder)?;
    file.write_all(text.as_bytes())?;
    file.as_file().sync_all()?;
    file.persist(path).map(|_| ()).map_err(|e| e.error)
}

/// A file to be moved into its place, which others may read as they may read
/// any other file of this user.
pub(super) fn beside(folder: &Path) -> std::io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    builder.tempfile_in(folder)
}
