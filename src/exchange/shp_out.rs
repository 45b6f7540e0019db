//! Shapefiles out: polygons with a table, in longitude and latitude (ESRI
//! Shapefile Technical Description, 1998).
//!
//! Outer rings run clockwise, holes the other way, each hole behind the ring
//! that it lies in.

use crate::exchange::cells::TableCell;
use crate::exchange::dbf_out::{CutShort, DbfColumn, dbf};
use geo::orient::Direction;
use geo::{BoundingRect, LineString, MultiPolygon, Orient};
use jiff::civil::Date;

/// WGS84 as shapefiles name it.
const WGS84: &str = "GEOGCS[\"GCS_WGS_1984\",DATUM[\"D_WGS_1984\",SPHEROID[\"WGS_1984\",6378137.0,298.257223563]],\
                     PRIMEM[\"Greenwich\",0.0],UNIT[\"Degree\",0.0174532925199433]]\n";
/// What the texts of the table are written in.
const LETTERS: &str = "UTF-8\n";
/// Code that a shapefile begins with.
const CODE: u32 = 9994;
/// Version of the format.
const VERSION: u32 = 1000;
/// Kind of a shape that is a polygon.
const POLYGON: u32 = 5;
/// Bytes of the head of a file.
const HEAD: usize = 100;

/// One shape with its row.
#[derive(Clone, Debug)]
pub struct ShapeRecord {
    /// The shape, longitude and latitude in degrees.
    pub shape: MultiPolygon<f64>,
    /// Its cells, one a column.
    pub row: Vec<TableCell>,
}

/// Shapes of one kind with their table.
#[derive(Clone, Debug)]
pub struct Layer {
    /// The columns.
    pub columns: Vec<DbfColumn>,
    /// The shapes.
    pub records: Vec<ShapeRecord>,
    /// The day that the table names as that of its last change.
    pub day: Date,
}

/// The files of a shapefile.
#[derive(Clone, Debug)]
pub struct FileSet {
    /// Each with its ending.
    pub files: Vec<(&'static str, Vec<u8>)>,
    /// Texts that did not fit.
    pub cut: Vec<CutShort>,
}

/// The `.shp` with its index, table, projection and letters.
///
/// # Errors
/// Says what the format cannot hold.
pub fn shapefile(layer: &Layer) -> Result<FileSet, String> {
    let contents: Vec<Vec<u8>> = layer.records.iter().map(|r| content(&r.shape)).collect::<Result<_, _>>()?;
    let rows: Vec<&[TableCell]> = layer.records.iter().map(|r| r.row.as_slice()).collect();
    let (table, cut) = dbf(&layer.columns, &rows, layer.day)?;
    let (mut shapes, mut index) = (Vec::new(), Vec::new());
    for (i, content) in contents.iter().enumerate() {
        let length = words(content.len())?.to_be_bytes();
        index.extend(words(HEAD + shapes.len())?.to_be_bytes());
        index.extend(length);
        shapes.extend(count(i + 1)?.to_be_bytes());
        shapes.extend(length);
        shapes.extend(content);
    }
    let all = bounds(layer.records.iter().map(|r| &r.shape));
    let whole = |body: Vec<u8>| -> Result<Vec<u8>, String> {
        let mut bytes = head(HEAD + body.len(), all)?;
        bytes.extend(body);
        Ok(bytes)
    };
    let files = vec![
        ("shp", whole(shapes)?),
        ("shx", whole(index)?),
        ("dbf", table),
        ("prj", WGS84.trim_end().into()),
        ("cpg", LETTERS.trim_end().into()),
    ];
    Ok(FileSet { files, cut })
}

/// The head, which both files of shapes have.
fn head(length: usize, bounds: [f64; 4]) -> Result<Vec<u8>, String> {
    let mut bytes = CODE.to_be_bytes().to_vec();
    bytes.extend([0; 20]);
    bytes.extend(words(length)?.to_be_bytes());
    bytes.extend(VERSION.to_le_bytes());
    bytes.extend(POLYGON.to_le_bytes());
    // Heights and measures, of which there are none, follow as zeros.
    bytes.extend(bounds.into_iter().chain([0.0; 4]).flat_map(f64::to_le_bytes));
    Ok(bytes)
}

/// One record, without its head. A shape without a corner is a shape of no kind.
fn content(shape: &MultiPolygon<f64>) -> Result<Vec<u8>, String> {
    let turned = shape.orient(Direction::Reversed);
    let rings: Vec<&LineString<f64>> = turned
        .iter()
        .flat_map(|part| std::iter::once(part.exterior()).chain(part.interiors()))
        .filter(|ring| ring.0.len() >= 4)
        .collect();
    if rings.is_empty() {
        return Ok(vec![0; 4]);
    }
    let mut bytes = POLYGON.to_le_bytes().to_vec();
    bytes.extend(bounds(std::iter::once(&turned)).into_iter().flat_map(f64::to_le_bytes));
    bytes.extend(count(rings.len())?.to_le_bytes());
    bytes.extend(count(rings.iter().map(|ring| ring.0.len()).sum())?.to_le_bytes());
    let mut start = 0;
    for ring in &rings {
        bytes.extend(count(start)?.to_le_bytes());
        start += ring.0.len();
    }
    bytes.extend(rings.iter().flat_map(|ring| &ring.0).flat_map(|at| [at.x, at.y]).flat_map(f64::to_le_bytes));
    Ok(bytes)
}

/// West, south, east and north end; zeros of nothing.
fn bounds<'a>(shapes: impl Iterator<Item = &'a MultiPolygon<f64>>) -> [f64; 4] {
    let boxes = shapes.filter_map(BoundingRect::bounding_rect).map(|b| [b.min().x, b.min().y, b.max().x, b.max().y]);
    boxes.reduce(|a, b| [a[0].min(b[0]), a[1].min(b[1]), a[2].max(b[2]), a[3].max(b[3])]).unwrap_or_default()
}

/// A length in bytes as the format counts it: in words of two.
fn words(bytes: usize) -> Result<u32, String> {
    count(bytes / 2)
}

fn count(number: usize) -> Result<u32, String> {
    // Readers take these numbers as signed.
    i32::try_from(number).map(i32::unsigned_abs).map_err(|_| "the ground is too large for a shapefile".to_string())
}
