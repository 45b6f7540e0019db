//! Where a farm's files are: on disk or in memory.

use crate::farm::{self, Change, FarmText, Written};
use crate::findings::{Finding, Findings};
use crate::record;
use std::path::Path;

/// A farm folder.
#[derive(Clone, Copy, Debug)]
pub enum Folder<'a> {
    /// A folder on disk, and the name of its main file.
    Disk {
        /// The folder.
        path: &'a Path,
        /// Its main file.
        main: &'a str,
    },
    /// Texts in memory.
    Memory {
        /// The files of the farm.
        texts: &'a FarmText,
        /// Its log; empty when nothing was done yet.
        log: &'a str,
    },
}

impl<'a> Folder<'a> {
    /// A farm folder on disk, or a farm file in one.
    #[must_use]
    pub fn at(path: &'a Path) -> Folder<'a> {
        let name = path.file_name().and_then(|n| n.to_str()).filter(|_| path.is_file());
        let folder = path.parent().map(|p| if p.as_os_str().is_empty() { Path::new(".") } else { p });
        match (name, folder) {
            (Some(main), Some(path)) => Folder::Disk { path, main },
            _ => Folder::disk(path),
        }
    }

    /// A farm folder on disk.
    #[must_use]
    pub fn disk(path: &'a Path) -> Folder<'a> {
        Folder::Disk { path, main: farm::MAIN }
    }

    /// The folder on disk; none of a farm in memory.
    #[must_use]
    pub fn path(self) -> Option<&'a Path> {
        match self {
            Folder::Disk { path, .. } => Some(path),
            Folder::Memory { .. } => None,
        }
    }

    /// A farm in memory on which nothing was done yet.
    #[must_use]
    pub fn memory(texts: &'a FarmText) -> Folder<'a> {
        Folder::Memory { texts, log: "" }
    }

    /// What was written, and what was found in it.
    pub(super) fn written(self, changes: &[Change]) -> (Written, Findings) {
        match self {
            Folder::Disk { path, main } => farm::read_with(path, main, changes),
            Folder::Memory { texts, .. } => farm::read_text_with(texts, changes),
        }
    }

    /// The bytes of the log; none where nothing was done yet.
    pub(super) fn log(self) -> Result<Option<Vec<u8>>, Box<Finding>> {
        match self {
            Folder::Disk { path, .. } => record::bytes(path),
            Folder::Memory { log, .. } => Ok((!log.is_empty()).then(|| log.as_bytes().to_vec())),
        }
    }
}
