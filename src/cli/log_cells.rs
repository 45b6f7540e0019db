//! From the options of `sward log` to the cells of an entry.

use crate::cli::args_log::{AmountArgs, EntryArgs, LogCommand};
use crate::farm::{CALIBRATION, Written};
use crate::findings::{At, nearest};
use crate::record::{self, COLUMNS, Cells, Entry, What};
use crate::units::Pounds;
use jiff::civil::Date;

/// Cells as given, by column.
pub(super) type Given = Vec<(&'static str, Option<String>)>;

/// Something that is wanted.
pub(super) struct Missing {
    /// The option that gives it.
    pub(super) option: String,
    /// What it is.
    pub(super) what: &'static str,
    /// The item of the tables that asks for it.
    pub(super) item: &'static str,
}

/// The cells that are not empty, in one line each.
pub(super) fn cells(given: Given) -> Cells {
    let tidied = given.into_iter().filter_map(|(column, value)| Some((column, record::tidy(&value?))));
    tidied.filter(|(_, value)| !value.is_empty()).collect()
}

fn amount(args: &AmountArgs) -> Given {
    let tickets = (!args.ticket.is_empty()).then(|| args.ticket.join(" + "));
    vec![
        ("lot", args.lot.clone()),
        ("tons", args.tons.clone()),
        ("loads", args.loads.clone()),
        ("load", args.load.clone()),
        ("tickets", tickets),
        ("ticket_number", args.ticket_number.clone()),
        ("operator", args.operator.clone()),
    ]
}

/// The kind of an entry and its cells.
pub(super) fn of(command: &LogCommand) -> Option<(&EntryArgs, What, Given)> {
    Some(match command {
        LogCommand::Spread(a) => {
            let mut given = amount(&a.amount);
            given.extend([
                ("field", a.field.clone()),
                ("acres", a.acres.clone()),
                ("method", a.method.clone()),
                ("weather", a.weather.clone()),
                ("before", a.before.clone()),
                ("after", a.after.clone()),
                ("wind", a.wind.clone()),
                ("soil", a.soil.clone()),
                ("certificate", a.certificate.clone()),
                ("basis", a.basis.clone()),
                ("analysis", a.analysis.clone()),
            ]);
            (&a.entry, What::Spread, given)
        }
        LogCommand::Haul(a) => {
            let mut given = amount(&a.amount);
            given.extend([
                ("to", a.to.clone()),
                ("address", a.address.clone()),
                ("use", a.usage.clone()),
                ("analysis", a.analysis.clone()),
                ("land", a.land.clone()),
                ("receipt", a.receipt.clone()),
                ("basis", a.basis.clone()),
            ]);
            (&a.entry, What::Haul, given)
        }
        LogCommand::Bring(a) => {
            let mut given = amount(&a.amount);
            given.extend([
                ("from", a.from.clone()),
                ("address", a.address.clone()),
                ("permit", a.permit.clone()),
                ("analysis", a.analysis.clone()),
                ("receipt", a.receipt.clone()),
            ]);
            (&a.entry, What::Bring, given)
        }
        LogCommand::CleanOut(a) => (&a.entry, What::CleanOut, amount(&a.amount)),
        LogCommand::Rain(a) => (&a.entry, What::Rain, vec![("inches", a.inches.clone()), ("days", a.days.clone())]),
        LogCommand::Cut(a) => {
            let given = vec![("field", a.field.clone()), ("tons", a.tons.clone()), ("bales", a.bales.clone())];
            (&a.entry, What::Cut, given)
        }
        LogCommand::Graze(a) => {
            let given = vec![("field", a.field.clone()), ("date", a.from.clone()), ("until", a.to.clone())];
            (&a.entry, What::Graze, given)
        }
        LogCommand::Tickets(_) | LogCommand::Correct(_) | LogCommand::Void(_) | LogCommand::Repair(_) => return None,
    })
}

/// What an entry needs and does not have.
pub(super) fn missing(what: What, cells: &Cells, ask: bool) -> Vec<Missing> {
    let has = |column: &str| cells.contains_key(column);
    let mut list: Vec<(&'static str, &'static str, &'static str)> = Vec::new();
    if what.moves_litter() {
        list.push(("lot", "material", "id of the lot"));
    }
    if what.columns().contains(&"field") {
        list.push(("field", "field_and_acres", "id of the field"));
    }
    if what.moves_litter() && !has("tickets") && !(has("loads") && has("load")) {
        list.push(("tons", "amount", "how much; or --loads and --load, or --ticket once a load"));
    }
    if what == What::Rain && !has("days") {
        list.push(("inches", "weather", "inches of rain; or --days lost"));
    }
    if what == What::Void {
        list.push(("note", "", "why it does not hold"));
    }
    if ask {
        list.extend(record::asked(what).iter().filter(|(c, _, _)| !(*c == "loads" && has("tickets"))));
    }
    let option = |column: &str| if column == "until" { "--to".to_string() } else { format!("--{column}") };
    let open = list.into_iter().filter(|(column, _, _)| !has(column));
    open.map(|(column, item, what)| Missing { option: option(column), what, item }).collect()
}

/// Fills in what the farm folder says of the tests and the spreader behind an
/// application; what was taken comes back, a line each.
pub(super) fn take_from_farm(what: What, cells: &mut Cells, written: &Written) -> Vec<String> {
    if what != What::Spread {
        return Vec::new();
    }
    let lot = written.lots.iter().find(|l| cells.get("lot") == Some(&l.id.value));
    let field = written.fields.iter().find(|f| cells.get("field") == Some(&f.id.value));
    let said = |day: &At<Date>, lab: &str| (format!("{}, {lab}", day.value), day.place.file.clone());
    let analysis = lot.and_then(|l| l.analysis.as_ref()).map(|a| said(&a.sampled, &a.lab));
    let soil = field.and_then(|f| f.soil_test.as_ref()).map(|t| said(&t.sampled, &t.lab));
    // The later of the day that farm.yaml tells and the last measurement.
    let told = written.spreader.as_ref().and_then(|s| s.calibrated.as_ref());
    let told = told.map(|day| (day.value, day.place.file.clone()));
    let last = written.calibration.as_ref().and_then(|c| c.last()).map(|day| (day, CALIBRATION.to_string()));
    let calibrated = told.max(last).map(|(day, file)| (day.to_string(), file));
    let mut taken = Vec::new();
    for (column, words, value) in [
        ("analysis", "litter analysis", analysis),
        ("soil_test", "soil test", soil),
        ("calibrated", "spreader calibrated", calibrated),
    ] {
        let Some((value, file)) = value.filter(|_| !cells.contains_key(column)) else { continue };
        let value = record::tidy(&value);
        taken.push(format!("{words}, from {file}: {value}"));
        cells.insert(column, value);
    }
    taken
}

/// Masses in tons and ground in acres, without a unit; the tons always stand
/// in the line, so that a person can read it.
pub(super) fn in_house_units(entry: &Entry, cells: &mut Cells) {
    let tons = |p: Pounds| short(p.tons());
    if entry.what.moves_litter() || entry.amount.0 > 0 {
        cells.insert("tons", tons(entry.amount));
    }
    if let Some(load) = entry.load {
        cells.insert("load", tons(load));
    }
    if !entry.tickets.is_empty() {
        cells.insert("tickets", entry.tickets.iter().map(|t| tons(*t)).collect::<Vec<_>>().join(" + "));
    }
    if let Some(acres) = entry.acres {
        cells.insert("acres", short(acres));
    }
}

/// Up to four decimals: a pound is 0.0005 tons.
fn short(value: f64) -> String {
    let text = format!("{value:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

/// Whoever is sure of an entry is so since a day: today, unless one is given.
pub(super) fn sure_since(today: Date, cells: &mut Cells) {
    if let Some(sure) = cells.get_mut("sure").filter(|sure| sure.parse::<record::Sure>().is_err()) {
        *sure = format!("{sure}, {today}");
    }
}

/// The cells of an entry with some of them put right.
pub(super) fn corrected(old: &Entry, set: &[String]) -> Result<Cells, String> {
    let mut cells = old.cells.clone();
    cells.remove("id");
    cells.insert("corrects", old.id.clone());
    let mut touched: Vec<&'static str> = Vec::new();
    for one in set {
        let Some((name, value)) = one.split_once('=') else {
            return Err(format!("nothing was logged: --set takes COLUMN=WORDS, as in --set tons=52.5, not `{one}`"));
        };
        let name = name.trim().to_lowercase();
        let may = |c: &&str| !["id", "what", "corrects"].contains(c);
        let Some(column) = COLUMNS.into_iter().find(|c| *c == name && may(c)) else {
            let near = nearest(&name, COLUMNS.into_iter().filter(|c| may(c)));
            let near = near.map_or(String::new(), |n| format!("; did you mean `{n}`?"));
            let list = COLUMNS.into_iter().filter(|c| may(c)).collect::<Vec<_>>().join(", ");
            return Err(format!("nothing was logged: `{name}` is no column that can be set{near} (columns: {list})"));
        };
        let value = record::tidy(value);
        if value.is_empty() {
            cells.remove(column);
        } else {
            cells.insert(column, value);
        }
        touched.push(column);
    }
    // Tons that came from loads or tickets follow them.
    let (by_loads, by_scale) = old.counted();
    let derived = [by_scale, by_loads].contains(&Some(old.amount));
    let weighed = touched.iter().any(|c| ["loads", "load", "tickets"].contains(c));
    // Nobody was sure yet of what is new.
    let words = ["sure", "note", "after", "operator", "certificate"];
    if !touched.contains(&"sure") && touched.iter().any(|c| !words.contains(c)) {
        cells.remove("sure");
    }
    if weighed && derived && !touched.contains(&"tons") {
        cells.remove("tons");
    }
    Ok(cells)
}
