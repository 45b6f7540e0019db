//! The command: what it writes where, what it refuses.

use crate::demo;
use crate::kit::{change, command, demo_folder, flat, names, root};
use std::process::Output;

fn sward(args: &[&str]) -> Output {
    command(root(), args).output().unwrap()
}

/// What was said, its lines joined.
fn said(output: &Output) -> String {
    let text = String::from_utf8(output.stderr.clone()).unwrap();
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    flat(&text)
}

#[test]
fn each_format_goes_where_it_is_sent() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name).to_str().unwrap().to_string();
    let set = |stem: &str| -> Vec<String> {
        ["cpg", "dbf", "prj", "shp", "shx"].iter().map(|end| format!("{stem}.{end}")).collect()
    };
    let done = |args: &[&str]| {
        let done = sward(args);
        assert!(done.status.success() && done.stdout.is_empty(), "{args:?}: {done:?}");
        said(&done)
    };
    assert!(done(&["export", "csv", "fields", "-o", &at("tables")]).contains("leftover.csv"));
    assert_eq!(names(&folder.path().join("tables")), ["fertilizer.csv", "leftover.csv", "plan.csv"]);
    done(&["export", "csv", "fields", "--table", "plan", "-o", &at("one.csv")]);
    let one = std::fs::read(at("one.csv")).unwrap();
    assert_eq!(one, std::fs::read(folder.path().join("tables/plan.csv")).unwrap());
    done(&["export", "shapefile", "fields", "-o", &at("rates")]);
    assert_eq!(names(&folder.path().join("rates")), set("spread"));
    done(&["export", "shapefile", "fields", "-o", &at("own/north.shp")]);
    assert_eq!(names(&folder.path().join("own")), set("north"));
    done(&["export", "shapefile", "fields", "-o", &at("rates.zip")]);
    done(&["export", "kml", "fields", "-o", &at("plan.kml")]);
    done(&["export", "geojson", "fields", "-o", &at("plan.geojson")]);
    let map = sward(&["map", "fields", "--geojson"]).stdout;
    assert_eq!(std::fs::read(at("plan.geojson")).unwrap(), map);
    // One text alone may go to standard output.
    assert_eq!(sward(&["export", "geojson", "fields"]).stdout, map);
    assert_eq!(sward(&["export", "csv", "fields", "--table", "plan"]).stdout, one);
    assert_eq!(sward(&["export", "kml", "fields"]).stdout, std::fs::read(at("plan.kml")).unwrap());
}

#[test]
fn nothing_is_written_over_unasked() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out");
    let out_text = out.to_str().unwrap();
    std::fs::create_dir(&out).unwrap();
    std::fs::write(out.join("leftover.csv"), "mine").unwrap();
    let refused = sward(&["export", "csv", "fields", "-o", out_text]);
    assert_eq!(refused.status.code(), Some(2), "{refused:?}");
    assert!(said(&refused).contains("leftover.csv") && said(&refused).contains("--force"));
    assert_eq!(names(&out), ["leftover.csv"]);
    // The last of them cannot be replaced: all are put back.
    std::fs::create_dir(out.join("fertilizer.csv")).unwrap();
    std::fs::write(out.join("fertilizer.csv/x"), "").unwrap();
    let failed = sward(&["export", "csv", "fields", "-o", out_text, "--force"]);
    assert_eq!(failed.status.code(), Some(1), "{failed:?}");
    assert!(said(&failed).contains("nothing was changed"));
    assert_eq!(names(&out), ["fertilizer.csv", "leftover.csv"]);
    assert_eq!(std::fs::read_to_string(out.join("leftover.csv")).unwrap(), "mine");
    std::fs::remove_dir_all(out.join("fertilizer.csv")).unwrap();
    assert!(sward(&["export", "csv", "fields", "-o", out_text, "--force"]).status.success());
    assert_eq!(names(&out).len(), 3);
}

#[test]
fn wrong_use_and_wrong_farms_write_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out");
    let here = folder.path().to_str().unwrap();
    let out_text = out.to_str().unwrap();
    let wrong: [&[&str]; 7] = [
        &["export"],
        &["export", "csv", "fields"],
        &["export", "shapefile", "fields"],
        &["export", "kml", "fields", "-o", here],
        &["export", "kml", "fields", "--table", "plan"],
        &["export", "dxf", "fields"],
        &["export", "kml", "fields", "--force"],
    ];
    for args in wrong {
        let refused = sward(args);
        assert_eq!(refused.status.code(), Some(2), "{args:?}: {refused:?}");
        assert!(refused.stdout.is_empty(), "{args:?}");
    }
    let broken = sward(&["export", "csv", "tests/errors/bow-tie", "-o", out_text]);
    assert_eq!(broken.status.code(), Some(1), "{broken:?}");
    assert!(!out.exists());
}

#[test]
fn what_does_not_fit_is_told() {
    let folder = demo_folder();
    let long = format!("name: {}", "Ünï ".repeat(100).trim());
    change(folder.path(), "farm.yaml", |main| main.replace("name: Hog Lot", &long));
    let out = folder.path().join("rates.zip");
    let done = sward(&["export", "shapefile", folder.path().to_str().unwrap(), "-o", out.to_str().unwrap()]);
    assert!(done.status.success(), "{done:?}");
    let text = said(&done);
    assert!(text.contains("NAME `Ünï Ünï Ünï Ünï Ünï Ünï ...` has 599 bytes"), "{text}");
}

#[test]
fn a_plan_that_spreads_nothing_says_so() {
    let folder = demo_folder();
    let sure = "litter_sold: 900 $/ton\n  sure: {by: Dell Farrow, on: 2027-01-20}";
    let none = |main: String| demo::instead(&main, "  litter_sold: 5 $/ton ", &format!("  {sure} "));
    change(folder.path(), "farm.yaml", none);
    let at = folder.path().to_str().unwrap();
    let out = folder.path().join("rates");
    let done = sward(&["export", "shapefile", at, "-o", out.to_str().unwrap()]);
    assert!(done.status.success(), "{done:?}");
    assert!(said(&done).contains("spreads nothing"), "{}", said(&done));
    assert_eq!(std::fs::read(out.join("spread.shp")).unwrap().len(), 100);
    let done = sward(&["export", "kml", at]);
    assert!(String::from_utf8(done.stdout).unwrap().contains(": no litter</name>"));
}
