//! The answer: types only. The auditor and every view read these, and
//! `plan --json` prints them; names stay, new ones may be added.

use crate::balance::{Basis, Haul, Limit, LimitKind, Npk, Window};
use crate::findings::{Cite, Finding, Origin};
use crate::units::Pounds;
use jiff::civil::Date;
use serde::Serialize;

/// Version of the answer's form. Raised when a name changes its meaning.
pub const SCHEMA: u32 = 1;

/// A whole plan.
#[derive(Clone, Debug, Serialize)]
pub struct Plan {
    /// Version of this form.
    pub schema: u32,
    /// Name of the farm.
    pub farm: String,
    /// Key of the place whose rules hold.
    pub place: String,
    /// Name of that place.
    pub place_name: String,
    /// Who decides there.
    pub decides: String,
    /// First day.
    pub from: Date,
    /// Last day.
    pub to: Date,
    /// The fields, in the order of farm.yaml.
    pub fields: Vec<FieldPlan>,
    /// The lots, in the order of farm.yaml.
    pub lots: Vec<LotTally>,
    /// Dollars; none when the farm gives no prices.
    pub money: Option<Money>,
    /// What the leftover could mean.
    pub leftover: Leftover,
    /// What to take care of.
    pub cautions: Vec<Caution>,
    /// Remarks for whoever checks the limits.
    pub planner_notes: Vec<Caution>,
    /// When the applicator stops.
    pub stops: Vec<Caution>,
    /// What to write down of every application.
    pub record_items: Vec<Caution>,
    /// What a nutrient management plan must hold, item by item.
    pub items: Vec<PlanItem>,
    /// What the checks found on the way.
    pub findings: Vec<Finding>,
    /// Every figure from memory that the plan rests on, in order.
    pub from_memory: Vec<Cite>,
    /// Every figure that the farm gives itself and the plan rests on.
    pub said: Vec<Cite>,
}

/// A keep-out that keeps less than the rule's full distance from a field.
#[derive(Clone, Debug, Serialize)]
pub struct Eased {
    /// Its name.
    pub name: String,
    /// Its kind.
    pub kind: String,
    /// Feet that are kept.
    pub feet: f64,
    /// Feet that the rule asks for otherwise.
    pub instead_of: f64,
    /// Why: who consented, or who saw that it lies above.
    pub why: String,
    /// Who says how much is kept.
    pub origin: Origin,
}

/// One field.
#[derive(Clone, Debug, Serialize)]
pub struct FieldPlan {
    /// Id.
    pub id: String,
    /// Name.
    pub name: String,
    /// Forage.
    pub forage: String,
    /// Use.
    pub usage: String,
    /// Acres inside the boundary.
    pub gross_acres: f64,
    /// Acres to spread on, down to the hundredth.
    pub acres: f64,
    /// What the setbacks take, by feature.
    pub kept_off: Vec<KeptOff>,
    /// Keep-outs that take less than the rule's full distance, and why.
    pub eased: Vec<Eased>,
    /// How many parts are left blank because the swath does not fit into them.
    pub slivers: usize,
    /// Acres of those. Inside the boundary = kept off + these + to spread on,
    /// but for what the last is taken down.
    pub sliver_acres: f64,
    /// What goes on.
    pub applications: Vec<Application>,
    /// Needed in the plan's year, lb/ac.
    pub need: Npk<f64>,
    /// Already supplied by what the log shows, lb/ac.
    pub done: Npk<f64>,
    /// Supplied by the plan, lb/ac.
    pub supplied: Npk<f64>,
    /// Still short, lb/ac: to be bought as fertilizer if wanted.
    pub short: Npk<f64>,
    /// Over the need, lb/ac.
    pub over: Npk<f64>,
    /// Carried off by the forage, lb/ac.
    pub removed: Npk<f64>,
    /// Phosphorus at a glance.
    pub phosphorus: PhosphorusRow,
    /// Nitrogen allowed, lb/ac of available N.
    pub n_allowed: f64,
    /// What bars it outright.
    pub bars: Vec<BarRow>,
    /// The limit that holds the field.
    pub held: HeldBy,
    /// The next limit above the one that holds, for the field's main lot.
    pub next: Option<NextLimit>,
    /// Every limit by lot, smallest first.
    pub limits: Vec<LotLimits>,
    /// When litter may go on.
    pub windows: Vec<Window>,
    /// Planned cuttings.
    pub cuttings: Vec<Date>,
    /// Planned grazing, first and last day.
    pub grazed: Vec<(Date, Date)>,
    /// Whether sheep graze it.
    pub sheep: bool,
    /// Lime, where the soil test and the place say how much.
    pub lime: Option<LimeRow>,
    /// Soil loss in tons per acre and year, where slope and soil are given.
    pub soil_loss: Option<f64>,
    /// Zinc and copper that the plan puts on.
    pub metals: Vec<MetalRow>,
    /// Where soil phosphorus and potassium are heading: an estimate.
    pub outlook: Vec<Outlook>,
}

impl FieldPlan {
    /// Why the field gets no litter, a sentence a reason; empty when it gets
    /// some.
    #[must_use]
    pub fn why_none(&self) -> Vec<String> {
        if !self.applications.is_empty() {
            return Vec::new();
        }
        if !self.bars.is_empty() {
            return self.bars.iter().map(|b| format!("{}; {}", b.why, b.mend)).collect();
        }
        let p = &self.phosphorus;
        vec![match self.held.by {
            Held::Nitrogen if self.need.n <= 0.0 => "the stand needs no nitrogen from outside".to_string(),
            Held::Phosphorus if p.allowed.is_some_and(|a| a <= 0.0) => match (p.basis, &p.rating) {
                (Basis::SoilTest, _) => {
                    "no phosphate allowed: the soil test asks for none and nobody has rated the field".to_string()
                }
                (Basis::Removal, _) => "no phosphate allowed: the field rests from an earlier spreading".to_string(),
                (_, Some(rating)) => format!("no phosphate allowed: rated {rating}"),
                (_, None) => "no phosphate allowed by its soil test".to_string(),
            },
            by if self.held.below_even => {
                let rate = crate::units::number_text(self.held.rate.unwrap_or_default(), 2);
                format!("{} allows {rate} tons/ac, less than the spreader's lowest even rate", by.word())
            }
            Held::Value => "litter would cost more than it saves".to_string(),
            Held::NoSeason => "no season of its forage falls into the plan, clear of grazing".to_string(),
            by => format!("held by {}", by.word()),
        }]
    }
}

/// Lime for a field, tons per acre.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LimeRow {
    /// All that the formula asks for.
    pub needed: f64,
    /// As much of it as goes on at once.
    pub at_once: f64,
    /// Months before more may follow.
    pub again_months: Option<f64>,
}

/// Zinc or copper of the plan on one field.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MetalRow {
    /// zinc or copper.
    pub metal: &'static str,
    /// Put on in the plan's year, lb/ac.
    pub load: f64,
    /// Soil-test value.
    pub soil: Option<f64>,
    /// Value from which no litter goes on.
    pub stop: Option<f64>,
    /// Years of this load until that value, all of it counted as staying.
    pub years: Option<f64>,
}

/// Where a soil test is heading under this plan, year after year.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Outlook {
    /// P or K.
    pub of: &'static str,
    /// Units of the soil test gained (or lost) in a year.
    pub per_year: f64,
    /// Unit of the soil test.
    pub unit: String,
    /// Class it would reach next, when it moves towards one.
    pub next_class: Option<String>,
    /// Years until then.
    pub years: Option<f64>,
}

/// Ground that one thing keeps litter off.
#[derive(Clone, Debug, Serialize)]
pub struct KeptOff {
    /// Its name.
    pub name: String,
    /// Its kind.
    pub kind: String,
    /// Distance in feet.
    pub feet: f64,
    /// Acres of this field charged to it.
    pub acres: f64,
    /// Who says so.
    pub origin: Origin,
}

/// One application.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Application {
    /// Which lot.
    pub lot: String,
    /// In which season.
    pub season: String,
    /// First day.
    pub first: Date,
    /// Last day.
    pub last: Date,
    /// The planned cutting that it follows, where one falls into the season.
    pub after_cutting: Option<Date>,
    /// Rate in tons per acre.
    pub rate: f64,
    /// Litter in whole pounds.
    pub pounds: Pounds,
    /// Loads, the last one counted as one.
    pub loads: i64,
    /// Pounds in the last load.
    pub last_load: Pounds,
    /// The way from the stack; none where it is not known.
    pub haul: Option<Haul>,
    /// The last day on which the lot's analysis may stand.
    pub analysis_good_until: Option<Date>,
}

/// Phosphorus of a field.
#[derive(Clone, Debug, Serialize)]
pub struct PhosphorusRow {
    /// Soil-test value.
    pub soil: Option<f64>,
    /// Its unit.
    pub unit: Option<String>,
    /// Its class.
    pub class: Option<String>,
    /// The planner's rating.
    pub rating: Option<String>,
    /// What caps phosphate.
    pub basis: Basis,
    /// Phosphate allowed, lb/ac; none where nitrogen alone caps the rate.
    pub allowed: Option<f64>,
    /// Phosphate planned, with what is already on, lb/ac.
    pub planned: f64,
    /// Last year in which the field then rests from phosphate, where the plan
    /// puts on several years of removal.
    pub rests_through: Option<i16>,
}

/// One item that a nutrient management plan must hold.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PlanItem {
    /// Its key in the tables.
    pub item: String,
    /// What it is.
    pub text: String,
    /// Whether the farm folder holds it.
    pub state: ItemState,
    /// What is there, or what is wanting.
    pub remark: String,
    /// The figure that asks for it.
    pub cite: Cite,
}

/// Whether an item is there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ItemState {
    /// In the farm folder or in this plan.
    There,
    /// Too old.
    Stale,
    /// Not in the farm folder.
    Missing,
    /// Kept outside the farm folder; the planner looks.
    Outside,
}

impl ItemState {
    /// The word for people.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            ItemState::There => "there",
            ItemState::Stale => "stale",
            ItemState::Missing => "missing",
            ItemState::Outside => "outside",
        }
    }
}

/// Why a field is barred.
#[derive(Clone, Debug, Serialize)]
pub struct BarRow {
    /// The reason.
    pub why: String,
    /// What would lift it.
    pub mend: String,
    /// Who or what says so.
    pub origin: Origin,
}

/// The limits of one lot on a field.
#[derive(Clone, Debug, Serialize)]
pub struct LotLimits {
    /// Which lot.
    pub lot: String,
    /// Its limits, smallest first.
    pub limits: Vec<Limit>,
}

/// What holds a field where it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Held {
    /// Barred outright.
    Barred,
    /// No ground left to spread on.
    NoGround,
    /// No season falls into the plan.
    NoSeason,
    /// The crop's nitrogen need.
    Nitrogen,
    /// The share of nitrogen that one season may take.
    SeasonShare,
    /// The most nitrogen in one application.
    NAtOnce,
    /// Phosphorus.
    Phosphorus,
    /// Zinc in a year.
    Zinc,
    /// Copper in a year.
    Copper,
    /// The place's most in a year.
    YearMost,
    /// The grower's own most.
    GrowerMost,
    /// The place's most at once.
    ApplicationMost,
    /// The spreader's highest even rate.
    SpreaderMost,
    /// No litter is left.
    TonsOnHand,
    /// More litter would cost more than it saves.
    Value,
}

impl Held {
    /// The name for people; a limit goes by the name it has in the balance.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Held::Barred => "barred",
            Held::NoGround => "no ground left",
            Held::NoSeason => "no season in plan",
            Held::Nitrogen => LimitKind::Nitrogen.word(),
            Held::SeasonShare => LimitKind::SeasonShare.word(),
            Held::NAtOnce => LimitKind::NAtOnce.word(),
            Held::Phosphorus => LimitKind::Phosphorus.word(),
            Held::Zinc => LimitKind::Zinc.word(),
            Held::Copper => LimitKind::Copper.word(),
            Held::YearMost => LimitKind::YearMost.word(),
            Held::GrowerMost => LimitKind::GrowerMost.word(),
            Held::ApplicationMost => LimitKind::ApplicationMost.word(),
            Held::SpreaderMost => LimitKind::SpreaderMost.word(),
            Held::TonsOnHand => "tons on hand",
            Held::Value => "no gain in more",
        }
    }
}

/// What holds a field, with its number.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct HeldBy {
    /// Which limit.
    pub by: Held,
    /// Tons per acre of the field's main lot that it allows in the year (for
    /// a limit on one application: in that application).
    pub rate: Option<f64>,
    /// True when it allows some litter, but less than the spreader's lowest
    /// even rate.
    pub below_even: bool,
}

/// The limit that would hold next.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct NextLimit {
    /// Which.
    pub kind: LimitKind,
    /// Most tons per acre that it allows.
    pub rate: f64,
    /// Tons per acre above the limit that holds.
    pub further: f64,
}

/// The tally of one lot, to the pound.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LotTally {
    /// Id.
    pub id: String,
    /// Kind.
    pub kind: String,
    /// On hand when the plan starts.
    pub opening: Pounds,
    /// Brought since.
    pub brought: Pounds,
    /// Spread since.
    pub spread: Pounds,
    /// Hauled off since.
    pub hauled: Pounds,
    /// On hand now: opening + brought - spread - hauled.
    pub on_hand: Pounds,
    /// Planned to be spread.
    pub planned: Pounds,
    /// Left: on hand - planned.
    pub left: Pounds,
    /// Last day on which its analysis may stand.
    pub analysis_good_until: Option<Date>,
    /// True when the plan rests on typical contents.
    pub typical: bool,
}

/// Dollars of the plan.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Money {
    /// Fertilizer that the litter replaces.
    pub replaced: f64,
    /// Loading, spreading and hauling.
    pub spreading: f64,
    /// Fertilizer still to buy for what is short.
    pub still_to_buy: f64,
    /// Fertilizer to buy if no litter were spread.
    pub without_litter: f64,
    /// What the leftover would sell for.
    pub leftover: f64,
}

/// What the leftover could mean.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Leftover {
    /// All lots, in pounds.
    pub pounds: Pounds,
    /// Average planned rate, tons per acre.
    pub average_rate: f64,
    /// Acres more that the leftover would cover at that rate.
    pub acres_more: f64,
    /// Acres of this farm that could take more, had there been litter.
    pub acres_wanting: f64,
    /// Dollars at the shed, when prices are given.
    pub sale_value: Option<f64>,
}

/// A caution with its source.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Caution {
    /// What it is about.
    pub about: String,
    /// The sentence.
    pub text: String,
    /// The figure behind it, or the line that raises it.
    pub origin: Origin,
}
