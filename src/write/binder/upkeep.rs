//! Guidance, review, calibration, tests again, the log, safety, record forms.

use super::block::Block;
use super::papers::{Papers, or_dash, shown};
use super::rates::{ACROSS, xml_lines};
use crate::check::Contents;
use crate::plan::answer::{Caution, Plan};
use crate::units::{Quantity, trimmed};
use crate::write::calibrate::in_short;
use crate::write::sheet::words::{day, rate_text, said, xml};
use crate::write::{actual, tally};

fn sentences<'a>(list: impl Iterator<Item = &'a Caution>) -> Vec<String> {
    list.map(|c| said(c).text()).collect()
}

/// About animals, people and fire rather than about spreading.
fn of_safety(caution: &&Caution) -> bool {
    matches!(caution.about.as_str(), "dust" | "store_access" | "store_heat" | "biosecurity" | "report")
}

pub(super) fn guidance(plan: &Plan) -> Vec<Block> {
    vec![
        Block::Say("Stop, or do not start, when:".to_string()),
        Block::List(sentences(plan.stops.iter())),
        Block::Say("Take care:".to_string()),
        Block::List(sentences(plan.cautions.iter().filter(|c| !of_safety(c)))),
        Block::Say("For the planner:".to_string()),
        Block::List(sentences(plan.planner_notes.iter())),
    ]
}

pub(super) fn review(papers: &Papers<'_>) -> Vec<Block> {
    let text = format!("This plan ends on {}.", day(papers.plan().to));
    let heads = ["Year", "What changed: crops, animals, tests, fields", "Planner", "Date"];
    vec![Block::Say(text), Block::form("Reviewed each year", &heads, 6)]
}

/// When and how it was calibrated, the setting of every rate of the plan, and
/// the form for the next time.
pub(super) fn calibration(papers: &Papers<'_>) -> Vec<Block> {
    let ready = papers.ready;
    let spreader = &ready.spreader;
    let name = xml(&spreader.name);
    let swath = trimmed(spreader.swath.value.get());
    let mut blocks = vec![match ready.calibrated() {
        Some(on) => Block::Say(format!("{name}: last calibrated {}, swath {swath} ft.", day(on))),
        None => Block::Wanting(format!("a calibration of {name}")),
    }];
    if let Some(calibration) = &ready.calibration {
        let mut rates: Vec<f64> = papers.plan().fields.iter().flat_map(|f| &f.applications).map(|a| a.rate).collect();
        rates.sort_by(f64::total_cmp);
        rates.dedup();
        let row = |rate: &f64| {
            let set = calibration.setting_for(*rate);
            let (setting, more) = set.as_ref().map(in_short).unwrap_or_default();
            vec![rate_text(*rate), or_dash(Some(xml(&format!("{setting} {more}"))).filter(|_| set.is_some()))]
        };
        let rows = rates.iter().map(row).collect();
        blocks.push(Block::table("How to set it", &["Tons/ac>", "Setting"], rows));
    }
    let heads = ["Date", "Setting", "Speed", "Sheet, ft x ft", "Pounds on it", "Tons/ac", "Swath", "By"];
    blocks.push(Block::form("Calibrated again", &heads, 5));
    blocks
}

/// When each test falls due.
pub(super) fn retest(papers: &Papers<'_>) -> Vec<Block> {
    let soils = papers.ready.fields.iter().zip(&papers.plan().fields).map(|(field, planned)| {
        let test = field.written.soil_test.as_ref();
        vec![shown(&planned.id, &planned.name), "soil".to_string(), or_dash(test.map(|t| day(t.sampled.value)))]
    });
    let lots = papers.ready.lots.iter().map(|lot| {
        let sampled = match &lot.contents {
            Contents::Analysis(analysis) => day(analysis.sampled.value),
            Contents::Typical(_) => "MISSING".to_string(),
        };
        let good = lot.good_until.as_ref().map(|g| format!("; good through {}", day(g.last)));
        vec![xml(&lot.id), "litter".to_string(), format!("{sampled}{}", good.unwrap_or_default())]
    });
    vec![
        Block::table("", &["Field or lot", "Test", "Last sampled"], soils.chain(lots).collect()),
        Block::form("Sampled again", &["Field or lot", "Date", "Laboratory", "By", "Report filed"], 6),
    ]
}

/// What was done against what was planned and allowed.
pub(super) fn log(papers: &Papers<'_>) -> Vec<Block> {
    vec![
        Block::Set(xml_lines(&tally(papers.tally, None, ACROSS))),
        Block::Set(xml_lines(&actual(papers.actual, ACROSS))),
        Block::form("Where it differed from the plan", &["Date", "Field", "Planned", "Done", "Why"], 5),
    ]
}

pub(super) fn safety(plan: &Plan) -> Vec<Block> {
    vec![
        Block::List(sentences(plan.cautions.iter().filter(of_safety))),
        Block::Say("In an emergency call 911. Spills: stop, contain, keep it out of water, call the grower, ask at once whether the state must be notified (common practice).".to_string()),
    ]
}

/// What a record must hold, and forms for whoever writes by hand.
pub(super) fn records(plan: &Plan) -> Vec<Block> {
    let spread = [
        "Date",
        "Field",
        "Lot",
        "Acres",
        "Loads",
        "Tons",
        "From - to",
        "Weather, wind",
        "Rain before, after",
        "Soil",
        "Operator",
    ];
    let hauled = ["Date", "To whom, address, telephone", "Lot", "Tons", "Analysis given", "Use", "Hauler", "Signed"];
    vec![
        Block::Say("A spreading record must include:".to_string()),
        Block::List(sentences(plan.record_items.iter())),
        Block::form("Litter spread", &spread, 14),
        Block::form("Litter that left the farm", &hauled, 10),
    ]
}

/// The last page: who decides, and who signs.
pub(super) fn close(plan: &Plan) -> Vec<Block> {
    vec![
        Block::Say(format!("Who decides here: {}", plan.decides)),
        Block::Say("This binder does not replace local codes or a licensed or certified planner.".to_string()),
        Block::Sign(vec!["Grower", "Date", "Planner", "Date"]),
        Block::Sign(vec!["Applicator", "Date", "", ""]),
    ]
}
