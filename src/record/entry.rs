//! The cells of one entry, checked.

use crate::findings::{At, Finding, Findings, Place, hidden, or_near};
use crate::record::cells::{Cells, LONGEST_CELL, LONGEST_GROUND};
use crate::record::columns::{COLUMNS, Column, METHODS, ORDERS, SOILS};
use crate::record::ground::{GROUND_ACCEPTS as GROUND, LoggedGround, SWATH_ACCEPTS, swath};
use crate::record::kinds::{Need, What};
use crate::record::values::{acres, days, head, inches, mass, parsed, percent, positive, rate};
use crate::text::{self, day, names_somebody, shown};
use crate::units::{Grade, Pounds};
use jiff::civil::Date;
use std::sync::{Arc, LazyLock};

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
    /// The last day of grazing that farm.yaml planned when it was logged.
    pub planned_end: Option<Date>,
    /// Who is sure of values that lie far from what is usual.
    pub sure: Option<LogSure>,
    /// Every cell as written.
    pub cells: Cells,
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

impl Cells {
    /// The acres that are written, in whichever unit.
    #[must_use]
    pub fn acres(&self) -> Option<f64> {
        acres(self.get("acres")?)
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
            planned_end: None,
            sure: None,
            cells: Cells::new(),
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
        self.cells.get(column).unwrap_or_default()
    }

    /// Acres as the entry says them, whatever its ground has.
    #[must_use]
    pub fn acres_written(&self) -> Option<f64> {
        self.cells.acres()
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
    at: &'a dyn Fn(Column) -> Place,
    findings: &'a mut Findings,
    sound: bool,
}

impl<'a> EntryReading<'a> {
    fn get(&self, column: Column) -> &'a str {
        self.cells.at(column).unwrap_or_default()
    }

    fn fault(&mut self, column: Column, found: impl Into<String>, accepts: &str) {
        self.fault_with(column, found, accepts, "correct this line; the rest of the log counts");
    }

    fn fault_with(&mut self, column: Column, found: impl Into<String>, accepts: &str, fix: &str) {
        self.sound = false;
        let finding = Finding::error("log-line", &(self.at)(column), found).accepts(accepts).fix(fix);
        self.findings.push(finding);
    }

    /// A cell turned into something, or none where it is empty or wrong.
    fn value<T>(&mut self, column: Column, accepts: &str, read: impl Fn(&str) -> Option<T>) -> Option<T> {
        let text = self.get(column);
        if text.is_empty() {
            return None;
        }
        let value = read(text);
        if value.is_none() {
            let many = ["tons", "acres", "loads", "inches", "days", "tickets", "bales", "head"];
            let verb = if many.contains(&column.name()) { "are" } else { "is" };
            let name = match column.name() {
                "tickets" => "scale tickets",
                "sure" => "name in `sure`",
                "head" => "animals",
                "planned" => "planned day",
                "new_day" => "new day",
                column => column,
            };
            self.fault(column, format!("the {name} {verb} `{}`", shown(text)), accepts);
        }
        value
    }

    /// One of a few words.
    fn choice(&mut self, column: Column, words: &[&str]) {
        let word = self.get(column);
        if word.is_empty() || words.contains(&word) {
            return;
        }
        let near = or_near(word, words.iter().copied());
        self.fault(column, format!("the {} is `{}`{near}", column.name(), shown(word)), &words.join(", "));
    }

    fn date(&mut self) -> Option<Date> {
        if self.get(Column::DATE).is_empty() {
            self.fault(Column::DATE, "the line has no date", "a day of the calendar, written as 2027-03-15");
        }
        self.value(Column::DATE, "a day of the calendar, written as 2027-03-15", day)
    }

    fn what(&mut self) -> Option<What> {
        let word = self.get(Column::WHAT);
        let what = What::named(word);
        if what.is_none() {
            let words = What::ALL.map(What::word);
            let near = or_near(word, words);
            self.fault(Column::WHAT, format!("the entry is a `{}`{near}", shown(word)), &words.join(", "));
        }
        what
    }

    /// Nothing is filled that says nothing of this kind, and what the tally
    /// needs is there.
    fn fits(&mut self, what: What) {
        let cells = self.cells;
        for (column, _) in cells.filled().filter(|(column, _)| !may_say(what, *column)) {
            let (word, mine) = (what.word(), what.columns());
            let list = if mine.is_empty() { "a note".to_string() } else { mine.join(", ") };
            let found = format!("a `{word}` line says nothing of `{}`, and here it is filled", column.name());
            self.fault(column, found, &list);
        }
        let empty = |column: &str| cells.get(column).is_none_or(str::is_empty);
        let said = |need: &Need| !empty(need.column) || need.or.iter().any(|all| !all.iter().any(|c| empty(c)));
        for need in what.needs().iter().filter(|need| !said(need)) {
            let Some(column) = Column::named(need.column) else { continue };
            self.fault(column, format!("the line does not say {}", need.unsaid), need.accepts);
        }
    }

    /// The ground that was done, and how wide the way over it was.
    fn ground(&mut self) -> Option<Arc<LoggedGround>> {
        let swath = self.value(Column::SWATH, SWATH_ACCEPTS, swath);
        let text = self.get(Column::GROUND);
        if text.is_empty() {
            if !self.get(Column::SWATH).is_empty() {
                self.fault(
                    Column::SWATH,
                    "`swath` is the width of a way that was driven, and `ground` is empty",
                    GROUND,
                );
            }
            return None;
        }
        match text::drawn(text) {
            Ok(shape) => {
                let ground = LoggedGround { shape, swath, place: (self.at)(Column::GROUND) };
                if swath.is_some() && !ground.is_line() {
                    self.fault(
                        Column::SWATH,
                        "`swath` is the width of a way that was driven, and the ground is an area",
                        "an empty cell, or a line in `ground`",
                    );
                }
                Some(Arc::new(ground))
            }
            Err(why) => {
                self.fault(Column::GROUND, format!("the ground `{}` cannot be read: {why}", shown(text)), GROUND);
                None
            }
        }
    }

    /// Long cells and control characters.
    fn clean(&mut self) {
        let cells = self.cells;
        // What most lines hold.
        let plain = cells.words().bytes().all(|b| b.is_ascii_graphic() || b == b' ');
        if plain && cells.words().len() <= LONGEST_CELL {
            return;
        }
        for (column, text) in cells.filled() {
            let tab = || text.contains(char::is_control).then(|| "U+0009, a tab".to_string());
            if let Some(what) = hidden(text).or_else(tab) {
                let nul = text.contains('\0');
                let found = format!("`{}` holds the character {what}", column.name());
                let fix = if nul {
                    "a file saved as UTF-16 looks like this: save it as UTF-8"
                } else {
                    "take it out of the line"
                };
                self.fault_with(column, found, "plain text", fix);
            }
            let length = text.chars().count();
            let longest = if column == Column::GROUND { LONGEST_GROUND } else { LONGEST_CELL };
            if length > longest {
                let found = format!("`{}` is {length} characters long", column.name());
                self.fault(column, found, &format!("at most {longest} characters"));
            }
        }
    }
}

/// Columns in which every entry may say something.
const COMMON: [&str; 6] = ["id", "date", "what", "corrects", "sure", "note"];

/// Whether an entry of a kind may say something in a column, by kind and column.
static MAY_SAY: LazyLock<Vec<[bool; Column::MANY]>> = LazyLock::new(|| {
    let of = |what: What| COLUMNS.map(|column| COMMON.contains(&column) || what.columns().contains(&column));
    What::ALL.map(of).to_vec()
});

fn may_say(what: What, column: Column) -> bool {
    MAY_SAY.get(what as usize).is_some_and(|columns| columns[column.at()])
}

/// Reads an entry out of its cells, and reports everything that is wrong with
/// it. `at` tells where a cell stands.
pub fn read_cells(cells: &Cells, at: &dyn Fn(&str) -> Place, findings: &mut Findings) -> Option<Entry> {
    read_line(cells, &|column| at(column.name()), findings)
}

/// The same, with columns instead of their names.
pub(super) fn read_line(cells: &Cells, at: &dyn Fn(Column) -> Place, findings: &mut Findings) -> Option<Entry> {
    let mut line = EntryReading { cells, at, findings, sound: true };
    line.clean();
    let date = line.date();
    let what = line.what();
    if let Some(what) = what {
        line.fits(what);
    }
    let tons = line.value(Column::TONS, "tons of litter, 0 to 1,000,000", mass);
    let loads = line.value(Column::LOADS, "a number of loads above 0", positive);
    let load = line.value(Column::LOAD, "the weight of a load, for example 8.1 tons", |t| mass(t).filter(|p| p.0 > 0));
    let tickets = line.value(Column::TICKETS, "weights with a plus between them: 14.32 + 13.9", |text| {
        text.split('+').map(|one| mass(one.trim()).filter(|p| p.0 > 0)).collect::<Option<Vec<Pounds>>>()
    });
    let acres = line.value(Column::ACRES, "acres, 0.01 or more", acres);
    let ground = line.ground();
    let until = line.value(Column::UNTIL, "a day of the calendar, written as 2027-03-15", day);
    let inches = line.value(Column::INCHES, "inches from 0 to 100", inches);
    let days = line.value(Column::DAYS, "days, from 0 to 366", days);
    let bales = line.value(Column::BALES, "a number of bales above 0", positive);
    let sure = line.value(Column::SURE, "a name and a day: `Dell Farrow, 2027-03-16`", parsed::<LogSure>);
    let moisture = line.value(Column::MOISTURE, "percent of moisture, as in 15 %", percent);
    let protein = line.value(Column::PROTEIN, "percent of crude protein, as in 10 %", percent);
    let head = line.value(Column::HEAD, "a whole number of animals, 0 when they have left", head);
    let grade = line.value(Column::GRADE, "percent of N, P2O5 and K2O as on the bag: 46-0-0", parsed::<Grade>);
    let rate = line.value(Column::RATE, "a rate with its unit: 150 lb/ac or 1.5 tons/ac", rate);
    let [planned, new_day] = [Column::PLANNED, Column::NEW_DAY]
        .map(|column| line.value(column, "a day of the calendar, written as 2027-03-15", day));
    line.choice(Column::ORDER, &ORDERS);
    line.choice(Column::METHOD, &METHODS);
    line.choice(Column::SOIL, &SOILS);
    if date.zip(until).is_some_and(|(first, last)| last < first) {
        line.fault(Column::UNTIL, "the grazing ends before it begins", "a last day on or after the first");
    }
    if !line.sound {
        return None;
    }
    let named = |column: Column| cells.at(column).map(|v| At { value: v.to_string(), place: at(column) });
    let mut entry = Entry {
        id: cells.at(Column::ID).unwrap_or_default().to_string(),
        date: date?,
        what: what?,
        lot: named(Column::LOT),
        field: named(Column::FIELD),
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
        planned_end: planned.filter(|_| what == Some(What::Graze)),
        sure,
        cells: cells.clone(),
        place: at(Column::DATE),
    };
    let (by_loads, by_scale) = entry.counted();
    entry.amount = tons.or(by_scale).or(by_loads).unwrap_or_default();
    Some(entry)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kinds_are_told_apart_by_their_place_in_the_list() {
        for (at, what) in What::ALL.into_iter().enumerate() {
            assert_eq!(what as usize, at);
            assert!(
                COLUMNS.into_iter().filter(|c| may_say(what, Column::of(c))).count()
                    == what.columns().len() + COMMON.len()
            );
        }
    }

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
