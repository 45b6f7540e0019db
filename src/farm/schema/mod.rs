//! The JSON Schema of farm.yaml, draft-07, as editors of YAML read it.
//!
//! A key is added here when the reader learns it: `need` or `may` in the block
//! that it belongs to. `tests/schema.rs` holds both to each other, key by key:
//! what the reader knows and the schema does not, or the other way round,
//! fails there.

mod field;
mod files;
mod forms;
mod litter;
mod on_hand;
mod top;
mod work;

use serde_json::{Value, json};

/// The schema as a JSON document.
#[must_use]
pub fn schema() -> Value {
    let mut schema = top::farm();
    schema["$schema"] = json!("http://json-schema.org/draft-07/schema#");
    schema["title"] = json!("farm.yaml");
    schema["description"] =
        json!("A farm for sward. Every quantity carries its unit; `sward check` says what is missing or wrong");
    schema
}
