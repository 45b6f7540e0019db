//! What the grower wrote: `farm.yaml`, `fields.geojson`, `keepouts.geojson`, and
//! `soils.geojson`, `calibration.yaml` and the laboratories' tables where there
//! are any.
//!
//! Lives here: reading those files into `Written`, with the place of every
//! value and every problem of form reported. Never here: a published figure,
//! or a check that needs one.

mod before;
mod boundaries;
mod by_volume;
mod calibration;
mod change;
mod crops;
mod dated;
mod days;
mod fertilizer;
mod fields;
mod figures;
mod files;
mod folder;
mod geometry;
mod hay;
mod herds;
mod in_force;
mod keepouts;
mod labs;
mod litter;
mod main_file;
mod numbers;
mod on_hand;
mod outlets;
mod prices;
pub mod properties;
mod rated;
mod recommended;
mod schema;
mod soils;
mod sure;
mod tickets;
mod upgrade;
mod words;
mod written;
mod years;
mod yields;

pub use before::{Before, Stand};
pub use calibration::{Covered, LoadRun, LoadWeight, PanRow, RunSettings, SheetRuns, WrittenCalibration};
pub use change::Change;
pub use crops::{Bushels, Carried, CropSeason, WrittenCrop};
pub use dated::{Dated, HasDay};
pub use days::{HaulTime, MONTHS, WrittenCleanOut, WrittenDays, WrittenHouse, WrittenStorage, WrittenWork};
pub use fertilizer::{CarryOver, Fertilizer, Shop};
pub use figures::WrittenFigure;
pub use files::{CALIBRATION, FIELDS, FarmText, KEEPOUTS, MAIN, SOILS};
pub use folder::{read, read_text, read_text_with, read_with, texts};
pub use hay::HayAnalysis;
pub use herds::{Herd, is_sheep};
pub use keepouts::feature_key;
pub use labs::{LabFile, Labs};
pub use on_hand::{DensityOf, Flocks, LoadOf, LoadsCounted, OnHand, OnHandTicket, Pile, PileForm};
pub use outlets::{WrittenBrought, WrittenOutlet};
pub use prices::Prices;
pub use rated::{Leaching, MadeFor, Rated};
pub use recommended::Recommended;
pub use schema::schema;
pub use soils::{Attribute, Soil, SoilNames};
pub use sure::Sure;
pub use tickets::{TICKET_COLUMNS, TicketNames};
pub use upgrade::{UpgradeStep, Upgraded, VERSION, upgrade};
pub use words::{
    Basis, CountOrder, Endophyte, FEATURES, OWNERS, PileShape, Rating, Stored, Taken, Texture, Use, is_neighbor,
};
pub use written::*;
pub use yields::{LoggedHay, Measure, YieldYear};
