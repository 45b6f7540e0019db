//! Files that are not in their places yet: none of them is left behind by a
//! signal, and those that a kill left are cleared by the next run.

use crate::cli::clock;
use std::collections::BTreeSet;
use std::fs::{File, TryLockError};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;
use tempfile::{Builder, NamedTempFile};

/// How the names of such files begin.
const BEGINS: &str = ".sward-";
/// How they end: what is being written, and what is kept until all is written.
const ENDS: [&str; 2] = [".tmp", ".old"];
/// No writer takes so long; what is older, and locked by nobody, is a leftover also where
/// locks say nothing.
const OLD: Duration = Duration::from_secs(60);

/// How often a file is made again that another run cleared in the moment before it was locked.
const MOST_TRIES: usize = 100;

/// The files of this run. Whoever holds them is not ended by a signal.
static PENDING: Mutex<BTreeSet<PathBuf>> = Mutex::new(BTreeSet::new());

/// The files of this run; a signal waits until they are let go.
pub(super) fn held() -> MutexGuard<'static, BTreeSet<PathBuf>> {
    PENDING.lock().unwrap_or_else(PoisonError::into_inner)
}

/// A new file in a folder, which is removed unless it is moved to its place.
/// Others may read it as they may read any other new file of this user, but
/// not where it is to replace one: that one's mode is given to it later.
pub(super) fn create(folder: &Path, replaces: bool) -> io::Result<NamedTempFile> {
    let mut builder = Builder::new();
    builder.prefix(BEGINS).suffix(ENDS[0]);
    #[cfg(unix)]
    if !replaces {
        builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    }
    watch();
    let mut last = None;
    for _ in 0..MOST_TRIES {
        let mut pending = held();
        let file = builder.tempfile_in(folder)?;
        pending.insert(file.path().to_path_buf());
        drop(pending);
        // A system without locks goes by the age alone.
        let taken = matches!(file.as_file().try_lock(), Err(TryLockError::WouldBlock));
        if !taken && file.path().exists() {
            return Ok(file);
        }
        // Another run cleared it before it was locked.
        held().remove(file.path());
        last = Some(file);
    }
    last.ok_or_else(|| io::Error::other("files beside it are cleared as they are written"))
}

/// The name under which an old file is kept until its successor stands.
pub(super) fn kept_beside(new: &Path) -> PathBuf {
    new.with_extension(&ENDS[1][1..])
}

/// Removes what runs that were killed left in a folder. A file that another
/// run is writing is locked, or younger where locks say nothing.
pub(super) fn clear(folder: &Path) {
    let Ok(entries) = std::fs::read_dir(folder) else { return };
    for path in entries.filter_map(|entry| Some(entry.ok()?.path())) {
        let name = path.file_name().and_then(|name| name.to_str()).unwrap_or_default();
        let ours = name.starts_with(BEGINS) && ENDS.iter().any(|end| name.ends_with(end));
        let plain = ours && std::fs::symlink_metadata(&path).is_ok_and(|of| of.is_file());
        if plain {
            remove_if_left(&path, name.ends_with(ENDS[0]));
        }
    }
}

/// Removes a file that a killed run left. Whoever writes one holds its lock from the first, so
/// that one without is left over; an old file that is kept may be a copy, which has no lock.
fn remove_if_left(path: &Path, written: bool) {
    let Ok(file) = File::open(path) else { return };
    let old = || file.metadata().and_then(|of| of.modified()).is_ok_and(|changed| clock::is_over(changed, OLD));
    let left = match file.try_lock() {
        Ok(()) => written || old(),
        Err(TryLockError::WouldBlock) => false,
        Err(TryLockError::Error(_)) => old(),
    };
    if left {
        // While it is locked, so that nobody begins to write it. Where it cannot be removed, the
        // next run tries again.
        let _ = std::fs::remove_file(path);
    }
}

/// From now on a signal that ends the program removes its pending files first.
#[cfg(unix)]
fn watch() {
    use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};
    use signal_hook::iterator::Signals;
    static WATCHING: std::sync::Once = std::sync::Once::new();
    WATCHING.call_once(|| {
        // Where signals cannot be watched, the next run clears.
        let Ok(mut signals) = Signals::new([SIGHUP, SIGINT, SIGTERM]) else { return };
        std::thread::spawn(move || {
            for signal in signals.forever() {
                let pending = held();
                pending.iter().for_each(|path| drop(std::fs::remove_file(path)));
                let _ = signal_hook::low_level::emulate_default_handler(signal);
            }
        });
    });
}

#[cfg(not(unix))]
fn watch() {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn leftovers_are_cleared_and_nothing_else() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        let long_ago = std::time::UNIX_EPOCH + Duration::from_secs(1_700_000_000);
        let old = |name: &str| {
            let file = File::create(at(name)).unwrap();
            file.set_modified(long_ago).unwrap();
            file
        };
        for name in [".sward-a.tmp", ".sward-b.old", ".sward-notes", "sward-c.tmp", ".other-d.tmp"] {
            old(name);
        }
        let written = old(".sward-e.tmp");
        written.lock().unwrap();
        // Just left behind, and a copy that is kept for the moment.
        File::create(at(".sward-f.tmp")).unwrap();
        File::create(at(".sward-h.old")).unwrap();
        std::fs::create_dir(at(".sward-g.tmp")).unwrap();
        clear(folder.path());
        let mut left: Vec<String> =
            std::fs::read_dir(folder.path()).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
        left.sort();
        assert_eq!(
            left,
            [".other-d.tmp", ".sward-e.tmp", ".sward-g.tmp", ".sward-h.old", ".sward-notes", "sward-c.tmp"]
        );
    }
}
