//! What goes on which field and when, how, and the reckoning behind it.

use super::papers::{Papers, or_dash, say, shown, table, table_or};
use crate::findings::Cite;
use crate::units::{Quantity, in_days, number_text, rate_text, trimmed};
use crate::write::buy::to_spread;
use crate::write::leaf::Part;
use crate::write::page::{tons, whole};
use crate::write::why;
use crate::write::words::{day, days, en};

/// Letters across a page of set text.
pub(super) const ACROSS: usize = 96;

pub(super) fn rates(papers: &Papers<'_>) -> Vec<Part> {
    let plan = papers.plan();
    let rows = plan.fields.iter().flat_map(|f| {
        f.applications.iter().map(|a| {
            vec![
                shown(&f.id, &f.name),
                a.lot.clone(),
                days(a.starts(), a.last),
                rate_text(a.rate),
                number_text(a.acres(f), 2),
                tons(a.pounds),
                a.loads.to_string(),
            ]
        })
    });
    let mut parts = vec![table_or(en::NO_RATES, "", en::RATE_HEADS, rows)];
    let mut none = plan.fields.iter().filter(|f| f.applications.is_empty()).peekable();
    if none.peek().is_some() {
        let rows = none.map(|f| vec![shown(&f.id, &f.name), f.why_none().join("; ")]);
        parts.push(table(en::GET_NONE, en::WHY_HEADS, rows));
    }
    parts.push(calendar(papers));
    if let Some(buy) = &plan.buy {
        let rows = buy.fields.iter().flat_map(|f| {
            let name = plan.fields.iter().find(|p| p.id == f.id).map_or("", |p| p.name.as_str());
            let pounds = |product: &str| whole(to_spread(f, product));
            f.mix.iter().map(move |m| vec![shown(&f.id, name), m.product.clone(), pounds(&m.product)])
        });
        parts.push(table_or(en::NONE_SHORT, en::TO_BUY_FOR_SHORT, en::MIX_HEADS, rows));
    }
    parts
}

fn calendar(papers: &Papers<'_>) -> Part {
    let Some(calendar) = papers.days else { return Part::Wanting(en::NO_CALENDAR.to_string()) };
    let rows = calendar.rows.iter().map(|r| {
        vec![
            or_dash(r.begins.map(day)),
            or_dash(r.ends.map(day)),
            shown(&r.field, &r.name),
            r.lot.clone(),
            tons(r.pounds),
            or_dash(r.chance.four_in_five.map(day)),
            day(r.last),
        ]
    });
    table_or(en::NOTHING_LEFT, en::CALENDAR, en::CALENDAR_HEADS, rows)
}

pub(super) fn methods(papers: &Papers<'_>) -> Vec<Part> {
    let rows = papers.fields().filter(|(_, p)| !p.applications.is_empty());
    let rows = rows.map(|(field, planned)| {
        let within = field.written.worked_in.as_ref();
        let in_words = |days: f64| if days == 1.0 { in_days(1) } else { format!("{} days", trimmed(days)) };
        let on_top = if planned.usage == "grain" { en::ON_GROUND } else { en::ON_SOD };
        let how = within.map_or_else(|| on_top.to_string(), |days| en::worked_in(in_words(days.value.get())));
        vec![shown(&planned.id, &planned.name), how]
    });
    vec![table_or(en::NOTHING_SPREAD, "", en::METHOD_HEADS, rows)]
}

/// The machine, and where the line-by-line reckoning stands.
pub(super) fn calculations(papers: &Papers<'_>) -> Vec<Part> {
    let spreader = &papers.ready.spreader;
    let [swath, load] = [spreader.swath.value.get(), spreader.load.value.get()].map(trimmed);
    let [least, most, step] =
        [spreader.least.value.get(), spreader.most.value.get(), spreader.step.value.get()].map(trimmed);
    let machine = en::machine(&spreader.name, swath, load, least, most, step);
    vec![say(machine), say(en::LIMITS_TWICE), say(en::LAST_PART)]
}

/// The notebook of every field, as `sward why` prints it.
pub(super) fn notebooks(papers: &Papers<'_>) -> impl Iterator<Item = Part> {
    let fields = papers.plan().fields.iter();
    fields.filter_map(|field| Some(Part::Set(why(field, papers.balance.field(&field.id)?, ACROSS))))
}

/// Every published figure behind the plan, by source.
pub(super) fn sources(papers: &Papers<'_>) -> Part {
    let mut rows: Vec<(String, &Cite, Vec<&str>)> = Vec::new();
    for cite in papers.cites {
        let source = format!("{}, {}, {}; {}", cite.publisher, cite.title, cite.year, cite.at);
        match rows
            .iter_mut()
            .find(|(of, first, _)| *of == source && (first.known, &first.note) == (cite.known, &cite.note))
        {
            Some((_, _, figures)) => figures.push(&cite.figure),
            None => rows.push((source, cite, vec![&cite.figure])),
        }
    }
    rows.sort_by(|a, b| a.0.cmp(&b.0));
    let rows = rows.into_iter().map(|(source, cite, figures)| {
        // The note of an applied figure begins with that word.
        let known = cite.note.clone().unwrap_or_else(|| cite.known.word().to_string());
        vec![source, figures.join(", "), known]
    });
    table("", en::SOURCES, rows)
}
