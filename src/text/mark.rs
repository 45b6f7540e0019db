//! A mark by which a text is known again: a checksum over its contents.

use serde::{Deserialize, Serialize};
use serde_json::Value;
use sha2::{Digest, Sha256};

/// A file that was read, and the mark of what it held.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Mark {
    /// Its name.
    pub file: String,
    /// SHA-256 of its text, in hexadecimal; line ends count as one.
    pub sha256: String,
}

impl Mark {
    /// The mark of a file's text.
    #[must_use]
    pub fn of(file: &str, text: &str) -> Mark {
        let sha256 = if text.contains('\r') { sum([text.replace("\r\n", "\n").as_str()]) } else { sum([text]) };
        Mark { file: file.to_string(), sha256 }
    }

    /// One mark over several files, whatever their order.
    #[must_use]
    pub fn over(marks: &[Mark]) -> String {
        let mut sorted: Vec<&Mark> = marks.iter().collect();
        sorted.sort();
        sum(sorted.into_iter().flat_map(|mark| [mark.file.as_str(), "\n", mark.sha256.as_str(), "\n"]))
    }
}

/// The mark of a document but for the mark itself: a member `sum` of its member
/// `made`. Spaces and the order of keys do not count, nor what two readers of
/// JSON make of the last digits of a number.
#[must_use]
pub fn sum_of(document: &Value) -> String {
    let mut bare = document.clone();
    if let Some(made) = bare.get_mut("made").and_then(Value::as_object_mut) {
        made.remove("sum");
    }
    rounded(&mut bare);
    sum([bare.to_string().as_str()])
}

fn rounded(value: &mut Value) {
    match value {
        Value::Array(list) => list.iter_mut().for_each(rounded),
        Value::Object(map) => map.values_mut().for_each(rounded),
        Value::Number(number) if number.is_f64() => {
            *value = Value::String(format!("{:.11e}", number.as_f64().unwrap_or_default()));
        }
        _ => {}
    }
}

fn sum<'a>(parts: impl IntoIterator<Item = &'a str>) -> String {
    let mut hasher = Sha256::new();
    parts.into_iter().for_each(|part| hasher.update(part.as_bytes()));
    hasher.finalize().iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mark_is_the_checksum_that_other_programs_print() {
        // `printf abc | sha256sum`
        let known = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(Mark::of("a", "abc").sha256, known);
        assert_eq!(Mark::of("a", "x\r\ny\r\n"), Mark::of("a", "x\ny\n"));
        let (one, two) = (Mark::of("a", "1"), Mark::of("b", "2"));
        assert_eq!(Mark::over(&[one.clone(), two.clone()]), Mark::over(&[two.clone(), one.clone()]));
        assert_ne!(Mark::over(&[one]), Mark::over(&[two]));
    }
}
