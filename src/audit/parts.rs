//! What is wrong with a plan, part by part.

use crate::audit::fault::fault;
use crate::audit::{acres, bill, buy, herds, nutrients, part, per_pound, pounds, season, shown, spots, stock, under};
use crate::check::{Field, Ready};
use crate::cores;
use crate::findings::Findings;
use crate::plan::answer::{Application, FieldPlan, Plan};
use crate::tables::Tables;
use std::sync::Arc;

/// More applications of one field are nobody's plan: what is checked pair by
/// pair would never end.
const MANY: usize = 1_000;

/// What is wrong, part by part: every field of the farm by its place in the
/// list, and the plan as a whole.
pub(super) fn parts(plan: &Plan, ready: &Ready, tables: &Tables) -> Vec<(Option<usize>, Findings)> {
    let mut whole = Findings::new();
    let Some(book) = ready.book(tables) else {
        whole.push(fault("tables", "the tables of the farm's place are gone".to_string()));
        return vec![(None, whole)];
    };
    let densest = spots::on_each_other(ready);
    let one = |written: &Arc<Field>| {
        let mut findings = Findings::new();
        match plan.fields.iter().find(|f| f.id == written.id()) {
            None => findings.push(fault("whole", format!("field {}: it is missing from the plan", written.id()))),
            Some(field) if field.applications.len() > MANY => {
                findings.push(fault("whole", format!("field {}: more than {MANY} applications", field.id)));
            }
            Some(field) => {
                sound(field, &mut findings);
                acres::check(field, written, ready, &mut findings);
                under::check(field, written, ready, &book, &mut findings);
                nutrients::check(field, written, ready, &book, &mut findings);
                season::check(field, written, ready, &book, &mut findings);
                pounds::field(field, written, ready, &book, &mut findings);
                part::check(field, written, ready, &book, &mut findings);
                shown::field(field, written, (ready, densest.as_ref()), &book, &mut findings);
                buy::field(plan, field, written, ready, &book, &mut findings);
            }
        }
        findings
    };
    let mut parts: Vec<(Option<usize>, Findings)> =
        cores::each(&ready.fields, one).into_iter().enumerate().map(|(index, found)| (Some(index), found)).collect();
    let ids = plan.fields.iter().map(|f| f.id.as_str());
    if !ids.clone().eq(ready.fields.iter().map(|f| f.id())) {
        let found = format!("its fields are {}, not every field of the farm once and in order", listed(ids));
        whole.push(fault("whole", found));
    }
    let ids = plan.lots.iter().map(|l| l.id.as_str());
    if !ids.clone().eq(ready.lots.iter().map(|l| l.id.as_str())) {
        whole.push(fault("whole", format!("its lots are {}, not every lot of the farm once", listed(ids))));
    }
    pounds::lots(plan, ready, &mut whole);
    stock::check(plan, ready, &mut whole);
    herds::check(plan, ready, &book, &mut whole);
    if whole.is_empty() || (plan.fields.len() == ready.fields.len() && plan.lots.len() == ready.lots.len()) {
        shown::plan(plan, ready, &mut whole);
        per_pound::check(plan, ready, &book, &mut whole);
        buy::plan(plan, ready, &mut whole);
        bill::plan(plan, ready, &book, &mut whole);
    }
    parts.push((None, whole));
    parts
}

/// The first of some ids; a stranger may have written a million.
fn listed<'a>(ids: impl Iterator<Item = &'a str> + Clone) -> String {
    let first: Vec<&str> = ids.clone().take(20).collect();
    let more = if ids.count() > first.len() { ", ..." } else { "" };
    format!("{}{more}", first.join(", "))
}

/// Every number is a number, and no application stands there twice: each of two
/// would keep a limit on one application that both together pass.
fn sound(field: &FieldPlan, findings: &mut Findings) {
    let rates = field.applications.iter().map(|a| a.rate);
    if ![field.acres, field.gross_acres].into_iter().chain(rates).all(|n| n.is_finite() && n >= 0.0) {
        findings.push(fault("number", format!("field {}: acres or a rate is not a number", field.id)));
    }
    if field.acres <= 0.0 && !field.applications.is_empty() {
        findings.push(fault("number", format!("field {}: it has no acres and gets litter", field.id)));
    }
    let same = |a: &Application, b: &Application| (&a.lot, &a.season, a.first) == (&b.lot, &b.season, b.first);
    for (i, one) in field.applications.iter().enumerate() {
        if field.applications[..i].iter().any(|other| same(one, other)) {
            findings.push(fault("twice", format!("field {} gets lot {} twice in one season", field.id, one.lot)));
        }
    }
}
