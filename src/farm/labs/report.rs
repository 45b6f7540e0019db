//! One laboratory report and what it belongs to, of either kind.

use crate::farm::dated::{Dated, HasDay};
use crate::farm::labs::block::ReportForm;
use crate::farm::recommended::Recommended;
use crate::farm::written::{Analysis, SoilTest, WrittenField, WrittenLot};
use crate::farm::{fields, litter};
use crate::findings::{At, Finding, Findings, Place};
use crate::text::Node;

/// One laboratory report, of either kind.
pub(super) trait Report: HasDay + Clone {
    fn read(node: &Node, findings: &mut Findings) -> Option<Self>;
    /// Every value as text, to tell two reports apart.
    fn says(&self) -> Vec<(&'static str, String)>;
}

/// What a report belongs to: a field or a lot.
pub(super) trait Holder {
    type Of: Report;
    fn id(&self) -> &At<String>;
    /// All reports of it, in the order of their days.
    fn reports(&mut self) -> &mut Dated<Self::Of>;
    /// The one that is in force.
    fn report(&mut self) -> &mut Option<Self::Of>;
}

impl Holder for WrittenField {
    type Of = SoilTest;
    fn id(&self) -> &At<String> {
        &self.id
    }
    fn reports(&mut self) -> &mut Dated<SoilTest> {
        &mut self.soil_tests
    }
    fn report(&mut self) -> &mut Option<SoilTest> {
        &mut self.soil_test
    }
}

impl Holder for WrittenLot {
    type Of = Analysis;
    fn id(&self) -> &At<String> {
        &self.id
    }
    fn reports(&mut self) -> &mut Dated<Analysis> {
        &mut self.analyses
    }
    fn report(&mut self) -> &mut Option<Analysis> {
        &mut self.analysis
    }
}

impl Report for SoilTest {
    fn read(node: &Node, findings: &mut Findings) -> Option<SoilTest> {
        // Columns have their yields in tons.
        fields::soil_test(node, &[], findings)
    }

    fn says(&self) -> Vec<(&'static str, String)> {
        let values = [
            ("p", Some(&self.p)),
            ("k", Some(&self.k)),
            ("mg", self.mg.as_ref()),
            ("zinc", self.zinc.as_ref()),
            ("copper", self.copper.as_ref()),
        ];
        let bare =
            [("ph", self.ph.as_ref()), ("buffer_ph", self.buffer_ph.as_ref()), ("acidity", self.acidity.as_ref())];
        let values = values.into_iter().filter_map(|(key, v)| {
            let (number, unit) = v?.value.shown();
            Some((key, format!("{number} {unit}")))
        });
        let bare = bare.into_iter().filter_map(|(key, v)| Some((key, v?.value.to_string())));
        let advice = self.recommended.iter().flat_map(Recommended::says);
        std::iter::once(("extractant", self.extractant.value.clone())).chain(values).chain(bare).chain(advice).collect()
    }
}

impl Report for Analysis {
    fn read(node: &Node, findings: &mut Findings) -> Option<Analysis> {
        litter::analysis(node, findings)
    }

    fn says(&self) -> Vec<(&'static str, String)> {
        let mut all = vec![
            ("basis", self.basis.value.word().to_string()),
            ("moisture", self.moisture.value.to_string()),
            ("total_n", self.total_n.value.to_string()),
            (if self.p.oxide { "p2o5" } else { "p" }, self.p.value.value.to_string()),
            (if self.k.oxide { "k2o" } else { "k" }, self.k.value.value.to_string()),
        ];
        for (key, content) in [("ammonium_n", &self.ammonium_n), ("nitrate_n", &self.nitrate_n)] {
            all.extend(content.as_ref().map(|c| (key, c.value.to_string())));
        }
        for (key, trace) in [("zinc", &self.zinc), ("copper", &self.copper)] {
            all.extend(trace.as_ref().map(|t| (key, t.value.to_string())));
        }
        all
    }
}

/// An id that the farm does not have.
pub(super) fn stranger(form: &ReportForm, place: &Place, found: String, id: &str, ids: &[String]) -> Finding {
    let finding = Finding::error("id-unknown", place, found).accepts(ids.join(", "));
    finding.fix(format!("write the id of a {} in farm.yaml", form.id)).near(id, ids.iter().map(String::as_str))
}
