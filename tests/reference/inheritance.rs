//! Places within places, dates, and a user's own folder.

use crate::made::{SOURCES, figure, file, good, place, sound};
use jiff::civil::{Date, date};
use sward::tables::{Of, Scope, Shape, Tables, topic};
use sward::units::Quantity;

/// `setback` larger is stricter, `soil_sample_age` smaller.
fn nested(how: &str, own: &str) -> Tables {
    let wide = figure("setback.well", "setback", "ft", "feature: well", "value: 100")
        + &figure("setback.pond", "setback", "ft", "feature: pond", "value: 60")
        + &figure("soil_sample_age", "soil_sample_age", "days", "", "value: 1000")
        + &figure("p_period", "p_period", "none", "", "words: calendar_year");
    let topics = ["setback", "soil_sample_age", "p_period"].map(|t| format!("  {t}: {how}\n")).concat();
    sound(&[
        file("sources.yaml", SOURCES),
        place("zz", ""),
        file("zz/figures.yaml", &wide),
        place("zz-a", &format!("within: zz\ninherits:\n{topics}")),
        file("zz-a/figures.yaml", own),
    ])
}

fn asked<Q: Quantity>(tables: &Tables, topic: Of<Q>, feature: Option<&str>) -> Option<(f64, String)> {
    let found = tables.book("zz-a", Date::MAX).unwrap().get(topic, &Scope::new().feature(feature))?;
    Some((found.value.get(), found.cite.figure))
}

fn own(well: &str, age: &str) -> String {
    figure("setback.well", "setback", "ft", "feature: well", well)
        + &figure("soil_sample_age", "soil_sample_age", "days", "", age)
        + &figure("p_period", "p_period", "none", "", "words: growing_year")
}

const WELL: Option<&str> = Some("well");
const POND: Option<&str> = Some("pond");

#[test]
fn replaces_counts_its_own_only() {
    let tables = nested("replaces", &own("value: 50", "value: 2000"));
    assert_eq!(asked(&tables, topic::SETBACK, WELL), Some((50.0, "zz-a/setback.well".to_string())));
    assert_eq!(asked(&tables, topic::SETBACK, POND), None);
    assert_eq!(asked(&tables, topic::SOIL_SAMPLE_AGE, None).unwrap().0, 2000.0);
}

#[test]
fn from_within_fills_the_gaps() {
    let tables = nested("from_within", &own("value: 50", "value: 2000"));
    assert_eq!(asked(&tables, topic::SETBACK, WELL), Some((50.0, "zz-a/setback.well".to_string())));
    assert_eq!(asked(&tables, topic::SETBACK, POND), Some((60.0, "zz/setback.pond".to_string())));
}

#[test]
fn stricter_of_takes_the_stricter_whichever_way_it_lies() {
    let lax = nested("stricter_of", &own("value: 50", "value: 2000"));
    assert_eq!(asked(&lax, topic::SETBACK, WELL), Some((100.0, "zz/setback.well".to_string())));
    assert_eq!(asked(&lax, topic::SOIL_SAMPLE_AGE, None), Some((1000.0, "zz/soil_sample_age".to_string())));
    assert_eq!(asked(&lax, topic::SETBACK, POND).unwrap().0, 60.0);
    let strict = nested("stricter_of", &own("value: 150", "value: 500"));
    assert_eq!(asked(&strict, topic::SETBACK, WELL), Some((150.0, "zz-a/setback.well".to_string())));
    assert_eq!(asked(&strict, topic::SOIL_SAMPLE_AGE, None), Some((500.0, "zz-a/soil_sample_age".to_string())));
    // Of words neither is stricter: the place's own stand.
    let words = lax.book("zz-a", Date::MAX).unwrap().get(topic::P_PERIOD, &Scope::new()).unwrap();
    assert_eq!((words.value.as_str(), words.cite.figure.as_str()), ("growing_year", "zz-a/p_period"));
}

/// `value: null` ends a figure; the wider place's then holds again.
#[test]
fn null_withdraws_from_its_day_on() {
    let well = own("value: 150", "value: 500").replacen(
        "  seen:",
        "    2024-07-01:\n      value: null\n      source: book\n      at: p. 2\n      known: read\n  seen:",
        1,
    );
    let tables = nested("from_within", &well);
    let on =
        |day| tables.book("zz-a", day).unwrap().get(topic::SETBACK, &Scope::new().feature(WELL)).map(|f| f.value.get());
    assert_eq!(on(date(2019, 12, 31)), None);
    assert_eq!(on(date(2020, 1, 1)), Some(150.0));
    assert_eq!(on(date(2024, 6, 30)), Some(150.0));
    assert_eq!(on(date(2024, 7, 1)), Some(100.0));
    let listed = tables.book("zz-a", date(2024, 7, 1)).unwrap();
    assert!(
        listed.all(Some(topic::SETBACK.into())).iter().all(|(f, e, _)| f.of == "zz" && e.shape != Shape::Withdrawn)
    );
}

/// A change in the law is a new date; the old one still answers for its days.
#[test]
fn the_edition_of_the_day_holds() {
    let well = own("value: 150", "value: 500").replacen(
        "  seen:",
        "    2025-01-01:\n      value: 200\n      source: book\n      at: p. 3\n      known: memory\n      note: from memory\n  seen:",
        1,
    );
    let tables = nested("replaces", &well);
    let on = |day| tables.book("zz-a", day).unwrap().get(topic::SETBACK, &Scope::new().feature(WELL)).unwrap();
    assert_eq!(on(date(2024, 12, 31)).value.get(), 150.0);
    assert_eq!((on(date(2025, 1, 1)).value.get(), on(date(2025, 1, 1)).cite.at.as_str()), (200.0, "p. 3"));
}

/// A user's own folder follows the built-in files: the same id takes the
/// figure's place, a new id stands beside it.
#[test]
fn a_users_folder_replaces_a_figure() {
    let mut files = sward::tables::built_in();
    let (tables, _) = sward::tables::load(&files);
    let (key, built_in) = tables
        .places
        .iter()
        .find_map(|(k, p)| Some((k, p.figures.iter().find(|f| f.topic == topic::SOIL_SAMPLE_AGE)?)))
        .unwrap();
    let before = tables.book(key, Date::MAX).unwrap().get(topic::SOIL_SAMPLE_AGE, &Scope::new()).unwrap().value;
    files.push(file("own.yaml", ""));
    files.pop();
    files.push(file(&format!("{key}/mine.yaml"), &figure(&built_in.id, "soil_sample_age", "days", "", "value: 77")));
    files.push(file("sources.yaml", SOURCES));
    let tables = sound(&files);
    let after = tables.book(key, Date::MAX).unwrap().get(topic::SOIL_SAMPLE_AGE, &Scope::new()).unwrap();
    assert_eq!(after.value.get(), 77.0);
    assert_ne!(before.get(), 77.0);
    assert_eq!(after.cite.title, "A Book");
}

/// A source may stand in the folder of one place and be named by another: both
/// load by themselves.
#[test]
fn a_source_of_another_place_is_known() {
    let files = [
        place("zz", ""),
        file("zz/sources.yaml", SOURCES),
        file("zz/a.yaml", &good()),
        place("zy", ""),
        file("zy/a.yaml", &good()),
    ];
    for (tables, findings) in [sward::tables::load(&files), sward::tables::load_for(&files, "zy")] {
        assert!(findings.is_empty(), "{findings:?}");
        assert_eq!(tables.sources["book"].title, "A Book");
    }
}
