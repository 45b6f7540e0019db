//! The budget of every field, its limits, its ratings and where they lead.

use super::papers::{Papers, list, or_dash, say, shown, table};
use crate::balance::{NOT_KNOWN, Npk};
use crate::findings::Severity;
use crate::plan::answer::{FieldPlan, Outlook, Plan};
use crate::units::{number_text, trimmed};
use crate::write::findings::in_a_line;
use crate::write::leaf::Part;
use crate::write::words::{day, en};

/// Three columns for each of several amounts of a field.
fn amounts(plan: &Plan, get: [fn(&FieldPlan) -> Npk<Option<f64>>; 3]) -> impl Iterator<Item = Vec<String>> {
    plan.fields.iter().map(move |f| {
        let one = |v: Option<f64>| v.map_or_else(|| NOT_KNOWN.to_string(), |v| number_text(v, 0));
        let three = |of: Npk<Option<f64>>| [of.n, of.p2o5, of.k2o].map(one);
        std::iter::once(shown(&f.id, &f.name)).chain(get.iter().flat_map(|get| three(get(f)))).collect()
    })
}

/// Need, what is on, what the plan puts on, what is short and what is over;
/// then every limit.
pub(super) fn budget(plan: &Plan) -> Vec<Part> {
    let mut parts = vec![
        say(en::BUDGET_UNITS),
        table(
            en::NEEDED,
            en::NEED_HEADS,
            amounts(plan, [|f| f.need.get(), |f| f.done.map(Some), |f| f.supplied.map(Some)]),
        ),
        table(
            en::RESULT,
            en::RESULT_HEADS,
            amounts(plan, [|f| f.short.get(), |f| f.over.get(), |f| f.removed.map(Some)]),
        ),
        table(en::LIMITS, en::LIMIT_HEADS, plan.fields.iter().map(limits)),
    ];
    let mut warnings = plan.findings.iter().filter(|f| f.severity == Severity::Warning).peekable();
    if warnings.peek().is_some() {
        parts.extend([say(en::CHECK_THESE), list(warnings.map(in_a_line))]);
    }
    parts
}

fn limits(f: &FieldPlan) -> Vec<String> {
    let p = &f.phosphorus;
    vec![
        shown(&f.id, &f.name),
        number_text(f.n_allowed, 0),
        p.basis.word().to_string(),
        or_dash(p.allowed.map(|v| number_text(v, 0))),
        number_text(p.planned, 0),
        f.held.by.word().to_string(),
        or_dash(f.held.rate.map(|r| number_text(r, 2))),
        or_dash(f.next.map(|n| en::limit_at(n.kind.word(), number_text(n.rate, 2)))),
    ]
}

pub(super) fn risk(papers: &Papers<'_>) -> Vec<Part> {
    let rows = papers.fields().map(|(field, planned)| {
        let rated = field.written.rating.as_ref();
        vec![
            shown(&planned.id, &planned.name),
            rated.map_or(en::MISSING, |r| r.rating.value.word()).to_string(),
            or_dash(rated.map(|r| format!("{}, {}", r.by, day(r.on.value)))),
            planned.phosphorus.basis.word().to_string(),
            or_dash(planned.soil_loss.map(|loss| number_text(loss, 2))),
        ]
    });
    vec![table("", en::RISK_HEADS, rows), Part::Wanting(en::NOT_RATED.to_string())]
}

/// Where soil phosphorus, zinc and copper are heading.
pub(super) fn drawdown(plan: &Plan) -> Vec<Part> {
    let rows = plan.fields.iter().map(|f| {
        let p = f.outlook.iter().find(|o| o.of == "P");
        let metal = |name: &str| or_dash(f.metals.iter().find(|m| m.metal == name).map(|m| number_text(m.load, 2)));
        let unit = f.phosphorus.unit.as_deref().unwrap_or("");
        vec![
            shown(&f.id, &f.name),
            or_dash(f.phosphorus.soil.map(|v| format!("{} {unit}", trimmed(v)))),
            or_dash(p.map(|p| format!("{:+.1}", p.per_year))),
            or_dash(p.and_then(Outlook::next_in_words)),
            or_dash(f.phosphorus.rests_through.map(|y| y.to_string())),
            metal("zinc"),
            metal("copper"),
        ]
    });
    let rising: Vec<&str> = plan.fields.iter().filter(|f| f.gains_p2o5()).map(|f| f.id.as_str()).collect();
    let mut parts = vec![say(en::EVERY_YEAR), table("", en::OUTLOOK_HEADS, rows)];
    if !rising.is_empty() {
        parts.push(Part::Wanting(en::rising(rising.join(", "))));
    }
    parts
}
