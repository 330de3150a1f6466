//! A reading of the colour target in a photograph. Apart from the photograph, because it can be taken again.

use crate::colour::target::{Evaluation, Fitted};

/// One reading of a target.
#[derive(Debug, Clone, PartialEq)]
pub struct TargetReading {
    /// Stable identifier; blank before it is stored.
    pub id: String,
    /// Outer corners of the four corner patches, in pixels of the upright original: upper left, upper right, lower
    /// right, lower left of the target as it is read.
    pub corners: [(f64, f64); 4],
    /// Name of the reference values.
    pub reference: String,
    /// SHA-256 of their file.
    pub reference_sha256: String,
    /// How far the photograph is off.
    pub results: Evaluation,
    /// The correction for readings on this photograph, if one was fitted.
    pub correction: Option<Fitted>,
}

/// Reads four corners, each `x,y`.
///
/// # Errors
/// A sentence that names what is wrong.
pub fn corners<'a>(words: impl IntoIterator<Item = &'a str>) -> Result<[(f64, f64); 4], String> {
    let mut points = Vec::new();
    for word in words {
        let pair = word.split_once(',').and_then(|(x, y)| Some((x.trim().parse().ok()?, y.trim().parse().ok()?)));
        match pair {
            Some((x, y)) if f64::is_finite(x) && f64::is_finite(y) => points.push((x, y)),
            _ => return Err(format!("`{word}` is no pixel position; write x,y such as 812,1240")),
        }
    }
    let n = points.len();
    points.try_into().map_err(|_| {
        format!("a target has four corners, not {n}; give upper left, upper right, lower right, lower left")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn four_corners_are_read_and_nothing_else_is() {
        assert_eq!(corners("1,2 3.5,4 5,6 7,8".split(' ')), Ok([(1.0, 2.0), (3.5, 4.0), (5.0, 6.0), (7.0, 8.0)]));
        let cases = [
            ("1,2 3,4 5,6", "four corners, not 3"),
            ("1,2 3,4 5,6 7,8 9,9", "four corners, not 5"),
            ("1,2 3,4 5,6 7", "`7` is no pixel position"),
            ("1,2 3,4 5,6 NaN,8", "`NaN,8` is no pixel position"),
        ];
        for (text, says) in cases {
            let refusal = corners(text.split(' ')).expect_err("refused");
            assert!(refusal.contains(says), "{text}: {refusal}");
        }
    }
}
