//! Files as they are met and left: what is read, what is replaced, what stays
//! behind when a run ends early.
#![cfg(unix)]
// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;
mod kit;

use kit::{Ended, command, demo_folder, flat, sward};
use std::fs::{self, File, Permissions};
use std::os::unix::fs::{FileTypeExt, MetadataExt, PermissionsExt, symlink};
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::Duration;

fn run(folder: &Path, args: &[&str]) -> (i32, String, String) {
    sward(folder, args).parts()
}

fn ended(done: Output) -> (i32, String, String) {
    Ended::of(done).parts()
}

/// The demo farm in a folder of its own.
fn farm() -> tempfile::TempDir {
    let folder = demo_folder();
    fs::write(folder.path().join("calibration.yaml"), demo::file("calibration.yaml")).unwrap();
    folder
}

fn fifo(path: &Path) {
    let _ = fs::remove_file(path);
    assert!(Command::new("mkfifo").arg(path).status().unwrap().success());
}

/// What lies in a folder and was not put there by name.
fn leftovers(folder: &Path) -> Vec<String> {
    let names = fs::read_dir(folder).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap());
    names.filter(|name| name.starts_with('.')).collect()
}

#[test]
fn a_result_that_cannot_be_written_is_an_error() {
    let folder = farm();
    let commands: [&[&str]; 9] = [
        &["plan"],
        &["plan", "--json"],
        &["check"],
        &["why", "B1"],
        &["map", "--geojson"],
        &["export", "csv", "--table", "plan"],
        &["schema"],
        &["completions", "bash"],
        &["--help"],
    ];
    for args in commands {
        let full = File::options().write(true).open("/dev/full").unwrap();
        let (code, _, err) = ended(command(folder.path(), args).stdout(full).output().unwrap());
        assert_eq!(code, 1, "{args:?}: {err}");
        assert!(err.contains("the result cannot be written to standard output: No space"), "{args:?}: {err}");
    }
    // A reader that stops has what it wants.
    for args in [&["plan"][..], &["plan", "--json"], &["--help"]] {
        let mut child = command(folder.path(), args).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        drop(child.stdout.take());
        let (code, _, err) = ended(child.wait_with_output().unwrap());
        assert_eq!((code, err.as_str()), (0, ""), "{args:?}");
    }
}

/// What is logged stays logged, and whoever cannot read the answer is told so.
#[test]
fn an_entry_whose_answer_is_lost_is_said_to_be_in_the_log() {
    let folder = farm();
    let rain = ["log", "rain", ".", "--date", "2027-03-01", "--inches", "0.8", "--today", "2027-03-02"];
    let full = File::options().write(true).open("/dev/full").unwrap();
    let (code, _, err) = ended(command(folder.path(), &rain).stdout(full).output().unwrap());
    assert_eq!(code, 1, "{err}");
    let log = fs::read_to_string(folder.path().join("log.csv")).unwrap();
    let id = log.lines().nth(1).and_then(|line| line.split(',').next()).unwrap();
    assert!(
        !id.is_empty() && flat(&err).contains(&format!("the entry is in log.csv as {id}: do not log it again")),
        "{err}"
    );
}

/// No report takes the place of a file that the farm is read from, whatever is
/// asked; the import of ground may write the file that it is for.
#[test]
fn no_report_takes_the_place_of_a_file_of_the_farm() {
    let folder = farm();
    let path = folder.path();
    fs::write(path.join("log.csv"), "id,date,what\n").unwrap();
    symlink("farm.yaml", path.join("plan.geojson")).unwrap();
    let before = |name: &str| fs::read(path.join(name)).ok();
    for name in [
        "farm.yaml",
        "fields.geojson",
        "keepouts.geojson",
        "soils.geojson",
        "calibration.yaml",
        "log.csv",
        "plan.geojson",
    ] {
        let was = before(name);
        for args in [&["export", "geojson", ".", "-o", name, "--force"][..], &["schema", "-o", name, "--force"]] {
            let (code, _, err) = run(path, args);
            assert_ne!(code, 0, "{args:?}");
            assert!(flat(&err).contains("is a file of the farm itself"), "{args:?}: {err}");
            assert_eq!(before(name), was, "{args:?}");
        }
    }
    // Nor where none is yet, nor in a folder beside.
    fs::create_dir(path.join("out")).unwrap();
    let (code, _, err) = run(path, &["export", "geojson", ".", "-o", "out/farm.yaml"]);
    assert!(code != 0 && flat(&err).contains("is a file of the farm itself"), "{err}");
    // A laboratory's file of the farm is one, too.
    let main = demo::file("farm.yaml")
        + "soil_tests: {file: lab.csv, lab: L, extractant: mehlich-3, \
           columns: {field: F, sampled: S in year-month-day, p: P in index, k: K in index}}\n";
    fs::write(path.join("farm.yaml"), main).unwrap();
    fs::write(path.join("lab.csv"), "F,S,P,K\n").unwrap();
    let (code, _, err) = run(path, &["schema", "-o", "lab.csv", "--force"]);
    assert!(code != 0 && flat(&err).contains("is a file of the farm itself"), "{err}");
    // Ground is written where ground belongs.
    fs::copy(path.join("fields.geojson"), path.join("drawn.geojson")).unwrap();
    let (code, _, err) = run(path, &["ground", "import", "drawn.geojson", "-o", "fields.geojson", "--force"]);
    assert_eq!(code, 0, "{err}");
    let (code, _, err) = run(path, &["ground", "import", "drawn.geojson", "-o", "keepouts.geojson", "--force"]);
    assert!(code != 0 && flat(&err).contains("is a file of the farm itself"), "{err}");
}

#[test]
fn only_regular_files_are_read() {
    let names =
        ["farm.yaml", "fields.geojson", "keepouts.geojson", "soils.geojson", "calibration.yaml", "log.csv", "lab.csv"];
    for name in names {
        for device in ["fifo", "/dev/zero", "/dev/null", "folder"] {
            let folder = farm();
            let path = folder.path().join(name);
            if name == "lab.csv" {
                let main = demo::file("farm.yaml")
                    + "soil_tests: {file: lab.csv, lab: L, extractant: mehlich-3, \
                       columns: {field: F, sampled: S in year-month-day, p: P in index, k: K in index}}\n";
                fs::write(folder.path().join("farm.yaml"), main).unwrap();
            }
            let _ = fs::remove_file(&path);
            match device {
                "fifo" => fifo(&path),
                "folder" => fs::create_dir(&path).unwrap(),
                device => symlink(device, &path).unwrap(),
            }
            let (code, out, _) = run(folder.path(), &["check"]);
            assert_eq!(code, 1, "{name} {device}: {out}");
            let is = if device == "folder" { "it is a folder" } else { "not a regular file" };
            assert!(flat(&out).contains(is), "{name} {device}: {out}");
            if name == "log.csv" {
                let (code, _, err) = run(folder.path(), &["log", "rain", "--days", "1", "--date", "2027-03-01"]);
                assert_ne!(code, 0, "{device}: {err}");
                assert!(flat(&err).contains("nothing was logged"), "{device}: {err}");
            }
        }
    }
}

#[test]
fn what_is_named_on_the_command_line_must_be_a_regular_file_too() {
    let folder = farm();
    let path = folder.path();
    let main =
        demo::file("farm.yaml") + "tickets: {columns: {ticket: T, date: D in month/day/year, lot: M, net: N in lb}}\n";
    fs::write(path.join("farm.yaml"), main).unwrap();
    fifo(&path.join("pipe"));
    fs::create_dir(path.join("own")).unwrap();
    symlink("/dev/zero", path.join("own/figures.yaml")).unwrap();
    symlink("/dev/zero", path.join("zero")).unwrap();
    for file in ["pipe", "zero", "own"] {
        for args in [
            &["audit", file][..],
            &["ground", "import", file],
            &["ground", "acres", file, "--keepouts", "keepouts.geojson"],
            &["log", "tickets", "--kind", "haul", file],
        ] {
            let (code, out, err) = run(path, args);
            assert_ne!(code, 0, "{args:?}");
            let said = flat(&(out + &err));
            assert!(said.contains("a regular file") || said.contains("it is a folder"), "{args:?}: {said}");
        }
    }
    let (code, out, err) = run(path, &["check", "--reference", "own"]);
    assert!(code == 1 && flat(&(out + &err)).contains("not a regular file"));
    // A link to a regular file is as good as the file.
    fs::rename(path.join("farm.yaml"), path.join("main.yaml")).unwrap();
    symlink("main.yaml", path.join("farm.yaml")).unwrap();
    assert_eq!(run(path, &["check"]).0, 0);
}

#[test]
fn a_dash_is_standard_input_and_output() {
    let folder = farm();
    let path = folder.path();
    let plan = run(path, &["plan", "--json"]).1;
    fs::write(path.join("plan.json"), &plan).unwrap();
    let given = |name: &str, args: &[&str]| {
        ended(command(path, args).stdin(File::open(path.join(name)).unwrap()).output().unwrap())
    };
    assert_eq!(given("plan.json", &["audit", "-"]), run(path, &["audit", "plan.json"]));
    assert_eq!(
        given("fields.geojson", &["ground", "import", "-"]).1,
        run(path, &["ground", "import", "fields.geojson"]).1
    );
    assert_eq!(run(path, &["schema", "-o", "-"]), run(path, &["schema"]));
    assert!(!path.join("-").exists());
    // Endless input is refused.
    let (code, out, err) =
        ended(command(path, &["audit", "-"]).stdin(File::open("/dev/zero").unwrap()).output().unwrap());
    assert!(code == 1 && flat(&(out + &err)).contains("more than 64 MB"));
}

#[test]
fn nothing_but_a_regular_file_is_ever_replaced() {
    let folder = farm();
    let path = folder.path();
    symlink("/dev/null", path.join("sheets.html")).unwrap();
    fifo(&path.join("binder.html"));
    fs::create_dir(path.join("schema.json")).unwrap();
    symlink("nowhere", path.join("farm.svg")).unwrap();
    for args in
        [&["sheets", "-o", "."][..], &["binder", "-o", "."], &["schema", "-o", "schema.json"], &["map", "-o", "."]]
    {
        for force in [false, true] {
            let args = [args, if force { &["--force"] } else { &[] }].concat();
            let (code, _, err) = run(path, &args);
            assert_eq!(code, 1, "{args:?}: {err}");
            assert!(err.contains("cannot be written"), "{args:?}: {err}");
        }
    }
    assert!(fs::metadata(path.join("sheets.html")).unwrap().file_type().is_char_device());
    assert!(fs::metadata(path.join("binder.html")).unwrap().file_type().is_fifo());
    assert!(!path.join("nowhere").exists() && !path.join("field-B1.svg").exists());
    assert_eq!(leftovers(path), Vec::<String>::new());
}

#[test]
fn a_replaced_file_keeps_its_mode_and_a_new_one_minds_the_umask() {
    let folder = farm();
    let path = folder.path();
    let mode = |name: &str| fs::metadata(path.join(name)).unwrap().mode() & 0o7777;
    let masked = |mask: &str, args: &str| {
        let line = format!("umask {mask}; exec \"$0\" {args}");
        let mut command = Command::new("sh");
        command.args(["-c", &line, env!("CARGO_BIN_EXE_sward")]).current_dir(path);
        assert!(command.output().unwrap().status.success(), "{args}");
    };
    masked("027", "schema -o new.json");
    assert_eq!(mode("new.json"), 0o640);
    masked("077", "sheets -o out");
    assert_eq!(mode("out/sheets.html"), 0o600);
    for bits in [0o644, 0o600, 0o664, 0o440] {
        fs::set_permissions(path.join("new.json"), Permissions::from_mode(bits)).unwrap();
        masked("022", "schema -o new.json --force");
        assert_eq!(mode("new.json"), bits);
    }
    // What a link leads to is replaced, in its own folder, and the link stays.
    fs::create_dir(path.join("elsewhere")).unwrap();
    fs::write(path.join("elsewhere/real.json"), "old").unwrap();
    symlink("elsewhere/real.json", path.join("link.json")).unwrap();
    assert_eq!(run(path, &["schema", "-o", "link.json"]).0, 2);
    masked("022", "schema -o link.json --force");
    assert!(fs::symlink_metadata(path.join("link.json")).unwrap().is_symlink());
    assert_eq!(fs::read(path.join("elsewhere/real.json")).unwrap(), fs::read(path.join("new.json")).unwrap());
}

#[test]
fn of_many_writers_at_once_one_has_the_file() {
    let folder = tempfile::tempdir().unwrap();
    for round in 0..10 {
        let name = format!("{round}.json");
        let writers: Vec<_> = (0..6)
            .map(|_| command(folder.path(), &["schema", "-o", &name]).stderr(Stdio::null()).spawn().unwrap())
            .collect();
        let codes: Vec<i32> = writers.into_iter().map(|mut w| w.wait().unwrap().code().unwrap()).collect();
        assert_eq!(codes.iter().filter(|c| **c == 0).count(), 1, "{codes:?}");
        assert!(codes.iter().all(|c| *c == 0 || *c == 2), "{codes:?}");
    }
    assert_eq!(leftovers(folder.path()), Vec::<String>::new());
}

#[test]
fn a_set_of_files_is_written_whole_or_not_at_all() {
    let folder = farm();
    let path = folder.path();
    for name in ["spread.shp", "spread.shx", "spread.prj"] {
        fs::write(path.join(name), "before").unwrap();
    }
    fs::create_dir(path.join("spread.cpg")).unwrap();
    let (code, _, err) = run(path, &["export", "shapefile", "-o", ".", "--force"]);
    assert!(code == 1 && flat(&err).contains("nothing was changed"), "{err}");
    for name in ["spread.shp", "spread.shx", "spread.prj"] {
        assert_eq!(fs::read_to_string(path.join(name)).unwrap(), "before");
    }
    assert!(!path.join("spread.dbf").exists());
    fs::remove_dir(path.join("spread.cpg")).unwrap();
    assert_eq!(run(path, &["export", "shapefile", "-o", ".", "--force"]).0, 0);
    assert!(fs::metadata(path.join("spread.shp")).unwrap().len() > 100);
    assert_eq!(leftovers(path), Vec::<String>::new());
}

#[test]
fn no_signal_leaves_a_file_behind() {
    let folder = farm();
    let path = folder.path();
    let mut random = 0x2545_f491_u64;
    let (mut stopped, mut whole) = (0, 0);
    for round in 0..90 {
        let signal = ["INT", "TERM", "HUP"][round % 3];
        let mut child = command(path, &["schema", "-o", "s.json", "--force"]).stderr(Stdio::null()).spawn().unwrap();
        random = random.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        std::thread::sleep(Duration::from_micros((random >> 33) % 15_000));
        let _ =
            Command::new("kill").args([&format!("-{signal}"), &child.id().to_string()]).stderr(Stdio::null()).status();
        match child.wait().unwrap().code() {
            None => stopped += 1,
            Some(0) => whole += 1,
            Some(code) => panic!("{signal}: {code}"),
        }
        assert_eq!(leftovers(path), Vec::<String>::new(), "{signal}");
        if let Ok(text) = fs::read_to_string(path.join("s.json")) {
            assert!(text.ends_with("}\n"), "half a file");
        }
    }
    assert!(stopped > 0, "{stopped} stopped, {whole} whole");
}

/// What a kill leaves is cleared by the next run at once, whichever writer it is.
#[test]
fn what_a_kill_left_is_cleared_by_the_next_run() {
    let folder = farm();
    let path = folder.path();
    fs::create_dir(path.join("elsewhere")).unwrap();
    fs::write(path.join("elsewhere/real.json"), "old").unwrap();
    symlink("elsewhere/real.json", path.join("link.json")).unwrap();
    let writers: [(&[&str], &str); 9] = [
        (&["sheets", "-o", "out"], "out"),
        (&["sheets", "-o", "out", "--pdf", "--force"], "out"),
        (&["binder", "-o", "out"], "out"),
        (&["map", "-o", "out"], "out"),
        (&["export", "shapefile", "-o", "out"], "out"),
        (&["export", "csv", "-o", "out"], "out"),
        (&["schema", "-o", "out/s.json"], "out"),
        (&["ground", "import", "fields.geojson", "-o", "out/f.geojson"], "out"),
        (&["schema", "-o", "link.json", "--force"], "elsewhere"),
    ];
    for (args, into) in writers {
        fs::create_dir_all(path.join(into)).unwrap();
        fs::write(path.join(into).join(".sward-left.tmp"), "half").unwrap();
        let (code, _, err) = run(path, args);
        assert_eq!(code, 0, "{args:?}: {err}");
        assert_eq!(leftovers(&path.join(into)), Vec::<String>::new(), "{args:?}");
    }
}

#[test]
fn what_is_no_folder_is_called_by_its_name() {
    let folder = farm();
    let path = folder.path();
    let commands: [&[&str]; 5] =
        [&["sheets"], &["binder"], &["map"], &["export", "csv"], &["ground", "import", "fields.geojson"]];
    for args in commands {
        let option = if args[0] == "ground" { "--farm" } else { "-o" };
        for (to, is) in [("/dev/null", "a pipe, device or socket"), ("farm.yaml", "a file"), ("farm.yaml/x", "a file")]
        {
            let (code, _, err) = run(path, &[args, &[option, to, "--force"]].concat());
            let not = format!("{} is {is}, not a folder", to.trim_end_matches("/x"));
            assert!(code != 0 && flat(&err).contains(&not), "{args:?} {to}: {code} {err}");
        }
    }
}

#[test]
fn files_of_an_earlier_run_beside_new_ones_are_reported() {
    let folder = farm();
    let path = folder.path();
    assert_eq!(run(path, &["sheets", "-o", "out", "--pdf"]).0, 0);
    let told = |args: &[&str]| {
        let (code, _, err) = run(path, args);
        assert_eq!(code, 0, "{err}");
        flat(&err)
    };
    let again = told(&["sheets", "-o", "out", "--force"]);
    assert!(
        again.contains("out/sheets.pdf is of an earlier run") && again.contains("`sward sheets --pdf` renews it"),
        "{again}"
    );
    assert!(!told(&["sheets", "-o", "out", "--pdf", "--force"]).contains("earlier run"));
    // A binder of the same farm is fine; one that is older than the farm is not.
    assert!(!told(&["binder", "-o", "out"]).contains("earlier run"));
    assert!(!told(&["sheets", "-o", "out", "--pdf", "--force"]).contains("earlier run"));
    let long_ago = std::time::SystemTime::UNIX_EPOCH + Duration::from_secs(1_700_000_000);
    File::options().write(true).open(path.join("out/binder.html")).unwrap().set_modified(long_ago).unwrap();
    assert!(told(&["sheets", "-o", "out", "--pdf", "--force"]).contains("out/binder.html is of an earlier run"));
    fs::write(path.join("spread.qix"), "index").unwrap();
    let shapes = told(&["export", "shapefile", "-o", "."]);
    assert!(shapes.contains("delete spread.qix"), "{shapes}");
    fs::write(path.join("field-Z9.svg"), "old").unwrap();
    assert!(told(&["map", "-o", "."]).contains("left as found: field-Z9.svg"));
}
