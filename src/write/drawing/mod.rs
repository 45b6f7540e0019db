//! A drawing as one list of areas, lines, discs and texts, in units of the
//! picture. SVG is written from it here, PDF beside the pages of the PDF.
//!
//! How each thing looks stands once, in the tables of pens and letters: the
//! style sheet of the SVG comes from them too.

pub(in crate::write) mod field;
pub(in crate::write) mod frame;
pub(in crate::write) mod labels;
pub(in crate::write) mod runs;
pub(in crate::write) mod signs;

use crate::write::words::escaped;
use geo::{Coord, coord};

/// A color: red, green, blue, a byte each.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::write) struct Color(pub(in crate::write) u32);

pub(in crate::write) const INK: Color = Color(0x1b1a17);
pub(in crate::write) const PLUM: Color = Color(0x4a2545);
pub(in crate::write) const LINE: Color = Color(0xb9b3a2);
pub(in crate::write) const WHITE: Color = Color(0xffffff);
const STRAW: Color = Color(0xf1e6bd);
const GREY: Color = Color(0xc9c9c4);
const STEEL: Color = Color(0x52606a);
const WATER: Color = Color(0x3d6b86);
const NIGHT: Color = Color(0x25323b);

/// What an area is filled with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::write) enum Fill {
    None,
    Flat(Color),
    /// Slanting lines: no litter here.
    Hatch,
    /// A pattern of the overview, by its name.
    Pattern(&'static str),
}

/// How lines and areas look.
#[derive(Debug)]
pub(in crate::write) struct Pen {
    /// Its class in the SVG.
    pub(in crate::write) class: &'static str,
    pub(in crate::write) fill: Fill,
    pub(in crate::write) color: Color,
    /// Zero for no line.
    pub(in crate::write) wide: f64,
    pub(in crate::write) dash: &'static [f64],
}

const fn pen(class: &'static str, fill: Fill, color: Color, wide: f64) -> Pen {
    Pen { class, fill, color, wide, dash: &[] }
}

const fn dashed(class: &'static str, fill: Fill, color: Color, wide: f64, dash: &'static [f64]) -> Pen {
    Pen { class, fill, color, wide, dash }
}

/// Names the pens and lists them for the style sheet.
macro_rules! pens {
    ($($name:ident = $pen:expr;)*) => {
        $(pub(in crate::write) const $name: &Pen = &$pen;)*
        const PENS: &[&Pen] = &[$($name),*];
    };
}

use Fill::{Flat, Hatch, None as Bare, Pattern};

pens! {
    ALL = pen("all", Flat(WHITE), INK, 0.0);
    SPREAD = pen("spread", Flat(STRAW), INK, 1.0);
    IDLE = dashed("idle", Flat(GREY), Color(0x6b675e), 1.0, &[3.0, 2.0]);
    DONE = dashed("done", Flat(WHITE), INK, 1.4, &[1.5, 2.5]);
    OFF = pen("off", Hatch, PLUM, 0.8);
    EDGE = pen("edge", Bare, INK, 2.6);
    RUN = pen("run", Bare, Color(0x7d745a), 0.7);
    THING = dashed("thing", Bare, STEEL, 2.0, &[7.0, 3.0, 1.5, 3.0]);
    DOT = pen("dot", Bare, STEEL, 2.4);
    GO = pen("go", Flat(INK), WHITE, 1.0);
    LOAD = pen("load", Flat(WHITE), INK, 1.3);
    NUMBER = pen("n", Flat(PLUM), WHITE, 1.6);
    PIN = pen("pin", Flat(WHITE), INK, 2.0);
    RULE = pen("rule", Bare, LINE, 1.0);
    NORTH = pen("north", Flat(INK), INK, 0.0);
    BAR = pen("bar", Flat(WHITE), INK, 1.0);
    FULL = pen("fill", Flat(INK), INK, 0.0);
    HEM = pen("hem", Bare, INK, 1.6);
    STREAM = pen("stream", Bare, WATER, 3.6);
    BRANCH = dashed("branch", Bare, WATER, 2.4, &[8.0, 4.0]);
    DITCH = dashed("ditch", Bare, WATER, 1.6, &[2.0, 2.5]);
    ROAD = pen("road", Bare, Color(0x3b3832), 6.0);
    ROAD_IN = pen("road-in", Bare, WHITE, 3.2);
    BOUNDARY = dashed("line", Bare, INK, 1.1, &[10.0, 3.0, 2.0, 3.0, 2.0, 3.0]);
    HOUSE = pen("house", Flat(INK), WHITE, 1.2);
    SPOT = pen("spot", Flat(WHITE), NIGHT, 1.8);
    POND = pen("pond", Pattern("water"), WATER, 1.4);
    ROCK = pen("rock", Pattern("stone"), STEEL, 1.2);
}

/// How letters look.
#[derive(Debug)]
pub(in crate::write) struct Letters {
    pub(in crate::write) class: &'static str,
    pub(in crate::write) size: f64,
    pub(in crate::write) bold: bool,
    pub(in crate::write) color: Color,
    /// A rim that keeps them clear of what lies below.
    pub(in crate::write) rim: Option<Color>,
    /// What only a style sheet can say.
    more: &'static str,
}

const fn letters(class: &'static str, size: f64, bold: bool, color: Color, rim: Option<Color>) -> Letters {
    Letters { class, size, bold, color, rim, more: "" }
}

/// Names the letters and lists them for the style sheet.
macro_rules! type_case {
    ($($name:ident = $letters:expr;)*) => {
        $(pub(in crate::write) const $name: &Letters = &$letters;)*
        const TYPE_CASE: &[&Letters] = &[$($name),*];
    };
}

type_case! {
    BIG_ON = letters("big", 17.0, true, INK, Some(STRAW));
    BIG_IDLE = letters("big none", 17.0, true, INK, Some(GREY));
    RATE_ON = letters("big rate", 13.5, true, INK, Some(STRAW));
    NO = Letters { more: ";letter-spacing:.03em", ..letters("no", 11.0, true, PLUM, Some(WHITE)) };
    BY = letters("by", 12.0, true, INK, Some(WHITE));
    NUMERAL = letters("n", 11.5, true, WHITE, None);
    PIN_LETTER = letters("pin", 12.0, true, INK, None);
    LOAD_NUMBER = letters("load", 9.5, true, INK, None);
    FOOT = letters("foot", 11.5, false, INK, None);
    ROW = letters("row", 12.5, false, INK, None);
    STRONG = letters("row strong", 12.5, true, INK, None);
    HEAD = Letters { more: ";letter-spacing:.05em", ..letters("row strong head", 12.0, true, PLUM, None) };
    LETTER = letters("letter", 13.0, true, INK, None);
    NAME = Letters { more: ";font-weight:600;font-style:italic", ..letters("name", 12.0, false, NIGHT, Some(WHITE)) };
    ID_ON = letters("id on", 16.0, true, INK, Some(STRAW));
    ID_IDLE = letters("id none", 16.0, true, INK, Some(GREY));
    WHAT_ON = letters("what on", 12.0, true, INK, Some(STRAW));
    WHAT_IDLE = letters("what none", 12.0, true, INK, Some(GREY));
}

/// Width of the rim around letters.
pub(in crate::write) const RIM: f64 = 4.0;

/// How a text stands to its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::write) enum Side {
    Left,
    Middle,
    Right,
}

/// Corners, one list a stretch or ring.
pub(in crate::write) type Path = Vec<Vec<Coord<f64>>>;

/// One thing of a drawing.
#[derive(Clone, Debug)]
pub(in crate::write) enum Shape {
    Area(Path, &'static Pen),
    Lines(Path, &'static Pen),
    Disc(Coord<f64>, f64, &'static Pen),
    Text(Coord<f64>, Side, &'static Letters, String),
}

/// A drawing.
#[derive(Clone, Debug)]
pub(in crate::write) struct Drawing {
    /// Tells its hatching from that of other drawings of the file.
    pub(in crate::write) index: usize,
    pub(in crate::write) wide: f64,
    pub(in crate::write) tall: f64,
    pub(in crate::write) shapes: Vec<Shape>,
}

impl Drawing {
    /// What stands inside its `<svg>`, with the hatching.
    pub(in crate::write) fn svg(&self) -> String {
        format!(
            "<defs><pattern id=\"{}\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\" \
             patternTransform=\"rotate(45)\"><rect width=\"6\" height=\"6\" fill=\"{}\"/>\
             <rect width=\"2.2\" height=\"6\" fill=\"{}\"/></pattern></defs>\n{}",
            hatch(self.index),
            css(WHITE),
            css(PLUM),
            svg(&self.shapes, self.index)
        )
    }
}

/// The name of a drawing's hatching.
fn hatch(index: usize) -> String {
    format!("no-spread-{index}")
}

/// Shapes as elements of SVG, with the hatching of the drawing of this index.
pub(in crate::write) fn svg(shapes: &[Shape], index: usize) -> String {
    shapes.iter().map(|shape| element(shape, index)).collect()
}

fn element(shape: &Shape, index: usize) -> String {
    let filled = |pen: &Pen| match pen.fill {
        Hatch => format!(" fill=\"url(#{})\"", hatch(index)),
        Pattern(name) => format!(" fill=\"url(#{name})\""),
        _ => String::new(),
    };
    match shape {
        Shape::Area(path, pen) | Shape::Lines(path, pen) => {
            let end = if matches!(shape, Shape::Area(..)) { "Z" } else { "" };
            let d: String = path.iter().map(|part| written(part) + end).collect();
            if d.is_empty() {
                return d;
            }
            format!("<path class=\"{}\" d=\"{d}\"{}/>\n", pen.class, filled(pen))
        }
        Shape::Disc(at, radius, pen) => {
            let (x, y) = (short(at.x), short(at.y));
            format!("<circle class=\"{}\" cx=\"{x}\" cy=\"{y}\" r=\"{}\"/>\n", pen.class, short(*radius))
        }
        Shape::Text(at, side, letters, text) => {
            let anchor = match side {
                Side::Left => "",
                Side::Middle => " text-anchor=\"middle\"",
                Side::Right => " text-anchor=\"end\"",
            };
            let (class, x, y) = (letters.class, short(at.x), short(at.y));
            format!("<text class=\"{class}\" x=\"{x}\" y=\"{y}\"{anchor}>{}</text>\n", escaped(text))
        }
    }
}

fn written(corners: &[Coord<f64>]) -> String {
    let place =
        |(n, at): (usize, &Coord<f64>)| format!("{}{} {}", if n == 0 { 'M' } else { 'L' }, short(at.x), short(at.y));
    corners.iter().enumerate().map(place).collect()
}

/// A number of the picture, with one decimal.
pub(in crate::write) fn short(value: f64) -> String {
    let text = format!("{value:.1}");
    text.strip_suffix(".0").unwrap_or(&text).to_string()
}

fn css(color: Color) -> String {
    format!("#{:06x}", color.0)
}

/// The style sheet of every pen and letter.
pub(in crate::write) fn style() -> String {
    let mut text = String::new();
    for pen in PENS {
        let fill = match pen.fill {
            Bare => "fill:none".to_string(),
            Flat(color) => format!("fill:{}", css(color)),
            // The element itself names the pattern of its drawing.
            Hatch | Pattern(_) => String::new(),
        };
        text += &format!(".{}{{{fill}", pen.class);
        if pen.wide > 0.0 {
            text += &format!(";stroke:{};stroke-width:{};stroke-linejoin:round", css(pen.color), pen.wide);
        }
        if !pen.dash.is_empty() {
            let dash: Vec<String> = pen.dash.iter().map(f64::to_string).collect();
            text += &format!(";stroke-dasharray:{}", dash.join(" "));
        }
        text += "}\n";
    }
    for set in TYPE_CASE {
        let rim = set.rim.map_or("stroke:none".to_string(), |rim| {
            format!("paint-order:stroke;stroke:{};stroke-width:{RIM}px;stroke-linejoin:round", css(rim))
        });
        let weight = if set.bold { ";font-weight:800" } else { "" };
        let class = set.class.replace(' ', ".");
        text +=
            &format!("text.{class}{{font-size:{}px;fill:{};{rim}{weight}{}}}\n", set.size, css(set.color), set.more);
    }
    text
}

/// Corners around a place, turned clockwise by so many degrees.
pub(in crate::write) fn around(at: Coord<f64>, degrees: f64, corners: &[(f64, f64)]) -> Path {
    let (sin, cos) = degrees.to_radians().sin_cos();
    vec![corners.iter().map(|(x, y)| at + coord! { x: x * cos - y * sin, y: x * sin + y * cos }).collect()]
}

/// A box by its upper left corner.
pub(in crate::write) fn rect(x: f64, y: f64, wide: f64, tall: f64) -> Path {
    around(coord! { x: x, y: y }, 0.0, &[(0.0, 0.0), (wide, 0.0), (wide, tall), (0.0, tall)])
}

/// Shapes moved down and to the right.
pub(in crate::write) fn moved(shapes: Vec<Shape>, by: Coord<f64>) -> Vec<Shape> {
    let path = |path: Path| path.into_iter().map(|part| part.into_iter().map(|at| at + by).collect()).collect();
    let one = |shape| match shape {
        Shape::Area(corners, pen) => Shape::Area(path(corners), pen),
        Shape::Lines(corners, pen) => Shape::Lines(path(corners), pen),
        Shape::Disc(at, radius, pen) => Shape::Disc(at + by, radius, pen),
        Shape::Text(at, side, letters, text) => Shape::Text(at + by, side, letters, text),
    };
    shapes.into_iter().map(one).collect()
}

/// A text with its foot so far below a place.
pub(in crate::write) fn text(at: Coord<f64>, down: f64, side: Side, set: &'static Letters, text: &str) -> Shape {
    Shape::Text(at + coord! { x: 0.0, y: down }, side, set, text.to_string())
}
