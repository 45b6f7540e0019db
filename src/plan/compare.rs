//! Two plans side by side: only what differs, and the sums in tons and dollars.

use crate::plan::answer::{FieldPlan, LotTally, Plan};
use serde::Serialize;

/// What one plan says.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Fact {
    /// It says nothing of this.
    Nothing,
    /// A number.
    Number(f64),
    /// A word.
    Word(String),
}

/// One thing that differs.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Differ {
    /// The field or lot; none for the whole farm.
    pub of: Option<String>,
    /// What differs.
    pub what: String,
    /// Unit of a number.
    pub unit: &'static str,
    /// The first plan.
    pub a: Fact,
    /// The second plan.
    pub b: Fact,
}

/// Two plans held against each other.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Differences {
    /// What the plans as a whole are about: farm, place, days.
    pub about: Vec<Differ>,
    /// Fields, in the order of the first plan.
    pub fields: Vec<Differ>,
    /// Lots, in the order of the first plan.
    pub lots: Vec<Differ>,
    /// Sums in tons and dollars, whether they differ or not.
    pub sums: Vec<Differ>,
}

impl Differences {
    /// Whether the plans say the same.
    #[must_use]
    pub fn none(&self) -> bool {
        self.about.is_empty()
            && self.fields.is_empty()
            && self.lots.is_empty()
            && !self.sums.iter().any(Differ::differs)
    }
}

/// Numbers closer than this are the same: below every digit shown.
const SAME: f64 = 1e-6;

impl Differ {
    fn differs(&self) -> bool {
        match (&self.a, &self.b) {
            (Fact::Number(a), Fact::Number(b)) => (a - b).abs() > SAME,
            (a, b) => a != b,
        }
    }

    /// The second less the first, where both are numbers.
    #[must_use]
    pub fn change(&self) -> Option<f64> {
        match (&self.a, &self.b) {
            (Fact::Number(a), Fact::Number(b)) => Some(b - a),
            _ => None,
        }
    }
}

/// Everything one plan says of one field or lot, in a fixed order.
type Facts = Vec<(String, &'static str, Fact)>;

/// Holds two plans against each other.
#[must_use]
pub fn differences(a: &Plan, b: &Plan) -> Differences {
    let about = |p: &Plan| -> Facts {
        [("farm", &p.farm), ("place", &p.place_name)]
            .map(|(what, word)| (what.to_string(), "", Fact::Word(word.clone())))
            .into_iter()
            .chain([("first day", p.from), ("last day", p.to)].map(|(w, d)| (w.to_string(), "", word(d))))
            .collect()
    };
    Differences {
        about: held(None, about(a), about(b)).into_iter().filter(Differ::differs).collect(),
        fields: each(&a.fields, &b.fields, |f| &f.id, field),
        lots: each(&a.lots, &b.lots, |l| &l.id, lot),
        sums: held(None, sums(a), sums(b)),
    }
}

/// The facts of things with the same id; a thing that only one plan has stands
/// against nothing.
fn each<T>(a: &[T], b: &[T], id: impl Fn(&T) -> &String, facts: impl Fn(&T) -> Facts) -> Vec<Differ> {
    let find = |list: &[T], key: &str| list.iter().find(|t| id(t) == key).map(&facts).unwrap_or_default();
    let only_b = b.iter().filter(|t| !a.iter().any(|other| id(other) == id(t)));
    a.iter()
        .chain(only_b)
        .flat_map(|t| held(Some(id(t)), find(a, id(t)), find(b, id(t))))
        .filter(Differ::differs)
        .collect()
}

/// Two lists of facts line by line, by their names.
fn held(of: Option<&str>, a: Facts, b: Facts) -> Vec<Differ> {
    let find = |list: &Facts, what: &str, unit: &str| list.iter().position(|(w, u, _)| w == what && *u == unit);
    let get =
        |list: &Facts, what: &str, unit: &str| find(list, what, unit).map_or(Fact::Nothing, |i| list[i].2.clone());
    let only_b = b.iter().filter(|(what, unit, _)| find(&a, what, unit).is_none());
    a.iter()
        .chain(only_b)
        .map(|(what, unit, _)| Differ {
            of: of.map(str::to_string),
            what: what.clone(),
            unit,
            a: get(&a, what, unit),
            b: get(&b, what, unit),
        })
        .collect()
}

fn word(of: impl std::fmt::Display) -> Fact {
    Fact::Word(of.to_string())
}

fn field(f: &FieldPlan) -> Facts {
    let mut facts: Facts = vec![
        ("acres".to_string(), "ac", Fact::Number(f.acres)),
        ("limited by".to_string(), "", word(f.held.by.word())),
    ];
    for a in &f.applications {
        let after = a.after_cutting.map_or(String::new(), |c| format!(", after {}", c.strftime("%b %-d")));
        let what = format!("{}, {}{after}", a.lot, a.season);
        facts.push((what.clone(), "tons/ac", Fact::Number(a.rate)));
        facts.push((what, "tons", Fact::Number(a.pounds.tons())));
    }
    let short = [("N", f.short.n), ("P2O5", f.short.p2o5), ("K2O", f.short.k2o)];
    facts.extend(short.map(|(what, lb)| (format!("{what} short"), "lb/ac", Fact::Number(lb))));
    facts
}

fn lot(l: &LotTally) -> Facts {
    let tons = |what: &str, pounds: crate::units::Pounds| (what.to_string(), "tons", Fact::Number(pounds.tons()));
    vec![tons("on hand", l.on_hand), tons("planned", l.planned), tons("left", l.left)]
}

/// The sums of a plan. Dollars of fertilizer are those of the products where
/// the farm names some, else those of `prices`.
fn sums(p: &Plan) -> Facts {
    let number = |what: &str, unit, value| (what.to_string(), unit, Fact::Number(value));
    let spread: f64 = p.fields.iter().map(FieldPlan::acres_spread).sum();
    let planned: f64 = p.lots.iter().map(|l| l.planned.tons()).sum();
    let mut facts = vec![
        number("litter spread", "tons", planned),
        number("acres spread on", "ac", spread),
        number("litter left", "tons", p.leftover.pounds.tons()),
    ];
    for (what, get) in [
        ("N short", (|f| f.short.n) as fn(&FieldPlan) -> f64),
        ("P2O5 short", |f| f.short.p2o5),
        ("K2O short", |f| f.short.k2o),
    ] {
        facts.push(number(what, "lb", p.fields.iter().map(|f| f.acres * get(f)).fold(0.0, |sum, lb| sum + lb)));
    }
    if let Some(buy) = &p.buy {
        let bill = &buy.with_litter;
        facts.push(number("fertilizer", "$", bill.fertilizer));
        facts.push(number("spreading fertilizer", "$", bill.fertilizer_spreading));
        facts.push(number("left short", "$", bill.short));
        for (what, part) in [
            ("loading, spreading litter", bill.litter_spreading),
            ("hauling litter", bill.hauling),
            ("jobs and loads", bill.trips),
            ("litter left sells for", bill.litter_left),
        ] {
            facts.extend(part.map(|dollars| number(what, "$", dollars)));
        }
        facts.push(number("total, less litter left", "$", bill.total));
        facts.push(number("saved by the litter", "$", buy.saved));
    } else if let Some(money) = &p.money {
        let spreading = money.spreading.round();
        let left = money.leftover.round();
        facts.push(number("fertilizer", "$", money.still_to_buy));
        facts.push(number("spreading, hauling litter", "$", spreading));
        facts.push(number("litter left sells for", "$", left));
        facts.push(number("total, less litter left", "$", money.still_to_buy + spreading - left));
    }
    facts
}
