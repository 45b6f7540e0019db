//! The plan on a terminal of 80 columns: fields, nutrients, lots, cautions.

use crate::audit::Audited;
use crate::findings::{Known, Origin};
use crate::plan::answer::{Application, FieldPlan, GoalFrom, HeldBy, LotTally, Plan};
use crate::plan::days::Days;
use crate::units::{Pounds, grouped, number_text};
use crate::write::buy::buy;
use crate::write::days::in_short;
use crate::write::findings::warnings;
use crate::write::leftover::leftover;
use crate::write::page::{day, drawn, from_memory, plain, table, tons, widths, wrapped};
use crate::write::tally::{LOT_HEAD, counted};
use jiff::civil::Date;
use std::collections::BTreeMap;

/// The whole plan.
#[must_use]
pub fn plan(audited: &Audited, width: usize) -> String {
    plan_with_days(audited, None, width)
}

/// The whole plan, with a line on when it gets done where that is calculated.
#[must_use]
pub fn plan_with_days(audited: &Audited, days: Option<&Days>, width: usize) -> String {
    let plan = audited.plan();
    let mut text = String::new();
    let head = format!("{}: litter plan {} to {}, as of {}", plain(&plan.farm), plan.from, plan.to, plan.as_of);
    text.push_str(&wrapped(&head, "", "  ", width));
    text.push_str(&format!(
        "Rules of {} ({}). Rates are tons per acre, as-is (wet) basis.\n\n",
        plan.place_name, plan.place
    ));
    text.push_str("WHAT GOES WHERE\n");
    text.push_str(&fields(plan, width));
    text.push_str(&no_litter(plan, width));
    text.push_str(&past(plan, width));
    text.push_str(&days.map(|d| in_short(d, width)).unwrap_or_default());
    text.push_str("\nNUTRIENTS, lb per acre: needed, put on, and short (-) or over (+)\n");
    text.push_str(&nutrients(plan, width));
    text.push_str(&to_buy(plan, width));
    text.push_str(&buy(plan, width));
    text.push_str("\nLITTER, to the pound\n");
    text.push_str(&lots(plan, width));
    text.push_str(&leftover(&plan.leftover, width));
    text.push_str("\nTHE CHOICE\n");
    text.push_str(&super::choice::choice(plan, width));
    text.push_str("\nCHECK THESE\n");
    text.push_str(&look_at(plan, width));
    text.push_str("\nCAUTIONS\n");
    for caution in plan.stops.iter().chain(&plan.cautions) {
        text.push_str(&wrapped(&caution.text, "- ", "  ", width));
    }
    text
}

/// `B1 Creek Bottom`, for the first column.
fn title(field: &FieldPlan) -> String {
    plain(&format!("{} {}", field.id, field.name))
}

fn held(held: &HeldBy) -> String {
    let word = held.by.word();
    match held.rate {
        Some(rate) if held.below_even => format!("{word}\n({}: too thin)", number_text(rate, 2)),
        Some(rate) if rate > 0.0 => format!("{word}\n({})", number_text(rate, 2)),
        _ => word.to_string(),
    }
}

fn fields(plan: &Plan, width: usize) -> String {
    let head =
        ["Field", "Forage\nand use", "Acres", "Lot", "Tons\n/ac", "Tons", "Loads", "Window", "Limited by\n(tons/ac)"];
    let mut t = table(&head, &[2, 4, 5, 6], width);
    // What is wider than 80 goes to the last column.
    let last = u16::try_from(width.saturating_sub(67)).unwrap_or(13);
    widths(&mut t, &[13, 13, 7, 10, 5, 7, 6, 7, last]);
    for field in &plan.fields {
        let lead = [title(field), format!("{}\n{}", field.forage, field.usage), number_text(field.acres, 2)];
        if field.applications.is_empty() {
            let mut row = lead.to_vec();
            row.extend(["-", "-", "-", "-", "-"].map(String::from));
            row.push(held(&field.held));
            t.add_row(row);
        }
        for (i, a) in field.applications.iter().enumerate() {
            let mut row = if i == 0 { lead.to_vec() } else { vec![String::new(); 3] };
            row.extend(application(a, plan.lots.iter().any(|l| l.id == a.lot && l.typical)));
            row.push(if i == 0 { held(&field.held) } else { String::new() });
            t.add_row(row);
        }
    }
    let all = || plan.fields.iter().flat_map(|f| &f.applications);
    let acres: f64 = plan.fields.iter().filter(|f| !f.applications.is_empty()).map(|f| f.acres).sum();
    let pounds: Pounds = all().map(|a| a.pounds).sum();
    let loads: i64 = all().map(|a| a.loads).sum();
    let total = ["Spread on", "", &number_text(acres, 2), "", "", &tons(pounds), &loads.to_string(), "", ""];
    t.add_row(total.map(String::from).to_vec());
    drawn(&t, 2, width)
}

/// A star where a number rests on typical contents instead of an analysis.
pub(super) fn typical_mark(plan: &Plan, field: &FieldPlan) -> &'static str {
    let typical = |lot: &str| plan.lots.iter().any(|l| l.id == lot && l.typical);
    if field.applications.iter().any(|a| typical(&a.lot)) { "*" } else { "" }
}

fn application(a: &Application, typical: bool) -> [String; 5] {
    [
        plain(&format!("{}{}", a.lot, if typical { "*" } else { "" })),
        number_text(a.rate, 2),
        tons(a.pounds),
        a.loads.to_string(),
        format!("{}\n{}", day(a.first), day(a.last)),
    ]
}

/// Why a field gets none, and what would change that.
fn no_litter(plan: &Plan, width: usize) -> String {
    let mut text = String::new();
    for field in &plan.fields {
        for why in field.why_none() {
            text.push_str(&wrapped(&plain(&format!("{}: {why}", title(field))), "  ", "    ", width));
        }
    }
    text
}

/// Windows that were over on the day of the plan, with what the log shows in
/// them: what is not there was not done.
fn past(plan: &Plan, width: usize) -> String {
    let mut windows: BTreeMap<(Date, Date, &str), Vec<String>> = BTreeMap::new();
    for field in plan.fields.iter().filter(|f| f.bars.is_empty()) {
        for over in &field.past {
            let spread = match over.spread {
                Pounds(0) => "nothing".to_string(),
                spread => format!("{} tons", tons(spread)),
            };
            let at = windows.entry((over.first, over.last, &over.season)).or_default();
            at.push(plain(&format!("{} {spread}", field.id)));
        }
    }
    if windows.is_empty() {
        return String::new();
    }
    let mut text = format!("Over before {}, so nothing is planned there. The log shows:\n", day(plan.as_of));
    for ((first, last, season), fields) in windows {
        let line = format!("{season}, {} to {}: {}", day(first), day(last), fields.join(", "));
        text.push_str(&wrapped(&line, "  ", "    ", width));
    }
    text
}

fn nutrients(plan: &Plan, width: usize) -> String {
    let head = [
        "Field",
        "N\nneed",
        "P2O5\nneed",
        "K2O\nneed",
        "N\non",
        "P2O5\non",
        "K2O\non",
        "N\n-/+",
        "P2O5\n-/+",
        "K2O\n-/+",
    ];
    let mut t = table(&head, &[1, 2, 3, 4, 5, 6, 7, 8, 9], width);
    for field in &plan.fields {
        let whole = |v: f64| number_text(v, 0);
        let signed = |short: f64, over: f64| match (whole(short).as_str(), whole(over).as_str()) {
            ("0", "0") => "0".to_string(),
            (short, "0") => format!("-{short}"),
            (_, over) => format!("+{over}"),
        };
        let on = |done: f64, put: f64| whole(done + put);
        t.add_row(vec![
            format!("{}{}", title(field), typical_mark(plan, field)),
            whole(field.need.n),
            whole(field.need.p2o5),
            whole(field.need.k2o),
            on(field.done.n, field.supplied.n),
            on(field.done.p2o5, field.supplied.p2o5),
            on(field.done.k2o, field.supplied.k2o),
            signed(field.short.n, field.over.n),
            signed(field.short.p2o5, field.over.p2o5),
            signed(field.short.k2o, field.over.k2o),
        ]);
    }
    drawn(&t, 2, width)
}

fn to_buy(plan: &Plan, width: usize) -> String {
    let pounds = |get: fn(&FieldPlan) -> f64| plan.fields.iter().map(|f| f.acres * get(f)).sum::<f64>();
    let buy = format!(
        "Fertilizer still to buy if every need is to be met: {} lb N, {} lb P2O5, {} lb K2O.",
        number_text(pounds(|f| f.short.n), 0),
        number_text(pounds(|f| f.short.p2o5), 0),
        number_text(pounds(|f| f.short.k2o), 0)
    );
    let mut text = wrapped(&buy, "", "  ", width);
    let limed: Vec<String> = plan
        .fields
        .iter()
        .filter_map(|f| Some((f, f.lime.as_ref().filter(|l| l.at_once > 0.0)?)))
        .map(|(f, l)| format!("{} {} tons/ac", plain(&f.id), number_text(l.at_once, 2)))
        .collect();
    if !limed.is_empty() {
        text.push_str(&wrapped(&format!("Lime now, by the soil test: {}.", limed.join(", ")), "", "  ", width));
    }
    match &plan.money {
        // By the pound only where no product is named: see the section BUY.
        _ if plan.buy.is_some() => {}
        Some(m) => {
            let dollars = |v: f64| format!("${}", number_text(v, 0));
            let line = format!(
                "That is {3} of fertilizer. Without litter it would be {0}: the litter replaces {1}, and loading, spreading and hauling it costs {2}.",
                dollars(m.without_litter),
                dollars(m.replaced),
                dollars(m.spreading),
                dollars(m.still_to_buy),
            );
            text.push_str(&wrapped(&line, "", "  ", width));
        }
        None => text.push_str("No prices in farm.yaml: litter goes where a ton replaces the most nutrients.\n"),
    }
    text
}

fn lots(plan: &Plan, width: usize) -> String {
    // Litter out of the houses has a column only where there is some.
    let made = plan.lots.iter().any(|l| l.made.0 != 0);
    let mut head = vec![
        "Lot",
        "Opening\nlb",
        "+ brought\nlb",
        "- spread\nlb",
        "- hauled\nlb",
        "= on hand\nlb",
        "planned\nlb",
        "left\nlb",
        "left\ntons",
    ];
    if made {
        head = LOT_HEAD.into_iter().chain(["left\ntons"]).collect();
    }
    let mut t = table(&head, &[1, 2, 3, 4, 5, 6, 7, 8, 9], width);
    let row = |name: String, l: &LotTally| {
        let lb = |p: Pounds| grouped(p.0);
        let mut cells = vec![
            name,
            lb(l.opening),
            lb(l.brought),
            lb(l.spread),
            lb(l.hauled),
            lb(l.on_hand),
            lb(l.planned),
            lb(l.left),
            tons(l.left),
        ];
        if made {
            cells.insert(2, lb(l.made));
        }
        cells
    };
    for lot in &plan.lots {
        let mark = if lot.typical { "*" } else { "" };
        t.add_row(row(plain(&format!("{}{mark}", lot.id)), lot));
    }
    let mut text = drawn(&t, 2, width);
    if plan.lots.iter().any(|l| l.typical) {
        text.push_str("* no analysis: typical contents from the tables\n");
    }
    for lot in &plan.lots {
        text.push_str(&lot.counting.as_ref().map(|c| counted(&lot.id, c, width)).unwrap_or_default());
    }
    text
}

fn look_at(plan: &Plan, width: usize) -> String {
    let mut text = warnings(&plan.findings, width);
    let past: Vec<String> = plan
        .fields
        .iter()
        .flat_map(|f| f.applications.iter().map(move |a| (f, a)))
        .filter(|(_, a)| a.analysis_good_until.is_some_and(|good| good < a.last))
        .map(|(f, a)| format!("{} ({})", f.id, a.season))
        .collect();
    if !past.is_empty() {
        let line =
            format!("The lot's analysis runs out before the window closes: {}. Sample again in time.", past.join(", "));
        text.push_str(&wrapped(&line, "- ", "  ", width));
    }
    let mapped: Vec<String> = plan
        .fields
        .iter()
        .filter(|f| f.goal.from == GoalFrom::Soils)
        .map(|f| format!("{} {} tons/ac", f.id, number_text(f.goal.tons, 2)))
        .collect();
    if !mapped.is_empty() {
        let by = plan.soils_by.as_deref().unwrap_or("the soil map");
        let line = format!(
            "No yield goal is written; taken from the soils under the field ({by}): {}. Your own bale counts are better.",
            mapped.join(", ")
        );
        text.push_str(&wrapped(&plain(&line), "- ", "  ", width));
    }
    let wet: Vec<String> = plan
        .fields
        .iter()
        .filter(|f| !f.applications.is_empty() && f.wet_acres() >= 0.05)
        .map(|f| format!("{} {} ac", f.id, number_text(f.wet_acres(), 1)))
        .collect();
    if !wet.is_empty() {
        let line = format!(
            "Poorly drained by the soil map: {}. Check the ground before driving a loaded truck onto it.",
            wet.join(", ")
        );
        text.push_str(&wrapped(&line, "- ", "  ", width));
    }
    let practice = plan.fields.iter().flat_map(|f| &f.windows).any(|w| w.cite.known == Known::CommonPractice);
    if practice {
        text.push_str(&wrapped(
            "Some windows are common practice, without a published source: `sward tables season` shows which.",
            "- ",
            "  ",
            width,
        ));
    }
    text.push_str(&from_memory(plan, width));
    let said = plan.fields.iter().flat_map(|f| &f.kept_off).filter(|k| matches!(k.origin, Origin::Said { .. })).count();
    if said > 0 {
        text.push_str(&wrapped(
            "Some setbacks are the farm's own (`setback_by` in keepouts.geojson), not published ones.",
            "- ",
            "  ",
            width,
        ));
    }
    if text.is_empty() { "- nothing\n".to_string() } else { text }
}
