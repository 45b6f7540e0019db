//! Scale tickets: from a scale's file to the cells of entries, each weight
//! checked to the pound.

use crate::findings::{At, Finding, Findings, Place};
use crate::record::cells::{Cells, tidy};
use crate::record::kinds::What;
use crate::text::{Column, Row, Sheet, day_in, measured, shown};
use crate::units::{POUNDS_PER_TON, Pounds, Quantity, Tons, quantity};
use std::collections::BTreeMap;

/// One ticket, as the entry that it makes.
#[derive(Clone, Debug, PartialEq)]
pub struct ScaleTicket {
    /// Its number.
    pub number: String,
    /// The litter's weight.
    pub net: Pounds,
    /// The cells of its entry.
    pub cells: Cells,
    /// Where a cell came from, by its column of the log.
    pub places: BTreeMap<&'static str, Place>,
    /// Where it stands.
    pub place: Place,
}

impl ScaleTicket {
    /// Where a cell came from.
    #[must_use]
    pub fn at(&self, column: &str) -> Place {
        self.places.get(column).unwrap_or(&self.place).clone()
    }
}

/// Ids by what the scale calls them.
pub type Names = [(At<String>, At<String>)];

/// A column that was found in the table.
struct TicketColumn<'a> {
    column: &'a Column,
    at: usize,
    unit: &'a str,
}

/// A row under examination.
struct TicketReading<'a> {
    sheet: &'a Sheet,
    row: &'a Row,
    mapped: &'a [TicketColumn<'a>],
}

/// Reads the tickets of a table, as far as they are sound; the rest is told.
/// Columns that say nothing of such an entry are left alone.
pub fn tickets(
    sheet: &Sheet,
    columns: &[Column],
    what: What,
    (lots, fields): (&Names, &Names),
    findings: &mut Findings,
) -> Vec<ScaleTicket> {
    let wanted =
        |key: &str| matches!(key, "ticket" | "date" | "gross" | "tare" | "net") || what.columns().contains(&key);
    let used: Vec<&Column> = columns.iter().filter(|c| wanted(c.key)).collect();
    let mut mapped = Vec::new();
    for column in &used {
        let found = column.find(sheet, findings).filter(|(_, unit)| unit_fits(column, unit, findings));
        mapped.extend(found.map(|(at, unit)| TicketColumn { column, at, unit }));
    }
    if mapped.len() < used.len() {
        return Vec::new();
    }
    let mut list: Vec<ScaleTicket> = Vec::new();
    for row in &sheet.rows {
        let reading = TicketReading { sheet, row, mapped: &mapped };
        let Some(ticket) = reading.ticket(what, lots, fields, findings) else { continue };
        if let Some(first) = list.iter().find(|t| t.number == ticket.number) {
            let found = format!("the ticket `{}` is here twice", shown(&ticket.number));
            findings.push(
                Finding::error("ticket-twice", &ticket.place, found)
                    .accepts("every ticket once")
                    .fix("take one of the two lines out, or correct its number")
                    .also(&first.place, "the first of them"),
            );
        }
        list.push(ticket);
    }
    list
}

/// Weights state a unit of mass; a day may state its form; nothing else has one.
fn unit_fits(column: &Column, unit: &str, findings: &mut Findings) -> bool {
    let masses = || Tons::SPELLINGS.iter().map(|(spelling, _)| *spelling).collect::<Vec<_>>();
    let (fits, accepts) = match column.key {
        "gross" | "tare" | "net" => (pounds_in(unit).is_some(), masses().join(", ")),
        "date" => {
            let forms = crate::text::DAY_FORMS;
            (unit.is_empty() || forms.contains(&unit), forms.join(", "))
        }
        _ => (unit.is_empty(), "no unit".to_string()),
    };
    if fits {
        return true;
    }
    let (key, name) = (column.key, &column.name);
    let (found, fix) = if unit.is_empty() {
        (
            format!("`{key}`: the unit of the column `{name}` is not stated"),
            format!("write for example `{key}: {name} in lb`"),
        )
    } else {
        (format!("`{key}` is not written in `{}`", shown(unit)), "write the unit as the scale prints it".to_string())
    };
    findings.push(Finding::error("column-unit", &column.place, found).accepts(accepts).fix(fix));
    false
}

/// Pounds in one of a unit of mass.
fn pounds_in(unit: &str) -> Option<f64> {
    quantity::<Tons>(&format!("1 {unit}")).ok().map(|tons| tons.get() * POUNDS_PER_TON as f64)
}

impl TicketReading<'_> {
    /// The column with this key and its cell, when something stands in it.
    fn cell(&self, key: &str) -> Option<(&TicketColumn<'_>, &At<String>)> {
        let mapped = self.mapped.iter().find(|m| m.column.key == key)?;
        Some((mapped, self.row.cells.get(mapped.at).filter(|c| !c.value.is_empty())?))
    }

    /// Where the cell of a column stands, filled or empty.
    fn place(&self, key: &str) -> Place {
        let at = self.mapped.iter().find(|m| m.column.key == key).map(|m| m.at);
        at.and_then(|at| self.row.cells.get(at)).map_or(&self.row.place, |c| &c.place).clone()
    }

    fn ticket(&self, what: What, lots: &Names, fields: &Names, findings: &mut Findings) -> Option<ScaleTicket> {
        let number = self.cell("ticket").map(|(_, c)| tidy(&c.value)).filter(|n| !n.is_empty());
        if number.is_none() {
            findings.push(
                Finding::error("ticket-number", &self.place("ticket"), "the line has no number of a ticket")
                    .accepts("the number on the ticket")
                    .fix("fill it in, or take the line out"),
            );
        }
        let date = match self.cell("date") {
            Some((mapped, cell)) => day_in(mapped.unit, cell, findings),
            None => {
                let finding = Finding::error("ticket-date", &self.place("date"), "the line has no day");
                findings.push(finding.accepts("the day of the weighing").fix("fill it in from the ticket"));
                None
            }
        };
        let net = self.net(findings);
        let (number, date, net) = (number?, date?, net?);
        let mut cells: Cells = [
            ("what", what.word().to_string()),
            ("date", date),
            ("tickets", format!("{} lb", net.0)),
            ("ticket_number", number.clone()),
        ]
        .into_iter()
        .collect();
        let weight = if self.cell("net").is_some() { "net" } else { "gross" };
        let mut places = BTreeMap::from([
            ("date", self.place("date")),
            ("tickets", self.place(weight)),
            ("ticket_number", self.place("ticket")),
        ]);
        for key in ["lot", "field", "loads", "to", "from", "operator"] {
            let Some((mapped, cell)) = self.cell(key) else { continue };
            let names = match key {
                "lot" => lots,
                "field" => fields,
                _ => &[],
            };
            let known = names.iter().find(|(_, name)| name.value == cell.value);
            let value = known.map_or_else(|| tidy(&cell.value), |(id, _)| id.value.clone());
            places.insert(mapped.column.key, cell.place.clone());
            cells.insert(mapped.column.key, value);
        }
        Some(ScaleTicket { number, net, cells, places, place: self.row.place.clone() })
    }

    /// The litter's weight: the net weight, which is gross less tare to the
    /// pound wherever all three are there.
    fn net(&self, findings: &mut Findings) -> Option<Pounds> {
        let mut weights = [None; 3];
        let mut sound = true;
        for (weight, key) in weights.iter_mut().zip(["gross", "tare", "net"]) {
            if let Some((mapped, cell)) = self.cell(key) {
                *weight = mass(mapped, cell, self.sheet, findings);
                sound &= weight.is_some();
            }
        }
        if !sound {
            return None;
        }
        let [gross, tare, net] = weights;
        let told = |pounds: Pounds| format!("{pounds}");
        let fault = |key: &str, found: String, accepts: &str| {
            Finding::error("ticket-weight", &self.place(key), found)
                .accepts(accepts)
                .fix("compare it with the paper ticket")
        };
        let less = gross.zip(tare).map(|(gross, tare)| gross - tare);
        let finding = match (less, net) {
            (Some(less), Some(net)) if less != net => fault(
                "net",
                format!("the net weight is {}, and gross less tare is {}", told(net), told(less)),
                "a net weight that is gross less tare, to the pound",
            ),
            (_, Some(net)) | (Some(net), None) if net.0 > 0 => return Some(net),
            (_, Some(net)) | (Some(net), None) => {
                let key = if self.cell("net").is_some() { "net" } else { "gross" };
                fault(key, format!("the net weight is {}", told(net)), "more than 0 lb")
            }
            (None, None) => fault(
                "net",
                "the line has neither a net weight nor both gross and tare".to_string(),
                "a net weight, or gross and tare",
            ),
        };
        findings.push(finding);
        None
    }
}

/// A weight to the nearest pound.
fn mass(mapped: &TicketColumn<'_>, cell: &At<String>, sheet: &Sheet, findings: &mut Findings) -> Option<Pounds> {
    let unit = pounds_in(mapped.unit)?;
    let same = |own: &str| pounds_in(own) == Some(unit);
    let digits = measured(mapped.column, mapped.unit, cell, sheet, &same, findings)?;
    match quantity::<Tons>(&format!("{digits} {}", mapped.unit)) {
        Ok(tons) => Some(Pounds((tons.get() * POUNDS_PER_TON as f64).round() as i64)),
        Err(_) => {
            let found = format!("`{}` is `{}`", mapped.column.name, shown(&cell.value));
            findings.push(Finding::error("out-of-range", &cell.place, found).accepts(crate::units::accepted::<Tons>()));
            None
        }
    }
}
