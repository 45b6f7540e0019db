//! `sward export`: what goes out is read back, by this program's own import and
//! by libraries that had no part in writing it, and says what the plan says.

// A test ends where something is not as it should be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod demo;
mod kit;

#[path = "export/command.rs"]
mod command;
#[path = "export/csv_tables.rs"]
mod csv_tables;
#[path = "export/phone.rs"]
mod phone;
#[path = "export/rates.rs"]
mod rates;

use demo::Made;
use geo::{MultiPolygon, Winding};
use sward::exchange::{Field, Options, Source, import};
use sward::farm::FarmText;
use sward::plan::answer::{Application, FieldPlan};

/// Every job of the plan with its field.
fn jobs(made: &Made) -> Vec<(&FieldPlan, &Application)> {
    made.plan().fields.iter().flat_map(|f| f.applications.iter().map(move |a| (f, a))).collect()
}

/// The demo farm, its plan so short that no field is spread on twice: an
/// import refuses ground that is there twice.
fn spring() -> Made {
    let made = demo::made(&demo::with_main(|main| demo::instead(&main, "to: 2027-10-31", "to: 2027-07-31")));
    assert!(jobs(&made).len() > 4 && made.plan().fields.iter().all(|f| f.applications.len() < 2));
    made
}

/// Names that mean harm wherever they go.
const EVIL: &str = "=cmd|' /C calc'!A1";
const HTML: &str = "<script>alert(1)</script> &amp; \"quoted\" ]]>";
const PATH: &str = "../../../etc/passwd";

/// The demo farm with such names for a field, a keep-out, a lot and the farm.
fn hostile() -> Made {
    let texts = demo::texts();
    let main = texts.main.unwrap();
    let main = demo::instead(&main, "name: Creek Bottom", &format!("name: \"{EVIL}\""));
    let main = demo::instead(&main, "name: Sycamore Bottom", &format!("name: '{HTML}'"));
    let main = demo::instead(&main, "name: Hog Lot", &format!("name: \"{}\"", "Ünï".repeat(200)));
    let main = demo::instead(&main, "farm: Two Chimney Farm", &format!("farm: '{HTML}'"));
    let main = main.replace("crust", PATH);
    let swap = |text: Option<String>| text.map(|t| t.replace("\"crust\"", &format!("\"{PATH}\"")));
    let keepouts = texts.keepouts.map(|t| demo::instead(&t, "\"name\": \"Dam Pond\"", "\"name\": \"<b>@pond\""));
    demo::made(&FarmText {
        main: Some(main),
        fields: swap(texts.fields),
        keepouts,
        soils: texts.soils,
        sheets: texts.sheets,
        calibration: texts.calibration,
    })
}

/// The fields of some file, by the program's own import.
fn imported(name: &str, bytes: &[u8], beside: &[(&str, &[u8])]) -> Vec<Field> {
    let beside = beside.iter().map(|(end, bytes)| ((*end).to_string(), bytes.to_vec())).collect();
    let got = import(&[Source { name: name.to_string(), bytes: bytes.to_vec(), beside }], &Options::default());
    assert!(!got.findings.has_errors(), "{:#?}", got.findings.sorted());
    got.fields
}

/// The acres that a field has to spread on, before they are taken down.
fn measured(made: &Made, id: &str) -> f64 {
    made.ground[made.place_of(id)].cut.acres
}

/// Outer rings counter-clockwise, holes clockwise, or the other way around.
fn runs(shape: &MultiPolygon<f64>, counter: bool) -> bool {
    shape
        .iter()
        .all(|part| part.exterior().is_ccw() == counter && part.interiors().iter().all(|hole| hole.is_ccw() != counter))
}

#[test]
fn the_demo_farm_tries_holes_and_parts() {
    let made = demo::made(&demo::texts());
    let shapes: Vec<_> = jobs(&made).iter().map(|(f, _)| &made.ground[made.place_of(&f.id)].cut.spreadable).collect();
    assert!(shapes.iter().any(|s| s.iter().any(|part| !part.interiors().is_empty())), "no hole");
    assert!(shapes.iter().any(|s| s.0.len() > 1), "no field of several parts");
}
