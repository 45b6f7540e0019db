//! The command line of `sward log`: what each kind of entry may say.

use clap::{Args as ClapArgs, Subcommand};
use jiff::civil::Date;
use std::path::PathBuf;

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
    /// A scale's file of tickets: an entry a ticket, all of them or none
    Tickets(Box<TicketsArgs>),
    /// Something in an entry was wrong: a new entry takes its place
    Correct(CorrectArgs),
    /// An entry does not hold at all
    Void(VoidArgs),
    /// Sets half a line at the end of log.csv aside, as a power cut leaves it
    #[command(alias = "mend")]
    Repair(RepairArgs),
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
    /// Who looked again and is sure of an entry that is far from usual
    #[arg(long, value_name = "NAME")]
    pub(super) sure: Option<String>,
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
    #[arg(long, allow_negative_numbers = true, value_name = "TONS", conflicts_with = "ticket")]
    pub(super) tons: Option<String>,
    /// How many loads
    #[arg(long, allow_negative_numbers = true, value_name = "NUMBER")]
    pub(super) loads: Option<String>,
    /// Weight of one load: "8.1 tons"
    #[arg(long, allow_negative_numbers = true, value_name = "TONS")]
    pub(super) load: Option<String>,
    /// What the scale said of a load; once a load
    #[arg(long, value_name = "TONS")]
    pub(super) ticket: Vec<String>,
    /// The numbers of the scale tickets: "1201, 1202"
    #[arg(long, value_name = "NUMBERS")]
    pub(super) ticket_number: Option<String>,
    /// Who did it
    #[arg(long, value_name = "NAME")]
    pub(super) operator: Option<String>,
}

/// What the tickets of a file are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub(super) enum TicketKind {
    Haul,
    Bring,
    Spread,
}

/// What is not in the file is given once, for every ticket without it.
#[derive(Debug, ClapArgs)]
pub(super) struct TicketsArgs {
    /// The file, as the scale saved it; farm.yaml names its columns under `tickets:`
    #[arg(value_name = "FILE.csv")]
    pub(super) file: PathBuf,
    /// The farm folder
    #[arg(default_value = ".")]
    pub(super) folder: PathBuf,
    /// What the tickets are
    #[arg(long, value_enum)]
    pub(super) kind: TicketKind,
    /// Id of the lot, for tickets that do not say
    #[arg(long, value_name = "ID")]
    pub(super) lot: Option<String>,
    /// Id of the field, for tickets that do not say
    #[arg(long, value_name = "ID")]
    pub(super) field: Option<String>,
    /// Who did it, for tickets that do not say
    #[arg(long, value_name = "NAME")]
    pub(super) operator: Option<String>,
    /// Who received it, for tickets that do not say
    #[arg(long, value_name = "NAME")]
    pub(super) to: Option<String>,
    /// Where it came from, for tickets that do not say
    #[arg(long, value_name = "NAME")]
    pub(super) from: Option<String>,
    /// Address of the receiver or of the source
    #[arg(long, value_name = "TEXT")]
    pub(super) address: Option<String>,
    /// What it is to be used for
    #[arg(long = "use", value_name = "TEXT")]
    pub(super) usage: Option<String>,
    /// Where it is to be spread: locality and nearest stream
    #[arg(long, value_name = "TEXT")]
    pub(super) land: Option<String>,
    /// Permit number of the source
    #[arg(long, value_name = "NUMBER")]
    pub(super) permit: Option<String>,
    /// The analysis given along, or "none given"
    #[arg(long, value_name = "TEXT")]
    pub(super) analysis: Option<String>,
    /// What the rate is based on
    #[arg(long, value_name = "TEXT")]
    pub(super) basis: Option<String>,
    /// surface or incorporated
    #[arg(long, value_name = "HOW")]
    pub(super) method: Option<String>,
    /// The applicator's certificate, where the state has one
    #[arg(long, value_name = "NUMBER")]
    pub(super) certificate: Option<String>,
    /// A remark
    #[arg(long, value_name = "TEXT")]
    pub(super) note: Option<String>,
    /// Who looked again and is sure of tickets that are far from usual
    #[arg(long, value_name = "NAME")]
    pub(super) sure: Option<String>,
    /// The day taken for today
    #[arg(long, value_name = "DATE", hide = true)]
    pub(super) today: Option<Date>,
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
    #[arg(long, allow_negative_numbers = true, value_name = "ACRES")]
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
    /// What the rate is based on: "plan", or why it differs from it
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
    #[arg(long, allow_negative_numbers = true, value_name = "INCHES")]
    pub(super) inches: Option<String>,
    /// Days on which nothing could be spread
    #[arg(long, allow_negative_numbers = true, value_name = "DAYS")]
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
    #[arg(long, allow_negative_numbers = true, value_name = "TONS")]
    pub(super) tons: Option<String>,
    /// Bales or rolls
    #[arg(long, allow_negative_numbers = true, value_name = "NUMBER")]
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
pub(super) struct RepairArgs {
    /// The farm folder
    #[arg(default_value = ".")]
    pub(super) folder: PathBuf,
}
