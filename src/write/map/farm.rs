//! The overview of the farm: every field on one sheet of ground.

use super::field::{cut_to, rate};
use super::keeps;
use super::legend::Legend;
use super::whole::Whole;
use crate::check::Ready;
use crate::ground::Plane;
use crate::plan::answer::{Application, FieldPlan, Plan};
use crate::units::{number_text, rate_text};
use crate::write::drawing::field::beside_pin;
use crate::write::drawing::frame::Frame;
use crate::write::drawing::labels::{Labels, inside};
use crate::write::drawing::signs;
use crate::write::drawing::{
    ALL, DONE, Drawing, HEM, ID_IDLE, ID_ON, OFF, RULE, Shape, Side, WHAT_IDLE, WHAT_ON, short, style, svg, text,
};
use crate::write::page::tons;
use crate::write::sight::FieldSight;
use crate::write::words::{days, en, xml};
use askama::Template;
use geo::{Coord, MultiPolygon, coord};

/// Width of the picture: on a phone held upright its words are still those of
/// a newspaper.
const WIDTH: f64 = 520.0;
/// Most height of the drawn ground.
const TALLEST: f64 = 620.0;
/// Where the drawing starts, and the height of its foot.
const TOP: f64 = 62.0;
const FOOT: f64 = 38.0;

#[derive(Template)]
#[template(path = "farm.svg", escape = "html", config = "src/write/askama.toml")]
struct Overview {
    width: String,
    height: String,
    right: String,
    label: String,
    farm: String,
    title_fit: String,
    sub: String,
    style: String,
    drawing: String,
    legend: String,
}

/// The overview; `alone` where nothing else tells acres and rates.
pub(super) fn draw(plan: &Plan, ready: &Ready, sights: &[FieldSight<'_>], alone: bool) -> String {
    // A checked farm has fields with ground; should it ever not, there is no map.
    whole(ready, sights).map(|whole| picture(plan, &whole, alone)).unwrap_or_default()
}

fn whole<'a>(ready: &'a Ready, sights: &'a [FieldSight<'a>]) -> Option<Whole<'a>> {
    let all: MultiPolygon<f64> = ready.fields.iter().flat_map(|f| f.shape.iter().cloned()).collect();
    let plane = Plane::for_shape(&all)?;
    let spots: Vec<Coord<f64>> = ready
        .fields
        .iter()
        .filter_map(|f| f.gate)
        .chain(ready.lots.iter().filter_map(|l| l.stack))
        .chain(keeps::spots(ready))
        .map(|at| plane.to_feet(at))
        .collect();
    let frame = Frame::sized(&plane.shape_to_feet(&all), &spots, WIDTH, TALLEST)?;
    Some(Whole { plane, frame, ready, sights })
}

fn picture(plan: &Plan, whole: &Whole<'_>, alone: bool) -> String {
    let frame = &whole.frame;
    let mut labels = Labels::new(frame);
    let seen = |place: Coord<f64>| Some(whole.at(place)).filter(|at| frame.holds(*at));
    let gates: Vec<Coord<f64>> = whole.ready.fields.iter().filter_map(|f| f.gate).filter_map(seen).collect();
    gates.iter().for_each(|at| labels.take(*at, 15.0, 15.0));
    let stacks = whole.ready.lots.iter().filter_map(|l| Some((l, seen(l.stack?)?)));
    stacks.clone().for_each(|(_, at)| labels.take(at, 20.0, 20.0));
    let signs = keeps::signs(whole, &mut labels);
    let (mut shapes, mut ids) = (Vec::new(), Vec::new());
    for sight in whole.sights {
        shapes.extend(ground(whole, sight));
        ids.extend(id(whole, sight, &mut labels));
    }
    shapes.extend(keeps::lines(whole).into_iter().chain(signs));
    shapes.extend(gates.iter().flat_map(|at| signs::gate(*at, 6.5)));
    for (lot, at) in stacks {
        shapes.extend(signs::stack(at));
        shapes.push(beside_pin(&mut labels, at, &cut_to(&xml(&lot.id), 16)));
    }
    let (names, lettered) = keeps::names(whole, &mut labels);
    shapes.extend(names.into_iter().chain(ids).chain(signs::foot(frame)));
    let below = [0.0, WIDTH].map(|x| coord! { x: x, y: frame.height + FOOT });
    shapes.push(Shape::Lines(vec![below.to_vec()], RULE));
    let mut legend = Legend::below(TOP + frame.height + FOOT + 2.0, WIDTH);
    if alone {
        field_rows(&mut legend, plan, whole);
    }
    sign_rows(&mut legend, whole);
    keeps::rows(&mut legend, whole, &lettered);
    if alone {
        let closing = format!("{} The field maps give every distance and run.", plan.decides);
        legend.push("", "", &[(&closing, false)], "");
    }
    let farm = cut_to(&xml(&plan.farm), 60);
    let wide = WIDTH - 28.0;
    let picture = Overview {
        width: short(WIDTH),
        height: short(legend.bottom + 10.0),
        right: short(WIDTH - 10.0),
        label: xml(&format!("Map of {}, north up", plan.farm)),
        title_fit: if farm.chars().count() as f64 * 11.6 > wide { short(wide) } else { String::new() },
        farm,
        sub: xml(&format!("Where litter goes, {}, {}", days(plan.from, plan.to), plan.place_name)),
        style: style(),
        drawing: Drawing { index: 1, wide: WIDTH, tall: frame.height + FOOT, shapes }.svg(),
        legend: svg(&legend.shapes, 1),
    };
    // Writing to a string does not fail.
    picture.render().unwrap_or_default()
}

/// The ground of a field, and where no litter goes on it.
fn ground(whole: &Whole<'_>, sight: &FieldSight<'_>) -> Vec<Shape> {
    let cut = &sight.surveyed.cut;
    let carried = |shape: &MultiPolygon<f64>| whole.frame.rings(&whole.carried(shape, &cut.plane));
    let mut shapes = vec![
        Shape::Area(carried(&cut.boundary), ALL),
        Shape::Area(carried(&cut.spreadable), signs::ground(sight.plan.applications.is_empty())),
    ];
    shapes.extend(sight.part().map(|part| Shape::Area(carried(&part.done), DONE)));
    shapes.extend(cut.zones.iter().map(|z| Shape::Area(carried(&z.shape), OFF)));
    shapes.push(Shape::Area(carried(&cut.boundary), HEM));
    shapes
}

/// The id of a field, with rate and acres below it where there is room.
fn id(whole: &Whole<'_>, sight: &FieldSight<'_>, labels: &mut Labels) -> Vec<Shape> {
    let (plan, cut) = (sight.plan, &sight.surveyed.cut);
    let idle = plan.applications.is_empty();
    let id = cut_to(&xml(&plan.id), 10);
    let rate = if idle { "no litter".to_string() } else { rates(plan) };
    let letters = id.chars().count().max(rate.chars().count()).max(8) as f64;
    // Where nothing is left to spread on, the words stand in the field.
    let mut places = inside(&whole.carried(&cut.spreadable, &cut.plane));
    if places.is_empty() {
        places = inside(&whole.carried(&cut.boundary, &cut.plane));
    }
    let drawn = || places.iter().map(|p| whole.frame.at(*p));
    let tall = labels.first_free(drawn(), 6.4 * letters, 44.0);
    let spot = tall.or_else(|| labels.first_free(drawn(), 11.0 * id.chars().count() as f64, 16.0));
    let Some(at) = spot.or_else(|| drawn().next()) else { return Vec::new() };
    let (big, small) = if idle { (ID_IDLE, WHAT_IDLE) } else { (ID_ON, WHAT_ON) };
    let line = |down, set, what: &str| text(at, down, Side::Middle, set, what);
    if tall.is_none() {
        return vec![line(5.0, big, &id)];
    }
    let acres = en::acres(number_text(plan.acres, 2));
    vec![line(-7.0, big, &id), line(7.0, small, &rate), line(20.0, small, &acres)]
}

/// `2.25 t/ac`, of each application.
fn rates(plan: &FieldPlan) -> String {
    rate(plan).replace(" tons/ac", " t/ac")
}

fn field_rows(legend: &mut Legend, plan: &Plan, whole: &Whole<'_>) {
    legend.head("FIELDS", "acres to spread");
    for sight in whole.sights {
        let field = sight.plan;
        let title = format!("{} {}", field.id, field.name);
        let acres = if field.applications.is_empty() { field.acres } else { field.acres_spread() };
        let acres = number_text(acres, 2);
        let each: Vec<String> = if field.applications.is_empty() {
            let why = field.why_none().join(". ");
            vec![format!("No litter: {why}")]
        } else {
            let one = |a: &Application| {
                format!(
                    "{} tons/ac of {}, {}: {} tons",
                    rate_text(a.rate),
                    a.lot,
                    days(a.starts(), a.last),
                    tons(a.pounds)
                )
            };
            field.applications.iter().map(one).collect()
        };
        let mut parts: Vec<(&str, bool)> = vec![(&title, true)];
        parts.extend(each.iter().map(|text| (text.as_str(), false)));
        let part = field.part_beside_why();
        parts.extend(part.iter().map(|text| (text.as_str(), false)));
        legend.push(if field.applications.is_empty() { "idle" } else { "spread" }, "", &parts, &acres);
    }
    let acres = number_text(plan.fields.iter().map(FieldPlan::acres_spread).sum(), 2);
    legend.push("", "", &[("All fields that get litter", true)], &acres);
}

fn sign_rows(legend: &mut Legend, whole: &Whole<'_>) {
    legend.head("SIGNS", "");
    legend.push("spread", "", &[("spreadable ground, with its rate and acres", false)], "");
    if whole.sights.iter().any(|s| s.plan.part.is_some()) {
        legend.push("done", "", &[("ground of a field that is done: keep off until the day its row names", false)], "");
    }
    if whole.sights.iter().any(|s| s.plan.applications.is_empty()) {
        legend.push("idle", "", &[("no litter in this plan", false)], "");
    }
    legend.push("off", "", &[("no spread: too near to something below", false)], "");
    legend.push("gate", "", &[("gate of a field", false)], "");
    if whole.ready.lots.iter().any(|l| l.stack.is_some()) {
        legend.push("stack", "", &[("stack, with the name of its lot", false)], "");
    }
}
