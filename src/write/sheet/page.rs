//! The page of one field.

use super::cover::call;
use crate::balance::Driving;
use crate::check::SetFor;
use crate::check::{Field, Ready};
use crate::findings::{Known, Origin};
use crate::ground::{Across, across, feet_per_load};
use crate::plan::answer::{Application, Caution, FieldPlan, KeptOff, Plan};
use crate::units::{Quantity, in_days, number_text, rate_text, trimmed};
use crate::write::calibrate::in_short;
use crate::write::drawing::field::map;
use crate::write::drawing::runs;
use crate::write::drawing::signs::Swatch;
use crate::write::leaf::{Fact, Group, Leaf, MapKey, Meaning, Part, SheetHead, Spreading};
use crate::write::map::field::thing;
use crate::write::page::tons;
use crate::write::sight::FieldSight;
use crate::write::words::line::Line;
use crate::write::words::{day, day_of, days, days_of, en, one_year, spot, told, way};

/// The page of a field, the `number`th of so many.
pub(super) fn page(number: usize, of: usize, plan: &Plan, sight: &FieldSight<'_>) -> Option<Leaf> {
    let FieldSight { plan: field, field: written, ready, .. } = *sight;
    let count = field.applications.len();
    let mut jobs: Vec<Spreading> =
        field.applications.iter().enumerate().map(|(i, a)| job(i + 1, count, a, sight)).collect();
    let shared = shared(&mut jobs);
    let first = field.applications.iter().map(|a| a.starts()).min()?;
    let last = field.applications.iter().map(|a| a.last).max()?;
    let mut cautions: Vec<Line> =
        plan.cautions.iter().filter(|c| matters(c, field, written, ready)).map(told).collect();
    cautions.extend(own_days(plan, field));
    cautions.extend(apart_from_bag(plan, field));
    let wet = field.wet_acres() >= LEAST_WET;
    let across = across_water(sight);
    let parted = WET_LINE * across.len() as f64;
    let beside = facts(plan, sight, (shared.clone(), across));
    let lines = field.kept_off.len() + 2 * cautions.len() + beside_the_map(&jobs, field, wet, &beside);
    // Lines on runs leave fewer of the cautions beside the map, and less of the page.
    let on_runs = jobs.iter().flat_map(|job| &job.facts).chain(&shared).map(run_lines).sum::<usize>();
    let dense = if count > 1 && on_runs > 0 { "packed full" } else { density(count, lines) };
    // The line on wet ground takes its room from the map, and so does how to set the spreader.
    let part = if field.part.is_some() { PART_LINE } else { 0.0 };
    let setting = SETTING_LINE * (setting_lines(&jobs) + in_boxes(&jobs)) as f64 + part;
    let wet_line = if wet { WET_LINE } else { 0.0 };
    let tall = tallest(dense, sight.driving().is_some()) - setting - wet_line - parted + room(&shared);
    // Beside a single job every line that shortens the map makes the job's own column taller.
    let cautions_many = cautions.len() + on_runs > MOST_BESIDE;
    let single = count == 1;
    let tall = match (single, cautions_many) {
        (true, _) => tall.max(LEAST_MAP),
        (false, true) => tall - BELOW,
        (false, false) => tall,
    };
    let beside = [Part::Facts(beside)];
    let mut care = Vec::new();
    if !cautions.is_empty() {
        care = vec![Part::Heading(en::ON_THIS_FIELD), Part::List { steps: false, lines: cautions }];
    }
    let mut jobs: Vec<Part> = jobs.into_iter().map(Part::Spreading).collect();
    // More than these make the column beside the map the longer one.
    let below = single || cautions_many;
    let map_side = Part::Group(Group::MapSide, map_side(number, tall, one_year(plan), sight));
    let (mut blocks, mut job_side, mut facts) = (Vec::new(), Vec::new(), Vec::from(beside));
    if single {
        job_side.append(&mut jobs);
    } else {
        blocks.push(Part::Group(Group::Jobs, jobs));
    }
    if !below {
        facts.append(&mut care);
    }
    job_side.push(Part::Group(Group::Facts, facts));
    blocks.push(Part::Group(Group::Two, vec![map_side, Part::Group(Group::JobSide, job_side)]));
    blocks.push(Part::Stops(plan.stops.iter().map(told).collect()));
    if below {
        blocks.push(Part::Group(Group::Spare, care));
    }
    blocks.push(Part::Heading(en::WRITE_DOWN));
    blocks.push(Part::Write(if count == 3 { 3 } else { 2 }));
    blocks.push(call(ready));
    let head = SheetHead {
        tag: field.id.clone(),
        title: field.name.clone(),
        under: en::forage(&field.forage, &field.usage, days(first, last)),
        beside: en::sheet_of(number, of),
        small: plan.farm.clone(),
    };
    Some(Leaf { id: format!("sheet-{number}"), dense: Some(dense), runs_on: false, head: Some(head), blocks })
}

/// The map, and what its signs mean.
fn map_side(number: usize, tall: f64, year: Option<i16>, sight: &FieldSight<'_>) -> Vec<Part> {
    let (field, mut side) = (sight.plan, Vec::new());
    let acres = number_text(field.acres, 2);
    let beside = field.part.as_ref().filter(|_| field.rest_job().is_some());
    if let Some(drawing) = map(number, tall, "", &FieldSight { whole: beside.is_none(), ..*sight }) {
        side.push(Part::Map { label: en::map_of(&field.id, &field.name, &acres), drawing });
    }
    let row = |sign, what, feet, acres| Meaning { sign, what, feet, acres };
    let none = Line::default;
    let ground = en::ground(number_text(field.gross_acres, 2));
    let left = beside.map_or_else(|| acres, |part| number_text(part.left, 2));
    let mut ground = vec![row(Swatch::Spread, ground, none(), Line::bold(left))];
    if let Some(part) = beside {
        ground.push(row(
            Swatch::Done,
            en::done_ground(day_of(year, part.until)),
            none(),
            Line::plain(number_text(part.done, 2)),
        ));
    }
    if let Some(driving) = sight.driving() {
        let marked = runs::marked(driving);
        let whose = runs::whose(sight.drivings);
        let what = if marked { en::lines_and_loads(whose) } else { en::lines(whose) };
        let reached = driving.reached_acres.map_or_else(none, |acres| Line::plain(number_text(acres, 2)));
        ground.push(row(Swatch::Runs, what, none(), reached));
    }
    let mut zones: Vec<Meaning> = field.kept_off.iter().enumerate().map(|(i, k)| zone(i + 1, k)).collect();
    let narrow = sight.surveyed.cut.sliver_acres;
    if narrow >= LEAST_SHOWN {
        zones.push(row(Swatch::Blank, Line::plain(en::BLANK), none(), Line::plain(number_text(narrow, 2))));
    }
    side.push(Part::MapKey(MapKey { index: number, ground, zones }));
    if field.kept_off.iter().any(is_doubtful) {
        side.push(Part::Note(en::ASK));
    }
    side
}

/// That a field is one part of another, and where the line between its parts lies.
fn one_part(plan: &Plan, field: &FieldPlan) -> Option<Fact> {
    let (whole, part) = plan.in_parts.as_ref()?.whole_of(&field.id)?;
    let spot = |at: &[f64; 2]| format!("{:.5}, {:.5}", at[1], at[0]);
    let ends = match &whole.line[..] {
        [from, to] => en::line_ends(spot(from), spot(to)),
        _ => String::new(),
    };
    let gets = |id: &str| plan.fields.iter().any(|other| other.id == id && !other.applications.is_empty());
    let other = whole.parts.iter().find(|other| other.id != part.id).map_or(String::new(), |other| {
        if gets(&other.id) { en::other_part(&other.id) } else { en::no_other_part(&other.id) }
    });
    let (acres, feet, from) = (number_text(part.acres, 2), number_text(whole.feet, 0), &whole.parts.first()?.side);
    Some(Fact(
        en::ONE_PART,
        en::one_part(&part.side, &whole.id, acres, whole.runs, feet, from, format!("{ends}. {other}")),
    ))
}

/// What there is to know of a field besides its jobs: what is the same for all of them, and what
/// lies across water from the gate.
fn facts(plan: &Plan, sight: &FieldSight<'_>, (shared, across): (Vec<Fact>, Vec<Line>)) -> Vec<Fact> {
    let (field, year) = (sight.plan, one_year(plan));
    let or_none =
        |list: Vec<String>| Line::plain(if list.is_empty() { en::NONE_PLANNED.to_string() } else { list.join("; ") });
    let cuttings: Vec<String> = field.cuttings.iter().map(|d| day_of(year, *d)).collect();
    let kept = field.windows.iter().find_map(|w| w.before_cutting.as_ref()).map(|before| &before.wait);
    let cut = match kept {
        Some(wait) if !cuttings.is_empty() => en::cut_after(cuttings.join("; "), in_days(wait.days), wait.by()),
        _ => or_none(cuttings),
    };
    let grazed: Vec<String> = field.grazed.iter().map(|(from, to)| days_of(year, *from, *to)).collect();
    let grazed = match &field.stock_waits {
        Some(wait) => en::stock_waits(in_days(wait.value.get().ceil() as i64)),
        // Stock is there, and no figure says how long it waits.
        None if grazed.is_empty() && sight.field.stock => Line::plain(en::DAYS_UNKNOWN),
        None => or_none(grazed),
    };
    let mut facts = Vec::new();
    facts.extend(one_part(plan, field));
    if let Some(part) = &field.part {
        let spread_on = match part.first == part.last {
            true => day_of(year, part.last),
            false => days_of(year, part.first, part.last),
        };
        let until = day_of(year, part.until);
        let [done, all, left] = [part.done, field.acres, part.left].map(|acres| number_text(acres, 2));
        if field.rest_job().is_some() {
            facts.push(Fact(en::IN_PART, en::part(done, all, spread_on, &until)));
        } else {
            facts.push(Fact(en::LEFT, en::left_before(left, all, until)));
        }
    }
    facts.extend(across.into_iter().map(|line| Fact(en::ACROSS, line)));
    facts.extend([
        Fact(en::GATE, sight.field.gate.map_or_else(|| Line::plain(en::NO_GATE), spot)),
        Fact(en::CUT, cut),
        Fact(en::GRAZED, grazed),
    ]);
    facts.extend(shared);
    facts.push(Fact(en::SPREADER, Line::plain(sight.ready.spreader.name.clone())));
    if field.wet_acres() >= LEAST_WET {
        facts.push(Fact(en::WET, en::wet(number_text(field.wet_acres(), 1))));
    }
    facts
}

/// The kinds of water that nobody drives through.
const WATER: [&str; 5] = ["perennial_stream", "intermittent_stream", "ditch", "pond", "wetland"];

/// Ground that water parts from the gate, a line each.
fn across_water(sight: &FieldSight<'_>) -> Vec<Line> {
    let (cut, keeps) = (&sight.surveyed.cut, &sight.ready.keepouts);
    let Some(gate) = sight.field.gate else { return Vec::new() };
    let is_water = |index: &usize| keeps.get(*index).is_some_and(|keep| WATER.contains(&keep.kind.as_str()));
    let water: Vec<usize> = cut.zones.iter().map(|zone| zone.index).filter(is_water).collect();
    let parts = across(cut, cut.plane.to_feet(gate), &water);
    let line = |part: &Across| {
        let name = keeps.get(part.index).map_or("", |keep| keep.name.as_str());
        en::across(number_text(part.acres, 2), part.way, name)
    };
    parts.iter().map(line).collect()
}

/// Takes out of the jobs of a page what is the same for all of them.
fn shared(jobs: &mut [Spreading]) -> Vec<Fact> {
    let mut shared = Vec::new();
    for name in [en::STACK, en::HAUL, en::DRIVE, en::RUNS_TAKE] {
        let find = |job: &Spreading| job.facts.iter().find(|f| f.0 == name).cloned();
        let Some(fact) = jobs.first().filter(|_| jobs.len() > 1).and_then(find) else { continue };
        if jobs.iter().all(|job| job.facts.contains(&fact)) {
            jobs.iter_mut().for_each(|job| job.facts.retain(|f| *f != fact));
            shared.push(fact);
        }
    }
    shared
}

/// Height that the boxes of the jobs no longer take, in units of the picture:
/// the map gets it.
fn room(shared: &[Fact]) -> f64 {
    shared.iter().map(|f| if f.0 == en::HAUL { 2.0 * SHARED_LINE } else { SHARED_LINE }).sum()
}

/// Height of a line in the box of a job.
const SHARED_LINE: f64 = 17.0;

/// Height of the line on wet ground, in units of the picture.
const WET_LINE: f64 = 44.0;

/// Most cautions that stand beside the map of a field with several jobs.
const MOST_BESIDE: usize = 5;

/// What more of them take from the map when they stand below it, in units of the picture.
const BELOW: f64 = 40.0;

/// Least height of the map beside a single job, in units of the picture.
const LEAST_MAP: f64 = 150.0;

/// Height of a line on what is done and left, in units of the picture.
const PART_LINE: f64 = 45.0;

/// Height of a line on the setting, in units of the picture.
const SETTING_LINE: f64 = 21.0;

/// Letters of a setting that stand in a line of a job's box.
const SETTING_LETTERS: usize = 28;

/// Most lines that the setting takes in the box of a job.
fn setting_lines(jobs: &[Spreading]) -> usize {
    let settings = jobs.iter().flat_map(|job| &job.facts).filter(|f| f.0 == en::SET);
    settings.map(|Fact(_, set)| 1 + set.text().chars().count() / SETTING_LETTERS).max().unwrap_or(0)
}

/// Least wet ground that is worth a line.
const LEAST_WET: f64 = 0.05;

/// Least area that is shown with two decimals.
const LEAST_SHOWN: f64 = 0.005;

/// Lines that a single job may take beside the map beyond the usual ones: that
/// column is the taller one, and a smaller map does not make it shorter.
fn beside_the_map(jobs: &[Spreading], field: &FieldPlan, wet: bool, facts: &[Fact]) -> usize {
    let ([_], [a]) = (jobs, field.applications.as_slice()) else { return 0 };
    let sample = if a.analysis_good_until.is_some_and(|good| good < a.starts()) { 4 } else { 0 };
    let runs = jobs.iter().flat_map(|job| &job.facts).map(run_lines).sum::<usize>();
    // The column is narrow: a third line of a setting breaks more often than not.
    let setting = [0, 0, 2, 6].get(setting_lines(jobs)).copied().unwrap_or(12);
    // A fact more than every field has takes a line, and so does every break of a long one.
    let breaks = |fact: &Fact| fact.1.text().chars().count() / SETTING_LETTERS;
    let hauls = jobs.iter().flat_map(|job| &job.facts).filter(|fact| fact.0 == en::HAUL);
    let told = facts.len().saturating_sub(USUAL_FACTS) + facts.iter().chain(hauls).map(breaks).sum::<usize>();
    sample + setting + runs + told + if wet { 2 } else { 0 }
}

/// Gate, cuttings, grazings and spreader: the facts that stand on the sheet of every field.
const USUAL_FACTS: usize = 4;

/// Lines that a fact on runs takes beyond the usual one.
fn run_lines(fact: &Fact) -> usize {
    match fact.0 {
        en::DRIVE => fact.1.text().chars().count() / SETTING_LETTERS,
        en::RUNS_TAKE => 1 + fact.1.text().chars().count() / SETTING_LETTERS,
        _ => 0,
    }
}

/// Most such lines in the box of a job; a job alone has its column beside the map.
fn in_boxes(jobs: &[Spreading]) -> usize {
    let lines = jobs.iter().map(|job| job.facts.iter().map(run_lines).sum::<usize>());
    lines.max().filter(|_| jobs.len() > 1).unwrap_or(0)
}

/// How tightly a page must be set to stay one page.
fn density(jobs: usize, lines: usize) -> &'static str {
    match (jobs, lines) {
        (0 | 1, 0..=7) => "roomy",
        (0 | 1, 8..=13) => "close",
        (0 | 1, 14..=19) | (2, 0..=12) => "packed",
        _ => "packed full",
    }
}

/// Most height of the map on such a page, in units of the picture.
/// Runs take a line of the legend and one of the box of every job.
fn tallest(dense: &str, runs: bool) -> f64 {
    match (dense, runs) {
        ("roomy", false) => 300.0,
        ("roomy", true) => 278.0,
        ("close", false) => 262.0,
        ("close", true) => 240.0,
        ("packed", false) => 200.0,
        ("packed", true) => 174.0,
        _ => 120.0,
    }
}

/// A last load of no more than this share of a full one is left: the rate of the job stays within
/// what any calibration can tell. Common practice.
const LITTLE: f64 = 0.02;

/// How many loads, of how much, and what the last one holds.
fn loads(a: &Application, load: f64) -> Line {
    if a.loads > 1 && a.last_load.tons() <= LITTLE * load {
        return en::loads_and_little(a.loads, en::in_tons(trimmed(load)), a.last_load.0, a.loads - 1);
    }
    en::loads(a.loads, en::in_tons(trimmed(load)), tons(a.last_load))
}

/// One spreading, the `number`th of so many.
fn job(number: usize, of: usize, a: &Application, sight: &FieldSight<'_>) -> Spreading {
    let FieldSight { plan: field, ready, .. } = *sight;
    let driven = sight.driving_of(number - 1);
    let lot = ready.lot(&a.lot);
    let (load, swath) = (ready.spreader.load.value.get(), ready.spreader.swath.value.get());
    let count = if of > 1 { en::spreading_of(number, of) } else { String::new() };
    let kind = lot.map(|l| l.kind.replace('_', " ")).unwrap_or_default();
    let stored = lot.map(|l| en::stored(l.stored.word())).unwrap_or_default();
    let loads = loads(a, load);
    let mut facts = vec![Fact(en::SPREAD_ON, spread_on(a, field)), Fact(en::IN_ALL, in_all(a)), Fact(en::LOADS, loads)];
    let mut add = |name, line: Option<Line>| facts.extend(line.map(|line| Fact(name, line)));
    // Where runs are laid, a load lasts as long as it does on them.
    let run = driven.map_or_else(|| feet_per_load(load, a.rate, swath), |(_, loads)| Some(loads.feet_per_load));
    add(en::LOAD_RUNS, run.map(|feet| en::load_runs(number_text(feet, 0), en::feet(trimmed(swath)))));
    let set = ready.calibration.as_ref().and_then(|c| c.setting_for(a.rate));
    add(en::SET, Some(set.as_ref().map_or_else(|| Line::plain(en::NEVER_CALIBRATED), setting)));
    add(en::DRIVE, driven.map(|(driving, _)| drive(driving)));
    add(
        en::RUNS_TAKE,
        driven.and_then(|(driving, loads)| runs::taken(driving, loads)).map(|(tons, more)| en::with_note(tons, more)),
    );
    add(en::STACK, lot.and_then(|l| l.stack).map(spot));
    add(en::HAUL, a.haul.as_ref().map(|h| en::haul(number_text(h.miles, 2), way(h))));
    let mut warnings = Vec::new();
    match a.analysis_good_until {
        Some(good) if good < a.starts() => warnings.push(en::sample(day(good))),
        Some(good) if good < a.last => warnings.push(en::not_after(day(good))),
        Some(good) => add(en::ANALYSIS, Some(Line::plain(en::good_through(day(good))))),
        None => {}
    }
    Spreading {
        when: days(a.starts(), a.last),
        lot: en::job_lot(count, a.season.replace('_', " "), &a.lot, kind, stored),
        rate: rate_text(a.rate),
        warnings,
        facts,
    }
}

/// Which way the runs go, and which of them are narrower than the swath.
fn drive(driving: &Driving) -> Line {
    let way = runs::way(driving);
    runs::narrow(driving).map_or_else(|| Line::plain(&way), |narrow| en::with_note(&way, narrow))
}

/// The tons of a job, and since when they are there, where they are still to come.
fn in_all(a: &Application) -> Line {
    let all = en::in_tons(tons(a.pounds));
    a.litter_from.map_or_else(|| Line::plain(&all), |from| en::there_from(&all, day(from)))
}

/// The acres of a job: of a field that is done in part those that are left.
fn spread_on(a: &Application, field: &FieldPlan) -> Line {
    let all = number_text(field.acres, 2);
    match a.rest_acres {
        Some(left) => en::acres_left(number_text(left, 2), all),
        None => Line::plain(en::acres(all)),
    }
}

fn setting(set: &SetFor) -> Line {
    let (setting, more) = in_short(set);
    if more.is_empty() { Line::plain(setting) } else { en::with_more(setting, more) }
}

/// Whether its distance is from memory, or was printed for something else.
fn is_doubtful(kept: &KeptOff) -> bool {
    matches!(&kept.origin, Origin::Figure(cite) if matches!(cite.known, Known::Memory | Known::Applied))
}

fn zone(number: usize, kept: &KeptOff) -> Meaning {
    let name = thing(&kept.name, &kept.kind);
    let feet = if kept.feet > 0.0 { en::feet(trimmed(kept.feet)) } else { en::OFF_IT.to_string() };
    let acres = if kept.acres >= LEAST_SHOWN { number_text(kept.acres, 2) } else { en::UNDER.to_string() };
    Meaning {
        sign: Swatch::Zone(number),
        what: Line::plain(name),
        feet: Line::bold(feet).and(Line::plain(if is_doubtful(kept) { "*" } else { "" })),
        acres: Line::plain(acres),
    }
}

/// What was found of the swath, which whoever drives it must know.
const SWATH: [&str; 2] = ["swath-changed", "swath-wide"];

/// The cautions of the field's own days, a line each, and a swath that nobody measured, or that lies
/// unevenly.
fn own_days(plan: &Plan, field: &FieldPlan) -> Vec<Line> {
    // What copper does to sheep is said in full already.
    let days = plan.cautions.iter().filter(|caution| caution.about != "copper");
    let days = days.flat_map(|caution| caution.on_field(&field.id, plan.as_of).collect::<Vec<String>>());
    let swath = plan.findings.iter().filter(|f| SWATH.contains(&f.code.as_ref())).map(|finding| finding.in_words());
    days.chain(swath).map(Line::plain).collect()
}

/// That fertilizer to buy and litter go on on different days, where one day would be too much.
fn apart_from_bag(plan: &Plan, field: &FieldPlan) -> Option<Line> {
    let bought = plan.buy.as_ref()?.fields.iter().find(|own| own.id == field.id)?;
    Some(en::apart_from_bag(number_text(bought.apart?, 0)))
}

/// Whether a caution is for whoever spreads this field. The cover carries all.
fn matters(caution: &Caution, field: &FieldPlan, written: &Field, ready: &Ready) -> bool {
    let near = |kinds: &[&str]| field.kept_off.iter().any(|k| kinds.contains(&k.kind.as_str()));
    let grazed = field.may_be_grazed();
    let herd = |word: &str| {
        let here = ready.herds.iter().filter(|h| h.fields.iter().any(|f| f.value == written.id()));
        here.map(|h| h.kind.to_lowercase()).any(|kind| kind.contains(word))
    };
    match caution.about.as_str() {
        "graze" | "graze_carcass" => grazed,
        "copper" => caution.at.iter().any(|at| at.field == field.id),
        "carcass_compost" => {
            let spread = |lot: &str| field.applications.iter().any(|a| a.lot == lot);
            ready.lots.iter().any(|lot| lot.never_grazed.is_some() && spread(&lot.id))
        }
        "horses" => herd("horse"),
        "well" => near(&["well", "spring"]),
        "property_line" => near(&["property line", "road", "dwelling", "public building"]),
        "dormancy" => true,
        _ => false,
    }
}
