//! The numbers between `<coordinates>` and `</coordinates>`.
//!
//! The rule: `lon,lat` or `lon,lat,height`, corners parted by space. In the wild there are spaces
//! after the commas too, which is understood, and decimal commas, which are not guessed at.

use crate::exchange::given::Corners;
use geo::coord;

/// What was read.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Numbers {
    /// The corners.
    pub(super) corners: Corners,
    /// How many had a height.
    pub(super) heights: usize,
    /// Whether spaces stood around commas.
    pub(super) spaced: bool,
}

/// Reads the text.
///
/// # Errors
/// The piece that is no corner, with how many bytes into the text it stands, and why.
pub(super) fn read(text: &str) -> Result<Numbers, (usize, String)> {
    let mut numbers = Numbers::default();
    let mut rest = 0;
    while let Some((start, end)) = piece(text, rest, &mut numbers.spaced) {
        rest = end;
        let own = text.get(start..end).unwrap_or_default();
        let parts: Vec<&str> = own.trim_matches(',').split(',').map(str::trim).collect();
        let read: Option<Vec<f64>> = parts.iter().map(|p| p.parse().ok()).collect();
        let shown: String = own.chars().take(40).collect();
        let shown = shown.trim();
        match (parts.len(), read.as_deref()) {
            (2, Some([x, y])) => numbers.corners.push(coord! { x: *x, y: *y }),
            (3, Some([x, y, _])) => {
                numbers.corners.push(coord! { x: *x, y: *y });
                numbers.heights += 1;
            }
            (4.., _) => {
                let why =
                    "more than three numbers hang together by commas (decimal commas, or no space between corners)";
                return Err((start, format!("`{shown}`: {why}")));
            }
            _ => return Err((start, format!("`{shown}` is not longitude,latitude"))),
        }
    }
    Ok(numbers)
}

/// The next piece between spaces; a space before or after a comma does not part.
fn piece(text: &str, from: usize, spaced: &mut bool) -> Option<(usize, usize)> {
    let start = from + text.get(from..)?.find(|c: char| !c.is_whitespace())?;
    let mut end = start;
    let mut after_comma = false;
    let mut gap = false;
    for (i, c) in text.get(start..)?.char_indices() {
        if c.is_whitespace() {
            gap = true;
            continue;
        }
        if gap && !after_comma && c != ',' {
            break;
        }
        *spaced |= gap && (after_comma || c == ',');
        gap = false;
        after_comma = c == ',';
        end = start + i + c.len_utf8();
    }
    Some((start, end))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn forms_in_the_wild() {
        for (text, corners, heights) in [
            ("-76.02,39.38,200 -76.03,39.39,0", 2, 2),
            ("\n  -76.02,39.38\n\t-76.03,39.39\n", 2, 0),
            ("-76.02, 39.38, 200 -76.03, 39.39, 200", 2, 2),
            ("-76.02 , 39.38 -76.03 , 39.39", 2, 0),
            (",-76.02,39.38 -76.03,39.39,", 2, 0),
            ("", 0, 0),
        ] {
            let read = read(text).unwrap();
            assert_eq!((read.corners.len(), read.heights), (corners, heights), "{text}");
        }
        for text in ["-76,02,39,38", "a,b", "1", "1,2,3,4", "-76.02,39.38,-76.03,39.39", "1,,2", "1;2"] {
            assert!(read(text).is_err(), "{text}");
        }
        assert_eq!(read("1,2 é,3").unwrap_err().0, 4);
    }
}
