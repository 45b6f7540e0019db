//! The shapefile: read back by the shapefile crate, which had no part in
//! writing it, and by this program's import, packed and not.

use crate::{PATH, demo, hostile, imported, jobs, measured, spring};
use demo::Made;
use shapefile::PolygonRing;
use shapefile::dbase::FieldValue;
use std::io::Cursor;
use sward::exchange::{self, DbfColumn, DbfKind, FileSet, Layer, ShapeRecord, TableCell};
use sward::write;

fn set(made: &Made) -> FileSet {
    exchange::shapefile(&write::rates(&made.audited, &made.ready, &made.ground)).unwrap()
}

fn file<'a>(set: &'a FileSet, end: &str) -> &'a [u8] {
    set.files.iter().find(|(own, _)| *own == end).unwrap().1.as_slice()
}

type Shapes = Vec<(shapefile::Polygon, shapefile::dbase::Record)>;

fn read(set: &FileSet) -> Shapes {
    let of = |end| Cursor::new(file(set, end));
    let shapes = shapefile::ShapeReader::with_shx(of("shp"), of("shx")).unwrap();
    let table = shapefile::dbase::Reader::new(of("dbf")).unwrap();
    shapefile::Reader::new(shapes, table).read_as::<shapefile::Polygon, shapefile::dbase::Record>().unwrap()
}

fn text(record: &shapefile::dbase::Record, name: &str) -> String {
    match record.get(name).unwrap() {
        FieldValue::Character(text) => text.clone().unwrap_or_default(),
        other => panic!("{name}: {other:?}"),
    }
}

fn number(record: &shapefile::dbase::Record, name: &str) -> f64 {
    match record.get(name).unwrap() {
        FieldValue::Numeric(Some(number)) => *number,
        other => panic!("{name}: {other:?}"),
    }
}

#[test]
fn another_library_reads_every_job() {
    let made = demo::made(&demo::texts());
    let all = read(&set(&made));
    assert_eq!(all.len(), jobs(&made).len());
    for ((_, row), (field, on)) in all.iter().zip(jobs(&made)) {
        assert_eq!(text(row, "FIELD"), field.id);
        // Jobs that may lie on the same ground are told apart by their days.
        let own = text(row, "NAME");
        let apart = own != field.name && own.starts_with(&format!("{}, ", field.name)) && own.contains(" to ");
        assert_eq!((own == field.name, apart), (field.applications.len() == 1, field.applications.len() > 1), "{own}");
        let job = number(row, "JOB") as usize;
        assert!(std::ptr::eq(&field.applications[job - 1], on), "{own}: {job}");
        assert_eq!(text(row, "SEASON"), on.season.replace('_', " "));
        assert_eq!(text(row, "LOT"), on.lot);
        assert!((number(row, "RATE") - on.rate).abs() < 1e-6);
        assert_eq!(format!("{:.2}", number(row, "ACRES")), format!("{:.2}", field.acres));
        assert_eq!(number(row, "TONS"), on.pounds.tons());
        match row.get("FIRST").unwrap() {
            FieldValue::Date(Some(day)) => {
                assert_eq!(format!("{}-{:02}-{:02}", day.year(), day.month(), day.day()), on.first.to_string());
            }
            other => panic!("{other:?}"),
        }
    }
}

#[test]
fn rings_run_and_follow_as_the_format_asks() {
    let made = demo::made(&demo::texts());
    let (mut holes, mut parts) = (0, 0);
    for ((shape, _), (field, _)) in read(&set(&made)).iter().zip(jobs(&made)) {
        let cut = &made.ground[made.place_of(&field.id)].cut.spreadable;
        let mut counts: Vec<usize> = Vec::new();
        for ring in shape.rings() {
            // The crate tells a hole by the way it runs.
            match ring {
                PolygonRing::Outer(_) => counts.push(0),
                PolygonRing::Inner(_) => *counts.last_mut().unwrap() += 1,
            }
        }
        let wanted: Vec<usize> = cut.iter().map(|part| part.interiors().len()).collect();
        assert_eq!(counts, wanted, "{}", field.id);
        holes += wanted.iter().sum::<usize>();
        parts = parts.max(wanted.len());
    }
    assert!(holes > 0 && parts > 1);
}

#[test]
fn the_import_finds_the_same_acres() {
    let made = spring();
    let set = set(&made);
    let beside = [("dbf", file(&set, "dbf")), ("prj", file(&set, "prj"))];
    let packed: Vec<(String, Vec<u8>)> =
        set.files.iter().map(|(end, bytes)| (format!("spread.{end}"), bytes.clone())).collect();
    let packed = exchange::zip(&packed).unwrap();
    let geojson = write::map_geojson(&made.audited, &made.ready, &made.ground, &[]);
    let ways = [
        imported("spread.shp", file(&set, "shp"), &beside),
        imported("spread.zip", &packed, &[]),
        imported("spread.geojson", geojson.as_bytes(), &[]),
    ];
    for (way, fields) in ways.iter().enumerate() {
        assert_eq!(fields.len(), jobs(&made).len());
        for (got, (field, _)) in fields.iter().zip(jobs(&made)) {
            assert_eq!((&got.id, got.name.as_ref()), (&field.id, Some(&field.name)), "way {way}");
            let real = measured(&made, &field.id);
            assert!((got.acres - real).abs() < 0.01, "{}: {} {real}", field.id, got.acres);
            assert_eq!(format!("{:.2}", got.claimed.as_ref().unwrap().acres), format!("{:.2}", field.acres));
        }
    }
}

#[test]
fn long_names_are_cut_between_letters_and_told() {
    let set = set(&hostile());
    let cut: Vec<_> = set.cut.iter().filter(|c| c.column == "NAME").collect();
    assert_eq!(cut.len(), set.cut.len());
    assert!(!cut.is_empty());
    for own in cut {
        assert!(own.had == 1000 && own.left <= 254 && own.left > 250, "{own:?}");
        let (_, row) = &read(&set)[own.row - 1];
        let name = text(row, "NAME");
        assert_eq!(name.len(), own.left);
        assert!("Ünï".repeat(200).starts_with(&name), "{name}");
    }
    assert!(read(&set).iter().any(|(_, row)| text(row, "LOT") == PATH));
    for (end, bytes) in &set.files {
        assert!(*end != "cpg" || bytes == b"UTF-8");
    }
}

/// From the triangle on every ring is written, with every corner.
#[test]
fn rings_of_few_corners_are_written_too() {
    let day = jiff::civil::date(2027, 2, 15);
    for corners in 3..8 {
        let corner = |n: i32| {
            let turn = std::f64::consts::TAU * f64::from(n) / f64::from(corners);
            (-79.5 + 0.001 * turn.cos(), 35.7 + 0.001 * turn.sin())
        };
        let ring = geo::LineString::from((0..=corners).map(|n| corner(n % corners)).collect::<Vec<_>>());
        let shape = geo::MultiPolygon(vec![geo::Polygon::new(ring, Vec::new())]);
        let columns = vec![DbfColumn { name: "NAME", kind: DbfKind::Text }];
        let layer = Layer { columns, records: vec![ShapeRecord { shape, row: vec![TableCell::text("a")] }], day };
        let shapes = read(&exchange::shapefile(&layer).unwrap());
        let points: usize = shapes[0].0.rings().iter().map(|ring| ring.points().len()).sum();
        assert_eq!(points, usize::try_from(corners).unwrap() + 1);
    }
}

#[test]
fn an_empty_layer_is_a_whole_file_too() {
    let column = DbfColumn { name: "NAME", kind: DbfKind::Text };
    let day = jiff::civil::date(2027, 2, 15);
    let layer = Layer { columns: vec![column], records: Vec::new(), day };
    let empty = exchange::shapefile(&layer).unwrap();
    assert_eq!(read(&empty).len(), 0);
    assert_eq!(file(&empty, "shp").len(), 100);
    // What does not fit is refused, never written wrong.
    for (kind, cell) in [(DbfKind::Number(2), TableCell::Number(1e30, 2)), (DbfKind::Day, TableCell::text("soon"))] {
        let record = ShapeRecord { shape: geo::MultiPolygon(Vec::new()), row: vec![cell] };
        let layer = Layer { columns: vec![DbfColumn { name: "X", kind }], records: vec![record], day };
        assert!(exchange::shapefile(&layer).is_err());
    }
}
