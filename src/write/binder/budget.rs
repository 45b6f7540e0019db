//! The budget of every field, its limits, its ratings and where they lead.

use super::papers::{Papers, list, or_dash, say, shown, table};
use crate::balance::{NOT_KNOWN, Npk};
use crate::findings::{Known, Severity};
use crate::plan::answer::{FieldPlan, Outlook, Plan, YearBudget, past_foreseen};
use crate::units::{at_most, number_text, trimmed};
use crate::write::findings::in_a_line;
use crate::write::known::{legend, signed};
use crate::write::leaf::Part;
use crate::write::limits::{held_words, n_beside, p2o5_beside, p2o5_known};
use crate::write::words::{day, en};

/// Amounts of a field in one growing year, and how the figures behind them are known.
type Amounts = fn(&FieldPlan, &YearBudget) -> (Npk<Option<f64>>, Npk<Known>);

/// Three columns for each of several amounts of a field, a row for each of its growing years.
fn amounts(plan: &Plan, get: [Amounts; 3]) -> Vec<Vec<String>> {
    let one = |v: Option<f64>| v.map_or_else(|| NOT_KNOWN.to_string(), |v| number_text(v, 0));
    let three = |(of, known): (Npk<Option<f64>>, Npk<Known>)| {
        let text = of.with(known, |v, known| signed(one(v), known));
        [text.n, text.p2o5, text.k2o]
    };
    let row = |f: &FieldPlan, year: &YearBudget| {
        let name = match f.years.len() {
            1 => shown(&f.id, &f.name),
            _ if year.bought_for => en::growing_year(shown(&f.id, &f.name), day(year.last)),
            _ => en::growing_year_ahead(shown(&f.id, &f.name), day(year.last)),
        };
        std::iter::once(name).chain(get.iter().flat_map(|get| three(get(f, year)))).collect()
    };
    plan.fields.iter().flat_map(|f| f.years.iter().map(move |year| row(f, year))).collect()
}

/// How the figures behind what a need and what is put on come to together are known.
fn both(f: &FieldPlan) -> Npk<Known> {
    f.known.need.with(put_on(f), Known::max)
}

/// The same of what log and plan put on.
fn put_on(f: &FieldPlan) -> Npk<Known> {
    f.known.done.with(f.known.supplied, Known::max)
}

/// Need, what is on, what the plan puts on, what is short and what is over;
/// then every limit.
pub(super) fn budget(plan: &Plan) -> Vec<Part> {
    let mut parts = vec![
        say(en::BUDGET_UNITS),
        table(
            en::NEEDED,
            en::NEED_HEADS,
            amounts(
                plan,
                [
                    |f, year| (year.need.get(), f.known.need),
                    |f, year| (year.done_usable.map(Some), f.known.done),
                    |f, year| (year.supplied_usable.map(Some), f.known.supplied),
                ],
            ),
        ),
        table(
            en::RESULT,
            en::RESULT_HEADS,
            amounts(
                plan,
                [
                    |f, year| (year.short.get(), both(f)),
                    |f, year| (year.over.get(), both(f)),
                    |f, _| (f.removed.get(), f.known.removed),
                ],
            ),
        ),
        table(en::LIMITS, en::LIMIT_HEADS, plan.fields.iter().map(limits)),
    ];
    parts.extend(plan.shares.iter().map(|share| say(share.sentence())));
    let bounds = |f: &FieldPlan| [f.known.basis, f.known.p2o5_allowed, f.known.held, f.known.also];
    parts.extend(legend(plan.fields.iter().flat_map(|f| f.known.amounts().chain(bounds(f)))).map(say));
    let mut warnings = plan.findings.iter().filter(|f| f.severity == Severity::Warning).peekable();
    if warnings.peek().is_some() {
        parts.extend([say(en::CHECK_THESE), list(warnings.map(in_a_line))]);
    }
    parts
}

fn limits(f: &FieldPlan) -> Vec<String> {
    let (p, known) = (&f.phosphorus, &f.known);
    // As `limits` has them.
    let ((n_allows, n_on), (allowed, on)) = (n_beside(f), p2o5_beside(f));
    vec![
        shown(&f.id, &f.name),
        signed(n_allows, known.need.n),
        signed(n_on, put_on(f).n),
        signed(p.basis.word().to_string(), known.basis),
        signed(allowed, p2o5_known(f)),
        signed(on, put_on(f).p2o5),
        held_words(f).join(" and "),
        or_dash(f.held.rate.map(|r| at_most(r, 2))),
        or_dash(f.next.map(|n| en::limit_at(n.kind.word(), at_most(n.rate, 2)))),
        signed(number_text(f.total_n, 0), known.total_n),
    ]
}

pub(super) fn risk(papers: &Papers<'_>) -> Vec<Part> {
    let fields = || papers.plan().fields.iter();
    let rows = fields().map(|planned| {
        let rated = planned.phosphorus.rated.as_ref();
        vec![
            shown(&planned.id, &planned.name),
            planned.phosphorus.rating.as_deref().unwrap_or(en::MISSING).to_string(),
            score(planned),
            or_dash(rated.and_then(|r| r.tool.clone())),
            or_dash(rated.map(|r| format!("{}, {}", r.by, day(r.on)))),
            or_dash(rated.and_then(|r| r.n_leaching.clone())),
            signed(planned.phosphorus.basis.word().to_string(), planned.known.basis),
            signed(or_dash(planned.soil_loss.map(|loss| number_text(loss, 2))), planned.known.soil_loss),
        ]
    });
    let mut parts = vec![table("", en::RISK_HEADS, rows)];
    let fields = || papers.plan().fields.iter();
    let scores = fields().filter_map(|f| Some(f.phosphorus.rated.as_ref()?.score_class.as_ref()?.cite.known));
    let way = papers.plan().rates_with.as_ref().map(|with| with.cite.known);
    let known = fields().flat_map(|f| [f.known.basis, f.known.soil_loss]).chain(scores).chain(way);
    parts.extend(legend(known).map(say));
    if let Some(with) = &papers.plan().rates_with {
        let source = with.cite.source() + with.cite.known.sign();
        parts.push(say(en::rates_with(&papers.plan().place_name, &with.words, source)));
    }
    let without = fields().filter(|f| f.phosphorus.rated.as_ref().is_none_or(|r| r.n_leaching.is_none()));
    let without: Vec<&str> = without.map(|f| f.id.as_str()).collect();
    if !without.is_empty() {
        parts.push(Part::Wanting(en::not_rated(without.join(", "))));
    }
    parts
}

/// The score of a rating, and the class that the bounds of the place put it into.
fn score(planned: &FieldPlan) -> String {
    let rated = planned.phosphorus.rated.as_ref();
    let class = rated.and_then(|rated| rated.score_class.as_ref());
    let class = class.map_or(String::new(), |own| format!(", {}", signed(own.class.clone(), own.cite.known)));
    or_dash(rated.and_then(|rated| rated.score).map(|score| format!("{}{class}", trimmed(score))))
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
            or_dash(p.map(Outlook::a_year)),
            or_dash(p.and_then(Outlook::next_in_words)),
            or_dash(f.phosphorus.rests_through.map(|y| y.to_string())),
            metal("zinc"),
            metal("copper"),
        ]
    });
    let rising: Vec<&str> = plan.fields.iter().filter(|f| f.gains_p2o5()).map(|f| f.id.as_str()).collect();
    let mut parts = vec![say(en::EVERY_YEAR), table("", en::OUTLOOK_HEADS, rows)];
    let soils = || plan.fields.iter().flat_map(|f| &f.outlook).filter(|o| o.of == "P");
    parts.extend(legend(soils().map(|o| o.known)).map(say));
    parts.extend(past_foreseen(soils().filter_map(|o| o.years)).map(say));
    parts.extend(plan.planner_notes.iter().filter(|note| note.of_trend()).map(|note| say(note.marked())));
    if !rising.is_empty() {
        parts.push(Part::Wanting(en::rising(rising.join(", "))));
    }
    parts
}
