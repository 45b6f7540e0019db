//! The table of bounded quantities: one line says a quantity's word, unit,
//! bounds and accepted spellings; its type, its check and its messages all
//! come from that line.

use crate::units::Refusal;

/// What every quantity can tell of itself.
pub trait Quantity: Copy {
    /// The word used in messages, as in "the yield goal".
    const WORD: &'static str;
    /// The unit it is kept and shown in.
    const UNIT: &'static str;
    /// Least value allowed, in `UNIT`.
    const LEAST: f64;
    /// Most value allowed, in `UNIT`.
    const MOST: f64;
    /// Spellings a person may write, with the factor to `UNIT`.
    const SPELLINGS: &'static [(&'static str, f64)];

    /// Checks a number that is already in `UNIT`.
    ///
    /// # Errors
    /// When the number is not finite or lies outside `LEAST..=MOST`.
    fn new(value: f64) -> Result<Self, Refusal>;

    /// The number, in `UNIT`.
    fn get(self) -> f64;
}

macro_rules! quantities {
    ($($(#[$doc:meta])* $Name:ident, $word:literal, $unit:literal, $least:literal ..= $most:literal,
       [$($spelling:literal = $factor:expr),+ $(,)?];)+) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
        pub struct $Name(f64);

        impl Quantity for $Name {
            const WORD: &'static str = $word;
            const UNIT: &'static str = $unit;
            const LEAST: f64 = $least;
            const MOST: f64 = $most;
            const SPELLINGS: &'static [(&'static str, f64)] = &[$(($spelling, $factor)),+];

            fn new(value: f64) -> Result<Self, Refusal> {
                if !value.is_finite() {
                    return Err(Refusal::NotANumber);
                }
                if !(Self::LEAST..=Self::MOST).contains(&value) {
                    return Err(Refusal::OutOfRange { least: Self::LEAST, most: Self::MOST, unit: Self::UNIT });
                }
                Ok($Name(value))
            }

            fn get(self) -> f64 {
                self.0
            }
        }

        impl std::fmt::Display for $Name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                write!(f, "{} {}", crate::units::trimmed(self.0), Self::UNIT)
            }
        }

        impl serde::Serialize for $Name {
            fn serialize<S: serde::Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
                s.serialize_f64(self.0)
            }
        }

        impl<'de> serde::Deserialize<'de> for $Name {
            fn deserialize<D: serde::Deserializer<'de>>(d: D) -> Result<$Name, D::Error> {
                let value = f64::deserialize(d)?;
                $Name::new(value).map_err(|_| serde::de::Error::custom("out of bounds"))
            }
        }
    )+};
}

/// Acres in a hectare: 10,000 m2 over the acre of 4,046.8564224 m2.
const ACRES_PER_HECTARE: f64 = 10_000.0 / 4_046.856_422_4;
/// Short tons in a metric ton: 1,000 kg over 907.18474 kg.
const TONS_PER_TONNE: f64 = 1_000.0 / 907.184_74;
/// Feet in a metre, by the international foot of 0.3048 m.
const FEET_PER_METRE: f64 = 1.0 / 0.3048;
/// Pounds in a kilogram, by the international pound of 0.45359237 kg.
const POUNDS_PER_KG: f64 = 1.0 / 0.453_592_37;
/// Gallons of 231 cubic inches in a cubic foot.
pub const GALLONS_PER_FT3: f64 = 1_728.0 / 231.0;

quantities! {
    /// Ground area in acres.
    Acres, "area", "ac", 0.0..=1_000_000.0,
        ["ac" = 1.0, "acre" = 1.0, "acres" = 1.0, "ha" = ACRES_PER_HECTARE];
    /// A short length in feet: a setback, a swath.
    Feet, "distance", "ft", 0.0..=20_000.0,
        ["ft" = 1.0, "foot" = 1.0, "feet" = 1.0, "yd" = 3.0, "m" = FEET_PER_METRE];
    /// A length measured with a tape, in feet: a sheet, a pan, a pile.
    Length, "length", "ft", 0.0..=20_000.0,
        ["ft" = 1.0, "foot" = 1.0, "feet" = 1.0, "in" = 1.0 / 12.0, "inches" = 1.0 / 12.0, "yd" = 3.0,
         "m" = FEET_PER_METRE, "cm" = FEET_PER_METRE / 100.0];
    /// A volume in cubic feet: a spreader's box, a pile.
    CubicFeet, "volume", "ft3", 0.0..=10_000_000.0,
        ["ft3" = 1.0, "yd3" = 27.0, "m3" = FEET_PER_METRE * FEET_PER_METRE * FEET_PER_METRE];
    /// A weight off a scale, in pounds: a sheet, a pan, a bucket, a truck.
    Weight, "weight", "lb", 0.0..=1_000_000.0,
        ["lb" = 1.0, "lbs" = 1.0, "oz" = 1.0 / 16.0, "g" = POUNDS_PER_KG / 1_000.0, "kg" = POUNDS_PER_KG,
         "tons" = 2_000.0, "ton" = 2_000.0];
    /// How much a cubic foot of litter weighs, in pounds.
    Density, "density", "lb/ft3", 1.0..=150.0,
        ["lb/ft3" = 1.0, "lb/yd3" = 1.0 / 27.0, "lb/gal" = GALLONS_PER_FT3,
         "kg/m3" = POUNDS_PER_KG / (FEET_PER_METRE * FEET_PER_METRE * FEET_PER_METRE),
         "kg/L" = 1_000.0 * POUNDS_PER_KG / (FEET_PER_METRE * FEET_PER_METRE * FEET_PER_METRE)];
    /// A way by road in miles.
    Miles, "way", "miles", 0.0..=2_000.0,
        ["miles" = 1.0, "mile" = 1.0, "mi" = 1.0, "km" = 1.0 / 1.609_344, "ft" = 1.0 / 5_280.0];
    /// A litter mass in short tons as written; kept in the books as whole pounds.
    Tons, "an amount of litter", "tons", 0.0..=1_000_000.0,
        ["tons" = 1.0, "ton" = 1.0, "lb" = 0.0005, "t" = TONS_PER_TONNE, "tonnes" = TONS_PER_TONNE];
    /// A spreading rate in short tons per acre.
    TonsPerAcre, "rate", "tons/ac", 0.0..=100.0,
        ["tons/ac" = 1.0, "ton/ac" = 1.0, "lb/ac" = 0.0005, "t/ha" = TONS_PER_TONNE / ACRES_PER_HECTARE];
    /// A hay yield in short tons of dry hay per acre and year.
    Yield, "hay yield", "tons/ac", 0.0..=20.0,
        ["tons/ac" = 1.0, "ton/ac" = 1.0, "lb/ac" = 0.0005, "t/ha" = TONS_PER_TONNE / ACRES_PER_HECTARE];
    /// A yield of grain in bushels of an acre.
    BushelsPerAcre, "grain yield", "bu/ac", 0.0..=1_000.0, ["bu/ac" = 1.0, "bushels/ac" = 1.0];
    /// What a bushel of grain holds, in pounds.
    LbPerBushel, "content of a bushel", "lb/bu", 0.0..=20.0, ["lb/bu" = 1.0, "lbs/bu" = 1.0, "lb/bushel" = 1.0];
    /// A span of days.
    Days, "days", "days", 0.0..=3_660.0, ["days" = 1.0, "day" = 1.0, "hours" = 1.0 / 24.0, "weeks" = 7.0];
    /// A short span of time, in minutes.
    Minutes, "time", "minutes", 0.0..=600.0,
        ["minutes" = 1.0, "minute" = 1.0, "min" = 1.0, "hours" = 60.0, "hour" = 60.0];
    /// A speed on the road, in miles an hour.
    MilesPerHour, "speed", "mph", 1.0..=80.0, ["mph" = 1.0, "miles/hour" = 1.0, "km/h" = 1.0 / 1.609_344];
    /// Weight of a roll of hay as it lies, in pounds.
    RollWeight, "weight of a roll", "lb", 50.0..=5_000.0, ["lb" = 1.0, "lbs" = 1.0, "kg" = POUNDS_PER_KG];
    /// Live weight of a bird when it is sold, in pounds.
    BirdWeight, "weight of a bird", "lb", 0.5..=60.0, ["lb" = 1.0, "lbs" = 1.0, "kg" = POUNDS_PER_KG];
    /// What a ton of litter or hay holds, in pounds per short ton.
    LbPerTon, "content", "lb/ton", 0.0..=2_000.0,
        ["lb/ton" = 1.0, "lbs/ton" = 1.0, "%" = 20.0, "ppm" = 0.002, "mg/kg" = 0.002, "kg/t" = 2.0, "g/kg" = 2.0];
    /// What a thousand gallons hold, in pounds: a content by volume.
    LbPerThousandGallons, "content by volume", "lb/1000 gal", 0.0..=20_000.0,
        ["lb/1000 gal" = 1.0, "lb/1,000 gal" = 1.0,
         "g/L" = POUNDS_PER_KG * 1_000.0 / (GALLONS_PER_FT3 * FEET_PER_METRE * FEET_PER_METRE * FEET_PER_METRE)];
    /// A nutrient on an acre, in pounds.
    LbPerAcre, "nutrient per acre", "lb/ac", 0.0..=10_000.0,
        ["lb/ac" = 1.0, "lbs/ac" = 1.0, "kg/ha" = POUNDS_PER_KG / ACRES_PER_HECTARE];
    /// A share of a whole, in percent.
    Percent, "share", "%", 0.0..=100.0, ["%" = 1.0, "percent" = 1.0];
    /// A share of a whole, as a part of one.
    Share, "share", "share", 0.0..=1.0, ["share" = 1.0, "%" = 0.01, "percent" = 0.01];
    /// How many times something is, or may be done.
    Times, "number", "times", 0.0..=100_000.0, ["times" = 1.0];
    /// Birds that are confined at one time.
    Birds, "number of birds", "birds", 0.0..=100_000_000.0, ["birds" = 1.0];
    /// A plain factor of a formula.
    Factor, "factor", "factor", 0.0..=100_000.0, ["factor" = 1.0];
    /// A span of years.
    Years, "years", "years", 0.0..=1_000.0, ["years" = 1.0, "year" = 1.0, "months" = 1.0 / 12.0];
    /// A span of months.
    Months, "months", "months", 0.0..=1_200.0, ["months" = 1.0, "month" = 1.0, "years" = 12.0, "year" = 12.0];
    /// The pH of a soil, in water or in a buffer.
    Ph, "pH", "pH", 0.0..=14.0, ["pH" = 1.0];
    /// Acidity of a soil.
    Acidity, "acidity", "meq/100 cm3", 0.0..=100.0, ["meq/100 cm3" = 1.0];
    /// Pounds of one thing for a pound of another.
    LbPerLb, "ratio", "lb/lb", 0.0..=1_000.0, ["lb/lb" = 1.0, "kg/kg" = 1.0];
    /// A trace content in parts per million (mg/kg).
    Ppm, "trace content", "ppm", 0.0..=1_000_000.0,
        ["ppm" = 1.0, "mg/kg" = 1.0, "lb/ton" = 500.0, "%" = 10_000.0];
    /// A price of a pound of a nutrient.
    DollarsPerLb, "price", "$/lb", 0.0..=1_000.0, ["$/lb" = 1.0, "$/kg" = 0.453_592_37];
    /// A price or cost of a ton of litter.
    DollarsPerTon, "price", "$/ton", 0.0..=100_000.0, ["$/ton" = 1.0, "$/t" = 0.907_184_74];
    /// The cost of going over an acre once.
    DollarsPerAcre, "cost", "$/ac", 0.0..=10_000.0, ["$/ac" = 1.0, "$/ha" = 1.0 / ACRES_PER_HECTARE];
    /// The cost of going to a field and setting up, each time.
    DollarsPerJob, "cost", "$/job", 0.0..=10_000.0, ["$/job" = 1.0];
    /// The cost of a load, full or not.
    DollarsPerLoad, "cost", "$/load", 0.0..=10_000.0, ["$/load" = 1.0];
    /// The cost of hauling a ton of litter one mile.
    DollarsPerTonMile, "cost", "$/ton-mile", 0.0..=1_000.0,
        ["$/ton-mile" = 1.0, "$/ton/mile" = 1.0];
}

/// Pounds of P2O5 that hold a pound of P: (2 x 30.9738 + 5 x 15.9994) over
/// 2 x 30.9738, from the standard atomic weights.
pub const P2O5_PER_P: f64 = 2.2914;
/// Pounds of crude protein for a pound of nitrogen: what crude protein is said to be.
pub const PROTEIN_PER_N: f64 = 6.25;
/// Pounds of K2O that hold a pound of K: (2 x 39.0983 + 15.9994) over
/// 2 x 39.0983, from the standard atomic weights.
pub const K2O_PER_K: f64 = 1.2046;
