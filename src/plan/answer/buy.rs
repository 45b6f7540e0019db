//! The answer on fertilizer still to buy: types only.

use crate::balance::Npk;
use crate::findings::Cite;
use crate::plan::answer::part::Uncounted;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// Fertilizer for the whole farm.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Buy {
    /// Every product of farm.yaml, with what the plan takes of it.
    pub products: Vec<Bought>,
    /// The fields that are short of something, in the order of farm.yaml.
    pub fields: Vec<FieldBuy>,
    /// The mixes if no litter were spread, each ground of a field that is done in part by itself.
    #[serde(default)]
    pub fields_without: Vec<FieldBuy>,
    /// Ground that is not done, and lacks more than is counted here.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub uncounted: Vec<Uncounted>,
    /// Dollars a pound of what stays short: what the products make it, or `prices`.
    #[serde(default)]
    pub pound: Npk<f64>,
    /// What a pound of nitrogen left short costs on fields where that is the hay that is lost.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub hay_lost: Vec<HayLost>,
    /// What the farm pays with this plan.
    pub with_litter: Bill,
    /// What it pays when no litter is spread and all of it is sold.
    pub without_litter: Bill,
    /// Whether some need without litter waits for a season after the plan.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub waits_without: bool,
    /// Whether the farm has litter of a kind that is never sold.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub keeps_unsold: bool,
    /// The least product that one trip can spread, lb/ac; below it no trip is planned.
    #[serde(default)]
    pub least: f64,
    /// Pounds on the whole farm that stay unmet with this plan: no product has them, or no
    /// more is allowed.
    #[serde(default)]
    pub unmet_with: Npk<f64>,
    /// The same without litter.
    #[serde(default)]
    pub unmet_without: Npk<f64>,
    /// Dollars that the litter saves: the one total less the other.
    pub saved: f64,
}

/// What a pound of nitrogen left short costs on a field, by the hay that is lost.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct HayLost {
    /// Id of the field.
    pub id: String,
    /// Dollars a pound.
    pub pound: f64,
    /// Pounds of hay that a pound of nitrogen still brings.
    pub hay: f64,
    /// The papers of that.
    pub cite: Cite,
}

/// A product.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Bought {
    /// Its name.
    pub name: String,
    /// Percent of each nutrient, as on the bag.
    pub analysis: Npk<f64>,
    /// Dollars a ton.
    pub price: f64,
    /// Tons to buy.
    pub tons: f64,
    /// Dollars, to the cent.
    pub dollars: f64,
}

/// Fertilizer for one field, pounds per acre.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FieldBuy {
    /// Id of the field.
    pub id: String,
    /// Acres it is bought for: those to spread litter on.
    pub acres: f64,
    /// What is short.
    pub short: Npk<f64>,
    /// The mix.
    pub mix: Vec<Amount>,
    /// What comes with the mix beyond what is short.
    pub over: Npk<f64>,
    /// What the mix does not meet.
    pub unmet: Npk<f64>,
    /// Of what is short, what no season left in the plan's days can take: it is not bought.
    #[serde(default, skip_serializing_if = "is_none")]
    pub waits: Npk<f64>,
    /// Of what is short, what no trip is made for: it would be less than a spreader can put
    /// down evenly.
    #[serde(default, skip_serializing_if = "is_none")]
    pub too_little: Npk<f64>,
    /// Where some waits, the first day of the forage's next season.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub next_season: Option<Date>,
    /// Whether that is lost: the next season belongs to another growing year, with a need of
    /// its own.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub lost: bool,
    /// Most P2O5 that the limit still allows after litter; none where phosphate is
    /// not capped.
    pub most_p2o5: Option<f64>,
    /// Most nitrogen that the shares of the seasons still allow after litter; none where
    /// seasons have no shares.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub most_n: Option<f64>,
    /// Most nitrogen at once, where litter and a trip of this on one day together would pass
    /// it: they go on on different days.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub apart: Option<f64>,
    /// When it goes on.
    pub goes: Vec<Go>,
    /// Products left out, because they hold phosphate and it is capped here.
    pub left_out: Vec<String>,
}

fn is_none(of: &Npk<f64>) -> bool {
    *of == Npk::default()
}

/// Pounds per acre of a product.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Amount {
    /// Which product.
    pub product: String,
    /// Pounds per acre.
    pub pounds: f64,
}

/// Once over the field with fertilizer, or several times alike.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Go {
    /// The season whose share of nitrogen it takes, where the place has one.
    pub season: Option<String>,
    /// Not before this day.
    pub from: Option<Date>,
    /// The planned cutting that it follows.
    pub after_cutting: Option<Date>,
    /// How often: more than once where one time would be too much.
    pub times: u32,
    /// What goes on in all of these together.
    pub amounts: Vec<Amount>,
}

/// What a farm pays, each part to the cent.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Bill {
    /// Fertilizer.
    pub fertilizer: f64,
    /// Going over the fields with it.
    pub fertilizer_spreading: f64,
    /// What stays short, by the price of a pound.
    #[serde(default)]
    pub short: f64,
    /// What litter already meets of a growing year that nothing is bought for, by the price of a
    /// pound: it is taken off.
    #[serde(default)]
    pub ahead: f64,
    /// Loading and spreading litter; none without prices.
    pub litter_spreading: Option<f64>,
    /// Hauling litter.
    pub hauling: Option<f64>,
    /// Jobs and their loads, besides what tons cost; none where the farm gives no price of them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub trips: Option<f64>,
    /// What litter not spread sells for.
    pub litter_left: Option<f64>,
    /// What outlets pay; none where the farm names none.
    #[serde(default)]
    pub litter_sold: Option<f64>,
    /// Litter that is brought for money; none where there is none.
    #[serde(default)]
    pub litter_bought: Option<f64>,
    /// Getting rid of what must leave and nobody takes; none where farm.yaml says no price of it.
    #[serde(default)]
    pub disposal: Option<f64>,
    /// All of it, less what the litter brings.
    pub total: f64,
}
