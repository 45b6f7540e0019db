//! Driving a field: which way the runs go, and where each load runs out.
//!
//! The runs are laid with [`ground::passes()`], one piece of ground after the
//! other. No time is calculated: a farm gives no speed. Headlands are not laid
//! out either; every run goes to the edge of the ground to spread on, or ends before it where
//! half a swath would lie over ground that litter must keep away from.

use crate::balance::Surveyed;
use crate::check::{Field, Ready};
use crate::farm::Heading;
use crate::ground::{self, Passes, feet_per_load};
use crate::units::{Pounds, Quantity};
use geo::{Coord, Distance, Euclidean, MinimumRotatedRect, MultiPolygon, Point, Polygon};

/// A rest of a load that covers less than this is rounding, not a load.
const SLACK_FT: f64 = 0.01;

/// What is spread on a field at once.
#[derive(Clone, Debug, PartialEq)]
pub struct Spreading {
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
    /// Where the loads run out, one for each spreading, in their order.
    pub loads: Vec<Loads>,
}

/// The loads of one spreading.
#[derive(Clone, Debug, PartialEq)]
pub struct Loads {
    /// Feet of runs that a full load covers.
    pub feet_per_load: f64,
    /// Where each load ends. The last one ends where its litter does, or with
    /// the last run, whichever comes first.
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
    /// False when the runs end before the load does.
    pub empty: bool,
}

impl Driving {
    /// All runs in the order and direction of driving, in feet on the field's
    /// plane.
    pub fn lines(&self) -> impl Iterator<Item = [Coord<f64>; 2]> {
        self.pieces.iter().flat_map(|piece| piece.lines.iter().copied())
    }
}

/// Lays the runs over a field for what is spread there; none when nothing is,
/// or when no run fits.
#[must_use]
pub fn driving(ready: &Ready, surveyed: &Surveyed, spreadings: &[Spreading]) -> Option<Driving> {
    if spreadings.is_empty() {
        return None;
    }
    let field: &Field = &surveyed.field;
    let swath_ft = ready.spreader.swath.value.get();
    let asked = field.written.heading.as_ref().map(|h| h.value);
    let off = || surveyed.cut.zones.iter().map(|zone| &zone.shape);
    let laid =
        surveyed.cut.spreadable.iter().map(|part| (part, piece(part, swath_ft, asked).clear_of(off(), swath_ft)));
    let laid: Vec<(&Polygon<f64>, Passes)> = laid.filter(|(_, passes)| !passes.lines.is_empty()).collect();
    let from = field.gate.map(|gate| surveyed.cut.plane.to_feet(gate));
    let pieces = in_order(laid, from);
    let mut driving = Driving {
        field: field.id().to_string(),
        swath_ft,
        heading_by: match asked {
            Some(Heading::Degrees(_)) => "the grower's heading",
            Some(Heading::LongSide) => "the grower's long side",
            None => "fewest runs",
        },
        runs: pieces.iter().map(|p| p.lines.len()).sum(),
        run_ft: pieces.iter().fold(0.0, |sum, p| sum + p.run_ft),
        turns: pieces.iter().map(|p| p.turns).sum(),
        loads: Vec::new(),
        pieces,
    };
    if driving.runs == 0 {
        return None;
    }
    let load = ready.spreader.load.value.get();
    driving.loads = spreadings.iter().filter_map(|s| loads(&driving, s, load, surveyed)).collect();
    Some(driving)
}

fn piece(part: &Polygon<f64>, swath_ft: f64, asked: Option<Heading>) -> Passes {
    let heading = match asked {
        Some(Heading::Degrees(degrees)) => Some(degrees),
        Some(Heading::LongSide) => long_side(part),
        None => None,
    };
    ground::passes(&MultiPolygon(vec![part.clone()]), swath_ft, heading)
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
        let ends = |p: &Passes| Some((p.lines.first()?[0], p.lines.last()?[1]));
        if let (Some(at), Some((start, end))) = (here, ends(&piece))
            && apart(at, end) < apart(at, start)
        {
            piece.lines.reverse();
            piece.lines.iter_mut().for_each(|line| line.reverse());
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
    let feet_per_load = feet_per_load(load_tons, spreading.rate, driving.swath_ft)?;
    let feet_in_all = spreading.pounds.tons() / load_tons * feet_per_load;
    let mut ends: Vec<LoadEnd> = Vec::new();
    let (mut driven, mut load) = (0.0, 1);
    let mut target = feet_per_load.min(feet_in_all);
    let mut last = None;
    for (run, [from, to]) in driving.lines().enumerate() {
        let length = apart(from, to);
        let end = |load: usize, feet: f64, empty: bool| {
            let at = from + (to - from) * (feet / length).clamp(0.0, 1.0);
            LoadEnd { load, run: run + 1, feet, at, place: surveyed.cut.plane.to_lonlat(at), empty }
        };
        while target <= driven + length && target > driven {
            ends.push(end(load, target - driven, true));
            if target + SLACK_FT >= feet_in_all {
                return Some(Loads { feet_per_load, ends });
            }
            load += 1;
            target = (target + feet_per_load).min(feet_in_all);
        }
        driven += length;
        last = Some(end(load, length, false));
    }
    ends.extend(last);
    Some(Loads { feet_per_load, ends })
}
