//! Files into a folder: all of them whole, or none. What is there already is
//! written over only where that was asked for, and only if it is a file.

use crate::cli::exit::Exit;
use crate::cli::{companions, input, out, pending};
use crate::farm::{self, CALIBRATION, FIELDS, KEEPOUTS, MAIN, SOILS};
use crate::record::LOG;
use crate::text::file;
use std::collections::BTreeSet;
use std::fs::{self, File, Metadata};
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};
use tempfile::NamedTempFile;

/// A file to be written.
#[derive(Clone, Debug)]
pub(super) struct FarmDocument {
    pub(super) name: &'static str,
    pub(super) bytes: Vec<u8>,
}

/// Why nothing was written.
#[derive(Debug)]
pub(super) enum NotWritten {
    /// Files of these names are there already.
    There(Vec<String>),
    /// The system refused.
    Failed(io::Error),
}

impl From<io::Error> for NotWritten {
    fn from(e: io::Error) -> NotWritten {
        NotWritten::Failed(e)
    }
}

/// Writes documents of a farm; earlier ones stay unless `force` is set.
pub(super) fn documents(folder: &Path, list: &[FarmDocument], farm: &Path, force: bool) -> Exit {
    let files: Vec<(&str, &[u8])> = list.iter().map(|d| (d.name, d.bytes.as_slice())).collect();
    let exit = into(folder, &files, ": open it in a browser to read it on a phone or print it", force);
    if matches!(exit, Exit::Done) {
        let names: Vec<&str> = list.iter().map(|d| d.name).collect();
        companions::documents(folder, &names, farm);
    }
    exit
}

/// Writes files into a folder and says which; earlier ones stay unless `force` is set.
pub(super) fn into(folder: &Path, files: &[(&str, &[u8])], hint: &str, force: bool) -> Exit {
    let shown = |names: &[&str]| {
        let paths: Vec<String> = names.iter().map(|name| folder.join(name).display().to_string()).collect();
        paths.join(", ")
    };
    let names: Vec<&str> = files.iter().map(|(name, _)| *name).collect();
    let clear = files.iter().try_for_each(|(name, _)| no_farm_file(&folder.join(name), Some(name)));
    match clear.and_then(|()| save(folder, files.iter().copied(), force)) {
        Ok(()) => {
            out::say(&format!("wrote {}{hint}\n", shown(&names)));
            Exit::Done
        }
        Err(NotWritten::There(there)) => {
            let there: Vec<&str> = there.iter().map(String::as_str).collect();
            out::say(&format!("{} is there already; --force writes over it\n", shown(&there)));
            Exit::Usage
        }
        Err(NotWritten::Failed(e)) => {
            out::say(&format!("{} cannot be written: {e}\n", shown(&names)));
            Exit::Errors
        }
    }
}

/// Prints a text, or writes it into a file whole or not at all, and says so. No
/// file of the farm gives way to it but the one that it is meant for.
pub(super) fn text(path: Option<&Path>, text: &str, but: Option<&str>, force: bool) -> Exit {
    let Some(path) = path.filter(|path| !input::is_standard(path)) else {
        out::result(text);
        return Exit::Done;
    };
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let written = match path.file_name() {
        Some(name) if folder.is_dir() => {
            no_farm_file(path, but).and_then(|()| save(folder, [(name, text.as_bytes())], force))
        }
        Some(_) => Err(NotWritten::Failed(io::Error::from(ErrorKind::NotFound))),
        None => Err(NotWritten::Failed(io::Error::from(ErrorKind::IsADirectory))),
    };
    match written {
        Ok(()) => {
            out::say(&format!("wrote {}\n", path.display()));
            Exit::Done
        }
        Err(NotWritten::There(_)) => {
            out::say(&format!("{} is there already; --force writes over it\n", path.display()));
            Exit::Usage
        }
        Err(NotWritten::Failed(e)) => {
            out::say(&format!("{} cannot be written: {e}\n", path.display()));
            Exit::Errors
        }
    }
}

/// A file that is written beside its place and waits to be moved there.
struct FileReady {
    name: String,
    file: NamedTempFile,
    place: PathBuf,
    replaces: bool,
    /// The file that it replaces, locked so that no other run takes it for a
    /// leftover while it is kept.
    old: Option<File>,
}

/// A file that stands in its place.
struct FilePlaced {
    place: PathBuf,
    /// Where the one before it is kept; none where there was none.
    kept: Option<PathBuf>,
    /// That one, still locked.
    _old: Option<File>,
}

/// The files that a farm is read from, which no report may take the place of.
const OF_THE_FARM: [&str; 6] = [MAIN, FIELDS, KEEPOUTS, SOILS, CALIBRATION, LOG];

/// Refuses a place in which a file of the farm itself stands or belongs, also
/// where a link leads to it or a laboratory gave it; `but` is the file of the
/// farm that is meant to be written, if any.
fn no_farm_file(path: &Path, but: Option<&str>) -> Result<(), NotWritten> {
    let real = fs::canonicalize(path).ok();
    let own = [Some(path), real.as_deref()].into_iter().flatten().find(|path| {
        let Some(name) = path.file_name().and_then(|name| name.to_str()) else { return false };
        let other = |own: &str| own.eq_ignore_ascii_case(name) && but != Some(own);
        OF_THE_FARM.iter().any(|own| other(own)) || (but != Some(name) && read_by_a_farm(path, name))
    });
    let Some(own) = own else { return Ok(()) };
    let why = format!("{} is a file of the farm itself; write to another name", own.display());
    Err(NotWritten::Failed(io::Error::other(why)))
}

/// Whether the farm in whose folder a file stands reads it.
fn read_by_a_farm(path: &Path, name: &str) -> bool {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    path.exists() && folder.join(MAIN).exists() && farm::read(folder).0.files.iter().any(|file| file.file == name)
}

/// Writes all files or none, and none in the place of a file of the farm's own.
pub(super) fn reports<'a>(
    folder: &Path,
    files: impl IntoIterator<Item = (&'a str, &'a [u8])>,
    force: bool,
) -> Result<(), NotWritten> {
    let files: Vec<(&str, &[u8])> = files.into_iter().collect();
    files.iter().try_for_each(|(name, _)| no_farm_file(&folder.join(name), None))?;
    save(folder, files, force)
}

/// Writes all files or none: all of them beside their places first, then each
/// into its own; what went before is put back when one of them fails.
pub(super) fn save<'a, N: AsRef<Path>>(
    folder: &Path,
    files: impl IntoIterator<Item = (N, &'a [u8])>,
    force: bool,
) -> Result<(), NotWritten> {
    make(folder)?;
    pending::clear(folder);
    let (mut goals, mut there) = (Vec::new(), Vec::new());
    for (name, bytes) in files {
        let path = folder.join(name.as_ref());
        let name = name.as_ref().display().to_string();
        let before = before(&path)?;
        if before.is_some() && !force {
            there.push(name.clone());
        }
        goals.push((name, path, before, bytes));
    }
    if !there.is_empty() {
        return Err(NotWritten::There(there));
    }
    let mut ready = Vec::new();
    for (name, path, before, bytes) in goals {
        ready.push(beside(name, path, before, bytes)?);
    }
    // A signal waits until all of them stand.
    let mut pending = pending::held();
    placed(ready, &mut pending)
}

/// Makes a folder where there is none; says what stands in its way.
fn make(folder: &Path) -> io::Result<()> {
    let there = folder.ancestors().filter(|path| !path.as_os_str().is_empty());
    // The nearest that is there: whatever it lies in is a folder.
    let nearest = there.filter_map(|path| Some((path, fs::metadata(path).ok()?))).next();
    match nearest {
        Some((path, of)) if !of.is_dir() => {
            let what = if of.is_file() { "a file" } else { "a pipe, device or socket" };
            Err(io::Error::other(format!("{} is {what}, not a folder", path.display())))
        }
        _ => fs::create_dir_all(folder),
    }
}

/// What stands in a place: nothing, or the file that a link may lead to.
fn before(path: &Path) -> io::Result<Option<(PathBuf, Metadata)>> {
    match fs::symlink_metadata(path) {
        Err(e) if e.kind() == ErrorKind::NotFound => Ok(None),
        Err(e) => Err(e),
        Ok(_) => {
            let real = fs::canonicalize(path)?;
            let of = fs::metadata(&real)?;
            file::regular(&of)?;
            Ok(Some((real, of)))
        }
    }
}

/// Writes a file beside its place.
fn beside(name: String, path: PathBuf, before: Option<(PathBuf, Metadata)>, bytes: &[u8]) -> io::Result<FileReady> {
    let place = before.as_ref().map_or(path, |(real, _)| real.clone());
    let folder = place.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    if before.is_some() {
        // A link may lead into another folder.
        pending::clear(folder);
    }
    let mut file = pending::create(folder, before.is_some())?;
    file.write_all(bytes)?;
    if let Some((_, of)) = &before {
        file.as_file().set_permissions(of.permissions())?;
    }
    file.as_file().sync_all()?;
    let replaces = before.is_some();
    let old = before.and_then(|(real, _)| File::open(real).ok());
    // Where it cannot be locked, its age is all that protects it.
    let _ = old.as_ref().map(File::try_lock);
    Ok(FileReady { name, file, place, replaces, old })
}

fn placed(ready: Vec<FileReady>, pending: &mut BTreeSet<PathBuf>) -> Result<(), NotWritten> {
    let several = ready.len() > 1;
    let mut done: Vec<FilePlaced> = Vec::new();
    for FileReady { name, file, place, replaces, old } in ready {
        let beside = file.path().to_path_buf();
        match moved(file, &place, replaces, several) {
            Ok(kept) => {
                pending.remove(&beside);
                done.push(FilePlaced { place, kept, _old: old });
            }
            Err(e) => {
                put_back(done);
                let there = e.kind() == ErrorKind::AlreadyExists;
                return Err(if there { NotWritten::There(vec![name]) } else { NotWritten::Failed(e) });
            }
        }
    }
    // One that cannot be removed is cleared by a later run.
    done.iter().filter_map(|d| d.kept.as_ref()).for_each(|kept| drop(fs::remove_file(kept)));
    Ok(())
}

/// Moves a file into its place; gives where the one before it is kept, for as
/// long as others of the set may still fail.
fn moved(file: NamedTempFile, place: &Path, replaces: bool, several: bool) -> io::Result<Option<PathBuf>> {
    if !replaces {
        // Whether the place is still free, the system says.
        return file.persist_noclobber(place).map(|_| None).map_err(|e| e.error);
    }
    let kept = several.then(|| pending::kept_beside(file.path()));
    if let Some(kept) = &kept {
        // A disk without links takes a copy.
        fs::hard_link(place, kept).or_else(|_| fs::copy(place, kept).map(|_| ()))?;
    }
    match file.persist(place) {
        Ok(_) => Ok(kept),
        Err(e) => {
            kept.iter().for_each(|kept| drop(fs::remove_file(kept)));
            Err(e.error)
        }
    }
}

/// The first error is the one to tell; this is as far as fixing goes.
fn put_back(done: Vec<FilePlaced>) {
    for FilePlaced { place, kept, .. } in done.into_iter().rev() {
        let _ = match kept {
            Some(kept) => fs::rename(kept, place),
            None => fs::remove_file(place),
        };
    }
}
