//! Writers killed while they write: a small version of `.ci/kill`.

use crate::kit::demo_folder;
use std::process::{Command, Stdio};
use std::time::Duration;
use sward::record::{LOG, read};

fn rain(folder: &std::path::Path, note: &str) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_sward"));
    command.args(["log", "rain"]).arg(folder).args(["--days", "1", "--date", "2027-03-01", "--today", "2027-03-02"]);
    command.args(["--note", note]).stdout(Stdio::piped()).stderr(Stdio::piped());
    command
}

/// Every entry that was told as logged is there; no other line is half.
#[test]
fn nothing_told_as_logged_is_lost_to_a_kill() {
    let folder = demo_folder();
    let (mut told, mut asked, mut killed) = (Vec::new(), Vec::new(), 0);
    let mut random = 0x2545_f491_u64;
    // Kills come at any time of a run, however long the machine takes for one.
    let start = std::time::Instant::now();
    assert!(rain(folder.path(), "alone").output().unwrap().status.success());
    asked.push("alone".to_string());
    let longest = 3 * u64::try_from(start.elapsed().as_micros()).unwrap();
    for round in 0..60 {
        let mut writers: Vec<_> = (0..3)
            .map(|w| {
                let note = format!("round {round} writer {w} end");
                let child = rain(folder.path(), &note).spawn().unwrap();
                asked.push(note.clone());
                (note, child)
            })
            .collect();
        random = random.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        std::thread::sleep(Duration::from_micros((random >> 33) % longest));
        // Two of three are killed where they are; one comes to its end.
        for (_, child) in writers.iter_mut().take(2) {
            child.kill().unwrap();
        }
        for (note, child) in writers {
            let done = child.wait_with_output().unwrap();
            let out = String::from_utf8(done.stdout).unwrap();
            if done.status.success() || out.contains("logged ") {
                told.push(note);
            } else {
                assert_eq!(done.status.code(), None, "{}", String::from_utf8_lossy(&done.stderr));
                killed += 1;
            }
        }
    }
    let (happened, findings) = read(folder.path());
    assert!(findings.is_empty(), "{findings:?}");
    let notes: Vec<&str> = happened.entries.iter().map(|e| e.word("note")).collect();
    for note in &told {
        assert_eq!(notes.iter().filter(|n| *n == note).count(), 1, "{note}");
    }
    assert!(notes.iter().all(|n| asked.iter().any(|a| a == n)), "{notes:?}");
    assert!(killed > 2 && told.len() > 60, "{killed} killed, {} told", told.len());
    assert!(std::fs::read_to_string(folder.path().join(LOG)).unwrap().ends_with('\n'));
}

/// A file that may grow no further, as on a full disk: the writer says so and
/// the log is as it was.
#[cfg(unix)]
#[test]
fn a_full_disk_leaves_the_log_as_it_was() {
    let folder = demo_folder();
    for i in 0..4 {
        assert!(rain(folder.path(), &format!("entry {i}")).output().unwrap().status.success());
    }
    let before = std::fs::read(folder.path().join(LOG)).unwrap();
    // `ulimit -f` counts in blocks of 1,024 bytes; the note fills up to the
    // limit so that the write stops inside the line.
    let blocks = before.len() / 1_024 + 1;
    let note = "n".repeat((blocks * 1_024 - before.len() + 40).min(1_900));
    let script = format!("trap '' XFSZ; ulimit -f {blocks}; exec \"$@\"");
    let command = rain(folder.path(), &note);
    let mut shell = Command::new("bash");
    shell.args(["-c", &script, "bash"]).arg(command.get_program()).args(command.get_args());
    let done = shell.output().unwrap();
    let said = String::from_utf8(done.stderr).unwrap();
    assert_eq!(done.status.code(), Some(1), "{said}");
    assert!(said.contains("nothing was logged") && said.contains("as it was before"), "{said}");
    assert_eq!(std::fs::read(folder.path().join(LOG)).unwrap(), before);
    assert!(rain(folder.path(), "after").output().unwrap().status.success());
    assert_eq!(read(folder.path()).0.entries.len(), 5);
}
