//! Words that an option takes.

use clap::ValueEnum;

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum GroundSaid {
    Dry,
    Moist,
    Wet,
    /// The same as wet, by the word of the log
    Saturated,
    Frozen,
    Snow,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum WindSaid {
    Calm,
    Light,
    Strong,
}
