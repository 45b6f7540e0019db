//! Soil and litter tests, forage, yield goals, and where nutrients come from.

use super::block::Block;
use super::papers::{Papers, or_dash, shown};
use crate::check::{Contents, Ready};
use crate::plan::answer::{FieldPlan, GoalFrom, Plan};
use crate::units::{Quantity, number_text, trimmed};
use crate::write::page::tons;
use crate::write::sheet::words::{day, days, xml};

pub(super) fn soil_tests(papers: &Papers<'_>) -> Vec<Block> {
    let rows = papers.ready.fields.iter().zip(&papers.plan().fields).map(|(field, planned)| {
        let name = shown(&planned.id, &planned.name);
        let Some(test) = &field.written.soil_test else {
            return vec![name, "MISSING".to_string()].into_iter().chain((0..7).map(|_| "-".to_string())).collect();
        };
        let [zinc, copper] = [&test.zinc, &test.copper].map(|v| or_dash(v.as_ref().map(|v| v.value.to_string())));
        vec![
            name,
            format!("{}, {}", day(test.sampled.value), xml(&test.lab)),
            test.extractant.value.replace('_', " "),
            test.p.value.to_string(),
            or_dash(planned.phosphorus.class.clone()),
            test.k.value.to_string(),
            or_dash(test.ph.as_ref().map(|ph| trimmed(ph.value))),
            zinc,
            copper,
        ]
    });
    let heads = ["Field", "Sampled, laboratory", "Extractant", "P>", "Class", "K>", "pH>", "Zinc>", "Copper>"];
    let mut blocks = vec![Block::table("", &heads, rows.collect())];
    let barred = |f: &&FieldPlan| f.bars.iter().any(|b| b.why.starts_with("soil test"));
    for field in papers.plan().fields.iter().filter(barred) {
        let why: Vec<&str> = field.bars.iter().map(|b| b.why.as_str()).collect();
        blocks.push(Block::Wanting(format!(
            "a new soil test of {}: {}",
            shown(&field.id, &field.name),
            why.join("; ")
        )));
    }
    blocks
}

pub(super) fn litter_tests(ready: &Ready) -> Vec<Block> {
    let mut blocks = Vec::new();
    let rows = ready.lots.iter().filter_map(|lot| {
        let Contents::Analysis(analysis) = &lot.contents else { return None };
        let as_either = |content: f64, oxide: bool, names: [&str; 2]| {
            format!("{} as {}", trimmed(content), if oxide { names[0] } else { names[1] })
        };
        Some(vec![
            xml(&lot.id),
            format!("{}, {}", day(analysis.sampled.value), xml(&analysis.lab)),
            analysis.basis.value.word().to_string(),
            trimmed(analysis.moisture.value.get()),
            trimmed(analysis.total_n.value.get()),
            or_dash(analysis.ammonium_n.as_ref().map(|n| trimmed(n.value.get()))),
            as_either(analysis.p.value.value.get(), analysis.p.oxide, ["P2O5", "P"]),
            as_either(analysis.k.value.value.get(), analysis.k.oxide, ["K2O", "K"]),
            or_dash(lot.good_until.as_ref().map(|g| day(g.last))),
        ])
    });
    let rows: Vec<Vec<String>> = rows.collect();
    let heads = [
        "Lot",
        "Sampled, laboratory",
        "Basis",
        "Moisture %>",
        "Total N>",
        "Ammonium N>",
        "Phosphorus>",
        "Potassium>",
        "Good through",
    ];
    if !rows.is_empty() {
        blocks.push(Block::table("Pounds per ton, on the laboratory's basis", &heads, rows));
    }
    for lot in &ready.lots {
        if let Contents::Typical(typical) = &lot.contents {
            let text = format!(
                "a litter analysis of {}; the plan takes typical contents, {}-{}-{} pounds of N, P2O5 and K2O a ton ({})",
                xml(&lot.id),
                trimmed(typical.total_n.value.get()),
                trimmed(typical.p2o5.value.get()),
                trimmed(typical.k2o.value.get()),
                typical.total_n.cite
            );
            blocks.push(Block::Wanting(text));
        }
    }
    blocks
}

pub(super) fn crops(plan: &Plan) -> Vec<Block> {
    let row = |f: &FieldPlan| {
        let cut: Vec<String> = f.cuttings.iter().map(|d| day(*d)).collect();
        let grazed: Vec<String> = f.grazed.iter().map(|(first, last)| days(*first, *last)).collect();
        let list = |l: Vec<String>| if l.is_empty() { "-".to_string() } else { l.join("; ") };
        vec![shown(&f.id, &f.name), f.forage.clone(), f.usage.clone(), list(cut), list(grazed)]
    };
    let heads = ["Field", "Forage", "Use", "Cuttings planned", "Grazing planned"];
    vec![Block::table("", &heads, plan.fields.iter().map(row).collect())]
}

pub(super) fn yield_goals(plan: &Plan) -> Vec<Block> {
    let row = |f: &FieldPlan| {
        let from = match f.goal.from {
            GoalFrom::Stated => "stated by the grower",
            GoalFrom::PastYears => "mean of the best of the latest years",
            GoalFrom::Survey => "a soil survey's figure",
            GoalFrom::Soils => "the soils mapped under it, by their acres",
        };
        vec![shown(&f.id, &f.name), f.forage.clone(), number_text(f.goal.tons, 2), from.to_string()]
    };
    let heads = ["Field", "Forage", "Tons of dry hay/ac>", "Where it comes from"];
    vec![Block::table("", &heads, plan.fields.iter().map(row).collect())]
}

/// Litter, animals, houses, fertilizer.
pub(super) fn sources(papers: &Papers<'_>) -> Vec<Block> {
    let (plan, ready) = (papers.plan(), papers.ready);
    let lots = plan.lots.iter().map(|l| {
        let lot = ready.lot(&l.id);
        let said = lot.and_then(|l| l.counted.clone());
        let counting = l.counting.as_ref().map(|c| format!("{}; {}", c.from, c.sure));
        let counted = counting.or(said).map(|text| xml(&text));
        vec![
            xml(&l.id),
            l.kind.clone(),
            or_dash(lot.and_then(|l| l.from.as_deref()).map(xml)),
            tons(l.on_hand),
            tons(l.planned),
            tons(l.left),
            or_dash(counted),
        ]
    });
    let heads = ["Lot", "Kind", "From", "Tons on hand>", "To spread>", "Left>", "How counted"];
    let mut blocks = vec![Block::table("Litter", &heads, lots.collect())];
    let herds = ready.herds.iter().map(|h| {
        let on: Vec<&str> = h.fields.iter().map(|f| f.value.as_str()).collect();
        vec![xml(&h.kind), h.head.to_string(), xml(&on.join(", "))]
    });
    blocks.push(Block::table_or(
        "no livestock in farm.yaml",
        "Animals",
        &["Kind", "ColumnHead>", "On"],
        herds.collect(),
    ));
    if let Some(days) = papers.days {
        let made = days.made.iter().map(|h| vec![xml(&h.name), number_text(h.tons, 0)]);
        let rows: Vec<Vec<String>> = made.collect();
        if !rows.is_empty() {
            blocks.push(Block::table("Litter that the houses make", &["House", "Tons a year>"], rows));
        }
    }
    if let Some(buy) = &plan.buy {
        let rows = buy.products.iter().filter(|p| p.tons >= 0.005).map(|p| {
            let bag = [p.analysis.n, p.analysis.p2o5, p.analysis.k2o].map(trimmed).join("-");
            vec![xml(&p.name), bag, number_text(p.tons, 2)]
        });
        let heads = ["Product", "N-P2O5-K2O", "Tons>"];
        blocks.push(Block::table_or("none needed", "Fertilizer to buy", &heads, rows.collect()));
    }
    blocks
}
