//! What the commands of `sward log` share: the farm as it stands today, and what
//! they say beside their result.

use crate::cli::args_log::FarmLog;
use crate::cli::exit::Exit;
use crate::cli::{clock, out};
use crate::findings::{Findings, Place};
use crate::pipeline::{Day, Folder, Judged, Opened, Question};
use crate::write;
use jiff::civil::Date;
use std::mem::ManuallyDrop;
use std::path::Path;

/// The farm as it stands today. The program ends with the command: a long record is not
/// taken apart before.
pub(super) fn opened(farm: &FarmLog) -> (ManuallyDrop<Opened>, Date) {
    let today = farm.today.unwrap_or_else(clock::today);
    let opened = Question::of(Folder::disk(&farm.folder), Day::Stated { today }).open();
    (ManuallyDrop::new(opened), today)
}

/// What an entry repeats of those that others wrote into the log while it was made.
pub(super) fn repeated(folder: &Path, id: &str) -> Judged {
    let opened = Question::of(Folder::disk(folder), Day::Stated { today: clock::today() }).open();
    Judged { findings: ManuallyDrop::new(opened).repeated(id), whole: true }
}

/// Why nothing was logged, in one sentence.
pub(super) fn not_logged(why: &str) -> Exit {
    out::say(&write::wrapped(&write::plain(&format!("nothing was logged: {why}")), "", "  ", out::width()));
    Exit::Usage
}

/// Something to know besides.
pub(super) fn note(text: &str) {
    out::say(&write::wrapped(&write::plain(text), "note: ", "  ", out::width()));
}

/// What was found of entries that stand now.
pub(super) fn beside(judged: Judged, line: &dyn Fn(&Place) -> Option<String>) {
    if !judged.whole {
        note("the farm has errors elsewhere, so limits, windows and bars were not checked: `sward check` names them");
    }
    if !judged.findings.is_empty() {
        let findings: Findings = judged.findings.into_iter().collect();
        out::say(&format!("\n{}", write::findings(&findings, line, out::width())));
    }
}
