//! The cover, what to take care of, the fields that get none: as many pages as
//! they take.

use super::Paper;
use super::ink::{INK, Ink, LINE, PLUM, SOFT, Side, Type};
use super::page::fitted;
use super::parts;
use super::widths::Face;
use crate::write::sheet::Sheets;

/// Pages that are filled from the top down.
struct Flow<'a> {
    sheets: &'a Sheets,
    paper: Paper,
    pages: Vec<Ink>,
    ink: Ink,
    y: f32,
}

/// A column of a table: its head, its share of the width, and its side.
type Column = (&'static str, f32, Side);

impl<'a> Flow<'a> {
    fn new(sheets: &'a Sheets, paper: Paper) -> Flow<'a> {
        Flow { sheets, paper, pages: Vec::new(), ink: Ink::new(paper.tall), y: paper.margin }
    }

    fn left(&self) -> f32 {
        self.paper.margin
    }

    fn wide(&self) -> f32 {
        self.paper.wide - 2.0 * self.paper.margin
    }

    fn foot(&self) -> f32 {
        self.paper.tall - self.paper.margin - parts::FOOT
    }

    /// Turns the page.
    fn turn(&mut self) {
        let (left, foot, wide) = (self.left(), self.foot(), self.wide());
        parts::foot(&mut self.ink, self.sheets, left, foot, wide);
        let full = std::mem::replace(&mut self.ink, Ink::new(self.paper.tall));
        self.pages.push(full);
        self.y = self.paper.margin;
    }

    /// Turns the page where less than this much room is left.
    fn room(&mut self, tall: f32) {
        if self.y + tall > self.foot() - 4.0 {
            self.turn();
        }
    }

    fn done(mut self) -> Vec<Ink> {
        self.turn();
        self.pages
    }

    fn title(&mut self, text: &str, beside: &str, under: &str) {
        let (left, wide) = (self.left(), self.wide());
        let size = fitted(text, Face::Bold, 22.0, wide * 0.7);
        self.ink.text(left, self.y + 20.0, Type::bold(size), Side::Left, text);
        self.ink.text(left + wide, self.y + 20.0, Type::bold(11.0), Side::Right, beside);
        self.y += 27.0;
        if !under.is_empty() {
            self.y = self.ink.paragraph(left, self.y, wide, Type::plain(10.0), under);
        }
        self.ink.rule((left, self.y + 3.0), (left + wide, self.y + 3.0), 3.0, PLUM);
        self.y += 10.0;
    }

    fn heading(&mut self, text: &str) {
        self.room(40.0);
        let left = self.left();
        self.y = parts::heading(&mut self.ink, left, self.y + 7.0, 1.0, text);
    }

    fn say(&mut self, text: &str) {
        let set = Type::plain(9.5);
        let (left, wide) = (self.left(), self.wide());
        self.room(set.lines(text, wide).len() as f32 * set.leading());
        self.y = self.ink.paragraph(left, self.y, wide, set, text) + 2.0;
    }

    fn list(&mut self, texts: &[String]) {
        let set = Type::plain(9.5);
        for text in texts {
            let wide = self.wide();
            self.room(set.lines(text, wide - set.size).len() as f32 * set.leading());
            let one = [text.clone()];
            let left = self.left();
            self.y = parts::dashed(&mut self.ink, &one, left, self.y, wide, set);
        }
    }

    /// A table; its head stands again on every page that it runs on to.
    fn table(&mut self, columns: &[Column], rows: &[Vec<String>]) {
        let set = Type::plain(9.0);
        self.head(columns);
        for row in rows {
            let cells: Vec<Vec<String>> = columns
                .iter()
                .zip(row)
                .map(|((_, share, _), text)| set.lines(text, self.wide() * share - 6.0))
                .collect();
            let tall = cells.iter().map(Vec::len).max().unwrap_or(1) as f32 * set.leading() + 3.0;
            if self.y + tall > self.foot() - 4.0 {
                self.turn();
                self.head(columns);
            }
            let mut x = self.left();
            for ((_, share, side), lines) in columns.iter().zip(&cells) {
                let wide = self.wide() * share;
                for (n, line) in lines.iter().enumerate() {
                    let at = if *side == Side::Right { x + wide - 6.0 } else { x };
                    self.ink.text(at, self.y + set.size + n as f32 * set.leading(), set, *side, line);
                }
                x += wide;
            }
            self.y += tall;
            let (left, right) = (self.left(), self.left() + self.wide());
            self.ink.rule((left, self.y - 1.0), (right, self.y - 1.0), 0.4, LINE);
        }
    }

    fn head(&mut self, columns: &[Column]) {
        self.room(30.0);
        let set = Type::plain(8.0).color(SOFT);
        let mut x = self.left();
        for (head, share, side) in columns {
            let wide = self.wide() * share;
            let at = if *side == Side::Right { x + wide - 6.0 } else { x };
            self.ink.text(at, self.y + set.size, set, *side, head);
            x += wide;
        }
        self.y += set.leading() + 2.0;
    }

    fn sign(&mut self, names: &[&str]) {
        self.room(52.0);
        let each = self.wide() / names.len().max(1) as f32;
        for (n, name) in names.iter().enumerate() {
            let x = self.left() + n as f32 * each;
            self.ink.rule((x, self.y + 38.0), (x + each - 12.0, self.y + 38.0), 1.2, INK);
            self.ink.text(x, self.y + 48.0, Type::plain(8.5).color(SOFT), Side::Left, name);
        }
        self.y += 52.0;
    }
}

/// The pages before those of the fields.
pub(super) fn front(sheets: &Sheets, paper: Paper) -> Vec<Ink> {
    let mut flow = Flow::new(sheets, paper);
    let cover = &sheets.cover;
    let county = if cover.county.is_empty() { String::new() } else { format!(" · {} County", cover.county) };
    let under = format!("Litter to spread, {}{county}, {}", sheets.span, sheets.place);
    flow.title(&sheets.farm, "Field sheets", &under);
    flow.heading("The work, in the order the days open");
    flow.table(
        &[
            ("Sheet", 0.06, Side::Left),
            ("Days", 0.15, Side::Left),
            ("Field", 0.22, Side::Left),
            ("Lot", 0.12, Side::Left),
            ("Tons/ac", 0.08, Side::Right),
            ("Acres", 0.08, Side::Right),
            ("Tons", 0.08, Side::Right),
            ("Loads", 0.06, Side::Right),
            ("Analysis", 0.15, Side::Left),
        ],
        &route(sheets),
    );
    flow.heading("Litter, tons by lot");
    flow.table(
        &[
            ("Lot", 0.22, Side::Left),
            ("Stored", 0.14, Side::Left),
            ("On hand", 0.10, Side::Right),
            ("To spread", 0.10, Side::Right),
            ("Left after", 0.10, Side::Right),
            ("Analysis good through", 0.14, Side::Left),
            ("Stack", 0.20, Side::Left),
        ],
        &lots(sheets),
    );
    let machine = &sheets.machine;
    let calibrated = match machine.calibrated.as_str() {
        "" => "no calibration on file".to_string(),
        day => format!("last calibrated {day}"),
    };
    flow.y += 4.0;
    flow.say(&format!("Spreader: {}, load {}, swath {}, {calibrated}.", machine.name, machine.load, machine.swath));
    flow.room(120.0);
    let (left, wide) = (flow.left(), flow.wide());
    flow.y = parts::stops(&mut flow.ink, &sheets.stops, left, flow.y + 3.0, wide, 1.0);
    flow.heading("If litter spills (common practice)");
    flow.list(&cover.spill.map(String::from));
    people(&mut flow);
    care(&mut flow);
    flow.done()
}

fn route(sheets: &Sheets) -> Vec<Vec<String>> {
    let cover = &sheets.cover;
    let mut rows: Vec<Vec<String>> = cover
        .route
        .iter()
        .map(|r| {
            vec![
                r.sheet.to_string(),
                r.window.clone(),
                format!("{} {}", r.id, r.name),
                r.lot.clone(),
                r.rate.clone(),
                r.acres.clone(),
                r.tons.clone(),
                r.loads.to_string(),
                r.sample.clone(),
            ]
        })
        .collect();
    let mut all = vec![String::new(); 9];
    all[0] = "All".to_string();
    all[6] = cover.tons.clone();
    all[7] = cover.loads.to_string();
    rows.push(all);
    rows
}

fn lots(sheets: &Sheets) -> Vec<Vec<String>> {
    let or = |text: &str, none: &str| if text.is_empty() { none.to_string() } else { text.to_string() };
    sheets
        .cover
        .lots
        .iter()
        .map(|l| {
            vec![
                format!("{}, {}", l.id, l.kind),
                l.stored.clone(),
                l.on_hand.clone(),
                l.planned.clone(),
                l.left.clone(),
                or(&l.good_until, "not analyzed"),
                l.stack.as_ref().map_or("not drawn".to_string(), |s| s.text.clone()),
            ]
        })
        .collect()
}

/// Whom to call, and who decides.
fn people(flow: &mut Flow<'_>) {
    let sheets = flow.sheets;
    let (left, wide) = (flow.left(), flow.wide());
    let tall = parts::call_height(&sheets.people, wide);
    flow.room(tall + 6.0);
    parts::call(&mut flow.ink, &sheets.people, left, flow.y + 4.0, wide);
    flow.y += tall + 6.0;
    for person in sheets.people.iter().filter(|p| !p.certificate.is_empty()) {
        flow.say(&format!("Certificate of {}, {}: {}.", person.name, person.part, person.certificate));
    }
    let decides = &sheets.decides;
    flow.say(&format!("Who decides here: {decides} These sheets do not replace local codes or the certified planner."));
}

fn care(flow: &mut Flow<'_>) {
    flow.turn();
    let cover = &flow.sheets.cover;
    flow.title("Take care", &flow.sheets.farm, "");
    let cautions: Vec<String> = cover.cautions.iter().map(|c| format!("{}{}", c.text, c.known)).collect();
    flow.list(&cautions);
    flow.heading("What the record must include");
    flow.list(&cover.record);
    flow.heading("Agreed before the first load (common practice)");
    flow.sign(&["Grower", "Date", "Applicator", "Date"]);
}

/// The page of the fields that get none; nothing where every field gets some.
pub(super) fn without(sheets: &Sheets, paper: Paper) -> Vec<Ink> {
    if sheets.without.is_empty() {
        return Vec::new();
    }
    let mut flow = Flow::new(sheets, paper);
    flow.title("No litter on these fields", &sheets.farm, "");
    let columns = [
        ("Field", 0.26, Side::Left),
        ("Acres in all", 0.12, Side::Right),
        ("Why none", 0.33, Side::Left),
        ("What would change it", 0.29, Side::Left),
    ];
    let rows = sheets.without.iter().flat_map(|w| {
        w.why.iter().map(|(why, fix)| vec![format!("{} {}", w.id, w.name), w.acres.clone(), why.clone(), fix.clone()])
    });
    flow.table(&columns, &rows.collect::<Vec<_>>());
    flow.y += 6.0;
    flow.say("No litter goes on these fields under this plan. Call before a load is opened at one of them.");
    flow.done()
}
