//! The cells of one entry, checked.

use crate::findings::{At, Finding, Findings, Place, hidden, or_near};
use crate::record::cells::{Cells, LONGEST_CELL, LONGEST_GROUND};
use crate::record::columns::{METHODS, ORDERS, SOILS};
use crate::record::ground::{GROUND_ACCEPTS as GROUND, LoggedGround, SWATH_ACCEPTS, swath};
use crate::record::kinds::{Need, What};
use crate::text::{self, names_somebody, shown};
use crate::units::{
    Acres, Days, Grade, LbPerAcre, POUNDS_PER_TON, Percent, Pounds, Quantity, Tons, TonsPerAcre, number, quantity,
};
use jiff::civil::Date;
use std::sync::Arc;

/// One entry of the log.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// The id by which a correction names it.
    pub id: String,
    /// The day; of grazing, the first.
    pub date: Date,
    /// What was done.
    pub what: What,
    /// Which lot, where litter was moved.
    pub lot: Option<At<String>>,
    /// Which field: spread on, cut, grazed.
    pub field: Option<At<String>>,
    /// How much litter; of a cutting or of feeding, how much hay; of a count, what is there.
    pub amount: Pounds,
    /// Acres covered: as written, and once the farm is checked, those of its ground.
    pub acres: Option<f64>,
    /// The ground that was done, where the entry says so.
    pub ground: Option<Arc<LoggedGround>>,
    /// How many loads.
    pub loads: Option<f64>,
    /// Weight of a load.
    pub load: Option<Pounds>,
    /// What the scale said, load by load.
    pub tickets: Vec<Pounds>,
    /// Last day of grazing.
    pub until: Option<Date>,
    /// Inches of rain.
    pub inches: Option<f64>,
    /// Days lost to rain.
    pub days: Option<f64>,
    /// Bales or rolls of a cutting, or fed.
    pub bales: Option<f64>,
    /// Percent of moisture of the hay.
    pub moisture: Option<f64>,
    /// Percent of crude protein of the hay that was fed.
    pub protein: Option<f64>,
    /// How many animals are on the field from the day on.
    pub head: Option<f64>,
    /// What the fertilizer held, as on the bag.
    pub grade: Option<Grade>,
    /// Pounds of fertilizer or lime per acre.
    pub rate: Option<f64>,
    /// The day for which a clean-out was planned, and the day to which it moves.
    pub moves: Option<(Date, Date)>,
    /// Who is sure of values that lie far from what is usual.
    pub sure: Option<LogSure>,
    /// Every cell as written.
    pub cells: Arc<Cells>,
    /// Where it stands.
    pub place: Place,
}

/// Somebody who looked again and is sure of an entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LogSure {
    /// Who.
    pub by: String,
    /// Since when.
    pub on: Date,
}

impl std::fmt::Display for LogSure {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}, {}", self.by, self.on)
    }
}

impl std::str::FromStr for LogSure {
    type Err = ();

    /// A name, a comma and a day, as in `Dell Farrow, 2027-03-16`.
    fn from_str(text: &str) -> Result<LogSure, ()> {
        let (by, on) = text.rsplit_once(',').ok_or(())?;
        let (by, on) = (by.trim(), day(on.trim()).ok_or(())?);
        names_somebody(by).then(|| LogSure { by: by.to_string(), on }).ok_or(())
    }
}

impl Entry {
    /// Litter spread on a whole field, of which nothing else is written down.
    #[must_use]
    pub fn spread(
        id: String,
        date: Date,
        (lot, field): (At<String>, At<String>),
        amount: Pounds,
        place: Place,
    ) -> Entry {
        Entry {
            id,
            date,
            what: What::Spread,
            lot: Some(lot),
            field: Some(field),
            amount,
            acres: None,
            ground: None,
            loads: None,
            load: None,
            tickets: Vec::new(),
            until: None,
            inches: None,
            days: None,
            bales: None,
            moisture: None,
            protein: None,
            head: None,
            grade: None,
            rate: None,
            moves: None,
            sure: None,
            cells: Arc::default(),
            place,
        }
    }

    /// All stock gone from a field.
    #[must_use]
    pub fn no_head_left(id: String, date: Date, field: At<String>, place: Place) -> Entry {
        let none = (At { value: String::new(), place: place.clone() }, field);
        Entry { what: What::Head, lot: None, head: Some(0.0), ..Entry::spread(id, date, none, Pounds(0), place) }
    }

    /// A cell's words; empty where nothing was written.
    #[must_use]
    pub fn word(&self, column: &str) -> &str {
        self.cells.get(column).map_or("", String::as_str)
    }

    /// Acres as the entry says them, whatever its ground has.
    #[must_use]
    pub fn acres_written(&self) -> Option<f64> {
        acres(self.word("acres"))
    }

    /// Its lot; empty where it has none.
    #[must_use]
    pub fn lot_id(&self) -> &str {
        self.lot.as_ref().map_or("", |lot| &lot.value)
    }

    /// Its field; empty where it has none.
    #[must_use]
    pub fn field_id(&self) -> &str {
        self.field.as_ref().map_or("", |field| &field.value)
    }

    /// Whether a count was made before the other entries of its day.
    #[must_use]
    pub fn counted_before(&self) -> bool {
        self.word("order") == "before"
    }

    /// Pounds of a nutrient per acre that fertilizer put on: nitrogen, phosphate or potash.
    #[must_use]
    pub fn fertilizer_on(&self) -> Option<[f64; 3]> {
        let grade = self.grade.filter(|_| self.what == What::Fertilizer)?;
        let rate = self.rate?;
        Some(grade.0.map(|percent| rate * percent / 100.0))
    }

    /// The other two ways in which the amount is known: loads times the weight
    /// of a load, and the scale tickets.
    #[must_use]
    pub fn counted(&self) -> (Option<Pounds>, Option<Pounds>) {
        let by_loads = self.loads.zip(self.load).map(|(n, each)| times(n, each));
        let by_scale = (!self.tickets.is_empty()).then(|| self.tickets.iter().copied().sum());
        (by_loads, by_scale)
    }
}

/// So many loads of a weight, to the nearest pound.
fn times(loads: f64, each: Pounds) -> Pounds {
    Pounds((loads * each.0 as f64).round() as i64)
}

/// A line under examination.
struct EntryReading<'a> {
    cells: &'a Cells,
    at: &'a dyn Fn(&str) -> Place,
    findings: &'a mut Findings,
    sound: bool,
}

impl EntryReading<'_> {
    fn get(&self, column: &str) -> &str {
        self.cells.get(column).map_or("", String::as_str)
    }

    fn fault(&mut self, column: &str, found: impl Into<String>, accepts: &str) {
        self.fault_with(column, found, accepts, "correct this line; the rest of the log counts");
    }

    fn fault_with(&mut self, column: &str, found: impl Into<String>, accepts: &str, fix: &str) {
        self.sound = false;
        let finding = Finding::error("log-line", &(self.at)(column), found).accepts(accepts).fix(fix);
        self.findings.push(finding);
    }

    /// A cell turned into something, or none where it is empty or wrong.
    fn value<T>(&mut self, column: &str, accepts: &str, read: impl Fn(&str) -> Option<T>) -> Option<T> {
        let text = self.get(column).to_string();
        if text.is_empty() {
            return None;
        }
        let value = read(&text);
        if value.is_none() {
            let many = ["tons", "acres", "loads", "inches", "days", "tickets", "bales", "head"];
            let verb = if many.contains(&column) { "are" } else { "is" };
            let name = match column {
                "tickets" => "scale tickets",
                "sure" => "name in `sure`",
                "head" => "animals",
                "planned" => "planned day",
                "new_day" => "new day",
                _ => column,
            };
            self.fault(column, format!("the {name} {verb} `{}`", shown(&text)), accepts);
        }
        value
    }

    /// One of a few words.
    fn choice(&mut self, column: &str, words: &[&str]) {
        let word = self.get(column).to_string();
        if word.is_empty() || words.contains(&word.as_str()) {
            return;
        }
        let near = or_near(&word, words.iter().copied());
        self.fault(column, format!("the {column} is `{}`{near}", shown(&word)), &words.join(", "));
    }

    fn date(&mut self) -> Option<Date> {
        if self.get("date").is_empty() {
            self.fault("date", "the line has no date", "a day of the calendar, written as 2027-03-15");
        }
        self.value("date", "a day of the calendar, written as 2027-03-15", day)
    }

    fn what(&mut self) -> Option<What> {
        let word = self.get("what").to_string();
        let what = What::named(&word);
        if what.is_none() {
            let words = What::ALL.map(What::word);
            let near = or_near(&word, words);
            self.fault("what", format!("the entry is a `{}`{near}", shown(&word)), &words.join(", "));
        }
        what
    }

    /// Nothing is filled that says nothing of this kind, and what the tally
    /// needs is there.
    fn fits(&mut self, what: What) {
        let mine = what.columns();
        let common = ["id", "date", "what", "corrects", "sure", "note"];
        let strange: Vec<&str> =
            self.cells.iter().map(|(c, _)| c).filter(|c| !mine.contains(c) && !common.contains(c)).collect();
        let (word, list) = (what.word(), if mine.is_empty() { "a note".to_string() } else { mine.join(", ") });
        for column in strange {
            let found = format!("a `{word}` line says nothing of `{column}`, and here it is filled");
            self.fault(column, found, &list);
        }
        let empty = |c: &str| self.get(c).is_empty();
        let said = |need: &Need| !empty(need.column) || need.or.iter().any(|all| !all.iter().any(|c| empty(c)));
        let wanting: Vec<&Need> = what.needs().iter().filter(|need| !said(need)).collect();
        for need in wanting {
            self.fault(need.column, format!("the line does not say {}", need.unsaid), need.accepts);
        }
    }

    /// The ground that was done, and how wide the way over it was.
    fn ground(&mut self) -> Option<Arc<LoggedGround>> {
        let swath = self.value("swath", SWATH_ACCEPTS, swath);
        let text = self.get("ground").to_string();
        if text.is_empty() {
            if !self.get("swath").is_empty() {
                self.fault("swath", "`swath` is the width of a way that was driven, and `ground` is empty", GROUND);
            }
            return None;
        }
        match text::drawn(&text) {
            Ok(shape) => {
                let ground = LoggedGround { shape, swath, place: (self.at)("ground") };
                if swath.is_some() && !ground.is_line() {
                    self.fault(
                        "swath",
                        "`swath` is the width of a way that was driven, and the ground is an area",
                        "an empty cell, or a line in `ground`",
                    );
                }
                Some(Arc::new(ground))
            }
            Err(why) => {
                self.fault("ground", format!("the ground `{}` cannot be read: {why}", shown(&text)), GROUND);
                None
            }
        }
    }

    /// Long cells and control characters.
    fn clean(&mut self) {
        let cells = self.cells;
        for (column, text) in cells.iter() {
            // What most cells hold.
            let plain = text.bytes().all(|b| b.is_ascii_graphic() || b == b' ');
            if plain && text.len() <= LONGEST_CELL {
                continue;
            }
            let tab = || text.contains(char::is_control).then(|| "U+0009, a tab".to_string());
            if let Some(what) = hidden(text).or_else(tab) {
                let nul = text.contains('\0');
                let found = format!("`{column}` holds the character {what}");
                let fix = if nul {
                    "a file saved as UTF-16 looks like this: save it as UTF-8"
                } else {
                    "take it out of the line"
                };
                self.fault_with(column, found, "plain text", fix);
            }
            let length = text.chars().count();
            let longest = if column == "ground" { LONGEST_GROUND } else { LONGEST_CELL };
            if length > longest {
                let found = format!("`{column}` is {length} characters long");
                self.fault(column, found, &format!("at most {longest} characters"));
            }
        }
    }
}

/// A mass: a bare number is tons.
pub(super) fn mass(text: &str) -> Option<Pounds> {
    let tons = quantity::<Tons>(text).or_else(|_| quantity::<Tons>(&format!("{text} tons"))).ok()?;
    Some(Pounds::from_tons_down(tons.get()))
}

fn day(text: &str) -> Option<Date> {
    text.parse::<Date>().ok().filter(|_| text.len() == 10)
}

fn positive(text: &str) -> Option<f64> {
    number(text).filter(|n| *n > 0.0 && *n <= 1_000_000.0)
}

fn inches(text: &str) -> Option<f64> {
    let bare = ["inches", "inch", "in", "\""].iter().find_map(|unit| text.strip_suffix(unit)).unwrap_or(text);
    number(bare.trim()).filter(|n| (0.0..=100.0).contains(n))
}

/// Days that one rain can cost at most: those of a year, as long as a plan runs.
const MOST_DAYS: f64 = 366.0;

fn days(text: &str) -> Option<f64> {
    let days = quantity::<Days>(text).or_else(|_| quantity::<Days>(&format!("{text} days"))).ok()?;
    Some(days.get()).filter(|days| *days <= MOST_DAYS)
}

fn acres(text: &str) -> Option<f64> {
    let acres = quantity::<Acres>(text).or_else(|_| quantity::<Acres>(&format!("{text} ac"))).ok()?;
    Some(acres.get()).filter(|a| *a >= LEAST_ACRES)
}

/// Least ground that an entry can cover: acres are shown to the hundredth.
const LEAST_ACRES: f64 = 0.01;

/// Pounds of a product per acre. The unit is asked for: fertilizer is known by
/// the pound, lime by the ton.
fn rate(text: &str) -> Option<f64> {
    let by_ton = || quantity::<TonsPerAcre>(text).map(|rate| rate.get() * POUNDS_PER_TON as f64);
    let rate = quantity::<LbPerAcre>(text).map(LbPerAcre::get).or_else(|_| by_ton()).ok()?;
    Some(rate).filter(|rate| (LEAST_RATE..=MOST_RATE).contains(rate))
}

/// Pounds per acre that one trip can put on: 20 tons of lime at most.
const MOST_RATE: f64 = 40_000.0;
/// A tenth of a pound per acre is less than any spreader can hold.
const LEAST_RATE: f64 = 0.1;

fn percent(text: &str) -> Option<f64> {
    let percent = quantity::<Percent>(text).or_else(|_| quantity::<Percent>(&format!("{text} %"))).ok()?;
    Some(percent.get()).filter(|percent| *percent < 100.0)
}

fn head(text: &str) -> Option<f64> {
    number(text).filter(|n| (0.0..=100_000.0).contains(n) && n.fract() == 0.0)
}

/// What a cell says, where it is of a form of its own.
fn parsed<T: std::str::FromStr>(text: &str) -> Option<T> {
    text.parse().ok()
}

/// Reads an entry out of its cells, and reports everything that is wrong with
/// it. `at` tells where a cell stands.
pub fn read_cells(cells: &Cells, at: &dyn Fn(&str) -> Place, findings: &mut Findings) -> Option<Entry> {
    read_line(&Arc::new(cells.clone()), at, findings)
}

/// The same for cells that the entry keeps.
pub(super) fn read_line(all: &Arc<Cells>, at: &dyn Fn(&str) -> Place, findings: &mut Findings) -> Option<Entry> {
    let cells = all.as_ref();
    let mut line = EntryReading { cells, at, findings, sound: true };
    line.clean();
    let date = line.date();
    let what = line.what();
    if let Some(what) = what {
        line.fits(what);
    }
    let tons = line.value("tons", "tons of litter, 0 to 1,000,000", mass);
    let loads = line.value("loads", "a number of loads above 0", positive);
    let load = line.value("load", "the weight of a load, for example 8.1 tons", |t| mass(t).filter(|p| p.0 > 0));
    let tickets = line.value("tickets", "weights with a plus between them: 14.32 + 13.9", |text| {
        text.split('+').map(|one| mass(one.trim()).filter(|p| p.0 > 0)).collect::<Option<Vec<Pounds>>>()
    });
    let acres = line.value("acres", "acres, 0.01 or more", acres);
    let ground = line.ground();
    let until = line.value("until", "a day of the calendar, written as 2027-03-15", day);
    let inches = line.value("inches", "inches from 0 to 100", inches);
    let days = line.value("days", "days, from 0 to 366", days);
    let bales = line.value("bales", "a number of bales above 0", positive);
    let sure = line.value("sure", "a name and a day: `Dell Farrow, 2027-03-16`", parsed::<LogSure>);
    let moisture = line.value("moisture", "percent of moisture, as in 15 %", percent);
    let protein = line.value("protein", "percent of crude protein, as in 10 %", percent);
    let head = line.value("head", "a whole number of animals, 0 when they have left", head);
    let grade = line.value("grade", "percent of N, P2O5 and K2O as on the bag: 46-0-0", parsed::<Grade>);
    let rate = line.value("rate", "a rate with its unit: 150 lb/ac or 1.5 tons/ac", rate);
    let [planned, new_day] =
        ["planned", "new_day"].map(|column| line.value(column, "a day of the calendar, written as 2027-03-15", day));
    line.choice("order", &ORDERS);
    line.choice("method", &METHODS);
    line.choice("soil", &SOILS);
    if date.zip(until).is_some_and(|(first, last)| last < first) {
        line.fault("until", "the grazing ends before it begins", "a last day on or after the first");
    }
    if !line.sound {
        return None;
    }
    let named = |column: &str| cells.get(column).map(|v| At { value: v.clone(), place: at(column) });
    let mut entry = Entry {
        id: cells.get("id").cloned().unwrap_or_default(),
        date: date?,
        what: what?,
        lot: named("lot"),
        field: named("field"),
        amount: Pounds(0),
        acres,
        ground,
        loads,
        load,
        tickets: tickets.unwrap_or_default(),
        until,
        inches,
        days,
        bales,
        moisture,
        protein,
        head,
        grade,
        rate,
        moves: planned.zip(new_day),
        sure,
        cells: Arc::clone(all),
        place: at("date"),
    };
    let (by_loads, by_scale) = entry.counted();
    entry.amount = tons.or(by_scale).or(by_loads).unwrap_or_default();
    Some(entry)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whoever_is_sure_has_a_name() {
        assert_eq!(
            "Dell Farrow, 2027-03-16".parse::<LogSure>().map(|sure| sure.to_string()),
            Ok("Dell Farrow, 2027-03-16".into())
        );
        for nobody in
            ["no, 2027-03-16", "yes, 2027-03-16", ", 2027-03-16", "2027-03-16", "Dell Farrow", "Dell Farrow, 2027-03"]
        {
            assert!(nobody.parse::<LogSure>().is_err(), "{nobody}");
        }
    }
}
