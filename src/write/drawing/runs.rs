//! The runs on a map: as many lines as can be told apart, where the first one
//! starts, where loads run out, where the last run ends.

use super::frame::Frame;
use super::labels::Labels;
use super::signs;
use super::{Path, Shape};
use crate::balance::{Driving, Left, Loads};
use crate::ground::Run;
use crate::units::number_text;
use crate::write::page::tons;
use crate::write::words::en;
use geo::{Coord, LineString};

/// Least distance between drawn lines; of closer ones only every second, third
/// and so on is drawn.
const APART: f64 = 5.0;
/// Most marks of loads; beyond that every second, third and so on.
const MOST_LOADS: usize = 24;
/// Fewer acres than these are not told of.
const LEAST_MISSED: f64 = 0.005;
/// Most headings that are named.
const NAMED: usize = 3;

/// The lines of the runs, and the marks that lie over everything.
pub(super) fn drawn(frame: &Frame, labels: &mut Labels, driving: &Driving) -> (Path, Vec<Shape>) {
    let lines: Vec<[Coord<f64>; 2]> = driving.lines().collect();
    let every = (APART / frame.drawn(driving.swath_ft).max(0.01)).ceil().clamp(1.0, 1000.0) as usize;
    let shown: Vec<LineString<f64>> = lines.iter().step_by(every).map(|line| LineString(line.to_vec())).collect();
    let (first, last) = (lines.first(), lines.last());
    for spot in first.map(|l| l[0]).into_iter().chain(last.map(|l| l[1])) {
        labels.take(frame.at(spot), 12.0, 12.0);
    }
    let mut marks = Vec::new();
    let ends = shown_loads(driving).map_or(&[][..], |l| &l.ends);
    let out = || ends.iter().take(ends.len().saturating_sub(1)).filter(|e| e.empty);
    let step = out().count().div_ceil(MOST_LOADS).max(1);
    for end in out().skip(step - 1).step_by(step) {
        labels.take(frame.at(end.at), 18.0, 18.0);
        marks.extend(signs::load(frame.at(end.at), &end.load.to_string()));
    }
    marks.extend(first.map(|[from, to]| {
        let way = *to - *from;
        signs::start(frame.at(*from), way.x.atan2(way.y).to_degrees())
    }));
    marks.extend(last.map(|[_, to]| signs::end(frame.at(*to))));
    (frame.lines(shown.iter()), marks)
}

/// The spreading whose loads are marked: the first, for marks of several would
/// only be mistaken for one another.
fn shown_loads(driving: &Driving) -> Option<&Loads> {
    driving.loads.first()
}

/// `40 deg, 23 runs`; with several pieces `47 runs: 78, then 105 deg`.
pub(in crate::write) fn way(driving: &Driving) -> String {
    let runs = if driving.runs == 1 { en::ONE_RUN.to_string() } else { en::runs(driving.runs) };
    let headings: Vec<String> = driving.pieces.iter().map(|p| number_text(p.heading_deg, 0)).collect();
    match headings.as_slice() {
        [one] => en::one_heading(one, runs),
        some if some.len() <= NAMED => en::some_headings(runs, some.join(en::THEN)),
        many => {
            let most = driving.pieces.iter().max_by(|a, b| a.run_ft.total_cmp(&b.run_ft));
            let heading = most.map(|p| number_text(p.heading_deg, 0)).unwrap_or_default();
            en::many_headings(runs, many.len(), heading)
        }
    }
}

/// Whether loads are marked: the last one is not, for it ends with the field.
pub(in crate::write) fn marked(driving: &Driving) -> bool {
    shown_loads(driving).is_some_and(|l| l.ends.len() > 1)
}

/// Whose loads are marked, where others run out elsewhere. The first are those of the map.
pub(in crate::write) fn whose(drivings: &[Driving]) -> String {
    let Some(shown) = drivings.first().and_then(shown_loads) else { return String::new() };
    let same = |l: &Loads| (shown.feet_per_load - l.feet_per_load).abs() < 1.0;
    if drivings.len() == 1 && drivings.iter().flat_map(|own| &own.loads).all(same) {
        return String::new();
    }
    en::of_spreading(shown.job + 1)
}

/// What a driver must know of runs that cover less than the swath, and of strips that get none.
pub(in crate::write) fn narrow(driving: &Driving) -> Option<String> {
    // A run that is broken in parts is one order.
    let mut groups: Vec<(usize, usize, &Run)> = Vec::new();
    for (number, run) in driving.narrow() {
        match groups.last_mut() {
            Some((_, last, before)) if *last + 1 == number && same_throw(before, run) => *last = number,
            _ => groups.push((number, number, run)),
        }
    }
    let runs = match groups.as_slice() {
        [] => None,
        some if some.len() <= NAMED => Some(en::or_leave(some.iter().map(order).collect::<Vec<_>>().join("; "))),
        _ => Some(en::many_narrow(driving.narrow().count())),
    };
    let acres = |all: &[Left]| number_text(all.iter().map(|one| one.acres).sum(), 2);
    let left = match driving.left.as_slice() {
        [] => None,
        [one] => Some(en::no_run(one.way, number_text(one.feet, 0), acres(&driving.left))),
        many => Some(en::no_runs(many.len(), acres(many))),
    };
    let said: Vec<String> = runs.into_iter().chain(left).collect();
    (!said.is_empty()).then(|| said.join("; "))
}

fn same_throw(one: &Run, other: &Run) -> bool {
    one.throws().iter().all(|(way, feet)| other.throws().iter().any(|(w, f)| w == way && (feet - f).abs() < 0.5))
}

/// `run 4: throw to the east only, 10 ft wide`.
fn order((first, last, run): &(usize, usize, &Run)) -> String {
    let runs = if first == last { en::a_run(first) } else { en::runs_to(first, last) };
    let [(way, feet), (other, less)] = run.throws();
    let ((way, feet), (other, less)) =
        if feet < less { ((other, less), (way, feet)) } else { ((way, feet), (other, less)) };
    let [wide, little] = [feet, less].map(|feet| number_text(feet, 0));
    if less < 0.5 { en::one_side(runs, way, wide) } else { en::two_sides(runs, wide, way, little, other) }
}

/// The tons of a spreading that go on with the runs, and what to know of them: that some are
/// left, or that they lie thinner.
pub(in crate::write) fn taken(driving: &Driving, loads: &Loads) -> Option<(String, String)> {
    let on_runs = en::in_tons(tons(loads.on_runs));
    if let Some(left) = loads.left {
        let missed = driving.missed_acres.filter(|acres| *acres >= LEAST_MISSED).map(|acres| number_text(acres, 2));
        let left = en::in_tons(tons(left));
        return Some((on_runs, missed.map_or_else(|| en::left_for_corners(&left), |acres| en::left_for(&left, acres))));
    }
    let [over_runs, all] = [loads.rate, loads.asked].map(|rate| number_text(rate, 2));
    (over_runs != all).then(|| (on_runs, en::thinner(over_runs, number_text(driving.thrown_acres, 2))))
}
