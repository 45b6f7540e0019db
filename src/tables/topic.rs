//! The kinds of figure the program asks for: name, value, unit and scope.
//!
//! A topic such as [`SETBACK`] knows what its values are: a look-up by it
//! answers in feet, whatever accepted unit the figure is written in.

use crate::tables::p_rule::{PRating, PRule};
use crate::tables::value::{Band, Classes, GrowingYear, PerUnit, Rate, Season, Shape, Value, ValueForm};
use crate::units::{
    Acidity, Birds, Days, Density, Factor, Feet, LbPerAcre, LbPerLb, LbPerTon, Months, Percent, Ph, Ppm, Share,
    SoilValue, Times, Tons, TonsPerAcre, Weight, Years,
};
use std::marker::PhantomData;

/// Which way a figure becomes stricter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Safe {
    /// The larger value is the stricter, as with a setback.
    Larger,
    /// The smaller value is the stricter, as with a sample's age.
    Smaller,
    /// Neither; one place's figure replaces the other's.
    Neither,
}

/// A kind of figure; its order is that of the list.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Topic(TopicName);

/// A kind of figure whose values are `T`.
pub struct Of<T>(Topic, PhantomData<fn() -> T>);

impl<T> Clone for Of<T> {
    fn clone(&self) -> Of<T> {
        *self
    }
}

impl<T> Copy for Of<T> {}

impl<T> From<Of<T>> for Topic {
    fn from(of: Of<T>) -> Topic {
        of.0
    }
}

impl<T> PartialEq<Of<T>> for Topic {
    fn eq(&self, of: &Of<T>) -> bool {
        *self == of.0
    }
}

impl<T> Of<T> {
    /// The key in `reference/`.
    #[must_use]
    pub fn key(self) -> &'static str {
        self.0.key()
    }
}

macro_rules! topics {
    ($($(#[$doc:meta])* $NAME:ident: $Value:ty = $key:literal, $safe:ident, [$($scope:literal),*];)+) => {
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        // The constants of the topics give them their names.
        #[allow(non_camel_case_types, clippy::upper_case_acronyms)]
        enum TopicName { $($NAME,)+ }

        $($(#[$doc])* pub const $NAME: Of<$Value> = Of(Topic(TopicName::$NAME), PhantomData);)+

        /// Every topic, in the order they are listed for a reader.
        pub const TOPICS: &[Topic] = &[$(Topic(TopicName::$NAME)),+];

        impl Topic {
            /// The key in `reference/`.
            #[must_use]
            pub fn key(self) -> &'static str {
                match self.0 { $(TopicName::$NAME => $key,)+ }
            }

            /// The form of its values.
            #[must_use]
            pub fn form(self) -> ValueForm {
                match self.0 { $(TopicName::$NAME => <$Value>::FORM,)+ }
            }

            /// The units it may be given in, each with its factor to the unit
            /// that its values are kept in; none for bands.
            #[must_use]
            pub fn units(self) -> &'static [(&'static str, f64)] {
                match self.0 { $(TopicName::$NAME => <$Value>::UNITS,)+ }
            }

            /// What units and numbers are accepted, for a message.
            #[must_use]
            pub fn accepts(self) -> String {
                match self.0 { $(TopicName::$NAME => <$Value>::accepts(),)+ }
            }

            /// Whether a written value in a written unit is one of its values.
            #[must_use]
            pub fn takes(self, shape: &Shape, unit: &str) -> bool {
                match self.0 { $(TopicName::$NAME => <$Value>::of(shape, unit).is_some(),)+ }
            }

            /// Which way it becomes stricter.
            #[must_use]
            pub fn safe(self) -> Safe {
                match self.0 { $(TopicName::$NAME => Safe::$safe,)+ }
            }

            /// The scope keys it may apply to; an earlier key weighs more
            /// when two figures fit a question equally well.
            #[must_use]
            pub fn scope(self) -> &'static [&'static str] {
                match self.0 { $(TopicName::$NAME => &[$($scope),*],)+ }
            }
        }
    };
}

topics! {
    /// Nitrogen need per ton of the yield goal.
    N_PER_TON: LbPerTon = "n_per_ton", Smaller, ["forage", "use"];
    /// Nitrogen rate for a year where a place gives it without a yield.
    N_RATE: LbPerAcre = "n_rate", Smaller, ["forage", "use", "texture"];
    /// Share taken off the nitrogen need when the forage is grazed.
    N_GRAZING_CUT: Share = "n_grazing_cut", Larger, ["use"];
    /// Legume share of the stand at or above which no nitrogen is applied.
    N_LEGUME_NONE: Percent = "n_legume_none", Smaller, ["forage"];
    /// The grass that a mixed stand with fewer legumes is planned as.
    THIN_STAND: String = "thin_stand", Neither, ["forage"];
    /// The year over which a forage's nitrogen is counted.
    GROWING_YEAR: GrowingYear = "growing_year", Neither, ["forage"];
    /// Largest share of the year's nitrogen need in one season.
    N_SPLIT: Share = "n_split", Smaller, ["forage", "season", "use", "region"];
    /// Most available nitrogen in one application.
    N_AT_ONCE: LbPerAcre = "n_at_once", Smaller, ["forage", "use"];
    /// Hay that a pound of nitrogen still brings where the need is nearly met.
    HAY_PER_N: LbPerLb = "hay_per_n", Neither, ["forage"];
    /// Least fertilizer that one trip can put down evenly.
    FERTILIZER_LEAST: LbPerAcre = "fertilizer_least", Neither, [];
    /// Share of total nitrogen available in the first year.
    N_AVAILABLE: Share = "n_available", Neither, ["material", "placement", "season"];
    /// Share of the phosphate in litter that counts toward the need of the first year.
    P_AVAILABLE: Share = "p_available", Neither, ["material"];
    /// The same of the potash.
    K_AVAILABLE: Share = "k_available", Neither, ["material"];
    /// Share of organic nitrogen released in a year after spreading.
    N_ORGANIC_AVAILABLE: Share = "n_organic_available", Neither, ["material", "year", "season"];
    /// Share of ammonium nitrogen kept after spreading.
    N_AMMONIUM_KEPT: Share = "n_ammonium_kept", Neither, ["material", "placement", "days", "season"];
    /// Classes of soil-test phosphorus.
    SOIL_P_CLASS: Classes<SoilValue> = "soil_p_class", Neither, ["extractant", "region"];
    /// Classes of soil-test potassium.
    SOIL_K_CLASS: Classes<SoilValue> = "soil_k_class", Neither, ["extractant", "region"];
    /// Classes of soil-test magnesium.
    SOIL_MG_CLASS: Classes<SoilValue> = "soil_mg_class", Neither, ["extractant", "region"];
    /// Phosphate that the soil test asks for.
    P2O5_NEED: Rate<LbPerAcre> = "p2o5_need", Neither, ["forage", "use", "class"];
    /// Potash that the soil test asks for.
    K2O_NEED: Rate<LbPerAcre> = "k2o_need", Neither, ["forage", "use", "class"];
    /// Nitrogen carried off per ton of hay.
    N_REMOVED_PER_TON: LbPerTon = "n_removed_per_ton", Smaller, ["forage"];
    /// Phosphate carried off per ton of hay.
    P2O5_PER_TON: LbPerTon = "p2o5_per_ton", Smaller, ["forage"];
    /// Potash carried off per ton of hay.
    K2O_PER_TON: LbPerTon = "k2o_per_ton", Smaller, ["forage"];
    /// That a limit by removal may go by the farm's own hay analysis, also where that has more
    /// than the tables.
    HAY_ANALYSIS_COUNTS: String = "hay_analysis_counts", Neither, [];
    /// Share of what is eaten that grazing animals carry off.
    GRAZING_KEEPS: Share = "grazing_keeps", Smaller, ["nutrient", "use"];
    /// What leaves the farm in a year with the young and the culls of one animal.
    LEAVES_PER_HEAD: Weight = "leaves_per_head", Smaller, ["animal", "nutrient"];
    /// What a pound of live weight that leaves the farm holds.
    LEAVES_PER_GAIN: LbPerLb = "leaves_per_gain", Smaller, ["animal", "nutrient"];
    /// Dry forage that an animal eats in a year.
    EATS_PER_HEAD: Tons = "eats_per_head", Larger, ["animal"];
    /// Crude protein of hay that nobody had analyzed.
    HAY_PROTEIN: Percent = "hay_protein", Neither, [];
    /// Classes of hay by its crude protein.
    HAY_CLASS: Classes<Percent> = "hay_class", Neither, [];
    /// What a ton of hay of a class holds.
    HAY_HOLDS: LbPerTon = "hay_holds", Larger, ["class", "nutrient"];
    /// Share of what stock eats as hay that goes back on the ground it is fed on.
    HAY_RETURNED: Share = "hay_returned", Larger, ["nutrient"];
    /// Share of the nitrogen in dung and urine that grass can use.
    DUNG_N_AVAILABLE: Share = "dung_n_available", Neither, [];
    /// A row of the place's phosphorus rule: `Book::rules` hands out all of them.
    P_RULE: PRule = "p_rule", Neither, [];
    /// How the phosphorus risk of a field is rated.
    P_RATING: PRating = "p_rating", Neither, [];
    /// The class of a score of the place's tool.
    P_SCORE: Classes<Factor> = "p_score", Neither, [];
    /// The period over which phosphorus is counted: `calendar_year` or
    /// `growing_year`; where none is named, any twelve months.
    P_PERIOD: String = "p_period", Neither, [];
    /// Most litter in one application.
    RATE_MOST: TonsPerAcre = "rate_most", Smaller, ["forage", "material", "use"];
    /// Most litter in one year.
    RATE_MOST_YEAR: TonsPerAcre = "rate_most_year", Smaller, ["forage", "material", "use"];
    /// Most applications of litter in one year.
    APPLICATIONS: Times = "applications", Smaller, ["forage", "use"];
    /// Least distance from a feature.
    SETBACK: Feet = "setback", Larger, ["feature", "strip", "owner", "consent", "lies", "operation", "placement"];
    /// Miles by road for a mile in a straight line.
    DETOUR: Times = "detour", Neither, [];
    /// Days of the year on which litter may go on.
    SEASON_OPEN: Season = "season", Neither, ["season", "forage", "use", "region"];
    /// Days of the year on which nothing is spread, whatever the season.
    CLOSED_DAYS: Season = "closed_days", Neither, ["region"];
    /// Days from spreading until stock may graze.
    GRAZE_WAIT: Days = "graze_wait", Larger, ["use"];
    /// Days from spreading to a cutting.
    CUT_WAIT: Days = "cut_wait", Larger, ["forage", "use"];
    /// Most age of a litter analysis when it is spread.
    LITTER_SAMPLE_AGE: Days = "litter_sample_age", Smaller, ["operation"];
    /// Age of a litter analysis from which no plan may rest on it.
    LITTER_SAMPLE_STOP: Days = "litter_sample_stop", Smaller, ["operation"];
    /// Most age of a soil test.
    SOIL_SAMPLE_AGE: Days = "soil_sample_age", Smaller, ["operation"];
    /// Most days that litter may lie outside uncovered.
    STOCKPILE_DAYS: Days = "stockpile_days", Smaller, ["operation"];
    /// Least distance of a pile from a feature.
    STOCKPILE_SETBACK: Feet = "stockpile_setback", Larger, ["feature", "owner", "operation"];
    /// Soil zinc from which to take care.
    SOIL_ZINC_CAUTION: SoilValue = "soil_zinc_caution", Smaller, ["forage"];
    /// Soil zinc from which no litter goes on.
    SOIL_ZINC_STOP: SoilValue = "soil_zinc_stop", Smaller, ["forage"];
    /// Soil copper from which to take care.
    SOIL_COPPER_CAUTION: SoilValue = "soil_copper_caution", Smaller, ["forage"];
    /// Soil copper from which no litter goes on.
    SOIL_COPPER_STOP: SoilValue = "soil_copper_stop", Smaller, ["forage"];
    /// Pounds on an acre that raise the soil zinc by one unit.
    ZINC_PER_UNIT: PerUnit = "zinc_per_unit", Smaller, ["extractant"];
    /// Pounds on an acre that raise the soil copper by one unit.
    COPPER_PER_UNIT: PerUnit = "copper_per_unit", Smaller, ["extractant"];
    /// Most zinc in one year.
    ZINC_LOAD_YEAR: LbPerAcre = "zinc_load_year", Smaller, [];
    /// Most copper in one year.
    COPPER_LOAD_YEAR: LbPerAcre = "copper_load_year", Smaller, [];
    /// Most of a metal ever put on an acre.
    METAL_LOAD_TOTAL: LbPerAcre = "metal_load_total", Smaller, ["nutrient"];
    /// Most of a metal in dry litter that is spread.
    METAL_CEILING: Ppm = "metal_ceiling", Smaller, ["nutrient"];
    /// Pounds of phosphate that move the soil-test phosphorus by one unit.
    P2O5_PER_UNIT: PerUnit = "p2o5_per_unit", Neither, ["extractant", "region"];
    /// What a soil test in ppm is in the place's own unit, by the laboratory that names both.
    SOIL_PER_PPM: Times = "soil_per_ppm", Neither, ["extractant"];
    /// The same of one in lb/ac.
    SOIL_PER_LB_AC: Times = "soil_per_lb_ac", Neither, ["extractant"];
    /// Pounds of potash that move the soil-test potassium by one unit.
    K2O_PER_UNIT: PerUnit = "k2o_per_unit", Neither, ["extractant", "region"];
    /// How many of the latest years make the yield goal: the best ones.
    YIELD_BEST: Years = "yield_best", Neither, [];
    /// How many of the latest years are looked at for the yield goal.
    YIELD_OF: Years = "yield_of", Neither, [];
    /// pH that a forage is limed to.
    TARGET_PH: Ph = "target_ph", Neither, ["forage", "use"];
    /// Buffer pH at which no acidity is left.
    LIME_ZERO_PH: Ph = "lime_zero_ph", Neither, [];
    /// Acidity per unit of buffer pH below that.
    LIME_PER_PH: Acidity = "lime_per_ph", Neither, [];
    /// Most lime on an established stand at once.
    LIME_MOST: TonsPerAcre = "lime_most", Smaller, ["use"];
    /// Months between two limings of an established stand.
    LIME_EVERY: Months = "lime_every", Larger, ["use"];
    /// Most soil loss of ground that gets litter.
    SOIL_LOSS_MOST: TonsPerAcre = "soil_loss_most", Smaller, [];
    /// Slope-length exponent of the soil loss equation, by slope.
    SOIL_LOSS_EXPONENT: Classes<Percent> = "soil_loss_exponent", Neither, [];
    /// Cover factor of grass, by the share of ground it covers.
    SOIL_LOSS_COVER: Classes<Percent> = "soil_loss_cover", Neither, [];
    /// Slope factor of the soil loss equation over the sine of the slope.
    SOIL_LOSS_SLOPE: Rate<Factor> = "soil_loss_slope", Neither, [];
    /// Length of the reference slope of the soil loss equation.
    SOIL_LOSS_LENGTH: Feet = "soil_loss_length", Neither, [];
    /// An item that a nutrient management plan must hold.
    PLAN_ITEM: String = "plan_item", Neither, ["item"];
    /// Share of a month's days that are fit for field work.
    FIT_SHARE: Share = "fit_share", Neither, ["month", "region"];
    /// How much likelier a day has rain after a day with rain than after one without.
    RAIN_PERSISTENCE: Share = "rain_persistence", Neither, ["month", "region"];
    /// Litter that a flock of 1,000 birds makes.
    LITTER_MADE: Tons = "litter_made", Neither, ["material"];
    /// Litter that a pound of live weight makes.
    LITTER_PER_WEIGHT: LbPerLb = "litter_per_weight", Neither, ["end"];
    /// What a cubic foot of litter weighs, where nobody has weighed a bucket.
    LITTER_DENSITY: Density = "litter_density", Neither, ["end", "material"];
    /// Most copper in the feed of an animal.
    COPPER_IN_FEED: Ppm = "copper_in_feed", Smaller, ["animal"];
    /// Most nitrogen in a year on a stand of toxic fescue.
    N_TOXIC_FESCUE: LbPerAcre = "n_toxic_fescue", Smaller, ["forage"];
    /// Days of the year on which nitrogen does most harm on a stand of toxic fescue.
    TOXIC_DAYS: Season = "toxic_days", Neither, ["forage"];
    /// Days after nitrogen between which grass holds the most nitrate.
    NITRATE_PEAK: Days = "nitrate_peak", Neither, ["end"];
    /// Days of the year in which grazing cattle get grass tetany.
    TETANY_DAYS: Season = "tetany_days", Neither, ["forage"];
    /// Birds at one time that make a large operation, by the litter they make.
    LARGE_OPERATION: Birds = "large_operation", Smaller, ["material"];
    /// Why a kind of litter never goes where stock grazes or will.
    NOT_ON_GRAZED: String = "not_on_grazed", Neither, ["material"];
    /// Why a kind of litter is neither sold nor brought as litter.
    NOT_SOLD: String = "not_sold", Neither, ["material"];
    /// What a kind of litter usually holds.
    LITTER_TYPICAL: LbPerTon = "litter_typical", Neither, ["material", "nutrient"];
    /// Pounds in a cubic foot for a pound in a 5-gallon bucket.
    BUCKET_FACTOR: Times = "bucket_factor", Neither, [];
    /// Most unevenness of the overlapped swath of a spreader.
    SPREAD_CV: Percent = "spread_cv", Smaller, [];
    /// Least share of a swath that is worth a run of its own.
    LAST_STRIP: Percent = "last_strip", Larger, [];
    /// Least width that a spreader is asked to throw.
    LEAST_THROW: Feet = "least_throw", Larger, [];
    /// Scatter of what lies on a spot around what the field got.
    PLACEMENT_SPREAD: Percent = "placement_spread", Neither, [];
    /// Scatter of the rate that a field gets as a whole around the rate set.
    RATE_SPREAD: Percent = "rate_spread", Neither, [];
    /// Scatter of a content between samples of one lot.
    SAMPLE_SPREAD: Percent = "sample_spread", Neither, ["material", "nutrient"];
    /// Scatter of a content between the litter of different farms.
    FARM_SPREAD: Percent = "farm_spread", Neither, ["material", "nutrient"];
    /// Scatter of the yield from year to year.
    YIELD_SPREAD: Percent = "yield_spread", Neither, ["forage"];
    /// What unevenness was found on spreaders at work.
    SPREAD_CV_FOUND: String = "spread_cv_found", Neither, [];
    /// How a sound pattern is told from a poor one, and what to do about it.
    SPREAD_PATTERN: String = "spread_pattern", Neither, ["item"];
    /// Most age of a spreader calibration.
    CALIBRATION_AGE: Days = "calibration_age", Smaller, ["operation"];
    /// Least distance that a spreader runs before it reaches the sheets.
    CALIBRATION_START: Feet = "calibration_start", Larger, [];
    /// Least number of runs over a sheet.
    CALIBRATION_RUNS: Times = "calibration_runs", Larger, [];
    /// How long the records are kept.
    RECORDS_YEARS: Years = "records_years", Larger, ["operation"];
    /// One thing to write down of an application.
    RECORD_ITEM: String = "record_item", Neither, ["item", "operation"];
    /// A caution for the plan and the sheet.
    CAUTION: String = "caution", Neither, ["when"];
    /// A remark for whoever checks the limits.
    PLANNER_NOTE: String = "planner_note", Neither, ["when"];
    /// A condition in which the applicator stops.
    STOP: String = "stop", Neither, ["when"];
    /// What a value that a farm writes usually is, and what it can be at all.
    PLAUSIBLE: Band = "plausible", Neither, ["thing", "material", "forage", "feature", "topic", "unit"];
}

impl Topic {
    /// The topic with this key.
    #[must_use]
    pub fn named(key: &str) -> Option<Topic> {
        TOPICS.iter().copied().find(|t| t.key() == key)
    }
}
