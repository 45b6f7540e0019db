//! One value against its band, and what is said of one outside.

use crate::check::log::say_so;
use crate::farm::Sure;
use crate::findings::{At, Finding, Findings, Place};
use crate::record::Entry;
use crate::tables::{Band, Book, Scope, Thing};
use crate::units::{Quantity, number_text, trimmed};
use std::collections::BTreeMap;

/// What may have slipped: a factor that would make the value usual, and the
/// question to ask then.
pub(super) type Slip = (f64, &'static str);

const POINT: &str = "has the decimal point slipped?";
/// A decimal point in the wrong place.
pub(super) const DECIMAL: &[Slip] =
    &[(10.0, POINT), (0.1, POINT), (100.0, POINT), (0.01, POINT), (1_000.0, POINT), (0.001, POINT)];
/// Pounds for tons, or tons for pounds; ten times as much is likelier still.
pub(super) const TONS: &[Slip] =
    &[(10.0, POINT), (0.1, POINT), (2_000.0, "are they tons, not pounds?"), (1.0 / 2_000.0, "are they pounds?")];
/// Pounds for tons of a whole entry, which is likelier than a point.
pub(super) const POUNDS: &[Slip] = &[(1.0 / 2_000.0, "are they pounds?")];
/// Inches for feet.
pub(super) const FEET: &[Slip] = &[(1.0 / 12.0, "are they inches?"), (12.0, "are they feet?")];

/// One value.
pub(super) struct JudgedValue<'a> {
    thing: Thing,
    /// To what kind of litter or forage it belongs.
    scope: Scope<'a>,
    value: f64,
    unit: &'a str,
    /// Whose it is, its key and the value, as in "lot shed: `p2o5` is 24 lb/ton".
    says: String,
    place: &'a Place,
    overrule: Overrule<'a>,
    /// The likelier first; none where a factor explains nothing.
    slips: &'a [&'a [Slip]],
    /// What to ask where no slip explains it.
    hint: &'a str,
}

impl<'a> JudgedValue<'a> {
    pub(super) fn new(
        thing: Thing,
        (value, unit): (f64, &'a str),
        says: String,
        place: &'a Place,
        overrule: Overrule<'a>,
    ) -> JudgedValue<'a> {
        JudgedValue {
            thing,
            scope: Scope::new(),
            value,
            unit,
            says,
            place,
            overrule,
            slips: &[],
            hint: "compare it and its unit with where it came from",
        }
    }

    pub(super) fn scope(self, scope: &Scope<'a>) -> JudgedValue<'a> {
        JudgedValue { scope: scope.clone(), ..self }
    }

    pub(super) fn hint(self, hint: &'a str) -> JudgedValue<'a> {
        JudgedValue { hint, ..self }
    }

    pub(super) fn slips(self, slips: &'a [&'a [Slip]]) -> JudgedValue<'a> {
        JudgedValue { slips, ..self }
    }
}

/// How a value that is not plausible is let through.
#[derive(Clone, Copy)]
pub(super) enum Overrule<'a> {
    /// By whoever is sure of it, written into this block.
    Sure(Option<&'a Sure>, &'static str),
    /// By whoever is sure of this entry of the log.
    Logged(&'a Entry),
    /// By nothing, and it stops nothing.
    Warns,
    /// By nothing.
    Never,
}

/// How a value lies to its band.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Plausibility {
    Usual,
    Unusual,
    Outside,
}

impl Plausibility {
    pub(super) fn usual(self) -> bool {
        self == Plausibility::Usual
    }
}

/// Judges row by row.
pub(super) struct Judge<'a> {
    pub(super) book: &'a Book<'a>,
    pub(super) findings: &'a mut Findings,
    /// Where a `sure` stands that covers a value which is not usual.
    pub(super) covers: Vec<Place>,
    /// What is usual of things that are of no kind: a long log asks it of every entry.
    usual: BTreeMap<(Thing, &'static str), Option<(f64, f64)>>,
}

impl<'a> Judge<'a> {
    pub(super) fn new(book: &'a Book<'a>, findings: &'a mut Findings) -> Judge<'a> {
        Judge { book, findings, covers: Vec::new(), usual: BTreeMap::new() }
    }

    /// Whether a value is usual or nothing is known of it, so that nothing needs to be said.
    pub(super) fn is_usual(&mut self, thing: Thing, value: f64, unit: &'static str) -> bool {
        self.usual_range(thing, unit).is_none_or(|usual| within(value, usual))
    }

    fn usual_range(&mut self, thing: Thing, unit: &'static str) -> Option<(f64, f64)> {
        let ask = || Some(self.book.band(thing, unit, &Scope::new())?.value.usual);
        *self.usual.entry((thing, unit)).or_insert_with(ask)
    }
}

impl Judge<'_> {
    /// A quantity as it is written under a key.
    pub(super) fn quantity<Q: Quantity>(
        &mut self,
        thing: Thing,
        scope: &Scope<'_>,
        (whose, key): (&str, &str),
        at: &At<Q>,
        overrule: Overrule<'_>,
    ) -> Plausibility {
        let value = at.value.get();
        let says = format!("{whose}: `{key}` is {}", shown(value, Q::UNIT));
        self.judge(&JudgedValue::new(thing, (value, Q::UNIT), says, &at.place, overrule).scope(scope).slips(&[DECIMAL]))
    }

    /// The same of a key that may be left out, whatever kind of litter or forage it is.
    pub(super) fn given<Q: Quantity>(
        &mut self,
        thing: Thing,
        whose: (&str, &str),
        at: Option<&At<Q>>,
        overrule: Overrule<'_>,
    ) {
        if let Some(at) = at {
            self.quantity(thing, &Scope::new(), whose, at, overrule);
        }
    }

    /// A number without a unit, or whose unit follows from its key.
    pub(super) fn number(
        &mut self,
        (thing, unit): (Thing, &str),
        (whose, key): (&str, &str),
        at: &At<f64>,
        overrule: Overrule<'_>,
    ) -> Plausibility {
        let says = format!("{whose}: `{key}` is {}", trimmed(at.value));
        self.judge(&JudgedValue::new(thing, (at.value, unit), says, &at.place, overrule).slips(&[DECIMAL]))
    }

    /// The least that is usual.
    pub(super) fn least(&mut self, thing: Thing) -> Option<f64> {
        let unit = thing.units().first()?;
        self.usual_range(thing, unit).map(|usual| usual.0)
    }

    pub(super) fn judge(&mut self, row: &JudgedValue<'_>) -> Plausibility {
        let Some(found) = self.book.band(row.thing, row.unit, &row.scope) else { return Plausibility::Usual };
        let Band { usual, wide } = found.value;
        if within(row.value, usual) {
            return Plausibility::Usual;
        }
        let told = format!("{}; usual is {}", row.says, range(usual, row.unit));
        let hint = slip(row, usual).unwrap_or_else(|| row.hint.to_string());
        let sure = match row.overrule {
            Overrule::Sure(sure, _) => sure.map(|s| (&s.by, s.on.value)),
            Overrule::Logged(entry) => entry.sure.as_ref().map(|s| (&s.by, s.on)),
            Overrule::Never | Overrule::Warns => None,
        };
        if let Overrule::Sure(Some(sure), _) = row.overrule {
            self.covers.push(sure.on.place.clone());
        }
        let sure = sure.map(|(by, on)| format!("{told}; {by} is sure of it ({on})"));
        let outside = !within(row.value, wide);
        let finding = match (outside, row.overrule, sure) {
            (false, _, Some(sure)) => Finding::note("sure", row.place, sure),
            (true, _, Some(sure)) => Finding::warning("sure", row.place, sure)
                .fix("take `sure` out when the value is corrected: it covers everything beside it"),
            (_, Overrule::Warns, None) => Finding::warning("unusual", row.place, told).fix(hint),
            (false, Overrule::Logged(_), None) => Finding::warning("unusual", row.place, told)
                .fix(and_then(&hint, "correct a slip with `sward log correct`")),
            (false, _, None) => Finding::warning("unusual", row.place, told).fix(hint),
            (true, Overrule::Logged(entry), None) => Finding::error("implausible", row.place, told)
                .fix(and_then(&hint, &format!("if it is right, {}", say_so(entry)))),
            (true, Overrule::Never, _) => Finding::error("implausible", row.place, told).fix(hint),
            (true, Overrule::Sure(_, block), None) => Finding::error("implausible", row.place, told)
                .fix(and_then(&hint, &format!("if it is right, add `sure: {{by: name, on: date}}` to {block}"))),
        };
        let at_all = if outside { format!("{}; ", range(wide, row.unit)) } else { String::new() };
        self.findings.push(finding.accepts(format!("{at_all}usual range by {}", found.cite)));
        if outside { Plausibility::Outside } else { Plausibility::Unusual }
    }
}

/// Two things to do, the first of which may be a question.
fn and_then(first: &str, then: &str) -> String {
    if first.ends_with('?') { format!("{first} Or {then}") } else { format!("{first}; {then}") }
}

/// The first slip that explains the value; none for a ratio, which nobody wrote.
fn slip(row: &JudgedValue<'_>, usual: (f64, f64)) -> Option<String> {
    if row.unit == "times" {
        return None;
    }
    let fits = |(factor, _): &&Slip| row.value != 0.0 && within(row.value * factor, usual);
    let (factor, asks) = row.slips.iter().copied().flatten().find(fits)?;
    Some(format!("{} would be usual: {asks}", shown(row.value * factor, row.unit)))
}

/// Ends included, with slack for a unit that was converted.
fn within(value: f64, (least, most): (f64, f64)) -> bool {
    let slack = 1e-9 * most.abs().max(1.0);
    value >= least - slack && value <= most + slack
}

fn range((least, most): (f64, f64), unit: &str) -> String {
    match unit {
        "pH" => format!("{} to {}", shown(least, unit), trimmed(most)),
        "days before" if least < 0.0 => {
            format!("at most {} days before it, or {} days after", tidy(most), tidy(-least))
        }
        _ => format!("{} to {}", trimmed(least), shown(most, unit)),
    }
}

/// A number with its unit, where people name one.
pub(super) fn shown(value: f64, unit: &str) -> String {
    let number = tidy(value);
    match unit {
        "times" | "factor" => number,
        "pH" => format!("pH {number}"),
        "%" => format!("{number} %"),
        _ => format!("{number} {unit}"),
    }
}

/// Two decimals at most, and more below 1.
pub(super) fn tidy(value: f64) -> String {
    let decimals = if value.abs() >= 1.0 { 2 } else { 4 };
    let text = number_text(value, decimals);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_string() } else { text }
}
