//! The KML: read back by this program's import, and event by event.

use crate::{HTML, demo, hostile, imported, jobs, measured, runs, spring};
use demo::Made;
use quick_xml::Reader;
use quick_xml::events::Event;
use std::collections::BTreeMap;
use sward::plan::answer::{Application, FieldPlan};
use sward::write;

fn kml(made: &Made) -> String {
    String::from_utf8(write::phone(&made.audited, &made.ready, &made.ground).unwrap()).unwrap()
}

/// Every element with its text, in order, its entities resolved.
fn elements(text: &str) -> Vec<(String, String)> {
    let mut reader = Reader::from_str(text);
    let (mut open, mut all): (Vec<(String, String)>, Vec<_>) = (Vec::new(), Vec::new());
    loop {
        match reader.read_event().unwrap() {
            Event::Start(start) => open.push((start.name().into_inner().to_string(), String::new())),
            Event::Text(text) => open.last_mut().into_iter().for_each(|o| o.1.push_str(&text.xml10_content())),
            Event::GeneralRef(own) => {
                let letter = match own.xml10_content().as_ref() {
                    "amp" => "&",
                    "lt" => "<",
                    "gt" => ">",
                    "quot" => "\"",
                    "apos" => "'",
                    other => panic!("&{other};"),
                };
                open.last_mut().unwrap().1.push_str(letter);
            }
            Event::End(_) => all.extend(open.pop()),
            Event::Eof => break,
            _ => {}
        }
    }
    assert!(open.is_empty());
    all
}

/// How many jobs of a field have the same lot and rate.
fn twice(made: &Made, field: &FieldPlan, on: &Application) -> usize {
    jobs(made).iter().filter(|(f, a)| f.id == field.id && a.lot == on.lot && a.rate == on.rate).count()
}

fn texts(text: &str, element: &str) -> Vec<String> {
    elements(text).into_iter().filter(|(name, _)| name == element).map(|(_, text)| text).collect()
}

#[test]
fn every_job_zone_gate_and_stack_is_a_placemark() {
    let made = demo::made(&demo::texts());
    let text = kml(&made);
    let names = texts(&text, "name");
    for (field, on) in jobs(&made) {
        let name = format!("{} {}: {:.2} tons/ac of {}, ", field.id, field.name, on.rate, on.lot);
        let told = |day: jiff::civil::Date| {
            let day = day.strftime("%b %-d").to_string();
            names.iter().any(|n| n.starts_with(&name) && n.contains(&day))
        };
        assert_eq!(names.iter().filter(|n| n.starts_with(&name)).count(), twice(&made, field, on), "{name}");
        assert!(told(on.first) && told(on.last), "{name}");
    }
    for field in made.plan().fields.iter() {
        let none = field.applications.is_empty();
        assert_eq!(names.contains(&format!("{} {}: no litter", field.id, field.name)), none, "{}", field.id);
        for kept in field.kept_off.iter().filter(|_| !none) {
            assert!(names.iter().any(|n| n.starts_with(&format!("{}: {}", field.id, kept.name))), "{}", kept.name);
        }
        assert!(names.contains(&format!("Gate: {} {}", field.id, field.name)));
    }
    for lot in &made.ready.lots {
        assert!(names.contains(&format!("Stack: {}", lot.id)));
    }
    let told = texts(&text, "description").join("\n");
    let on = jobs(&made)[0].1;
    assert!(told.contains(&format!("{:.2} tons per acre of {}.", on.rate, on.lot)), "{told}");
    for field in made.plan().fields.iter() {
        for why in field.why_none() {
            assert!(told.contains(why.trim_end_matches('.')), "{why}");
        }
    }
}

/// The data of every job, by its name.
fn data(text: &str) -> Vec<BTreeMap<String, String>> {
    let jobs = text.split("<ExtendedData>").skip(1).map(|own| own.split("</ExtendedData>").next().unwrap());
    let pair = |data: &str| {
        let (name, rest) = data.split_once('"').unwrap();
        let value = texts(&format!("<Data>{}", rest.split_once('>').unwrap().1), "value");
        (name.to_string(), value[0].clone())
    };
    jobs.map(|job| job.split("<Data name=\"").skip(1).map(pair).collect()).collect()
}

#[test]
fn every_job_has_its_numbers_as_data() {
    let made = demo::made(&demo::texts());
    let all = data(&kml(&made));
    assert_eq!(all.len(), jobs(&made).len());
    for (row, (field, on)) in all.iter().zip(jobs(&made)) {
        let number = |column: &str| row[column].parse::<f64>().unwrap_or_else(|_| panic!("{column}: {row:?}"));
        assert_eq!((&row["FIELD"], &row["LOT"]), (&field.id, &on.lot));
        assert!(std::ptr::eq(&field.applications[number("JOB") as usize - 1], on), "{row:?}");
        assert_eq!(row["SEASON"], on.season.replace('_', " "));
        assert_eq!((&row["FIRST"], &row["LAST"]), (&on.starts().to_string(), &on.last.to_string()));
        assert_eq!((number("RATE"), number("TONS")), (on.rate, on.pounds.tons()));
        assert!((number("ACRES") - on.acres(field)).abs() < 0.0051, "{row:?}");
    }
    assert!(all.iter().any(|row| row["JOB"] == "2"), "a field has two jobs");
}

#[test]
fn the_import_finds_the_same_acres() {
    let made = spring();
    let fields = imported("plan.kml", kml(&made).as_bytes(), &[]);
    for (field, on) in jobs(&made) {
        let name = format!("{} {}: {:.2} tons/ac of {}, ", field.id, field.name, on.rate, on.lot);
        let called = |f: &&sward::exchange::Field| f.name.as_deref().is_some_and(|n| n.starts_with(&name));
        let got = fields.iter().find(called).unwrap_or_else(|| panic!("{name}"));
        let real = measured(&made, &field.id);
        assert!((got.acres - real).abs() < 0.01, "{name}: {} {real}", got.acres);
        assert!(got.acres - field.acres > -0.01 && got.acres - field.acres < 0.02, "{name}");
        let claimed = got.claimed.as_ref().unwrap();
        assert!((claimed.acres - field.acres).abs() < 0.005, "{claimed:?}");
        let cut = &made.ground[made.place_of(&field.id)].cut.spreadable;
        let rings = |shape: &geo::MultiPolygon<f64>| -> Vec<usize> {
            let mut holes: Vec<usize> = shape.iter().map(|p| p.interiors().len()).collect();
            holes.sort_unstable();
            holes
        };
        assert_eq!(rings(&got.shape), rings(cut), "{name}: holes");
    }
    // What is kept off and what is spread on make the field.
    for field in made.plan().fields.iter().filter(|f| !f.applications.is_empty()) {
        let mine = |f: &&sward::exchange::Field| {
            let name = f.name.as_deref().unwrap_or_default();
            name.starts_with(&format!("{} ", field.id)) || name.starts_with(&format!("{}:", field.id))
        };
        let sum: f64 = fields.iter().filter(mine).map(|f| f.acres).sum();
        assert!((sum - field.gross_acres).abs() < 0.02, "{}: {sum} {}", field.id, field.gross_acres);
    }
}

#[test]
fn rings_run_as_the_format_asks() {
    let made = demo::made(&demo::texts());
    let mut holes = 0;
    let text = kml(&made);
    for (role, counter) in [("outerBoundaryIs", true), ("innerBoundaryIs", false)] {
        for part in text.split(&format!("<{role}>")).skip(1) {
            let own = part.split_once("<coordinates>").unwrap().1.split_once("</coordinates>").unwrap().0;
            let places: Vec<geo::Coord<f64>> = own
                .split(' ')
                .map(|at| {
                    let (x, y) = at.split_once(',').unwrap();
                    geo::coord! { x: x.parse().unwrap(), y: y.parse().unwrap() }
                })
                .collect();
            assert_eq!(places.first(), places.last());
            let ring = geo::Polygon::new(geo::LineString(places), Vec::new());
            assert!(runs(&geo::MultiPolygon(vec![ring]), counter), "{role}");
            holes += usize::from(!counter);
        }
    }
    assert!(holes > 0);
}

#[test]
fn no_name_breaks_out() {
    let made = hostile();
    let text = kml(&made);
    let names = texts(&text, "name");
    let shown = HTML.replace('<', "‹").replace('>', "›");
    assert!(names.iter().any(|n| n.contains(&shown)), "{names:?}");
    // Once the XML is read, what is left opens no element of HTML.
    assert!(elements(&text).iter().all(|(_, text)| !text.contains('<')));
    assert!(!text.contains('\0') && !text.contains("<script"));
    assert!(names.iter().any(|n| n.ends_with("@pond")), "{names:?}");
}

#[test]
fn two_runs_give_the_same_bytes() {
    assert_eq!(kml(&demo::made(&demo::texts())), kml(&demo::made(&demo::texts())));
}
