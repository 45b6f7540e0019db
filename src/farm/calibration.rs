//! `calibration.yaml`: what the grower measured behind the spreader, on
//! sheets, by loads and in pans.

use crate::farm::numbers::{above_zero, need_whole, net_of};
use crate::findings::{At, Finding, Findings, Place};
use crate::text::{self, Kind, Node, Walker};
use crate::units::{Acres, CubicFeet, Feet, Length, MilesPerHour, Quantity, Tons, Weight};
use jiff::civil::Date;

/// Most pans in a row, and most runs over a sheet.
const MOST: usize = 200;
/// Longest words of a setting, in characters, and most of them.
const LONGEST: usize = 20;
const MOST_WORDS: usize = 4;
/// Most characters of a setting, the gaps between its words counted.
const IN_ALL: usize = 40;

/// Everything that was measured.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WrittenCalibration {
    /// On sheets.
    pub sheets: Vec<SheetRuns>,
    /// By loads and the ground they covered.
    pub loads: Vec<LoadRun>,
    /// In pans across the swath.
    pub pans: Vec<PanRow>,
}

impl WrittenCalibration {
    /// Day of the last run.
    #[must_use]
    pub fn last(&self) -> Option<Date> {
        let made = self.sheets.iter().map(|s| &s.made).chain(self.loads.iter().map(|l| &l.made));
        made.chain(self.pans.iter().map(|p| &p.made)).map(|m| m.date.value).max()
    }
}

/// What was set beside the speed: the grower's word, and how it stood.
type SetWords = Vec<(String, String)>;

/// When, and how the spreader was set.
#[derive(Clone, Debug, PartialEq)]
pub struct RunSettings {
    /// The day.
    pub date: At<Date>,
    /// Speed on the ground.
    pub speed: At<MilesPerHour>,
    /// Everything else that was set, as the grower names it.
    pub words: Vec<(String, String)>,
    /// Where its entry starts.
    pub place: Place,
}

/// Runs over a sheet on the ground.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetRuns {
    /// When and how.
    pub made: RunSettings,
    /// Length of the sheet.
    pub length: At<Length>,
    /// Width of the sheet.
    pub width: At<Length>,
    /// Passes that threw on it in a run, the one over it counted.
    pub passes: At<u32>,
    /// Distance between those passes, where it is written.
    pub lane: Option<At<Feet>>,
    /// What lay on it after each run.
    pub net: Vec<At<Weight>>,
}

/// A load and the ground it covered.
#[derive(Clone, Debug, PartialEq)]
pub struct LoadRun {
    /// When and how.
    pub made: RunSettings,
    /// How much was on.
    pub load: LoadWeight,
    /// The ground it covered.
    pub ground: Covered,
}

/// How the load is known.
#[derive(Clone, Debug, PartialEq)]
pub enum LoadWeight {
    /// Weighed.
    Weighed(At<Tons>),
    /// A 5-gallon bucket of it weighed, and the box measured.
    Bucket {
        /// Net weight of the bucket.
        net: At<Weight>,
        /// Volume of the litter in the box.
        volume: At<CubicFeet>,
    },
}

/// How the ground is known.
#[derive(Clone, Debug, PartialEq)]
pub enum Covered {
    /// Distance to empty, at a width of a pass.
    Run {
        /// Distance between passes, not the throw.
        width: At<Feet>,
        /// Distance until the box was empty.
        distance: At<Feet>,
    },
    /// Acres, and at which distance between passes.
    Acres {
        /// The acres.
        acres: At<Acres>,
        /// Distance between passes, where it is written.
        width: Option<At<Feet>>,
    },
}

/// A row of pans that the spreader drove across.
#[derive(Clone, Debug, PartialEq)]
pub struct PanRow {
    /// When and how.
    pub made: RunSettings,
    /// From the middle of a pan to the middle of the next.
    pub spacing: At<Length>,
    /// Length and width of a pan.
    pub pan: Option<(At<Length>, At<Length>)>,
    /// What each caught, left to right.
    pub weights: Vec<At<Weight>>,
}

pub(super) fn read(file: &str, text: &str, findings: &mut Findings) -> Option<WrittenCalibration> {
    let tree = text::parse(file, text, findings)?;
    let top = Walker::new("the calibration", &tree, findings)?;
    let [sheets, loads, pans] = ["sheets", "loads", "pans"].map(|key| top.list(key, findings));
    let read = WrittenCalibration {
        sheets: sheets.iter().filter_map(|n| sheet_runs(n, findings)).collect(),
        loads: loads.iter().filter_map(|n| load_run(n, findings)).collect(),
        pans: pans.iter().filter_map(|n| pan_row(n, findings)).collect(),
    };
    if ["sheets", "loads", "pans"].iter().all(|key| top.ask(key).is_none()) {
        findings.push(
            Finding::error("calibration-empty", top.place(), "the calibration holds nothing that was measured")
                .accepts("at least one of the lists `sheets:`, `loads:` and `pans:`")
                .fix("write what you measured, or take the file out of the folder"),
        );
    }
    top.finish(findings);
    Some(read)
}

fn made(walk: &Walker<'_>, findings: &mut Findings) -> Option<RunSettings> {
    let date = walk.need_date("date", findings);
    let setting = walk
        .need("setting", "a block with `speed` and your own words, as in {gate: 6 in, speed: 8 mph}", findings)
        .and_then(|node| setting(node, findings));
    let (speed, words) = setting?;
    Some(RunSettings { date: date?, speed, words, place: walk.place().clone() })
}

/// The speed, and every other key as the grower names it.
fn setting(node: &Node, findings: &mut Findings) -> Option<(At<MilesPerHour>, SetWords)> {
    let walk = Walker::new("the setting", node, findings)?;
    let speed = walk.need_quantity("speed", findings);
    let Kind::Map(entries) = &node.kind else { return None };
    let own: Vec<_> = entries.iter().filter(|(key, _, _)| key != "speed").collect();
    let mut words = Vec::new();
    for (key, place, value) in &own {
        let short = |text: &str| text.chars().count() <= LONGEST && !text.contains(char::is_control);
        match value.scalar().map(str::trim).filter(|text| short(text) && short(key)) {
            Some(text) => words.push((key.clone(), text.to_string())),
            None => findings.push(
                Finding::error("setting-word", place, format!("the setting: `{}` is not a few words", clipped(key)))
                    .accepts(format!("a word or a number with its unit, at most {LONGEST} characters")),
            ),
        }
    }
    let in_all: usize = words.iter().map(|(k, v)| k.chars().count() + v.chars().count() + 3).sum();
    if own.len() > MOST_WORDS || in_all > IN_ALL {
        let found = format!("the setting has {} words beside the speed, {in_all} characters in all", own.len());
        findings.push(
            Finding::error("setting-word", walk.place(), found)
                .accepts(format!("at most {MOST_WORDS} words and {IN_ALL} characters, so that a field sheet holds it"))
                .fix("shorten the words, as in {gate: 8 in, rpm: 650, gear: 2}"),
        );
        return None;
    }
    (words.len() == own.len()).then_some((speed?, words))
}

/// The start of a text that may be of any length.
fn clipped(text: &str) -> String {
    text.chars().filter(|c| !c.is_control()).take(LONGEST).collect()
}

fn sheet_runs(node: &Node, findings: &mut Findings) -> Option<SheetRuns> {
    let walk = Walker::new("the sheet", node, findings)?;
    let made = made(&walk, findings);
    let length = above_zero(walk.need_quantity("length", findings), "length", findings);
    let width = above_zero(walk.need_quantity("width", findings), "width", findings);
    let passes = need_whole(&walk, "passes", 1, 9, findings);
    let lane = walk.quantity("lane", findings);
    let asked = lane.is_some();
    let lane = above_zero(lane, "lane", findings);
    let accepts = "a list of net weights, or of {gross: ..., empty: ...}, one a run";
    walk.need("runs", accepts, findings);
    let runs = walk.list("runs", findings);
    let net: Vec<_> = runs.iter().take(MOST).filter_map(|n| net_weight(&walk, n, findings)).collect();
    many_enough(&walk, "runs", runs, 1, findings);
    walk.finish(findings);
    if net.len() != runs.len() || net.is_empty() || (asked && lane.is_none()) {
        return None;
    }
    Some(SheetRuns { made: made?, length: length?, width: width?, passes: passes?, lane, net })
}

/// A net weight, or gross less empty.
fn net_weight(walk: &Walker<'_>, node: &Node, findings: &mut Findings) -> Option<At<Weight>> {
    if !matches!(node.kind, Kind::Map(_)) {
        return above_zero(walk.quantity_of("runs", node, findings), "runs", findings);
    }
    let walk = Walker::new("the weighing", node, findings)?;
    let gross: Option<At<Weight>> = walk.need_quantity("gross", findings);
    let empty: Option<At<Weight>> = walk.need_quantity("empty", findings);
    walk.finish(findings);
    net_of(gross?, &empty?, "empty", findings)
}

fn load_run(node: &Node, findings: &mut Findings) -> Option<LoadRun> {
    let walk = Walker::new("the load", node, findings)?;
    let made = made(&walk, findings);
    let weighed = walk.ask("weighed").is_some();
    let load = if weighed {
        above_zero(walk.quantity("weighed", findings), "weighed", findings).map(LoadWeight::Weighed)
    } else if walk.ask("bucket").is_some() || walk.ask("box").is_some() {
        let net = above_zero(walk.need_quantity("bucket", findings), "bucket", findings);
        let volume = above_zero(walk.need_quantity("box", findings), "box", findings);
        net.zip(volume).map(|(net, volume)| LoadWeight::Bucket { net, volume })
    } else {
        let accepts = "`weighed: 8.02 tons`, or `bucket: 20 lb` with `box: 540 ft3`";
        findings.push(neither(&walk, "nothing says how much was on", accepts));
        None
    };
    if let Some(node) = walk.ask("bucket").or(walk.ask("box")).filter(|_| weighed) {
        findings.push(twice(node, "the load is both weighed and calculated by a bucket"));
    }
    let ground = ground(&walk, findings);
    walk.finish(findings);
    Some(LoadRun { made: made?, load: load?, ground: ground? })
}

fn ground(walk: &Walker<'_>, findings: &mut Findings) -> Option<Covered> {
    if walk.ask("acres").is_some() {
        if let Some(node) = walk.ask("distance") {
            findings.push(twice(node, "both `acres` and `distance` are given"));
        }
        let acres = above_zero(walk.quantity("acres", findings), "acres", findings)?;
        let width = walk.ask("width").map(|_| above_zero(walk.quantity("width", findings), "width", findings));
        return match width {
            Some(None) => None,
            width => Some(Covered::Acres { acres, width: width.flatten() }),
        };
    }
    if walk.ask("distance").is_none() {
        let accepts = "`width: 30 ft` (between passes, not the throw) with `distance: 5800 ft` to empty, or `acres: 4 ac` with `width: 30 ft`";
        findings.push(neither(walk, "nothing says what ground the load covered", accepts));
        walk.ask("width");
        return None;
    }
    let width = above_zero(walk.need_quantity("width", findings), "width", findings);
    let distance = above_zero(walk.need_quantity("distance", findings), "distance", findings);
    Some(Covered::Run { width: width?, distance: distance? })
}

fn pan_row(node: &Node, findings: &mut Findings) -> Option<PanRow> {
    let walk = Walker::new("the row of pans", node, findings)?;
    let made = made(&walk, findings);
    let spacing = above_zero(walk.need_quantity("spacing", findings), "spacing", findings);
    let pan = walk.ask("pan").map(|node| {
        let walk = Walker::new("the pan", node, findings)?;
        let length = above_zero(walk.need_quantity("length", findings), "length", findings);
        let width = above_zero(walk.need_quantity("width", findings), "width", findings);
        walk.finish(findings);
        length.zip(width)
    });
    walk.need("weights", "what each pan caught, left to right, as in [0 g, 12 g, 31 g]", findings);
    let list = walk.list("weights", findings);
    let weights: Vec<At<Weight>> =
        list.iter().take(MOST).filter_map(|n| walk.quantity_of("weights", n, findings)).collect();
    let enough = many_enough(&walk, "weights", list, 3, findings);
    if enough && weights.len() == list.len() && weights.iter().all(|w| w.value.get() == 0.0) {
        findings.push(
            Finding::error("pans-empty", &weights[0].place, "the row of pans caught nothing")
                .accepts("weights of what the pans caught, at least one above 0"),
        );
        return None;
    }
    walk.finish(findings);
    if weights.len() != list.len() || !enough || pan == Some(None) {
        return None;
    }
    Some(PanRow { made: made?, spacing: spacing?, pan: pan.flatten(), weights })
}

/// Tells a list that is too short or too long.
fn many_enough(walk: &Walker<'_>, key: &'static str, list: &[Node], least: usize, findings: &mut Findings) -> bool {
    let enough = (least..=MOST).contains(&list.len());
    if let Some(node) = walk.ask(key).filter(|n| !enough && matches!(n.kind, Kind::List(_))) {
        let found = format!("`{key}` has {} entries", list.len());
        findings.push(Finding::error("how-many", &node.place, found).accepts(format!("from {least} to {MOST}")));
    }
    enough
}

/// One of two ways that is missing altogether.
fn neither(walk: &Walker<'_>, found: &str, accepts: &str) -> Finding {
    Finding::error("key-missing", walk.place(), found).accepts(accepts)
}

/// One thing said in two ways.
fn twice(node: &Node, found: &str) -> Finding {
    Finding::error("given-twice", &node.place, found).accepts("one of the two")
}
