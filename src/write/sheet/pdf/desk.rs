//! Sets a leaf block by block. One that must stay one sheet of paper is set as
//! large as it goes; any other runs on to as many pages as it takes.

use super::ink::{Ink, LINE, PLUM, RED, SOFT, Side, Type, WHITE};
use super::shapes;
use crate::write::drawing::INK;
use crate::write::drawing::signs::swatch;
use crate::write::leaf::{
    Column, ColumnKind, Document, Fact, Group, Leaf, MapKey, Meaning, Part, SheetHead, Spreading, Table,
};
use crate::write::words::en;
use crate::write::words::line::Line;

/// A sheet of paper, in points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Paper {
    pub(super) wide: f32,
    pub(super) tall: f32,
    margin: f32,
}

impl Paper {
    /// 8.5 by 11 inches.
    pub const LETTER: Paper = Paper { wide: 612.0, tall: 792.0, margin: 36.0 };
    /// 210 by 297 millimetres.
    pub const A4: Paper = Paper { wide: 595.28, tall: 841.89, margin: 36.0 };
}

/// Height of the foot.
const FOOT: f32 = 14.0;
/// Least height of the boxes to fill in by hand, however much a page holds.
const LEAST_ROW: f32 = 26.0;
const MOST_ROW: f32 = 62.0;
/// Between two columns.
const GAP: f32 = 10.0;
/// Between two cells.
const CELL_GAP: f32 = 6.0;

/// The pages of a leaf.
pub(super) fn pages(sheets: &Document, leaf: &Leaf, paper: Paper) -> Vec<Ink> {
    let mut size = 1.0;
    loop {
        let mut desk = Desk::new(sheets, paper, size, leaf.runs_on);
        let wide = paper.wide - 2.0 * paper.margin;
        let y = leaf.head.as_ref().map_or(paper.margin, |head| desk.head(head, paper.margin, wide));
        desk.blocks(&leaf.blocks, paper.margin, y, wide);
        // Below a third nobody could read it: then the end is cut off.
        if desk.fits || size < 0.33 {
            desk.turn();
            return desk.pages;
        }
        size *= 0.95;
    }
}

/// What a leaf is set with.
struct Desk<'a> {
    ink: Ink,
    pages: Vec<Ink>,
    sheets: &'a Document,
    paper: Paper,
    size: f32,
    runs_on: bool,
    fits: bool,
}

impl<'a> Desk<'a> {
    fn new(sheets: &'a Document, paper: Paper, size: f32, runs_on: bool) -> Desk<'a> {
        Desk { ink: Ink::new(paper.tall), pages: Vec::new(), sheets, paper, size, runs_on, fits: true }
    }

    fn plain(&self, points: f32) -> Type {
        Type::plain(points * self.size)
    }

    fn bold(&self, points: f32) -> Type {
        Type::bold(points * self.size)
    }

    fn bottom(&self) -> f32 {
        self.paper.tall - self.paper.margin - FOOT
    }

    /// Puts the foot on the page and turns it.
    fn turn(&mut self) {
        let set = Type::plain(8.0).color(SOFT);
        let (x, top, wide) = (self.paper.margin, self.bottom(), self.paper.wide - 2.0 * self.paper.margin);
        self.ink.rule((x, top), (x + wide, top), 0.6, LINE);
        let [farm, plan, decide] = &self.sheets.foot;
        let [middle, end] = [set.width(plan), set.width(decide)];
        let farm = set.first_line(farm, wide - middle - end - 2.0 * GAP);
        let free = (wide - set.width(&farm) - middle - end) / 2.0;
        self.ink.text(x, top + 10.0, set, Side::Left, &farm);
        self.ink.text(x + set.width(&farm) + free, top + 10.0, set, Side::Left, plan);
        self.ink.text(x + wide, top + 10.0, set, Side::Right, decide);
        let full = std::mem::replace(&mut self.ink, Ink::new(self.paper.tall));
        self.pages.push(full);
    }

    /// Turns the page where less than this much room is left, and says whether it did.
    fn turned(&mut self, y: f32, tall: f32) -> bool {
        let full = self.runs_on && y + tall > self.bottom() - 4.0;
        if full {
            self.turn();
        }
        full
    }

    /// The same; where to go on.
    fn room(&mut self, y: f32, tall: f32) -> f32 {
        if self.turned(y, tall) { self.paper.margin } else { y }
    }

    fn head(&mut self, head: &SheetHead, top: f32, wide: f32) -> f32 {
        let (left, right) = (self.paper.margin, self.paper.margin + wide);
        let beside = Type::bold(10.5).first_line(&head.beside, wide * 0.3);
        let taken = self.ink.text(right, top + 12.0, Type::bold(10.5), Side::Right, &beside);
        let small = Type::plain(9.0).color(SOFT);
        let text = small.first_line(&head.small, wide * 0.3);
        let taken = taken.max(self.ink.text(right, top + 24.0, small, Side::Right, &text));
        let mut x = left;
        if !head.tag.is_empty() {
            let set = Type::bold(24.0).fitted(&head.tag, wide * 0.3).color(WHITE);
            let tag = set.width(&head.tag) + 18.0;
            self.ink.filled(left, top, tag, 34.0, PLUM);
            self.ink.text(left + 9.0, top + 26.0, set, Side::Left, &head.tag);
            x += tag + 9.0;
        }
        let room = right - x - taken - 12.0;
        self.ink.text(x, top + 18.0, Type::bold(21.0).fitted(&head.title, room), Side::Left, &head.title);
        let under = Type::plain(10.5).fitted(&head.under, room);
        self.ink.text(x, top + 32.0, under, Side::Left, &head.under);
        let end = top + if head.under.is_empty() { 26.5 } else { 38.5 };
        self.ink.rule((left, end), (right, end), 3.0, PLUM);
        end + 7.5
    }

    /// Blocks one below the other; where they end.
    fn blocks(&mut self, blocks: &[Part], x: f32, top: f32, wide: f32) -> f32 {
        let mut y = top;
        for (n, block) in blocks.iter().enumerate() {
            y = match block {
                Part::Write(rows) => {
                    let mut rest = Desk::new(self.sheets, self.paper, self.size, false);
                    let below = rest.blocks(blocks.get(n + 1..).unwrap_or_default(), x, 0.0, wide);
                    self.write(*rows, x, y, wide, self.bottom() - below);
                    self.bottom() - below
                }
                _ => self.block(block, x, y, wide),
            };
        }
        y
    }

    fn block(&mut self, block: &Part, x: f32, y: f32, wide: f32) -> f32 {
        match block {
            Part::Heading(text) => self.heading(text, x, y),
            Part::Say(line) => {
                let set = self.plain(9.5);
                let y = self.room(y, set.lines(line, wide).len() as f32 * set.leading() + 5.0) + 3.0;
                self.ink.paragraph(x, y, wide, set, Side::Left, line) + 2.0
            }
            Part::Note(text) => {
                let set = self.plain(8.0).color(SOFT);
                self.ink.paragraph(x, y, wide, set, Side::Left, &Line::plain(*text))
            }
            Part::List { steps, lines } => {
                let mark = |n: usize| if *steps { format!("{}.", n + 1) } else { "–".to_string() };
                let columns = if self.runs_on { 1 } else { 2 };
                self.list(lines, mark, self.plain(9.5), columns, x, y, wide)
            }
            Part::Table(table) => self.table(table, x, y, wide),
            Part::Stops(lines) => self.stops(lines, x, y, wide),
            Part::Spreading(job) => self.job(job, x, y, wide),
            Part::Facts(facts) => self.facts(facts, x, y, wide),
            Part::Map { drawing, .. } => {
                let end = shapes::draw(&mut self.ink, drawing, x, y, wide);
                self.ink.frame(x, y, wide, end - y, 0.6, LINE);
                end + 4.0
            }
            Part::MapKey(key) => self.key(key, x, y, wide),
            // Set by `blocks`, which knows what comes below.
            Part::Write(_) => y,
            // Of the binder alone, which is printed from its HTML.
            Part::Front(..)
            | Part::Title(_)
            | Part::Item(..)
            | Part::Wanting(_)
            | Part::Picture { .. }
            | Part::Set(_) => y,
            Part::Call(lines) => self.call(lines, x, y, wide),
            Part::Sign(names) => self.sign(names, x, y, wide),
            Part::Group(group, inner) => self.group(*group, inner, x, y, wide),
        }
    }

    fn heading(&mut self, text: &str, x: f32, y: f32) -> f32 {
        let set = Type::bold(9.0 * self.size.max(0.6)).color(PLUM);
        let y = self.room(y, 40.0) + 5.0 * self.size;
        self.ink.text(x, y + set.size, set, Side::Left, &text.to_uppercase());
        y + set.size + 3.0
    }

    fn group(&mut self, group: Group, inner: &[Part], x: f32, y: f32, wide: f32) -> f32 {
        let shares: &[f32] = match group {
            Group::Two => &[0.58, 0.42],
            Group::Jobs if inner.len() == 2 => &[0.5, 0.5],
            Group::Jobs => &[1.0 / 3.0; 3],
            Group::MapSide | Group::JobSide | Group::Facts | Group::Spare => return self.blocks(inner, x, y, wide),
        };
        let (mut top, free) = (y, wide - GAP * (shares.len() as f32 - 1.0));
        for row in inner.chunks(shares.len()) {
            let (mut at, mut end) = (x, top);
            for (block, share) in row.iter().zip(shares) {
                end = end.max(self.block(block, at, top, free * share));
                at += free * share + GAP;
            }
            top = end + 6.0 * self.size;
        }
        top
    }

    /// Lines with a mark before each, in columns where there is room.
    #[allow(clippy::too_many_arguments)]
    fn list(
        &mut self,
        lines: &[Line],
        mark: impl Fn(usize) -> String,
        set: Type,
        columns: usize,
        x: f32,
        top: f32,
        wide: f32,
    ) -> f32 {
        let columns = if wide > 400.0 && lines.len() > 1 { columns } else { 1 };
        let column = (wide - GAP * (columns as f32 - 1.0)) / columns as f32;
        let each = lines.len().div_ceil(columns).max(1);
        let mut end = top;
        for (n, part) in lines.chunks(each).enumerate() {
            let (left, mut y) = (x + n as f32 * (column + GAP), top);
            for (i, line) in part.iter().enumerate() {
                let (inner, room) = (left + set.size * 1.3, column - set.size * 1.3);
                if columns == 1 {
                    y = self.room(y, set.lines(line, room).len() as f32 * set.leading());
                }
                self.ink.text(left, y + set.size, set, Side::Left, &mark(n * each + i));
                y = self.ink.paragraph(inner, y, room, set, Side::Left, line) + 1.0;
            }
            end = if columns == 1 { y } else { end.max(y) };
        }
        end
    }

    /// A table; its head stands again on every page that it runs on to.
    fn table(&mut self, table: &Table, x: f32, top: f32, wide: f32) -> f32 {
        let (set, small) = (Type::plain(9.0), Type::plain(8.0).color(SOFT));
        let sum = if table.sum { table.rows.len() - 1 } else { table.rows.len() };
        let heads: Vec<Line> = table.columns.iter().map(|column| Line::plain(column.head)).collect();
        let top = if table.title.is_empty() { top } else { self.heading(table.title, x, top) };
        let mut y = self.room(top, 30.0);
        y = self.row(&table.columns, &heads, small, false, (x, y, wide)) + 2.0;
        for (n, cells) in table.rows.iter().enumerate() {
            let lines =
                table.columns.iter().zip(cells).map(|(c, line)| set.lines(line, wide * c.share - CELL_GAP).len());
            let tall = lines.max().unwrap_or(1) as f32 * set.leading() + 3.0;
            if self.turned(y, tall) {
                y = self.row(&table.columns, &heads, small, false, (x, self.paper.margin, wide)) + 2.0;
            }
            self.row(&table.columns, cells, set, n != sum, (x, y, wide));
            y += tall;
            self.ink.rule((x, y - 1.0), (x + wide, y - 1.0), 0.4, LINE);
        }
        y
    }

    /// A row of cells, with boxes to tick where it has any; where the tallest ends.
    fn row(&mut self, columns: &[Column], cells: &[Line], set: Type, ticks: bool, at: (f32, f32, f32)) -> f32 {
        let (mut x, y, wide) = at;
        let mut end = y + set.leading();
        for (column, line) in columns.iter().zip(cells) {
            let side = if column.kind == ColumnKind::Number { Side::Right } else { Side::Left };
            let room = wide * column.share - CELL_GAP;
            end = end.max(self.ink.paragraph(x, y, room, set, side, line));
            if ticks && column.kind == ColumnKind::Tick {
                self.ink.frame(x, y + 1.0, 9.0, 9.0, 0.9, INK);
            }
            x += wide * column.share;
        }
        end
    }

    /// The stop conditions in their frame, in large type.
    fn stops(&mut self, lines: &[Line], x: f32, top: f32, wide: f32) -> f32 {
        let size = self.size;
        let top = self.room(top, 120.0) + 3.0 * size;
        let sign = 40.0 * size.max(0.6);
        let dash = |_| "–".to_string();
        let end = self.list(lines, dash, self.bold(11.5), 2, x + sign + 16.0, top + 5.0, wide - sign - 22.0);
        let tall = (end - top + 4.0).max(sign + 10.0);
        let (at, middle, radius) = (x + 8.0 + sign / 2.0, top + tall / 2.0, sign / 2.0);
        let corner = |n: i32| {
            let (sin, cos) = (n as f32 * 45.0 + 22.5).to_radians().sin_cos();
            (at + radius * cos, middle + radius * sin)
        };
        self.ink.shape(&[(0..8).map(corner).collect()], true, Some(RED), (INK, 1.2));
        let set = Type::bold(radius * 0.6).color(WHITE);
        self.ink.text(at, middle + set.size * 0.36, set, Side::Middle, en::STOP);
        self.ink.frame(x, top, wide, tall, 2.2, RED);
        top + tall
    }

    fn job(&mut self, job: &Spreading, x: f32, top: f32, wide: f32) -> f32 {
        let (inner, room) = (x + 7.0, wide - 14.0);
        let mut y = self.ink.paragraph(inner, top + 5.0, room, self.bold(12.5), Side::Left, &Line::plain(&*job.when));
        y = self.ink.paragraph(inner, y, room, self.plain(9.5), Side::Left, &job.lot);
        let (big, unit) = (self.bold(42.0), self.bold(13.0));
        let right = inner + self.ink.text(inner, y + big.size * 0.86, big, Side::Left, &job.rate) + 6.0;
        self.ink.text(right, y + big.size * 0.45, unit, Side::Left, en::TONS_UNIT);
        self.ink.text(right, y + big.size * 0.86, unit, Side::Left, en::PER_ACRE);
        y += big.size;
        for warning in &job.warnings {
            let (set, line) = (self.bold(10.5).color(WHITE), Line::plain(warning.as_str()));
            let tall = set.lines(&line, room - 10.0).len() as f32 * set.leading() + 6.0;
            self.ink.filled(inner, y + 2.0, room, tall, INK);
            self.ink.paragraph(inner + 5.0, y + 4.0, room - 10.0, set, Side::Left, &line);
            y += tall + 4.0;
        }
        let end = self.facts(&job.facts, inner, y + 2.0, room) + 5.0;
        self.ink.frame(x, top, wide, end - top, 1.4, INK);
        end + 6.0 * self.size
    }

    /// Words on the left, what they mean on the right.
    fn facts(&mut self, facts: &[Fact], x: f32, top: f32, wide: f32) -> f32 {
        let (name, said) = (self.plain(9.5).color(SOFT), self.bold(9.5));
        let names = facts.iter().map(|fact| name.width(fact.0)).fold(0.0, f32::max) + 8.0;
        facts.iter().fold(top, |y, Fact(word, line)| {
            self.ink.text(x, y + name.size, name, Side::Left, word);
            self.ink.paragraph(x + names, y, wide - names, said, Side::Left, line)
        })
    }

    fn key(&mut self, key: &MapKey, x: f32, top: f32, wide: f32) -> f32 {
        let head = self.plain(8.0).color(SOFT);
        let (right, sign) = (x + wide, 27.0 * self.size);
        let off = right - 52.0 * self.size;
        let mut y = top;
        for row in &key.ground {
            y = self.meaning(row, key.index, x, y, wide);
        }
        if !key.zones.is_empty() {
            self.ink.text(x + sign + 4.0, y + head.size, head, Side::Left, en::AROUND);
            self.ink.text(off, y + head.size, head, Side::Right, en::KEEP_OFF);
            self.ink.text(right, y + head.size, head, Side::Right, en::ACRES);
            y += head.leading() + 1.0;
        }
        key.zones.iter().fold(y, |y, row| self.meaning(row, key.index, x, y, wide))
    }

    fn meaning(&mut self, row: &Meaning, index: usize, x: f32, y: f32, wide: f32) -> f32 {
        let (set, sign) = (self.plain(9.0), 27.0 * self.size);
        let acres = 52.0 * self.size;
        let feet = 40.0 * self.size;
        shapes::draw(&mut self.ink, &swatch(&row.sign, index), x, y + 0.5 * self.size, sign);
        let mut room = wide - sign - 4.0;
        if !row.acres.is_empty() {
            self.ink.paragraph(x + wide - acres, y, acres, set, Side::Right, &row.acres);
            room -= acres;
        }
        if !row.feet.is_empty() {
            self.ink.paragraph(x + wide - acres - feet, y, feet, set, Side::Right, &row.feet);
            room -= feet;
        }
        self.ink.paragraph(x + sign + 4.0, y, room, set, Side::Left, &row.what) + self.size
    }

    /// The boxes to fill in by hand, as tall as fits above `end`.
    fn write(&mut self, rows: usize, x: f32, y: f32, wide: f32, end: f32) {
        // Each row has a box below it for remarks, half as tall.
        let tall = ((end - y) / rows as f32 / 1.5).min(MOST_ROW);
        self.fits = tall >= LEAST_ROW;
        let shares: f32 = en::WRITTEN.iter().map(|(_, share)| share).sum();
        let mut boxed = |x: f32, top: f32, wide: f32, tall: f32, text: &str| {
            self.ink.frame(x, top, wide, tall, 0.9, INK);
            let set = Type::plain(6.6).color(SOFT);
            self.ink.paragraph(x + 2.0, top + 1.0, wide - 4.0, set, Side::Left, &Line::plain(text));
        };
        for row in 0..rows {
            let (top, mut at) = (y + row as f32 * tall * 1.5, x);
            for (text, share) in en::WRITTEN {
                boxed(at, top, wide * share / shares, tall, text);
                at += wide * share / shares;
            }
            boxed(x, top + tall, wide, tall / 2.0, en::REMARKS);
        }
    }

    /// Whom to call, each kept in one line.
    fn call(&mut self, lines: &[Line], x: f32, y: f32, wide: f32) -> f32 {
        let set = Type::plain(9.5);
        let (mut at, mut y) = (x, self.room(y, 2.0 * set.leading()) + 4.0);
        for line in lines {
            let long = set.width(&line.text()) * 1.08;
            if at > x && at + long > x + wide {
                (at, y) = (x, y + set.leading());
            }
            let room = if at > x { long } else { wide };
            let end = self.ink.paragraph(at, y, room, set, Side::Left, line);
            y = end - set.leading();
            at += long + GAP;
        }
        y + set.leading() + 4.0
    }

    fn sign(&mut self, names: &[&str], x: f32, y: f32, wide: f32) -> f32 {
        let y = self.room(y, 52.0);
        let each = wide / names.len().max(1) as f32;
        for (n, name) in names.iter().enumerate() {
            let x = x + n as f32 * each;
            self.ink.rule((x, y + 38.0), (x + each - 12.0, y + 38.0), 1.2, INK);
            self.ink.text(x, y + 48.0, Type::plain(8.5).color(SOFT), Side::Left, name);
        }
        y + 52.0
    }
}
