//! How sure the rates are, on a terminal.

use crate::findings::{Known, together};
use crate::plan::answer::{Band, FieldSure, LimitSure, LotSure, SHORT_BY, Spread, SpreadFrom, Sure, YearSure};
use crate::units::{grouped, number_text, trimmed};
use crate::write::known::{legend, signed};
use crate::write::page::Page;

/// The bands of every field, what a sample more of each lot is worth, and what that rests on.
#[must_use]
pub fn sure(sure: &Sure, width: usize) -> String {
    let Sure { farm, place_name, as_of, .. } = sure;
    let mut page = Page::titled(format!("{farm}: how sure the rates are, as of {as_of}, {place_name}"), width);
    page.line("");
    page.say(format!(
        "A sample tells only roughly what a lot holds, yields differ from year to year, and no spreader is exact. \
         In 80 of 100 cases the nitrogen lies between the two numbers given ({} draws).",
        grouped(sure.draws as i64)
    ));
    page.heading("AVAILABLE NITROGEN, lb/ac");
    page.table_of(
        &[
            "Field",
            "Planned>",
            "On the\nfield>",
            "On a\nspot>",
            "Needed>",
            "Short by\nover 20>",
            "Over a limit (by this\nmuch 1 time in 10)",
        ],
        &[12, 8, 9, 9, 9, 9, 24],
        sure.fields.iter().flat_map(rows),
    );
    page.heading("ONE MORE SAMPLE, with the rates as they are");
    if sure.lots.is_empty() {
        page.item("no litter is spread");
    }
    for lot in &sure.lots {
        page.item(what_is_known(lot));
        page.under(one_more(lot, sure.in_dollars));
    }
    page.heading("WHAT IS COUNTED");
    counted(&mut page, sure);
    relies_on(&mut page, sure);
    page.done()
}

/// How sure the rates of one field are, below what else is said of it.
#[must_use]
pub fn sure_of_field(field: &FieldSure, width: usize) -> String {
    let mut page = Page::new(width);
    page.heading("HOW SURE, lb/ac of available nitrogen in 80 of 100 cases");
    if field.years.is_empty() {
        page.under("no need of nitrogen is known");
    }
    for year in &field.years {
        let YearSure { needed, on_the_field, on_a_spot, .. } = year;
        page.under(format!(
            "{} to {}: {} on the field and {} on a spot of it, {} needed; chance {} to be short by over {} lb/ac",
            year.first,
            year.last,
            between(*on_the_field),
            between(*on_a_spot),
            between(*needed),
            percent(year.short),
            trimmed(SHORT_BY),
        ));
    }
    for limit in at_risk(field) {
        page.under(format!(
            "{}: chance {} that log and plan truly put on more than the {} {} that it allows; one time in ten more than {}",
            limit.kind.word(),
            percent(limit.over),
            number_text(limit.allowed, 1),
            limit.unit,
            number_text(limit.put_on.high, 1),
        ));
    }
    page.under("`sward sure` shows all fields, what is counted, and what one more sample is worth");
    page.done()
}

/// The lines of a field: one a growing year.
fn rows(field: &FieldSure) -> Vec<Vec<String>> {
    let at_risk = || {
        let limits: Vec<String> =
            at_risk(field).into_iter().map(|l| format!("{}: {}", percent(l.over), named(l))).collect();
        if limits.is_empty() { "-".to_string() } else { limits.join("\n") }
    };
    let name = || format!("{} {}", field.id, field.name);
    if field.years.is_empty() {
        return vec![[name(), "-".into(), "-".into(), "-".into(), "-".into(), "-".into(), at_risk()].to_vec()];
    }
    let several = field.years.len() > 1;
    let row = |(at, year): (usize, &YearSure)| {
        let from = if several { format!("\nfrom {}", year.first) } else { String::new() };
        vec![
            name() + &from,
            number_text(year.on_the_field.planned, 0),
            between(year.on_the_field),
            between(year.on_a_spot),
            between(year.needed),
            percent(year.short),
            if at == 0 { at_risk() } else { String::new() },
        ]
    };
    field.years.iter().enumerate().map(row).collect()
}

/// The limit most at risk, and of the others the one of another kind that is next to it, where it
/// is worth a word.
fn at_risk(field: &FieldSure) -> Vec<&LimitSure> {
    const WORTH_A_WORD: f64 = 0.05;
    let Some(most) = field.most_at_risk.and_then(|at| field.limits.get(at)) else { return Vec::new() };
    let others = field.limits.iter().filter(|own| own.counts != most.counts && own.over >= WORTH_A_WORD);
    let next = others.reduce(|worst, own| if own.over > worst.over { own } else { worst });
    std::iter::once(most).chain(next).collect()
}

/// `nitrogen need (12)`: which, and how much over one time in ten.
fn named(limit: &LimitSure) -> String {
    let over = limit.put_on.high - limit.allowed;
    let by = if limit.unit == "lb/ac" { number_text(over, 0) } else { number_text(over, 2) };
    if over <= 0.0 || by.parse() == Ok(0.0) {
        limit.kind.word().to_string()
    } else {
        format!("{} ({by})", limit.kind.word())
    }
}

/// `112-140`, or one number where both ends are it.
fn between(band: Band) -> String {
    let [low, high] = [band.low, band.high].map(|end| number_text(end, 0));
    if low == high { low } else { format!("{low}-{high}") }
}

/// A chance in whole percent; a small one is no certainty.
fn percent(chance: f64) -> String {
    match chance {
        small if small < 0.005 => "<1 %".to_string(),
        large if large > 0.995 => ">99 %".to_string(),
        chance => format!("{} %", number_text(chance * 100.0, 0)),
    }
}

/// By how many samples a lot is known, and how well.
fn what_is_known(lot: &LotSure) -> String {
    // Nine in ten of the bell curve lie below this many standard deviations.
    const EITHER_WAY: f64 = 1.2816;
    let contents = lot.contents.iter().map(|own| {
        let band = number_text(own.now * EITHER_WAY, 0);
        format!("{} {} %", own.spread.of, signed(band, own.spread.known))
    });
    let contents: Vec<String> = contents.collect();
    let by = match lot.samples {
        0 => "no sample of its own, typical contents".to_string(),
        1 => "1 sample".to_string(),
        many => format!("{many} samples"),
    };
    let own = lot.contents.iter().any(|own| own.spread.from == SpreadFrom::Own);
    let own = if own { ", by how far its own samples lie apart" } else { "" };
    let mean = lot.contents.iter().find(|own| (own.mean - 1.0).abs() >= 0.005).map_or(String::new(), |own| {
        let off = number_text((own.mean - 1.0).abs() * 100.0, 0);
        let side = if own.mean > 1.0 { "more" } else { "less" };
        format!(", which together have {off} % {side} {} than the newest, by which the plan counts", own.spread.of)
    });
    format!("{}: {by}{own}{mean}; known to within, in 80 of 100 cases, {}", lot.id, contents.join(", "))
}

fn one_more(lot: &LotSure, in_dollars: bool) -> String {
    let amount = |value: f64| {
        let whole = grouped(value.round() as i64);
        if in_dollars { format!("${whole}") } else { format!("{whole} lb of nitrogen") }
    };
    // What is printed adds up.
    let (now, with) = (lot.costs.round(), lot.costs.round() - lot.one_more.round());
    let (now, with) = (amount(now), amount(with));
    let cost = format!("being off the need costs {now} on the average, and {with} with one more sample");
    match lot.one_more {
        worth if worth >= 1.0 => format!("one more sample is worth {}: {cost}", amount(worth)),
        _ if in_dollars => format!("one more sample is worth less than $1: {cost}"),
        _ => format!("one more sample is worth less than 1 lb of nitrogen: {cost}"),
    }
}

fn counted(page: &mut Page, sure: &Sure) {
    page.item(
        "On the field: the mean of the field, of which limits speak. What the litter truly holds and the rate that the \
         spreader keeps on the whole scatter; thick and thin spots even out. On a spot: with those too.",
    );
    page.item(
        "Needed: by the yield that the field truly makes, around its yield goal. Fertilizer that the plan buys is in \
         what is planned, and counted as exact.",
    );
    page.item(
        "Over a limit: the chance that log, litter and fertilizer of the plan truly put on more than it allows, for the \
         limit most at risk and the next of another kind; behind it, in the limit's own unit, how much more one time \
         in ten. The plan keeps every limit by the analyses, as the rules count. Where it uses one up by a single \
         sample, more is truly put on about half of the time, be it by little.",
    );
    let pound = if sure.in_dollars {
        "A pound short costs what the plan says, a pound over what it costs as fertilizer."
    } else {
        "No prices are given: pounds short and pounds over are added up."
    };
    page.item(format!(
        "One more sample: what being off the need costs, less the same with the lot known better. {pound} The rates stay \
         as they are, so what could be gained by changing them is not in it."
    ));
    page.item(format!("{}; {}.", scatter(&sure.rate), scatter(&sure.placement)));
    let own: Vec<String> = sure.fields.iter().filter(|f| f.yields.from == SpreadFrom::Own).map(of_own).collect();
    if !own.is_empty() {
        page.item(format!("Yields by the field's own years: {}.", own.join(", ")));
    }
    let published = sure.fields.iter().filter(|f| f.yields.from == SpreadFrom::Tables);
    let published = published.filter_map(|f| Some((signed(trimmed(f.yields.percent?), f.yields.known), f.id.as_str())));
    for (percent, fields) in together(published.collect::<Vec<_>>()) {
        page.item(format!("Yields by the tables, {percent} %: {}.", fields.join(", ")));
    }
    sure.not_counted.iter().for_each(|sentence| page.item(sentence));
}

fn of_own(field: &FieldSure) -> String {
    let percent = field.yields.percent.unwrap_or(0.0);
    format!("{} {} % of {} years", field.id, number_text(percent, 0), field.yields.values)
}

/// `Rate of the field: 5^ %`.
fn scatter(spread: &Spread) -> String {
    let mut of = spread.of.clone();
    if let Some(first) = of.get_mut(..1) {
        first.make_ascii_uppercase();
    }
    match (spread.percent, spread.from) {
        (Some(percent), SpreadFrom::Own) => {
            format!("{of}: {} %, by the newest row of {} pans", number_text(percent, 0), spread.values)
        }
        (Some(percent), _) => format!("{of}: {} %", signed(trimmed(percent), spread.known)),
        (None, _) => format!("{of}: not known"),
    }
}

/// The figures behind it by how they are known; those that were read as they are used last.
fn relies_on(page: &mut Page, sure: &Sure) {
    let known = sure.figures.iter().map(|cite| cite.known);
    if let Some(signs) = legend(known) {
        page.item(signs);
    }
    let mut figures: Vec<(&str, &str)> = Vec::new();
    for known in [Known::Memory, Known::CommonPractice, Known::Applied, Known::Said, Known::Read] {
        let own = sure.figures.iter().filter(|cite| cite.known == known);
        figures.extend(own.map(|cite| (known.word(), cite.figure.as_str())));
    }
    for (word, names) in together(figures) {
        page.item(format!("Relies on, {word}: {}.", names.join(", ")));
    }
    page.item("`sward tables sample_spread` and the like show each with its source.");
}
