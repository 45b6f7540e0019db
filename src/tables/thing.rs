//! The quantities of which the tables say what is usual: one line a quantity,
//! with the units in which it is written.

use crate::tables::Figure;
use crate::text::key_of;

macro_rules! things {
    ($($Name:ident = $key:literal, [$($unit:literal),+], $doc:literal;)+) => {
        /// A quantity that a farm writes, or that follows from what it writes.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Thing { $(#[doc = $doc] $Name,)+ }

        impl Thing {
            /// All of them.
            pub const ALL: &[Thing] = &[$(Thing::$Name),+];

            /// The key in `reference/`.
            #[must_use]
            pub fn key(self) -> &'static str {
                match self { $(Thing::$Name => $key,)+ }
            }

            /// The units in which its bands are given.
            #[must_use]
            pub fn units(self) -> &'static [&'static str] {
                match self { $(Thing::$Name => &[$($unit),+],)+ }
            }
        }
    };
}

things! {
    LitterTotalN = "litter_total_n", ["lb/ton"], "Total nitrogen of litter as received.";
    LitterP2o5 = "litter_p2o5", ["lb/ton"], "Phosphate of litter as received.";
    LitterK2o = "litter_k2o", ["lb/ton"], "Potash of litter as received.";
    LitterMoisture = "litter_moisture", ["%"], "Moisture of litter.";
    AmmoniumShare = "ammonium_share", ["%"], "Ammonium nitrogen as a share of total nitrogen.";
    NitrateShare = "nitrate_share", ["%"], "Nitrate nitrogen as a share of total nitrogen.";
    P2o5PerN = "p2o5_per_n", ["times"], "Pounds of phosphate for a pound of total nitrogen.";
    LitterNutrients = "litter_nutrients", ["lb/ton"], "Nitrogen, phosphate and potash of litter together, as received.";
    LitterZinc = "litter_zinc", ["ppm"], "Zinc of litter as received.";
    LitterCopper = "litter_copper", ["ppm"], "Copper of litter as received.";
    OnHand = "on_hand", ["tons"], "Litter of one lot on hand.";
    CountedLoad = "counted_load", ["tons"], "A load that was counted or weighed.";
    LoadOfSpreader = "load_of_spreader", ["times"], "A counted load over a load of the spreader.";
    LitterWeight = "litter_weight", ["lb/ft3"], "Weight of a cubic foot of litter, as the farm found it.";
    BucketWeight = "bucket_weight", ["lb"], "Net weight of a 5-gallon bucket of litter.";
    PileHeight = "pile_height", ["ft"], "Height of a pile.";
    BirdsInHouse = "birds_in_house", ["birds"], "Birds in one house.";
    FlocksYear = "flocks_year", ["flocks"], "Flocks in a year.";
    FlocksSince = "flocks_since", ["flocks"], "Flocks since litter was taken out.";
    BirdWeight = "bird_weight", ["lb"], "Live weight of a bird.";
    LitterOf1000 = "litter_of_1000", ["tons"], "Litter of a flock of 1,000 birds.";
    CleanOutOf1000 = "clean_out_of_1000", ["tons"], "A clean-out for every 1,000 birds.";
    StorageRoom = "storage_room", ["tons"], "Room of a storage.";
    HayYield = "hay_yield", ["tons/ac"], "Dry hay of an acre in a year.";
    CropN = "crop_n", ["lb/ton"], "Nitrogen that a crop of the farm's own carries off with a ton.";
    CropP2o5 = "crop_p2o5", ["lb/ton"], "Phosphate that a crop of the farm's own carries off with a ton.";
    CropK2o = "crop_k2o", ["lb/ton"], "Potash that a crop of the farm's own carries off with a ton.";
    BushelWeight = "bushel_weight", ["lb"], "Weight of a bushel of grain.";
    ForageProtein = "forage_protein", ["%"], "Crude protein of forage, as reported.";
    ForageP = "forage_p", ["%"], "Phosphorus of forage, as reported.";
    ForageK = "forage_k", ["%"], "Potassium of forage, as reported.";
    ForageMoisture = "forage_moisture", ["%"], "Moisture of forage that was sampled.";
    RollWeight = "roll_weight", ["lb"], "Weight of a roll or bale.";
    RollMoisture = "roll_moisture", ["%"], "Moisture of baled hay.";
    YieldAcres = "yield_acres", ["times"], "Acres that rolls came off, over the acres of the field.";
    LegumeShare = "legume_share", ["%"], "Share of legumes in a stand.";
    OtherN = "other_n", ["lb/ac"], "Nitrogen from anything but litter.";
    FieldMost = "field_most", ["tons/ac"], "A grower's own highest rate for a field.";
    HaulMiles = "haul_miles", ["miles"], "Miles by road from a stack to a field.";
    FieldSlope = "field_slope", ["%"], "Slope of a field.";
    SlopeLength = "slope_length", ["ft"], "Length of a slope.";
    Erodibility = "erodibility", ["factor"], "Soil erodibility K.";
    RainFactor = "rain_factor", ["factor"], "Rainfall factor R.";
    GrassCover = "grass_cover", ["%"], "Share of the ground that grass covers.";
    WorkedIn = "worked_in", ["days"], "Days until litter is worked in.";
    EarlierRate = "earlier_rate", ["tons/ac"], "Rate of litter in an earlier year.";
    OrganicN = "organic_n", ["lb/ton"], "Organic nitrogen of litter.";
    SoilP = "soil_p", ["index", "ppm", "lb/ac"], "Soil-test phosphorus.";
    SoilK = "soil_k", ["index", "ppm", "lb/ac"], "Soil-test potassium.";
    SoilMg = "soil_mg", ["index", "ppm", "lb/ac"], "Soil-test magnesium.";
    SoilZinc = "soil_zinc", ["index", "ppm", "lb/ac"], "Soil-test zinc.";
    SoilCopper = "soil_copper", ["index", "ppm", "lb/ac"], "Soil-test copper.";
    SoilPh = "soil_ph", ["pH"], "pH of a soil in water.";
    BufferPh = "buffer_ph", ["pH"], "Buffer pH of a soil.";
    SoilAcidity = "soil_acidity", ["meq/100 cm3"], "Acidity of a soil.";
    RecommendedN = "recommended_n", ["lb/ac"], "Nitrogen that a soil report recommends.";
    RecommendedP2o5 = "recommended_p2o5", ["lb/ac"], "Phosphate that a soil report recommends.";
    RecommendedK2o = "recommended_k2o", ["lb/ac"], "Potash that a soil report recommends.";
    RecommendedLime = "recommended_lime", ["tons/ac"], "Lime that a soil report recommends.";
    Swath = "swath", ["ft"], "Distance between two passes of a spreader.";
    SpreaderLoad = "spreader_load", ["tons"], "Load of a spreader.";
    SpreaderStep = "spreader_step", ["tons/ac"], "Distance between two settings of a spreader.";
    SpreaderLeast = "spreader_least", ["tons/ac"], "Lowest even rate of a spreader.";
    SpreaderMost = "spreader_most", ["tons/ac"], "Highest even rate of a spreader.";
    PriceN = "price_n", ["$/lb"], "Price of a pound of nitrogen.";
    PriceP2o5 = "price_p2o5", ["$/lb"], "Price of a pound of phosphate.";
    PriceK2o = "price_k2o", ["$/lb"], "Price of a pound of potash.";
    PriceLitter = "price_litter", ["$/ton"], "What a ton of litter sells for.";
    PriceHay = "price_hay", ["$/ton"], "What a ton of hay sells for.";
    PriceSpreading = "price_spreading", ["$/ton"], "Loading and spreading a ton.";
    PriceJob = "price_job", ["$/job"], "Moving to a field and setting up, each time.";
    PriceLoad = "price_load", ["$/load"], "A load, full or not, besides what its tons cost.";
    PriceHauling = "price_hauling", ["$/ton-mile"], "Hauling a ton one mile.";
    PriceFertilizer = "price_fertilizer", ["$/ton"], "What a ton of fertilizer costs.";
    PriceGoing = "price_going", ["$/ac"], "Going over an acre with fertilizer.";
    FertilizerMost = "fertilizer_most", ["lb/ac"], "Most fertilizer in one application.";
    LitterKeeps = "litter_keeps", ["%"], "Share of its nitrogen that litter keeps over a year.";
    TonsPerDay = "tons_per_day", ["tons"], "Tons spread in a day.";
    WorkHours = "work_hours", ["hours"], "Hours of a day that its loads take beside the stack.";
    RoadSpeed = "road_speed", ["mph"], "Speed on the road.";
    LoadTime = "load_time", ["minutes"], "Loading or emptying a load.";
    FitDays = "fit_days", ["%"], "Days fit to spread, of all days.";
    PlanDays = "plan_days", ["days"], "Days of a plan.";
    LogRate = "log_rate", ["tons/ac"], "Rate of one spreading in the log.";
    LogAcres = "log_acres", ["times"], "Acres of an entry over the acres of the field.";
    LogTons = "log_tons", ["tons"], "Litter of one entry.";
    LogLoad = "log_load", ["tons"], "Load of an entry, spread or hauled.";
    LogLoadOfSpreader = "log_load_of_spreader", ["times"], "Load of a spreading over a load of the spreader.";
    CutYield = "cut_yield", ["tons/ac"], "Hay of one cutting.";
    FedHay = "fed_hay", ["tons/ac"], "Hay of one entry, fed on a field.";
    SampleDays = "sample_days", ["days before"], "From the sampling of litter, or a ticket, to the plan's day.";
    SoilSampleDays = "soil_sample_days", ["days before"], "From the sampling of the soil.";
    HaySampleDays = "hay_sample_days", ["days before"], "From the sampling of hay.";
    CalibrationDays = "calibration_days", ["days before"], "From the calibration of the spreader.";
    RatingDays = "rating_days", ["days before"], "From the rating of a field.";
    LotDays = "lot_days", ["days before"], "From the day since which a lot lies there.";
    SaidDays = "said_days", ["days before"], "From the day on which somebody said something.";
    LogDays = "log_days", ["days before"], "From an entry of the log.";
    PlanAhead = "plan_ahead", ["days ahead"], "To the first day of the plan.";
    CleanOutAhead = "clean_out_ahead", ["days ahead"], "To a planned clean-out.";
    YieldYears = "yield_years", ["years before"], "From the year of a yield.";
    EarlierYears = "earlier_years", ["years before"], "From the year of earlier litter.";
    BankedYears = "banked_years", ["years ahead"], "To the last year in which phosphate rests.";
    RainInches = "rain_inches", ["inches"], "Rain of one entry.";
    LogWind = "log_wind", ["mph"], "Wind while litter was spread.";
    SaidFigure = "said_figure", ["%", "birds", "days", "factor", "ft", "index", "lb", "lb/ac", "lb/ft3", "lb/lb", "lb/ton", "meq/100 cm3", "months", "pH", "ppm", "share", "times", "tons", "tons/ac", "years"], "A figure of the farm's own, by its topic.";
    OwnSetback = "own_setback", ["ft"], "A distance of the farm's own from a keep-out.";
}

impl Thing {
    /// The quantity with this key.
    #[must_use]
    pub fn named(key: &str) -> Option<Thing> {
        Thing::ALL.iter().copied().find(|t| t.key() == key)
    }

    /// What is wrong with a figure that holds a band, and what is accepted.
    pub(super) fn fault(figure: &Figure) -> Option<(String, String)> {
        let Some(thing) = figure.applies.get("thing").and_then(|key| Thing::named(key)) else {
            let keys: Vec<&str> = Thing::ALL.iter().map(|t| t.key()).collect();
            return Some((format!("figure `{}` has no `thing` that is known", figure.id), keys.join(", ")));
        };
        let unit = figure.unit.as_str();
        // Where a thing is written in several units, a band is asked for by its own.
        let own = key_of(unit);
        let said = figure.applies.get("unit").or((thing.units().len() == 1).then_some(&own));
        let fits = thing.units().contains(&unit) && said == Some(&own);
        let found = || {
            format!(
                "figure `{}`: `unit` is `{unit}`, and under `applies` {}",
                figure.id,
                said.map_or("none", String::as_str)
            )
        };
        (!fits).then(|| (found(), format!("one of {} in both places", thing.units().join(", "))))
    }
}
