//! `sward today`.

use crate::cli::args::{GroundSaid, TodayArgs, WindSaid};
use crate::cli::exit::Exit;
use crate::cli::{load, out};
use crate::plan::days::{self, Ground, Weather, Wind};
use crate::write;

pub(super) fn run(args: &TodayArgs) -> Result<Exit, Exit> {
    let planned = load::reported(&args.farm)?;
    let ground = args.ground.map(|ground| match ground {
        GroundSaid::Dry => Ground::Dry,
        GroundSaid::Moist => Ground::Moist,
        GroundSaid::Wet | GroundSaid::Saturated => Ground::Wet,
        GroundSaid::Frozen => Ground::Frozen,
        GroundSaid::Snow => Ground::Snow,
    });
    let wind = args.wind.map(|wind| match wind {
        WindSaid::Calm => Wind::Calm,
        WindSaid::Light => Wind::Light,
        WindSaid::Strong => Wind::Strong,
    });
    let weather = Weather { ground, wind, rain_ahead: args.rain_ahead };
    let today = days::today(planned.audited.plan(), &planned.ready, &planned.tables, weather);
    let page = if args.all { write::today_in_full } else { write::today };
    out::result(&if args.farm.json { write::today_json(&today) } else { page(&today, out::width()) });
    Ok(Exit::Done)
}
