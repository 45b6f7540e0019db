//! The quantities of which the tables say what is usual: one line a quantity,
//! with the units in which it is written.

use crate::tables::Figure;
use crate::text::key_of;

macro_rules! things {
    ($($(#[$doc:meta])* $Name:ident = $key:literal, [$($unit:literal),+];)+) => {
        /// A quantity that a farm writes, or that follows from what it writes.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Thing { $($(#[$doc])* $Name,)+ }

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
    /// Total nitrogen of litter as received.
    LitterTotalN = "litter_total_n", ["lb/ton"];
    /// Phosphate of litter as received.
    LitterP2o5 = "litter_p2o5", ["lb/ton"];
    /// Potash of litter as received.
    LitterK2o = "litter_k2o", ["lb/ton"];
    /// Moisture of litter.
    LitterMoisture = "litter_moisture", ["%"];
    /// Ammonium nitrogen as a share of total nitrogen.
    AmmoniumShare = "ammonium_share", ["%"];
    /// Nitrate nitrogen as a share of total nitrogen.
    NitrateShare = "nitrate_share", ["%"];
    /// Pounds of phosphate for a pound of total nitrogen.
    P2o5PerN = "p2o5_per_n", ["times"];
    /// Nitrogen, phosphate and potash of litter together, as received.
    LitterNutrients = "litter_nutrients", ["lb/ton"];
    /// Zinc of litter as received.
    LitterZinc = "litter_zinc", ["ppm"];
    /// Copper of litter as received.
    LitterCopper = "litter_copper", ["ppm"];
    /// Litter of one lot on hand.
    OnHand = "on_hand", ["tons"];
    /// A load that was counted or weighed.
    CountedLoad = "counted_load", ["tons"];
    /// A counted load over a load of the spreader.
    LoadOfSpreader = "load_of_spreader", ["times"];
    /// Weight of a cubic foot of litter, as the farm found it.
    LitterWeight = "litter_weight", ["lb/ft3"];
    /// Net weight of a 5-gallon bucket of litter.
    BucketWeight = "bucket_weight", ["lb"];
    /// Height of a pile.
    PileHeight = "pile_height", ["ft"];
    /// Birds in one house.
    BirdsInHouse = "birds_in_house", ["birds"];
    /// Flocks in a year.
    FlocksYear = "flocks_year", ["flocks"];
    /// Flocks since litter was taken out.
    FlocksSince = "flocks_since", ["flocks"];
    /// Live weight of a bird.
    BirdWeight = "bird_weight", ["lb"];
    /// Litter of a flock of 1,000 birds.
    LitterOf1000 = "litter_of_1000", ["tons"];
    /// A clean-out for every 1,000 birds.
    CleanOutOf1000 = "clean_out_of_1000", ["tons"];
    /// Room of a storage.
    StorageRoom = "storage_room", ["tons"];
    /// Dry hay of an acre in a year.
    HayYield = "hay_yield", ["tons/ac"];
    /// Weight of a roll or bale.
    RollWeight = "roll_weight", ["lb"];
    /// Moisture of baled hay.
    RollMoisture = "roll_moisture", ["%"];
    /// Acres that rolls came off, over the acres of the field.
    YieldAcres = "yield_acres", ["times"];
    /// Share of legumes in a stand.
    LegumeShare = "legume_share", ["%"];
    /// Nitrogen from anything but litter.
    OtherN = "other_n", ["lb/ac"];
    /// A grower's own highest rate for a field.
    FieldMost = "field_most", ["tons/ac"];
    /// Miles by road from a stack to a field.
    HaulMiles = "haul_miles", ["miles"];
    /// Slope of a field.
    FieldSlope = "field_slope", ["%"];
    /// Length of a slope.
    SlopeLength = "slope_length", ["ft"];
    /// Soil erodibility K.
    Erodibility = "erodibility", ["factor"];
    /// Rainfall factor R.
    RainFactor = "rain_factor", ["factor"];
    /// Share of the ground that grass covers.
    GrassCover = "grass_cover", ["%"];
    /// Days until litter is worked in.
    WorkedIn = "worked_in", ["days"];
    /// Rate of litter in an earlier year.
    EarlierRate = "earlier_rate", ["tons/ac"];
    /// Organic nitrogen of litter.
    OrganicN = "organic_n", ["lb/ton"];
    /// Soil-test phosphorus.
    SoilP = "soil_p", ["index", "ppm", "lb/ac"];
    /// Soil-test potassium.
    SoilK = "soil_k", ["index", "ppm", "lb/ac"];
    /// Soil-test magnesium.
    SoilMg = "soil_mg", ["index", "ppm", "lb/ac"];
    /// Soil-test zinc.
    SoilZinc = "soil_zinc", ["index", "ppm", "lb/ac"];
    /// Soil-test copper.
    SoilCopper = "soil_copper", ["index", "ppm", "lb/ac"];
    /// pH of a soil in water.
    SoilPh = "soil_ph", ["pH"];
    /// Buffer pH of a soil.
    BufferPh = "buffer_ph", ["pH"];
    /// Acidity of a soil.
    SoilAcidity = "soil_acidity", ["meq/100 cm3"];
    /// Distance between two passes of a spreader.
    Swath = "swath", ["ft"];
    /// Load of a spreader.
    SpreaderLoad = "spreader_load", ["tons"];
    /// Distance between two settings of a spreader.
    SpreaderStep = "spreader_step", ["tons/ac"];
    /// Lowest even rate of a spreader.
    SpreaderLeast = "spreader_least", ["tons/ac"];
    /// Highest even rate of a spreader.
    SpreaderMost = "spreader_most", ["tons/ac"];
    /// Price of a pound of nitrogen.
    PriceN = "price_n", ["$/lb"];
    /// Price of a pound of phosphate.
    PriceP2o5 = "price_p2o5", ["$/lb"];
    /// Price of a pound of potash.
    PriceK2o = "price_k2o", ["$/lb"];
    /// What a ton of litter sells for.
    PriceLitter = "price_litter", ["$/ton"];
    /// Loading and spreading a ton.
    PriceSpreading = "price_spreading", ["$/ton"];
    /// Hauling a ton one mile.
    PriceHauling = "price_hauling", ["$/ton-mile"];
    /// What a ton of fertilizer costs.
    PriceFertilizer = "price_fertilizer", ["$/ton"];
    /// Going over an acre with fertilizer.
    PriceGoing = "price_going", ["$/ac"];
    /// Most fertilizer in one go.
    FertilizerMost = "fertilizer_most", ["lb/ac"];
    /// Share of its nitrogen that litter keeps over a year.
    LitterKeeps = "litter_keeps", ["%"];
    /// Tons spread in a day.
    TonsPerDay = "tons_per_day", ["tons"];
    /// Hours of a day that its loads take beside the stack.
    WorkHours = "work_hours", ["hours"];
    /// Speed on the road.
    RoadSpeed = "road_speed", ["mph"];
    /// Loading or emptying a load.
    LoadTime = "load_time", ["minutes"];
    /// Days fit to spread, of all days.
    FitDays = "fit_days", ["%"];
    /// Days of a plan.
    PlanDays = "plan_days", ["days"];
    /// Rate of one spreading in the log.
    LogRate = "log_rate", ["tons/ac"];
    /// Acres of an entry over the acres of the field.
    LogAcres = "log_acres", ["times"];
    /// Litter of one entry.
    LogTons = "log_tons", ["tons"];
    /// Load of an entry, spread or hauled.
    LogLoad = "log_load", ["tons"];
    /// Hay of one cutting.
    CutYield = "cut_yield", ["tons/ac"];
    /// From the sampling of litter, or a ticket, to the plan's day.
    SampleDays = "sample_days", ["days before"];
    /// From the sampling of the soil.
    SoilSampleDays = "soil_sample_days", ["days before"];
    /// From the calibration of the spreader.
    CalibrationDays = "calibration_days", ["days before"];
    /// From the rating of a field.
    RatingDays = "rating_days", ["days before"];
    /// From the day since which a lot lies there.
    LotDays = "lot_days", ["days before"];
    /// From the day on which somebody said something.
    SaidDays = "said_days", ["days before"];
    /// From an entry of the log.
    LogDays = "log_days", ["days before"];
    /// To the first day of the plan.
    PlanAhead = "plan_ahead", ["days ahead"];
    /// To a planned clean-out.
    CleanOutAhead = "clean_out_ahead", ["days ahead"];
    /// From the year of a yield.
    YieldYears = "yield_years", ["years before"];
    /// From the year of earlier litter.
    EarlierYears = "earlier_years", ["years before"];
    /// To the last year in which phosphate rests.
    BankedYears = "banked_years", ["years ahead"];
    /// Rain of one entry.
    RainInches = "rain_inches", ["inches"];
    /// A figure of the farm's own, by its topic.
    SaidFigure = "said_figure", ["%", "days", "factor", "ft", "index", "lb/ac", "lb/ft3", "lb/lb", "lb/ton", "meq/100 cm3", "months", "pH", "ppm", "share", "times", "tons", "tons/ac", "years"];
    /// A distance of the farm's own from a keep-out.
    OwnSetback = "own_setback", ["ft"];
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
