//! The page of one field, as the texts that the template sets.

use super::map::{Map, Sight, map};
use super::runs;
use super::words::{Said, Spot, day, day_of, days, days_of, one_year, rate_text, said, spot, way};
use crate::check::{Field, Ready};
use crate::findings::{Known, Origin};
use crate::ground::feet_per_load;
use crate::plan::answer::{Application, Caution, FieldPlan, KeptOff, Plan};
use crate::units::{Quantity, number_text, trimmed};
use crate::write::calibrate::in_short;
use crate::write::page::tons;

/// One application.
pub(super) struct Job {
    /// `Spreading 1 of 2`; empty when there is but one.
    pub(super) count: String,
    pub(super) lot: String,
    pub(super) kind: String,
    pub(super) stored: String,
    pub(super) season: String,
    pub(super) rate: String,
    pub(super) acres: String,
    pub(super) tons: String,
    pub(super) loads: i64,
    pub(super) last_load: String,
    pub(super) window: String,
    pub(super) run: String,
    /// The speed to drive, by the last calibration; empty without one.
    pub(super) setting: String,
    /// What else is set, and a word where nobody has tried it so.
    pub(super) setting_more: String,
    /// Which way to drive, and how many runs; empty when no run fits.
    pub(super) drive: String,
    pub(super) stack: Option<Spot>,
    pub(super) miles: String,
    pub(super) way: String,
    /// Nothing may be spread on the analysis that the plan rests on.
    pub(super) sample_first: String,
    /// Something may, up to a day inside the window.
    pub(super) not_after: String,
    /// The analysis lasts the whole window.
    pub(super) good_until: String,
}

impl Job {
    /// What must not be missed: it stands white on black.
    pub(super) fn warnings(&self) -> Vec<String> {
        let mut list = Vec::new();
        if !self.sample_first.is_empty() {
            list.push(format!(
                "SAMPLE FIRST. This lot's analysis expired {}. Do not spread on it: sample again and re-run the plan.",
                self.sample_first
            ));
        }
        if !self.not_after.is_empty() {
            list.push(format!("Do not spread after {} on this analysis: sample again.", self.not_after));
        }
        list
    }
}

/// One row of the legend.
pub(super) struct Zone {
    pub(super) number: usize,
    pub(super) name: String,
    pub(super) kind: String,
    pub(super) feet: String,
    pub(super) acres: String,
    pub(super) mark: &'static str,
}

/// One page.
pub(super) struct Page {
    pub(super) number: usize,
    pub(super) id: String,
    pub(super) name: String,
    pub(super) forage: String,
    pub(super) usage: String,
    pub(super) span: String,
    pub(super) gross: String,
    pub(super) acres: String,
    pub(super) map: Option<Map>,
    pub(super) zones: Vec<Zone>,
    /// Acres too narrow for the spreader; empty when there are none.
    pub(super) narrow: String,
    /// Acres in which water stands; empty when there are none.
    pub(super) wet: String,
    /// What the lines on the map mean; empty when there are none.
    pub(super) runs: String,
    pub(super) from_memory: bool,
    pub(super) jobs: Vec<Job>,
    /// What is the same for several jobs, told once beside the map.
    pub(super) drive: String,
    pub(super) stack: Option<Spot>,
    pub(super) miles: String,
    pub(super) way: String,
    pub(super) gate: Option<Spot>,
    pub(super) cuttings: Vec<String>,
    pub(super) grazed: Vec<String>,
    pub(super) cautions: Vec<Said>,
    /// Class of the page: how much it has to hold.
    pub(super) dense: &'static str,
    /// One for every row to fill in by hand.
    pub(super) rows: Vec<usize>,
}

/// The page of a field.
pub(super) fn page(number: usize, plan: &Plan, sight: &Sight<'_>) -> Option<Page> {
    let Sight { plan: field, field: written, surveyed, ready, driving } = *sight;
    let zones: Vec<Zone> = field.kept_off.iter().enumerate().map(|(i, k)| zone(i + 1, k)).collect();
    let of = field.applications.len();
    let mut jobs: Vec<Job> = field.applications.iter().enumerate().map(|(i, a)| job(i + 1, of, a, sight)).collect();
    let shared = shared(&mut jobs);
    let first = field.applications.iter().map(|a| a.first).min()?;
    let last = field.applications.iter().map(|a| a.last).max()?;
    let cautions: Vec<Said> = plan.cautions.iter().filter(|c| matters(c, field, written, ready)).map(said).collect();
    let year = one_year(plan);
    let wet = field.wet_acres() >= 0.05;
    let dense = density(jobs.len(), zones.len() + 2 * cautions.len() + beside_the_map(&jobs, wet));
    // The line on wet ground takes its room from the map.
    // So does how to set the spreader.
    let setting = SETTING_LINE * setting_lines(&jobs) as f64;
    let tall = tallest(dense, driving.is_some()) - setting - if wet { WET_LINE } else { 0.0 } + shared.room();
    let narrow = surveyed.cut.sliver_acres;
    Some(Page {
        number,
        id: field.id.clone(),
        name: field.name.clone(),
        forage: field.forage.clone(),
        usage: field.usage.clone(),
        span: days(first, last),
        gross: number_text(field.gross_acres, 2),
        acres: number_text(field.acres, 2),
        map: map(number, tall, "", sight),
        runs: driving.map(runs::told).unwrap_or_default(),
        wet: if wet { number_text(field.wet_acres(), 1) } else { String::new() },
        narrow: if narrow >= LEAST_SHOWN { number_text(narrow, 2) } else { String::new() },
        from_memory: zones.iter().any(|z| !z.mark.is_empty()),
        gate: written.gate.map(spot),
        cuttings: field.cuttings.iter().map(|d| day_of(year, *d)).collect(),
        grazed: field.grazed.iter().map(|(from, to)| days_of(year, *from, *to)).collect(),
        dense,
        rows: (0..if jobs.len() == 3 { 3 } else { 2 }).collect(),
        zones,
        jobs,
        drive: shared.drive,
        stack: shared.stack,
        miles: shared.miles,
        way: shared.way,
        cautions,
    })
}

/// What is the same for all jobs of a page with several.
#[derive(Default)]
struct Shared {
    drive: String,
    stack: Option<Spot>,
    miles: String,
    way: String,
}

impl Shared {
    /// Height that the boxes of the jobs no longer take, in units of the
    /// picture: the map gets it.
    fn room(&self) -> f64 {
        let lines = [(!self.drive.is_empty(), 1.0), (self.stack.is_some(), 1.0), (!self.miles.is_empty(), 2.0)];
        lines.iter().filter(|(there, _)| *there).map(|(_, lines)| lines * SHARED_LINE).sum()
    }
}

/// Height of a line in the box of a job.
const SHARED_LINE: f64 = 17.0;

/// Takes out of the jobs what is the same for all of them.
fn shared(jobs: &mut [Job]) -> Shared {
    let mut shared = Shared::default();
    let (Some(first), true) = (jobs.first(), jobs.len() > 1) else { return shared };
    let place = |j: &Job| j.stack.as_ref().map(|s| s.link.clone());
    let [drive, stack, haul] = [
        jobs.iter().all(|j| j.drive == first.drive),
        jobs.iter().all(|j| place(j) == place(first)),
        jobs.iter().all(|j| (&j.miles, &j.way) == (&first.miles, &first.way)),
    ];
    for job in jobs {
        if drive {
            shared.drive = std::mem::take(&mut job.drive);
        }
        if stack {
            shared.stack = job.stack.take();
        }
        if haul {
            (shared.miles, shared.way) = (std::mem::take(&mut job.miles), std::mem::take(&mut job.way));
        }
    }
    shared
}

/// Height of the line on wet ground, in units of the picture.
const WET_LINE: f64 = 44.0;

/// Height of a line on the setting, in units of the picture.
const SETTING_LINE: f64 = 21.0;

/// Letters of a setting that stand in a line of a job's box.
const SETTING_LETTERS: usize = 28;

/// Most lines that the setting takes in the box of a job.
fn setting_lines(jobs: &[Job]) -> usize {
    let letters = |j: &Job| j.setting.chars().count() + 1 + j.setting_more.chars().count();
    jobs.iter().map(|j| 1 + letters(j) / SETTING_LETTERS).max().unwrap_or(0)
}

/// Least area that is shown with two decimals.
const LEAST_SHOWN: f64 = 0.005;

/// Lines that a single job may take beside the map beyond the usual ones: that
/// column is the taller one, and a smaller map does not make it shorter.
fn beside_the_map(jobs: &[Job], wet: bool) -> usize {
    let [job] = jobs else { return 0 };
    let sample = if job.sample_first.is_empty() { 0 } else { 4 };
    // The column is narrow: a third line of a setting breaks more often than not.
    let setting = [0, 0, 2, 6].get(setting_lines(jobs)).copied().unwrap_or(12);
    sample + setting + if wet { 2 } else { 0 }
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

fn job(number: usize, of: usize, a: &Application, sight: &Sight<'_>) -> Job {
    let Sight { plan: field, ready, driving, .. } = *sight;
    let lot = ready.lot(&a.lot);
    let spreader = &ready.spreader;
    let run = feet_per_load(spreader.load.value.get(), a.rate, spreader.swath.value.get());
    let set = ready.calibration.as_ref().and_then(|c| c.setting_for(a.rate));
    let (setting, setting_more) = set.as_ref().map(in_short).unwrap_or_default();
    let mut job = Job {
        count: if of > 1 { format!("Spreading {number} of {of}") } else { String::new() },
        lot: a.lot.clone(),
        kind: lot.map(|l| l.kind.replace('_', " ")).unwrap_or_default(),
        stored: lot.map(|l| l.stored.word().to_string()).unwrap_or_default(),
        season: a.season.replace('_', " "),
        rate: rate_text(a.rate),
        acres: number_text(field.acres, 2),
        tons: tons(a.pounds),
        loads: a.loads,
        last_load: tons(a.last_load),
        window: days(a.first, a.last),
        run: run.map(|feet| number_text(feet, 0)).unwrap_or_default(),
        setting,
        setting_more,
        drive: driving.map(runs::way).unwrap_or_default(),
        stack: lot.and_then(|l| l.stack).map(spot),
        miles: a.haul.as_ref().map(|h| number_text(h.miles, 2)).unwrap_or_default(),
        way: a.haul.as_ref().map(way).unwrap_or_default(),
        sample_first: String::new(),
        not_after: String::new(),
        good_until: String::new(),
    };
    match a.analysis_good_until {
        Some(good) if good < a.first => job.sample_first = day(good),
        Some(good) if good < a.last => job.not_after = day(good),
        Some(good) => job.good_until = day(good),
        None => {}
    }
    job
}

fn zone(number: usize, kept: &KeptOff) -> Zone {
    let memory = matches!(&kept.origin, Origin::Figure(cite) if cite.known == Known::Memory);
    Zone {
        number,
        name: kept.name.clone(),
        // `Tin Cup Road (road)` says nothing twice over.
        kind: if kept.name.to_lowercase().contains(&kept.kind) { String::new() } else { kept.kind.clone() },
        feet: if kept.feet > 0.0 { format!("{} ft", trimmed(kept.feet)) } else { "off it".to_string() },
        acres: if kept.acres >= LEAST_SHOWN { number_text(kept.acres, 2) } else { "under 0.01".to_string() },
        mark: if memory { "*" } else { "" },
    }
}

/// Whether a caution is for whoever spreads this field. The cover carries all.
fn matters(caution: &Caution, field: &FieldPlan, written: &Field, ready: &Ready) -> bool {
    let near = |kinds: &[&str]| field.kept_off.iter().any(|k| kinds.contains(&k.kind.as_str()));
    let grazed = field.usage != "hay" || !field.grazed.is_empty();
    let herd = |word: &str| {
        let here = ready.herds.iter().filter(|h| h.fields.iter().any(|f| f.value == written.id()));
        here.map(|h| h.kind.to_lowercase()).any(|kind| kind.contains(word))
    };
    match caution.about.as_str() {
        "graze" | "graze_carcass" => grazed,
        "copper" => field.sheep,
        "horses" => herd("horse"),
        "well" => near(&["well", "spring"]),
        "property_line" => near(&["property line", "road", "dwelling", "public building"]),
        "dormancy" => true,
        _ => false,
    }
}
