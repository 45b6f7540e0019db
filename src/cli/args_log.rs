//! The command line of `sward log`: which columns each kind of entry may fill,
//! and by which option.

use crate::record::{self, Cells, What};
use clap::error::ErrorKind;
use clap::{Arg, ArgAction, ArgMatches, Args, Command, Error, FromArgMatches, Subcommand};
use jiff::civil::Date;
use std::path::PathBuf;

/// What `sward log` is to do.
#[derive(Debug)]
pub(super) enum LogCommand {
    /// Log an entry.
    Entry(What, EntryArgs),
    /// Log a scale's file of tickets.
    Tickets(TicketsArgs),
    /// Add a load to an entry, by its id.
    Load(String, EntryArgs),
    /// Take a load of an entry back, by its id.
    Unload(String, EntryArgs),
    /// Declare an entry void; whether one that loads were added to, too.
    Void(EntryArgs, bool),
    /// Put an entry right.
    Correct(CorrectArgs),
    /// Set half a last line aside.
    Repair(RepairArgs),
}

// The farm whose log it is; a doc comment would stand in the help of every command.
#[derive(Debug, Args)]
pub(super) struct FarmLog {
    /// The farm folder
    #[arg(default_value = ".")]
    pub(super) folder: PathBuf,
    /// The day taken for today
    #[arg(long, value_name = "DATE", hide = true)]
    pub(super) today: Option<Date>,
}

/// One entry: its cells, by column.
#[derive(Debug)]
pub(super) struct EntryArgs {
    pub(super) farm: FarmLog,
    pub(super) cells: Cells,
}

/// What the tickets of a file are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub(super) enum TicketKind {
    Haul,
    Bring,
    Spread,
}

impl TicketKind {
    /// The kind of their entries.
    pub(super) fn what(self) -> What {
        match self {
            TicketKind::Haul => What::Haul,
            TicketKind::Bring => What::Bring,
            TicketKind::Spread => What::Spread,
        }
    }
}

#[derive(Debug, Args)]
pub(super) struct TicketsFile {
    /// The file, as the scale saved it; farm.yaml names its columns under `tickets:`
    #[arg(value_name = "FILE.csv")]
    pub(super) file: PathBuf,
    /// What the tickets are
    #[arg(long, value_enum)]
    pub(super) kind: TicketKind,
}

/// A file of tickets. What is not in it is given once, for every ticket without it.
#[derive(Debug)]
pub(super) struct TicketsArgs {
    pub(super) of: TicketsFile,
    pub(super) farm: FarmLog,
    pub(super) cells: Cells,
}

#[derive(Debug, Args)]
pub(super) struct CorrectArgs {
    /// Id of the entry, as `sward tally` shows it
    pub(super) id: String,
    #[command(flatten)]
    pub(super) farm: FarmLog,
    /// What is put right: a column of log.csv and its new words, as in
    /// --set tons=52.5 or --set "after=dry"; nothing behind the = empties it
    #[arg(long = "set", value_name = "COLUMN=WORDS", required = true)]
    pub(super) set: Vec<String>,
    /// Why it is put right
    #[arg(long, value_name = "TEXT")]
    pub(super) note: Option<String>,
}

#[derive(Debug, Args)]
pub(super) struct VoidArgs {
    /// Id of the entry, as `sward tally` shows it
    pub(super) id: String,
    /// The job with all its loads, where loads were added to it
    #[arg(long)]
    pub(super) whole_job: bool,
}

#[derive(Debug, Args)]
pub(super) struct LoadOf {
    /// Id of the job's entry: the first one, or any that a load was added to
    pub(super) id: String,
}

#[derive(Debug, Args)]
pub(super) struct RepairArgs {
    /// The farm folder
    #[arg(default_value = ".")]
    pub(super) folder: PathBuf,
}

/// An option that fills a column of the log.
#[derive(Clone, Copy)]
struct CellOption {
    column: &'static str,
    /// The option, where it is not called as the column.
    long: &'static str,
    /// What is to be given, as help shows it.
    value: &'static str,
    help: &'static str,
    /// An option that says the same in another way.
    not_with: Option<&'static str>,
}

const fn option(column: &'static str, value: &'static str, help: &'static str) -> CellOption {
    CellOption { column, long: column, value, help, not_with: None }
}

impl CellOption {
    const fn called(self, long: &'static str) -> CellOption {
        CellOption { long, ..self }
    }

    const fn not_with(self, other: &'static str) -> CellOption {
        CellOption { not_with: Some(other), ..self }
    }

    fn arg(&self) -> Arg {
        let action = if self.column == TICKET.column { ArgAction::Append } else { ArgAction::Set };
        let arg = Arg::new(self.long).long(self.long).value_name(self.value).help(self.help).action(action);
        let arg = arg.value_parser(said).allow_negative_numbers(NUMBERS.contains(&self.column));
        arg.conflicts_with_all(self.not_with)
    }
}

/// Words that say something: an option that was left empty, as by a script, would count as none.
fn said(words: &str) -> Result<String, &'static str> {
    if record::tidy(words).is_empty() {
        return Err("it says nothing: give it words, or leave the option out");
    }
    Ok(words.to_string())
}

/// Columns that hold a number, with or without its unit.
const NUMBERS: [&str; 10] = ["tons", "loads", "load", "acres", "swath", "inches", "days", "bales", "head", "rate"];

const DATE: CellOption = option("date", "DATE", "The day, as 2027-03-15; today when not given");
const NOTE: CellOption = option("note", "TEXT", "A remark");
const SURE: CellOption = option("sure", "NAME", "Who looked again and is sure of an entry that is far from usual");
const LOT: CellOption = option("lot", "ID", "Id of the lot");
const TONS: CellOption = option("tons", "TONS", "How much: 54, \"54 tons\", \"108000 lb\"").not_with(TICKET.long);
const LOADS: CellOption = option("loads", "NUMBER", "How many loads");
const LOAD: CellOption = option("load", "TONS", "Weight of one load: \"8.1 tons\"");
const TICKET: CellOption = option("tickets", "TONS", "What the scale said of a load; once a load").called("ticket");
const TICKET_NUMBER: CellOption =
    option("ticket_number", "NUMBERS", "The numbers of the scale tickets: \"1201, 1202\"").called("ticket-number");
const OPERATOR: CellOption = option("operator", "NAME", "Who did it");
const FIELD: CellOption = option("field", "ID", "Id of the field");
const METHOD: CellOption = option("method", "HOW", "surface or incorporated");
const CERTIFICATE: CellOption =
    option("certificate", "NUMBER", "The applicator's certificate, where the state has one");
const TO: CellOption = option("to", "NAME", "Who received it");
const FROM: CellOption = option("from", "NAME", "Where it came from");
const USE: CellOption = option("use", "TEXT", "What it is to be used for");
const LAND: CellOption = option("land", "TEXT", "Where it is to be spread: locality and nearest stream");
const PERMIT: CellOption = option("permit", "NUMBER", "Permit number of the source");
const RECEIPT: CellOption = option("receipt", "TEXT", "The signed receipt");
const TRUCK: CellOption = option("truck", "NAME", "Which truck or spreader");
const LAB: CellOption = option("lab", "NAME", "The laboratory");
const HEADS: CellOption = option("head", "NUMBER", "How many animals");
const ANIMAL: CellOption = option("animal", "TEXT", "What they are: cows with calves, stockers, sheep");
const GIVEN_ALONG: CellOption = option("analysis", "TEXT", "The analysis given along, or \"none given\"");

const WEATHER: CellOption = option("weather", "TEXT", "Weather when spread");
const BEFORE: CellOption = option("before", "TEXT", "Weather of the 24 hours before");
const WIND: CellOption = option("wind", "TEXT", "Wind: \"SW 5 mph\"");
const SOIL: CellOption = option("soil", "STATE", "dry, moist, wet, saturated, frozen or snow");

const GROUND: CellOption = option(
    "ground",
    "SHAPE",
    "The ground that was done: \"POLYGON((lon lat, lon lat, ...))\", the way that was driven as \
     \"LINESTRING(lon lat, ...)\", or a GeoJSON file with one of them; its acres are measured",
);
const SWATH: CellOption =
    option("swath", "FEET", "Width that a driven way covered; of litter, the spreader's swath when not given");

/// What every entry takes.
const EVERY: &[CellOption] = &[DATE, NOTE, SURE];
/// How much litter: tons, or loads and the weight of a load, or scale tickets.
const AMOUNT: &[CellOption] = &[LOT, TONS, LOADS, LOAD, TICKET, TICKET_NUMBER, OPERATOR];

/// The kinds of entries: what happened, and what it may say.
const KINDS: [(What, &str, &[&[CellOption]]); What::ALL.len()] = [
    (What::Spread, "Litter was spread on a field", &[EVERY, AMOUNT, SPREAD]),
    (What::Haul, "Litter left the farm", &[EVERY, AMOUNT, HAUL]),
    (What::Bring, "Litter came to the farm", &[EVERY, AMOUNT, BRING]),
    (What::CleanOut, "Houses were cleaned out into a lot", &[EVERY, AMOUNT, CLEAN_OUT]),
    (What::PutOff, "A planned clean-out moves to another day", &[EVERY, PUT_OFF]),
    (What::Count, "A lot was counted: so much is there", &[EVERY, COUNT]),
    (What::LotSample, "A sample of a lot went to the laboratory", &[EVERY, &[LOT, LAB]]),
    (What::Fertilizer, "Commercial fertilizer was spread on a field", &[EVERY, FERTILIZER]),
    (What::Lime, "Lime was spread on a field", &[EVERY, LIME]),
    (What::SoilSample, "The soil of a field was sampled", &[EVERY, &[FIELD, LAB]]),
    (What::Rain, "It rained, or rain cost days", &[EVERY, RAIN]),
    (What::Cut, "A field was cut", &[EVERY, CUT]),
    (What::Graze, "Stock grazed a field, or went onto it", &[EVERY, GRAZE]),
    (What::Head, "So many animals are on a field from this day on; 0 when they have left", &[EVERY, HEAD]),
    (What::FeedHay, "Hay was fed on a field", &[EVERY, FEED_HAY]),
    (What::Clean, "A truck or spreader was cleaned", &[EVERY, CLEAN]),
    (What::Void, "An entry does not hold at all", &[EVERY]),
];

const CLEAN_OUT: &[CellOption] = &[option("house", "NAME", "Which house of farm.yaml, where one of several"), TRUCK];

const PUT_OFF: &[CellOption] = &[
    option("house", "NAME", "The house, as farm.yaml names it"),
    option("planned", "DATE", "The day for which the clean-out was planned").called("from"),
    option("new_day", "DATE", "The day to which it moves").called("to"),
];

const COUNT: &[CellOption] = &[
    LOT,
    option("tons", "TONS", "Tons that are there: 40, \"40 tons\", \"80000 lb\""),
    option("order", "WHEN", "before or after the other entries of its day"),
    option("how", "TEXT", "How it was counted"),
];

const FERTILIZER: &[CellOption] = &[
    FIELD,
    option("product", "NAME", "Name of the product; farm.yaml says its grade"),
    option("grade", "N-P-K", "Percent of N, P2O5 and K2O as on the bag: 46-0-0"),
    option("rate", "RATE", "Pounds of product per acre: \"150 lb/ac\""),
    option("acres", "ACRES", "Acres covered; the whole field when not given"),
    GROUND,
    SWATH,
    METHOD,
    OPERATOR,
    TRUCK,
];

const LIME: &[CellOption] = &[
    FIELD,
    option("product", "NAME", "What kind of lime").called("material"),
    option("rate", "RATE", "How much: \"1.5 tons/ac\" or \"3000 lb/ac\""),
    option("acres", "ACRES", "Acres covered; the whole field when not given"),
    GROUND,
    SWATH,
    OPERATOR,
    TRUCK,
];

const HEAD: &[CellOption] = &[FIELD, HEADS, ANIMAL];

const FEED_HAY: &[CellOption] = &[
    FIELD,
    option("tons", "TONS", "Tons of hay"),
    option("bales", "NUMBER", "Bales or rolls"),
    option("acres", "ACRES", "Acres that it was fed on; the whole field when not given"),
    GROUND,
    SWATH,
    option("protein", "PERCENT", "Crude protein of the hay: with it, what the hay brings is looked up"),
];

const CLEAN: &[CellOption] = &[
    TRUCK,
    OPERATOR,
    option("where", "TEXT", "Where it was cleaned"),
    option("how", "TEXT", "How: washed, disinfected, with what"),
    option("from", "NAME", "The farm that it came from"),
    option("to", "NAME", "The farm that it went to"),
];

const SPREAD: &[CellOption] = &[
    FIELD,
    option("acres", "ACRES", "Acres covered"),
    GROUND,
    SWATH,
    METHOD,
    WEATHER,
    BEFORE,
    option("after", "TEXT", "Weather of the 24 hours after, once it is known"),
    WIND,
    SOIL,
    CERTIFICATE,
    option("basis", "TEXT", "What the rate is based on: \"plan\", or why it differs from it"),
    option("analysis", "TEXT", "The litter analysis used; the lot's own in farm.yaml when not given"),
    TRUCK,
];

const HAUL: &[CellOption] = &[
    TO,
    option("address", "TEXT", "Address of the receiver"),
    USE,
    GIVEN_ALONG,
    LAND,
    RECEIPT,
    option("basis", "TEXT", "How the receiver sets the rate"),
    TRUCK,
];

const BRING: &[CellOption] = &[
    FROM,
    option("address", "TEXT", "Address of the source"),
    PERMIT,
    option("analysis", "TEXT", "The analysis that came along"),
    RECEIPT,
    TRUCK,
];

const RAIN: &[CellOption] =
    &[option("inches", "INCHES", "Inches of rain"), option("days", "DAYS", "Days on which nothing could be spread")];

const CUT: &[CellOption] = &[
    FIELD,
    option("tons", "TONS", "Tons of hay"),
    option("bales", "NUMBER", "Bales or rolls"),
    option("moisture", "PERCENT", "Moisture of the hay: with it a year's cuttings count toward the yield goal"),
];

const GRAZE: &[CellOption] = &[
    FIELD,
    option("date", "DATE", "First day; same as --date").called("from").not_with(DATE.long),
    option("until", "DATE", "Last day; without one, that of `grazed:` in farm.yaml, else the stock are on the field until a later entry says otherwise")
        .called("to"),
    HEADS,
    ANIMAL,
];

/// What a ticket that does not say is given.
const TICKETS: &[CellOption] = &[
    option("lot", "ID", "Id of the lot, for tickets that do not say"),
    option("field", "ID", "Id of the field, for tickets that do not say"),
    option("operator", "NAME", "Who did it, for tickets that do not say"),
    option("truck", "NAME", "Which truck, for tickets that do not say"),
    option("to", "NAME", "Who received it, for tickets that do not say"),
    option("from", "NAME", "Where it came from, for tickets that do not say"),
    option("address", "TEXT", "Address of the receiver or of the source"),
    USE,
    LAND,
    PERMIT,
    GIVEN_ALONG,
    option("basis", "TEXT", "What the rate is based on"),
    METHOD,
    CERTIFICATE,
    NOTE,
    option("sure", "NAME", "Who looked again and is sure of tickets that are far from usual"),
];

/// What a load says of itself.
const A_LOAD: &[CellOption] = &[
    option("date", "DATE", "The day of this load, where it is another than that of the job: 2027-03-15"),
    option("tons", "TONS", "What it weighed; as much as the loads before when not given").not_with(TICKET.long),
    TICKET,
    TICKET_NUMBER,
    option("acres", "ACRES", "Acres that the whole job has covered by now; of a load of another day, on that day"),
    option(
        "ground",
        "SHAPE",
        "The ground that this load went on, in words or a GeoJSON file as for `log spread`; the load is then an \
         entry of its own",
    ),
    SWATH,
    WEATHER,
    BEFORE,
    WIND,
    SOIL,
    NOTE,
    SURE,
];

/// What is said of a load that is taken back.
const NO_LOAD: &[CellOption] = &[
    option("tons", "TONS", "What it weighed; as much as each of the others when not given").not_with(TICKET.long),
    option("tickets", "TONS", "What the scale said of it; the last ticket when not given").called("ticket"),
    option("ticket_number", "NUMBER", "The number of its scale ticket").called("ticket-number"),
    option("acres", "ACRES", "Acres that the job covered without it"),
    NOTE,
    SURE,
];

/// A command with options that fill cells.
fn with_cells(command: Command, options: &[&[CellOption]]) -> Command {
    options.iter().copied().flatten().fold(FarmLog::augment_args(command), |command, own| command.arg(own.arg()))
}

/// The cells that the options give, in one line each.
fn cells(options: &[&[CellOption]], matches: &mut ArgMatches) -> Cells {
    let mut cells = Cells::new();
    for own in options.iter().copied().flatten() {
        let Some(given) = matches.remove_many::<String>(own.long) else { continue };
        cells.insert(own.column, record::tidy(&given.collect::<Vec<_>>().join(" + ")));
    }
    cells
}

/// What may be given of one kind of entry.
fn options_of(what: What) -> &'static [&'static [CellOption]] {
    KINDS.iter().find(|(own, _, _)| *own == what).map_or(&[], |(_, _, options)| options)
}

impl Subcommand for LogCommand {
    fn augment_subcommands(command: Command) -> Command {
        let own = |word: &'static str, about: &'static str| Command::new(word).about(about);
        let entry = |(what, about, options): (What, &'static str, &[&[CellOption]])| {
            let command = own(what.word(), about);
            let command = if what == What::Void { VoidArgs::augment_args(command) } else { command };
            with_cells(command, options)
        };
        let tickets = own("tickets", "A scale's file of tickets: an entry a ticket, all of them or none");
        let load = own("load", "One more load of a job in the log; what the record needs was asked with the first");
        let unload = own("unload", "Takes one load of a job back; the others stay");
        let correct = own("correct", "Something in an entry was wrong: a new entry takes its place");
        let repair = own("repair", "Sets half a line at the end of log.csv aside, as a power cut leaves it");
        let [kinds @ .., void] = KINDS.map(entry);
        let command = command.subcommands(kinds).subcommand(with_cells(TicketsFile::augment_args(tickets), &[TICKETS]));
        let command = command.subcommand(with_cells(LoadOf::augment_args(load), &[A_LOAD]));
        let command = command.subcommand(with_cells(LoadOf::augment_args(unload), &[NO_LOAD]));
        let command = command.subcommand(CorrectArgs::augment_args(correct)).subcommand(void);
        command.subcommand(RepairArgs::augment_args(repair).alias("mend"))
    }

    fn augment_subcommands_for_update(command: Command) -> Command {
        LogCommand::augment_subcommands(command)
    }

    fn has_subcommand(name: &str) -> bool {
        ["tickets", "load", "unload", "correct", "repair"].contains(&name) || What::named(name).is_some()
    }
}

impl FromArgMatches for LogCommand {
    fn from_arg_matches(matches: &ArgMatches) -> Result<LogCommand, Error> {
        LogCommand::from_arg_matches_mut(&mut matches.clone())
    }

    fn from_arg_matches_mut(matches: &mut ArgMatches) -> Result<LogCommand, Error> {
        let none = || Error::raw(ErrorKind::MissingSubcommand, "say what is to be logged\n");
        let (name, mut own) = matches.remove_subcommand().ok_or_else(none)?;
        Ok(match name.as_str() {
            "tickets" => LogCommand::Tickets(TicketsArgs {
                of: TicketsFile::from_arg_matches_mut(&mut own)?,
                farm: FarmLog::from_arg_matches_mut(&mut own)?,
                cells: cells(&[TICKETS], &mut own),
            }),
            "load" => LogCommand::Load(
                LoadOf::from_arg_matches_mut(&mut own)?.id,
                EntryArgs { cells: cells(&[A_LOAD], &mut own), farm: FarmLog::from_arg_matches_mut(&mut own)? },
            ),
            "unload" => LogCommand::Unload(
                LoadOf::from_arg_matches_mut(&mut own)?.id,
                EntryArgs { cells: cells(&[NO_LOAD], &mut own), farm: FarmLog::from_arg_matches_mut(&mut own)? },
            ),
            "correct" => LogCommand::Correct(CorrectArgs::from_arg_matches_mut(&mut own)?),
            "repair" => LogCommand::Repair(RepairArgs::from_arg_matches_mut(&mut own)?),
            "void" => {
                let mut cells = cells(options_of(What::Void), &mut own);
                let void = VoidArgs::from_arg_matches_mut(&mut own)?;
                cells.insert("corrects", record::tidy(&void.id));
                LogCommand::Void(EntryArgs { farm: FarmLog::from_arg_matches_mut(&mut own)?, cells }, void.whole_job)
            }
            word => {
                let what = What::named(word).ok_or_else(none)?;
                let cells = cells(options_of(what), &mut own);
                LogCommand::Entry(what, EntryArgs { farm: FarmLog::from_arg_matches_mut(&mut own)?, cells })
            }
        })
    }

    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), Error> {
        *self = LogCommand::from_arg_matches(matches)?;
        Ok(())
    }
}
