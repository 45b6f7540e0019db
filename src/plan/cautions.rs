//! The cautions of a plan: each where plan or log makes it matter, with field and days.

use crate::balance::{Balance, FieldBalance};
use crate::check::{Contents, Field, Lot, Ready};
use crate::farm::{Endophyte, Use};
use crate::findings::Origin;
use crate::plan::answer::{Buy, Caution, CautionAt, FieldPlan, Go, LotTally, YearBudget};
use crate::plan::jobs::put_on;
use crate::record::{Entry, What};
use crate::tables::{Book, Of, Scope, topic};
use crate::units::{Quantity, number_text, trimmed};
use jiff::ToSpan;
use jiff::civil::Date;
use std::collections::BTreeMap;

/// What the cautions are found by.
pub(super) struct Farm<'x> {
    pub(super) ready: &'x Ready,
    pub(super) book: &'x Book<'x>,
    pub(super) balance: &'x Balance,
    pub(super) fields: &'x [FieldPlan],
    pub(super) lots: &'x [LotTally],
    /// What is still to buy.
    pub(super) buy: Option<&'x Buy>,
}

/// A field with what went or goes on it.
struct Ground<'x> {
    field: &'x Field,
    plan: &'x FieldPlan,
    treated: Vec<Treated<'x>>,
}

/// Nitrogen that went on in the last year, or is planned.
struct Treated<'x> {
    /// The litter; none of fertilizer.
    lot: Option<&'x Lot>,
    first: Date,
    last: Date,
    /// Available nitrogen, lb/ac.
    n: f64,
}

pub(super) fn sentences(book: &Book<'_>, topic: Of<String>, key: &str, large: bool) -> Vec<Caution> {
    book.all_words_of(topic, key, large)
        .into_iter()
        .map(|(about, words)| Caution { about, text: words.value, origin: Origin::Figure(words.cite), at: Vec::new() })
        .collect()
}

/// The cautions that fit the farm: those on animals and forage where a field, what goes on
/// it and the days make them matter, those on stacks where litter is left.
pub(super) fn of(farm: &Farm<'_>) -> Vec<Caution> {
    let Farm { ready, book, fields, lots, .. } = *farm;
    let spread = || fields.iter().filter(|f| !f.applications.is_empty());
    let grazed = spread().any(FieldPlan::may_be_grazed);
    let left: i64 = lots.iter().map(|l| l.left.0).sum();
    let ground = grounds(farm);
    let at = |find: &dyn Fn(&Farm<'_>, &Ground<'_>) -> Vec<CautionAt>| -> Vec<CautionAt> {
        // A grazing that is both planned and logged is one.
        let mut each: Vec<CautionAt> = Vec::new();
        for one in ground.iter().flat_map(|own| find(farm, own)) {
            if !each.contains(&one) {
                each.push(one);
            }
        }
        each
    };
    let on_fields = |mut caution: Caution| {
        caution.at = match caution.about.as_str() {
            "copper" => at(&copper),
            "tetany" => at(&tetany),
            "nitrate" => at(&nitrate),
            "toxic_fescue" => at(&toxic_fescue),
            "n_leaching" => at(&leaching),
            "biosecurity" => {
                caution.at = not_cleaned(ready);
                return Some(caution);
            }
            _ => return Some(caution),
        };
        (!caution.at.is_empty()).then_some(caution)
    };
    sentences(book, topic::CAUTION, "when", false)
        .into_iter()
        .filter(|c| match c.about.as_str() {
            "graze" | "graze_carcass" => grazed,
            "carcass_compost" => ready.lots.iter().any(|lot| lot.never_grazed.is_some()),
            "horses" => ready.herds.iter().any(|h| h.kind.to_lowercase().contains("horse")),
            "store" | "store_heat" => left > 0,
            _ => true,
        })
        .filter_map(on_fields)
        .collect()
}

/// The fields, each with the litter planned or of the last year's log, and the fertilizer
/// of that log.
fn grounds<'x>(farm: &Farm<'x>) -> Vec<Ground<'x>> {
    let Farm { ready, balance, fields, .. } = *farm;
    let since = ready.judged_from();
    let one = |weighed: &'x FieldBalance| {
        let plan = fields.iter().find(|plan| plan.id == weighed.field().id())?;
        let planned = plan.applications.iter().map(|a| Treated {
            lot: ready.lot(&a.lot),
            first: a.first,
            last: a.last,
            n: put_on(weighed, a).n,
        });
        let on_it = |what| ready.happened.on_field(&plan.id, what).filter(move |e| e.date >= since);
        let logged = on_it(What::Spread).chain(on_it(What::Fertilizer));
        let logged = logged.filter_map(|e| {
            let (lot, n) = match (e.what, e.grade, e.rate) {
                (What::Spread, _, _) => {
                    let per_ton = weighed.held.get(&e.id).map_or(0.0, |held| weighed.notes.value(held.per_ton.n));
                    let acres = e.acres.filter(|acres| *acres > 0.0).unwrap_or(weighed.acres);
                    (Some(ready.lot_of(e)?), if acres > 0.0 { e.amount.tons() / acres * per_ton } else { 0.0 })
                }
                (What::Fertilizer, Some(grade), Some(rate)) => (None, rate * grade.0[0] / 100.0),
                _ => return None,
            };
            Some(Treated { lot, first: e.date, last: e.date, n })
        });
        let bought = to_go_on(farm.buy, &plan.id);
        Some(Ground { field: weighed.field(), plan, treated: planned.chain(logged).chain(bought).collect() })
    };
    balance.fields.iter().filter_map(one).collect()
}

/// Nitrogen of the fertilizer that is still to buy for a field, by the days on which it goes on.
fn to_go_on<'x>(buy: Option<&Buy>, field: &str) -> Vec<Treated<'x>> {
    let Some(buy) = buy else { return Vec::new() };
    let goes = buy.fields.iter().filter(|own| own.id == field).flat_map(|own| &own.goes);
    let one = |go: &Go| {
        let day = go.after_cutting.or(go.from)?;
        let n = go.amounts.iter().map(|own| own.pounds * n_share(buy, &own.product)).sum();
        Some(Treated { lot: None, first: day, last: day, n })
    };
    goes.filter_map(one).collect()
}

/// Nitrogen in a pound of a product.
fn n_share(buy: &Buy, name: &str) -> f64 {
    buy.products.iter().find(|own| own.name == name).map_or(0.0, |own| own.analysis.n / 100.0)
}

impl Ground<'_> {
    fn at(&self, (first, last): (Date, Date), why: String) -> CautionAt {
        CautionAt { field: self.plan.id.clone(), first, last, why }
    }

    fn litter(&self) -> impl Iterator<Item = (&Treated<'_>, &Lot)> {
        self.treated.iter().filter_map(|own| Some((own, own.lot?)))
    }
}

/// Litter with more copper than a sheep's feed may hold, where sheep graze.
fn copper(farm: &Farm<'_>, ground: &Ground<'_>) -> Vec<CautionAt> {
    if !ground.field.sheep {
        return Vec::new();
    }
    let most = farm.book.get(topic::COPPER_IN_FEED, &Scope::new().animal("sheep"));
    let one = |(own, lot): (&Treated<'_>, &Lot)| {
        let held = match &lot.contents {
            Contents::Analysis(analysis) => analysis.copper.as_ref().map(|copper| copper.value.get()),
            Contents::Typical(_) => None,
        };
        let why = match (held, &most) {
            (Some(ppm), Some(most)) if ppm <= most.value.get() => return None,
            (Some(ppm), Some(most)) => format!(
                "lot {} holds {} ppm copper, sheep feed at most {}",
                lot.id,
                number_text(ppm, 0),
                trimmed(most.value.get())
            ),
            (Some(ppm), None) => format!("lot {} holds {} ppm copper", lot.id, number_text(ppm, 0)),
            (None, _) => format!("copper of lot {} was not analyzed", lot.id),
        };
        Some(ground.at((own.first, own.last), why))
    };
    ground.litter().filter_map(one).collect()
}

/// Litter before or while cool-season grass is grazed in spring, where the soil asks for no
/// potash.
fn tetany(farm: &Farm<'_>, ground: &Ground<'_>) -> Vec<CautionAt> {
    let Some(days) = farm.book.get(topic::TETANY_DAYS, &farm.ready.scope(ground.field)) else { return Vec::new() };
    if ground.field.written.soil_test.is_none() || ground.plan.need.k2o > 0.0 {
        return Vec::new();
    }
    let one = |(own, lot): (&Treated<'_>, &Lot)| {
        let year = own.last.year();
        let (opens, closes) = days.value.days_in(year)?;
        let grazed = ground.field.written.usage.value == Use::Pasture
            || ground.plan.grazed.iter().any(|(first, last)| *first <= closes && opens <= *last);
        // What goes on after the grass is grazed does not come up in it.
        let before = Date::new(year, 1, 1).is_ok_and(|january| january <= own.last) && own.first <= closes;
        let why = format!("potash of lot {}, where the soil test asks for none; grazed by {closes}", lot.id);
        (grazed && before).then(|| ground.at((own.first, own.last.min(closes)), why))
    };
    ground.litter().filter_map(one).collect()
}

/// A cutting or grazing while the grass holds the most nitrate after nitrogen went on.
fn nitrate(farm: &Farm<'_>, ground: &Ground<'_>) -> Vec<CautionAt> {
    let peak_days = |end: &'static str| {
        let figure = farm.book.get(topic::NITRATE_PEAK, &Scope::new().end(end))?;
        Some(crate::units::whole_down(figure.value.get()) as i32)
    };
    let (Some(from), Some(to)) = (peak_days("low"), peak_days("high")) else { return Vec::new() };
    let later = |day: Date, days: i32| day.checked_add(days.days()).unwrap_or(day);
    let peak = |own: &Treated<'_>| (later(own.first, from), later(own.last, to));
    let fed: Vec<&Treated<'_>> = ground.treated.iter().filter(|own| own.n > 0.0).collect();
    let one = |((first, last), how): ((Date, Date), &str)| {
        let met = fed.iter().filter(|own| peak(own).0 <= last && first <= peak(own).1);
        let mut met: Vec<((Date, Date), (Date, Date))> =
            met.map(|own| ((first.max(peak(own).0), last.min(peak(own).1)), (own.first, own.last))).collect();
        met.sort();
        // Loads of days near each other are one.
        let mut together: Vec<((Date, Date), (Date, Date))> = Vec::new();
        for (days, put) in met {
            match together.last_mut() {
                Some((own, puts)) if days.0 <= own.1 => {
                    *own = (own.0, own.1.max(days.1));
                    *puts = (puts.0.min(put.0), puts.1.max(put.1));
                }
                _ => together.push((days, put)),
            }
        }
        let say = |(at, put)| ground.at(at, format!("{how} {from} to {to} days after the nitrogen of {}", days(put)));
        together.into_iter().map(say).collect::<Vec<CautionAt>>()
    };
    let cut = ground.plan.cuttings.iter().map(|day| ((*day, *day), "cut"));
    cut.chain(ground.plan.grazed.iter().map(|days| (*days, "grazed"))).flat_map(one).collect()
}

/// Nitrogen on ground that a planner rated high for leaching.
fn leaching(_: &Farm<'_>, ground: &Ground<'_>) -> Vec<CautionAt> {
    let rated = ground.field.written.rating.as_ref();
    let Some((rated, leaches)) = rated.and_then(|rated| Some((rated, rated.n_leaching.as_ref()?))) else {
        return Vec::new();
    };
    let fed: Vec<&Treated<'_>> = ground.treated.iter().filter(|own| own.n > 0.0 && leaches.value.is_high()).collect();
    let (Some(first), Some(last)) = (fed.iter().map(|own| own.first).min(), fed.iter().map(|own| own.last).max())
    else {
        return Vec::new();
    };
    let n = number_text(fed.iter().map(|own| own.n).sum(), 0);
    let trips = if fed.len() == 1 { "one application".to_string() } else { format!("{} applications", fed.len()) };
    let why = format!("rated {} by {}; {n} lb/ac of nitrogen in {trips}", leaches.value.in_words(), rated.by);
    vec![ground.at((first, last), why)]
}

/// More nitrogen in a year than toxic fescue should get, and any in the days of the year on
/// which it does most harm there.
fn toxic_fescue(farm: &Farm<'_>, ground: &Ground<'_>) -> Vec<CautionAt> {
    let stand = ground.field.written.endophyte.as_ref().map(|stand| stand.value);
    let untested = match stand {
        Some(Endophyte::Toxic) => "",
        Some(Endophyte::Unknown) => "stand not tested; ",
        Some(Endophyte::Novel | Endophyte::Free) | None => return Vec::new(),
    };
    let mut all = too_much_on_toxic(farm, ground);
    all.extend(on_toxic_days(farm, ground));
    all.iter_mut().for_each(|at| at.why.insert_str(0, untested));
    all
}

/// Nitrogen in the days of the year on which it does most harm on toxic fescue, where the
/// place names them.
fn on_toxic_days(farm: &Farm<'_>, ground: &Ground<'_>) -> Vec<CautionAt> {
    let Some(days) = farm.book.get(topic::TOXIC_DAYS, &farm.ready.scope(ground.field)) else { return Vec::new() };
    let one = |own: &Treated<'_>| {
        let (opens, closes) = days.value.days_in(own.last.year())?;
        let meets = own.n > 0.0 && own.first <= closes && opens <= own.last;
        let why = format!("{} lb/ac of nitrogen between {opens} and {closes}", number_text(own.n, 0));
        meets.then(|| ground.at((own.first.max(opens), own.last.min(closes)), why))
    };
    ground.treated.iter().filter_map(one).collect()
}

fn too_much_on_toxic(farm: &Farm<'_>, ground: &Ground<'_>) -> Vec<CautionAt> {
    let most = farm.book.get(topic::N_TOXIC_FESCUE, &farm.ready.scope(ground.field));
    let Some(most) = most else { return Vec::new() };
    let one = |year: &YearBudget| {
        let bought = bought_n(farm, ground, year);
        let n = year.done.n + year.supplied.n + bought;
        if n <= most.value.get() {
            return None;
        }
        let inside = |own: &&Treated<'_>| year.first <= own.first && own.first <= year.last && own.n > 0.0;
        let own = || ground.treated.iter().filter(inside);
        let first = own().map(|own| own.first).min().unwrap_or(year.first.max(farm.ready.open_from()));
        let last = own().map(|own| own.last).max().unwrap_or(year.last.min(farm.ready.to));
        let amount = |lb: f64| number_text(lb, 0);
        let buy = if bought > 0.0 { format!(", {} of it fertilizer to buy,", amount(bought)) } else { String::new() };
        let span = days((year.first, year.last));
        let why = format!("{} lb/ac of nitrogen{buy} in {span}, at most {}", amount(n), trimmed(most.value.get()));
        Some(ground.at((first, last.max(first)), why))
    };
    ground.plan.years.iter().filter_map(one).collect()
}

/// Nitrogen of the fertilizer that is still to buy, lb/ac, as far as it is for a growing year.
fn bought_n(farm: &Farm<'_>, ground: &Ground<'_>, year: &YearBudget) -> f64 {
    let Some(buy) = farm.buy.filter(|_| year.bought_for) else { return 0.0 };
    let short = || ground.plan.years.iter().filter(|year| year.bought_for).map(|year| year.short.n);
    let (all, mine) = (short().fold(0.0, |sum, one| sum + one), buy.fields.iter().find(|own| own.id == ground.plan.id));
    let n: f64 = mine.iter().flat_map(|own| &own.mix).map(|own| own.pounds * n_share(buy, &own.product)).sum();
    if all > 0.0 { n * year.short.n / all } else { 0.0 }
}

/// Fields onto which a truck went that had been on another farm, where no cleaning is
/// logged between. Of entries of one day the log's order holds.
fn not_cleaned(ready: &Ready) -> Vec<CautionAt> {
    let mut entries: Vec<&Entry> = ready.judged().filter(|e| !e.word("truck").is_empty()).collect();
    entries.sort_by_key(|e| e.date);
    let mut elsewhere: BTreeMap<String, (&str, Date)> = BTreeMap::new();
    let mut at = Vec::new();
    for entry in entries {
        let truck = entry.word("truck").to_lowercase();
        if let Some((farm, day)) = elsewhere.get(&truck).filter(|_| entry.what.is_put_on()) {
            let why = format!("{} was at {farm} on {day}, and no cleaning is logged since", entry.word("truck"));
            let field = entry.field_id().to_string();
            at.push(CautionAt { field, first: entry.date, last: entry.date, why });
        }
        // Whoever cleans it, and each farm that is told of once.
        if entry.what == What::Clean || entry.what.is_put_on() {
            elsewhere.remove(&truck);
        }
        let other = ["to", "from"].map(|column| entry.word(column)).into_iter().find(|farm| !farm.is_empty());
        if let Some(farm) = other.filter(|_| entry.what.moves_litter()) {
            elsewhere.insert(truck, (farm, entry.date));
        }
    }
    at
}

/// A day, or the first and the last.
fn days((first, last): (Date, Date)) -> String {
    if first == last { first.to_string() } else { format!("{first} to {last}") }
}

impl Caution {
    /// What it is about, where it is one of a field and its days.
    #[must_use]
    pub fn danger(&self) -> &'static str {
        match self.about.as_str() {
            "copper" => "sheep and copper",
            "tetany" => "grass tetany",
            "nitrate" => "nitrate in the forage",
            "toxic_fescue" => "nitrogen on toxic fescue",
            "n_leaching" => "nitrogen leaching",
            _ => "",
        }
    }

    /// What matters on a field on a day or later: one line each, with its days.
    pub fn on_field<'a>(&'a self, field: &'a str, day: Date) -> impl Iterator<Item = String> + 'a {
        let about = self.danger();
        let own = self.at.iter().filter(move |at| at.field == field && day <= at.last && !about.is_empty());
        own.map(move |at| format!("{field}, {}: {about}: {}.", days((at.first, at.last)), at.why))
    }

    /// What it says, with the fields and days at which it matters.
    #[must_use]
    pub fn sentence(&self) -> String {
        let one = |at: &CautionAt| format!("{}, {} ({})", at.field, days((at.first, at.last)), at.why);
        let list: Vec<String> = self.at.iter().map(one).collect();
        if list.is_empty() { self.text.clone() } else { format!("{} Here: {}.", self.text, list.join("; ")) }
    }
}
