//! What goes on which field and when, how, and the reckoning behind it.

use super::block::Block;
use super::papers::{Papers, or_dash, shown};
use crate::findings::Cite;
use crate::plan::answer::FieldPlan;
use crate::units::{Quantity, number_text, trimmed};
use crate::write::page::tons;
use crate::write::sheet::words::{day, days, rate_text, xml};
use crate::write::why;

/// Letters across a page of set text.
pub(super) const ACROSS: usize = 96;

pub(super) fn rates(papers: &Papers<'_>) -> Vec<Block> {
    let plan = papers.plan();
    let rows = plan.fields.iter().flat_map(|f| {
        f.applications.iter().map(|a| {
            vec![
                shown(&f.id, &f.name),
                xml(&a.lot),
                days(a.first, a.last),
                rate_text(a.rate),
                number_text(f.acres, 2),
                tons(a.pounds),
                a.loads.to_string(),
            ]
        })
    });
    let heads = ["Field", "Lot", "Window", "Tons/ac>", "Acres>", "Tons>", "Loads>"];
    let mut blocks = vec![Block::table_or("no field gets litter under this plan", "", &heads, rows.collect())];
    let none = plan.fields.iter().filter(|f| f.applications.is_empty());
    let none: Vec<Vec<String>> =
        none.map(|f: &FieldPlan| vec![shown(&f.id, &f.name), xml(&f.why_none().join("; "))]).collect();
    if !none.is_empty() {
        blocks.push(Block::table("Fields that get none", &["Field", "Why"], none));
    }
    blocks.push(calendar(papers));
    if let Some(buy) = &plan.buy {
        let rows = buy.fields.iter().flat_map(|f| {
            let name = plan.fields.iter().find(|p| p.id == f.id).map_or("", |p| p.name.as_str());
            f.mix.iter().map(move |m| vec![shown(&f.id, name), xml(&m.product), number_text(m.pounds, 0)])
        });
        let heads = ["Field", "Product", "lb/ac>"];
        blocks.push(Block::table_or("none is short", "Fertilizer for what is short", &heads, rows.collect()));
    }
    blocks
}

fn calendar(papers: &Papers<'_>) -> Block {
    let Some(calendar) = papers.days else {
        return Block::Wanting("a calendar: farm.yaml has no block `days:`".to_string());
    };
    let rows = calendar.rows.iter().map(|r| {
        vec![
            or_dash(r.begins.map(day)),
            or_dash(r.ends.map(day)),
            shown(&r.field, &r.name),
            xml(&r.lot),
            tons(r.pounds),
            or_dash(r.chance.four_in_five.map(day)),
            day(r.last),
        ]
    });
    let heads = ["From", "To", "Field", "Lot", "Tons>", "Done with 80 % chance", "Window closes"];
    Block::table_or("nothing left to spread", "Calendar, as expected", &heads, rows.collect())
}

pub(super) fn methods(papers: &Papers<'_>) -> Vec<Block> {
    let rows = papers.ready.fields.iter().zip(&papers.plan().fields).filter(|(_, p)| !p.applications.is_empty());
    let rows = rows.map(|(field, planned)| {
        let how = match (&field.written.worked_in, field.placement) {
            (Some(within), _) => format!("spread and worked in within {} days", trimmed(within.value.get())),
            (None, _) => "spread on top of the sod".to_string(),
        };
        vec![shown(&planned.id, &planned.name), how]
    });
    vec![Block::table_or("nothing is spread", "", &["Field", "Method"], rows.collect())]
}

/// The machine, and where the line-by-line reckoning stands.
pub(super) fn calculations(papers: &Papers<'_>) -> Vec<Block> {
    let spreader = &papers.ready.spreader;
    let machine = format!(
        "Spreader: {}, swath {} ft, load {} tons, even from {} to {} tons/ac in steps of {}.",
        xml(&spreader.name),
        trimmed(spreader.swath.value.get()),
        trimmed(spreader.load.value.get()),
        trimmed(spreader.least.value.get()),
        trimmed(spreader.most.value.get()),
        trimmed(spreader.step.value.get())
    );
    vec![
        Block::Say(machine),
        Block::Say("Every limit was reached a second time, another way, and every field passed.".to_string()),
        Block::Say("Line by line, field by field: the last part of this binder.".to_string()),
    ]
}

/// The notebook of every field, as `sward why` prints it.
pub(super) fn notebooks(papers: &Papers<'_>) -> Vec<Block> {
    let fields = papers.plan().fields.iter().zip(&papers.balance.fields);
    fields.map(|(field, weighed)| Block::Set(xml_lines(&why(field, weighed, ACROSS)))).collect()
}

/// Set text keeps its lines; each is cleaned by itself.
pub(super) fn xml_lines(text: &str) -> String {
    text.lines().map(xml).collect::<Vec<_>>().join("\n")
}

/// Every published figure behind the plan, by source.
pub(super) fn sources(papers: &Papers<'_>) -> Vec<Block> {
    let mut rows: Vec<(String, &Cite, Vec<&str>)> = Vec::new();
    for cite in papers.cites {
        let source = xml(&format!("{}, {}, {}; {}", cite.publisher, cite.title, cite.year, cite.at));
        match rows.iter_mut().find(|(of, first, _)| *of == source && first.known == cite.known) {
            Some((_, _, figures)) => figures.push(&cite.figure),
            None => rows.push((source, cite, vec![&cite.figure])),
        }
    }
    rows.sort_by(|a, b| a.0.cmp(&b.0));
    let rows = rows
        .into_iter()
        .map(|(source, cite, figures)| vec![source, xml(&figures.join(", ")), cite.known.word().to_string()]);
    vec![Block::table("", &["Source and place in it", "Figures", "Known"], rows.collect())]
}
