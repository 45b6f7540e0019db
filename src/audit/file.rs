//! A plan read back from the text that `sward plan --json` printed. Whoever
//! wrote the text is a stranger: nothing in it is believed.

use crate::findings::{Finding, Place};
use crate::plan::answer::{Plan, SCHEMA};
use serde::Deserialize;

/// How to get a plan that can be read.
pub const PRINT_AGAIN: &str = "print it again: `sward plan FOLDER --json > plan.json`";

/// Only what says how to read the rest.
#[derive(Deserialize)]
#[serde(expecting = "a plan, as `sward plan --json` prints it")]
struct Head {
    schema: Option<serde_json::Value>,
}

/// Reads a plan, and the same word for word.
///
/// # Errors
/// When the text is no JSON, no plan, or a plan of another form.
pub fn read(file: &str, text: &str) -> Result<(Plan, serde_json::Value), Box<Finding>> {
    let refuse = |code, place: &Place, found: String| Box::new(Finding::error(code, place, found).fix(PRINT_AGAIN));
    let head: Head = serde_json::from_str(text).map_err(|e| {
        let code = if e.is_data() { "plan-data" } else { "plan-form" };
        refuse(code, &place(file, &e), format!("this is not a plan in JSON: {}", said(&e)))
    })?;
    match head.schema.as_ref().map(serde_json::Value::as_u64) {
        Some(Some(schema)) if schema == u64::from(SCHEMA) => {}
        other => {
            let found = match (other, head.schema) {
                (_, Some(schema)) => {
                    let shown: String = schema.to_string().chars().take(40).collect();
                    format!("the plan's `schema` is {shown}")
                }
                (_, None) => "the plan has no `schema`".to_string(),
            };
            let finding = Finding::error("plan-schema", &Place::file(file), found);
            return Err(Box::new(
                finding.accepts(format!("schema {SCHEMA}, which this program prints")).fix(PRINT_AGAIN),
            ));
        }
    }
    let data = |e: serde_json::Error| refuse("plan-data", &place(file, &e), format!("the plan: {}", said(&e)));
    Ok((serde_json::from_str(text).map_err(data)?, serde_json::from_str(text).map_err(data)?))
}

fn place(file: &str, error: &serde_json::Error) -> Place {
    Place { file: file.into(), line: error.line(), column: error.column().max(1) }
}

/// The reader's words without the place, which is shown in front.
fn said(error: &serde_json::Error) -> String {
    let text = error.to_string();
    text.rsplit_once(" at line ").map_or(text.as_str(), |(words, _)| words).chars().take(300).collect()
}
