//! The answer: types only. The auditor and every view read these, and
//! `plan --json` prints them; names stay, new ones may be added.

mod buy;
mod choice;
mod field;
mod grounds;
mod known;
mod leftover;
mod made;
mod part;
mod parted;
mod past;
mod phosphorus;
mod stock;
mod sure;
mod years;

pub use buy::{Amount, Bill, Bought, Buy, FieldBuy, Go, HayLost};
pub use choice::{Certified, ChoiceRow, DayWorth, InTime, LimitCost, LoadWorth, NextBest, Proof, Swap};
pub use field::{
    BarRow, Eased, FieldPlan, Goal, GoalFrom, KeptOff, LimeRow, LoggedLitter, LotLimits, MetalRow, NextLimit, Outlook,
    SoilRow, YearBudget, past_foreseen, years_ahead,
};
pub use known::FieldKnown;
pub use leftover::{Keeps, LeftLot, Leftover, Like};
pub use made::{Made, TablesMark};
pub use part::{FieldPart, GroundBudget, Uncounted, UndrawnPart};
pub use parted::{InParts, PartOf, PartedField};
pub use past::Past;
pub use phosphorus::{
    Banking, OtherWay, PhosphorusCaution, PhosphorusRow, PhosphorusRule, RatedRow, RatedWith, ScoreClass, Used,
};
pub use stock::{ByWhen, ComingRow, Leaves, MustGo, OutletRow, Sale};
pub use sure::{Band, ContentSure, FieldSure, LimitSure, LotSure, SHORT_BY, Spread, SpreadFrom, Sure, YearSure};
pub use years::{Leaving, YearField, YearLot, YearRow};

use crate::balance::{Haul, LimitKind, Needed, Npk};
use crate::check::Counting;
use crate::findings::{Cite, Finding, Origin};
use crate::units::Pounds;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// Version of the answer's form. Raised when a name changes its meaning.
pub const SCHEMA: u32 = 5;

/// A whole plan.
#[derive(Clone, Debug, Serialize, Deserialize)]
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
    /// How the phosphorus risk of a field is rated there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rates_with: Option<RatedWith>,
    /// First day.
    pub from: Date,
    /// Last day.
    pub to: Date,
    /// The day as of which it is made.
    pub as_of: Date,
    /// What it was made from and by.
    pub made: Made,
    /// The fields, in the order of farm.yaml.
    pub fields: Vec<FieldPlan>,
    /// Fields that the plan does in parts, each of which stands among the fields; none where all
    /// are done whole.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub in_parts: Option<InParts>,
    /// The lots, in the order of farm.yaml.
    pub lots: Vec<LotTally>,
    /// Dollars; none when the farm gives no prices.
    pub money: Option<Money>,
    /// How good the choice is, and what it rests on.
    pub choice: ChoiceRow,
    /// Fertilizer still to buy; none when the farm names no products.
    #[serde(default)]
    pub buy: Option<Buy>,
    /// What the leftover could mean.
    pub leftover: Leftover,
    /// Litter that is to come within the plan, by day.
    #[serde(default)]
    pub coming: Vec<ComingRow>,
    /// What outlets are to take.
    #[serde(default)]
    pub sales: Vec<Sale>,
    /// What outlets took by the log, of the most that they take.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub outlets: Vec<OutletRow>,
    /// What must be gone by when.
    #[serde(default)]
    pub by_when: Vec<ByWhen>,
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
    /// Who mapped the soils, where a map is given.
    pub soils_by: Option<String>,
    /// Every figure from memory that the plan rests on, in order.
    pub from_memory: Vec<Cite>,
    /// Every figure that was printed for another use, place or condition.
    #[serde(default)]
    pub applied: Vec<Cite>,
    /// Every figure that is common practice.
    #[serde(default)]
    pub common_practice: Vec<Cite>,
    /// Every figure that the farm gives itself and the plan rests on.
    pub said: Vec<Cite>,
    /// What of the litter's phosphate and potash counts toward the need, where not all does.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub shares: Vec<NeedShare>,
    /// What a pound of nutrient costs, in each lot that goes on and in each product.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub per_pound: Vec<PerPound>,
}

/// What a pound of usable nutrient costs on the field.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PerPound {
    /// The lot or the product.
    pub of: String,
    /// Whether it is litter.
    pub litter: bool,
    /// Dollars of a ton: of litter spread and hauled, with what it would have sold for; of a
    /// product its price.
    pub a_ton: f64,
    /// Usable pounds in a ton.
    pub usable: Npk<f64>,
    /// Dollars a pound of all three together.
    pub all: Option<f64>,
    /// Dollars a pound of each, parted by what a pound of each is worth by `prices`.
    pub each: Npk<Option<f64>>,
}

/// A share of a nutrient in litter that counts toward the need of the first year.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct NeedShare {
    /// P2O5 or K2O.
    pub nutrient: String,
    /// The lots.
    pub lots: Vec<String>,
    /// The share.
    pub share: f64,
    /// Its papers.
    pub cite: Cite,
}

impl NeedShare {
    /// In a sentence.
    #[must_use]
    pub fn sentence(&self) -> String {
        let NeedShare { nutrient, lots, share, cite } = self;
        format!(
            "Of the {nutrient} in {}, {} % counts toward the need; every limit counts all of it ({}, {})",
            lots.join(", "),
            crate::units::number_text(share * 100.0, 0),
            cite.figure,
            cite.known.word()
        )
    }
}

impl Plan {
    /// The field of farm.yaml that one of the plan's is, or is a part of.
    #[must_use]
    pub fn whole_of<'a>(&'a self, id: &'a str) -> &'a str {
        let parted = self.in_parts.as_ref().and_then(|all| all.whole_of(id));
        parted.map_or(id, |(whole, _)| whole.id.as_str())
    }

    /// What log and plan put on all fields, and what the forage carries off in the growing
    /// years of the plan, lb: not known where that of any field is not.
    #[must_use]
    pub fn on_and_off(&self) -> (Npk<f64>, Needed) {
        let all = |of: &dyn Fn(&FieldPlan) -> Npk<f64>| {
            let own = self.fields.iter().map(|field| of(field).map(|lb| lb * field.acres));
            own.fold(Npk::default(), |sum: Npk<f64>, own| sum.with(own, |a, b| a + b))
        };
        let known = self.fields.iter().map(|field| field.removed.known());
        let known = known.fold(Needed::default().known(), |all, own| all.with(own, |a, b| a && b));
        (all(&FieldPlan::put_on), Needed::new(all(&|field| *field.carried_off()), known))
    }
}

/// One application.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Application {
    /// Which lot.
    pub lot: String,
    /// In which season.
    pub season: String,
    /// First day.
    pub first: Date,
    /// Last day.
    pub last: Date,
    /// The day from which enough of its lot is there, where that is later than the
    /// first day: what is there before goes where it is due earlier.
    #[serde(default)]
    pub litter_from: Option<Date>,
    /// The planned cutting that it follows, where one falls into the season.
    pub after_cutting: Option<Date>,
    /// Rate in tons per acre.
    pub rate: f64,
    /// Acres of the rest of a field that is done in part, where it goes on those alone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rest_acres: Option<f64>,
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

/// One item that a nutrient management plan must hold.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
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
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
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

/// What holds a field, with its number.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct HeldBy {
    /// Which limit.
    pub by: LimitKind,
    /// First and last day over which it is counted; none of one application.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub days: Option<(Date, Date)>,
    /// Whether the log put on something in those days.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub logged: bool,
    /// Tons per acre of the field's main lot that it allows in the year (for
    /// a limit on one application: in that application).
    pub rate: Option<f64>,
    /// True when it allows some litter, but less than the spreader's lowest
    /// even rate.
    pub below_even: bool,
    /// Another limit that leaves as little.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub also: Option<AlsoHolds>,
}

/// A limit that leaves as little as the one that holds.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct AlsoHolds {
    /// Which limit.
    pub by: LimitKind,
    /// First and last day over which it is counted; none of one application.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub days: Option<(Date, Date)>,
}

/// The tally of one lot, to the pound.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LotTally {
    /// Id.
    pub id: String,
    /// Kind.
    pub kind: String,
    /// What the last count found.
    pub opening: Pounds,
    /// The day of that count; none where nobody says.
    #[serde(default)]
    pub counted_on: Option<Date>,
    /// Cleaned out into it since.
    pub made: Pounds,
    /// Brought since.
    pub brought: Pounds,
    /// Spread since.
    pub spread: Pounds,
    /// Hauled off since.
    pub hauled: Pounds,
    /// On hand now: opening + made + brought - spread - hauled. Below 0 where more went out
    /// by the log than was there: then the plan uses nothing of it before that is made up.
    pub on_hand: Pounds,
    /// To come within the plan.
    #[serde(default)]
    pub coming: Pounds,
    /// Planned to be spread.
    pub planned: Pounds,
    /// To be taken by outlets.
    #[serde(default)]
    pub sold: Pounds,
    /// Left: on hand + coming - planned - sold, and nothing where that is below 0.
    pub left: Pounds,
    /// Last day on which its analysis may stand.
    pub analysis_good_until: Option<Date>,
    /// True when the plan rests on typical contents.
    pub typical: bool,
    /// Where the opening tons come from; none where the grower says them
    /// outright.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub counting: Option<Counting>,
}

impl LotTally {
    /// What lies there once the plan is spread and nothing of it sold.
    #[must_use]
    pub fn after_spreading(&self) -> Pounds {
        (self.on_hand + self.coming - self.planned).max(Pounds(0))
    }

    /// How much more went out by the log than was there.
    #[must_use]
    pub fn overdrawn(&self) -> Pounds {
        Pounds(-self.on_hand.0).max(Pounds(0))
    }
}

/// Dollars of the plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Money {
    /// Fertilizer that the litter replaces.
    pub replaced: f64,
    /// How much of that lies in growing years for which nothing is bought yet.
    #[serde(default)]
    pub replaced_later: f64,
    /// Loading, spreading and hauling, jobs and loads.
    pub spreading: f64,
    /// Fertilizer still to buy for what is short.
    pub still_to_buy: f64,
    /// What of that no trip or product brings: it is bought by nobody, and stays short.
    #[serde(default, skip_serializing_if = "no_dollars")]
    pub stays_short: f64,
    /// Fertilizer to buy for the same growing years if no litter were spread; it does not
    /// depend on the litter.
    pub without_litter: f64,
    /// What the leftover would sell for.
    pub leftover: f64,
    /// What the outlets pay.
    #[serde(default)]
    pub sold: f64,
    /// What litter costs that is to be brought.
    #[serde(default)]
    pub bought: f64,
    /// Getting rid of what must leave and nobody takes.
    #[serde(default)]
    pub disposal: f64,
    /// The same of what is done; none where nothing is.
    #[serde(default)]
    pub done: Option<MoneyDone>,
}

/// Whether they are none.
fn no_dollars(dollars: &f64) -> bool {
    *dollars == 0.0
}

/// Dollars of the work done since the plan's first day, by the log. All else in
/// `Money` is still to come.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MoneyDone {
    /// Fertilizer that what was put on has replaced.
    pub replaced: f64,
    /// Loading, spreading and hauling, jobs and loads.
    pub spreading: f64,
    /// What litter brought that left the farm.
    pub sold: f64,
    /// What litter cost that came to it.
    pub bought: f64,
}

/// A caution with its source.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Caution {
    /// What it is about.
    pub about: String,
    /// The sentence.
    pub text: String,
    /// The figure behind it, or the line that raises it.
    pub origin: Origin,
    /// Where it matters; of a caution that holds for the whole farm nowhere in particular.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub at: Vec<CautionAt>,
}

/// What a note is about that says how a soil test rises.
pub const TREND_UP: &str = "trend_up";
/// What a note is about that says how a soil test falls.
pub const TREND_DOWN: &str = "trend_down";

impl Caution {
    /// Whether it says how far the forecast of a soil test can be trusted: it stands where that does.
    #[must_use]
    pub fn of_trend(&self) -> bool {
        [TREND_UP, TREND_DOWN].contains(&self.about.as_str())
    }

    /// The sentence, with the sign of how it is known and what that means.
    #[must_use]
    pub fn marked(&self) -> String {
        format!("{}{}", self.text, self.origin.known().in_brackets())
    }
}

/// Where and when a caution matters.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CautionAt {
    /// The field.
    pub field: String,
    /// First day.
    pub first: Date,
    /// Last day.
    pub last: Date,
    /// Why, in a few words.
    pub why: String,
}
