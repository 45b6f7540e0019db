//! The page of one field. It is set as large as it goes on one sheet of paper.

use super::Paper;
use super::ink::{INK, Ink, LINE, PLUM, SOFT, Side, Type, WHITE};
use super::map;
use super::parts;
use super::widths::{Face, width};
use crate::write::sheet::Sheets;
use crate::write::sheet::page::{Job, Page};
use crate::write::sheet::words::{Said, Spot};

/// Least height of the boxes to fill in by hand, however much a page holds.
const LEAST_ROW: f32 = 26.0;
const MOST_ROW: f32 = 62.0;

/// Draws the page at the largest size that fits.
pub(super) fn draw(sheets: &Sheets, page: &Page, paper: Paper) -> Ink {
    let mut size = 1.0;
    loop {
        let (ink, fits) = at(sheets, page, paper, size);
        // Below a third nobody could read it: then the end is cut off.
        if fits || size < 0.33 {
            return ink;
        }
        size *= 0.95;
    }
}

/// What a page is drawn with.
struct Desk<'a> {
    ink: Ink,
    sheets: &'a Sheets,
    page: &'a Page,
    size: f32,
    left: f32,
    wide: f32,
}

fn at(sheets: &Sheets, page: &Page, paper: Paper, size: f32) -> (Ink, bool) {
    let mut desk = Desk {
        ink: Ink::new(paper.tall),
        sheets,
        page,
        size,
        left: paper.margin,
        wide: paper.wide - 2.0 * paper.margin,
    };
    let mut y = desk.head(paper.margin);
    let single = page.jobs.len() == 1;
    if !single {
        y = desk.jobs(y);
    }
    let gap = 10.0;
    let map_wide = desk.wide * 0.58 - gap / 2.0;
    let right = desk.left + map_wide + gap;
    let right_wide = desk.wide - map_wide - gap;
    let map_end = desk.map_and_key(y, map_wide);
    let mut facts_end = y;
    if let (true, Some(job)) = (single, page.jobs.first()) {
        facts_end = desk.job(job, right, y, right_wide) + 6.0;
    }
    facts_end = desk.facts(right, facts_end, right_wide);
    if !single {
        facts_end = desk.care(right, facts_end + 4.0, right_wide);
    }
    y = map_end.max(facts_end) + 6.0 * size;
    y = parts::stops(&mut desk.ink, &sheets.stops, desk.left, y, desk.wide, size);
    if single {
        y = desk.care(desk.left, y + 4.0 * size, desk.wide);
    }
    let foot = paper.tall - paper.margin - parts::FOOT;
    let call = parts::call_height(&sheets.people, desk.wide);
    let room = foot - call - 4.0;
    let fits = desk.write(y + 4.0 * size, room);
    let left = desk.left;
    let wide = desk.wide;
    parts::call(&mut desk.ink, &sheets.people, left, foot - call, wide);
    parts::foot(&mut desk.ink, sheets, left, foot, wide);
    (desk.ink, fits)
}

impl Desk<'_> {
    fn plain(&self, points: f32) -> Type {
        Type::plain(points * self.size)
    }

    fn bold(&self, points: f32) -> Type {
        Type::bold(points * self.size)
    }

    /// Id, name, forage, days; the number of the sheet.
    fn head(&mut self, top: f32) -> f32 {
        let page = self.page;
        let count = format!("Sheet {} of {}", page.number, self.sheets.pages.len());
        let right = self.left + self.wide;
        self.ink.text(right, top + 12.0, Type::bold(10.5), Side::Right, &count);
        let farm = first_line(&self.sheets.farm, Type::plain(9.0), self.wide * 0.25);
        self.ink.text(right, top + 24.0, Type::plain(9.0).color(SOFT), Side::Right, &farm);
        let tag = fitted(&page.id, Face::Bold, 24.0, self.wide * 0.3);
        let box_wide = width(&page.id, Face::Bold, tag) + 18.0;
        self.ink.filled(self.left, top, box_wide, 34.0, PLUM);
        self.ink.text(self.left + 9.0, top + 26.0, Type::bold(tag).color(WHITE), Side::Left, &page.id);
        let x = self.left + box_wide + 9.0;
        let room = right - x - self.wide * 0.2;
        let name = fitted(&page.name, Face::Bold, 21.0, room);
        self.ink.text(x, top + 18.0, Type::bold(name), Side::Left, &page.name);
        let under = format!("{}, {} · {}", page.forage, page.usage, page.span);
        let under_size = fitted(&under, Face::Plain, 10.5, room);
        self.ink.text(x, top + 32.0, Type::plain(under_size), Side::Left, &under);
        self.ink.rule((self.left, top + 38.5), (right, top + 38.5), 3.0, PLUM);
        top + 46.0
    }

    /// Several jobs side by side.
    fn jobs(&mut self, top: f32) -> f32 {
        let page = self.page;
        let count = page.jobs.len().clamp(1, 3);
        let gap = 8.0;
        let wide = (self.wide - gap * (count as f32 - 1.0)) / count as f32;
        let mut y = top;
        for row in page.jobs.chunks(count) {
            let ends = row.iter().enumerate().map(|(i, job)| {
                let x = self.left + i as f32 * (wide + gap);
                self.job(job, x, y, wide)
            });
            y = ends.fold(y, f32::max) + 6.0;
        }
        y
    }

    fn job(&mut self, job: &Job, x: f32, top: f32, wide: f32) -> f32 {
        let (inner, room) = (x + 7.0, wide - 14.0);
        let mut y = self.ink.paragraph(inner, top + 5.0, room, self.bold(12.5), &job.window);
        let count = if job.count.is_empty() { String::new() } else { format!("{}, ", job.count) };
        let stored = if job.stored.is_empty() { String::new() } else { format!(", {}", job.stored) };
        let lot = format!("{count}{} · lot {}, {}{stored}", job.season, job.lot, job.kind);
        y = self.ink.paragraph(inner, y, room, self.plain(9.5), &lot);
        let big = self.bold(42.0);
        let taken = self.ink.text(inner, y + big.size * 0.86, big, Side::Left, &job.rate);
        let unit = self.bold(13.0);
        self.ink.text(inner + taken + 6.0, y + big.size * 0.45, unit, Side::Left, "tons");
        self.ink.text(inner + taken + 6.0, y + big.size * 0.86, unit, Side::Left, "per acre");
        y += big.size;
        for warning in job.warnings() {
            y = self.warned(&warning, inner, y + 2.0, room);
        }
        let machine = &self.sheets.machine;
        let mut facts = vec![
            ("Spread on", format!("{} ac", job.acres), None),
            ("In all", format!("{} tons", job.tons), None),
            ("Loads", format!("{} of {}, last one {}", job.loads, machine.load, job.last_load), None),
        ];
        if !job.run.is_empty() {
            facts.push(("Load runs", format!("{} ft at {} swath", job.run, machine.swath), None));
        }
        let setting = match job.setting.as_str() {
            "" => "no calibration on file".to_string(),
            set => format!("{set} {}", job.setting_more),
        };
        facts.push(("Set", setting, None));
        if !job.drive.is_empty() {
            facts.push(("Drive", job.drive.clone(), None));
        }
        if let Some(stack) = &job.stack {
            facts.push(("Stack", stack.text.clone(), Some(stack)));
        }
        if !job.miles.is_empty() {
            facts.push(("Haul", format!("{} mi {}", job.miles, job.way), None));
        }
        if !job.good_until.is_empty() {
            facts.push(("Analysis", format!("good through {}", job.good_until), None));
        }
        let end = self.listed(&facts, inner, y + 2.0, room) + 5.0;
        self.ink.frame(x, top, wide, end - top, 1.4, INK);
        end
    }

    /// White on black.
    fn warned(&mut self, text: &str, x: f32, top: f32, wide: f32) -> f32 {
        let set = self.bold(10.5).color(WHITE);
        let tall = set.lines(text, wide - 10.0).len() as f32 * set.leading() + 6.0;
        self.ink.filled(x, top, wide, tall, INK);
        self.ink.paragraph(x + 5.0, top + 2.0, wide - 10.0, set, text);
        top + tall + 2.0
    }

    /// Words on the left, what they mean on the right; places are links.
    fn listed(&mut self, facts: &[(&str, String, Option<&Spot>)], x: f32, top: f32, wide: f32) -> f32 {
        let (word, said) = (self.plain(9.5).color(SOFT), self.bold(9.5));
        let words = facts.iter().map(|(w, _, _)| width(w, word.face, word.size)).fold(0.0, f32::max) + 8.0;
        let mut y = top;
        for (name, text, spot) in facts {
            self.ink.text(x, y + word.size, word, Side::Left, name);
            match spot {
                Some(spot) => {
                    self.ink.linked(x + words, y + said.size, said, text, &spot.link);
                    y += said.leading();
                }
                None => y = self.ink.paragraph(x + words, y, wide - words, said, text),
            }
        }
        y
    }

    fn facts(&mut self, x: f32, top: f32, wide: f32) -> f32 {
        let page = self.page;
        let or_none = |list: &[String]| {
            if list.is_empty() { "none planned".to_string() } else { list.join("; ") }
        };
        let gate = page.gate.as_ref();
        let mut facts = vec![
            ("Gate", gate.map_or("not drawn: ask the grower".to_string(), |g| g.text.clone()), gate),
            ("Cut", or_none(&page.cuttings), None),
            ("Grazed", or_none(&page.grazed), None),
        ];
        if let Some(stack) = &page.stack {
            facts.push(("Stack", stack.text.clone(), Some(stack)));
        }
        if !page.miles.is_empty() {
            facts.push(("Haul", format!("{} mi {}", page.miles, page.way), None));
        }
        if !page.drive.is_empty() {
            facts.push(("Drive", page.drive.clone(), None));
        }
        facts.push(("Spreader", self.sheets.machine.name.clone(), None));
        if !page.wet.is_empty() {
            facts.push(("Wet ground", format!("{} ac poorly drained by the soil map", page.wet), None));
        }
        self.listed(&facts, x, top, wide)
    }

    /// The map, and what its signs mean.
    fn map_and_key(&mut self, top: f32, wide: f32) -> f32 {
        let page = self.page;
        let mut y = match &page.map {
            Some(drawn) => map::draw(&mut self.ink, drawn, self.left, top, wide) + 4.0,
            None => top,
        };
        let set = self.plain(9.0);
        let right = self.left + wide;
        let off = right - 52.0 * self.size;
        let ground = format!("Spread, of {} acres in the field", page.gross);
        self.ink.text(self.left, y + set.size, self.bold(9.0), Side::Left, &ground);
        self.ink.text(right, y + set.size, self.bold(9.0), Side::Right, &page.acres);
        y += set.leading();
        if !page.runs.is_empty() {
            y = self.ink.paragraph(self.left, y, wide, set, &format!("Runs: {}", page.runs));
        }
        if !page.zones.is_empty() {
            let head = self.plain(8.0).color(SOFT);
            self.ink.text(self.left, y + set.size, head, Side::Left, "No spread around");
            self.ink.text(off, y + set.size, head, Side::Right, "Keep off");
            self.ink.text(right, y + set.size, head, Side::Right, "Acres");
            y += set.leading();
        }
        for zone in &page.zones {
            let kind = if zone.kind.is_empty() { String::new() } else { format!(" ({})", zone.kind) };
            let disc = self.size * 0.62;
            map::numbered(&mut self.ink, self.left + 8.5 * disc, y + 7.0 * self.size, disc, &zone.number.to_string());
            self.ink.text(off, y + set.size, self.bold(9.0), Side::Right, &format!("{}{}", zone.feet, zone.mark));
            self.ink.text(right, y + set.size, set, Side::Right, &zone.acres);
            let x = self.left + 15.0 * self.size;
            let room = off - 40.0 * self.size - x;
            y = self.ink.paragraph(x, y, room, set, &format!("{}{kind}", zone.name)) + 1.0;
        }
        if !page.narrow.is_empty() {
            self.ink.text(self.left, y + set.size, set, Side::Left, "Left blank: too narrow for the swath");
            self.ink.text(right, y + set.size, set, Side::Right, &page.narrow);
            y += set.leading();
        }
        if page.from_memory {
            let note = "* Distance from memory, not read in its source. Ask the planner.";
            y = self.ink.paragraph(self.left, y, wide, self.plain(8.0).color(SOFT), note);
        }
        y
    }

    fn care(&mut self, x: f32, top: f32, wide: f32) -> f32 {
        let cautions: &[Said] = &self.page.cautions;
        if cautions.is_empty() {
            return top;
        }
        let y = parts::heading(&mut self.ink, x, top, self.size, "On this field");
        let set = self.plain(9.5);
        parts::said(&mut self.ink, cautions, x, y, wide, set)
    }

    /// The boxes to fill in by hand; whether they fit.
    fn write(&mut self, top: f32, end: f32) -> bool {
        const HEADS: [(&str, f32); 10] = [
            ("Date", 1.15),
            ("Start", 0.9),
            ("Stop", 0.9),
            ("Loads (tally)", 1.7),
            ("Tons", 0.9),
            ("Weather: 24 h before, during, after", 2.1),
            ("Wind: from, mph", 1.2),
            ("Soil condition", 1.3),
            ("Operator", 1.2),
            ("Initials", 0.8),
        ];
        let rows = self.page.rows.len() as f32;
        let y = parts::heading(&mut self.ink, self.left, top, 1.0, "Write down what was done");
        // Each row has a box below it for remarks, half as tall.
        let tall = ((end - y) / rows / 1.5).min(MOST_ROW);
        let shares: f32 = HEADS.iter().map(|(_, share)| share).sum();
        let note = Type::plain(6.6).color(SOFT);
        for row in 0..self.page.rows.len() {
            let top = y + row as f32 * tall * 1.5;
            let mut x = self.left;
            for (head, share) in HEADS {
                let wide = self.wide * share / shares;
                self.ink.frame(x, top, wide, tall, 0.9, INK);
                self.ink.paragraph(x + 2.0, top + 1.0, wide - 4.0, note, head);
                x += wide;
            }
            self.ink.frame(self.left, top + tall, self.wide, tall / 2.0, 0.9, INK);
            self.ink.paragraph(self.left + 2.0, top + tall + 1.0, self.wide, note, "Remarks");
        }
        self.ink.rule((self.left, y), (self.left + self.wide, y), 0.9, LINE);
        tall >= LEAST_ROW
    }
}

/// The largest size up to `most` at which a text goes into one line.
pub(super) fn fitted(text: &str, face: Face, most: f32, room: f32) -> f32 {
    let wide = width(text, face, most);
    if wide <= room { most } else { most * room / wide }
}

/// As much of a text as goes into one line.
fn first_line(text: &str, set: Type, room: f32) -> String {
    set.lines(text, room).into_iter().next().unwrap_or_default()
}
