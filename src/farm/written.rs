//! The farm as it was written: everything read and in its bounds, nothing
//! yet held against the tables or against the other files.

use crate::farm::before::{Before, Stand};
use crate::farm::calibration::WrittenCalibration;
use crate::farm::crops::{Bushels, WrittenCrop};
use crate::farm::dated::Dated;
use crate::farm::days::WrittenWork;
use crate::farm::figures::WrittenFigure;
use crate::farm::hay::HayAnalysis;
use crate::farm::herds::Herd;
use crate::farm::on_hand::OnHand;
use crate::farm::prices::Prices;
use crate::farm::rated::Rated;
use crate::farm::recommended::Recommended;
use crate::farm::soils::{Soil, SoilNames};
use crate::farm::sure::Sure;
use crate::farm::words::{Basis, CountOrder, Endophyte, Stored, Texture, Use};
use crate::farm::yields::YieldYear;
use crate::findings::{At, Place};
use crate::text::{Mark, Signed};
use crate::units::{Acres, Days, Feet, LbPerAcre, LbPerTon, Miles, Percent, Ppm, SoilValue, Tons, TonsPerAcre, Yield};
use geo::{Coord, Geometry, MultiPolygon};
use jiff::civil::Date;

/// Everything the farm folder says.
#[derive(Clone, Debug, Default)]
pub struct Written {
    /// Name of the farm.
    pub name: String,
    /// A remark on the farm.
    pub note: Option<String>,
    /// Key of the place whose rules hold.
    pub place: Option<At<String>>,
    /// Region of the place.
    pub region: Option<At<String>>,
    /// County.
    pub county: Option<String>,
    /// Whether the farm is a large operation under the federal rule.
    pub large: Option<At<bool>>,
    /// People, in the order grower, applicator, planner.
    pub people: Vec<Person>,
    /// First and last day of the plan.
    pub span: Option<(At<Date>, At<Date>)>,
    /// The files that were read, each with the mark of its text.
    pub files: Vec<Mark>,
    /// The day as of which the plan is made; today when not stated.
    pub as_of: Option<At<Date>>,
    /// Prices, when given.
    pub prices: Option<Prices>,
    /// Fertilizer that can be bought, and what litter keeps over a year.
    pub shop: crate::farm::Shop,
    /// The spreader.
    pub spreader: Option<Spreader>,
    /// Miles by road for a mile in a straight line, as the grower has driven.
    pub detour: Option<At<f64>>,
    /// Lots of litter.
    pub lots: Vec<WrittenLot>,
    /// Herds and flocks that graze.
    pub herds: Vec<Herd>,
    /// When the litter is spread, where it is kept, what makes it.
    pub work: WrittenWork,
    /// Fields.
    pub fields: Vec<WrittenField>,
    /// Boundaries.
    pub boundaries: Vec<Boundary>,
    /// Gates of fields and stacks of lots.
    pub points: Vec<NamedPoint>,
    /// What litter keeps away from.
    pub keepouts: Vec<WrittenKeepOut>,
    /// Whether farm.yaml has a block `soils:`, sound or not.
    pub soils_named: bool,
    /// How the attributes of `soils.geojson` are called.
    pub soil_names: Option<SoilNames>,
    /// What is mapped under the fields.
    pub soils: Vec<Soil>,
    /// The laboratories' files that farm.yaml names.
    pub labs: crate::farm::Labs,
    /// How the columns of scale tickets are called.
    pub tickets: Option<crate::farm::TicketNames>,
    /// What was measured behind the spreader, where that is written down.
    pub calibration: Option<WrittenCalibration>,
    /// Figures that the farm gives where the tables hold none.
    pub figures: Vec<WrittenFigure>,
    /// Crops that the tables lack.
    pub crops: Vec<WrittenCrop>,
    /// True when some of them are written and could not be read.
    pub crops_lost: bool,
    /// Ids of boundaries that were drawn but could not be read, so that their
    /// fields are not blamed for having none.
    pub boundaries_unread: Vec<String>,
    /// True when `fields.geojson` as a whole could not be read.
    pub boundaries_lost: bool,
    /// True when `prices` are written and could not be read.
    pub prices_lost: bool,
    /// Ids of fields and lots that were written but could not be read, so
    /// that nothing else complains of their absence.
    pub unread: Vec<String>,
}

/// Somebody to call.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Person {
    /// grower, applicator or planner.
    pub part: &'static str,
    /// Name.
    pub name: String,
    /// Telephone.
    pub phone: Option<String>,
    /// Licence or certificate.
    pub certificate: Option<String>,
}

/// The spreader.
#[derive(Clone, Debug, PartialEq)]
pub struct Spreader {
    /// Name.
    pub name: String,
    /// Driving distance between passes.
    pub swath: At<Feet>,
    /// Tons in a full load.
    pub load: At<Tons>,
    /// Distance between two settings.
    pub step: At<TonsPerAcre>,
    /// Lowest even rate.
    pub least: At<TonsPerAcre>,
    /// Highest even rate.
    pub most: At<TonsPerAcre>,
    /// The smallest part of a field that may be spread by itself.
    pub least_part: Option<At<Acres>>,
    /// Day of the last calibration.
    pub calibrated: Option<At<Date>>,
    /// Who is sure of values far from what is usual.
    pub sure: Option<Sure>,
}

/// One lot of litter.
#[derive(Clone, Debug, PartialEq)]
pub struct WrittenLot {
    /// Id.
    pub id: At<String>,
    /// Kind of litter, as a key of the tables.
    pub kind: At<String>,
    /// Which houses it came from.
    pub from: Option<String>,
    /// Tons on hand.
    pub on_hand: At<OnHand>,
    /// How the tons were counted.
    pub counted: Option<String>,
    /// The day on which they were counted; since when it lies there where none
    /// is given.
    pub counted_on: Option<At<Date>>,
    /// Whether they were counted before or after what else moved on that day.
    pub count_order: Option<At<CountOrder>>,
    /// Where it lies.
    pub stored: At<Stored>,
    /// Since when it lies there.
    pub since: Option<At<Date>>,
    /// Whether the grower wants it used before the others.
    pub first: Option<At<bool>>,
    /// Fields, or `grazed ground`, on which none of it may go.
    pub not_on: Vec<At<String>>,
    /// The analysis in force; none when the tables' typical contents must serve.
    pub analysis: Option<Analysis>,
    /// All of them.
    pub analyses: Dated<Analysis>,
    /// Who is sure of values far from what is usual.
    pub sure: Option<Sure>,
    /// Where its entry starts.
    pub place: Place,
}

/// A laboratory's litter analysis.
#[derive(Clone, Debug, PartialEq)]
pub struct Analysis {
    /// Laboratory.
    pub lab: String,
    /// Day of sampling.
    pub sampled: At<Date>,
    /// As received or dry.
    pub basis: At<Basis>,
    /// Moisture as received.
    pub moisture: At<Percent>,
    /// Total nitrogen.
    pub total_n: At<LbPerTon>,
    /// Ammonium nitrogen.
    pub ammonium_n: Option<At<LbPerTon>>,
    /// Nitrate nitrogen.
    pub nitrate_n: Option<At<LbPerTon>>,
    /// Phosphorus.
    pub p: Content,
    /// Potassium.
    pub k: Content,
    /// Zinc, on the same basis.
    pub zinc: Option<At<Ppm>>,
    /// Copper, on the same basis.
    pub copper: Option<At<Ppm>>,
    /// Who is sure of values far from what is usual.
    pub sure: Option<Sure>,
}

/// Phosphorus or potassium as the laboratory reports it.
#[derive(Clone, Debug, PartialEq)]
pub struct Content {
    /// The content.
    pub value: At<LbPerTon>,
    /// As the oxide (P2O5, K2O) rather than the element.
    pub oxide: bool,
}

/// One field.
#[derive(Clone, Debug, PartialEq)]
pub struct WrittenField {
    /// Id.
    pub id: At<String>,
    /// Name.
    pub name: String,
    /// Forage, as a key of the tables.
    pub forage: At<String>,
    /// What becomes of it.
    pub usage: At<Use>,
    /// Texture of the soil.
    pub texture: Option<At<Texture>>,
    /// Share of legumes in the stand.
    pub legume: Option<At<Percent>>,
    /// Share of the year's growth that is cut for hay, before stock grazes the rest.
    pub hayed: Option<At<Percent>>,
    /// The fungus in a stand of tall fescue.
    pub endophyte: Option<At<Endophyte>>,
    /// Yield goal in dry hay, or in grain, when it is stated.
    pub yield_goal: Option<At<Yield>>,
    /// The same in bushels, where it is written so.
    pub bushels: Option<Bushels>,
    /// Yield that a soil survey gives for the ground, when nothing better is
    /// known.
    pub survey_yield: Option<At<Yield>>,
    /// Days until litter is worked into the soil, where the sod is renovated;
    /// it stays on top otherwise.
    pub worked_in: Option<At<Days>>,
    /// Yields of past years, from which the goal is calculated when none is
    /// stated.
    pub yields: Vec<YieldYear>,
    /// Litter of earlier years that still gives nitrogen.
    pub earlier: Vec<Earlier>,
    /// Years of phosphate removal put on at once, to be rested off after.
    pub bank_years: Option<At<u32>>,
    /// Last year in which no phosphate may go on, because an earlier spreading
    /// carried several years of removal.
    pub banked_until: Option<At<i16>>,
    /// What the soil loss equation asks for.
    pub erosion: Option<Erosion>,
    /// The soil test in force; none when it is missing.
    pub soil_test: Option<SoilTest>,
    /// All of them.
    pub soil_tests: Dated<SoilTest>,
    /// The analysis of its forage that is in force.
    pub hay: Option<HayAnalysis>,
    /// All of them.
    pub hays: Dated<HayAnalysis>,
    /// The planner's site risk rating for phosphorus that is in force.
    pub rating: Option<Rated>,
    /// All of them.
    pub ratings: Dated<Rated>,
    /// What is stated for the phosphorus rule and in force.
    pub rule_said: Option<RuleSaid>,
    /// All of them.
    pub rules_said: Dated<RuleSaid>,
    /// What the field was until some days, the earliest first.
    pub before: Vec<Before>,
    /// What farm.yaml says of it now, where it was another before.
    pub stand: Stand,
    /// Nitrogen from anything else in the plan's year.
    pub other_n: Option<At<LbPerAcre>>,
    /// The grower's own highest rate.
    pub most: Option<At<TonsPerAcre>>,
    /// The only lots that the field may get; any when empty.
    pub only_lots: Vec<At<String>>,
    /// Why the grower closes the field.
    pub closed: Option<At<String>>,
    /// Miles by road from a lot (from every lot where none is named) to its
    /// gate, as the grower has driven them.
    pub miles: Vec<(Option<At<String>>, At<Miles>)>,
    /// Which way the grower wants it driven.
    pub heading: Option<At<Heading>>,
    /// Whether it is always done whole.
    pub whole: Option<At<bool>>,
    /// The grower's own days from spreading to a cutting.
    pub cut_wait: Option<At<Days>>,
    /// Planned cuttings.
    pub cuttings: Vec<At<Date>>,
    /// Planned grazing.
    pub grazed: Vec<(At<Date>, At<Date>)>,
    /// Who is sure of values far from what is usual.
    pub sure: Option<Sure>,
    /// Where its entry starts.
    pub place: Place,
}

impl WrittenField {
    /// The last year of rest from phosphate, where a year is one of rest.
    #[must_use]
    pub fn resting(&self, year: i16) -> Option<&At<i16>> {
        self.banked_until.as_ref().filter(|until| year <= until.value)
    }

    /// The grower's own miles from a lot: those that name it before those that
    /// name none.
    #[must_use]
    pub fn miles_from(&self, lot: &str) -> Option<&At<Miles>> {
        let named = self.miles.iter().find(|(of, _)| of.as_ref().is_some_and(|l| l.value == lot));
        named.or_else(|| self.miles.iter().find(|(of, _)| of.is_none())).map(|(_, miles)| miles)
    }
}

/// Which way a grower wants a field driven.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Heading {
    /// So many degrees clockwise from true north, 0 to 180: a run has no front.
    Degrees(f64),
    /// Along the line at which the plan parts the field, in such degrees.
    PartLine(f64),
    /// Along the longer side of the ground.
    LongSide,
}

/// Litter of an earlier year on a field.
#[derive(Clone, Debug, PartialEq)]
pub struct Earlier {
    /// The year.
    pub year: At<i16>,
    /// Kind of litter, as a key of the tables.
    pub kind: At<String>,
    /// Tons per acre.
    pub rate: At<TonsPerAcre>,
    /// Organic nitrogen it held, as spread.
    pub organic_n: At<LbPerTon>,
}

/// Slope, soil and cover of a field, for the soil loss equation.
#[derive(Clone, Debug, PartialEq)]
pub struct Erosion {
    /// Slope; none where the soils under the field give it.
    pub slope: Option<At<Percent>>,
    /// Length of the slope.
    pub length: At<Feet>,
    /// Soil erodibility K.
    pub erodibility: At<f64>,
    /// Rainfall factor R.
    pub rain: At<f64>,
    /// Share of the ground that grass covers.
    pub cover: At<Percent>,
}

/// What the grower states for the phosphorus rule of the place.
#[derive(Clone, Debug, PartialEq)]
pub struct RuleSaid {
    /// What kind of farm the ground is of, besides a large operation.
    pub farm: Option<At<String>>,
    /// Under which plan it is farmed.
    pub plan: Option<At<String>>,
    /// Which way was chosen, where the rule lets one choose.
    pub way: Option<At<String>>,
    /// Watersheds and areas that it lies in, besides the farm's region.
    pub areas: Vec<At<String>>,
    /// Phosphorus saturation of the soil.
    pub saturation: Option<At<Percent>>,
    /// Conditions that hold, by the words of the rule.
    pub stated: Vec<At<String>>,
    /// The one year for which they hold.
    pub year: Option<At<i16>>,
    /// The year for which a condition that holds for one is counted, where none is named.
    pub counted_for: Option<i16>,
    /// Who says so.
    pub by: String,
    /// When.
    pub on: At<Date>,
}

/// A soil test.
#[derive(Clone, Debug, PartialEq)]
pub struct SoilTest {
    /// Laboratory.
    pub lab: String,
    /// Day of sampling.
    pub sampled: At<Date>,
    /// Extractant, as a key of the tables.
    pub extractant: At<String>,
    /// Phosphorus.
    pub p: At<SoilValue>,
    /// Potassium.
    pub k: At<SoilValue>,
    /// Magnesium.
    pub mg: Option<At<SoilValue>>,
    /// pH in water.
    pub ph: Option<At<f64>>,
    /// Buffer pH.
    pub buffer_ph: Option<At<f64>>,
    /// Acidity, meq/100 cm3, where the report gives it instead.
    pub acidity: Option<At<f64>>,
    /// Zinc.
    pub zinc: Option<At<SoilValue>>,
    /// Copper.
    pub copper: Option<At<SoilValue>>,
    /// What the report recommends.
    pub recommended: Option<Recommended>,
    /// Who is sure of values far from what is usual.
    pub sure: Option<Sure>,
}

/// A field's boundary.
#[derive(Clone, Debug, PartialEq)]
pub struct Boundary {
    /// Field it belongs to.
    pub id: At<String>,
    /// Its polygons in longitude and latitude.
    pub shape: MultiPolygon<f64>,
}

/// A gate or a stack.
#[derive(Clone, Debug, PartialEq)]
pub struct NamedPoint {
    /// True for a stack of a lot, false for a gate of a field.
    pub stack: bool,
    /// Id of the lot or field.
    pub of: At<String>,
    /// Where, in longitude and latitude.
    pub at: Coord<f64>,
}

/// A neighbor's consent to a smaller distance.
#[derive(Clone, Debug, PartialEq)]
pub struct Consent {
    /// Who, and when, in one line.
    pub by: String,
    /// When.
    pub on: At<Date>,
    /// To which distance; the rule's eased one where none is named.
    pub to: Option<At<Feet>>,
}

/// Something that litter keeps away from.
#[derive(Clone, Debug, PartialEq)]
pub struct WrittenKeepOut {
    /// Its kind, as a key of the tables.
    pub kind: At<String>,
    /// Its name.
    pub name: String,
    /// Whether a strip of permanent vegetation lies along it.
    pub strip: Option<At<bool>>,
    /// Whether it belongs to a neighbor.
    pub neighbor: Option<At<bool>>,
    /// Consent in writing to a smaller distance.
    pub consent: Option<Consent>,
    /// Fields that do not drain to it, because it lies above them.
    pub above: Vec<At<String>>,
    /// Who saw that it lies above them, and when.
    pub above_by: Option<At<Signed>>,
    /// The grower's own distance, with who asked for it.
    pub setback: Option<(At<Feet>, At<Signed>)>,
    /// Its geometry in longitude and latitude.
    pub geometry: Geometry<f64>,
    /// Where its entry starts.
    pub place: Place,
}

impl WrittenField {
    /// Whether the grower gives a yield goal in any form.
    #[must_use]
    pub fn says_yield(&self) -> bool {
        self.yield_goal.is_some() || !self.yields.is_empty() || self.survey_yield.is_some()
    }
}
