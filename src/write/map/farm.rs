//! The overview of the farm: every field on one sheet of ground.

use super::field::{cut_to, rate};
use super::keeps::{self, Line, Name};
use super::legend::Legend;
use crate::check::Ready;
use crate::ground::Plane;
use crate::plan::answer::{FieldPlan, Plan};
use crate::units::number_text;
use crate::write::page::tons;
use crate::write::sheet::frame::{Frame, short};
use crate::write::sheet::labels::{Labels, inside};
use crate::write::sheet::map::{Bar, Mark, Pin, Sight, bar, pinned};
use crate::write::sheet::words::{days, rate_text, xml};
use askama::Template;
use geo::{Coord, MapCoords, MultiPolygon};

/// Width of the picture: on a phone held upright its words are still those of
/// a newspaper.
const WIDTH: f64 = 520.0;
/// Most height of the drawn ground.
const TALLEST: f64 = 620.0;
/// Where the drawing starts, and the height of its foot.
const TOP: f64 = 62.0;
const FOOT: f64 = 38.0;

/// One field on the overview.
struct Drawn {
    boundary: String,
    spread: String,
    zones: Vec<String>,
    idle: bool,
    label: Option<Mark>,
    /// Whether there is room for rate and acres under the id.
    tall: bool,
    id: String,
    rate: String,
    acres: String,
}

#[derive(Template)]
#[template(path = "farm.svg", escape = "html", config = "src/write/sheet/askama.toml")]
struct Picture {
    width: String,
    height: String,
    right: String,
    label: String,
    hatch: &'static str,
    farm: String,
    title_fit: String,
    sub: String,
    fields: Vec<Drawn>,
    things: Vec<Line>,
    signs: Vec<Mark>,
    gates: Vec<Mark>,
    stacks: Vec<Pin>,
    names: Vec<Name>,
    foot: String,
    bar: Bar,
    legend: Legend,
}

/// The ground of the whole farm: one plane for it, and a frame around it.
pub(super) struct Whole<'a> {
    pub(super) plane: Plane,
    pub(super) frame: Frame,
    pub(super) ready: &'a Ready,
    pub(super) sights: &'a [Sight<'a>],
}

impl Whole<'_> {
    /// A shape on a field's plane, in feet on the plane of the farm.
    fn carried(&self, shape: &MultiPolygon<f64>, from: &Plane) -> MultiPolygon<f64> {
        shape.map_coords(|at| self.plane.to_feet(from.to_lonlat(at)))
    }

    /// A place in longitude and latitude, in the picture.
    pub(super) fn at(&self, place: Coord<f64>) -> Coord<f64> {
        self.frame.at(self.plane.to_feet(place))
    }
}

/// The overview; `alone` where nothing else tells acres and rates.
pub(super) fn draw(plan: &Plan, ready: &Ready, sights: &[Sight<'_>], alone: bool) -> String {
    // A checked farm has fields with ground; should it ever not, there is no map.
    whole(ready, sights).map(|whole| picture(plan, &whole, alone)).unwrap_or_default()
}

fn whole<'a>(ready: &'a Ready, sights: &'a [Sight<'a>]) -> Option<Whole<'a>> {
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
    let mark = |at: Coord<f64>| Mark { x: short(at.x), y: short(at.y), text: String::new() };
    let seen = |place: Coord<f64>| Some(whole.at(place)).filter(|at| frame.holds(*at));
    let gates: Vec<Coord<f64>> = whole.ready.fields.iter().filter_map(|f| f.gate).filter_map(seen).collect();
    gates.iter().for_each(|at| labels.take(*at, 15.0, 15.0));
    for at in whole.ready.lots.iter().filter_map(|l| l.stack).filter_map(seen) {
        labels.take(at, 20.0, 20.0);
    }
    let signs = keeps::signs(whole, &mut labels);
    let fields = whole.sights.iter().map(|s| field(whole, s, &mut labels)).collect();
    let stacks = stacks(whole, &mut labels);
    let (names, lettered) = keeps::names(whole, &mut labels);
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
    let picture = Picture {
        width: short(WIDTH),
        height: short(legend.bottom + 10.0),
        right: short(WIDTH - 10.0),
        label: xml(&format!("Map of {}, north up", plan.farm)),
        hatch: "no-spread",
        title_fit: if farm.chars().count() as f64 * 11.6 > wide { short(wide) } else { String::new() },
        farm,
        sub: xml(&format!("Where litter goes, {}, {}", days(plan.from, plan.to), plan.place_name)),
        fields,
        things: keeps::lines(whole),
        signs,
        gates: gates.into_iter().map(mark).collect(),
        stacks,
        names,
        foot: short(frame.height),
        bar: bar(frame),
        legend,
    };
    // Writing to a string does not fail.
    picture.render().unwrap_or_default()
}

fn field(whole: &Whole<'_>, sight: &Sight<'_>, labels: &mut Labels) -> Drawn {
    let (plan, cut) = (sight.plan, &sight.surveyed.cut);
    let frame = &whole.frame;
    let carried = |shape: &MultiPolygon<f64>| whole.carried(shape, &cut.plane);
    let (boundary, spread) = (carried(&cut.boundary), carried(&cut.spreadable));
    let idle = plan.applications.is_empty();
    let id = cut_to(&xml(&plan.id), 10);
    let rate = if idle { "no litter".to_string() } else { rates(plan) };
    let letters = id.chars().count().max(rate.chars().count()).max(8) as f64;
    // Where nothing is left to spread on, the words stand in the field.
    let mut places = inside(&spread);
    if places.is_empty() {
        places = inside(&boundary);
    }
    let drawn = || places.iter().map(|p| frame.at(*p));
    let tall = labels.first_free(drawn(), 6.4 * letters, 44.0);
    let spot = tall.or_else(|| labels.first_free(drawn(), 11.0 * id.chars().count() as f64, 16.0));
    let spot = spot.or_else(|| drawn().next());
    Drawn {
        boundary: frame.rings(&boundary),
        spread: frame.rings(&spread),
        zones: cut.zones.iter().map(|z| frame.rings(&carried(&z.shape))).collect(),
        idle,
        label: spot.map(|at| Mark { x: short(at.x), y: short(at.y), text: String::new() }),
        tall: tall.is_some(),
        id,
        rate,
        acres: format!("{} ac", number_text(plan.acres, 2)),
    }
}

/// `2.25 t/ac`, of each application.
fn rates(plan: &FieldPlan) -> String {
    rate(plan).replace(" tons/ac", " t/ac")
}

fn stacks(whole: &Whole<'_>, labels: &mut Labels) -> Vec<Pin> {
    let lots = whole.ready.lots.iter().filter_map(|l| Some((l, whole.plane.to_feet(l.stack?))));
    lots.filter(|(_, at)| whole.frame.holds(whole.frame.at(*at)))
        .map(|(lot, at)| pinned(&whole.frame, labels, at, cut_to(&xml(&lot.id), 16)))
        .collect()
}

fn field_rows(legend: &mut Legend, plan: &Plan, whole: &Whole<'_>) {
    legend.head("FIELDS", "acres to spread");
    for sight in whole.sights {
        let field = sight.plan;
        let title = format!("{} {}", field.id, field.name);
        let acres = number_text(field.acres, 2);
        let each: Vec<String> = if field.applications.is_empty() {
            let why = field.why_none().join(". ");
            vec![format!("No litter: {why}")]
        } else {
            let one = |a: &crate::plan::answer::Application| {
                format!(
                    "{} tons/ac of {}, {}: {} tons",
                    rate_text(a.rate),
                    a.lot,
                    days(a.first, a.last),
                    tons(a.pounds)
                )
            };
            field.applications.iter().map(one).collect()
        };
        let mut parts: Vec<(&str, bool)> = vec![(&title, true)];
        parts.extend(each.iter().map(|text| (text.as_str(), false)));
        legend.push(if field.applications.is_empty() { "idle" } else { "spread" }, "", &parts, &acres);
    }
    let sum = |litter: bool| {
        let of = plan.fields.iter().filter(|f| f.applications.is_empty() != litter);
        number_text(of.map(|f| f.acres).sum(), 2)
    };
    legend.push("", "", &[("All fields that get litter", true)], &sum(true));
}

fn sign_rows(legend: &mut Legend, whole: &Whole<'_>) {
    legend.head("SIGNS", "");
    legend.push("spread", "", &[("spreadable ground, with its rate and acres", false)], "");
    if whole.sights.iter().any(|s| s.plan.applications.is_empty()) {
        legend.push("idle", "", &[("no litter in this plan", false)], "");
    }
    legend.push("off", "", &[("no spread: too near to something below", false)], "");
    legend.push("gate", "", &[("gate of a field", false)], "");
    if whole.ready.lots.iter().any(|l| l.stack.is_some()) {
        legend.push("stack", "", &[("stack, with the name of its lot", false)], "");
    }
}
