//! Driving a field: which way the runs go, and where each load runs out.
//!
//! The runs are laid with [`ground::passes()`], one piece of ground after the
//! other. No time is calculated: a farm gives no speed. Headlands are not laid
//! out either; every run goes to the edge of the ground to spread on, or ends before it where
//! half a swath would lie over ground that litter must keep away from.
//!
//! Where whole swaths do not fit, what is left at one side gets a run that throws on that alone, or
//! none where it is too narrow to be thrown on: then it is told with its acres. Of the two sides on
//! which it may lie, and of headings along a fence with as few runs, the one is taken that leaves less
//! ground without litter, else the one that throws less outside of the ground.
//!
//! Nothing is thrown on ground that has its litter: there a run ends before what it throws reaches it.
//!
//! The tons of a spreading are those of the acres to spread on, and runs seldom throw on just so
//! many: a last strip is narrower than the swath, corners stay, a slanted end hangs over. So the
//! rate over the runs is never more than that of the spreading. What it takes less than the tons
//! is left for ground that no run reaches; where runs throw on more ground, the tons are spread
//! over all of it, a little thinner.

use crate::balance::Surveyed;
use crate::check::{Field, Ready};
use crate::farm::Heading;
use crate::ground::{self, LeftStrip, Passes, Run, SQUARE_FEET_PER_ACRE, feet_per_load};
use crate::units::{Pounds, Quantity};
use geo::{Coord, Distance, Euclidean, MinimumRotatedRect, MultiPolygon, Point, Polygon};

/// A rest of a load that covers less than this share of an acre is rounding, not a load.
const SLACK_ACRES: f64 = 1e-5;
/// A run this much narrower than the swath is one that the driver must know of.
const NARROWER_FT: f64 = 0.5;
/// So few acres that two decimals hardly show them.
const UNSEEN_ACRES: f64 = 0.005;
/// So little that two decimals of a ton do not show it.
const UNSEEN: Pounds = Pounds(10);

/// What is spread on a field at once.
#[derive(Clone, Debug, PartialEq)]
pub struct Spreading {
    /// Which of the field's applications.
    pub job: usize,
    /// Rate in tons per acre.
    pub rate: f64,
    /// Litter in whole pounds.
    pub pounds: Pounds,
}

/// The runs over one field.
#[derive(Clone, Debug, PartialEq)]
pub struct Driving {
    /// Id of the field.
    pub field: String,
    /// Distance between runs, in feet.
    pub swath_ft: f64,
    /// What decides the headings: the fewest runs, or the grower.
    pub heading_by: &'static str,
    /// The pieces of ground in the order in which they are driven; never empty.
    pub pieces: Vec<Passes>,
    /// All runs, in number.
    pub runs: usize,
    /// Feet of all runs, turns not counted.
    pub run_ft: f64,
    /// Turns between runs of one piece.
    pub turns: usize,
    /// Acres that the runs throw on: length by width, what hangs over an edge too.
    pub thrown_acres: f64,
    /// Acres of the ground that they cover; none where that could not be measured.
    pub reached_acres: Option<f64>,
    /// Acres of the ground that they miss; none where that could not be measured.
    pub missed_acres: Option<f64>,
    /// Strips that get no run, too narrow to be thrown on.
    pub left: Vec<Left>,
    /// Where the loads run out, one for each spreading, in their order.
    pub loads: Vec<Loads>,
}

/// A strip at the side of a piece of ground that stays without litter.
#[derive(Clone, Debug, PartialEq)]
pub struct Left {
    /// Its width in feet.
    pub feet: f64,
    /// The side on which it lies, as an eighth of the compass.
    pub way: &'static str,
    /// Acres of ground to spread on in it.
    pub acres: f64,
}

/// The loads of one spreading.
#[derive(Clone, Debug, PartialEq)]
pub struct Loads {
    /// Which of the field's applications.
    pub job: usize,
    /// Tons per acre of the spreading.
    pub asked: f64,
    /// Tons per acre over the runs: the same, or less where they throw on more acres than the
    /// spreading has.
    pub rate: f64,
    /// What goes on with the runs.
    pub on_runs: Pounds,
    /// What is left for ground that no run reaches; nothing where that is too little to show.
    pub left: Option<Pounds>,
    /// Feet of runs of a whole swath that a full load covers.
    pub feet_per_load: f64,
    /// Where each load ends; the last one with the last run.
    pub ends: Vec<LoadEnd>,
}

/// The end of one load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadEnd {
    /// Number of the load, from 1.
    pub load: usize,
    /// Number of the run, from 1, in the order of driving.
    pub run: usize,
    /// Feet along that run, from where it starts.
    pub feet: f64,
    /// The spot on the field's plane, in feet.
    pub at: Coord<f64>,
    /// The spot in longitude and latitude.
    pub place: Coord<f64>,
    /// False when the runs end before the load does: the rest of it is [`Loads::left`].
    pub empty: bool,
}

impl Driving {
    /// All runs in the order and direction of driving, in feet on the field's
    /// plane.
    pub fn lines(&self) -> impl Iterator<Item = [Coord<f64>; 2]> {
        self.each().map(|run| run.line)
    }

    /// All runs in the order of driving.
    pub fn each(&self) -> impl Iterator<Item = &Run> {
        self.pieces.iter().flat_map(|piece| piece.runs.iter())
    }

    /// Runs that cover less than the swath, with their numbers from 1.
    pub fn narrow(&self) -> impl Iterator<Item = (usize, &Run)> {
        let numbered = self.each().enumerate().map(|(at, run)| (at + 1, run));
        numbered.filter(|(_, run)| self.swath_ft - run.throw_ft() >= NARROWER_FT)
    }

    /// The same for some of the field's applications alone, numbered anew; none where it has none of them.
    #[must_use]
    pub fn of_jobs(&self, jobs: &[usize]) -> Option<Driving> {
        let own = |loads: &Loads| {
            let job = jobs.iter().position(|at| *at == loads.job)?;
            Some(Loads { job, ..loads.clone() })
        };
        let loads: Vec<Loads> = self.loads.iter().filter_map(own).collect();
        (!loads.is_empty()).then(|| Driving { loads, ..self.clone() })
    }

    /// The loads of one of the field's applications.
    #[must_use]
    pub fn loads_of(&self, job: usize) -> Option<&Loads> {
        self.loads.iter().find(|loads| loads.job == job)
    }
}

/// Lays the runs over a field for what is spread there; none when nothing is,
/// or when no run fits.
#[must_use]
pub fn driving(ready: &Ready, surveyed: &Surveyed, spreadings: &[Spreading]) -> Option<Driving> {
    driving_beside(ready, surveyed, spreadings, None)
}

/// The same beside ground that has its litter, in feet on the field's plane: nothing is thrown on that.
#[must_use]
pub fn driving_beside(
    ready: &Ready,
    surveyed: &Surveyed,
    spreadings: &[Spreading],
    done: Option<&MultiPolygon<f64>>,
) -> Option<Driving> {
    if spreadings.is_empty() {
        return None;
    }
    let field: &Field = &surveyed.field;
    let swath_ft = ready.spreader.swath.value.get();
    let asked = field.written.heading.as_ref().map(|h| h.value);
    let pieces = pieces(ready, surveyed, done);
    let mut driving = Driving {
        field: field.id().to_string(),
        swath_ft,
        heading_by: match asked {
            Some(Heading::Degrees(_)) => "the grower's heading",
            Some(Heading::PartLine(_)) => "the line between the parts",
            Some(Heading::LongSide) => "the grower's long side",
            None => "fewest runs",
        },
        runs: pieces.iter().map(|p| p.runs.len()).sum(),
        run_ft: pieces.iter().fold(0.0, |sum, p| sum + p.run_ft),
        turns: pieces.iter().map(|p| p.turns).sum(),
        thrown_acres: 0.0,
        reached_acres: None,
        missed_acres: None,
        left: pieces.iter().filter_map(|p| left_on(surveyed, p.left.as_ref()?)).collect(),
        loads: Vec::new(),
        pieces,
    };
    if driving.runs == 0 {
        return None;
    }
    driving.thrown_acres = driving.each().fold(0.0, |sum, run| sum + run.square_feet()) / SQUARE_FEET_PER_ACRE;
    driving.reached_acres = ground::acres_reached(&surveyed.cut.spreadable, driving.each()).ok();
    driving.missed_acres = driving.reached_acres.map(|reached| (surveyed.cut.acres - reached).max(0.0));
    let load = ready.spreader.load.value.get();
    driving.loads = spreadings.iter().filter_map(|s| loads(&driving, s, load, surveyed)).collect();
    Some(driving)
}

/// The runs on each piece of ground of a field, in the order in which they are driven.
pub(super) fn pieces(ready: &Ready, surveyed: &Surveyed, done: Option<&MultiPolygon<f64>>) -> Vec<Passes> {
    let asked = surveyed.field.written.heading.as_ref().map(|h| h.value);
    let laid = surveyed.cut.spreadable.iter().map(|part| (part, piece(part, surveyed, ready, asked, done)));
    let laid: Vec<(&Polygon<f64>, Passes)> = laid.filter(|(_, passes)| !passes.runs.is_empty()).collect();
    let from = surveyed.field.gate.map(|gate| surveyed.cut.plane.to_feet(gate));
    in_order(laid, from)
}

/// A strip without a run, where there is ground in it that is worth telling of.
fn left_on(surveyed: &Surveyed, strip: &LeftStrip) -> Option<Left> {
    let acres = ground::acres_on(&surveyed.cut.spreadable, &MultiPolygon(vec![strip.strip.clone()])).ok()?;
    (acres >= UNSEEN_ACRES).then_some(Left { feet: strip.feet, way: strip.way, acres })
}

fn piece(
    part: &Polygon<f64>,
    surveyed: &Surveyed,
    ready: &Ready,
    asked: Option<Heading>,
    done: Option<&MultiPolygon<f64>>,
) -> Passes {
    let swath_ft = ready.spreader.swath.value.get();
    let heading = match asked {
        Some(Heading::Degrees(degrees) | Heading::PartLine(degrees)) => Some(degrees),
        Some(Heading::LongSide) => long_side(part),
        None => None,
    };
    let ground = MultiPolygon(vec![part.clone()]);
    let off = || surveyed.cut.zones.iter().map(|zone| &zone.shape);
    let laid = ground::passes(&ground, swath_ft, heading, ready.least_strip_ft);
    let clear = laid.into_iter().map(|laid| laid.clear_of(off(), swath_ft).off_done(done.into_iter(), swath_ft));
    let mut tried = clear.map(|laid| Tried::of(laid, &ground));
    let first = tried.next().unwrap_or_default();
    // Beside ground that has its litter runs at a slant to its edge leave corners: one more is worth it.
    let most = first.laid.runs.len() + usize::from(done.is_some());
    tried.fold(first, |best, other| if other.is_better(&best, most) { other } else { best }).laid
}

/// Runs that were tried on a piece of ground.
#[derive(Default)]
struct Tried {
    laid: Passes,
    /// Acres of the ground that they cover.
    reached: f64,
    /// Acres that they throw outside of it.
    outside: f64,
}

impl Tried {
    fn of(laid: Passes, ground: &MultiPolygon<f64>) -> Tried {
        let reached = ground::acres_reached(ground, laid.runs.iter()).unwrap_or(0.0);
        let thrown = laid.runs.iter().fold(0.0, |sum, run| sum + run.square_feet()) / SQUARE_FEET_PER_ACRE;
        Tried { outside: (thrown - reached).max(0.0), laid, reached }
    }

    /// Whether it leaves less ground without litter, or as little with as few runs and throws less outside
    /// of it. Another heading must keep to the most runs.
    fn is_better(&self, best: &Tried, most: usize) -> bool {
        let runs = self.laid.runs.len();
        let same_way = self.laid.heading_deg.total_cmp(&best.laid.heading_deg).is_eq();
        let more = self.reached > best.reached + UNSEEN_ACRES;
        let as_much = self.reached > best.reached - UNSEEN_ACRES;
        let less_outside = self.outside < best.outside - UNSEEN_ACRES;
        (more && (same_way || runs <= most)) || (as_much && less_outside && runs <= best.laid.runs.len())
    }
}

/// Heading of the longer side of the smallest rectangle around a piece of
/// ground, to the hundredth of a degree.
fn long_side(part: &Polygon<f64>) -> Option<f64> {
    let around = part.minimum_rotated_rect()?;
    let sides = around.exterior().lines().map(|side| side.end - side.start);
    let longest = sides.max_by(|a, b| a.x.hypot(a.y).total_cmp(&b.x.hypot(b.y)))?;
    let degrees = longest.x.atan2(longest.y).to_degrees().rem_euclid(180.0);
    Some((degrees * 100.0).round() / 100.0)
}

/// The pieces one after the other: first the one next to the gate, then always
/// the next one to where the last run ended; each started from the nearer of
/// its two ends.
fn in_order(mut laid: Vec<(&Polygon<f64>, Passes)>, gate: Option<Coord<f64>>) -> Vec<Passes> {
    let mut here = gate;
    let mut pieces: Vec<Passes> = Vec::new();
    while !laid.is_empty() {
        let far = |part: &Polygon<f64>| here.map_or(0.0, |at| Euclidean.distance(&Point(at), part));
        let next = laid.iter().enumerate().min_by(|(_, (a, _)), (_, (b, _))| far(a).total_cmp(&far(b)));
        let Some(next) = next.map(|(at, _)| at) else { break };
        let (_, mut piece) = laid.remove(next);
        let ends = |p: &Passes| Some((p.runs.first()?.line[0], p.runs.last()?.line[1]));
        if let (Some(at), Some((start, end))) = (here, ends(&piece))
            && apart(at, end) < apart(at, start)
        {
            piece.turn_round();
        }
        here = ends(&piece).map(|(_, end)| end).or(here);
        pieces.push(piece);
    }
    pieces
}

fn apart(a: Coord<f64>, b: Coord<f64>) -> f64 {
    (b.x - a.x).hypot(b.y - a.y)
}

/// Where the loads of one spreading end on the runs.
fn loads(driving: &Driving, spreading: &Spreading, load_tons: f64, surveyed: &Surveyed) -> Option<Loads> {
    let Spreading { job, rate: asked, pounds } = *spreading;
    let thrown = driving.thrown_acres;
    let taken = Pounds::from_tons_down(asked * thrown);
    let left = Some(pounds - taken).filter(|left| *left >= UNSEEN);
    let on_runs = left.map_or(pounds, |left| pounds - left);
    let rate = (on_runs.tons() / thrown).min(asked);
    let feet_per_load = feet_per_load(load_tons, rate, driving.swath_ft)?;
    let mut found = Loads { job, asked, rate, on_runs, left, feet_per_load, ends: Vec::new() };
    let (a_load, in_all) = (load_tons / rate, on_runs.tons() / rate);
    let (mut driven, mut load) = (0.0, 1);
    let mut target = a_load.min(in_all);
    let mut last = None;
    for (at, run) in driving.each().enumerate() {
        let ([from, to], length, acres) = (run.line, run.feet(), run.square_feet() / SQUARE_FEET_PER_ACRE);
        let end = |load: usize, share: f64, empty: bool| {
            let at_place = from + (to - from) * share;
            let place = surveyed.cut.plane.to_lonlat(at_place);
            LoadEnd { load, run: at + 1, feet: length * share, at: at_place, place, empty }
        };
        while target <= driven + acres && target > driven {
            let ends_all = target + SLACK_ACRES >= in_all;
            found.ends.push(end(load, ((target - driven) / acres).clamp(0.0, 1.0), !ends_all || left.is_none()));
            if ends_all {
                return Some(found);
            }
            load += 1;
            target = (target + a_load).min(in_all);
        }
        driven += acres;
        last = Some(end(load, 1.0, left.is_none()));
    }
    found.ends.extend(last);
    Some(found)
}
