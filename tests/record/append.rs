//! Writing into the log: whole lines, one after the other, or nothing.

use super::{cells, errors, header};
use crate::kit::demo_folder;
use std::path::Path;
use sward::record::{LOG, SET_ASIDE, What, append, read, set_aside};
use sward::units::Pounds;

fn haul(tons: &str) -> sward::record::Cells {
    cells(&[("date", "2027-03-01"), ("what", "haul"), ("lot", "crust"), ("tons", tons), ("note", "größer, \"so\"")])
}

fn text(folder: &Path) -> String {
    std::fs::read_to_string(folder.join(LOG)).unwrap()
}

#[test]
fn the_first_entry_brings_the_header_and_the_second_none() {
    let folder = demo_folder();
    let one = append(folder.path(), &haul("1"), 1).unwrap();
    let two = append(folder.path(), &haul("1"), 2).unwrap();
    assert_ne!(one, two);
    let text = text(folder.path());
    assert!(text.starts_with(&header()) && text.lines().count() == 3 && text.ends_with('\n'), "{text}");
    let (happened, findings) = read(folder.path());
    assert!(findings.is_empty(), "{findings:?}");
    assert_eq!(happened.moved("crust", What::Haul), Pounds(4_000));
    assert_eq!(happened.entries[0].word("note"), "größer, \"so\"");
}

#[test]
fn an_id_that_is_taken_is_not_given_again() {
    let folder = demo_folder();
    let ids: Vec<String> = (0..20).map(|_| append(folder.path(), &haul("1"), 7).unwrap()).collect();
    let mut sorted = ids.clone();
    sorted.sort();
    sorted.dedup();
    assert_eq!(sorted.len(), ids.len());
}

#[test]
fn an_old_file_gets_the_new_header_once_and_stays() {
    let folder = demo_folder();
    let old = "date,what,lot,field,tons,note\r\n2027-03-02,haul,crust,,8,sold\r\n";
    std::fs::write(folder.path().join(LOG), old).unwrap();
    append(folder.path(), &haul("1"), 1).unwrap();
    append(folder.path(), &haul("2"), 1).unwrap();
    let text = text(folder.path());
    assert!(text.starts_with(old));
    assert_eq!(text.matches("id,date,what").count(), 1);
    assert_eq!(text.matches('\n').count(), text.matches("\r\n").count(), "line ends as before");
    assert_eq!(read(folder.path()).0.moved("crust", What::Haul), Pounds(22_000));
}

/// After a cut at any byte: it is told, nothing is glued to the half line, and
/// once that is set aside the next entry counts.
#[test]
fn no_entry_is_glued_to_half_a_line() {
    let folder = demo_folder();
    for tons in ["1", "2", "3"] {
        append(folder.path(), &haul(tons), 1).unwrap();
    }
    let all = std::fs::read(folder.path().join(LOG)).unwrap();
    let ends: Vec<usize> = all.iter().enumerate().filter(|(_, b)| **b == b'\n').map(|(i, _)| i + 1).collect();
    for cut in 0..=all.len() {
        std::fs::write(folder.path().join(LOG), &all[..cut]).unwrap();
        let whole = ends.iter().filter(|e| **e <= cut).count().saturating_sub(1);
        let torn = cut != 0 && !ends.contains(&cut);
        let before: i64 = (1..=whole as i64).map(|t| t * 2_000).sum();
        if torn {
            let (happened, findings) = read(folder.path());
            assert_eq!(errors(&findings), [("log-half-line", ends.iter().filter(|e| **e <= cut).count() + 1)]);
            assert_eq!(happened.moved("crust", What::Haul), Pounds(before));
            let refused = append(folder.path(), &haul("9"), 1).unwrap_err();
            assert_eq!(refused.code, "log-half-line");
            assert_eq!(std::fs::read(folder.path().join(LOG)).unwrap(), &all[..cut], "nothing was written");
            assert!(set_aside(folder.path()).unwrap());
            let kept = std::fs::read(folder.path().join(LOG)).unwrap();
            assert!(kept.starts_with(&all[..cut]) && kept.ends_with(format!("{SET_ASIDE}\n").as_bytes()));
        } else {
            assert!(!set_aside(folder.path()).unwrap());
        }
        append(folder.path(), &haul("9"), 1).unwrap();
        let (happened, findings) = read(folder.path());
        assert!(!findings.has_errors(), "cut at {cut}: {findings:?}");
        assert_eq!(findings.is_empty(), !torn, "half a line set aside is told");
        assert_eq!(happened.moved("crust", What::Haul), Pounds(before + 18_000), "cut at {cut}");
    }
}

#[test]
fn many_writers_at_once_lose_nothing() {
    let folder = demo_folder();
    let path = folder.path();
    std::thread::scope(|scope| {
        for writer in 0..8_u64 {
            scope.spawn(move || {
                for i in 0..12 {
                    append(path, &haul("1"), writer * 1_000 + i).unwrap();
                }
            });
        }
    });
    let (happened, findings) = read(path);
    assert!(findings.is_empty(), "{findings:?}");
    assert_eq!((happened.entries.len(), happened.moved("crust", What::Haul)), (96, Pounds(192_000)));
    assert_eq!(text(path).matches("id,date").count(), 1);
}

#[test]
fn a_correction_of_what_was_corrected_is_refused_under_the_lock() {
    let folder = demo_folder();
    let id = append(folder.path(), &haul("1"), 1).unwrap();
    let mut newer = haul("2");
    newer.insert("corrects", id);
    append(folder.path(), &newer, 1).unwrap();
    assert_eq!(append(folder.path(), &newer, 2).unwrap_err().code, "log-overtaken");
    assert_eq!(read(folder.path()).0.moved("crust", What::Haul), Pounds(4_000));
}

/// A path through a file can be written by nobody, not even by root.
#[test]
fn a_folder_that_cannot_be_written_is_told() {
    let folder = demo_folder();
    for no_folder in ["farm.yaml", "nowhere"] {
        let refused = append(&folder.path().join(no_folder), &haul("1"), 1).unwrap_err();
        assert_eq!(refused.code, "log-not-written");
        assert!(refused.found.starts_with("nothing was logged"), "{}", refused.found);
    }
    std::fs::create_dir(folder.path().join(LOG)).unwrap();
    assert_eq!(append(folder.path(), &haul("1"), 1).unwrap_err().code, "log-not-written");
}

#[test]
fn a_file_in_another_encoding_is_not_added_to() {
    let folder = demo_folder();
    let wide: Vec<u8> = std::iter::once(0xFEFF).chain(header().encode_utf16()).flat_map(u16::to_le_bytes).collect();
    std::fs::write(folder.path().join(LOG), &wide).unwrap();
    assert_eq!(append(folder.path(), &haul("1"), 1).unwrap_err().code, "log-utf-16");
    assert_eq!(std::fs::read(folder.path().join(LOG)).unwrap(), wide);
    assert_eq!(errors(&read(folder.path()).1), [("log-utf-16", 0)]);
}
