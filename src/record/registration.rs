//! Two photographs laid over each other by marks that both show. Apart from the photograph, because it belongs to two.

use super::photograph::{outside, place, within};
use crate::geometry::{Degenerate, Homography, Point, Residual};

/// How another photograph lies over the one that keeps this.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Registration {
    /// Stable identifier; blank before it is stored.
    pub id: String,
    /// SHA-256 of the other photograph.
    pub other: String,
    /// The same marks on both: the place on this photograph, then that on the other; pixels of the upright originals.
    pub marks: Vec<(Point, Point)>,
}

impl Registration {
    /// Proves that a map can be made of the marks, and that each lies on its picture; sizes are width and height.
    ///
    /// # Errors
    /// A sentence that names the mark and the mend.
    pub fn check(&self, first: (f64, f64), second: (f64, f64)) -> Result<(), String> {
        for (a, b) in &self.marks {
            for (mark, (width, height)) in [(*a, first), (*b, second)] {
                if !within(mark, width, height) {
                    return Err(outside(mark, width, height));
                }
            }
        }
        self.map().map(|_| ()).map_err(|e| format!("these marks do not lay one photograph over the other: {e}"))
    }

    /// The map from this photograph to the other.
    ///
    /// # Errors
    /// If there are fewer than four marks, or they lie so that they settle no plane.
    pub fn map(&self) -> Result<Homography, Degenerate> {
        Homography::through(&self.marks)
    }

    /// How far the marks are missed, in pixels of the other photograph; none where four are met whatever they are.
    pub fn residual(&self) -> Option<Residual> {
        if self.marks.len() < 5 {
            return None;
        }
        self.map().ok()?.residual(&self.marks)
    }
}

/// Reads a mark: `812,400 = 830,411`.
///
/// # Errors
/// A sentence.
pub fn mark(text: &str) -> Result<(Point, Point), String> {
    let Some((first, second)) = text.split_once('=') else {
        return Err(format!(
            "`{text}` is no mark; write its place on the first and on the second: `812,400 = 830,411`"
        ));
    };
    Ok((place(first.trim())?, place(second.trim())?))
}

/// Reads marks as the catalogue keeps them: `x,y=x,y x,y=x,y …`.
///
/// # Errors
/// A sentence.
pub fn marks(text: &str) -> Result<Vec<(Point, Point)>, String> {
    text.split_whitespace().map(mark).collect()
}

/// Writes marks as the catalogue keeps them.
pub fn written(marks: &[(Point, Point)]) -> String {
    marks.iter().map(|((a, b), (c, d))| format!("{a},{b}={c},{d}")).collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    const FOUR: &str = "10,10=110,60 90,10=190,60 90,70=190,120 10,70=110,120";

    #[test]
    fn marks_come_back_as_they_were_written_and_give_the_map() {
        let read = marks(FOUR).expect("marks");
        assert_eq!(written(&read), FOUR);
        let moved = Registration { marks: read, ..Registration::default() };
        let (x, y) = moved.map().expect("a map").map((50.0, 40.0)).expect("a place");
        assert!((x - 150.0).abs() < 1e-9 && (y - 90.0).abs() < 1e-9);
        assert_eq!(moved.residual(), None, "four marks are met whatever they are");
        let five = format!("{FOUR} 50,40=150,94");
        let missed = Registration { marks: marks(&five).expect("marks"), ..Registration::default() };
        assert!(missed.residual().expect("a residual").worst > 1.0);
    }

    #[test]
    fn marks_that_lay_nothing_over_anything_are_refused() {
        for (text, says) in [
            ("10,10=110,60 90,10=190,60 90,70=190,120", "four"),
            ("10,10=110,60 20,20=190,60 30,30=190,120 40,40=110,120", "line"),
            ("10,10=110,60 90,10=190,60 90,70=190,120 10,70=110,1200", "1200"),
            ("1000,10=110,60 90,10=190,60 90,70=190,120 10,70=110,120", "1000"),
        ] {
            let made = Registration { marks: marks(text).expect("marks"), ..Registration::default() };
            let refusal = made.check((100.0, 100.0), (200.0, 200.0)).expect_err(text);
            assert!(refusal.contains(says), "{text}: {refusal}");
        }
        for text in ["10,10", "10,10=x", "10=10,10", "=", "10,10 = nan,3"] {
            assert!(mark(text).is_err(), "{text}");
        }
    }
}
