//! The room `ground`, tested from outside against closed forms, brute force and the geodesic.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    clippy::indexing_slicing,
    clippy::float_cmp,
    clippy::cast_possible_truncation,
    clippy::cast_precision_loss,
    clippy::cast_sign_loss,
    reason = "a test may fall over, and asks for exact numbers where they are exact"
)]

use sward::ground;

mod accuracy;
mod agree;
mod boundaries;
mod county;
mod cutting;
#[path = "../kit/mod.rs"]
mod kit;
mod laws;
mod passes;
mod setbacks;
mod shapes;
mod written;
