//! Soil and litter tests, forage, yield goals, and where nutrients come from.

use super::papers::{Papers, or_dash, say, shown, table, table_or};
use crate::check::{Contents, Field, Ready};
use crate::plan::answer::{FieldPlan, GoalFrom, Plan};
use crate::units::{Quantity, number_text, trimmed};
use crate::write::known::{legend, signed};
use crate::write::leaf::Part;
use crate::write::page::tons;
use crate::write::words::{day, days, en};

pub(super) fn soil_tests(papers: &Papers<'_>) -> Vec<Part> {
    let rows = papers.fields().map(|(field, planned)| {
        let name = shown(&planned.id, &planned.name);
        let Some(test) = &field.written.soil_test else {
            return [name, en::MISSING.to_string()].into_iter().chain((0..7).map(|_| or_dash(None))).collect();
        };
        let [zinc, copper] = [&test.zinc, &test.copper].map(|v| or_dash(v.as_ref().map(|v| v.value.to_string())));
        vec![
            name,
            match field.test_expired {
                Some(last) => en::sampled_expired(day(test.sampled.value), &test.lab, day(last)),
                None => format!("{}, {}", day(test.sampled.value), test.lab),
            },
            test.extractant.value.replace('_', " "),
            signed(test.p.value.to_string(), planned.known.soil),
            signed(or_dash(planned.phosphorus.class.clone()), planned.known.class),
            signed(test.k.value.to_string(), planned.known.soil),
            or_dash(test.ph.as_ref().map(|ph| trimmed(ph.value))),
            zinc,
            copper,
        ]
    });
    let open = papers.fields().filter(|(field, _)| field.written.closed.is_none());
    let new_test = |(field, planned): (&Field, &FieldPlan)| {
        Some(Part::Wanting(en::new_test(shown(&planned.id, &planned.name), field.lacks_test()?)))
    };
    let new_tests = open.filter_map(new_test);
    let signs = legend(papers.plan().fields.iter().flat_map(|f| [f.known.soil, f.known.class])).map(say);
    std::iter::once(table("", en::TEST_HEADS, rows)).chain(signs).chain(new_tests).collect()
}

pub(super) fn litter_tests(ready: &Ready) -> Vec<Part> {
    let rows = ready.lots.iter().filter_map(|lot| {
        let Contents::Analysis(analysis) = &lot.contents else { return None };
        let as_either = |content: f64, oxide: bool, [of_oxide, plain]: [&str; 2]| {
            en::content_as(trimmed(content), if oxide { of_oxide } else { plain })
        };
        Some(vec![
            lot.id.clone(),
            format!("{}, {}", day(analysis.sampled.value), analysis.lab),
            analysis.basis.value.word().to_string(),
            trimmed(analysis.moisture.value.get()),
            trimmed(analysis.total_n.value.get()),
            or_dash(analysis.ammonium_n.as_ref().map(|n| trimmed(n.value.get()))),
            as_either(analysis.p.value.value.get(), analysis.p.oxide, ["P2O5", "P"]),
            as_either(analysis.k.value.value.get(), analysis.k.oxide, ["K2O", "K"]),
            or_dash(lot.good_until.as_ref().map(|g| day(g.last))),
        ])
    });
    let mut rows = rows.peekable();
    let mut parts = Vec::new();
    if rows.peek().is_some() {
        parts.push(table(en::AS_ANALYZED, en::ANALYSIS_HEADS, rows));
    }
    for lot in &ready.lots {
        if let Contents::Typical(typical) = &lot.contents {
            let contents = [&typical.total_n, &typical.p2o5, &typical.k2o].map(|c| trimmed(c.value.get())).join("-");
            parts.push(Part::Wanting(en::new_analysis(&lot.id, contents, &typical.total_n.cite)));
        }
    }
    parts
}

pub(super) fn crops(plan: &Plan) -> Vec<Part> {
    let rows = plan.fields.iter().map(|f| {
        let cut: Vec<String> = f.cuttings.iter().map(|d| day(*d)).collect();
        let grazed: Vec<String> = f.grazed.iter().map(|(first, last)| days(*first, *last)).collect();
        let list = |l: Vec<String>| or_dash(Some(l.join("; ")).filter(|text| !text.is_empty()));
        vec![shown(&f.id, &f.name), f.forage.clone(), f.usage.clone(), list(cut), list(grazed)]
    });
    vec![table("", en::CROP_HEADS, rows)]
}

pub(super) fn yield_goals(plan: &Plan) -> Vec<Part> {
    let rows = plan.fields.iter().map(|f| {
        let from = match f.goal.from {
            GoalFrom::Stated => en::STATED,
            GoalFrom::PastYears => en::BEST_YEARS,
            GoalFrom::Survey => en::SURVEYED,
            GoalFrom::Soils => en::FROM_SOILS,
        };
        vec![shown(&f.id, &f.name), f.forage.clone(), number_text(f.goal.tons, 2), from.to_string()]
    });
    vec![table("", en::GOAL_HEADS, rows)]
}

/// Litter, animals, houses, fertilizer.
pub(super) fn sources(papers: &Papers<'_>) -> Vec<Part> {
    let (plan, ready) = (papers.plan(), papers.ready);
    let lots = plan.lots.iter().map(|l| {
        let lot = ready.lot(&l.id);
        let counting = l.counting.as_ref().map(|c| format!("{}; {}", c.from, c.sure));
        vec![
            l.id.clone(),
            l.kind.clone(),
            or_dash(lot.and_then(|l| l.from.clone())),
            tons(l.on_hand),
            tons(l.coming),
            tons(l.planned),
            tons(l.after_spreading()),
            or_dash(counting.or_else(|| lot.and_then(|l| l.counted.clone()))),
        ]
    });
    let herds = ready.herds.iter().map(|h| {
        let on: Vec<&str> = h.fields.iter().map(|f| f.value.as_str()).collect();
        vec![h.kind.clone(), h.head.value.to_string(), on.join(", ")]
    });
    let mut parts =
        vec![table(en::LITTER, en::LOT_HEADS, lots), table_or(en::NO_ANIMALS, en::ANIMALS, en::HERD_HEADS, herds)];
    if let Some(days) = papers.days.filter(|days| !days.made.is_empty()) {
        let rows = days.made.iter().map(|h| vec![h.name.clone(), number_text(h.tons, 0)]);
        parts.push(table(en::MADE, en::HOUSE_HEADS, rows));
    }
    if let Some(buy) = &plan.buy {
        let rows = buy.products.iter().filter(|p| p.tons >= 0.005).map(|p| {
            let bag = [p.analysis.n, p.analysis.p2o5, p.analysis.k2o].map(trimmed).join("-");
            vec![p.name.clone(), bag, number_text(p.tons, 2)]
        });
        parts.push(table_or(en::NONE_NEEDED, en::TO_BUY, en::PRODUCT_HEADS, rows));
    }
    parts
}
