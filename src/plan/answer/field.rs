//! The answer for one field: types only.

use super::{Application, FieldKnown, FieldPart, GroundBudget, HeldBy, Past, PhosphorusRow, UndrawnPart, Used};
use crate::balance::{HerdPart, LimitKind, LotLimit, Needed, Npk, Window};
use crate::findings::{Known, Origin};
use crate::tables::Sourced;
use crate::units::{Days, Pounds, change_text};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// A field's yield goal.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Goal {
    /// Tons of dry hay, or of grain, per acre.
    pub tons: f64,
    /// Where it comes from.
    pub from: GoalFrom,
}

/// Where a yield goal comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum GoalFrom {
    /// The grower states it.
    Stated,
    /// The mean of the best of his latest years.
    PastYears,
    /// One number of a soil survey, in farm.yaml.
    Survey,
    /// The soils mapped under the field, by their acres.
    Soils,
}

/// A mapped soil under a field.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct SoilRow {
    /// Its name.
    pub name: String,
    /// Acres of the field under it.
    pub acres: f64,
    /// Its hay yield for the field's forage, tons/ac.
    pub tons: Option<f64>,
    /// Slope, percent.
    pub slope: Option<f64>,
    /// Drainage class.
    pub drainage: Option<String>,
    /// Hydrologic group.
    pub hydrologic_group: Option<String>,
    /// Whether water stands in it.
    pub wet: bool,
}

/// A keep-out that keeps less than the rule's full distance from a field.
#[derive(Clone, Debug, Serialize, Deserialize)]
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

/// A growing year of a field's forage that the plan touches.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct YearBudget {
    /// First day.
    pub first: Date,
    /// Last day.
    pub last: Date,
    /// What the crop asks for in it, lb/ac.
    pub need: Needed,
    /// Put on in it by what the log shows, lb per acre of the densest ground.
    pub done: Npk<f64>,
    /// What the plan puts on in it beyond that, lb/ac.
    pub supplied: Npk<f64>,
    /// Of what the log shows, what counts toward the need, lb/ac.
    #[serde(default)]
    pub done_usable: Npk<f64>,
    /// The same of the plan.
    #[serde(default)]
    pub supplied_usable: Npk<f64>,
    /// Of a field that is done in part, the part that is done and the rest.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub parted: Vec<GroundBudget>,
    /// Of the need, what log and plan do not meet, lb/ac.
    pub short: Needed,
    /// What they put on beyond it, lb/ac.
    pub over: Needed,
    /// Whether fertilizer is bought for it here: the plan holds over half of its days, or more than of any other.
    pub bought_for: bool,
}

impl YearBudget {
    /// Of the need, what the log has not met, lb/ac.
    #[must_use]
    pub fn left(&self) -> Npk<f64> {
        self.need.with(self.done_usable, |need, done| (need - done).max(0.0))
    }
}

/// One field.
#[derive(Clone, Debug, Serialize, Deserialize)]
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
    /// The yield goal.
    pub goal: Goal,
    /// The mapped soils under it, the widest first.
    pub soils: Vec<SoilRow>,
    /// The growing years that the plan touches, each by itself.
    #[serde(default)]
    pub years: Vec<YearBudget>,
    /// Needed in those of them that fertilizer is bought for, lb/ac.
    pub need: Needed,
    /// Put on in all of them by what the log shows, lb per acre of the densest ground.
    pub done: Npk<f64>,
    /// Of that need, what the log has not met, lb/ac.
    #[serde(default)]
    pub left: Needed,
    /// Supplied by the plan, lb/ac.
    pub supplied: Npk<f64>,
    /// All nitrogen that log and plan put on, available or not, lb/ac.
    #[serde(default)]
    pub total_n: f64,
    /// Still short, lb/ac: to be bought as fertilizer if wanted.
    pub short: Needed,
    /// Over the need of a growing year, lb/ac.
    pub over: Needed,
    /// Carried off by the forage in a year, lb/ac.
    pub removed: Needed,
    /// Phosphorus at a glance.
    pub phosphorus: PhosphorusRow,
    /// Nitrogen allowed, lb/ac of available N.
    pub n_allowed: f64,
    /// The limit on nitrogen that leaves the least room.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub n_used: Option<Used>,
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
    /// Windows that were over on the day of the plan.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub past: Vec<Past>,
    /// Litter that the log shows on days of the plan outside all its windows.
    #[serde(default, skip_serializing_if = "none_spread")]
    pub outside: Pounds,
    /// Litter that the log shows on the day of the plan, in windows that are still open.
    #[serde(default, skip_serializing_if = "none_spread")]
    pub today: Pounds,
    /// Litter that the log shows since the plan's first day.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub logged: Option<LoggedLitter>,
    /// Ground that is done in a window that is still open, and what is left.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub part: Option<FieldPart>,
    /// A part that is done, and nobody knows which.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub undrawn: Option<UndrawnPart>,
    /// Planned cuttings.
    pub cuttings: Vec<Date>,
    /// Planned grazing, first and last day.
    pub grazed: Vec<(Date, Date)>,
    /// How long stock stays off after litter, where stock grazes it and nobody says when.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stock_waits: Option<Sourced<Days>>,
    /// Since when stock is on it by a log that does not say when it left.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stock_since: Option<Date>,
    /// Last day of its soil test, where that comes before the plan's: no litter after it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub test_until: Option<Date>,
    /// The first day from which the tables name a season of its forage, where that comes after
    /// the plan's first day: a plan goes by the figures of that day, and so knows of none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seasons_from: Option<Date>,
    /// Acres on which fertilizer and fed hay of the log lie in the growing years that the plan
    /// touches, where they are a part of the field.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub besides_on: Option<f64>,
    /// Whether sheep graze it.
    pub sheep: bool,
    /// The herds that graze it, each with the part of its forage that grows here.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub stock: Vec<HerdPart>,
    /// Lime, where the soil test and the place say how much.
    pub lime: Option<LimeRow>,
    /// Soil loss in tons per acre and year, where slope and soil are given.
    pub soil_loss: Option<f64>,
    /// Zinc and copper that log and plan put on.
    pub metals: Vec<MetalRow>,
    /// Where soil phosphorus and potassium are heading: an estimate.
    pub outlook: Vec<Outlook>,
    /// How the figures behind these numbers are known.
    #[serde(default)]
    pub known: FieldKnown,
}

/// Litter that went on a field by the log.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LoggedLitter {
    /// How much.
    pub pounds: Pounds,
    /// The last day.
    pub last: Date,
}

/// Whether there is none of it.
fn none_spread(pounds: &Pounds) -> bool {
    pounds.0 == 0
}

impl FieldPlan {
    /// What log and plan put on in the growing years of the plan, lb/ac.
    #[must_use]
    pub fn put_on(&self) -> Npk<f64> {
        self.done.with(self.supplied, |done, put| done + put)
    }

    /// What of log and plan counts toward the need, lb/ac: by the log, and by the plan.
    #[must_use]
    pub fn usable(&self) -> [Npk<f64>; 2] {
        let sum = |of: fn(&YearBudget) -> Npk<f64>| {
            self.years.iter().fold(Npk::default(), |sum: Npk<f64>, year| sum.with(of(year), |a, b| a + b))
        };
        [sum(|year| year.done_usable), sum(|year| year.supplied_usable)]
    }

    /// What the forage carries off in as many years, lb/ac.
    #[must_use]
    pub fn carried_off(&self) -> Needed {
        let years = self.years.len().max(1) as f64;
        Needed::new(self.removed.map(|lb| lb * years), self.removed.known())
    }

    /// Whether log and plan put on more phosphate than the forage carries off.
    #[must_use]
    pub fn gains_p2o5(&self) -> bool {
        self.removed.known().p2o5 && self.put_on().p2o5 > self.carried_off().p2o5
    }

    /// Acres in which water stands, by the soil map.
    #[must_use]
    pub fn wet_acres(&self) -> f64 {
        // Not `sum`, which makes -0 of nothing.
        self.soils.iter().filter(|s| s.wet).map(|s| s.acres).fold(0.0, |sum, acres| sum + acres)
    }

    /// Why the field gets no litter, or no more of it, a sentence a reason; else empty.
    #[must_use]
    pub fn why_none(&self) -> Vec<String> {
        let reasons = self.why_no_more();
        let Some(logged) = &self.logged else { return reasons };
        let more = |reason: String| format!("{} went on by {}; {reason}", logged.pounds.in_tons(), logged.last);
        reasons.into_iter().enumerate().map(|(at, reason)| if at == 0 { more(reason) } else { reason }).collect()
    }

    fn why_no_more(&self) -> Vec<String> {
        if !self.applications.is_empty() {
            return Vec::new();
        }
        if !self.bars.is_empty() {
            return self.bars.iter().map(|b| format!("{}; {}", b.why, b.fix)).collect();
        }
        let p = &self.phosphorus;
        vec![match self.held.by {
            by if let Some(undrawn) = self.undrawn_and(by) => undrawn,
            LimitKind::Nitrogen if self.need.n <= 0.0 => "the stand needs no added nitrogen".to_string(),
            LimitKind::Phosphorus if p.allowed.is_some_and(|a| a <= 0.0) => p.why_none(self.removed.p2o5),
            by if self.held.below_even => {
                let rate = crate::units::at_most(self.held.rate.unwrap_or_default(), 2);
                let bank = p.bank.map_or(String::new(), |bank| format!("; {}", bank.sentence()));
                format!("{} allows {rate} tons/ac, less than the spreader's lowest even rate{bank}", by.word())
            }
            LimitKind::Value if self.logged.is_some() => self.need.costs_more("more litter"),
            LimitKind::Value => self.need.costs_more("litter"),
            LimitKind::NoSeason if let Some(since) = self.stock_since => format!(
                "stock has been on it since {since}: when it leaves, `sward log head --field {} --head 0`, then re-run \
                 the plan",
                self.id
            ),
            LimitKind::NoSeason if let Some(until) = self.test_until => {
                format!("no season of its forage is open by {until}, when its soil test expires; sample the soil again")
            }
            LimitKind::NoSeason if let Some(day) = self.seasons_from => format!(
                "the tables name a season of its forage from {day} on, and this plan goes by the figures of its first \
                 day: a plan that begins then knows it"
            ),
            LimitKind::NoSeason if !self.past.is_empty() => "every window of this plan is over".to_string(),
            LimitKind::NoSeason => "no season of its forage falls into the plan, clear of grazing".to_string(),
            by => format!("limited by {}", by.word()),
        }]
    }
}

/// Lime for a field, tons per acre.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LimeRow {
    /// All that the formula asks for, less what the log shows.
    pub needed: f64,
    /// Lime that went on since the soil was sampled, by the log.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub logged: Option<f64>,
    /// As much of it as goes on at once.
    pub at_once: f64,
    /// Months before more may follow.
    pub again_months: Option<f64>,
}

/// Zinc or copper of the plan on one field.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MetalRow {
    /// zinc or copper.
    pub metal: String,
    /// Put on in the plan's year, lb/ac.
    pub load: f64,
    /// Soil-test value.
    pub soil: Option<f64>,
    /// Value from which no litter goes on.
    pub stop: Option<f64>,
    /// Years of this load until that value, all of it counted as staying.
    pub years: Option<f64>,
    /// How the figures behind the years are known.
    #[serde(default)]
    pub known: Known,
}

/// Where a soil test is heading under this plan, year after year.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Outlook {
    /// P or K.
    pub of: String,
    /// Units of the soil test gained (or lost) in a year.
    pub per_year: f64,
    /// Unit of the soil test.
    pub unit: String,
    /// Class it would reach next, when it moves towards one.
    pub next_class: Option<String>,
    /// Years until then.
    pub years: Option<f64>,
    /// How the figures behind it are known.
    #[serde(default)]
    pub known: Known,
}

/// Beyond so many years a forecast by one year's figures says nothing: our own choice.
const FORESEEN: f64 = 30.0;

/// How many years, a begun one as a whole one.
#[must_use]
pub fn years_ahead(years: f64) -> String {
    let whole = (years - 1e-9).ceil().max(1.0);
    if whole > FORESEEN { format!("over {FORESEEN}") } else { format!("{whole}") }
}

/// What forecasts past the years foreseen are shown as, said once below them; none where all end before.
#[must_use]
pub fn past_foreseen(years: impl IntoIterator<Item = f64>) -> Option<String> {
    let far = years.into_iter().any(|years| years - 1e-9 > FORESEEN);
    far.then(|| format!("over {FORESEEN}: the forecast stops after {FORESEEN} years."))
}

impl Outlook {
    /// What is gained in a year, with the sign of how it is known.
    #[must_use]
    pub fn a_year(&self) -> String {
        change_text(self.per_year, 1) + self.known.sign()
    }

    /// The next class and in how many years it is reached.
    #[must_use]
    pub fn next(&self) -> Option<String> {
        let (class, years) = (self.next_class.as_ref()?, self.years?);
        Some(if years < 1.0 { format!("{class} this year") } else { format!("{class} in {}", years_ahead(years)) })
    }

    /// The same where no heading speaks of years.
    #[must_use]
    pub fn next_in_words(&self) -> Option<String> {
        let unit = match self.years? {
            years if years < 1.0 => "",
            years if years <= 1.0 + 1e-9 => " year",
            _ => " years",
        };
        self.next().map(|next| next + unit)
    }
}

/// Ground that one thing keeps litter off.
#[derive(Clone, Debug, Serialize, Deserialize)]
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

/// Why a field is barred.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct BarRow {
    /// What is wanting, in a few words.
    pub wants: String,
    /// The reason.
    pub why: String,
    /// What would lift it.
    pub fix: String,
    /// Who or what says so.
    pub origin: Origin,
}

/// The limits of one lot on a field.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct LotLimits {
    /// Which lot.
    pub lot: String,
    /// Its limits, smallest first.
    pub limits: Vec<LotLimit>,
}

/// The limit that would hold next.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct NextLimit {
    /// Which.
    pub kind: LimitKind,
    /// Most tons per acre that it allows.
    pub rate: f64,
    /// Tons per acre above the limit that holds.
    pub further: f64,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_begun_year_is_a_year_and_no_forecast_goes_beyond_30() {
        for (years, said) in [(1.0, "1"), (1.43, "2"), (30.0, "30"), (30.1, "over 30")] {
            assert_eq!(years_ahead(years), said);
        }
        let class = Some("high".to_string());
        let on = |years| {
            let (per_year, known) = (1.0, Known::Read);
            Outlook { of: "P".into(), per_year, unit: "index".into(), next_class: class.clone(), years, known }
        };
        for (years, said) in [(0.4, "this year"), (1.0, "in 1 year"), (1.4, "in 2 years"), (480.0, "in over 30 years")]
        {
            assert_eq!(on(Some(years)).next_in_words(), Some(format!("high {said}")));
        }
        assert_eq!(on(None).next(), None);
    }
}
