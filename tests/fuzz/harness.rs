//! What a fuzzer does with its bytes. The same functions run as a plain test
//! over the kept cases (`tests/fuzz_cases.rs`) and under libFuzzer
//! (`tests/fuzz/targets/`).
//!
//! Every case must come back without a panic, and an area that is told must be
//! a number, not below 0 and not above the whole.

use geo::{Coord, Geometry, LineString, MultiPolygon, Point, Polygon};
use std::sync::{Arc, LazyLock};
use sward::exchange::{self, Options, Source};
use sward::farm::FarmText;
use sward::ground::{self, KeepAway};
use sward::pipeline::{Day, Figures, Folder, Question};
use sward::tables::{self, Tables};

static TABLES: LazyLock<Arc<Tables>> = LazyLock::new(|| Arc::new(tables::load(&tables::built_in()).0));

const MAIN: &str = include_str!("seeds/farm.yaml");

/// One kind of case.
pub type Harness = fn(&[u8]);

/// All kinds, by the folder that holds their kept cases.
pub const KINDS: [(&str, Harness); 4] =
    [("text", text), ("keepouts", keepouts), ("coordinates", coordinates), ("import", import)];

/// `fields.geojson` as bytes, through reading, checks and the cut.
pub fn text(bytes: &[u8]) {
    farm(bytes, include_bytes!("seeds/keepouts.geojson"));
}

/// `keepouts.geojson` as bytes, against a sound field.
pub fn keepouts(bytes: &[u8]) {
    farm(include_bytes!("seeds/fields.geojson"), bytes);
}

fn farm(fields: &[u8], keepouts: &[u8]) {
    let text = |name: &str, bytes: &[u8]| sward::text::decode(name, bytes.to_vec()).ok();
    let mut texts = FarmText {
        main: None,
        fields: text("fields.geojson", fields),
        keepouts: text("keepouts.geojson", keepouts),
        ..FarmText::default()
    };
    // Without the main file first: it takes longest, and most cases end here.
    let (written, found) = sward::farm::read_text(&texts);
    let things: Vec<KeepAway> = written
        .keepouts
        .iter()
        .enumerate()
        .map(|(index, k)| KeepAway { index, geometry: &k.geometry, feet: 100.0 })
        .collect();
    for boundary in &written.boundaries {
        let _ = ground::faults(&boundary.shape);
        cut(&boundary.shape, &things);
    }
    if found.has_errors() || !one_in(32, fields.len() + keepouts.len()) {
        return;
    }
    texts.main = Some(MAIN.to_string());
    let question = Question::of(Folder::memory(&texts), Day::Stated { today: "2027-02-01".parse().unwrap() });
    let Some(ready) = Question { figures: Figures::Loaded(Arc::clone(&TABLES)), ..question }.check().ready else {
        return;
    };
    let keep: Vec<KeepAway> = ready
        .keepouts
        .iter()
        .enumerate()
        .map(|(index, k)| KeepAway { index, geometry: &k.geometry, feet: k.feet })
        .collect();
    for field in &ready.fields {
        cut(&field.shape, &keep);
    }
}

/// One case in so many, by its length: for what takes long.
fn one_in(many: usize, length: usize) -> bool {
    length.is_multiple_of(many)
}

/// Cuts, and holds what comes out against the laws.
fn cut(shape: &MultiPolygon<f64>, keep: &[KeepAway]) {
    let Ok(cut) = ground::cut(shape, keep, 30.0) else { return };
    let within = |acres: f64| acres.is_finite() && (0.0..=cut.gross).contains(&acres);
    assert!(cut.gross.is_finite() && cut.gross > 0.0, "{} ac in all", cut.gross);
    assert!(within(cut.acres), "{} of {}", cut.acres, cut.gross);
    assert!(within(cut.sliver_acres), "{} of {}", cut.sliver_acres, cut.gross);
    assert!(cut.zones.iter().all(|zone| within(zone.acres)), "{} in all", cut.gross);
}

/// Corners, things and distances straight from the bytes.
pub fn coordinates(bytes: &[u8]) {
    let seldom = one_in(16, bytes.len());
    let mut bytes = Bytes(bytes);
    let shape = bytes.shape();
    let things: Vec<(Geometry<f64>, f64)> = (0..bytes.below(6)).map(|_| (bytes.geometry(), bytes.distance())).collect();
    let keep: Vec<KeepAway> =
        things.iter().enumerate().map(|(index, (geometry, feet))| KeepAway { index, geometry, feet: *feet }).collect();
    let _ = ground::faults(&shape);
    cut(&shape, &keep);
    let other = bytes.shape();
    let both = ground::overlap_acres(&shape, &other);
    assert!(both.is_finite() && both >= 0.0, "{both} ac in both");
    let under = ground::covered(&shape, &[&other, &shape]);
    assert!(under.iter().flatten().all(|acres| acres.is_finite() && *acres >= 0.0), "{under:?}");
    if seldom
        && let Ok(cut) = ground::cut(&shape, &keep, 0.0)
        && cut.acres < 500.0
    {
        let heading = (bytes.below(2) == 1).then(|| f64::from(bytes.byte()));
        let passes = ground::passes(&cut.spreadable, 30.0, heading, 7.5);
        assert!(format!("{passes:?}").len() > 1);
    }
}

/// Foreign files by the look of the first byte.
pub fn import(bytes: &[u8]) {
    let Some((kind, rest)) = bytes.split_first() else { return };
    let ending = ["kml", "geojson", "shp", "kmz", "zip"][usize::from(*kind) % 5];
    // A shapefile's table and projection follow it.
    let third = rest.len() / 3;
    let beside = if ending == "shp" && kind & 8 != 0 {
        vec![("dbf".to_string(), rest[..third].to_vec()), ("prj".to_string(), rest[third..2 * third].to_vec())]
    } else {
        Vec::new()
    };
    let own = if beside.is_empty() { rest } else { &rest[2 * third..] };
    let source = Source { name: format!("case.{ending}"), bytes: own.to_vec(), beside };
    let options = Options {
        fix: kind & 16 != 0,
        close: kind & 32 != 0,
        take: [exchange::Take::Fields, exchange::Take::KeepOuts, exchange::Take::Both][usize::from(*kind >> 6) % 3],
        rest: (kind & 64 != 0).then(|| "dwelling".to_string()),
        ..Options::default()
    };
    let imported = exchange::import(&[source], &options);
    for field in &imported.fields {
        assert!(field.acres.is_finite() && field.acres >= 0.0, "{} ac", field.acres);
    }
}

/// Bytes read as numbers; zeros when they run out.
struct Bytes<'a>(&'a [u8]);

impl Bytes<'_> {
    fn byte(&mut self) -> u8 {
        let Some((first, rest)) = self.0.split_first() else { return 0 };
        self.0 = rest;
        *first
    }

    fn below(&mut self, many: u8) -> u8 {
        self.byte() % many
    }

    /// A place near the farm on a coarse grid, so that corners meet and sides
    /// run over each other; now and then anything at all.
    fn place(&mut self) -> Coord<f64> {
        match self.byte() {
            250 => Coord { x: f64::NAN, y: 35.7 },
            251 => Coord { x: -79.5, y: f64::INFINITY },
            252 => Coord { x: f64::from_bits(self.long()), y: f64::from_bits(self.long()) },
            253 => Coord { x: -79.5 + 1e-9 * f64::from(self.byte()), y: 35.7 + 1e-9 * f64::from(self.byte()) },
            254 => Coord { x: f64::from(self.byte()), y: f64::from(self.byte()) },
            255 => Coord { x: 1e300, y: -1e300 },
            x => Coord { x: -79.5 + 0.000_05 * f64::from(x), y: 35.7 + 0.000_05 * f64::from(self.byte()) },
        }
    }

    fn long(&mut self) -> u64 {
        u64::from_le_bytes(std::array::from_fn(|_| self.byte()))
    }

    fn line(&mut self) -> LineString<f64> {
        LineString((0..self.below(24)).map(|_| self.place()).collect())
    }

    fn polygon(&mut self) -> Polygon<f64> {
        let outer = self.line();
        Polygon::new(outer, (0..self.below(3)).map(|_| self.line()).collect())
    }

    fn shape(&mut self) -> MultiPolygon<f64> {
        MultiPolygon((0..=self.below(3)).map(|_| self.polygon()).collect())
    }

    fn geometry(&mut self) -> Geometry<f64> {
        match self.below(5) {
            0 => Geometry::Point(Point(self.place())),
            1 => Geometry::LineString(self.line()),
            2 => Geometry::Polygon(self.polygon()),
            3 => Geometry::MultiPolygon(self.shape()),
            _ => Geometry::MultiPoint((0..self.below(9)).map(|_| Point(self.place())).collect()),
        }
    }

    fn distance(&mut self) -> f64 {
        match self.byte() {
            0 => 0.0,
            253 => f64::NAN,
            254 => f64::INFINITY,
            255 => -1.0,
            feet => 2.5 * f64::from(feet),
        }
    }
}
