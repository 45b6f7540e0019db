//! The spreader, prices, days, houses and herds.

use crate::check::plausible::rows::{DECIMAL, FEET, Judge, JudgedValue, Overrule, TONS, shown, tidy};
use crate::farm::{Fertilizer, Prices, Shop, Spreader, Written, WrittenDays, WrittenHouse};
use crate::findings::At;
use crate::tables::{Scope, Thing};
use crate::units::Quantity;

/// `load` is a usual load of the spreader.
pub(super) fn all(written: &Written, load: Option<f64>, rows: &mut Judge<'_>) {
    if let Some(prices) = &written.prices {
        quoted(prices, rows);
    }
    shop(&written.shop, rows);
    if let Some(days) = &written.work.days {
        pace(days, load, rows);
    }
    for house in &written.work.houses {
        birds(house, rows);
    }
    for storage in &written.work.storage {
        let whose = format!("storage {}", storage.name.value);
        let sure = Overrule::Sure(storage.sure.as_ref(), "the storage");
        rows.quantity(Thing::StorageRoom, &Scope::new(), (&whose, "room"), &storage.room, sure);
    }
    for brought in &written.work.brought {
        let farm = Overrule::Sure(None, "the farm");
        rows.given(Thing::PriceLitter, ("the litter brought", "price"), brought.price.as_ref(), farm);
    }
    for outlet in &written.work.outlets {
        let whose = format!("outlet {}", outlet.name.value);
        let farm = Overrule::Sure(None, "the farm");
        rows.quantity(Thing::PriceLitter, &Scope::new(), (&whose, "price"), &outlet.price, farm);
    }
    plan(written, rows);
}

/// The spreader; back comes its load, where that is usual.
pub(super) fn machine(spreader: &Spreader, rows: &mut Judge<'_>) -> Option<f64> {
    let (whose, sure) = ("the spreader", Overrule::Sure(spreader.sure.as_ref(), "the spreader"));
    let swath = &spreader.swath;
    let says = format!("{whose}: `swath` is {}", swath.value);
    let (value, place) = (swath.value.get(), &swath.place);
    rows.judge(&JudgedValue::new(Thing::Swath, (value, "ft"), says, place, sure).slips(&[FEET, DECIMAL]));
    let load = &spreader.load;
    let says = format!("{whose}: `load` is {}", load.value);
    let (value, place) = (load.value.get(), &load.place);
    let thing = Thing::SpreaderLoad;
    let load = rows.judge(&JudgedValue::new(thing, (value, "tons"), says, place, sure).slips(&[TONS, DECIMAL]));
    for (thing, key, rate) in [
        (Thing::SpreaderStep, "step", &spreader.step),
        (Thing::SpreaderLeast, "least", &spreader.least),
        (Thing::SpreaderMost, "most", &spreader.most),
    ] {
        rows.quantity(thing, &Scope::new(), (whose, key), rate, sure);
    }
    load.usual().then_some(value)
}

fn quoted(prices: &Prices, rows: &mut Judge<'_>) {
    let (whose, sure) = ("the prices", Overrule::Sure(prices.sure.as_ref(), "`prices`"));
    for (thing, key, price) in [
        (Thing::PriceN, "n", &prices.n),
        (Thing::PriceP2o5, "p2o5", &prices.p2o5),
        (Thing::PriceK2o, "k2o", &prices.k2o),
    ] {
        rows.quantity(thing, &Scope::new(), (whose, key), price, sure);
    }
    rows.given(Thing::PriceLitter, (whose, "litter_sold"), prices.litter_sold.as_ref(), sure);
    rows.given(Thing::PriceLitter, (whose, "disposal"), prices.disposal.as_ref(), sure);
    rows.given(Thing::PriceHay, (whose, "hay"), prices.hay.as_ref(), sure);
    rows.quantity(Thing::PriceSpreading, &Scope::new(), (whose, "loading_spreading"), &prices.spreading, sure);
    rows.given(Thing::PriceJob, (whose, "job"), prices.job.as_ref(), sure);
    rows.given(Thing::PriceLoad, (whose, "load"), prices.load.as_ref(), sure);
    // Whoever hauls over the own farm with an own tractor may well count nothing for it.
    if prices.hauling.value.get() == 0.0 {
        return;
    }
    rows.quantity(Thing::PriceHauling, &Scope::new(), (whose, "hauling"), &prices.hauling, sure);
}

/// What has no block of its own is never more than a warning: its `wide` is
/// what the reader takes.
fn shop(shop: &Shop, rows: &mut Judge<'_>) {
    let farm = Overrule::Sure(None, "the farm");
    for product in &shop.products {
        bag(product, rows);
    }
    rows.given(Thing::PriceGoing, ("the farm", "fertilizer_spreading"), shop.spreading.as_ref(), farm);
    if let Some(keeps) = &shop.carry_over {
        rows.quantity(Thing::LitterKeeps, &Scope::new(), ("the carry-over", "keeps"), &keeps.keeps, farm);
    }
}

fn bag(product: &Fertilizer, rows: &mut Judge<'_>) {
    let whose = format!("fertilizer {}", product.name.value);
    let sure = Overrule::Sure(product.sure.as_ref(), "the product");
    rows.quantity(Thing::PriceFertilizer, &Scope::new(), (&whose, "price"), &product.price, sure);
    rows.given(Thing::FertilizerMost, (&whose, "most"), product.most.as_ref(), sure);
}

fn pace(days: &WrittenDays, load: Option<f64>, rows: &mut Judge<'_>) {
    let (whose, sure) = ("the days", Overrule::Sure(days.sure.as_ref(), "`days`"));
    let mut usual =
        rows.quantity(Thing::TonsPerDay, &Scope::new(), (whose, "tons_per_day"), &days.tons_per_day, sure).usual();
    for (_, share) in &days.fit {
        rows.quantity(Thing::FitDays, &Scope::new(), (whose, "fit"), share, sure);
    }
    let Some(haul) = &days.haul else { return };
    rows.quantity(Thing::RoadSpeed, &Scope::new(), (whose, "speed"), &haul.speed, sure);
    for (key, time) in [("loading", &haul.loading), ("emptying", &haul.emptying)] {
        usual &= rows.quantity(Thing::LoadTime, &Scope::new(), (whose, key), time, sure).usual();
    }
    if let Some(load) = load.filter(|_| usual) {
        let minutes = haul.loading.value.get() + haul.emptying.value.get();
        let value = days.tons_per_day.value.get() / load * minutes / 60.0;
        let says = format!(
            "{whose}: {} a day in loads of {} tons, {} minutes each, take {} hours",
            days.tons_per_day.value,
            tidy(load),
            tidy(minutes),
            tidy(value)
        );
        rows.judge(&JudgedValue::new(Thing::WorkHours, (value, "hours"), says, &days.tons_per_day.place, sure));
    }
}

fn birds(house: &WrittenHouse, rows: &mut Judge<'_>) {
    let whose = format!("house {}", house.name.value);
    let sure = Overrule::Sure(house.sure.as_ref(), "the house");
    let kind = house.kind.as_ref().map_or("", |k| k.value.as_str());
    let scope = Scope::new().material(kind);
    let each = house.birds.as_ref().map(|(_, each)| At { value: f64::from(each.value), place: each.place.clone() });
    let usual = each
        .as_ref()
        .is_none_or(|birds| rows.number((Thing::BirdsInHouse, "birds"), (&whose, "birds"), birds, sure).usual());
    if let Some(flocks) = &house.flocks {
        rows.number((Thing::FlocksYear, "flocks"), (&whose, "flocks"), flocks, sure);
    }
    if let Some(tons) = &house.tons_per_1000 {
        rows.quantity(Thing::LitterOf1000, &scope, (&whose, "tons_per_1000"), tons, sure);
    }
    let thousands = house.all_birds().map(|birds| birds / 1_000.0).filter(|t| usual && *t > 0.0);
    let Some(thousands) = thousands else { return };
    if let (Some(made), Some(flocks)) = (&house.made, &house.flocks) {
        let value = made.value.get() / thousands / flocks.value;
        let says =
            format!("{whose}: {} a year come to {} for a flock of 1,000 birds", made.value, shown(value, "tons"));
        rows.judge(
            &JudgedValue::new(Thing::LitterOf1000, (value, "tons"), says, &made.place, sure)
                .scope(&scope)
                .slips(&[TONS, DECIMAL]),
        );
    }
    let outs = house.clean_outs.iter().map(|out| ("clean-out", out));
    let outs = outs.chain(house.cake_outs.iter().map(|out| ("cake-out", out)));
    for (word, tons) in outs.filter_map(|(word, out)| Some((word, out.tons.as_ref()?))) {
        let value = tons.value.get() / thousands;
        let says = format!("{whose}: a {word} of {} is {} for every 1,000 birds", tons.value, shown(value, "tons"));
        rows.judge(
            &JudgedValue::new(Thing::CleanOutOf1000, (value, "tons"), says, &tons.place, sure)
                .scope(&scope)
                .slips(&[TONS, DECIMAL]),
        );
    }
}

/// Days of the plan.
fn plan(written: &Written, rows: &mut Judge<'_>) {
    let Some((from, to)) = &written.span else { return };
    let value = f64::from((to.value - from.value).get_days() + 1);
    let says = format!("the plan runs from {} to {}: {} days", from.value, to.value, tidy(value));
    rows.judge(&JudgedValue::new(Thing::PlanDays, (value, "days"), says, &to.place, Overrule::Sure(None, "the plan")));
}
