//! Plain text as people save it, and YAML with the place of every value.
//!
//! Lives here: turning bytes into text (byte order marks, UTF-16), a YAML (or
//! JSON) document whose every value knows its line and column, and a walker
//! that reports every problem instead of stopping at the first. Never here:
//! what any key means.

mod decode;
mod node;
mod parse;
mod walk;

pub use decode::decode;
pub use node::{Kind, Node};
pub use parse::parse;
pub use walk::{NO_DAY, Walker, day, key_of};
