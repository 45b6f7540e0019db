//! What tests share: small invented farms made by a builder, in two states;
//! the way from texts to a plan in JSON or to findings; the audit of such a
//! plan; dice; the program itself.
//!
//! A test sees texts go in and JSON or findings come out, never the inside:
//! so it still holds when the inside is built anew.

// Each test program uses its own part of this.
#![allow(dead_code, unused_imports)]

mod damage;
mod dice;
mod drawn;
mod farm;
mod run;
mod tables;

pub(crate) use damage::{Blow, damaged};
pub(crate) use dice::Dice;
pub(crate) use drawn::{LOTS, some_farm, trading};
pub(crate) use farm::{Farm, GA, MD, NC, PLACES, Place, VA, fit, houses, own_figure};
pub(crate) use run::*;
pub(crate) use tables::{PlaceFigures, figure, rule};

use serde_json::Value;
use std::collections::BTreeSet;
use std::sync::Arc;
use sward::audit;
use sward::balance::How;
use sward::check::Ready;
use sward::farm::FarmText;
use sward::findings::{Findings, Origin};
use sward::pipeline::{self, Day, Figures, Folder, Question};
use sward::plan;
use sward::tables::Tables;

/// A farm after the checks.
pub(crate) struct Checked {
    pub(crate) tables: Arc<Tables>,
    pub(crate) ready: Option<Ready>,
    pub(crate) findings: Findings,
}

impl Checked {
    /// The codes of all findings, each once.
    pub(crate) fn codes(&self) -> BTreeSet<String> {
        self.findings.sorted().iter().map(|f| f.code.to_string()).collect()
    }

    /// What the findings of a code found.
    pub(crate) fn found(&self, code: &str) -> Vec<String> {
        self.findings.sorted().iter().filter(|f| f.code == code).map(|f| f.found.clone()).collect()
    }
}

/// What is asked of a farm in memory, at the end of its year.
pub(crate) fn asked<'a>(texts: &'a FarmText, log: &'a str, farm: &Farm) -> Question<'a> {
    let today = jiff::civil::date(2027, 12, 31);
    let figures = Figures::Loaded(farm.tables());
    Question { figures, ..Question::of(Folder::Memory { texts, log }, Day::Stated { today }) }
}

/// Reads and checks a farm: texts in, findings out.
pub(crate) fn checked(farm: &Farm) -> Checked {
    let pipeline::Checked { tables, ready, findings, .. } = asked(&farm.texts(), &farm.log_text(), farm).check();
    Checked { tables, ready, findings }
}

/// The codes of all that stands at a farm once every limit is known.
pub(crate) fn weighed_codes(farm: &Farm) -> BTreeSet<String> {
    weighed(farm).iter().map(|f| f.code.to_string()).collect()
}

/// What is told before anything is planned.
pub(crate) fn weighed(farm: &Farm) -> Vec<sward::findings::Finding> {
    let weighed = asked(&farm.texts(), &farm.log_text(), farm).check().weigh();
    let found = weighed.map_or_else(|found| found, |weighed| weighed.findings);
    found.sorted().into_iter().cloned().collect()
}

/// A farm with its plan.
pub(crate) struct Planned {
    pub(crate) tables: Arc<Tables>,
    pub(crate) ready: Ready,
    pub(crate) findings: Findings,
    /// The text that `sward plan --json` prints.
    pub(crate) text: String,
    /// The same, read.
    pub(crate) json: Value,
    /// What `sward tally --json` prints.
    pub(crate) tally: Value,
    /// The figures that some step of a field is calculated from.
    pub(crate) used: BTreeSet<String>,
}

/// The plan of a farm, which must be sound, with all that it rests on.
pub(crate) fn made(farm: &Farm) -> pipeline::Planned {
    let made = asked(&farm.texts(), &farm.log_text(), farm).plan();
    made.unwrap_or_else(|f| panic!("{}\n{:?}", farm.main(), f.sorted()))
}

/// Plans a farm, which must be sound; the plan must pass the audit.
pub(crate) fn planned(farm: &Farm) -> Planned {
    let made = made(farm);
    let findings = made.findings.clone();
    let tally = plan::tally(&made.ready, &made.tables, &made.balance, made.audited.plan());
    let tally = serde_json::from_str(&sward::write::tally_json(&tally)).unwrap();
    let text = sward::write::plan_json(&made.audited);
    let json = serde_json::from_str(&text).unwrap();
    let steps = made.balance.fields.iter().flat_map(|field| field.notes.steps());
    let used = steps.filter_map(|step| match &step.how {
        How::From(Origin::Figure(cite)) | How::Curve { cite, .. } | How::Class { cite, .. } => {
            Some(cite.figure.clone())
        }
        _ => None,
    });
    let used = used.collect();
    let pipeline::Weighed { tables, ready, .. } = made.weighed;
    Planned { tables, ready, findings, text, json, tally, used }
}

impl Planned {
    /// A field of the plan.
    pub(crate) fn field(&self, id: &str) -> &Value {
        self.json["fields"].as_array().unwrap().iter().find(|f| f["id"] == id).expect("the plan has the field")
    }

    /// A lot of the plan.
    pub(crate) fn lot(&self, id: &str) -> &Value {
        self.json["lots"].as_array().unwrap().iter().find(|l| l["id"] == id).expect("the plan has the lot")
    }

    /// The applications of a field.
    pub(crate) fn spread(&self, id: &str) -> &Vec<Value> {
        self.field(id)["applications"].as_array().unwrap()
    }

    /// Tons per acre of all applications of a field.
    pub(crate) fn rate(&self, id: &str) -> f64 {
        self.spread(id).iter().map(|a| a["rate"].as_f64().unwrap()).sum()
    }

    /// First and last day of every application of a field.
    pub(crate) fn days(&self, id: &str) -> Vec<(&str, &str)> {
        self.spread(id).iter().map(|a| (a["first"].as_str().unwrap(), a["last"].as_str().unwrap())).collect()
    }

    /// A number of a field, by its JSON pointer.
    pub(crate) fn number(&self, id: &str, at: &str) -> f64 {
        let value = self.field(id).pointer(at);
        value.and_then(Value::as_f64).unwrap_or_else(|| panic!("no number {at}: {}", self.field(id)))
    }

    /// The reasons that bar a field.
    pub(crate) fn bars(&self, id: &str) -> usize {
        self.field(id)["bars"].as_array().unwrap().len()
    }

    /// The codes of all findings of the checks, each once.
    pub(crate) fn codes(&self) -> BTreeSet<String> {
        self.findings.sorted().iter().map(|f| f.code.to_string()).collect()
    }

    /// The codes of what the tally told, each once.
    pub(crate) fn tally_codes(&self) -> BTreeSet<String> {
        let findings = self.tally["findings"].as_array().unwrap();
        findings.iter().map(|f| f["code"].as_str().unwrap().to_string()).collect()
    }

    /// The figures of its place.
    pub(crate) fn figures(&self) -> PlaceFigures<'_> {
        PlaceFigures::of(&self.ready, &self.tables)
    }
}

/// What an audit tells of figures that are merely shown, or of sums: codes that
/// say of no limit that it was passed.
const SHOWN: [&str; 6] = ["shown", "money", "buy", "tally", "whole", "acres"];

/// Audits the text of a plan against a farm that may be another one: the codes
/// of the limits that it passes on any field.
pub(crate) fn passed_limits(text: &str, farm: &Farm) -> BTreeSet<String> {
    let verdicts = verdicts(text, farm);
    let reasons = verdicts.fields.iter().flat_map(|f| &f.reasons);
    reasons.map(|r| r.code.clone()).filter(|code| !SHOWN.contains(&code.as_str())).collect()
}

/// All codes of a verdict, sums and shown figures too.
pub(crate) fn verdict_codes(text: &str, farm: &Farm) -> BTreeSet<String> {
    verdict_reasons(text, farm).into_iter().map(|reason| reason.code).collect()
}

/// All that a verdict says, line by line.
pub(crate) fn verdict_texts(text: &str, farm: &Farm) -> String {
    verdict_reasons(text, farm).into_iter().map(|reason| reason.found + "\n").collect()
}

fn verdict_reasons(text: &str, farm: &Farm) -> Vec<audit::Reason> {
    let verdicts = verdicts(text, farm);
    verdicts.fields.iter().flat_map(|f| &f.reasons).chain(&verdicts.whole).cloned().collect()
}

/// A plan against a farm. Where it does fields in parts, the farm has them so.
fn verdicts(text: &str, farm: &Farm) -> audit::Verdicts {
    let (plan, _) = audit::read("plan.json", text).unwrap_or_else(|f| panic!("{f:?}"));
    let Checked { tables, ready, findings } = checked(farm);
    let ready = ready.unwrap_or_else(|| panic!("{:?}", findings.sorted()));
    let ready = if plan.in_parts.is_some() { made(farm).weighed.ready } else { ready };
    audit::verdicts(&plan, &ready, &tables)
}

/// A day so many days later.
pub(crate) fn later(day: &str, days: i32) -> String {
    use jiff::ToSpan;
    day.parse::<jiff::civil::Date>().unwrap().checked_add(days.days()).unwrap().to_string()
}
