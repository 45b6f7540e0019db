//! The budget of every field, its limits, its ratings and where they lead.

use super::block::Block;
use super::papers::{Papers, or_dash, shown};
use crate::balance::Npk;
use crate::findings::Severity;
use crate::plan::answer::{FieldPlan, Outlook, Plan};
use crate::units::{number_text, trimmed};
use crate::write::findings::in_a_line;
use crate::write::sheet::words::{day, xml};

fn three(of: &Npk<f64>) -> [String; 3] {
    [of.n, of.p2o5, of.k2o].map(|v| number_text(v, 0))
}

/// The head of three columns, and what of a field stands in them.
type Three = (&'static str, fn(&FieldPlan) -> Npk<f64>);

fn table(title: &str, plan: &Plan, columns: &[Three]) -> Block {
    let heads: Vec<&'static str> =
        std::iter::once("Field").chain(columns.iter().flat_map(|(name, _)| [*name, "P2O5>", "K2O>"])).collect();
    let row = |f: &FieldPlan| {
        std::iter::once(shown(&f.id, &f.name)).chain(columns.iter().flat_map(|(_, get)| three(&get(f)))).collect()
    };
    Block::table(title, &heads, plan.fields.iter().map(row).collect())
}

/// Need, what is on, what the plan puts on, what is short and what is over;
/// then every limit.
pub(super) fn budget(plan: &Plan) -> Vec<Block> {
    let mut blocks = vec![
        Block::Say("Pounds per acre in the plan's year; nitrogen as far as it is available.".to_string()),
        table(
            "Nutrients needed and what the plan applies",
            plan,
            &[("Needed: N>", |f| f.need), ("On already: N>", |f| f.done), ("Litter: N>", |f| f.supplied)],
        ),
        table(
            "The result",
            plan,
            &[("Short: N>", |f| f.short), ("Over: N>", |f| f.over), ("Carried off: N>", |f| f.removed)],
        ),
        limits(plan),
    ];
    let warnings = plan.findings.iter().filter(|f| f.severity == Severity::Warning);
    let check: Vec<String> = warnings.map(|f| xml(&in_a_line(f))).collect();
    if !check.is_empty() {
        blocks.extend([Block::Say("Check these:".to_string()), Block::List(check)]);
    }
    blocks
}

fn limits(plan: &Plan) -> Block {
    let row = |f: &FieldPlan| {
        let p = &f.phosphorus;
        vec![
            shown(&f.id, &f.name),
            number_text(f.n_allowed, 0),
            p.basis.word().to_string(),
            p.allowed.map_or_else(|| "-".to_string(), |v| number_text(v, 0)),
            number_text(p.planned, 0),
            f.held.by.word().to_string(),
            or_dash(f.held.rate.map(|r| number_text(r, 2))),
            or_dash(f.next.map(|n| format!("{} at {}", n.kind.word(), number_text(n.rate, 2)))),
        ]
    };
    let heads = [
        "Field",
        "N allowed>",
        "Phosphate by",
        "P2O5 allowed>",
        "P2O5 planned>",
        "Limited by",
        "tons/ac>",
        "Next limit, tons/ac",
    ];
    Block::table("Limits, phosphorus first", &heads, plan.fields.iter().map(row).collect())
}

pub(super) fn risk(papers: &Papers<'_>) -> Vec<Block> {
    let rows = papers.ready.fields.iter().zip(&papers.plan().fields).map(|(field, planned)| {
        let rated = field.written.rating.as_ref();
        vec![
            shown(&planned.id, &planned.name),
            rated.map_or_else(|| "MISSING".to_string(), |r| r.rating.value.word().to_string()),
            or_dash(rated.map(|r| format!("{}, {}", xml(&r.by), day(r.on.value)))),
            planned.phosphorus.basis.word().to_string(),
            or_dash(planned.soil_loss.map(|loss| number_text(loss, 2))),
        ]
    });
    let heads = ["Field", "Phosphorus rating", "Rated by", "Phosphate limited by", "Soil loss, tons/ac a year>"];
    vec![
        Block::table("", &heads, rows.collect()),
        Block::Wanting("the nitrogen leaching risk, which this program does not rate".to_string()),
    ]
}

/// Where soil phosphorus, zinc and copper are heading.
pub(super) fn drawdown(plan: &Plan) -> Vec<Block> {
    let row = |f: &FieldPlan| {
        let p = f.outlook.iter().find(|o| o.of == "P");
        let metal = |name: &str| or_dash(f.metals.iter().find(|m| m.metal == name).map(|m| number_text(m.load, 2)));
        vec![
            shown(&f.id, &f.name),
            or_dash(
                f.phosphorus.soil.map(|v| format!("{} {}", trimmed(v), f.phosphorus.unit.as_deref().unwrap_or(""))),
            ),
            or_dash(p.map(|p| format!("{:+.1}", p.per_year))),
            or_dash(p.and_then(Outlook::next_in_words)),
            or_dash(f.phosphorus.rests_through.map(|y| y.to_string())),
            metal("zinc"),
            metal("copper"),
        ]
    };
    let heads =
        ["Field", "Soil P", "a year>", "Next class, about", "No phosphate through", "Zinc, lb/ac>", "Copper, lb/ac>"];
    let rising: Vec<String> = plan.fields.iter().filter(|f| f.gains_p2o5()).map(|f| xml(&f.id)).collect();
    let mut blocks = vec![
        Block::Say("If every year were like this plan: an estimate.".to_string()),
        Block::table("", &heads, plan.fields.iter().map(row).collect()),
    ];
    if !rising.is_empty() {
        let text = format!(
            "for {}: the soil phosphorus at which these switch to a phosphorus-based rate, and how it is drawn down",
            rising.join(", ")
        );
        blocks.push(Block::Wanting(text));
    }
    blocks
}
