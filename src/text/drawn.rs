//! A shape in one cell of a table: well-known text as the open standard OGC Simple
//! Features writes it, `POLYGON((lon lat, ...))`, in longitude and latitude.

use crate::text::shown;
use geo::{Coord, Geometry, LineString, MultiLineString, MultiPolygon, Polygon};

/// Deepest nesting of brackets: the parts of a MULTIPOLYGON, their rings, the corners.
const DEEPEST: usize = 3;

/// What stands in a bracket.
enum Inside {
    Corner(Coord<f64>),
    Bracket(Vec<Inside>),
}

/// The areas or lines of a text.
///
/// # Errors
/// What is wrong with it.
pub fn drawn(text: &str) -> Result<Geometry<f64>, String> {
    let text = text.trim();
    let (word, mut rest) = text.split_once('(').ok_or("it has no corner in brackets")?;
    let all = bracket(&mut rest, 1)?;
    if !rest.trim().is_empty() {
        return Err(format!("`{}` stands behind the last bracket", shown(rest.trim())));
    }
    match word.trim().to_ascii_uppercase().as_str() {
        "POLYGON" => Ok(polygon(all)?.into()),
        "MULTIPOLYGON" => {
            let parts = all.into_iter().map(|part| polygon(brackets(part)?));
            Ok(MultiPolygon(parts.collect::<Result<_, String>>()?).into())
        }
        "LINESTRING" => Ok(line(all)?.into()),
        "MULTILINESTRING" => {
            let lines = all.into_iter().map(|own| line(brackets(own)?));
            Ok(MultiLineString(lines.collect::<Result<_, String>>()?).into())
        }
        other => Err(format!("it begins with `{}`", shown(other))),
    }
}

/// The text of areas or lines; none of anything else.
#[must_use]
pub fn drawn_text(shape: &Geometry<f64>) -> Option<String> {
    let number = |degrees: f64| {
        let text = format!("{degrees:.7}");
        text.trim_end_matches('0').trim_end_matches('.').to_string()
    };
    let list = |all: Vec<String>| format!("({})", all.join(", "));
    let corners =
        |line: &LineString<f64>| list(line.0.iter().map(|at| format!("{} {}", number(at.x), number(at.y))).collect());
    let rings = |polygon: &Polygon<f64>| {
        list(std::iter::once(polygon.exterior()).chain(polygon.interiors()).map(corners).collect())
    };
    Some(match shape {
        Geometry::Polygon(one) => format!("POLYGON{}", rings(one)),
        Geometry::MultiPolygon(all) => format!("MULTIPOLYGON{}", list(all.iter().map(rings).collect())),
        Geometry::LineString(one) => format!("LINESTRING{}", corners(one)),
        Geometry::MultiLineString(all) => format!("MULTILINESTRING{}", list(all.iter().map(corners).collect())),
        _ => return None,
    })
}

/// What stands in a bracket that was opened, up to its end.
fn bracket(rest: &mut &str, depth: usize) -> Result<Vec<Inside>, String> {
    if depth > DEEPEST {
        return Err("too many brackets are opened".to_string());
    }
    let mut all = Vec::new();
    loop {
        *rest = rest.trim_start();
        if let Some(after) = rest.strip_prefix('(') {
            *rest = after;
            all.push(Inside::Bracket(bracket(rest, depth + 1)?));
        } else {
            let end = rest.find([',', '(', ')']).unwrap_or(rest.len());
            let (words, after) = rest.split_at(end);
            all.push(Inside::Corner(corner(words)?));
            *rest = after;
        }
        *rest = rest.trim_start();
        if let Some(after) = rest.strip_prefix(')') {
            *rest = after;
            return Ok(all);
        }
        *rest = rest.strip_prefix(',').ok_or_else(|| match rest.is_empty() {
            true => "a bracket is not closed".to_string(),
            false => format!("a comma is missing before `{}`", shown(rest)),
        })?;
    }
}

/// Longitude and latitude; a height behind them is passed over.
fn corner(words: &str) -> Result<Coord<f64>, String> {
    let numbers: Option<Vec<f64>> =
        words.split_whitespace().map(|word| word.parse::<f64>().ok().filter(|n| n.is_finite())).collect();
    match numbers.as_deref() {
        Some([x, y] | [x, y, _]) => Ok(Coord { x: *x, y: *y }),
        _ => Err(format!("`{}` is no corner", shown(words.trim()))),
    }
}

fn brackets(inside: Inside) -> Result<Vec<Inside>, String> {
    match inside {
        Inside::Bracket(all) => Ok(all),
        Inside::Corner(_) => Err("a corner stands where a bracket should be opened".to_string()),
    }
}

/// A line of two different corners or more.
fn line(all: Vec<Inside>) -> Result<LineString<f64>, String> {
    let corner = |inside| match inside {
        Inside::Corner(at) => Ok(at),
        Inside::Bracket(_) => Err("a bracket is opened where a corner should be".to_string()),
    };
    let corners: Vec<Coord<f64>> = all.into_iter().map(corner).collect::<Result<_, String>>()?;
    if corners.iter().all(|at| Some(at) == corners.first()) {
        return Err("a line of it has a single corner".to_string());
    }
    Ok(LineString(corners))
}

/// An outer ring and its holes.
fn polygon(all: Vec<Inside>) -> Result<Polygon<f64>, String> {
    let ring = |inside| {
        let ring = line(brackets(inside)?)?;
        if ring.is_closed() { Ok(ring) } else { Err("a ring of it does not end where it begins".to_string()) }
    };
    let mut rings = all.into_iter().map(ring).collect::<Result<Vec<_>, String>>()?.into_iter();
    let outer = rings.next().ok_or("it has no ring")?;
    Ok(Polygon::new(outer, rings.collect()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_reads_back() {
        for text in [
            "POLYGON((-79.5 35.7, -79.4 35.7, -79.4 35.8, -79.5 35.7))",
            "POLYGON((0 0, 9 0, 9 9, 0 0), (1 1, 2 1, 2 2, 1 1))",
            "MULTIPOLYGON(((0 0, 9 0, 9 9, 0 0)), ((20 0, 29 0, 29 9, 20 0)))",
            "LINESTRING(-79.5 35.7, -79.4 35.7)",
            "MULTILINESTRING((0 0, 1 1), (2 2, 3 3.1234567))",
        ] {
            let shape = drawn(text).unwrap_or_else(|why| panic!("{text}: {why}"));
            assert_eq!(drawn_text(&shape).as_deref(), Some(text));
            assert_eq!(drawn(&text.to_lowercase().replace('(', " ( ")), Ok(shape));
        }
        assert!(drawn("LINESTRING(0 0 12, 1 1 12)").is_ok(), "a height");
        assert_eq!(drawn_text(&geo::Point::new(0.0, 0.0).into()), None);
    }

    #[test]
    fn what_is_no_area_and_no_line_says_why() {
        for (text, why) in [
            ("", "no corner"),
            ("north half", "no corner"),
            ("POINT(0 0)", "begins with `POINT`"),
            ("POLYGON((0 0, 9 0, 9 9, 0 0)", "not closed"),
            ("POLYGON((0 0, 9 0, 9 9, 0 0)) x", "behind the last"),
            ("POLYGON(0 0, 9 0, 9 9, 0 0)", "where a bracket"),
            ("POLYGON((0 0, 9 0, 9 9))", "where it begins"),
            ("POLYGON((0 0, 0 0))", "single corner"),
            ("LINESTRING(0 0)", "single corner"),
            ("LINESTRING(0, 1 1)", "`0` is no corner"),
            ("LINESTRING(0 NaN, 1 1)", "is no corner"),
            ("LINESTRING((0 0, 1 1))", "where a corner"),
            ("LINESTRING(0 0 (1 1))", "comma"),
            ("POLYGON EMPTY", "no corner"),
            ("POLYGON(((((0 0", "too many brackets"),
        ] {
            let said = drawn(text).expect_err(text);
            assert!(said.contains(why), "{text}: {said}");
        }
    }
}
