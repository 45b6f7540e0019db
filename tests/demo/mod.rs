//! The demo farm taken the whole way, for every test that starts from it.

// Each test program uses its own part of this.
#![allow(dead_code)]

use jiff::civil::Date;
use std::path::Path;
use std::sync::Arc;
use sward::audit::Audited;
use sward::balance::{Balance, Driving, Surveyed};
use sward::check::Ready;
use sward::farm::{self, FarmText};
use sward::findings::Findings;
use sward::pipeline::{Day, Figures, Folder, Planned, Question, Weighed};
use sward::plan::{self, Plan};
use sward::tables::{self, Tables};

/// A file of the demo farm.
pub(crate) fn file(name: &str) -> String {
    std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("fields").join(name)).unwrap()
}

/// All files of the demo farm.
pub(crate) fn texts() -> FarmText {
    let [main, fields, keepouts, soils, calibration] =
        [farm::MAIN, farm::FIELDS, farm::KEEPOUTS, farm::SOILS, farm::CALIBRATION].map(|name| Some(file(name)));
    FarmText { main, fields, keepouts, soils, calibration, ..FarmText::default() }
}

/// The demo farm with its main file changed.
pub(crate) fn with_main(change: impl Fn(String) -> String) -> FarmText {
    FarmText { main: Some(change(file(farm::MAIN))), ..texts() }
}

/// One piece of text put in another's place, which must be there.
pub(crate) fn instead(text: &str, old: &str, new: &str) -> String {
    assert!(text.contains(old), "no `{old}`");
    text.replacen(old, new, 1)
}

/// The built-in tables with more laid over those of the demo farm's place.
pub(crate) fn tables_with(more: &str) -> Tables {
    tables_of(&["us-nc"], more)
}

/// The built-in tables with more laid over those of some places.
pub(crate) fn tables_of(places: &[&str], more: &str) -> Tables {
    let mut files = tables::built_in();
    files.extend(places.iter().map(|place| (format!("{place}/zz_more.yaml"), more.to_string())));
    let (tables, found) = tables::load(&files);
    assert!(more.is_empty() || !found.has_errors(), "{:?}", found.sorted());
    tables
}

/// Some source of the built-in tables.
pub(crate) fn any_source() -> String {
    tables::load(&tables::built_in()).0.sources.keys().next().unwrap().clone()
}

/// A farm at every stage.
pub(crate) struct Made {
    pub(crate) ready: Ready,
    pub(crate) ground: Vec<Surveyed>,
    pub(crate) weighed: Balance,
    pub(crate) audited: Audited,
    pub(crate) driving: Vec<Vec<Driving>>,
}

impl Made {
    pub(crate) fn plan(&self) -> &Plan {
        self.audited.plan()
    }

    pub(crate) fn place_of(&self, id: &str) -> usize {
        self.ready.fields.iter().position(|f| f.id() == id).unwrap()
    }
}

/// The whole way with the built-in tables.
pub(crate) fn made(texts: &FarmText) -> Made {
    made_with(texts, &tables_with(""))
}

/// The whole way; the farm must be sound and the plan must pass the audit.
pub(crate) fn made_with(texts: &FarmText, tables: &Tables) -> Made {
    let question = Question { figures: Figures::Loaded(Arc::new(tables.clone())), ..asked(texts) };
    let Planned { weighed: Weighed { ready, ground, balance, .. }, audited } =
        question.plan().unwrap_or_else(|f| panic!("{:?}", f.sorted()));
    let driving = plan::driving(audited.plan(), &ready, &ground);
    Made { ready, ground, weighed: balance, audited, driving }
}

/// The day that stands for today where a farm states none.
pub(crate) const TODAY: Date = jiff::civil::date(2027, 2, 1);

/// What is asked of a farm in memory, with the built-in tables.
pub(crate) fn asked(texts: &FarmText) -> Question<'_> {
    Question::of(Folder::memory(texts), Day::Stated { today: TODAY })
}

/// Everything that is said of a farm in memory before it is planned.
pub(crate) fn told(texts: &FarmText) -> Findings {
    asked(texts).check().findings
}

/// What a farm in a place whose tables ask it must say of phosphate and potash.
pub(crate) fn said_needs() -> String {
    let one = |topic| {
        format!(
            "  - {{topic: {topic}, applies: {{forage: tall_fescue}}, value: 60 lb/ac, by: the soil report, on: 2026-12-20}}\n"
        )
    };
    format!("figures:\n{}{}", one("p2o5_need"), one("k2o_need"))
}
