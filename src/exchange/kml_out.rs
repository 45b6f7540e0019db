//! KML 2.2 out (OGC 07-147r2): folders of placemarks, each with its words, its
//! data and its ground or spot. No link, no picture, no script.

use crate::findings::is_hidden;
use geo::orient::Direction;
use geo::{Coord, LineString, MultiPolygon, Orient, Polygon};
use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesText, Event};
use std::io;

/// Decimals of a coordinate: a hundredth of a meter.
const DECIMALS: usize = 7;

/// How a kind of ground is drawn. Colors are aabbggrr, as the format has them.
#[derive(Clone, Copy, Debug)]
pub struct KmlLook {
    /// Its name in the file.
    pub id: &'static str,
    /// Color of the edge.
    pub edge: &'static str,
    /// Color of the ground.
    pub ground: &'static str,
}

/// What a placemark marks.
#[derive(Clone, Debug)]
pub enum Marked {
    /// Ground, longitude and latitude in degrees.
    Ground(MultiPolygon<f64>),
    /// A spot.
    Spot(Coord<f64>),
}

/// A placemark.
#[derive(Clone, Debug)]
pub struct Placemark {
    /// What it is called.
    pub name: String,
    /// More on it, one sentence a line.
    pub lines: Vec<String>,
    /// How it is drawn, by the name of a look.
    pub look: Option<&'static str>,
    /// Data for programs.
    pub data: Vec<(&'static str, String)>,
    /// Where it is.
    pub at: Marked,
}

/// Placemarks that belong together.
#[derive(Clone, Debug)]
pub struct KmlFolder {
    /// What it is called.
    pub name: String,
    /// The placemarks.
    pub marks: Vec<Placemark>,
}

type Xml = Writer<Vec<u8>>;

/// The whole file.
///
/// # Errors
/// Says what could not be written.
pub fn kml(name: &str, looks: &[KmlLook], folders: &[KmlFolder]) -> Result<Vec<u8>, String> {
    document(name, looks, folders).map_err(|e| e.to_string())
}

fn document(name: &str, looks: &[KmlLook], folders: &[KmlFolder]) -> io::Result<Vec<u8>> {
    let mut xml = Writer::new_with_indent(Vec::new(), b' ', 1);
    xml.write_event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)))?;
    xml.create_element("kml").with_attribute(("xmlns", "http://www.opengis.net/kml/2.2")).write_inner_content(
        |xml| {
            xml.create_element("Document").write_inner_content(|xml| {
                text(xml, "name", name)?;
                looks.iter().try_for_each(|look| style(xml, look))?;
                folders.iter().try_for_each(|own| folder(xml, own))
            })?;
            Ok(())
        },
    )?;
    xml.write_event(Event::Text(BytesText::from_escaped("\n")))?;
    Ok(xml.into_inner())
}

fn text(xml: &mut Xml, element: &str, text: &str) -> io::Result<()> {
    xml.create_element(element).write_text_content(BytesText::new(&legible(text)))?;
    Ok(())
}

/// A text without what XML forbids. Phones show names and descriptions as HTML,
/// so that no sign may open an element there either.
fn legible(text: &str) -> String {
    let kept = text.chars().filter(|c| !is_hidden(*c) && (!c.is_control() || *c == '\n'));
    kept.map(|c| match c {
        '<' => '‹',
        '>' => '›',
        other => other,
    })
    .collect()
}

fn style(xml: &mut Xml, look: &KmlLook) -> io::Result<()> {
    xml.create_element("Style").with_attribute(("id", look.id)).write_inner_content(|xml| {
        xml.create_element("LineStyle").write_inner_content(|xml| {
            text(xml, "color", look.edge)?;
            text(xml, "width", "2")
        })?;
        xml.create_element("PolyStyle").write_inner_content(|xml| text(xml, "color", look.ground))?;
        Ok(())
    })?;
    Ok(())
}

fn folder(xml: &mut Xml, folder: &KmlFolder) -> io::Result<()> {
    xml.create_element("Folder").write_inner_content(|xml| {
        text(xml, "name", &folder.name)?;
        folder.marks.iter().try_for_each(|mark| placemark(xml, mark))
    })?;
    Ok(())
}

fn placemark(xml: &mut Xml, mark: &Placemark) -> io::Result<()> {
    xml.create_element("Placemark").write_inner_content(|xml| {
        text(xml, "name", &mark.name)?;
        text(xml, "description", &mark.lines.join("\n"))?;
        if let Some(look) = mark.look {
            text(xml, "styleUrl", &format!("#{look}"))?;
        }
        if !mark.data.is_empty() {
            xml.create_element("ExtendedData").write_inner_content(|xml| {
                mark.data.iter().try_for_each(|(name, value)| {
                    let data = xml.create_element("Data").with_attribute(("name", *name));
                    data.write_inner_content(|xml| text(xml, "value", value))?;
                    Ok(())
                })
            })?;
        }
        match &mark.at {
            Marked::Spot(at) => {
                xml.create_element("Point").write_inner_content(|xml| text(xml, "coordinates", &place(*at)))?;
                Ok(())
            }
            Marked::Ground(shape) => ground(xml, shape),
        }
    })?;
    Ok(())
}

/// One polygon, or several together. Rings run as the right-hand rule has it.
fn ground(xml: &mut Xml, shape: &MultiPolygon<f64>) -> io::Result<()> {
    let turned = shape.orient(Direction::Default);
    match turned.0.as_slice() {
        [one] => polygon(xml, one),
        many => {
            xml.create_element("MultiGeometry")
                .write_inner_content(|xml| many.iter().try_for_each(|part| polygon(xml, part)))?;
            Ok(())
        }
    }
}

fn polygon(xml: &mut Xml, part: &Polygon<f64>) -> io::Result<()> {
    xml.create_element("Polygon").write_inner_content(|xml| {
        ring(xml, "outerBoundaryIs", part.exterior())?;
        part.interiors().iter().try_for_each(|hole| ring(xml, "innerBoundaryIs", hole))
    })?;
    Ok(())
}

fn ring(xml: &mut Xml, role: &str, ring: &LineString<f64>) -> io::Result<()> {
    let places: Vec<String> = ring.0.iter().map(|at| place(*at)).collect();
    xml.create_element(role).write_inner_content(|xml| {
        xml.create_element("LinearRing").write_inner_content(|xml| text(xml, "coordinates", &places.join(" ")))?;
        Ok(())
    })?;
    Ok(())
}

/// Longitude first. No height: the ground has its own.
fn place(at: Coord<f64>) -> String {
    format!("{:.DECIMALS$},{:.DECIMALS$}", at.x, at.y)
}
