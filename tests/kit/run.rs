//! The program itself, run in a folder; and folders of the demo farm.

use super::Farm;
use std::path::Path;
use std::process::{Command, Output, Stdio};

/// The root of the repository.
pub(crate) fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The program with these words: no colors, a page of 80 columns, nothing to read.
pub(crate) fn command(folder: &Path, args: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_sward"));
    command.args(args).current_dir(folder).env("NO_COLOR", "1").env_remove("COLUMNS").stdin(Stdio::null());
    command
}

/// How the program ended.
#[derive(Debug)]
pub(crate) struct Ended {
    pub(crate) code: i32,
    pub(crate) out: String,
    pub(crate) err: String,
}

impl Ended {
    /// Of what was put out; the program must have come to its own end.
    pub(crate) fn of(done: Output) -> Ended {
        let text = |bytes| String::from_utf8(bytes).unwrap();
        let (out, err) = (text(done.stdout), text(done.stderr));
        assert!(!err.contains("panicked"), "{err}");
        Ended { code: done.status.code().expect("no signal"), out, err }
    }

    /// Exit code, standard output and standard error.
    pub(crate) fn parts(self) -> (i32, String, String) {
        (self.code, self.out, self.err)
    }
}

/// The program run in a folder.
pub(crate) fn sward(folder: &Path, args: &[&str]) -> Ended {
    Ended::of(command(folder, args).output().unwrap())
}

/// The program run on what lies in the repository: exit code, standard output and standard error.
pub(crate) fn at_root(args: &[&str]) -> (i32, String, String) {
    sward(root(), args).parts()
}

/// The binder of a farm, as the program writes it.
pub(crate) fn binder(farm: &Farm) -> String {
    let folder = farm.folder();
    let out = folder.path().join("out");
    let [from, to] = [folder.path(), &out].map(|path| path.display().to_string());
    let (code, _, err) = at_root(&["binder", &from, "-o", &to]);
    assert_eq!(code, 0, "{err}");
    std::fs::read_to_string(out.join("binder.html")).unwrap()
}

/// Whether every line keeps to a page of 80 columns and holds no control character.
pub(crate) fn page(text: &str) {
    for line in text.lines() {
        assert!(line.chars().count() <= 80 && !line.chars().any(char::is_control), "{line:?}");
    }
}

/// A text that was wrapped, as one line.
pub(crate) fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Names of what lies in a folder, in order.
pub(crate) fn names(folder: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).unwrap();
    let mut names: Vec<String> = entries.map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

/// The demo farm in a folder of its own, without its calibration.
pub(crate) fn demo_folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    for name in ["farm.yaml", "fields.geojson", "keepouts.geojson", "soils.geojson"] {
        std::fs::copy(root().join("fields").join(name), folder.path().join(name)).unwrap();
    }
    folder
}

/// The same, with its plan made as of another day.
pub(crate) fn demo_on(day: &str) -> tempfile::TempDir {
    let folder = demo_folder();
    change(folder.path(), "farm.yaml", |main| {
        assert!(main.contains("as_of: 2027-02-01"));
        main.replace("as_of: 2027-02-01", &format!("as_of: {day}"))
    });
    folder
}

/// The text of a file, changed by whoever takes the old one.
pub(crate) fn change(folder: &Path, name: &str, change: impl FnOnce(String) -> String) {
    let path = folder.join(name);
    std::fs::write(&path, change(std::fs::read_to_string(&path).unwrap())).unwrap();
}
