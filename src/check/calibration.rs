//! What was measured behind the spreader, held against the figures of the
//! place and against the spreader of farm.yaml.

use crate::calibrate::{self, Certainty, Overlap, Pattern, Run};
use crate::farm::{Covered, LoadRun, LoadWeight, PanRow, RunSettings, SheetRuns, Spreader, Written};
use crate::findings::{Finding, Findings, Place};
use crate::ground::feet_per_load;
use crate::tables::{Book, Scope, Sourced, topic};
use crate::units::{Feet, Percent, Quantity, Times, number_text, trimmed};
use jiff::ToSpan;
use jiff::civil::Date;
use serde::Serialize;

/// Why no setting rests on a run that does not say it.
const NOT_WRITTEN: &str = "the distance between passes on that day is not written";

/// Passes over a sheet in a usual run: one over it, one on each side.
const PASSES: u32 = 3;

/// What a spreader was found to do.
#[derive(Clone, Debug, Serialize)]
pub struct Calibration {
    /// Distance between passes on this farm.
    pub swath_ft: f64,
    /// Tons in a full load.
    pub load_tons: f64,
    /// Rates, way by way in the order of the file.
    pub runs: Vec<Measured>,
    /// Patterns.
    pub patterns: Vec<Thrown>,
    /// Day of the last one.
    pub last: Date,
    /// Most unevenness of the overlapped swath that is published.
    pub limit: Option<Sourced<Percent>>,
    /// What else is said of that, with how it is known; kept, not used.
    pub other_limits: Vec<String>,
    /// Least number of runs over a sheet that is published.
    pub runs_least: Option<Sourced<Times>>,
    /// How far to spread before the sheets.
    pub start_ft: Option<Sourced<Feet>>,
    /// How a pattern is judged and fixed.
    pub advice: Vec<Sourced<String>>,
    /// What others found on litter spreaders.
    pub found_elsewhere: Option<Sourced<String>>,
    /// Last day on which it may stand, by the place.
    pub good_until: Option<Date>,
}

/// How a rate was measured. The earlier goes before the later where one
/// setting was measured in several ways.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum MeasuredWay {
    /// A weighed load over measured ground.
    WeighedLoad,
    /// A load by its bucket weight over measured ground.
    BucketLoad,
    /// Sheets on the ground.
    Sheets,
    /// Pans of a known size.
    Pans,
}

impl MeasuredWay {
    /// The word for people.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            MeasuredWay::WeighedLoad => "weighed load",
            MeasuredWay::BucketLoad => "load by bucket",
            MeasuredWay::Sheets => "sheets",
            MeasuredWay::Pans => "pans",
        }
    }
}

/// A rate that was measured.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Measured {
    /// How.
    pub way: MeasuredWay,
    /// When.
    pub date: Date,
    /// What was set beside the speed, as the grower names it.
    pub setting: String,
    /// Speed in miles an hour.
    pub mph: f64,
    /// Distance between passes when it was measured, where that is written.
    pub lane_ft: Option<f64>,
    /// Tons per acre, the mean where there are several runs.
    pub rate: f64,
    /// Lowest and highest of several runs.
    pub between: Option<(f64, f64)>,
    /// How many runs.
    pub runs: usize,
    /// Tons per acre at the farm's swath; none where nobody wrote how it was driven.
    pub rate_at_swath: Option<f64>,
    /// Pounds a minute that leave the spreader.
    pub lb_per_minute: Option<f64>,
    /// Why no setting rests on it.
    pub left_out: Option<String>,
    /// How it was calculated, with its measures.
    pub how: String,
    /// Where it is written.
    pub place: Place,
}

/// A pattern that was measured.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Thrown {
    /// When.
    pub date: Date,
    /// What was set beside the speed.
    pub setting: String,
    /// Speed in miles an hour.
    pub mph: f64,
    /// Distance between pans.
    pub spacing_ft: f64,
    /// How many pans.
    pub pans: usize,
    /// Shares left and right of the middle, in percent.
    pub sides: (f64, f64),
    /// The overlapped swath at whole numbers of spacings.
    pub overlaps: Vec<Overlap>,
    /// Widest swath under the published limit.
    pub widest_ft: Option<f64>,
    /// Swath by the half-rate rule.
    pub half_rate_ft: Option<f64>,
    /// Where it is written.
    pub place: Place,
}

/// The setting for a rate.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SetFor {
    /// The rate, tons per acre.
    pub rate: f64,
    /// What is set beside the speed.
    pub setting: String,
    /// Speed in miles an hour.
    pub mph: f64,
    /// Distance between passes.
    pub swath_ft: f64,
    /// How sure it is.
    pub sure: Certainty,
    /// Feet until a full load runs out.
    pub load_runs_ft: Option<f64>,
    /// Pounds a minute that leave the spreader.
    pub lb_per_minute: Option<f64>,
    /// Day on which the run behind it was measured.
    pub measured_on: Date,
    /// Rate of that run at the farm's swath.
    pub measured_rate: f64,
}

impl Calibration {
    /// The runs on which settings rest: of one setting and speed the latest,
    /// of one day the surest way.
    #[must_use]
    pub fn sound(&self) -> Vec<&Measured> {
        let mut best: Vec<&Measured> = Vec::new();
        for run in self.runs.iter().filter(|r| r.left_out.is_none()) {
            match best.iter_mut().find(|b| b.setting == run.setting && b.mph == run.mph) {
                Some(there) => {
                    if (std::cmp::Reverse(run.date), run.way) < (std::cmp::Reverse(there.date), there.way) {
                        *there = run;
                    }
                }
                None => best.push(run),
            }
        }
        best
    }

    /// The setting for a rate; none where no rate was measured.
    #[must_use]
    pub fn setting_for(&self, rate: f64) -> Option<SetFor> {
        let sound = self.sound();
        let run = |r: &&Measured| Run { words: r.setting.clone(), mph: r.mph, rate: r.rate_at_swath.unwrap_or(0.0) };
        let runs: Vec<Run> = sound.iter().map(run).collect();
        let set = calibrate::setting(rate, &runs)?;
        let run = sound.get(set.run)?;
        Some(SetFor {
            rate,
            setting: run.setting.clone(),
            mph: set.mph,
            swath_ft: self.swath_ft,
            sure: set.sure,
            load_runs_ft: feet_per_load(self.load_tons, rate, self.swath_ft),
            lb_per_minute: calibrate::pounds_per_minute(rate, self.swath_ft, set.mph),
            measured_on: run.date,
            measured_rate: run.rate_at_swath?,
        })
    }

    /// The latest pattern.
    #[must_use]
    pub fn pattern(&self) -> Option<&Thrown> {
        self.patterns.iter().max_by_key(|p| p.date)
    }
}

/// What was measured; none where nothing was, or nothing is known of the
/// spreader.
#[must_use]
pub fn calibration(written: &Written, book: &Book<'_>, findings: &mut Findings) -> Option<Calibration> {
    let spreader = written.spreader.as_ref()?;
    let file = written.calibration.as_ref();
    let swath = spreader.swath.value.get();
    let mut runs = Vec::new();
    for load in file.iter().flat_map(|f| &f.loads) {
        runs.extend(by_load(load, swath, book, findings));
    }
    runs.extend(file.iter().flat_map(|f| &f.sheets).filter_map(|s| by_sheets(s, swath, findings)));
    runs.extend(file.iter().flat_map(|f| &f.pans).filter_map(|p| by_pans(p, swath)));
    let limit = book.get(topic::SPREAD_CV, &Scope::new());
    let patterns: Vec<Thrown> =
        file.iter().flat_map(|f| &f.pans).filter_map(|p| thrown(p, limit.as_ref().map(|l| l.value.get()))).collect();
    let last = file.and_then(|f| f.last());
    let large = written.large.as_ref().is_some_and(|l| l.value);
    let good_until = age(spreader, written, last, large, book, findings);
    let calibration = Calibration {
        swath_ft: swath,
        load_tons: spreader.load.value.get(),
        runs,
        patterns,
        last: last?,
        limit,
        other_limits: other_limits(book),
        runs_least: book.get(topic::CALIBRATION_RUNS, &Scope::new()),
        start_ft: book.get(topic::CALIBRATION_START, &Scope::new()),
        advice: book.all_words(topic::SPREAD_PATTERN, "item").into_iter().map(|(_, words)| words).collect(),
        found_elsewhere: book.get(topic::SPREAD_CV_FOUND, &Scope::new()),
        good_until,
    };
    too_wide(&calibration, spreader, findings);
    Some(calibration)
}

/// What other sources say of the limit on unevenness.
fn other_limits(book: &Book<'_>) -> Vec<String> {
    let figures = book.all(Some(topic::SPREAD_CV.into()));
    let others = figures.iter().flat_map(|(figure, _, _)| &figure.others);
    others.map(|o| format!("{} ({}). {}", o.value, o.known.word(), o.why_not)).collect()
}

/// A rate out of its parts; none where it comes to no number.
fn measured(
    way: MeasuredWay,
    made: &RunSettings,
    lane_ft: Option<f64>,
    rates: &[f64],
    swath: f64,
    how: String,
) -> Option<Measured> {
    let rate = rates.iter().sum::<f64>() / rates.len() as f64;
    let between = (rates.len() > 1)
        .then(|| (rates.iter().copied().fold(f64::INFINITY, f64::min), rates.iter().copied().fold(0.0, f64::max)));
    let mph = made.speed.value.get();
    Some(Measured {
        way,
        date: made.date.value,
        setting: words(made),
        mph,
        lane_ft,
        rate,
        between,
        runs: rates.len(),
        rate_at_swath: lane_ft.and_then(|lane_ft| calibrate::over_width(rate, lane_ft, swath)),
        lb_per_minute: lane_ft.and_then(|lane_ft| calibrate::pounds_per_minute(rate, lane_ft, mph)),
        left_out: lane_ft.is_none().then(|| NOT_WRITTEN.to_string()),
        how,
        place: made.place.clone(),
    })
}

/// What was set beside the speed, as in `gate 6 in, spinner 600 rpm`.
fn words(made: &RunSettings) -> String {
    let words: Vec<String> =
        made.words.iter().map(|(key, value)| format!("{} {value}", key.replace('_', " "))).collect();
    words.join(", ")
}

fn by_load(load: &LoadRun, swath: f64, book: &Book<'_>, findings: &mut Findings) -> Option<Measured> {
    let (way, tons, on) = match &load.load {
        LoadWeight::Weighed(tons) => (MeasuredWay::WeighedLoad, tons.value.get(), format!("{} weighed", tons.value)),
        LoadWeight::Bucket { net, volume } => {
            let Some(factor) = book.get(topic::BUCKET_FACTOR, &Scope::new()) else {
                let found = format!("the tables of {} have no bucket_factor to weigh a load by", book.place().name);
                findings.push(
                    Finding::error("calibration-figure", &net.place, found)
                        .accepts("a weighed load: `weighed: 8 tons`"),
                );
                return None;
            };
            let density = calibrate::bucket_density(net.value.get(), factor.value.get())?;
            let tons = density * volume.value.get() / 2_000.0;
            let on = format!(
                "bucket {} x {} x {} / 2,000 = {} tons",
                net.value,
                trimmed(factor.value.get()),
                volume.value,
                number_text(tons, 2)
            );
            (MeasuredWay::BucketLoad, tons, on)
        }
    };
    let (acres, lane, over) = match &load.ground {
        Covered::Run { width, distance } => {
            let acres = calibrate::acres_run(width.value.get(), distance.value.get())?;
            let over = format!(
                "{} x {} ft = {} ac",
                trimmed(width.value.get()),
                number_text(distance.value.get(), 0),
                number_text(acres, 2)
            );
            (acres, Some(width.value.get()), over)
        }
        Covered::Acres { acres, width } => {
            if width.is_none() {
                findings.push(asked(&load.made, "load", "width", swath));
            }
            (acres.value.get(), width.as_ref().map(|w| w.value.get()), acres.value.to_string())
        }
    };
    let rate = calibrate::load_rate(tons, acres)?;
    measured(way, &load.made, lane, &[rate], swath, format!("{on}, over {over}"))
}

fn by_sheets(sheets: &SheetRuns, swath: f64, findings: &mut Findings) -> Option<Measured> {
    let area = sheets.length.value.get() * sheets.width.value.get();
    let rates: Vec<f64> = sheets.net.iter().filter_map(|w| calibrate::sheet_rate(w.value.get(), area)).collect();
    let lane = sheets.lane.as_ref().map(|l| l.value.get());
    let mean = sheets.net.iter().map(|w| w.value.get()).sum::<f64>() / sheets.net.len() as f64;
    let how = format!("{} lb x 21.78 / {} ft2", number_text(mean, 2), number_text(area, 1));
    let mut run =
        measured(MeasuredWay::Sheets, &sheets.made, lane, &rates, swath, how).filter(|_| !rates.is_empty())?;
    if sheets.passes.value < PASSES {
        run.left_out =
            Some("the sheet did not get the passes on both sides of it: that is not the rate of a field".to_string());
    } else if lane.is_none() {
        findings.push(asked(&sheets.made, "sheet", "lane", swath));
    }
    Some(run)
}

/// What to write of a run that does not say it. The spreader's swath of today is not
/// taken: it may have been another on that day.
fn asked(made: &RunSettings, run: &str, key: &str, swath: f64) -> Finding {
    let found = format!(
        "the {run} of {}: the distance between passes on that day is not written, so no speed is calculated from it",
        made.date.value
    );
    let fix = format!("add `{key}: {} ft` if it was driven at the swath of farm.yaml, else as it was", trimmed(swath));
    Finding::warning("calibration-width", &made.place, found)
        .accepts(format!("`{key}`, the distance between passes as it was driven"))
        .fix(fix)
}

/// Pans of a known size: sum x spacing / swath is what lies on a pan's ground.
fn by_pans(row: &PanRow, swath: f64) -> Option<Measured> {
    let (length, width) = row.pan.as_ref()?;
    let mean = pattern(row)?.mean_at(swath)?;
    let area = length.value.get() * width.value.get();
    let rate = calibrate::sheet_rate(mean, area)?;
    let how = format!("{} lb on a pan of {} ft2 at {} ft", number_text(mean, 3), number_text(area, 2), trimmed(swath));
    measured(MeasuredWay::Pans, &row.made, Some(swath), &[rate], swath, how)
}

fn pattern(row: &PanRow) -> Option<Pattern> {
    Pattern::new(row.spacing.value.get(), row.weights.iter().map(|w| w.value.get()).collect())
}

fn thrown(row: &PanRow, limit: Option<f64>) -> Option<Thrown> {
    let pattern = pattern(row)?;
    Some(Thrown {
        date: row.made.date.value,
        setting: words(&row.made),
        mph: row.made.speed.value.get(),
        spacing_ft: row.spacing.value.get(),
        pans: row.weights.len(),
        sides: pattern.sides(),
        widest_ft: limit.and_then(|limit| pattern.widest(limit)),
        half_rate_ft: pattern.half_rate(),
        overlaps: pattern.overlaps(),
        place: row.made.place.clone(),
    })
}

/// The farm's swath is wider than the last pattern carries.
fn too_wide(calibration: &Calibration, spreader: &Spreader, findings: &mut Findings) {
    let (Some(pattern), Some(limit)) = (calibration.pattern(), &calibration.limit) else { return };
    let swath = spreader.swath.value.get();
    // Between two spacings nothing was measured: the next wider one counts.
    let at = pattern.overlaps.iter().find(|o| o.swath_ft >= swath - 1e-6);
    let at_swath = at.map_or("the row of pans is not wider than the swath".to_string(), |o| {
        format!("at the swath it is uneven by {} %", number_text(o.worse(), 0))
    });
    let benchmark = format!("at most {} %: {}", trimmed(limit.value.get()), limit.cite);
    let finding = match pattern.widest_ft {
        Some(widest) if swath <= widest + 1e-6 => return,
        Some(widest) => {
            let found = format!(
                "the spreader's swath is {}, and by the pans of {} passes lie evenly up to {} ft; {at_swath}",
                spreader.swath.value,
                pattern.date,
                trimmed(widest)
            );
            Finding::warning("swath-wide", &spreader.swath.place, found)
                .fix(format!("drive {} ft between passes, or fix the pattern and try again", trimmed(widest)))
        }
        None => {
            let found =
                format!("by the pans of {} no swath is as even as fertilizer should lie; {at_swath}", pattern.date);
            Finding::warning("swath-wide", &spreader.swath.place, found)
                .fix("check vanes, spinners and where the litter falls on them, then try again")
        }
    };
    findings.push(finding.accepts(benchmark).also(&pattern.place, "the row of pans"));
}

/// How long the last calibration stands, by the place. Told when it is past
/// that on the plan's first day, or when farm.yaml names another day.
fn age(
    spreader: &Spreader,
    written: &Written,
    measured: Option<Date>,
    large: bool,
    book: &Book<'_>,
    findings: &mut Findings,
) -> Option<Date> {
    let said = spreader.calibrated.as_ref();
    if let (Some(said), Some(measured)) = (said, measured)
        && said.value != measured
    {
        let found = format!("the spreader: `calibrated` is {}, and the last run was on {measured}", said.value);
        findings.push(
            Finding::warning("calibration-date", &said.place, found)
                .accepts("the day of the last run in calibration.yaml")
                .fix("write the later day into both files"),
        );
    }
    let last = said.map(|s| s.value).max(measured)?;
    let figure = book.get(topic::CALIBRATION_AGE, &Scope::new().large(large))?;
    let until = last.checked_add((figure.value.get() as i32).days()).ok()?;
    if until < book.on() {
        let place = said.map(|s| &s.place).or(written.calibration.as_ref().and(Some(&spreader.swath.place)))?;
        let found = format!("the spreader was last calibrated on {last}; that expired {until}");
        findings.push(
            Finding::warning("calibration-old", place, found)
                .accepts(format!("at most {} days: {}", trimmed(figure.value.get()), figure.cite))
                .fix("calibrate it before anything is spread, and write it into calibration.yaml"),
        );
    }
    Some(until)
}
