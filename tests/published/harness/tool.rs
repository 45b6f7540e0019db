//! The program's smaller tools: fertilizer by price and by the pound, sheets,
//! loads and pans of a spreader.

use crate::compare::{Answer, kept};
use crate::{Ask, Outcome};
use serde::Deserialize;
use sward::balance::Npk;
use sward::calibrate::{Pattern, acres_run, load_rate, sheet_rate};
use sward::plan::{Product, cheapest, dollars_per_pound, implied};

/// Fertilizer on offer, and what is to be met with it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Fertilizer {
    products: Vec<Offer>,
    /// Pounds, on an acre or as a whole.
    #[serde(default)]
    need: Need,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Offer {
    name: String,
    n: Option<String>,
    p2o5: Option<String>,
    k2o: Option<String>,
    price: Option<String>,
}

#[derive(Deserialize, Default)]
#[serde(default, deny_unknown_fields)]
struct Need {
    n: f64,
    p2o5: f64,
    k2o: f64,
}

/// Pounds in a ton, to turn the program's contents and prices of a ton into those of a pound.
const TON: f64 = 2_000.0;

impl Offer {
    fn product(&self) -> Outcome<Product> {
        let share = |content: &Option<String>| match content {
            Some(text) => kept("content", text).map(|(lb, _)| lb / TON),
            None => Ok(0.0),
        };
        let holds = Npk { n: share(&self.n)?, p2o5: share(&self.p2o5)?, k2o: share(&self.k2o)? };
        // A mix of one product does not rest on its price.
        let price = self.price.as_deref().unwrap_or("1 $/ton");
        Ok(Product { name: self.name.clone(), holds, price: kept("price of a ton", price)?.0 / TON })
    }
}

pub(crate) fn fertilizer(given: &Fertilizer) -> Outcome<Ask> {
    let products = given.products.iter().map(Offer::product).collect::<Outcome<Vec<Product>>>()?;
    let priced = given.products.iter().all(|p| p.price.is_some());
    let Need { n, p2o5, k2o } = given.need;
    let need = Npk { n, p2o5, k2o };
    let mix = cheapest(&products, &need);
    let prices = implied(&products, &need);
    let of_first = products.first().and_then(|p| dollars_per_pound(p.price, &p.holds, None).0);
    Ok(Box::new(move |name| {
        let price = match name {
            "price of N" => prices.n,
            "price of P2O5" => prices.p2o5,
            "price of K2O" => prices.k2o,
            "cost" => Some(mix.cost),
            "a pound of all three" => of_first,
            _ => {
                let place = products.iter().position(|p| name == format!("pounds of {}", p.name));
                let pounds = place.and_then(|i| mix.pounds.get(i)).ok_or("asked are prices, cost or pounds")?;
                return Ok(Answer::Number(*pounds, "lb".to_string()));
            }
        };
        let price = price.filter(|_| priced).ok_or("the products give no such price")?;
        Ok(Answer::Number(price, if name == "cost" { "$" } else { "$/lb" }.to_string()))
    }))
}

/// What lay on a sheet.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Sheet {
    weight: String,
    square_feet: f64,
}

pub(crate) fn sheet(given: &Sheet) -> Outcome<(f64, &'static str)> {
    let rate = sheet_rate(kept("weight", &given.weight)?.0, given.square_feet);
    Ok((rate.ok_or("the program gives no rate")?, "tons/ac"))
}

/// A load on the ground that it covered.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Load {
    load: String,
    width: String,
    distance: String,
}

pub(crate) fn load(given: &Load) -> Outcome<Ask> {
    let feet = |text: &str| kept("length", text).map(|(feet, _)| feet);
    let acres = acres_run(feet(&given.width)?, feet(&given.distance)?).ok_or("the program gives no area")?;
    let rate = load_rate(kept("tons", &given.load)?.0, acres).ok_or("the program gives no rate")?;
    Ok(Box::new(move |name| match name {
        "acres" => Ok(Answer::Number(acres, "ac".to_string())),
        "rate" => Ok(Answer::Number(rate, "tons/ac".to_string())),
        _ => Err("asked of a load are acres and rate".to_string()),
    }))
}

/// A row of pans.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Pans {
    spacing: String,
    weights: Vec<f64>,
}

/// The swath by the half-rate rule.
pub(crate) fn half_rate(given: &Pans) -> Outcome<(f64, &'static str)> {
    let pattern = Pattern::new(kept("length", &given.spacing)?.0, given.weights.clone());
    Ok((pattern.and_then(|p| p.half_rate()).ok_or("the program gives no swath")?, "ft"))
}
