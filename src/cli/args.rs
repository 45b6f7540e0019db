//! The arguments. Help texts live here, and nowhere else.

use clap::{Args as ClapArgs, Parser, Subcommand};
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

const EXAMPLES: &str = "\
Examples:
  sward start my-farm        make a farm folder with comments
  sward check my-farm        what is missing, stale or wrong
  sward plan my-farm         the spreading plan and the leftover tally
  sward why B1 my-farm       where every number of field B1 comes from
  sward log rain my-farm --days 2
                             write down what was done
  sward tally my-farm        what the log comes to

Exit codes: 0 done, 1 the farm or the plan has errors, 2 wrong use.
Local codes and a licensed or certified planner decide; this program does not
replace them.";

#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// The spreading plan and the leftover-litter tally
    Plan(PlanArgs),
    /// What is missing, stale or wrong in the farm folder
    Check(FarmArgs),
    /// Where every number of a field comes from, line by line
    Why(WhyArgs),
    /// When the spreading gets done: order of work, dates and their chances
    Days(DaysArgs),
    /// The planner's table: phosphorus first
    Limits(FarmArgs),
    /// Field sheets for the applicator: one printable HTML file
    Sheets(SheetsArgs),
    /// Maps: pictures of farm and fields, or the ground to spread on as data
    Map(MapArgs),
    /// The published figures with their sources
    Tables(TablesArgs),
    /// What was really done: an entry into log.csv
    #[command(subcommand)]
    Log(Box<LogCommand>),
    /// What the log comes to: lots to the pound, fields, what left the farm
    Tally(TallyArgs),
    /// A new farm folder with comments, to fill in
    Start(StartArgs),
    /// Boundaries of fields: read them from other programs' files
    #[command(subcommand)]
    Ground(GroundCommand),
}

#[derive(Debug, ClapArgs)]
pub(super) struct FarmArgs {
    /// The farm folder
    #[arg(default_value = ".")]
    pub(super) folder: PathBuf,
    #[command(flatten)]
    pub(super) common: CommonArgs,
}

#[derive(Debug, ClapArgs)]
pub(super) struct PlanArgs {
    #[command(flatten)]
    pub(super) farm: FarmArgs,
    /// Plan so many years in a row, each on the farm as the one before leaves it
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u8).range(2..=6))]
    pub(super) years: Option<u8>,
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

#[derive(Debug, ClapArgs)]
pub(super) struct WhyArgs {
    /// Id of the field
    pub(super) field: String,
    /// The farm folder
    #[arg(default_value = ".")]
    pub(super) folder: PathBuf,
    #[command(flatten)]
    pub(super) common: CommonArgs,
}

#[derive(Debug, ClapArgs)]
pub(super) struct DaysArgs {
    /// The farm folder
    #[arg(default_value = ".")]
    pub(super) folder: PathBuf,
    /// First day to work on (2027-03-15); the plan's first day when not given
    #[arg(long, value_name = "DATE")]
    pub(super) from: Option<Date>,
    #[command(flatten)]
    pub(super) common: CommonArgs,
}

#[derive(Debug, ClapArgs)]
pub(super) struct SheetsArgs {
    /// The farm folder
    #[arg(default_value = ".")]
    pub(super) folder: PathBuf,
    /// Folder to write sheets.html into; it is made if need be
    #[arg(short, long, value_name = "FOLDER")]
    pub(super) output: PathBuf,
    /// Write over an earlier sheets.html
    #[arg(long)]
    pub(super) force: bool,
    /// A folder of figures that adds to the built-in ones or takes their place
    #[arg(long, value_name = "FOLDER")]
    pub(super) reference: Option<PathBuf>,
}

#[derive(Debug, ClapArgs)]
#[command(group = clap::ArgGroup::new("form").required(true).args(["output", "geojson", "json"]))]
pub(super) struct MapArgs {
    /// The farm folder
    #[arg(default_value = ".")]
    pub(super) folder: PathBuf,
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
    /// A folder of figures that adds to the built-in ones or takes their place
    #[arg(long, value_name = "FOLDER")]
    pub(super) reference: Option<PathBuf>,
}

#[derive(Debug, ClapArgs)]
pub(super) struct TablesArgs {
    /// Only this topic, for example setback
    pub(super) topic: Option<String>,
    /// The place
    #[arg(long, default_value = "us-nc")]
    pub(super) place: String,
    /// As in force on this day (2027-03-15); the latest when not given
    #[arg(long, value_name = "DATE")]
    pub(super) on: Option<Date>,
    /// What the tables of every place answer, and what they do not
    #[arg(long, conflicts_with_all = ["topic", "place"])]
    pub(super) coverage: bool,
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
    /// is wrong in a way that it cannot mend for certain.
    Import(ImportArgs),
    /// Acres to spread on of very many fields at once, as a table
    ///
    /// Prints field, gross acres and acres left outside of all setbacks, in
    /// the order of the file, and the totals on standard error. One field or
    /// keep-out that cannot be used stops the run, and all of them are told.
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
pub(super) struct ImportArgs {
    /// The files: .kml, .kmz, .shp (with .dbf and .prj beside it), .geojson, or a .zip of them
    #[arg(required = true, value_name = "FILE")]
    pub(super) files: Vec<PathBuf>,
    /// The property that holds the ids; found by itself when not given
    #[arg(long, value_name = "PROPERTY")]
    pub(super) id_from: Option<String>,
    /// Where the farm lies, as in --near=-79.5,35.7: fields with swapped or
    /// unsigned numbers are then put right
    #[arg(long, value_name = "LON,LAT", allow_hyphen_values = true, value_parser = crate::cli::ground::lonlat)]
    pub(super) near: Option<geo::Coord<f64>>,
    /// Put boundaries that cross themselves in order, as all the ground they run around
    #[arg(long)]
    pub(super) mend: bool,
    /// Close lines into fields
    #[arg(long)]
    pub(super) close: bool,
    /// The file to write; standard output when not given
    #[arg(short, long, value_name = "FILE")]
    pub(super) output: Option<PathBuf>,
    /// Write over the file that is there
    #[arg(long)]
    pub(super) force: bool,
    /// Print a report in JSON in place of words (needs -o for the boundaries)
    #[arg(long, requires = "output")]
    pub(super) json: bool,
}

#[derive(Debug, Subcommand)]
pub(super) enum LogCommand {
    /// Litter was spread on a field
    Spread(SpreadArgs),
    /// Litter left the farm
    Haul(HaulArgs),
    /// Litter came to the farm
    Bring(BringArgs),
    /// Houses were cleaned out into a lot
    CleanOut(CleanOutArgs),
    /// It rained, or rain cost days
    Rain(RainArgs),
    /// A field was cut
    Cut(CutArgs),
    /// Stock grazed a field
    Graze(GrazeArgs),
    /// Something in an entry was wrong: a new entry takes its place
    Correct(CorrectArgs),
    /// An entry does not hold at all
    Void(VoidArgs),
    /// Sets half a line at the end of log.csv aside, as a power cut leaves it
    Mend(MendArgs),
}

/// What every entry takes.
#[derive(Debug, ClapArgs)]
pub(super) struct EntryArgs {
    /// The farm folder
    #[arg(default_value = ".")]
    pub(super) folder: PathBuf,
    /// The day, as 2027-03-15; today when not given
    #[arg(long, value_name = "DATE")]
    pub(super) date: Option<String>,
    /// A remark
    #[arg(long, value_name = "TEXT")]
    pub(super) note: Option<String>,
    /// The day taken for today
    #[arg(long, value_name = "DATE", hide = true)]
    pub(super) today: Option<Date>,
}

/// How much litter: tons, or loads and the weight of a load, or scale tickets.
#[derive(Debug, ClapArgs)]
pub(super) struct AmountArgs {
    /// Id of the lot
    #[arg(long, value_name = "ID")]
    pub(super) lot: Option<String>,
    /// How much: 54, "54 tons", "108000 lb"
    #[arg(long, value_name = "TONS", conflicts_with = "ticket")]
    pub(super) tons: Option<String>,
    /// How many loads
    #[arg(long, value_name = "NUMBER")]
    pub(super) loads: Option<String>,
    /// Weight of one load: "8.1 tons"
    #[arg(long, value_name = "TONS")]
    pub(super) load: Option<String>,
    /// What the scale said of a load; once a load
    #[arg(long, value_name = "TONS")]
    pub(super) ticket: Vec<String>,
    /// Who did it
    #[arg(long, value_name = "NAME")]
    pub(super) operator: Option<String>,
}

#[derive(Debug, ClapArgs)]
pub(super) struct SpreadArgs {
    #[command(flatten)]
    pub(super) entry: EntryArgs,
    #[command(flatten)]
    pub(super) amount: AmountArgs,
    /// Id of the field
    #[arg(long, value_name = "ID")]
    pub(super) field: Option<String>,
    /// Acres covered
    #[arg(long, value_name = "ACRES")]
    pub(super) acres: Option<String>,
    /// surface or incorporated
    #[arg(long, value_name = "HOW")]
    pub(super) method: Option<String>,
    /// Weather when spread
    #[arg(long, value_name = "TEXT")]
    pub(super) weather: Option<String>,
    /// Weather of the 24 hours before
    #[arg(long, value_name = "TEXT")]
    pub(super) before: Option<String>,
    /// Weather of the 24 hours after, once it is known
    #[arg(long, value_name = "TEXT")]
    pub(super) after: Option<String>,
    /// Wind: "SW 5 mph"
    #[arg(long, value_name = "TEXT")]
    pub(super) wind: Option<String>,
    /// dry, moist, wet, saturated, frozen or snow
    #[arg(long, value_name = "STATE")]
    pub(super) soil: Option<String>,
    /// The applicator's certificate, where the state has one
    #[arg(long, value_name = "NUMBER")]
    pub(super) certificate: Option<String>,
    /// What the rate rests on: "plan", or why it differs from it
    #[arg(long, value_name = "TEXT")]
    pub(super) basis: Option<String>,
    /// The litter analysis used; the lot's own in farm.yaml when not given
    #[arg(long, value_name = "TEXT")]
    pub(super) analysis: Option<String>,
}

#[derive(Debug, ClapArgs)]
pub(super) struct HaulArgs {
    #[command(flatten)]
    pub(super) entry: EntryArgs,
    #[command(flatten)]
    pub(super) amount: AmountArgs,
    /// Who received it
    #[arg(long, value_name = "NAME")]
    pub(super) to: Option<String>,
    /// Address of the receiver
    #[arg(long, value_name = "TEXT")]
    pub(super) address: Option<String>,
    /// What it is to be used for
    #[arg(long = "use", value_name = "TEXT")]
    pub(super) usage: Option<String>,
    /// The analysis given along, or "none given"
    #[arg(long, value_name = "TEXT")]
    pub(super) analysis: Option<String>,
    /// Where it is to be spread: locality and nearest stream
    #[arg(long, value_name = "TEXT")]
    pub(super) land: Option<String>,
    /// The signed receipt
    #[arg(long, value_name = "TEXT")]
    pub(super) receipt: Option<String>,
    /// How the receiver sets the rate
    #[arg(long, value_name = "TEXT")]
    pub(super) basis: Option<String>,
}

#[derive(Debug, ClapArgs)]
pub(super) struct BringArgs {
    #[command(flatten)]
    pub(super) entry: EntryArgs,
    #[command(flatten)]
    pub(super) amount: AmountArgs,
    /// Where it came from
    #[arg(long, value_name = "NAME")]
    pub(super) from: Option<String>,
    /// Address of the source
    #[arg(long, value_name = "TEXT")]
    pub(super) address: Option<String>,
    /// Permit number of the source
    #[arg(long, value_name = "NUMBER")]
    pub(super) permit: Option<String>,
    /// The analysis that came along
    #[arg(long, value_name = "TEXT")]
    pub(super) analysis: Option<String>,
    /// The signed receipt
    #[arg(long, value_name = "TEXT")]
    pub(super) receipt: Option<String>,
}

#[derive(Debug, ClapArgs)]
pub(super) struct CleanOutArgs {
    #[command(flatten)]
    pub(super) entry: EntryArgs,
    #[command(flatten)]
    pub(super) amount: AmountArgs,
}

#[derive(Debug, ClapArgs)]
pub(super) struct RainArgs {
    #[command(flatten)]
    pub(super) entry: EntryArgs,
    /// Inches of rain
    #[arg(long, value_name = "INCHES")]
    pub(super) inches: Option<String>,
    /// Days on which nothing could be spread
    #[arg(long, value_name = "DAYS")]
    pub(super) days: Option<String>,
}

#[derive(Debug, ClapArgs)]
pub(super) struct CutArgs {
    #[command(flatten)]
    pub(super) entry: EntryArgs,
    /// Id of the field
    #[arg(long, value_name = "ID")]
    pub(super) field: Option<String>,
    /// Tons of hay
    #[arg(long, value_name = "TONS")]
    pub(super) tons: Option<String>,
    /// Bales or rolls
    #[arg(long, value_name = "NUMBER")]
    pub(super) bales: Option<String>,
}

#[derive(Debug, ClapArgs)]
pub(super) struct GrazeArgs {
    #[command(flatten)]
    pub(super) entry: EntryArgs,
    /// Id of the field
    #[arg(long, value_name = "ID")]
    pub(super) field: Option<String>,
    /// First day; same as --date
    #[arg(long, value_name = "DATE", conflicts_with = "date")]
    pub(super) from: Option<String>,
    /// Last day
    #[arg(long, value_name = "DATE")]
    pub(super) to: Option<String>,
}

#[derive(Debug, ClapArgs)]
pub(super) struct CorrectArgs {
    /// Id of the entry, as `sward tally` shows it
    pub(super) id: String,
    /// The farm folder
    #[arg(default_value = ".")]
    pub(super) folder: PathBuf,
    /// What is put right: a column of log.csv and its new words, as in
    /// --set tons=52.5 or --set "after=dry"; nothing behind the = empties it
    #[arg(long = "set", value_name = "COLUMN=WORDS", required = true)]
    pub(super) set: Vec<String>,
    /// The day taken for today
    #[arg(long, value_name = "DATE", hide = true)]
    pub(super) today: Option<Date>,
}

#[derive(Debug, ClapArgs)]
pub(super) struct VoidArgs {
    /// Id of the entry, as `sward tally` shows it
    pub(super) id: String,
    #[command(flatten)]
    pub(super) entry: EntryArgs,
}

#[derive(Debug, ClapArgs)]
pub(super) struct MendArgs {
    /// The farm folder
    #[arg(default_value = ".")]
    pub(super) folder: PathBuf,
}

#[derive(Debug, ClapArgs)]
pub(super) struct TallyArgs {
    /// The farm folder
    #[arg(default_value = ".")]
    pub(super) folder: PathBuf,
    /// As it stood at the end of this day; all of the log when not given
    #[arg(long, value_name = "DATE")]
    pub(super) on: Option<Date>,
    #[command(flatten)]
    pub(super) common: CommonArgs,
}
