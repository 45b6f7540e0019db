//! The farm, ready to be calculated with: every name known, every boundary
//! sound, every distance with its source.

use crate::check::aged::Aged;
use crate::check::bar::Bar;
use crate::check::calibration::Calibration;
use crate::check::days::Work;
use crate::check::done_parts::DoneGround;
use crate::check::on_hand::Counting;
use crate::check::stock::{Coming, Count, Outlet, gains};
use crate::check::used::{Cutting, Grazing};
use crate::farm::{Analysis, Dated, Herd, Person, Prices, Rating, Shop, Soil, Spreader, Stored, WrittenField};
use crate::findings::{At, Origin, Place};
use crate::record::{Entry, Happened, What};
use crate::tables::p_rule::PRule;
use crate::tables::{Book, SaidFigure, Scope, Sourced, Tables};
use crate::units::{LbPerTon, Pounds, Quantity};
use geo::{Coord, Geometry, MultiPolygon};
use jiff::civil::Date;
use std::sync::Arc;

/// Where litter is that nobody works in.
pub(super) const SURFACE: &str = "surface";
/// Where litter is that is worked in.
pub(super) const INCORPORATED: &str = "incorporated";

/// What a field alone says: what grows, for what, and on which soil.
pub(super) fn words(field: &WrittenField) -> Scope<'_> {
    let texture = field.texture.as_ref().map(|texture| texture.value.key());
    Scope::new().forage(&field.forage.value).usage(field.usage.value.key()).texture(texture)
}

/// A farm that passed every check.
#[derive(Clone, Debug)]
pub struct Ready {
    /// Name of the farm.
    pub name: String,
    /// A remark on it.
    pub note: Option<String>,
    /// Key of the place whose rules hold.
    pub place: String,
    /// Name of that place.
    pub place_name: String,
    /// Who decides there.
    pub decides: String,
    /// Region of the place.
    pub region: Option<String>,
    /// County.
    pub county: Option<String>,
    /// A large operation under the federal rule.
    pub large: bool,
    /// Whom to call.
    pub people: Vec<Person>,
    /// First day of the plan.
    pub from: Date,
    /// Last day of the plan.
    pub to: Date,
    /// The day as of which it is made.
    pub as_of: Date,
    /// Whether it is the farm of a calendar year that is looked back at.
    pub is_past: bool,
    /// Prices, when given.
    pub prices: Option<Prices>,
    /// Fertilizer that can be bought, and what litter keeps over a year.
    pub shop: Shop,
    /// The spreader.
    pub spreader: Spreader,
    /// What was measured behind it, where that is written down.
    pub calibration: Option<Calibration>,
    /// Least width in feet of a strip that gets a run of its own.
    pub least_strip_ft: f64,
    /// How much longer a road is than the straight line.
    pub detour: Detour,
    /// The lots, in the order written.
    pub lots: Vec<Lot>,
    /// How fast the litter gets spread, where it is kept, what makes it.
    pub work: Work,
    /// Litter that is still to come, by day.
    pub coming: Vec<Coming>,
    /// Who takes litter, dearest first.
    pub outlets: Vec<Outlet>,
    /// The fields, in the order written.
    pub fields: Vec<Arc<Field>>,
    /// Herds and flocks.
    pub herds: Vec<Herd>,
    /// What litter keeps away from.
    pub keepouts: Vec<KeepOut>,
    /// Who mapped the soils, where a map is given.
    pub soils_by: Option<String>,
    /// The soils under the fields.
    pub soils: Vec<Soil>,
    /// What was done since the plan's first day.
    pub happened: Happened,
    /// Figures of the farm's own.
    pub said: Vec<SaidFigure>,
}

/// A lot of litter.
#[derive(Clone, Debug)]
pub struct Lot {
    /// Id.
    pub id: String,
    /// Kind, as a key of the tables.
    pub kind: String,
    /// Where it came from.
    pub from: Option<String>,
    /// What the last count found.
    pub on_hand: Pounds,
    /// The last count.
    pub count: Count,
    /// Where those come from, unless the grower says them outright.
    pub counting: Option<Counting>,
    /// How the tons were counted.
    pub counted: Option<String>,
    /// Where it lies.
    pub stored: Stored,
    /// Since when it lies there, where that is said.
    pub since: Option<Date>,
    /// What it holds.
    pub contents: Contents,
    /// Every analysis that is known, the oldest first.
    pub analyses: Dated<Analysis>,
    /// Last day on which its analysis may stand, with the figure that says so.
    pub good_until: Option<Aged>,
    /// Last day on which a plan may rely on its analysis at all.
    pub planned_until: Option<Aged>,
    /// Last day on which it may lie outside uncovered.
    pub uncovered_until: Option<Aged>,
    /// Why none of it may be planned.
    pub barred: Option<Bar>,
    /// Whether the grower wants it used before the others.
    pub first: bool,
    /// Fields on which none of it may go.
    pub not_on: Vec<String>,
    /// Whether none of it may go where stock grazes.
    pub not_grazed: bool,
    /// Why its kind never goes where stock grazes, by the tables.
    pub never_grazed: Option<Sourced<String>>,
    /// Why its kind is neither sold nor brought as litter, by the tables.
    pub never_sold: Option<Sourced<String>>,
    /// Where its stack is.
    pub stack: Option<Coord<f64>>,
    /// Where its entry starts.
    pub place: Place,
}

/// What is known of a lot's contents.
#[derive(Clone, Debug, PartialEq)]
pub enum Contents {
    /// A laboratory's analysis.
    Analysis(Box<Analysis>),
    /// The tables' typical contents, because there is no analysis yet.
    Typical(Box<Typical>),
}

/// Typical contents in pounds per ton as received.
#[derive(Clone, Debug, PartialEq)]
pub struct Typical {
    /// Total nitrogen.
    pub total_n: Sourced<LbPerTon>,
    /// Phosphate.
    pub p2o5: Sourced<LbPerTon>,
    /// Potash.
    pub k2o: Sourced<LbPerTon>,
}

/// A field.
#[derive(Clone, Debug)]
pub struct Field {
    /// As written.
    pub written: WrittenField,
    /// Its boundary in longitude and latitude.
    pub shape: MultiPolygon<f64>,
    /// Its gate.
    pub gate: Option<Coord<f64>>,
    /// Its cuttings by day: those of the log, and those still planned.
    pub cuttings: Vec<Cutting>,
    /// Its grazing by first day: that of the log, and that planned.
    pub grazed: Vec<Grazing>,
    /// Whether stock grazes it, or will: by its use, its herds, its planned days of
    /// grazing and those of the log within a year of the plan.
    pub stock: bool,
    /// What bars it outright.
    pub bars: Vec<Bar>,
    /// Last day on which its soil test may stand, with the figure that says so.
    pub good_until: Option<Aged>,
    /// The day on which its soil test expired, where it counts no more.
    pub test_expired: Option<Date>,
    /// Why its rating is too old, where it is; the plan goes by it all the same, and says so.
    pub rating_expired: Option<String>,
    /// The row of the place's phosphorus rule by which it is planned without a soil test that
    /// counts.
    pub untested: Option<Sourced<PRule>>,
    /// The same of one whose soil test counts until a day within the plan: the row by which it is
    /// planned from the day after.
    pub after_test: Option<Sourced<PRule>>,
    /// Most applications of litter in the year.
    pub applications: usize,
    /// Whether sheep graze it.
    pub sheep: bool,
    /// `surface`, or `incorporated` where litter is worked in.
    pub placement: &'static str,
    /// Days until it is worked in, as the tables step them; `none` on top.
    pub days: String,
    /// Whether its phosphorus goes by the planner's rating.
    pub rating: Option<Rating>,
    /// The ground that was done by the log, where entries say it.
    pub done: DoneGround,
    /// The first day of what it goes by: its soil test, its rating, what grows on it. An
    /// entry of the log before it is judged by what was in force on its own day.
    pub in_force_since: Date,
}

/// Something to keep away from, with its distance.
#[derive(Clone, Debug)]
pub struct KeepOut {
    /// Kind, as a key.
    pub kind: String,
    /// Name.
    pub name: String,
    /// Distance in feet; 0 keeps litter off the thing itself only.
    pub feet: f64,
    /// Who says so.
    pub origin: Origin,
    /// The distance before any consent.
    pub full: f64,
    /// Who consented to the smaller distance, where the rule takes that.
    pub consent: Option<String>,
    /// Where it lies above fields, and the rule asks less there.
    pub above: Option<Above>,
    /// Whether it lies so far from every boundary that this was reported by itself.
    pub far: bool,
    /// The same for fields whose litter is worked in, where the rule asks
    /// another distance there.
    pub worked_in: Option<Box<KeepOut>>,
    /// Geometry in longitude and latitude.
    pub geometry: Geometry<f64>,
}

/// A smaller distance from fields that do not drain to a thing.
#[derive(Clone, Debug)]
pub struct Above {
    /// Ids of the fields.
    pub fields: Vec<String>,
    /// Who saw it.
    pub by: String,
    /// Distance in feet.
    pub feet: f64,
    /// Who says so.
    pub origin: Origin,
}

impl KeepOut {
    /// The keep-out as it is for one field: the rule may ask another distance
    /// where litter is worked in.
    #[must_use]
    pub fn of(&self, field: &Field) -> &KeepOut {
        self.worked_in.as_deref().filter(|_| field.placement == INCORPORATED).unwrap_or(self)
    }

    /// The distance in feet from one field, and who says so.
    #[must_use]
    pub fn from(&self, field: &Field) -> (f64, &Origin) {
        let own = self.of(field);
        match own.above(field) {
            Some(above) => (above.feet, &above.origin),
            None => (own.feet, &own.origin),
        }
    }

    /// Why one field keeps less than the full distance, when it does.
    #[must_use]
    pub fn eased(&self, field: &Field) -> Option<String> {
        let own = self.of(field);
        match own.above(field) {
            Some(above) => Some(format!("it lies above the field ({})", above.by)),
            None => own.consent.as_ref().map(|by| format!("consent of {by}")),
        }
    }

    fn above(&self, field: &Field) -> Option<&Above> {
        self.above.as_ref().filter(|above| above.fields.iter().any(|id| id == field.id()))
    }
}

/// Miles by road for a mile in a straight line.
#[derive(Clone, Debug, PartialEq)]
pub struct Detour {
    /// How many.
    pub times: f64,
    /// Who says so.
    pub origin: Origin,
}

impl Lot {
    /// The analysis by which an entry of a day counts: the newest sampled up to that
    /// day; before the first one, the first.
    #[must_use]
    pub fn analysis_on(&self, day: Date) -> Option<&Analysis> {
        self.analyses.on(day)
    }

    /// The analysis of a day, where it is another than that in force.
    #[must_use]
    pub fn other_analysis_on(&self, day: Date) -> Option<&Analysis> {
        let Contents::Analysis(now) = &self.contents else { return None };
        self.analysis_on(day).filter(|then| self.analyses.iter().len() > 1 && then.sampled.value != now.sampled.value)
    }

    /// Ammonium nitrogen, where the analysis tells it from the rest.
    #[must_use]
    pub fn ammonium(&self) -> Option<&At<LbPerTon>> {
        match &self.contents {
            Contents::Analysis(analysis) => analysis.ammonium_n.as_ref(),
            Contents::Typical(_) => None,
        }
    }

    /// Why none of it may go on a field, by the grower's own word.
    #[must_use]
    pub fn kept_from(&self, field: &Field) -> Option<&'static str> {
        let written = &field.written;
        if self.not_on.iter().any(|f| f == field.id()) {
            return Some("the lot is kept off the field");
        }
        if self.not_grazed && field.stock {
            return Some("the lot is kept off ground that is grazed");
        }
        if self.never_grazed.is_some() && field.stock {
            return Some("litter of its kind never goes on ground that is or will be grazed");
        }
        let only = &written.only_lots;
        (!only.is_empty() && !only.iter().any(|l| l.value == self.id)).then_some("the field takes other lots only")
    }
}

/// The smallest part of a field, in acres, where the grower says none. Our own choice.
const LEAST_ACRES: f64 = 2.0;

impl Ready {
    /// The smallest part of a field, in acres, that may be spread by itself.
    #[must_use]
    pub fn least_part(&self) -> f64 {
        self.spreader.least_part.as_ref().map_or(LEAST_ACRES, |acres| acres.value.get())
    }

    /// Day of the last calibration, by farm.yaml or calibration.yaml.
    #[must_use]
    pub fn calibrated(&self) -> Option<Date> {
        let said = self.spreader.calibrated.as_ref().map(|c| c.value);
        said.max(self.calibration.as_ref().map(|c| c.last))
    }

    /// The tables of the farm's place on the first day that is still to plan, with the
    /// farm's own figures where they hold none.
    #[must_use]
    pub fn book<'a>(&'a self, tables: &'a Tables) -> Option<Book<'a>> {
        let book = tables.book(&self.place, self.open_from().min(self.to)).map(|book| book.with(&self.said));
        if self.is_past { book.map(Book::reaching_back) } else { book }
    }

    /// The first day on which anything can still be planned: that of the plan,
    /// or the day as of which it is made, where that is later. A year that is looked
    /// back at is held to the limits of all its days.
    #[must_use]
    pub fn open_from(&self) -> Date {
        if self.is_past { self.from } else { self.from.max(self.as_of) }
    }

    /// The last day on which litter can still be planned on a field: that of the plan, or
    /// that of its soil test, where it expires before and the place has no row for the field then.
    /// One that is over already is a bar.
    #[must_use]
    pub fn open_until(&self, field: &Field) -> Date {
        self.test_ends_within(field).filter(|_| field.after_test.is_none()).unwrap_or(self.to)
    }

    /// The last day of a field's soil test, where the plan goes on after it.
    #[must_use]
    pub fn test_ends_within(&self, field: &Field) -> Option<Date> {
        let last = field.good_until.as_ref().map(|aged| aged.last)?;
        (!self.is_past && self.open_from() <= last && last < self.to).then_some(last)
    }

    /// The first day on which a field is planned without the soil test that counted before.
    #[must_use]
    pub fn goes_on_untested(&self, field: &Field) -> Option<Date> {
        let last = self.test_ends_within(field).filter(|_| field.after_test.is_some())?;
        last.tomorrow().ok()
    }

    /// The lot that an entry of the log is about.
    #[must_use]
    pub fn lot_of(&self, entry: &Entry) -> Option<&Lot> {
        self.lot(&entry.lot.as_ref()?.value)
    }

    /// The lot with this id.
    #[must_use]
    pub fn lot(&self, id: &str) -> Option<&Lot> {
        self.lots.iter().find(|l| l.id == id)
    }

    /// The field with this id.
    #[must_use]
    pub fn field(&self, id: &str) -> Option<&Arc<Field>> {
        self.fields.iter().find(|f| f.written.id.value == id)
    }

    /// What every question about a field says.
    #[must_use]
    pub fn scope<'a>(&'a self, field: &'a Field) -> Scope<'a> {
        words(&field.written).large(self.large).placement(field.placement).region(self.region.as_ref())
    }

    /// The same, for what grew on it on a day.
    #[must_use]
    pub fn scope_on<'a>(&'a self, field: &'a Field, day: Date) -> Scope<'a> {
        let written = &field.written;
        self.scope(field).forage(&written.forage_on(day).value).usage(written.usage_on(day).key())
    }

    /// What questions about a field's soil test say.
    #[must_use]
    pub fn soil_scope<'a>(&'a self, field: &'a Field) -> Scope<'a> {
        let extractant = field.written.soil_test.as_ref().map(|test| &test.extractant.value);
        Scope::new().extractant(extractant).region(self.region.as_ref())
    }

    /// Pounds of a lot that were spread, hauled off, brought or cleaned out
    /// since it was counted last.
    #[must_use]
    pub fn moved(&self, lot: &str, what: What) -> Pounds {
        self.since_count(lot).filter(|e| e.what == what).map(|e| e.amount).sum()
    }

    /// Entries that moved litter of a lot since it was counted last, whatever
    /// days a plan is made for.
    pub fn since_count<'a>(&'a self, lot: &'a str) -> impl Iterator<Item = &'a Entry> {
        let count = self.lot(lot).map(|lot| lot.count).unwrap_or_default();
        self.happened.moves_of(lot).filter(move |e| count.comes_before(e.date))
    }

    /// Dollars of a ton of a lot that is left over: what litter sells for, without
    /// bounds; where outlets are named, what none of them takes brings nothing, and so
    /// does what is never sold. None without prices.
    #[must_use]
    pub fn worth_left(&self, lot: &str) -> Option<f64> {
        let prices = self.prices.as_ref()?;
        let sells = self.outlets.is_empty() && self.lot(lot).is_none_or(|lot| lot.never_sold.is_none());
        Some(prices.litter_sold.as_ref().filter(|_| sells).map_or(0.0, |price| price.value.get()))
    }

    /// Pounds of a lot that lie there now: the last count and every entry after
    /// it. Below zero where more went out than was there.
    #[must_use]
    pub fn on_hand(&self, lot: &Lot) -> Pounds {
        self.since_count(&lot.id).fold(lot.on_hand, |sum, e| if gains(e) { sum + e.amount } else { sum - e.amount })
    }

    /// Pounds of litter spread on a field within some days, first and last
    /// included.
    #[must_use]
    pub fn spread_on(&self, field: &str, (first, last): (Date, Date)) -> Pounds {
        let spread = self.happened.on_field(field, What::Spread);
        spread.filter(|e| (first..=last).contains(&e.date)).map(|e| e.amount).sum()
    }

    /// Entries of the log that fall into the plan: what is reported of them one by one.
    /// No limit and no stock goes by it; those have days of their own.
    pub fn done(&self) -> impl Iterator<Item = &Entry> {
        self.happened.iter().filter(|e| e.date >= self.from && e.date <= self.to)
    }

    /// Whether a tally lists what an entry did to its lot: on a day of the plan, or since
    /// the lot was counted last.
    #[must_use]
    pub fn lists(&self, entry: &Entry) -> bool {
        let since = || self.lot_of(entry).is_some_and(|lot| lot.count.comes_before(entry.date));
        (self.from..=self.to).contains(&entry.date) || (!self.is_past && entry.what.moves_litter() && since())
    }
}

impl Field {
    /// What questions about the availability of a lot's nitrogen say: in its
    /// first year, in a season where the place tells seasons apart.
    #[must_use]
    pub fn availability<'a>(&'a self, lot: &'a Lot, large: bool, season: Option<&'a str>) -> Scope<'a> {
        let scope = Scope::new().material(&lot.kind).placement(self.placement).days(&self.days);
        scope.year("1").large(large).season(season)
    }

    /// Id of the field.
    #[must_use]
    pub fn id(&self) -> &str {
        &self.written.id.value
    }
}
