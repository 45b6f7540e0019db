//! The arguments. Help texts live here, and nowhere else.

use crate::cli::args_log::LogCommand;
pub(super) use crate::cli::args_words::{GroundSaid, WindSaid};
use crate::cli::input;
use crate::farm::Change;
use clap::{Args as ClapArgs, Parser, Subcommand, ValueEnum};
use jiff::civil::Date;
use std::path::PathBuf;

/// Plans the spreading of poultry litter on hay and pasture ground.
///
/// Reads a farm folder (farm.yaml, fields.geojson, keepouts.geojson) and says
/// how much of which litter goes on which field, when, within nitrogen,
/// phosphorus, setbacks and seasons, and what is left over. Nothing is sent
/// anywhere.
#[derive(Debug, Parser)]
#[command(name = "sward", version, max_term_width = 80, after_help = EXAMPLES, arg_required_else_help = true)]
pub(super) struct Args {
    /// What to do.
    #[command(subcommand)]
    pub(super) command: Command,
}

const EXAMPLES: &str = "Examples:
  sward start my-farm        make a farm folder with comments
  sward check my-farm        what is missing, stale or wrong
  sward plan my-farm         the spreading plan and the leftover tally
  sward why B1 my-farm       where every number of field B1 comes from
  sward log rain my-farm --days 2
                             write down what was done
  sward tally my-farm        the totals of the log

Exit codes: 0 done, 1 the farm or the plan has errors, 2 wrong use.
Local codes and a licensed or certified planner decide; this program does not
replace them.";

#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// The spreading plan, the fertilizer to buy and the leftover-litter tally
    Plan(PlanArgs),
    /// What is missing, stale or wrong in the farm folder
    Check(FarmArgs),
    /// What the spreader was found to put down, and how to set it for the plan
    Calibrate(CalibrateArgs),
    /// Where every number of a field comes from, line by line
    Why(WhyArgs),
    /// When the spreading gets done: order of work, dates and their chances
    Days(DaysArgs),
    /// What to spread today: which field first, which not, and why
    Today(TodayArgs),
    /// How sure the rates are: bands of nitrogen, chances, the worth of a sample
    Sure(SureArgs),
    /// The planner's table: phosphorus first
    Limits(FarmArgs),
    /// Field sheets for the applicator: one printable HTML file
    Sheets(SheetsArgs),
    /// The whole plan as one printable document, for planner and shelf
    Binder(BinderArgs),
    /// Maps: pictures of farm and fields, or the ground to spread on as data
    Map(MapArgs),
    /// The plan for other programs: spreadsheet, phone, map, rate controller
    Export(ExportArgs),
    /// The published figures with their sources
    Tables(TablesArgs),
    /// What was really done: an entry into log.csv
    #[command(subcommand)]
    Log(Box<LogCommand>),
    /// Totals of the log: lots to the pound, fields, what left the farm
    Tally(TallyArgs),
    /// Two farms, or two farm files, side by side: what differs
    Compare(CompareArgs),
    /// A printed plan checked: every limit again, every figure against a new plan
    Audit(AuditArgs),
    /// A new farm folder with comments, to fill in
    Start(StartArgs),
    /// Boundaries of fields: read them from other programs' files
    #[command(subcommand)]
    Ground(GroundCommand),
    /// A folder of an earlier form: what is written otherwise now, by line
    Upgrade(UpgradeArgs),
    /// What farm.yaml may hold, as a JSON Schema for editors
    Schema(SchemaArgs),
    /// Completion of commands and options for a shell
    Completions(CompletionsArgs),
    /// The manual page, for `man`
    Man,
}

#[derive(Debug, ClapArgs)]
pub(super) struct UpgradeArgs {
    /// The farm folder
    #[arg(default_value = ".")]
    pub(super) folder: PathBuf,
    /// Write the new form; the file of before is kept as farm.yaml.1
    #[arg(long)]
    pub(super) write: bool,
}

#[derive(Debug, ClapArgs)]
pub(super) struct SchemaArgs {
    /// The file to write; standard output when not given
    #[arg(short, long, value_name = "FILE")]
    pub(super) output: Option<PathBuf>,
    /// Write over the file that is there
    #[arg(long, requires = "output")]
    pub(super) force: bool,
}

#[derive(Debug, ClapArgs)]
pub(super) struct CompletionsArgs {
    /// The shell
    #[arg(value_enum)]
    pub(super) shell: clap_complete::Shell,
}

#[derive(Debug, ClapArgs)]
pub(super) struct FarmArgs {
    /// Print JSON
    #[arg(long)]
    pub(super) json: bool,
    #[command(flatten)]
    pub(super) farm: PlannedFarm,
}

#[derive(Debug, ClapArgs)]
pub(super) struct TallyArgs {
    #[command(flatten)]
    pub(super) farm: FarmArgs,
    /// A calendar year, whatever days the plan is made for: every entry of it, by
    /// the tests and analyses of its day
    #[arg(long, value_parser = clap::value_parser!(i16).range(1950..=2200))]
    pub(super) year: Option<i16>,
    /// A plan that was handed out (plan.json): what was done of it, what differs
    #[arg(long, value_name = "PLAN.json", conflicts_with_all = ["year", "truck"])]
    pub(super) against: Option<PathBuf>,
    /// Where a truck, spreader or driver was, by the log: which farms, and whether it
    /// was cleaned since
    #[arg(long, value_name = "NAME", conflicts_with = "year")]
    pub(super) truck: Option<String>,
    /// Only the last so many days of it, as in --within 21
    #[arg(long, value_name = "DAYS", requires = "truck", value_parser = clap::value_parser!(u16).range(0..=36500))]
    pub(super) within: Option<u16>,
}

// The farm that is planned, and what it is planned by.
#[derive(Debug, ClapArgs)]
pub(super) struct PlannedFarm {
    /// The farm folder
    #[arg(default_value = ".")]
    pub(super) folder: PathBuf,
    #[command(flatten)]
    pub(super) basis: BasisArgs,
}

#[derive(Debug, ClapArgs)]
pub(super) struct PlanArgs {
    #[command(flatten)]
    pub(super) farm: FarmArgs,
    /// Plan so many years in a row, 2 to 30, each on the farm as the one before
    /// leaves it
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u8).range(2..=30))]
    pub(super) years: Option<u8>,
    /// The plan as if one line of farm.yaml read otherwise, after what differs:
    /// --with "fields.B1.yield_goal=3 tons/ac"; nothing after = takes away a key
    /// that may be left out; may be given again
    #[arg(long = "with", value_name = "KEY=VALUE")]
    pub(super) changes: Vec<Change>,
}

#[derive(Debug, ClapArgs)]
pub(super) struct CompareArgs {
    /// A farm folder, or a farm file beside the maps of its folder
    pub(super) a: PathBuf,
    /// The other one
    pub(super) b: PathBuf,
    /// Print JSON
    #[arg(long)]
    pub(super) json: bool,
    #[command(flatten)]
    pub(super) basis: BasisArgs,
}

#[derive(Debug, ClapArgs)]
pub(super) struct AuditArgs {
    /// The plan, as `sward plan --json` printed it
    pub(super) plan: PathBuf,
    /// The farm folder
    #[arg(default_value = ".")]
    pub(super) folder: PathBuf,
    /// Print what the plan's proof is of, for a checker of your own: each way to do each field, with what
    /// it gains and uses
    #[arg(long, conflicts_with = "json")]
    pub(super) ways: bool,
    /// The day taken for today
    #[arg(long, value_name = "DATE", hide = true)]
    pub(super) today: Option<Date>,
    #[command(flatten)]
    pub(super) common: CommonArgs,
}

#[derive(Debug, ClapArgs)]
pub(super) struct CommonArgs {
    /// Print JSON
    #[arg(long)]
    pub(super) json: bool,
    /// A folder of figures that adds to the built-in ones or takes their place
    #[arg(long, value_name = "FOLDER")]
    pub(super) reference: Option<PathBuf>,
}

// What every report that plans goes by.
#[derive(Debug, ClapArgs)]
pub(super) struct BasisArgs {
    /// Plan as of this day (2027-03-15), with the log only up to that day; else
    /// as of `plan.as_of` in farm.yaml, else as of today
    #[arg(long, value_name = "DATE")]
    pub(super) on: Option<Date>,
    /// A folder of figures that adds to the built-in ones or takes their place
    #[arg(long, value_name = "FOLDER")]
    pub(super) reference: Option<PathBuf>,
}

#[derive(Debug, ClapArgs)]
pub(super) struct WhyArgs {
    /// Id of the field
    #[arg(value_parser = input::name_given)]
    pub(super) field: String,
    #[command(flatten)]
    pub(super) farm: FarmArgs,
}

#[derive(Debug, ClapArgs)]
pub(super) struct SureArgs {
    #[command(flatten)]
    pub(super) farm: FarmArgs,
    /// Id of a field, to see it alone; the worth of a sample is then that field's part
    #[arg(value_parser = input::name_given)]
    pub(super) field: Option<String>,
}

#[derive(Debug, ClapArgs)]
pub(super) struct CalibrateArgs {
    /// The farm folder, with calibration.yaml in it
    #[arg(default_value = ".")]
    pub(super) folder: PathBuf,
    /// Set it for this rate too, as in --rate "2 tons/ac"; may be given again
    #[arg(long = "rate", value_name = "RATE", value_parser = input::rate)]
    pub(super) rates: Vec<f64>,
    /// Print JSON
    #[arg(long)]
    pub(super) json: bool,
    #[command(flatten)]
    pub(super) basis: BasisArgs,
}

#[derive(Debug, ClapArgs)]
pub(super) struct DaysArgs {
    /// First day to work on (2027-03-15); the plan's first day when not given
    #[arg(long, value_name = "DATE")]
    pub(super) from: Option<Date>,
    #[command(flatten)]
    pub(super) farm: FarmArgs,
}

#[derive(Debug, ClapArgs)]
pub(super) struct TodayArgs {
    /// What the ground is like
    #[arg(long, value_enum)]
    pub(super) ground: Option<GroundSaid>,
    /// What the wind is like; strong when dust drifts
    #[arg(long, value_enum)]
    pub(super) wind: Option<WindSaid>,
    /// Rain is forecast
    #[arg(long)]
    pub(super) rain_ahead: bool,
    /// Every field on a line of its own, with its lot and tons
    #[arg(long)]
    pub(super) all: bool,
    #[command(flatten)]
    pub(super) farm: FarmArgs,
}

#[derive(Debug, ClapArgs)]
pub(super) struct SheetsArgs {
    /// Folder to write sheets.html into; it is made if need be
    #[arg(short, long, value_name = "FOLDER")]
    pub(super) output: PathBuf,
    /// Write sheets.pdf too
    #[arg(long)]
    pub(super) pdf: bool,
    /// Paper of the PDF
    #[arg(long, value_enum, default_value_t = PaperSize::Letter, requires = "pdf")]
    pub(super) paper: PaperSize,
    /// Write over earlier sheets
    #[arg(long)]
    pub(super) force: bool,
    #[command(flatten)]
    pub(super) farm: PlannedFarm,
}

/// A size of paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub(super) enum PaperSize {
    /// 8.5 by 11 inches
    Letter,
    /// 210 by 297 mm
    A4,
}

#[derive(Debug, ClapArgs)]
pub(super) struct BinderArgs {
    /// Folder to write binder.html into; it is made if need be
    #[arg(short, long, value_name = "FOLDER")]
    pub(super) output: PathBuf,
    /// Write over an earlier binder.html
    #[arg(long)]
    pub(super) force: bool,
    #[command(flatten)]
    pub(super) farm: PlannedFarm,
}

#[derive(Debug, ClapArgs)]
#[command(group = clap::ArgGroup::new("form").required(true).args(["output", "geojson", "json"]))]
pub(super) struct MapArgs {
    /// Folder to write farm.svg and one field-ID.svg a field into; made if need be
    #[arg(short, long, value_name = "FOLDER")]
    pub(super) output: Option<PathBuf>,
    /// Print the ground to spread on, an application a feature
    #[arg(long)]
    pub(super) geojson: bool,
    /// Print ground, zones, miles and runs of every field
    #[arg(long)]
    pub(super) json: bool,
    /// Write over earlier maps
    #[arg(long, conflicts_with_all = ["geojson", "json"])]
    pub(super) force: bool,
    #[command(flatten)]
    pub(super) farm: PlannedFarm,
}

#[derive(Debug, ClapArgs)]
pub(super) struct ExportArgs {
    /// csv: tables for a spreadsheet; geojson: the ground of every job, for a
    /// map; kml: jobs, ground to keep off, gates and stacks, for a phone;
    /// shapefile: the ground of every job with its rate in tons per acre
    #[arg(value_enum)]
    pub(super) format: Format,
    /// The file to write. csv without --table takes a folder; so does shapefile,
    /// or a name that ends in .shp or .zip. Without -o, a single text goes to
    /// standard output
    #[arg(short, long, value_name = "FILE")]
    pub(super) output: Option<PathBuf>,
    /// Only this table of csv: a job, a lot or a product a row
    #[arg(long, value_enum)]
    pub(super) table: Option<TableOption>,
    /// Write over earlier files
    #[arg(long, requires = "output")]
    pub(super) force: bool,
    #[command(flatten)]
    pub(super) farm: PlannedFarm,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Format {
    Csv,
    Geojson,
    Kml,
    Shapefile,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum TableOption {
    Plan,
    Leftover,
    Fertilizer,
}

#[derive(Debug, ClapArgs)]
pub(super) struct TablesArgs {
    /// Only this topic, for example setback
    pub(super) topic: Option<String>,
    /// The place
    #[arg(long, default_value = "us-nc")]
    pub(super) place: String,
    /// As in force on this day (2027-03-15); today when not given
    #[arg(long, value_name = "DATE")]
    pub(super) on: Option<Date>,
    /// What the tables of every place answer, and what they do not
    #[arg(long, conflicts_with_all = ["topic", "place"])]
    pub(super) coverage: bool,
    /// What depends on the least certain figures of a farm's plan: each is changed,
    /// and the farm planned again
    #[arg(long, value_name = "FARM", num_args = 0..=1, default_missing_value = ".", conflicts_with_all = ["topic", "place", "coverage"])]
    pub(super) doubt: Option<PathBuf>,
    #[command(flatten)]
    pub(super) common: CommonArgs,
}

#[derive(Debug, ClapArgs)]
pub(super) struct StartArgs {
    /// The folder to make; it must not hold a farm yet
    pub(super) folder: PathBuf,
}

#[derive(Debug, Subcommand)]
pub(super) enum GroundCommand {
    /// KML, KMZ, shapefiles and other programs' GeoJSON to a clean fields.geojson
    ///
    /// Says everything that it changes, and writes nothing while a boundary
    /// is wrong in a way that it cannot fix for certain.
    Import(ImportArgs),
    /// Spreadable acres of very many fields at once, as a table
    ///
    /// Prints field, gross acres and acres left outside of all setbacks, in
    /// the order of the file, and the totals on standard error. One field or
    /// keep-out that cannot be used stops the run, and all of them are reported.
    Acres(AcresArgs),
}

#[derive(Debug, ClapArgs)]
pub(super) struct AcresArgs {
    /// Boundaries of fields, each with a property `id`
    #[arg(value_name = "FIELDS.geojson")]
    pub(super) fields: PathBuf,
    /// What to stay away from, each with its `setback`, as in "100 ft"
    #[arg(long, value_name = "KEEPOUTS.geojson")]
    pub(super) keepouts: PathBuf,
    /// Take distances from this place's tables too, by `kind`,
    /// `vegetated_strip` and `owner`; the wider one holds
    #[arg(long)]
    pub(super) place: Option<String>,
    /// The tables as in force on this day (2027-03-15); the latest when not given
    #[arg(long, value_name = "DATE", requires = "place")]
    pub(super) on: Option<Date>,
    /// The tables for a large operation
    #[arg(long, requires = "place")]
    pub(super) large: bool,
    #[command(flatten)]
    pub(super) common: CommonArgs,
}

#[derive(Debug, ClapArgs)]
#[command(group = clap::ArgGroup::new("written").args(["output", "farm"]))]
pub(super) struct ImportArgs {
    /// The files: .kml, .kmz, .shp (with .dbf and .prj beside it), .geojson, or a .zip of them
    #[arg(required = true, value_name = "FILE")]
    pub(super) files: Vec<PathBuf>,
    /// Take what litter keeps away from in place of the fields: wells, houses,
    /// streams, ponds, roads and the like, as points, lines and areas
    #[arg(long, conflicts_with = "farm")]
    pub(super) keepouts: bool,
    /// Take everything, and write fields.geojson and keepouts.geojson into this
    /// farm folder
    #[arg(long, value_name = "FOLDER", conflicts_with = "output")]
    pub(super) farm: Option<PathBuf>,
    /// What a thing is, as in --kind "Old cabin=dwelling"; NAME is that of a
    /// feature, a value of it, its folder, its layer or its file. Repeat it as
    /// often as needed
    #[arg(long = "kind", value_name = "NAME=KIND", value_parser = input::name_and_kind)]
    pub(super) kinds: Vec<(String, String)>,
    /// What everything is that neither its names nor --kind tell
    #[arg(long, value_name = "KIND", value_parser = input::name_given)]
    pub(super) rest: Option<String>,
    /// Take only these: a name, a kind, or points, lines, areas. Repeatable
    #[arg(long, value_name = "WHAT", value_parser = input::name_given)]
    pub(super) only: Vec<String>,
    /// Leave these out: a name, a kind, or points, lines, areas. Repeatable
    #[arg(long, value_name = "WHAT", value_parser = input::name_given)]
    pub(super) leave_out: Vec<String>,
    /// The property that holds the ids; found by itself when not given
    #[arg(long, value_name = "PROPERTY", value_parser = input::name_given)]
    pub(super) id_from: Option<String>,
    /// Where the farm lies, as in --near=-79.5,35.7: fields with swapped or
    /// unsigned numbers are then put right
    #[arg(long, value_name = "LON,LAT", allow_hyphen_values = true, value_parser = input::lonlat)]
    pub(super) near: Option<geo::Coord<f64>>,
    /// Put boundaries that cross themselves in order, as all the ground they run around
    #[arg(long)]
    pub(super) fix: bool,
    /// Close lines into areas
    #[arg(long)]
    pub(super) close: bool,
    /// The file to write; standard output when not given
    #[arg(short, long, value_name = "FILE")]
    pub(super) output: Option<PathBuf>,
    /// Write over the file that is there
    #[arg(long)]
    pub(super) force: bool,
    /// Print a report in JSON in place of words (needs -o or --farm for the
    /// features)
    #[arg(long, requires = "written")]
    pub(super) json: bool,
}
