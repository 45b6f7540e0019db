//! Sheets or a binder as one HTML file: no script, no clock, no link but to
//! places (`geo:`) and to its own leaves; every word of the farm is escaped.

use super::{
    Column, ColumnKind, Document, Fact, Group, Leaf, MapKey, Meaning, Part, Ruled, SheetHead, Spreading, Table,
};
use crate::write::drawing::signs::swatch;
use crate::write::drawing::{short, svg};
use crate::write::words::en;
use crate::write::words::escaped;
use crate::write::words::line::{Line, Look};

/// The eight-sided sign before the stop conditions.
const OCTAGON: &str = "<path d=\"M19 2H45L62 19V45L45 62H19L2 45V19Z\" fill=\"#8f1d14\" stroke=\"#1b1a17\" \
    stroke-width=\"2.5\"/><text x=\"32\" y=\"38.5\" text-anchor=\"middle\" font-size=\"19\" font-weight=\"800\" \
    style=\"fill:#fff\">";

/// The whole file.
pub(in crate::write) fn html(document: &Document) -> String {
    let leaves: String = document.leaves.iter().map(|leaf| section(leaf, &document.foot)).collect();
    format!(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width,initial-scale=1\">\n<title>{}</title>\n\
         <style>\n{}</style>\n</head>\n<body>\n{leaves}</body>\n</html>\n",
        escaped(&document.title),
        document.style
    )
}

/// An element, with its class where it has one.
fn element(tag: &str, class: &str, inside: &str) -> String {
    let class = if class.is_empty() { String::new() } else { format!(" class=\"{class}\"") };
    format!("<{tag}{class}>{inside}</{tag}>")
}

/// The same, and nothing where there is nothing inside.
fn some(tag: &str, text: &str) -> String {
    if text.is_empty() { String::new() } else { element(tag, "", &escaped(text)) }
}

/// An element a line.
fn each<'a>(tag: &str, lines: impl IntoIterator<Item = &'a Line>) -> String {
    lines.into_iter().map(|line| element(tag, "", &words(line)) + "\n").collect()
}

fn words(line: &Line) -> String {
    let run = |(look, text): &(Look, String)| {
        let text = escaped(text);
        match look {
            Look::Plain => text,
            Look::Bold => element("b", "", &text),
            Look::Small => element("small", "", &text),
            Look::Soft => element("i", "", &text),
            Look::Mark => element("span", &format!("state {text}"), &text),
            Look::Link(to) => format!("<a href=\"{}\">{text}</a>", escaped(to)),
        }
    };
    line.0.iter().map(run).collect()
}

fn section(leaf: &Leaf, foot: &[String; 3]) -> String {
    let Some(head) = &leaf.head else {
        return format!("<section id=\"{}\">\n{}</section>\n", leaf.id, blocks(&leaf.blocks));
    };
    // A sheet of a field is one sheet of paper, however close it is set.
    let kind = if leaf.runs_on { "page" } else { "page sheet" };
    let class = [Some(kind), leaf.dense].into_iter().flatten().collect::<Vec<_>>().join(" ");
    let foot: String = foot.iter().map(|part| some("span", part)).collect();
    format!(
        "<section class=\"{class}\" id=\"{}\">\n{}\n{}{}\n</section>\n",
        leaf.id,
        header(head, leaf.id == "cover"),
        blocks(&leaf.blocks),
        element("footer", "foot-line", &foot)
    )
}

fn header(head: &SheetHead, first: bool) -> String {
    let long = head.tag.chars().count() > 8 || (!head.tag.is_empty() && head.title.chars().count() > 30);
    let tag = if head.tag.is_empty() { String::new() } else { element("div", "tag", &escaped(&head.tag)) };
    let title = some(if first { "h1" } else { "h2" }, &head.title) + &some("p", &head.under);
    let beside = escaped(&head.beside) + &some("small", &head.small);
    let inside = tag + &element("div", "who", &title) + &element("div", "no", &beside);
    element("header", if long { "top long" } else { "top" }, &inside)
}

fn blocks(list: &[Part]) -> String {
    list.iter().map(|one| block(one) + "\n").collect()
}

fn block(block: &Part) -> String {
    match block {
        Part::Heading(text) => some("h3", text),
        Part::Say(line) => element("p", "intro", &words(line)),
        Part::Note(text) => element("p", "note", &escaped(text)),
        Part::List { steps: true, lines } => element("ol", "spill cols", &each("li", lines)),
        Part::List { steps: false, lines } => {
            element("ul", if lines.len() == 1 { "care lone" } else { "care" }, &each("li", lines))
        }
        Part::Table(table) => self::table(table),
        Part::Front(title, under) => {
            let under = under.each_ref().map(|line| escaped(line)).join("<br>");
            some("h1", title) + &element("p", "sub", &under)
        }
        Part::Title(text) => some("h2", text),
        Part::Item(number, title, state) => {
            let number = element("span", "no", &number.to_string());
            let title = element("h2", "", &format!("{number} {}", escaped(title)));
            element("header", "", &(title + &element("p", "asked", &words(state))))
        }
        Part::Wanting(text) => element("p", "wanting", &(element("b", "", en::MISSING) + " " + &escaped(text))),
        Part::Picture { address, shows, wide } => {
            let class = if *wide { " class=\"whole\"" } else { "" };
            format!("<img{class} alt=\"{}\" src=\"{address}\">", escaped(shows))
        }
        Part::Set(text) => element("pre", "", &escaped(text)),
        Part::Stops(lines) => {
            let (sign, list) = (en::STOP_SIGN, element("ul", "", &each("li", lines)));
            let svg = format!("<svg viewBox=\"0 0 64 64\" role=\"img\" aria-label=\"{sign}\">{OCTAGON}{}", en::STOP);
            element("div", "halt", &format!("{svg}</text></svg>{list}"))
        }
        Part::Spreading(job) => self::job(job),
        Part::Facts(facts) => self::facts(facts),
        Part::Map { label, drawing } => format!(
            "<svg class=\"map\" viewBox=\"0 0 {} {}\" role=\"img\" aria-label=\"{}\">\n{}</svg>",
            short(drawing.wide),
            short(drawing.tall),
            escaped(label),
            drawing.svg()
        ),
        Part::MapKey(key) => self::key(key),
        Part::Write(rows) => {
            let heads: String = en::WRITTEN.iter().map(|(head, _)| some("div", head)).collect();
            let row = element("div", "write", &(heads + &element("div", "wide", en::REMARKS))) + "\n";
            element("div", "rows", &row.repeat(*rows))
        }
        Part::Call(lines) => {
            let urgent = lines.first().map(|line| element("span", "urgent", &words(line)) + "\n").unwrap_or_default();
            element("div", "call", &(urgent + &each("span", lines.iter().skip(1))))
        }
        Part::Sign(names) => {
            element("div", "sign", &names.iter().map(|name| element("div", "", name)).collect::<String>())
        }
        Part::Group(group, inner) => {
            let class = match group {
                Group::Two => "two",
                Group::MapSide => "map-side",
                Group::JobSide => "job-side",
                Group::Jobs if inner.len() == 3 => "jobs three",
                Group::Jobs => "jobs many",
                Group::Facts => "facts",
                Group::Spare => "spare",
            };
            element("div", class, &blocks(inner))
        }
    }
}

fn table(table: &Table) -> String {
    let head = |column: &Column| element("th", if column.kind == ColumnKind::Number { "r" } else { "" }, column.head);
    let heads: String = table.columns.iter().map(head).collect();
    let last = table.rows.len().saturating_sub(1);
    let row = |(n, row): (usize, &Vec<Line>)| {
        let sum = table.sum && n == last;
        let cells: String = table.columns.iter().zip(row).map(|(column, line)| cell(column, line, sum)).collect();
        element("tr", if sum { "tot" } else { "" }, &cells) + "\n"
    };
    let rows: String = table.rows.iter().enumerate().map(row).collect();
    let bare = table.columns.iter().all(|column| column.head.is_empty());
    let heads = if bare { String::new() } else { element("thead", "", &element("tr", "", &heads)) + "\n" };
    let set = |class| element("table", class, &(heads + &element("tbody", "", &rows)));
    let set = match table.ruled {
        Ruled::Sheet => set("flow"),
        Ruled::Route => set("flow route"),
        Ruled::Binder => element("div", "wide", &set("grid")),
        Ruled::Form => element("div", "wide", &set("form")),
    };
    if table.title.is_empty() { set } else { some("h3", table.title) + "\n" + &set }
}

fn cell(column: &Column, line: &Line, sum: bool) -> String {
    let tick = column.kind == ColumnKind::Tick && !sum;
    let class = match column.kind {
        ColumnKind::Text => "",
        ColumnKind::Short => " class=\"nb\"",
        ColumnKind::Field => " class=\"f\"",
        ColumnKind::Number => " class=\"r\"",
        ColumnKind::Tick => " class=\"tick\"",
    };
    let labelled = !column.label.is_empty() && (!sum || column.kind == ColumnKind::Number);
    let named = labelled && (tick || !line.is_empty());
    let label = if named { format!(" data-is=\"{}\"", column.label) } else { String::new() };
    format!("<td{class}{label}>{}</td>", if tick { "<i></i>".to_string() } else { words(line) })
}

fn job(job: &Spreading) -> String {
    let unit = format!("<span>{} <br>{}</span>", en::TONS_UNIT, en::PER_ACRE);
    let warnings: String = job.warnings.iter().map(|text| element("p", "warn", &escaped(text)) + "\n").collect();
    let parts = [
        element("p", "when", &escaped(&job.when)),
        element("p", "lot", &words(&job.lot)),
        element("div", "rate", &(some("b", &job.rate) + &unit)),
        warnings + &facts(&job.facts),
    ];
    element("div", "job", &parts.join("\n"))
}

fn facts(facts: &[Fact]) -> String {
    let pair = |Fact(name, line): &Fact| {
        let class = if *name == en::HAUL { "haul" } else { "" };
        element("dt", class, name) + &element("dd", class, &words(line)) + "\n"
    };
    element("dl", "", &facts.iter().map(pair).collect::<String>())
}

fn key(key: &MapKey) -> String {
    let row = |row: &Meaning| {
        let sign = svg(&swatch(&row.sign, key.index).shapes, key.index);
        let over = 1 + usize::from(row.feet.is_empty()) + usize::from(row.acres.is_empty());
        let span = if over > 1 { format!(" colspan=\"{over}\"") } else { String::new() };
        let number = |line: &Line| if line.is_empty() { String::new() } else { element("td", "r", &words(line)) };
        format!(
            "<tr><td class=\"sw\"><svg viewBox=\"0 0 44 16\" aria-hidden=\"true\">{sign}</svg></td>\
             <td{span}>{}</td>{}{}</tr>\n",
            words(&row.what),
            number(&row.feet),
            number(&row.acres)
        )
    };
    let rows = |list: &[Meaning]| list.iter().map(row).collect::<String>();
    let mut inside = rows(&key.ground);
    if !key.zones.is_empty() {
        // No <thead>: printed, that would stand above the ground to spread on.
        let heads = [("sw", ""), ("", en::AROUND), ("r", en::KEEP_OFF), ("r", en::ACRES)];
        let heads: String = heads.iter().map(|(class, text)| element("th", class, text)).collect();
        inside += &(element("tr", "", &heads) + "\n" + &rows(&key.zones));
    }
    let inside = element("tbody", "", &inside);
    element("table", "key", &inside)
}
