//! Need, supply and every limit, as pure arithmetic that shows its work.
//!
//! Lives here: what each field needs, what a ton of each lot supplies, what
//! caps the rate, and the notebook in which every number stands with its
//! formula and source. Never here: choices, reading, printing.

mod after_test;
mod asked;
mod banked;
mod banking;
mod begun;
mod by_statement;
mod desk;
mod driving;
mod erosion;
mod fed_hay;
mod field;
mod goal;
mod hay;
mod held;
mod herds;
mod lacking;
mod lime;
mod limit;
mod limits;
mod logged;
mod loosened;
mod need;
mod needed;
mod notebook;
mod npk;
mod overrun;
mod p_rules;
mod p_spans;
mod periods;
mod phosphorus;
pub(crate) mod rated;
mod removal;
mod report;
mod residual;
mod run_lines;
mod since_test;
mod supply;
mod survey;
mod test_ends;
mod toxic;
mod untouched;
mod weighed;
mod windows;

pub use banking::banked_too_long;
pub use begun::{RestGround, UndrawnPart};
pub use desk::Lack;
pub use driving::{Driving, Left, LoadEnd, Loads, Spreading, driving, driving_beside};
pub use field::weigh;
pub use held::Held;
pub use herds::HerdPart;
pub use lime::Lime;
pub use limit::{Counts, Limit, LimitKind, LimitOnRest, LotLimit, Over, Trips};
pub use logged::PutOn;
pub use need::YearNeed;
pub use needed::Needed;
pub use notebook::{How, NOT_KNOWN, Notebook, Op, Step, StepId, StepsKnown, Worth};
pub use npk::Npk;
pub use p_rules::{RuleRow, Statement};
pub use periods::days_in_words;
pub use phosphorus::{Basis, Phosphorus};
pub use run_lines::{HeadedLine, line_after, run_lines};
pub use supply::Supply;
pub use survey::{Haul, SoilPart, Surveyed, survey, survey_some};
pub use untouched::{bare_keepouts, idle_keepouts};
pub use weighed::{Balance, FieldBalance, LotBalance};
pub use windows::Window;
