//! The kinds of figure the program asks for: name, form, unit and scope.

/// What form the values of a topic have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// One number.
    Number,
    /// Classes by a soil-test value.
    Steps,
    /// One number, or a curve over the soil-test value.
    NumberOrCurve,
    /// Days of the year between which something may be done.
    Season,
    /// A word or a sentence.
    Words,
    /// What is usual, and what can be at all.
    Band,
}

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

macro_rules! topics {
    ($($(#[$doc:meta])* $Name:ident = $key:literal, $form:ident, [$($unit:literal),*], $safe:ident, [$($scope:literal),*];)+) => {
        /// A kind of figure.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Topic { $($(#[$doc])* $Name,)+ }

        /// Every topic, in the order they are listed for a reader.
        pub const TOPICS: &[Topic] = &[$(Topic::$Name),+];

        impl Topic {
            /// The key in `reference/`.
            #[must_use]
            pub fn key(self) -> &'static str {
                match self { $(Topic::$Name => $key,)+ }
            }

            /// The form of its values.
            #[must_use]
            pub fn form(self) -> Form {
                match self { $(Topic::$Name => Form::$form,)+ }
            }

            /// The units it may be given in; none for words and seasons.
            #[must_use]
            pub fn units(self) -> &'static [&'static str] {
                match self { $(Topic::$Name => &[$($unit),*],)+ }
            }

            /// Which way it becomes stricter.
            #[must_use]
            pub fn safe(self) -> Safe {
                match self { $(Topic::$Name => Safe::$safe,)+ }
            }

            /// The scope keys it may apply to; an earlier key weighs more
            /// when two figures fit a question equally well.
            #[must_use]
            pub fn scope(self) -> &'static [&'static str] {
                match self { $(Topic::$Name => &[$($scope),*],)+ }
            }
        }
    };
}

topics! {
    /// Nitrogen need per ton of the yield goal.
    NPerTon = "n_per_ton", Number, ["lb/ton"], Smaller, ["forage", "use"];
    /// Nitrogen rate for a year where a place gives it without a yield.
    NRate = "n_rate", Number, ["lb/ac"], Smaller, ["forage", "use", "texture"];
    /// Share taken off the nitrogen need when the forage is grazed.
    NGrazingCut = "n_grazing_cut", Number, ["share"], Larger, ["use"];
    /// Legume share of the stand at or above which no nitrogen is applied.
    NLegumeNone = "n_legume_none", Number, ["%"], Smaller, ["forage"];
    /// Largest share of the year's nitrogen need in one season.
    NSplit = "n_split", Number, ["share"], Smaller, ["forage", "season", "use", "region"];
    /// Most available nitrogen in one application.
    NAtOnce = "n_at_once", Number, ["lb/ac"], Smaller, ["forage", "use"];
    /// Share of total nitrogen available in the first year.
    NAvailable = "n_available", Number, ["share"], Neither, ["material", "placement", "season"];
    /// Share of organic nitrogen released in a year after spreading.
    NOrganicAvailable = "n_organic_available", Number, ["share"], Neither, ["material", "year", "season"];
    /// Share of ammonium nitrogen kept after spreading.
    NAmmoniumKept = "n_ammonium_kept", Number, ["share"], Neither, ["material", "placement", "days", "season"];
    /// Classes of soil-test phosphorus.
    SoilPClass = "soil_p_class", Steps, ["index", "ppm", "lb/ac"], Neither, ["extractant", "region"];
    /// Classes of soil-test potassium.
    SoilKClass = "soil_k_class", Steps, ["index", "ppm", "lb/ac"], Neither, ["extractant", "region"];
    /// Classes of soil-test magnesium.
    SoilMgClass = "soil_mg_class", Steps, ["index", "ppm", "lb/ac"], Neither, ["extractant", "region"];
    /// Phosphate that the soil test asks for.
    P2o5Need = "p2o5_need", NumberOrCurve, ["lb/ac"], Neither, ["forage", "use", "class"];
    /// Potash that the soil test asks for.
    K2oNeed = "k2o_need", NumberOrCurve, ["lb/ac"], Neither, ["forage", "use", "class"];
    /// Nitrogen carried off per ton of hay.
    NRemovedPerTon = "n_removed_per_ton", Number, ["lb/ton"], Smaller, ["forage"];
    /// Phosphate carried off per ton of hay.
    P2o5PerTon = "p2o5_per_ton", Number, ["lb/ton"], Smaller, ["forage"];
    /// Potash carried off per ton of hay.
    K2oPerTon = "k2o_per_ton", Number, ["lb/ton"], Smaller, ["forage"];
    /// Share of what is eaten that grazing animals carry off.
    GrazingKeeps = "grazing_keeps", Number, ["share"], Smaller, ["nutrient", "use"];
    /// Phosphorus basis by the planner's site risk rating.
    PBasisRating = "p_basis_rating", Words, ["words", "none"], Neither, ["rating"];
    /// Phosphorus basis by soil test.
    PBasisTest = "p_basis_test", Steps, ["index", "ppm", "lb/ac"], Neither, ["extractant", "region"];
    /// Most years of crop removal in one application.
    PBankYears = "p_bank_years", Number, ["years"], Smaller, ["rating"];
    /// Most litter in one application.
    RateMost = "rate_most", Number, ["tons/ac"], Smaller, ["forage", "material", "use"];
    /// Most litter in one year.
    RateMostYear = "rate_most_year", Number, ["tons/ac"], Smaller, ["forage", "material", "use"];
    /// Most applications of litter in one year.
    Applications = "applications", Number, ["times"], Smaller, ["forage", "use"];
    /// Least distance from a feature.
    Setback = "setback", Number, ["ft"], Larger, ["feature", "strip", "owner", "consent", "lies", "operation", "placement"];
    /// Miles by road for a mile in a straight line.
    Detour = "detour", Number, ["times"], Neither, [];
    /// Days of the year on which litter may go on.
    SeasonOpen = "season", Season, ["month-day", "season", "none"], Neither, ["season", "forage", "use", "region"];
    /// Days of the year on which nothing is spread, whatever the season.
    ClosedDays = "closed_days", Season, ["month-day", "none"], Neither, ["region"];
    /// Days from spreading until stock may graze.
    GrazeWait = "graze_wait", Number, ["days"], Larger, ["use"];
    /// Most age of a litter analysis when it is spread.
    LitterSampleAge = "litter_sample_age", Number, ["days"], Smaller, ["operation"];
    /// Age of a litter analysis from which no plan may rest on it.
    LitterSampleStop = "litter_sample_stop", Number, ["days"], Smaller, ["operation"];
    /// Most age of a soil test.
    SoilSampleAge = "soil_sample_age", Number, ["days"], Smaller, ["operation"];
    /// Most days that litter may lie outside uncovered.
    StockpileDays = "stockpile_days", Number, ["days"], Smaller, ["operation"];
    /// Least distance of a pile from a feature.
    StockpileSetback = "stockpile_setback", Number, ["ft"], Larger, ["feature", "operation"];
    /// Soil zinc from which to take care.
    SoilZincCaution = "soil_zinc_caution", Number, ["index", "ppm", "lb/ac"], Smaller, ["forage"];
    /// Soil zinc from which no litter goes on.
    SoilZincStop = "soil_zinc_stop", Number, ["index", "ppm", "lb/ac"], Smaller, ["forage"];
    /// Soil copper from which to take care.
    SoilCopperCaution = "soil_copper_caution", Number, ["index", "ppm", "lb/ac"], Smaller, ["forage"];
    /// Soil copper from which no litter goes on.
    SoilCopperStop = "soil_copper_stop", Number, ["index", "ppm", "lb/ac"], Smaller, ["forage"];
    /// Pounds on an acre that raise the soil zinc by one unit.
    ZincPerUnit = "zinc_per_unit", Number, ["lb/ac"], Smaller, ["extractant"];
    /// Pounds on an acre that raise the soil copper by one unit.
    CopperPerUnit = "copper_per_unit", Number, ["lb/ac"], Smaller, ["extractant"];
    /// Most zinc in one year.
    ZincLoadYear = "zinc_load_year", Number, ["lb/ac"], Smaller, [];
    /// Most copper in one year.
    CopperLoadYear = "copper_load_year", Number, ["lb/ac"], Smaller, [];
    /// Most of a metal ever put on an acre.
    MetalLoadTotal = "metal_load_total", Number, ["lb/ac"], Smaller, ["nutrient"];
    /// Most of a metal in dry litter that is spread.
    MetalCeiling = "metal_ceiling", Number, ["ppm"], Smaller, ["nutrient"];
    /// Pounds of phosphate that move the soil-test phosphorus by one unit.
    P2o5PerUnit = "p2o5_per_unit", Number, ["lb/ac"], Neither, ["extractant", "region"];
    /// Pounds of potash that move the soil-test potassium by one unit.
    K2oPerUnit = "k2o_per_unit", Number, ["lb/ac"], Neither, ["extractant", "region"];
    /// How many of the latest years make the yield goal: the best ones.
    YieldBest = "yield_best", Number, ["years"], Neither, [];
    /// How many of the latest years are looked at for the yield goal.
    YieldOf = "yield_of", Number, ["years"], Neither, [];
    /// pH that a forage is limed to.
    TargetPh = "target_ph", Number, ["pH"], Neither, ["forage", "use"];
    /// Buffer pH at which no acidity is left.
    LimeZeroPh = "lime_zero_ph", Number, ["pH"], Neither, [];
    /// Acidity per unit of buffer pH below that.
    LimePerPh = "lime_per_ph", Number, ["meq/100 cm3"], Neither, [];
    /// Most lime on an established stand at once.
    LimeMost = "lime_most", Number, ["tons/ac"], Smaller, ["use"];
    /// Months between two limings of an established stand.
    LimeEvery = "lime_every", Number, ["months"], Larger, ["use"];
    /// Most soil loss of ground that gets litter.
    SoilLossMost = "soil_loss_most", Number, ["tons/ac"], Smaller, [];
    /// Slope-length exponent of the soil loss equation, by slope.
    SoilLossExponent = "soil_loss_exponent", Steps, ["%"], Neither, [];
    /// Cover factor of grass, by the share of ground it covers.
    SoilLossCover = "soil_loss_cover", Steps, ["%"], Neither, [];
    /// Slope factor of the soil loss equation over the sine of the slope.
    SoilLossSlope = "soil_loss_slope", NumberOrCurve, ["factor"], Neither, [];
    /// Length of the reference slope of the soil loss equation.
    SoilLossLength = "soil_loss_length", Number, ["ft"], Neither, [];
    /// An item that a nutrient management plan must hold.
    PlanItem = "plan_item", Words, ["words", "none"], Neither, ["item"];
    /// Share of a month's days that are fit for field work.
    FitShare = "fit_share", Number, ["share"], Neither, ["month", "region"];
    /// Litter that a flock of 1,000 birds makes.
    LitterMade = "litter_made", Number, ["tons"], Neither, ["material"];
    /// Litter that a pound of live weight makes.
    LitterPerWeight = "litter_per_weight", Number, ["lb/lb"], Neither, ["end"];
    /// What a cubic foot of litter weighs, where nobody has weighed a bucket.
    LitterDensity = "litter_density", Number, ["lb/ft3"], Neither, ["end", "material"];
    /// What a kind of litter usually holds.
    LitterTypical = "litter_typical", Number, ["lb/ton", "ppm", "%"], Neither, ["material", "nutrient"];
    /// Pounds in a cubic foot for a pound in a 5-gallon bucket.
    BucketFactor = "bucket_factor", Number, ["times"], Neither, [];
    /// Most unevenness of the overlapped swath of a spreader.
    SpreadCv = "spread_cv", Number, ["%"], Smaller, [];
    /// What unevenness was found on spreaders at work.
    SpreadCvFound = "spread_cv_found", Words, ["words", "none"], Neither, [];
    /// How a sound pattern is told from a poor one, and what to do about it.
    SpreadPattern = "spread_pattern", Words, ["words", "none"], Neither, ["item"];
    /// Most age of a spreader calibration.
    CalibrationAge = "calibration_age", Number, ["days"], Smaller, ["operation"];
    /// Least distance that a spreader runs before it reaches the sheets.
    CalibrationStart = "calibration_start", Number, ["ft"], Larger, [];
    /// Least number of runs over a sheet.
    CalibrationRuns = "calibration_runs", Number, ["times"], Larger, [];
    /// How long the records are kept.
    RecordsYears = "records_years", Number, ["years"], Larger, ["operation"];
    /// One thing to write down of an application.
    RecordItem = "record_item", Words, ["words", "none"], Neither, ["item", "operation"];
    /// A caution for the plan and the sheet.
    Caution = "caution", Words, ["words", "none"], Neither, ["when"];
    /// A remark for whoever checks the limits.
    PlannerNote = "planner_note", Words, ["words", "none"], Neither, ["when"];
    /// A condition in which the applicator stops.
    Stop = "stop", Words, ["words", "none"], Neither, ["when"];
    /// What a value that a farm writes usually is, and what it can be at all.
    Plausible = "plausible", Band, [], Neither, ["thing", "material", "forage", "unit"];
}

impl Topic {
    /// The topic with this key.
    #[must_use]
    pub fn named(key: &str) -> Option<Topic> {
        TOPICS.iter().copied().find(|t| t.key() == key)
    }
}
