//! The plan on a terminal of 80 columns: fields, nutrients, lots, cautions.

use crate::audit::Audited;
use crate::balance::Npk;
use crate::findings::{Known, Origin, distinct, listed, without_litter};
use crate::plan::answer::{Application, FieldPlan, GoalFrom, HeldBy, Past, Plan};
use crate::plan::days::Days;
use crate::plan::{Mends, goes_on};
use crate::units::{Pounds, at_most, number_text, rate_text};
use crate::write::buy::buy;
use crate::write::choice::{choice, worth};
use crate::write::days::in_short;
use crate::write::findings::warnings;
use crate::write::known::relies_on;
use crate::write::leftover::leftover;
use crate::write::limits::{counted_since, typical_mark};
use crate::write::litter::{LotBooks, books, by_when, of_plan, overdrawn, to_come};
use crate::write::mends::worth_mending;
use crate::write::page::{Page, day, known, named, not_known, tons, whole};
use crate::write::tally::counted;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// The whole plan.
#[must_use]
pub fn plan(audited: &Audited, width: usize) -> String {
    plan_with(audited, &Beside { days: None, mends: &Mends::default() }, width)
}

/// What is calculated beside a plan.
#[derive(Clone, Copy, Debug)]
pub struct Beside<'a> {
    /// When it gets done.
    pub days: Option<&'a Days>,
    /// What papers that are wanting would bring.
    pub mends: &'a Mends,
}

/// The whole plan, with what is calculated beside it.
#[must_use]
pub fn plan_with(audited: &Audited, &Beside { days, mends }: &Beside<'_>, width: usize) -> String {
    let plan = audited.plan();
    let Plan { farm, from, to, as_of, .. } = plan;
    let mut page = Page::titled(format!("{farm}: litter plan {from} to {to}, as of {as_of}"), width);
    page.say(format!("{} Rates are tons per acre, as-is (wet) basis.", rules(plan)));
    page.heading("WHAT GOES WHERE");
    fields(&mut page, plan);
    parts(&mut page, plan);
    no_litter(&mut page, plan);
    past(&mut page, plan);
    in_part(&mut page, plan);
    if let Some(days) = days {
        in_short(&mut page, days);
    }
    page.heading("NUTRIENTS, lb per acre: needed, put on, and short (-) or over (+)");
    nutrients(&mut page, plan);
    to_buy(&mut page, plan);
    buy(&mut page, plan);
    page.heading("LITTER, to the pound");
    lots(&mut page, plan);
    leftover(&mut page, plan);
    by_when(&mut page, plan);
    page.heading("THE CHOICE");
    choice(&mut page, plan, days);
    worth_mending(&mut page, mends);
    page.heading("CHECK THESE");
    look_at(&mut page, plan);
    page.heading("CAUTIONS");
    plan.stops.iter().chain(&plan.cautions).for_each(|caution| page.item(caution.sentence()));
    page.done()
}

/// Whose rules the plan goes by.
fn rules(plan: &Plan) -> String {
    let Plan { place, place_name, .. } = plan;
    if !plan.findings.iter().any(|finding| finding.code == "place-bare") {
        return format!("Rules of {place_name} ({place}).");
    }
    format!("No tables of {place_name} are held here: the federal baseline serves. See CHECK THESE.")
}

/// `B1 Creek Bottom`, for the first column.
fn title(field: &FieldPlan) -> String {
    named(&field.id, &field.name)
}

fn held(held: &HeldBy, plan: &Plan) -> String {
    let also = held.also.map_or(String::new(), |also| format!("\nand {}", also.by.word()));
    let word = format!("{}{also}", held.by.word());
    let since = counted_since(held, plan).map_or(String::new(), |day| format!("\nsince {day}"));
    match held.rate {
        Some(rate) if held.below_even => format!("{word}\n({}: too thin){since}", at_most(rate, 2)),
        Some(rate) if rate > 0.0 => format!("{word}\n({}){since}", at_most(rate, 2)),
        _ => format!("{word}{since}"),
    }
}

/// Acres that a job goes on: of a field that is done in part those that are left.
fn acres_of(a: &Application, field: &FieldPlan) -> String {
    let all = number_text(field.acres, 2);
    a.rest_acres.map_or(all.clone(), |left| format!("{}\nof {all}", number_text(left, 2)))
}

fn fields(page: &mut Page, plan: &Plan) {
    let mut rows = Vec::new();
    for field in &plan.fields {
        let lead = [title(field), format!("{}\n{}", field.forage, field.usage), number_text(field.acres, 2)];
        if field.applications.is_empty() {
            let none = ["-"; 5].map(String::from);
            rows.push(lead.iter().cloned().chain(none).chain([held(&field.held, plan)]).collect());
        }
        for (i, a) in field.applications.iter().enumerate() {
            let once = |text: String| if i == 0 { text } else { String::new() };
            let what = application(a, plan.lots.iter().any(|l| l.id == a.lot && l.typical));
            let [title, forage, _] = lead.clone().map(once);
            let same = i > 0 && field.applications[i - 1].acres(field) == a.acres(field);
            let on = if same { String::new() } else { acres_of(a, field) };
            let row = [title, forage, on].into_iter().chain(what).chain([once(held(&field.held, plan))]);
            rows.push(row.collect());
        }
    }
    let all = || plan.fields.iter().flat_map(|f| &f.applications);
    let acres: f64 = plan.fields.iter().map(FieldPlan::acres_spread).sum();
    let pounds: Pounds = all().map(|a| a.pounds).sum();
    let loads: i64 = all().map(|a| a.loads).sum();
    let total = ["Spread on", "", &number_text(acres, 2), "", "", &tons(pounds), &loads.to_string(), "", ""];
    rows.push(total.map(String::from).to_vec());
    let heads = [
        "Field",
        "Forage\nand use",
        "Acres>",
        "Lot",
        "Tons\n/ac>",
        "Tons>",
        "Loads>",
        "Window",
        "Limited by\n(tons/ac)",
    ];
    // What is wider than 80 goes to the last column.
    let last = page.width().saturating_sub(67);
    page.table_of(&heads, &[13, 13, 7, 10, 5, 7, 6, 7, last], rows);
}

fn application(a: &Application, typical: bool) -> [String; 5] {
    [
        format!("{}{}", a.lot, if typical { "*" } else { "" }),
        rate_text(a.rate),
        tons(a.pounds),
        a.loads.to_string(),
        format!("{}\n{}", day(a.first), day(a.last)),
    ]
}

/// The same in a few words.
fn short(field: &FieldPlan) -> String {
    let wants = distinct(field.bars.iter().map(|bar| bar.wants.as_str()));
    match wants.is_empty() {
        true if field.waits_for_ground() => "part done and not drawn".to_string(),
        true => field.held.by.word().to_string(),
        false => listed(&wants),
    }
}

/// Fields that are done in parts, where the line between them lies, and what that gains.
fn parts(page: &mut Page, plan: &Plan) {
    let Some(all) = &plan.in_parts else { return };
    for field in &all.fields {
        let Some(from) = field.parts.first() else { continue };
        let parts = field.parts.iter().map(|part| format!("{} ({} ac)", part.id, number_text(part.acres, 2)));
        page.say(format!(
            "{} is done in parts: {}. The line between them lies {} runs ({} ft) from the {} edge of its ground.",
            named(&field.id, &field.name).replace('\n', " "),
            listed(&parts.collect::<Vec<_>>()),
            field.runs,
            number_text(field.feet, 0),
            from.side,
        ));
    }
    let gains = worth(all.gains, plan.choice.in_dollars);
    page.say(format!("Of plans that spread every field as a whole, the best one gains {gains} less."));
}

/// Why a field gets none, and what would change that.
fn no_litter(page: &mut Page, plan: &Plan) {
    let none = plan.fields.iter().filter(|field| field.applications.is_empty());
    let none: Vec<(&str, String)> = none.map(|field| (field.id.as_str(), short(field))).collect();
    let gets = ("gets no litter", "get no litter");
    let line = without_litter(plan.fields.len(), &none, gets, plan.in_parts.is_some());
    line.iter().for_each(|line| page.say(format!("{line}.")));
    for field in &plan.fields {
        field.why_none().iter().for_each(|why| page.under(format!("{}: {why}", title(field))));
    }
}

/// What fields got between two days, by season.
type PastRows<'a> = BTreeMap<(Date, Date, &'a str), Vec<String>>;

/// Windows that were over on the day of the plan, with what the log shows in them, and
/// what it shows outside every window: what is not there was not done.
fn past(page: &mut Page, plan: &Plan) {
    let (mut windows, mut so_far) = (PastRows::new(), PastRows::new());
    for field in &plan.fields {
        let goes_on = |over: &Past| goes_on(field, over, plan.as_of);
        // Where none is allowed, what went on all the same.
        let told = |over: &&Past| over.spread.0 > 0 || (field.bars.is_empty() && !goes_on(over));
        for over in field.past.iter().filter(told) {
            let spread = match over.spread {
                Pounds(0) => "no litter".to_string(),
                spread => format!("{} tons", tons(spread)),
            };
            let rows = if goes_on(over) { &mut so_far } else { &mut windows };
            let at = rows.entry((over.first, over.last, &over.season)).or_default();
            at.push(format!("{} {spread}", field.id));
        }
    }
    let mut rows = |head: String, rows: PastRows<'_>| {
        if !rows.is_empty() {
            page.line(head);
        }
        for ((first, last, season), fields) in rows {
            page.under(format!("{season}, {} to {}: {}", day(first), day(last), fields.join(", ")));
        }
    };
    rows(format!("Over before {}, so nothing is planned there. The log shows:", day(plan.as_of)), windows);
    rows("The log shows so far, in seasons that are still open:".to_string(), so_far);
    let mut listed = |head: String, of: fn(&FieldPlan) -> Pounds| {
        let some = plan.fields.iter().filter(|field| of(field).0 > 0);
        let some: Vec<String> = some.map(|field| format!("{} {} tons", field.id, tons(of(field)))).collect();
        if !some.is_empty() {
            page.line(head);
            page.under(some.join(", "));
        }
    };
    listed(format!("The log shows on {}, the day of the plan:", day(plan.as_of)), |field| field.today);
    listed("The log shows outside every window of the plan:".to_string(), |field| field.outside);
}

/// Fields that are done in part, in a window that is still open.
fn in_part(page: &mut Page, plan: &Plan) {
    let parts: Vec<String> = plan
        .fields
        .iter()
        .filter_map(|field| Some(format!("{}: {}.", title(field), field.part_beside_why()?)))
        .collect();
    if !parts.is_empty() {
        page.line("Done in part:");
    }
    parts.into_iter().for_each(|part| page.under(part));
}

fn nutrients(page: &mut Page, plan: &Plan) {
    let rows = plan.fields.iter().flat_map(|field| {
        field.years.iter().enumerate().map(move |(at, year)| {
            let name = format!("{}{}", title(field), typical_mark(plan, field));
            let days = format!("to {}", year.last);
            let lead = match (field.years.len(), at) {
                (1, _) => name,
                (_, 0) => format!("{name}\n{days}"),
                _ => days,
            };
            let need = year.need.get();
            let on = year.done_usable.with(year.supplied_usable, |done, put| done + put);
            let left = year.short.get().with(year.over.get(), Option::zip).map(|both| match both {
                Some((short, over)) => signed(short, over, year.bought_for),
                None => known(None),
            });
            let cells = [known(need.n), known(need.p2o5), known(need.k2o), whole(on.n), whole(on.p2o5), whole(on.k2o)];
            std::iter::once(lead).chain(cells).chain([left.n, left.p2o5, left.k2o]).collect()
        })
    });
    let heads = [
        "Field",
        "N\nneed>",
        "P2O5\nneed>",
        "K2O\nneed>",
        "N\non>",
        "P2O5\non>",
        "K2O\non>",
        "N\n-/+>",
        "P2O5\n-/+>",
        "K2O\n-/+>",
    ];
    page.table(&heads, rows);
    if plan.fields.iter().flat_map(|f| &f.years).any(|year| !year.bought_for) {
        page.say(
            "A field over two growing years has a row for each, to its last day. *: most of that year lies in another \
             plan, which buys for it.",
        );
    }
    plan.shares.iter().for_each(|share| page.say(format!("{}.", share.sentence())));
    for field in plan.fields.iter().filter(|field| field.rest_job().is_some()) {
        page.say(format!(
            "{}: a part of it is done. Of each nutrient its row counts the ground that gets most, the part that is done \
             or the rest, and no more is bought for the other.",
            field.id
        ));
    }
    for field in &plan.fields {
        let Some(acres) = field.besides_on else { continue };
        page.say(format!(
            "{}: fertilizer or fed hay of the log lies on {} of {} ac: the row is of those acres. The other {} ac got \
             none of it, and nothing more is bought for them.",
            field.id,
            number_text(acres, 2),
            number_text(field.acres, 2),
            number_text(field.acres - acres, 2),
        ));
    }
}

/// `-12` where that much is short, `+12` where it is over; a star where another plan buys
/// what is short.
fn signed(short: f64, over: f64, bought_for: bool) -> String {
    match (whole(short).as_str(), whole(over).as_str()) {
        ("0", "0") => "0".to_string(),
        (_, "0") if !bought_for => "*".to_string(),
        (short, "0") => format!("-{short}"),
        (_, over) => format!("+{over}"),
    }
}

fn to_buy(page: &mut Page, plan: &Plan) {
    let short = plan.fields.iter().map(FieldPlan::short_pounds);
    let short = short.fold(Npk::default(), |sum: Npk<f64>, lb| sum.with(lb, |sum, lb| sum + lb));
    let unknown = not_known(plan);
    page.say(format!(
        "Fertilizer still to buy if every {}need is to be met: {} lb N, {} lb P2O5, {} lb K2O.",
        if unknown.is_empty() { "" } else { "known " },
        whole(short.n),
        whole(short.p2o5),
        whole(short.k2o)
    ));
    if !unknown.is_empty() {
        page.say(format!("Not in these sums, since the need is not known: {}.", unknown.join("; ")));
    }
    let limed: Vec<String> = plan
        .fields
        .iter()
        .filter_map(|f| Some((f, f.lime.as_ref().filter(|l| l.at_once > 0.0)?)))
        .map(|(f, l)| {
            let logged = l.logged.map_or(String::new(), |on| format!(" after {} in the log", number_text(on, 2)));
            format!("{} {} tons/ac{logged}", f.id, number_text(l.at_once, 2))
        })
        .collect();
    if !limed.is_empty() {
        page.say(format!("Lime now, by the soil test: {}.", limed.join(", ")));
    }
    match &plan.money {
        // By the pound only where no product is named: see the section BUY.
        _ if plan.buy.is_some() => {}
        Some(m) => {
            let later = match m.replaced_later {
                later if later > 0.0 => {
                    format!(", and ${} more of a growing year for which nothing is bought yet", whole(later))
                }
                _ => String::new(),
            };
            page.say(format!(
                "That is ${3} of fertilizer. Without litter it would be ${0}: the litter replaces ${1}{later}. Loading, spreading and hauling it costs ${2}.",
                whole(m.without_litter),
                whole(m.replaced - m.replaced_later),
                whole(m.spreading),
                whole(m.still_to_buy),
            ));
        }
        None => page.line("No prices in farm.yaml: litter goes where a ton replaces the most nutrients."),
    }
    if let Some(done) = plan.money.as_ref().and_then(|money| money.done.as_ref()) {
        let bought =
            if done.bought > 0.0 { format!(", litter brought for ${}", whole(done.bought)) } else { String::new() };
        page.say(format!(
            "Done since {}, by the log: litter that replaced ${} of fertilizer, loading, spreading and hauling for ${}, litter sold for ${}{bought}. Every other dollar of this plan is still to come.",
            day(plan.from),
            whole(done.replaced),
            whole(done.spreading),
            whole(done.sold),
        ));
    }
}

fn lots(page: &mut Page, plan: &Plan) {
    let lots: Vec<LotBooks> = plan.lots.iter().map(of_plan).collect();
    books(page, &lots, true);
    overdrawn(page, &lots);
    if plan.lots.iter().any(|l| l.typical) {
        page.line("* no analysis: typical contents from the tables");
    }
    for lot in &plan.lots {
        lot.counting.iter().for_each(|counting| counted(page, &lot.id, counting));
    }
    to_come(page, plan);
}

fn look_at(page: &mut Page, plan: &Plan) {
    let mut own = Page::new(page.width());
    warnings(&mut own, &plan.findings);
    let past: Vec<String> = plan
        .fields
        .iter()
        .flat_map(|f| f.applications.iter().map(move |a| (f, a)))
        .filter(|(_, a)| a.analysis_good_until.is_some_and(|good| good < a.last))
        .map(|(f, a)| format!("{} ({})", f.id, a.season))
        .collect();
    if !past.is_empty() {
        own.item(format!(
            "The lot's analysis runs out before the window closes: {}. Sample again in time.",
            past.join(", ")
        ));
    }
    let mapped: Vec<String> = plan
        .fields
        .iter()
        .filter(|f| f.goal.from == GoalFrom::Soils)
        .map(|f| format!("{} {} tons/ac", f.id, number_text(f.goal.tons, 2)))
        .collect();
    if !mapped.is_empty() {
        let by = plan.soils_by.as_deref().unwrap_or("the soil map");
        own.item(format!(
            "No yield goal is written; taken from the soils under the field ({by}): {}. Your own bale counts are better.",
            mapped.join(", ")
        ));
    }
    let wet: Vec<String> = plan
        .fields
        .iter()
        .filter(|f| !f.applications.is_empty() && f.wet_acres() >= 0.05)
        .map(|f| format!("{} {} ac", f.id, number_text(f.wet_acres(), 1)))
        .collect();
    if !wet.is_empty() {
        own.item(format!(
            "Poorly drained by the soil map: {}. Check the ground before driving a loaded truck onto it.",
            wet.join(", ")
        ));
    }
    if plan.fields.iter().flat_map(|f| &f.windows).any(|w| w.cite.known == Known::CommonPractice) {
        own.item("Some windows are common practice, without a published source: `sward tables season` shows which.");
    }
    relies_on(&mut own, plan);
    if plan.fields.iter().flat_map(|f| &f.kept_off).any(|k| matches!(k.origin, Origin::Said { .. })) {
        own.item("Some setbacks are the farm's own (`setback_by` in keepouts.geojson), not published ones.");
    }
    page.list(own);
}
