//! Meters in the unit of a grid. The US survey foot and the international foot differ by two
//! parts in a million: four feet where a grid counts two million.

use crate::exchange::wkt::Wkt;

/// Meters in an international foot, by definition.
const FOOT: f64 = 0.3048;
/// Meters in a US survey foot, by definition.
const US_FOOT: f64 = 1200.0 / 3937.0;
/// Between the two feet lie six parts in ten million of a meter; files round less than this.
const SAME: f64 = 1e-8;

/// Meters in a unit as a file writes it: its name and its number.
///
/// # Errors
/// Says in a sentence why it is not taken.
pub(super) fn unit_of(unit: &Wkt) -> Result<f64, String> {
    let name = unit.name();
    let meters = unit.number().ok_or_else(|| format!("the unit `{name}` does not say how long it is"))?;
    if !(0.1..=1.1).contains(&meters) {
        return Err(format!("the unit `{name}` of {meters} m is not one that a grid counts in"));
    }
    let bare: String = name.chars().filter(char::is_ascii_alphabetic).map(|c| c.to_ascii_lowercase()).collect();
    let survey = bare.contains("survey") || bare.contains("us");
    let near = |feet: f64, within: f64| (meters - feet).abs() < within;
    if near(FOOT, SAME) && survey {
        return Err(format!("the unit `{name}` is said to be {meters} m, which is the international foot"));
    }
    // The name says which foot a number of few digits means.
    if survey && near(US_FOOT, 1e-6) {
        return Ok(US_FOOT);
    }
    Ok(if near(US_FOOT, 10.0 * SAME) {
        US_FOOT
    } else if near(FOOT, SAME) {
        FOOT
    } else {
        meters
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_two_feet_are_kept_apart() {
        let unit = |text: &str| unit_of(&Wkt::read(text).unwrap());
        for text in [
            "UNIT[\"Foot_US\",0.3048006096012192]",
            "LENGTHUNIT[\"US survey foot\",0.3048006]",
            "UNIT[\"ftUS\",0.304801]",
        ] {
            assert_eq!(unit(text), Ok(US_FOOT), "{text}");
        }
        assert_eq!(unit("UNIT[\"foot\",0.3048]"), Ok(FOOT));
        assert_eq!(unit("UNIT[\"Foot\",0.304800609601219]"), Ok(US_FOOT));
        assert_eq!(unit("UNIT[\"metre\",1]"), Ok(1.0));
        assert!(unit("UNIT[\"Foot_US\",0.3048]").unwrap_err().contains("international"));
        assert!(unit("UNIT[\"kilometre\",1000]").is_err());
        assert!(unit("UNIT[\"metre\"]").is_err());
    }
}
