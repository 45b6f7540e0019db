//! The planner's table: phosphorus first.

use crate::audit::Audited;
use crate::balance::{Basis, Needed, Npk, Statement};
use crate::findings::{Known, distinct, together};
use crate::plan::answer::{
    FieldKnown, FieldPlan, HeldBy, OtherWay, Outlook, PhosphorusRow, PhosphorusRule, Plan, RatedRow, ScoreClass,
    past_foreseen, years_ahead,
};
use crate::units::{at_most, number_text, trimmed, within};
use crate::write::findings::{in_a_line, warnings};
use crate::write::known::{legend, relies_on, signed as weak};
use crate::write::page::{Page, known, or_dash, whole};
use jiff::civil::Date;

/// One row a field, then what bars a field.
#[must_use]
pub fn limits(audited: &Audited, width: usize) -> String {
    let plan = audited.plan();
    let Plan { farm, from, to, as_of, place_name, .. } = plan;
    let mut page = Page::titled(format!("{farm}: limits {from} to {to}, as of {as_of}, {place_name}"), width);
    page.line("P2O5 and available N in lb per acre, by the limit that leaves the least room.");
    page.line("");
    fields(&mut page, plan);
    let mut warned = Page::new(width);
    warnings(&mut warned, &plan.findings);
    plan.findings.iter().filter(|f| f.code == "report-held").for_each(|f| warned.item(in_a_line(f)));
    if !warned.is_empty() {
        page.heading("CHECK THESE");
        page.list(warned);
    }
    rules(&mut page, plan);
    ratings(&mut page, plan);
    on_and_off(&mut page, plan);
    if plan.fields.iter().any(|f| !f.bars.is_empty()) {
        page.heading("NO LITTER");
    }
    for field in &plan.fields {
        for bar in &field.bars {
            page.item(format!("{} {}: {}; {}", field.id, field.name, bar.why, bar.fix));
        }
    }
    outlook(&mut page, plan);
    items(&mut page, plan);
    page.heading("FOR THE PLANNER");
    plan.planner_notes.iter().filter(|note| !note.of_trend()).for_each(|note| page.item(note.marked()));
    page.item(format!("Who decides: {}", plan.decides));
    relies_on(&mut page, plan);
    page.done()
}

fn fields(page: &mut Page, plan: &Plan) {
    let rows = plan.fields.iter().map(|field| {
        let (p, by) = (&field.phosphorus, &field.known);
        let (phosphate, nitrogen) = (p2o5_beside(field), n_beside(field));
        vec![
            format!("{}{}", field.id, typical_mark(plan, field)),
            weak(or_dash(p.soil.map(trimmed)), by.soil),
            weak(or_dash(p.class.clone()), by.class),
            or_dash(p.rating.clone()),
            weak(basis(p.basis).to_string(), by.basis),
            weak(phosphate.0, p2o5_known(field)),
            weak(phosphate.1, by.done.p2o5.max(by.supplied.p2o5)),
            weak(known(field.removed.get().p2o5), by.removed.p2o5),
            weak(nitrogen.0, by.need.n),
            weak(nitrogen.1, by.done.n.max(by.supplied.n)),
            limited_by(field, plan),
        ]
    });
    let heads = [
        "Field",
        "Soil\nP>",
        "Class",
        "Rated",
        "Basis",
        "P2O5\nallow>",
        "P2O5\nplan>",
        "P2O5\noff\na yr>",
        "N\nallow>",
        "N\nplan>",
        "Limited by",
    ];
    page.table(&heads, rows);
    let unit = plan.fields.iter().find_map(|f| f.phosphorus.unit.clone()).unwrap_or_default();
    page.line("");
    page.say(format!(
        "Soil P in {unit}. Basis: what caps phosphate (nitrogen: no pounds of phosphate do, and what is allowed is the P2O5 that is on and what more litter brings up to the first limit it meets, the N need or another; removal: what the forage carries off, times the factor of the place's rule; need: what the soil test asks for). Plan: log and plan together over the days of that limit (`sward why FIELD` or the warning on the log names them), or over the growing years of the plan where no limit counts an open day and none is passed. Off a yr: what the forage carries off in a year, whatever days the others count."
    ));
    if let Some(signs) = legend(plan.fields.iter().flat_map(shown)) {
        page.say(signs);
    }
    if plan.lots.iter().any(|l| l.typical) {
        page.line("* relies on typical contents from the tables: no analysis");
    }
}

/// What goes on each field against what comes off, and the farm as a whole.
fn on_and_off(page: &mut Page, plan: &Plan) {
    page.heading("ON AND OFF: what log and plan put on, and what the forage carries off");
    let row = |name: String, acres: f64, (on, off): (Npk<f64>, Needed), marks: [Npk<Known>; 2]| {
        let ([put, gone], off) = (marks, off.get());
        let of = |on: f64, off: Option<f64>, put: Known, gone: Known| {
            let times = off.filter(|off| *off > 0.0).map(|off| format!("{} x", number_text(on / off, 1)));
            [weak(whole(on), put), weak(known(off), gone), weak(or_dash(times), put.max(gone))]
        };
        let cells = [name, number_text(acres, 2)].into_iter();
        let n = of(on.n, off.n, put.n, gone.n);
        let p2o5 = of(on.p2o5, off.p2o5, put.p2o5, gone.p2o5);
        let k2o = of(on.k2o, off.k2o, put.k2o, gone.k2o);
        cells.chain(n).chain(p2o5).chain(k2o).collect::<Vec<_>>()
    };
    let known = |field: &FieldPlan| {
        let by = &field.known;
        [by.done.with(by.supplied, Known::max), by.removed]
    };
    let field =
        |field: &FieldPlan| row(field.id.clone(), field.acres, (field.put_on(), field.carried_off()), known(field));
    let acres = plan.fields.iter().map(|field| field.acres).fold(0.0, |sum, acres| sum + acres);
    let worst = plan
        .fields
        .iter()
        .map(known)
        .fold([Npk::default(); 2], |[a, b], [put, gone]| [a.with(put, Known::max), b.with(gone, Known::max)]);
    let farm = row("Farm".to_string(), acres, plan.on_and_off(), worst);
    let heads = [
        "Field",
        "Acres>",
        "N\non>",
        "N\noff>",
        "\nx>",
        "P2O5\non>",
        "P2O5\noff>",
        "\nx>",
        "K2O\non>",
        "K2O\noff>",
        "\nx>",
    ];
    page.table(&heads, plan.fields.iter().map(field).chain([farm]));
    page.line("");
    page.say(
        "Fields in lb per acre over the growing years of the plan, the farm in lb. On: available N, P2O5 and K2O of the litter, and all that the log shows, as on the ground that got the most; fertilizer still to be bought is not in it. x: so many times what comes off.",
    );
    for (years, fields) in
        together(plan.fields.iter().filter_map(|field| Some((several_years(field, plan.to)?, &field.id))))
    {
        page.say(format!("{}: {years}", fields.iter().map(|id| id.as_str()).collect::<Vec<_>>().join(", ")));
    }
    let all_n = |field: &FieldPlan| format!("{} {}", field.id, weak(whole(field.total_n), field.known.total_n));
    let on = plan.fields.iter().filter(|field| field.total_n > 0.0).map(all_n).collect::<Vec<_>>().join(", ");
    let lb = plan.fields.iter().map(|field| field.acres * field.total_n).fold(0.0, |sum, lb| sum + lb);
    if lb > 0.0 {
        page.say(format!("All of that nitrogen, available or not, lb per acre: {on}; on the farm {} lb.", whole(lb)));
    }
    plan.shares.iter().for_each(|share| page.item(share.sentence()));
}

/// Over which days both sides count where a field's plan touches several growing years, and
/// what of them nothing is planned for.
fn several_years(field: &FieldPlan, to: Date) -> Option<String> {
    let (years, first, last) = (field.years.len(), field.years.first()?.first, field.years.last()?.last);
    let beyond =
        if to < last { format!(", also of the days after {to}, for which nothing is planned") } else { String::new() };
    (years > 1).then(|| {
        format!(
            "both count {years} growing years, {first} to {last}; off is what is carried off in all of them{beyond}."
        )
    })
}

/// Which rows of the place's rule hold on each field, and what each allows; fields of which
/// the same is said stand together.
fn rules(page: &mut Page, plan: &Plan) {
    page.heading("PHOSPHORUS RULE: the fewest pounds of the rows that hold are the limit");
    let row = |row: &PhosphorusRule, of_litter: bool| {
        let lb = row.allows.map_or(String::new(), |lb| format!(", {} lb/ac a year", at_most(lb, 0)));
        let binds = if row.binds && of_litter { ", the limit" } else { "" };
        let stated = row
            .stated
            .as_ref()
            .map_or(String::new(), |Statement { words, by, on }| format!("; stated by {by}, {on}: {words}"));
        let by = row.test_expired.map_or(String::new(), |last| format!("; by a soil test that expired {last}"));
        format!("{}: {}{lb}{binds}{stated}{by} ({}, {})", row.what, row.says, row.cite.figure, row.cite.known.word())
    };
    told(page, plan, |PhosphorusRow { rows, .. }| match rows.is_empty() {
        true => vec!["no row says anything: what the soil test asks for".to_string()],
        false => vec![rows.iter().map(|own| row(own, true)).collect::<Vec<_>>().join("; ")],
    });
    // It holds bags alone: nobody is to read it as a limit on litter.
    let bags = |own: &PhosphorusRule| format!("for fertilizer alone, not litter: {}", row(own, false));
    told(page, plan, |p| p.for_bought.iter().map(bags).collect());
    told(page, plan, |p| p.cautions.iter().map(|said| format!("{}: {}", said.what, said.words)).collect());
    told(page, plan, |p| {
        let ways = p.rows.iter().chain(&p.for_bought).flat_map(|row| &row.ways);
        let way = |way: &OtherWay| {
            let OtherWay { stated, words, by, then, one_year } = way;
            let year = one_year.map_or(String::new(), |year| format!(", year: {year}"));
            format!("{then} instead, where {by} states: {words} (`phosphorus_rule: {{stated: [{stated}]{year}}}`)")
        };
        ways.map(way).collect()
    });
}

/// Who rated which fields how and with what, and how the place rates.
fn ratings(page: &mut Page, plan: &Plan) {
    let one = |field: &FieldPlan| {
        let (word, rated) = (field.phosphorus.rating.as_deref()?, field.phosphorus.rated.as_ref()?);
        let bounds = |own: &ScoreClass| format!("{} ({}, {})", own.class, own.cite.figure, own.cite.known.word());
        // The class of the score stands there where it is another.
        let same = rated.score_class.as_ref().is_some_and(|own| own.class == word);
        let shown = RatedRow { score_class: rated.score_class.clone().filter(|_| !same), ..rated.clone() };
        let found = shown.found(bounds);
        let found = if found.is_empty() { String::new() } else { format!(" ({found})") };
        Some((format!("{word}, {}", rated.whose()), format!("{}{found}", field.id)))
    };
    let rated = together(plan.fields.iter().filter_map(one));
    if rated.is_empty() {
        return;
    }
    page.heading("RATINGS: what the planner wrote; the limits go by these words");
    for (rating, fields) in rated {
        page.item(format!("{rating}: {}", fields.join(", ")));
    }
    if let Some(with) = &plan.rates_with {
        let (words, cite) = (&with.words, &with.cite);
        page.item(format!("{} rates with: {words} ({}, {})", plan.place_name, cite.figure, cite.known.word()));
    }
}

/// What is said of each field's phosphorus, each text once with the fields that it is for.
fn told(page: &mut Page, plan: &Plan, texts: impl Fn(&PhosphorusRow) -> Vec<String>) {
    let of = |field: &'_ FieldPlan| texts(&field.phosphorus);
    let all = plan.fields.iter().flat_map(|field| of(field).into_iter().map(|text| (text, field.id.as_str())));
    for (text, fields) in together(all) {
        page.item(format!("{}: {text}", distinct(fields).join(", ")));
    }
}

/// How what is allowed is known.
pub(super) fn p2o5_known(field: &FieldPlan) -> Known {
    let (p, by) = (&field.phosphorus, &field.known);
    if p.used.is_none() && p.allowed.is_none() && p.with_n.is_some() { by.with_n } else { by.p2o5_allowed }
}

/// The basis, short enough for the table.
fn basis(basis: Basis) -> &'static str {
    if basis == Basis::SoilTest { "need" } else { basis.word() }
}

/// Phosphate that the rule lets on, and what log and plan put on over the same days.
pub(super) fn p2o5_beside(field: &FieldPlan) -> (String, String) {
    let p = &field.phosphorus;
    let along = p.with_n_on.filter(|_| p.allowed.is_none());
    let on = p.used.map(|used| used.on).or(along).unwrap_or(p.planned);
    if p.basis == Basis::SoilTest && !field.need.known().p2o5 {
        return (known(None), whole(on));
    }
    beside(p.used.map(|used| used.allowed).or(p.allowed).or(p.with_n), on, || or_dash(None))
}

/// Nitrogen that may go on, and what log and plan put on over the same days.
pub(super) fn n_beside(field: &FieldPlan) -> (String, String) {
    beside(n_allowed(field), n_planned(field), || known(None))
}

fn beside(allowed: Option<f64>, on: f64, none: impl Fn() -> String) -> (String, String) {
    allowed.map_or_else(|| (none(), whole(on)), |allowed| within(allowed, on))
}

/// The first day that the limit counts, where it counts some of the log and that day lies
/// in a year before those of the plan.
pub(super) fn counted_since(held: &HeldBy, plan: &Plan) -> Option<Date> {
    held.days
        .filter(|_| held.logged)
        .map(|(first, _)| first)
        .filter(|first| *first > Date::MIN && first.year() < plan.from.year())
}

/// A star where a number rests on typical contents instead of an analysis.
pub(super) fn typical_mark(plan: &Plan, field: &FieldPlan) -> &'static str {
    let typical = |lot: &str| plan.lots.iter().any(|l| l.id == lot && l.typical);
    if field.applications.iter().any(|a| typical(&a.lot)) { "*" } else { "" }
}

/// Nitrogen allowed, where it is known.
pub(super) fn n_allowed(field: &FieldPlan) -> Option<f64> {
    field.need.get().n.map(|_| field.n_used.map_or(field.n_allowed, |used| used.allowed))
}

/// Nitrogen of log and plan over the days of the same limit.
pub(super) fn n_planned(field: &FieldPlan) -> f64 {
    field.n_used.map_or(field.done.n + field.supplied.n, |used| used.on)
}

/// What the tables show of how a field's figures are known.
fn shown(field: &FieldPlan) -> impl Iterator<Item = Known> {
    let FieldKnown {
        soil,
        class,
        basis,
        p2o5_allowed,
        with_n,
        need,
        done,
        supplied,
        total_n,
        removed,
        held,
        also,
        soil_loss,
        lime,
    } = field.known;
    let ahead = field.outlook.iter().filter(|o| o.of == "P").map(|o| o.known);
    let ahead = ahead.chain(field.metals.iter().filter(|m| m.years.is_some()).map(|m| m.known));
    let of = |npk: Npk<Known>| [npk.n, npk.p2o5, npk.k2o];
    let nutrients = [done, supplied, removed].into_iter().flat_map(of).chain([need.n, total_n]);
    let with_n = if field.phosphorus.with_n.is_some() { with_n } else { Known::Read };
    [soil, class, basis, p2o5_allowed, with_n, held, also, soil_loss, lime].into_iter().chain(nutrients).chain(ahead)
}

/// What holds a field, with how it is known: one limit, or two that leave as little.
pub(super) fn held_words(field: &FieldPlan) -> Vec<String> {
    let one = format!("{}{}", field.held.by.word(), field.known.held.sign());
    let other = field.held.also.map(|also| format!("{}{}", also.by.word(), field.known.also.sign()));
    std::iter::once(one).chain(other).collect()
}

/// `phosphorus`, and since when it counts where that is a year before the plan's.
fn limited_by(field: &FieldPlan, plan: &Plan) -> String {
    let since = counted_since(&field.held, plan).map_or(String::new(), |day| format!("\nsince {day}"));
    format!("{}{since}", held_words(field).join("\nand "))
}

/// Where phosphorus is heading, lime, soil loss, zinc and copper.
fn outlook(page: &mut Page, plan: &Plan) {
    let rows = plan.fields.iter().map(|field| {
        let p = field.outlook.iter().find(|o| o.of == "P");
        let metal = |name| field.metals.iter().find(|m| m.metal == name);
        let load = |name| or_dash(metal(name).map(|m| number_text(m.load, 2)));
        let years = |name| metal(name).map_or("-".to_string(), |m| weak(or_dash(m.years.map(years_ahead)), m.known));
        vec![
            field.id.clone(),
            or_dash(p.map(Outlook::a_year)),
            or_dash(p.and_then(Outlook::next)),
            or_dash(field.phosphorus.rests_through.map(|y| y.to_string())),
            weak(or_dash(field.soil_loss.map(|l| number_text(l, 2))), field.known.soil_loss),
            load("zinc"),
            years("zinc"),
            load("copper"),
            years("copper"),
            weak(or_dash(field.lime.as_ref().map(|l| number_text(l.needed, 2))), field.known.lime),
        ]
    });
    let heads = [
        "Field",
        "Soil P\na year>",
        "next class\nand years",
        "Carried\noff in",
        "Soil\nloss>",
        "Zn\nlb/ac>",
        "years\nto stop>",
        "Cu\nlb/ac>",
        "years\nto stop>",
        "Lime\nt/ac>",
    ];
    page.heading("WHERE IT LEADS, if every year were like this plan: a straight-line estimate");
    page.table(&heads, rows);
    let soils = plan.fields.iter().flat_map(|f| &f.outlook).filter(|o| o.of == "P").filter_map(|o| o.years);
    let metals = plan.fields.iter().flat_map(|f| &f.metals).filter_map(|m| m.years);
    past_foreseen(soils.chain(metals)).into_iter().for_each(|said| page.say(said));
    plan.planner_notes.iter().filter(|note| note.of_trend()).for_each(|note| page.item(note.marked()));
}

/// What a plan must hold, item by item.
fn items(page: &mut Page, plan: &Plan) {
    if plan.items.is_empty() {
        return;
    }
    let rows = plan.items.iter().map(|i| vec![i.text.clone(), i.state.word().to_string(), i.remark.clone()]);
    page.heading("PLAN CONTENT");
    page.table_of(&["The plan must include", "State", "What is there, or missing"], &[37, 9, 0], rows);
    let mut sources: Vec<String> = plan.items.iter().map(|i| i.cite.source() + i.cite.known.sign()).collect();
    sources.sort();
    sources.dedup();
    page.say(format!("List after: {}", sources.join("; ")));
    if let Some(signs) = legend(plan.items.iter().map(|i| i.cite.known)) {
        page.say(signs);
    }
}
