//! A lot of litter: what it holds, and how much of it there is.

use crate::check::plausible::rows::{
    DECIMAL, FEET, Judge, JudgedValue, Overrule, Plausibility, Slip, TONS, shown, tidy,
};
use crate::check::ready::Lot;
use crate::farm::{
    Analysis, Basis, Content, DensityOf, Flocks, LoadOf, LoadsCounted, OnHand, OnHandTicket, Pile, PileForm, WrittenLot,
};
use crate::findings::{At, Place};
use crate::tables::{Scope, Thing};
use crate::units::{K2O_PER_K, LbPerTon, P2O5_PER_P, Quantity};

/// Pounds in a ton, and in a ton of one percent.
const PERCENT: &[Slip] = &[(20.0, "is it percent?"), (0.05, "is it lb/ton, not percent?")];
const OXIDE: &[Slip] = &[(P2O5_PER_P, "does the report give P, the element? then the key is `p`")];
const ELEMENT: &[Slip] = &[(1.0 / P2O5_PER_P, "does the report give P2O5, the oxide? then the key is `p2o5`")];
const METAL: &[Slip] = &[(10_000.0, "is it percent?"), (500.0, "is it lb/ton?"), (0.002, "is it ppm?")];

pub(super) fn lot(lot: &WrittenLot, lots: &[Lot], spreader: Option<f64>, rows: &mut Judge<'_>) {
    let whose = format!("lot {}", lot.id.value);
    for analysis in lot.analyses.iter() {
        let sure = Overrule::Sure(analysis.sure.as_ref().or(lot.sure.as_ref()), "the analysis or the lot");
        contents(&whose, &lot.kind.value, analysis, sure, rows);
    }
    let sure = Overrule::Sure(lot.sure.as_ref(), "the lot");
    let parts = counted(&whose, lot, spreader, sure, rows);
    let pounds = lots.iter().find(|l| l.id == lot.id.value).map(|l| l.on_hand).filter(|p| p.0 > 0);
    if let Some(pounds) = pounds.filter(|_| parts) {
        let says = format!("{whose}: {} tons are on hand", tidy(pounds.tons()));
        let (value, place) = (pounds.tons(), &lot.on_hand.place);
        rows.judge(&JudgedValue::new(Thing::OnHand, (value, "tons"), says, place, sure).slips(&[TONS, DECIMAL]));
    }
}

/// What the report says, turned into what the spreader carries: as received,
/// phosphorus and potassium as oxides.
fn contents(whose: &str, kind: &str, analysis: &Analysis, sure: Overrule<'_>, rows: &mut Judge<'_>) {
    let scope = Scope::new().material(kind);
    let moisture = rows.quantity(Thing::LitterMoisture, &scope, (whose, "moisture"), &analysis.moisture, sure);
    let dry = analysis.basis.value == Basis::Dry;
    // Nothing can be told of a dry report by a moisture that nobody is sure of.
    let sure_of_it = matches!(sure, Overrule::Sure(Some(_), _));
    if dry && moisture == Plausibility::Outside && !sure_of_it {
        return;
    }
    let kept = if dry { 1.0 - analysis.moisture.value.get() / 100.0 } else { 1.0 };
    let mut judged = Vec::new();
    for part in parts(analysis) {
        let as_received = part.value * part.oxide * kept;
        let written = shown(part.value, part.unit);
        let becomes = match (part.oxide == 1.0, dry) {
            (true, false) => written,
            (true, true) => format!("{written} dry, {} as received", shown(as_received, part.unit)),
            (false, _) => format!("{written}, {} of the oxide as received", shown(as_received, part.unit)),
        };
        let says = format!("{whose}: `{}` is {becomes}", part.key);
        let row = JudgedValue::new(part.thing, (as_received, part.unit), says, part.place, sure)
            .scope(&scope)
            .slips(part.slips);
        judged.push((rows.judge(&row), as_received));
    }
    shares(whose, &scope, analysis, sure, rows);
    if let [(n, total), (p, p2o5), (k, k2o), ..] = judged.as_slice()
        && [n, p, k].into_iter().all(|lies| lies.usual())
    {
        together(whose, &scope, analysis, [*total, *p2o5, *k2o], sure, rows);
    }
}

/// One content of a report.
struct ReportedContent<'a> {
    thing: Thing,
    key: &'static str,
    value: f64,
    unit: &'static str,
    /// Pounds of the oxide for a pound; 1 where the report gives that.
    oxide: f64,
    place: &'a Place,
    slips: &'static [&'static [Slip]],
}

impl<'a> ReportedContent<'a> {
    fn new<Q: Quantity>(
        thing: Thing,
        key: &'static str,
        at: &'a At<Q>,
        slips: &'static [&'static [Slip]],
    ) -> ReportedContent<'a> {
        ReportedContent { thing, key, value: at.value.get(), unit: Q::UNIT, oxide: 1.0, place: &at.place, slips }
    }

    /// Under the key of the oxide or of the element.
    fn of(
        thing: Thing,
        [oxide, element]: [&'static str; 2],
        content: &'a Content,
        pounds: f64,
        slips: &'static [&'static [Slip]],
    ) -> ReportedContent<'a> {
        let part = ReportedContent::new(thing, if content.oxide { oxide } else { element }, &content.value, slips);
        ReportedContent { oxide: if content.oxide { 1.0 } else { pounds }, ..part }
    }
}

/// Nitrogen, phosphorus, potassium; then the metals that are given.
fn parts(analysis: &Analysis) -> Vec<ReportedContent<'_>> {
    let (n, p, k) = (&analysis.total_n, &analysis.p, &analysis.k);
    let either: &'static [&'static [Slip]] =
        if p.oxide { &[OXIDE, PERCENT, DECIMAL] } else { &[ELEMENT, PERCENT, DECIMAL] };
    let mut parts = vec![
        ReportedContent::new(Thing::LitterTotalN, "total_n", n, &[PERCENT, DECIMAL]),
        ReportedContent::of(Thing::LitterP2o5, ["p2o5", "p"], p, P2O5_PER_P, either),
        ReportedContent::of(Thing::LitterK2o, ["k2o", "k"], k, K2O_PER_K, &[PERCENT, DECIMAL]),
    ];
    let metals = [(Thing::LitterZinc, "zinc", &analysis.zinc), (Thing::LitterCopper, "copper", &analysis.copper)];
    for (thing, key, metal) in metals {
        parts.extend(metal.as_ref().map(|m| ReportedContent::new(thing, key, m, &[METAL, DECIMAL])));
    }
    parts
}

/// Ammonium and nitrate as shares of total nitrogen.
fn shares(whose: &str, scope: &Scope<'_>, analysis: &Analysis, sure: Overrule<'_>, rows: &mut Judge<'_>) {
    let total = analysis.total_n.value.get();
    if total <= 0.0 {
        return;
    }
    for (thing, key, part) in [
        (Thing::AmmoniumShare, "ammonium_n", &analysis.ammonium_n),
        (Thing::NitrateShare, "nitrate_n", &analysis.nitrate_n),
    ] {
        let Some(part) = part else { continue };
        let value = part.value.get() / total * 100.0;
        let says = format!(
            "{whose}: `{key}` is {}, {} % of the total nitrogen of {}",
            part.value,
            tidy(value),
            analysis.total_n.value
        );
        rows.judge(&JudgedValue::new(thing, (value, "%"), says, &part.place, sure).scope(scope));
    }
}

/// What single contents that are usual come to beside each other.
fn together(
    whose: &str,
    scope: &Scope<'_>,
    analysis: &Analysis,
    [n, p2o5, k2o]: [f64; 3],
    sure: Overrule<'_>,
    rows: &mut Judge<'_>,
) {
    let says = format!("{whose}: {} lb of P2O5 for a lb of total nitrogen", tidy(p2o5 / n));
    let place = &analysis.p.value.place;
    let slips = &[if analysis.p.oxide { OXIDE } else { ELEMENT }];
    rows.judge(&JudgedValue::new(Thing::P2o5PerN, (p2o5 / n, "times"), says, place, sure).scope(scope).slips(slips));
    let sum = n + p2o5 + k2o;
    let says = format!("{whose}: nitrogen, P2O5 and K2O come to {} as received", shown(sum, LbPerTon::UNIT));
    let dry = 1.0 - analysis.moisture.value.get() / 100.0;
    let (factor, asks) = match analysis.basis.value {
        Basis::AsReceived => (dry, "does the report give them on the dry basis? then write `basis: dry`"),
        Basis::Dry => (1.0 / dry, "does the report give them as received? then write `basis: as received`"),
    };
    let (place, slips) = (&analysis.basis.place, &[&[(factor, asks)][..]]);
    let row =
        JudgedValue::new(Thing::LitterNutrients, (sum, LbPerTon::UNIT), says, place, sure).scope(scope).slips(slips);
    rows.judge(&row);
}

/// What the tons rest on; true when all of it is usual.
fn counted(whose: &str, lot: &WrittenLot, spreader: Option<f64>, sure: Overrule<'_>, rows: &mut Judge<'_>) -> bool {
    match &lot.on_hand.value {
        OnHand::Said(_) => true,
        OnHand::Tickets(list) => tickets(whose, list, sure, rows),
        OnHand::Loads(counted) => loads(whose, counted, spreader, sure, rows),
        OnHand::Pile(pile) => measured(whose, pile, sure, rows),
        OnHand::Houses(flocks) => born(whose, &lot.kind.value, flocks, sure, rows),
    }
}

fn tickets(whose: &str, list: &[OnHandTicket], sure: Overrule<'_>, rows: &mut Judge<'_>) -> bool {
    let mut usual = true;
    for ticket in list {
        let tons = ticket.net.value.get() / 2_000.0;
        let says = format!("{whose}: ticket {} is over {} tons", ticket.number.value, tidy(tons));
        usual &= rows
            .judge(
                &JudgedValue::new(Thing::CountedLoad, (tons, "tons"), says, &ticket.net.place, sure)
                    .slips(&[TONS, DECIMAL]),
            )
            .usual();
    }
    usual
}

fn loads(whose: &str, counted: &LoadsCounted, spreader: Option<f64>, sure: Overrule<'_>, rows: &mut Judge<'_>) -> bool {
    let list: Vec<&At<_>> = match &counted.each {
        LoadOf::Said(load, _) => vec![load],
        LoadOf::Weighed(weighed) => weighed.iter().collect(),
    };
    let mut usual = true;
    for load in list {
        let tons: f64 = load.value.get();
        let lies = rows.quantity(Thing::CountedLoad, &Scope::new(), (whose, "load"), load, sure);
        usual &= lies.usual();
        if let Some(own) = spreader.filter(|_| lies.usual()) {
            let value = tons / own;
            let says = format!("{whose}: a load is {}, {} times a load of the spreader", load.value, tidy(value));
            rows.judge(
                &JudgedValue::new(Thing::LoadOfSpreader, (value, "times"), says, &load.place, sure).slips(&[DECIMAL]),
            );
        }
    }
    usual
}

fn measured(whose: &str, pile: &Pile, sure: Overrule<'_>, rows: &mut Judge<'_>) -> bool {
    let height = match &pile.form {
        PileForm::Cone { height, .. } | PileForm::Windrow { height, .. } | PileForm::Bin { height, .. } => height,
    };
    let value = height.value.get();
    let says = format!("{whose}: the pile is {} high", height.value);
    let high = rows
        .judge(&JudgedValue::new(Thing::PileHeight, (value, "ft"), says, &height.place, sure).slips(&[FEET, DECIMAL]));
    let weight = match &pile.density {
        Some(DensityOf::Said(density)) => {
            rows.quantity(Thing::LitterWeight, &Scope::new(), (whose, "density"), density, sure)
        }
        Some(DensityOf::Bucket(bucket)) => {
            rows.quantity(Thing::BucketWeight, &Scope::new(), (whose, "bucket"), bucket, sure)
        }
        None => Plausibility::Usual,
    };
    high.usual() && weight.usual()
}

fn born(whose: &str, kind: &str, flocks: &Flocks, sure: Overrule<'_>, rows: &mut Judge<'_>) -> bool {
    let scope = Scope::new().material(kind);
    let whole = |at: &At<u32>| At { value: f64::from(at.value), place: at.place.clone() };
    let birds = rows.number((Thing::BirdsInHouse, "birds"), (whose, "birds"), &whole(&flocks.birds), sure);
    let times = rows.number((Thing::FlocksSince, "flocks"), (whose, "flocks"), &whole(&flocks.flocks), sure);
    let weight = flocks.weight.as_ref().map(|w| rows.quantity(Thing::BirdWeight, &scope, (whose, "weight"), w, sure));
    birds.usual() && times.usual() && weight.is_none_or(Plausibility::usual)
}
