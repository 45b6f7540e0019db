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

Exit codes: 0 done, 1 the farm or the plan has errors, 2 wrong use.
Local codes and a licensed or certified planner decide; this program does not
replace them.";

#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// The spreading plan and the leftover-litter tally
    Plan(FarmArgs),
    /// What is missing, stale or wrong in the farm folder
    Check(FarmArgs),
    /// Where every number of a field comes from, line by line
    Why(WhyArgs),
    /// The planner's table: phosphorus first
    Limits(FarmArgs),
    /// Field sheets for the applicator: one printable HTML file
    Sheets(SheetsArgs),
    /// The published figures with their sources
    Tables(TablesArgs),
    /// A new farm folder with comments, to fill in
    Start(StartArgs),
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
