//! Runs of one setting that tell different things, and a swath that is another now.

use crate::check::{Calibration, Measured};
use crate::findings::{Finding, Findings};
use crate::units::{number_text, trimmed};

/// Runs of one setting that differ by more than this in pounds a minute do not say how
/// fast to drive. Our own bound.
const ALIKE: f64 = 0.10;

/// Swaths closer than this are the same: whole feet are written.
const SAME_FT: f64 = 0.5;

/// A farm whose swath is not the one of its calibration: how evenly litter falls over it,
/// nobody measured. Where a row of pans is as new, that says it.
pub(super) fn changed(calibration: &Calibration, findings: &mut Findings) {
    let sound = calibration.sound();
    let Some(last) = sound.iter().max_by_key(|run| run.date) else { return };
    let swath = calibration.swath_ft;
    let same = |run: &&Measured| run.lane_ft.is_some_and(|lane| (lane - swath).abs() < SAME_FT);
    let by_pans = calibration.pattern().is_some_and(|pattern| pattern.date >= last.date);
    let Some(lane) = last.lane_ft.filter(|_| !by_pans && !sound.iter().filter(|r| r.date == last.date).any(same))
    else {
        return;
    };
    let (swath, lane) = (trimmed(swath), trimmed(lane));
    let found = format!(
        "the spreader's swath is {swath} ft, and the {} run of {} was driven at {lane} ft: its rate was recalculated for \
         {swath} ft, and how evenly litter falls over that was not measured",
        last.way.word(),
        last.date
    );
    findings.push(
        Finding::warning("swath-changed", &last.place, found)
            .accepts(format!("a run at the swath of farm.yaml, {swath} ft"))
            .fix(format!("calibrate at {swath} ft, best with a row of pans; or set `swath: {lane} ft` again")),
    );
}

/// Gate and chain as they were, the same pounds leave the spreader in a minute at any
/// speed: runs that differ were not made alike, or one of them is wrong.
pub(super) fn differ(calibration: &Calibration, findings: &mut Findings) {
    let sound = calibration.sound();
    let mut told: Vec<&str> = Vec::new();
    for run in &sound {
        let alike = || sound.iter().filter(|r| r.setting == run.setting);
        let poured = || alike().filter_map(|r| Some((r.lb_per_minute?, *r)));
        let least = poured().min_by(|a, b| a.0.total_cmp(&b.0));
        let most = poured().max_by(|a, b| a.0.total_cmp(&b.0));
        let (Some((low, least)), Some((high, most))) = (least, most) else { continue };
        if high <= low * (1.0 + ALIKE) || told.contains(&run.setting.as_str()) {
            continue;
        }
        told.push(&run.setting);
        let of = |pounds: f64, r: &Measured| {
            format!("{} lb a minute at {} mph ({}, {})", number_text(pounds, 0), trimmed(r.mph), r.way.word(), r.date)
        };
        let setting = if run.setting.is_empty() { "one setting" } else { run.setting.as_str() };
        let found = format!("{setting}: {} and {} differ by more than a tenth", of(low, least), of(high, most));
        findings.push(
            Finding::warning("calibration-differs", &most.place, found)
                .accepts("much the same at every speed, since gate and chain stay as they were")
                .fix("check weights, widths and distances of both, and measure again before you rely on a speed between them")
                .also(&least.place, "the lower one"),
        );
    }
}
