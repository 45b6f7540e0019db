//! Guidance, review, calibration, tests again, the log, safety, record forms.

use super::papers::{Papers, form, list, or_dash, say, shown, table};
use super::rates::ACROSS;
use crate::check::Contents;
use crate::plan::answer::{Caution, Plan};
use crate::units::{Quantity, rate_text, trimmed};
use crate::write::calibrate::in_short;
use crate::write::leaf::Part;
use crate::write::words::{day, en, said};
use crate::write::{actual, tally};

fn sentences<'a>(of: impl Iterator<Item = &'a Caution>) -> Part {
    list(of.map(|c| said(c).text()))
}

/// About animals, people and fire rather than about spreading.
fn of_safety(caution: &&Caution) -> bool {
    matches!(caution.about.as_str(), "dust" | "store_access" | "store_heat" | "biosecurity" | "report")
}

pub(super) fn guidance(plan: &Plan) -> Vec<Part> {
    vec![
        say(en::STOP_WHEN),
        sentences(plan.stops.iter()),
        say(en::TAKE_CARE_OF),
        sentences(plan.cautions.iter().filter(|c| !of_safety(c))),
        say(en::FOR_PLANNER),
        list(plan.planner_notes.iter().filter(|note| !note.of_trend()).map(Caution::marked)),
    ]
}

pub(super) fn review(papers: &Papers<'_>) -> Vec<Part> {
    vec![say(en::ends(day(papers.plan().to))), form(en::REVIEWED, en::REVIEW_HEADS, 6)]
}

/// When and how it was calibrated, the setting of every rate of the plan, and
/// the form for the next time.
pub(super) fn calibration(papers: &Papers<'_>) -> Vec<Part> {
    let ready = papers.ready;
    let spreader = &ready.spreader;
    let swath = trimmed(spreader.swath.value.get());
    let mut parts = vec![match ready.calibrated() {
        Some(on) => say(en::last_calibrated(&spreader.name, day(on), swath)),
        None => Part::Wanting(en::a_calibration(&spreader.name)),
    }];
    if let Some(calibration) = &ready.calibration {
        let mut rates: Vec<f64> = papers.plan().fields.iter().flat_map(|f| &f.applications).map(|a| a.rate).collect();
        rates.sort_by(f64::total_cmp);
        rates.dedup();
        let rows = rates.into_iter().map(|rate| {
            let set = calibration.setting_for(rate).as_ref().map(in_short);
            vec![rate_text(rate), or_dash(set.map(|(setting, more)| format!("{setting} {more}")))]
        });
        parts.push(table(en::HOW_TO_SET, en::SET_HEADS, rows));
    }
    parts.push(form(en::CALIBRATED_AGAIN, en::CALIBRATION_HEADS, 5));
    parts
}

/// When each test falls due.
pub(super) fn retest(papers: &Papers<'_>) -> Vec<Part> {
    let soils = papers.fields().map(|(field, planned)| {
        let sampled = field.written.soil_test.as_ref().map(|test| day(test.sampled.value));
        let until = match (sampled, field.test_expired, &field.good_until) {
            (None, ..) => en::MISSING.to_string(),
            (Some(sampled), Some(last), _) => en::sampled_over(sampled, day(last)),
            (Some(sampled), None, Some(good)) => en::sampled_good(sampled, day(good.last)),
            (Some(sampled), None, None) => sampled,
        };
        vec![shown(&planned.id, &planned.name), en::SOIL.to_string(), until]
    });
    let lots = papers.ready.lots.iter().map(|lot| {
        let sampled = match &lot.contents {
            Contents::Analysis(analysis) => day(analysis.sampled.value),
            Contents::Typical(_) => en::MISSING.to_string(),
        };
        let until = match &lot.good_until {
            Some(good) => en::sampled_good(sampled, day(good.last)),
            None => sampled,
        };
        vec![lot.id.clone(), en::LITTER_TEST.to_string(), until]
    });
    vec![table("", en::RETEST_HEADS, soils.chain(lots)), form(en::SAMPLED_AGAIN, en::SAMPLE_HEADS, 6)]
}

/// What was done against what was planned and allowed.
pub(super) fn log(papers: &Papers<'_>) -> Vec<Part> {
    vec![
        Part::Set(tally(papers.tally, ACROSS)),
        Part::Set(actual(papers.actual, ACROSS)),
        form(en::DIFFERED, en::DIFFER_HEADS, 5),
    ]
}

pub(super) fn safety(plan: &Plan) -> Vec<Part> {
    vec![sentences(plan.cautions.iter().filter(of_safety)), say(en::EMERGENCY)]
}

/// What a record must hold, and forms for whoever writes by hand.
pub(super) fn records(plan: &Plan) -> Vec<Part> {
    vec![
        say(en::RECORD_OF),
        sentences(plan.record_items.iter()),
        form(en::SPREAD_FORM, en::SPREAD_HEADS, 14),
        form(en::HAULED_FORM, en::HAULED_HEADS, 10),
    ]
}

/// The last page: who decides, and who signs.
pub(super) fn close(plan: &Plan) -> Vec<Part> {
    vec![
        Part::Title(en::WHO_DECIDES),
        say(en::decides_here(&plan.decides)),
        say(en::NOT_INSTEAD),
        Part::Sign(en::SIGN_GROWER),
        Part::Sign(en::SIGN_APPLICATOR),
    ]
}
