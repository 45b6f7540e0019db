//! The kinds of entries: which columns belong to each, what the tally needs of
//! it, and what its record must say besides.

/// What an entry says was done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum What {
    /// Litter of a lot went onto a field.
    Spread,
    /// Litter of a lot left the farm.
    Haul,
    /// Litter came to a lot.
    Bring,
    /// Houses were cleaned out into a lot.
    CleanOut,
    /// A planned clean-out moves to another day.
    PutOff,
    /// A lot was counted: so much is there.
    Count,
    /// A sample of a lot went to the laboratory.
    LotSample,
    /// Commercial fertilizer went onto a field.
    Fertilizer,
    /// Lime went onto a field.
    Lime,
    /// A field's soil was sampled.
    SoilSample,
    /// It rained: nothing could be spread.
    Rain,
    /// A field was cut.
    Cut,
    /// Stock grazed a field.
    Graze,
    /// So many animals are on a field from this day on.
    Head,
    /// Hay was fed on a field.
    FeedHay,
    /// A truck or spreader was cleaned.
    Clean,
    /// An earlier entry does not hold.
    Void,
}

impl What {
    /// All of them.
    pub const ALL: [What; 17] = [
        What::Spread,
        What::Haul,
        What::Bring,
        What::CleanOut,
        What::PutOff,
        What::Count,
        What::LotSample,
        What::Fertilizer,
        What::Lime,
        What::SoilSample,
        What::Rain,
        What::Cut,
        What::Graze,
        What::Head,
        What::FeedHay,
        What::Clean,
        What::Void,
    ];

    /// The word in the log.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            What::Spread => "spread",
            What::Haul => "haul",
            What::Bring => "bring",
            What::CleanOut => "clean-out",
            What::PutOff => "put-off",
            What::Count => "count",
            What::LotSample => "lot-sample",
            What::Fertilizer => "fertilizer",
            What::Lime => "lime",
            What::SoilSample => "soil-sample",
            What::Rain => "rain",
            What::Cut => "cut",
            What::Graze => "graze",
            What::Head => "head",
            What::FeedHay => "feed-hay",
            What::Clean => "clean",
            What::Void => "void",
        }
    }

    /// The kind with this word.
    #[must_use]
    pub fn named(word: &str) -> Option<What> {
        What::ALL.into_iter().find(|w| w.word() == word)
    }

    /// Whether it moves litter.
    #[must_use]
    pub fn moves_litter(self) -> bool {
        matches!(self, What::Spread | What::Haul | What::Bring | What::CleanOut)
    }

    /// Whether it goes over a field with litter, fertilizer or lime.
    #[must_use]
    pub fn is_put_on(self) -> bool {
        matches!(self, What::Spread | What::Fertilizer | What::Lime)
    }

    /// Whether its tons are those of a lot.
    #[must_use]
    pub fn weighs_litter(self) -> bool {
        self.moves_litter() || self == What::Count
    }

    /// The columns that say something of it, besides id, date, what, corrects,
    /// sure and note, which every entry has.
    #[must_use]
    pub fn columns(self) -> &'static [&'static str] {
        match self {
            What::Spread => SPREAD,
            What::Haul => &[
                "lot",
                "tons",
                "loads",
                "load",
                "tickets",
                "ticket_number",
                "operator",
                "certificate",
                "analysis",
                "to",
                "address",
                "use",
                "land",
                "receipt",
                "basis",
                "truck",
            ],
            What::Bring => &[
                "lot",
                "tons",
                "loads",
                "load",
                "tickets",
                "ticket_number",
                "operator",
                "analysis",
                "from",
                "address",
                "permit",
                "receipt",
                "truck",
            ],
            What::CleanOut => {
                &["lot", "tons", "loads", "load", "tickets", "ticket_number", "operator", "house", "truck"]
            }
            What::PutOff => &["house", "planned", "new_day"],
            What::Count => &["lot", "tons", "order", "how"],
            What::LotSample => &["lot", "lab"],
            What::Fertilizer => {
                &["field", "product", "grade", "rate", "acres", "ground", "swath", "method", "operator", "truck"]
            }
            What::Lime => &["field", "product", "rate", "acres", "ground", "swath", "operator", "truck"],
            What::SoilSample => &["field", "lab"],
            What::Rain => &["inches", "days"],
            What::Cut => &["field", "tons", "bales", "moisture"],
            What::Graze => &["field", "until", "planned", "head", "animal"],
            What::Head => &["field", "head", "animal"],
            What::FeedHay => &["field", "tons", "bales", "protein", "acres", "ground", "swath"],
            What::Clean => &["truck", "operator", "where", "how", "from", "to"],
            What::Void => &[],
        }
    }

    /// What an entry of this kind cannot do without.
    #[must_use]
    pub fn needs(self) -> &'static [Need] {
        match self {
            What::Spread => &[LOT, FIELD, AMOUNT],
            What::Haul | What::Bring | What::CleanOut => &[LOT, AMOUNT],
            What::PutOff => &[HOUSE, PLANNED, NEW_DAY],
            What::Count => &[LOT, TONS_THERE, ORDER],
            What::LotSample => &[LOT],
            What::Fertilizer => &[FIELD, GRADE, RATE],
            What::Lime => &[FIELD, LIME_RATE],
            What::Rain => &[RAIN],
            What::SoilSample | What::Cut | What::Graze => &[FIELD],
            What::Head => &[FIELD, ANIMALS],
            What::FeedHay => &[FIELD, HAY],
            What::Clean => &[TRUCK],
            What::Void => &[VOIDED],
        }
    }
}

/// What a spreading may say.
const SPREAD: &[&str] = &[
    "lot",
    "field",
    "tons",
    "acres",
    "ground",
    "swath",
    "loads",
    "load",
    "tickets",
    "ticket_number",
    "method",
    "weather",
    "before",
    "after",
    "wind",
    "soil",
    "operator",
    "certificate",
    "basis",
    "analysis",
    "soil_test",
    "calibrated",
    "truck",
];

/// A cell that an entry cannot do without.
#[derive(Debug)]
pub struct Need {
    /// Its column.
    pub column: &'static str,
    /// What a line without it does not say.
    pub unsaid: &'static str,
    /// What may be written.
    pub accepts: &'static str,
    /// The item of the tables that asks for it; none where the tally alone does.
    pub item: &'static str,
    /// Columns that together say the same.
    pub or: &'static [&'static [&'static str]],
}

const fn need(column: &'static str, unsaid: &'static str, accepts: &'static str) -> Need {
    Need { column, unsaid, accepts, item: "", or: &[] }
}

const LOT: Need = Need { item: "material", ..need("lot", "which lot", "the id of a lot in farm.yaml") };
const FIELD: Need = Need { item: "field_and_acres", ..need("field", "which field", "the id of a field in farm.yaml") };
const AMOUNT: Need = Need {
    item: "amount",
    or: &[&["tickets"], &["loads", "load"]],
    ..need("tons", "how much", "`tons`, scale tickets, or `loads` with the weight of a `load`")
};
const TONS_THERE: Need = need("tons", "how much is there", "the tons that were counted; 0 where nothing is left");
const ORDER: Need = need(
    "order",
    "whether the count was made before or after the other entries of its day",
    "before: litter moved that day is taken off or added; after: the count holds it already",
);
const GRADE: Need = need("grade", "the grade", "percent of N, P2O5 and K2O as on the bag, for example 46-0-0");
const RATE: Need = need("rate", "how much went on an acre", "pounds of product per acre, for example 150 lb/ac");
const LIME_RATE: Need = need("rate", "how much went on an acre", "for example 1.5 tons/ac or 3000 lb/ac");
const RAIN: Need = Need {
    item: "weather",
    or: &[&["days"]],
    ..need("inches", "how much it rained or what days it cost", "`inches`, or the `days` lost")
};
const ANIMALS: Need = need("head", "how many animals", "a number; 0 when they have left");
const HAY: Need = need("tons", "how much hay", "tons of hay");
const TRUCK: Need = need("truck", "what was cleaned", "the name or plate of the truck or spreader");
const HOUSE: Need = need("house", "which house", "the name of a house in farm.yaml");
const PLANNED: Need = need("planned", "which clean-out", "the day for which it was planned, as 2027-05-10");
const NEW_DAY: Need = need("new_day", "the new day", "the day to which it moves, as 2027-05-31");
const VOIDED: Need = need("corrects", "which entry is void", "the id of that entry");

/// A cell that the record of such an entry needs beyond what the tally needs:
/// its column, the item of the tables that asks for it, and what to write.
pub type Asked = (&'static str, &'static str, &'static str);

/// What is asked of every entry of a kind when it is logged. The weather of
/// the day after is not among it: it is not known yet.
#[must_use]
pub fn asked(what: What) -> &'static [Asked] {
    match what {
        What::Spread => &[
            ("acres", "field_and_acres", "acres covered, for example 24"),
            ("loads", "amount", "how many loads, for example 7"),
            ("method", "method", "surface or incorporated"),
            ("weather", "weather", "weather when spread"),
            ("before", "weather", "weather of the 24 hours before"),
            ("wind", "weather", "wind, for example SW 5 mph"),
            ("soil", "soil_state", "dry, moist, wet, saturated, frozen or snow"),
            ("operator", "applicator", "who spread it"),
            ("basis", "basis", "what the rate is based on: `plan`, or why it differs"),
        ],
        What::Haul => &[
            ("to", "broker", "who received it"),
            ("address", "broker", "address of the receiver"),
            ("use", "use", "what it is to be used for"),
            ("analysis", "receipt", "the analysis given along, or `none given`"),
        ],
        What::Bring => &[("from", "source", "where it came from")],
        _ => &[],
    }
}
