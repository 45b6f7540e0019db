//! The coordinates of a GeoJSON geometry, read without knowing its type: the type may come after.
//!
//! Corners go into one list; where a list of them ends, and a list of such lists, is noted. What
//! is not as it should be is kept as words, since it is wrong with one feature and not with the
//! file.

use std::fmt;

use geo::{Coord, Geometry, LineString, MultiLineString, MultiPoint, MultiPolygon, Point, Polygon};
use serde::de::{DeserializeSeed, Deserializer, IgnoredAny, MapAccess, SeqAccess, Visitor};

/// Deepest nesting: a MultiPolygon's corners stand in four lists.
const DEEPEST: usize = 4;

/// Corners in one list.
#[derive(Debug, Default)]
pub(super) struct Flat {
    corners: Vec<Coord<f64>>,
    /// How many lists stand around a corner's own.
    depth: Option<usize>,
    /// How many corners there were at the end of each list of corners.
    lines: Vec<usize>,
    /// How many such lists there were at the end of each list of them.
    parts: Vec<usize>,
    wrong: Option<&'static str>,
}

/// What one element of a list was.
pub(super) enum Element {
    Number(f64),
    List,
    Other,
}

/// Reads coordinates into a list.
pub(super) struct Corners<'f> {
    pub(super) flat: &'f mut Flat,
    /// How many lists stand around it.
    pub(super) depth: usize,
}

impl<'de> DeserializeSeed<'de> for Corners<'_> {
    type Value = Element;

    fn deserialize<D: Deserializer<'de>>(self, reader: D) -> Result<Element, D::Error> {
        reader.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Corners<'_> {
    type Value = Element;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "coordinates")
    }

    fn visit_f64<E>(self, number: f64) -> Result<Element, E> {
        Ok(Element::Number(number))
    }

    #[expect(clippy::cast_precision_loss, reason = "a degree has few digits; others are out of range")]
    fn visit_i64<E>(self, number: i64) -> Result<Element, E> {
        Ok(Element::Number(number as f64))
    }

    #[expect(clippy::cast_precision_loss, reason = "a degree has few digits; others are out of range")]
    fn visit_u64<E>(self, number: u64) -> Result<Element, E> {
        Ok(Element::Number(number as f64))
    }

    fn visit_bool<E>(self, _: bool) -> Result<Element, E> {
        Ok(Element::Other)
    }

    fn visit_str<E>(self, _: &str) -> Result<Element, E> {
        Ok(Element::Other)
    }

    fn visit_unit<E>(self) -> Result<Element, E> {
        Ok(Element::Other)
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Element, A::Error> {
        while map.next_entry::<IgnoredAny, IgnoredAny>()?.is_some() {}
        Ok(Element::Other)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Element, A::Error> {
        let Corners { flat, depth } = self;
        if depth >= DEEPEST {
            flat.wrong = Some("its coordinates are nested in too many lists");
            while list.next_element::<IgnoredAny>()?.is_some() {}
            return Ok(Element::List);
        }
        let first = list.next_element_seed(Corners { flat: &mut *flat, depth: depth + 1 })?;
        let Some(Element::Number(x)) = first else {
            if first.is_none() && depth > 0 {
                flat.wrong = Some("a list among its coordinates is empty");
            }
            let mut element = first;
            while let Some(one) = element {
                if !matches!(one, Element::List) {
                    flat.wrong = Some("something among its coordinates is not a corner");
                }
                element = list.next_element_seed(Corners { flat: &mut *flat, depth: depth + 1 })?;
            }
            flat.end(depth);
            return Ok(Element::List);
        };
        let second = list.next_element_seed(Corners { flat: &mut *flat, depth: depth + 1 })?;
        match second {
            Some(Element::Number(y)) => flat.corner(depth, Coord { x, y }),
            None => flat.wrong = Some("a corner of it has fewer than two numbers"),
            Some(_) => flat.wrong = Some("a corner of it has something that is not a number"),
        }
        // A height and anything after it.
        while list.next_element::<IgnoredAny>()?.is_some() {}
        Ok(Element::List)
    }
}

impl Flat {
    fn corner(&mut self, depth: usize, at: Coord<f64>) {
        if *self.depth.get_or_insert(depth) != depth {
            self.wrong = Some("its corners are nested at different depths");
        }
        self.corners.push(at);
    }

    /// A list ends that holds no numbers itself.
    fn end(&mut self, depth: usize) {
        match self.depth.map(|own| own.checked_sub(depth)) {
            Some(Some(1)) => self.lines.push(self.corners.len()),
            Some(Some(2)) => self.parts.push(self.lines.len()),
            _ => {}
        }
    }

    /// The geometry of a type.
    pub(super) fn into_geometry(self, kind: &str) -> Result<Geometry<f64>, String> {
        let wanted = match kind {
            "Point" => 0,
            "MultiPoint" | "LineString" => 1,
            "Polygon" | "MultiLineString" => 2,
            "MultiPolygon" => 3,
            other => return Err(format!("its type is `{other}`, which is not a geometry with coordinates")),
        };
        if let Some(wrong) = self.wrong {
            return Err(wrong.to_string());
        }
        let Some(depth) = self.depth else {
            return Err(format!("the {kind} has no corner"));
        };
        if depth != wanted {
            return Err(format!("its coordinates are not those of a {kind}"));
        }
        let Flat { corners, lines, parts, .. } = self;
        let mut start = 0;
        let all = corners.as_slice();
        let mut lines = lines.iter().map(|&end| {
            let line = all.get(start..end).unwrap_or_default();
            start = end;
            LineString(line.to_vec())
        });
        Ok(match kind {
            "Point" => Point(corners.first().copied().unwrap_or_default()).into(),
            "MultiPoint" => MultiPoint(corners.into_iter().map(Point).collect()).into(),
            "LineString" => LineString(corners).into(),
            "MultiLineString" => MultiLineString(lines.collect()).into(),
            "Polygon" => polygon(lines).into(),
            _ => {
                let mut start = 0;
                let parts = parts.iter().map(|&end| {
                    let part = polygon(lines.by_ref().take(end.saturating_sub(start)));
                    start = end;
                    part
                });
                MultiPolygon(parts.collect()).into()
            }
        })
    }
}

fn polygon(mut rings: impl Iterator<Item = LineString<f64>>) -> Polygon<f64> {
    let outer = rings.next().unwrap_or(LineString(Vec::new()));
    Polygon::new(outer, rings.collect())
}
