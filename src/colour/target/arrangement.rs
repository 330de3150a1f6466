//! How the patches of a target lie: from their numbers, their letters, or what the user says.

use std::collections::HashSet;

use serde::{Deserialize, Serialize};

use super::written::Misread;

/// Columns and rows of a target.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Grid {
    /// Columns, from left to right.
    pub columns: u32,
    /// Rows, from above downwards.
    pub rows: u32,
}

impl Grid {
    /// Reads `6x4` or `6×4`: columns, then rows.
    ///
    /// # Errors
    /// A sentence with the mend.
    pub fn parse(text: &str) -> Result<Grid, String> {
        let side = |t: &str| t.trim().parse::<u32>().ok().filter(|n| (1..=60).contains(n));
        text.split_once(['x', 'X', '×'])
            .and_then(|(c, r)| Some(Grid { columns: side(c)?, rows: side(r)? }))
            .ok_or_else(|| format!("`{text}` is no arrangement; write columns and rows, up to 60 each, as in 6x4"))
    }

    /// How many patches it has.
    pub fn count(self) -> usize {
        self.columns as usize * self.rows as usize
    }
}

impl std::fmt::Display for Grid {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}x{}", self.columns, self.rows)
    }
}

/// The arrangement, and the place of each patch in the order of the file.
///
/// Names such as `B3` are column B, row 3, as makers of targets write them (common practice, no source); if `grid` fits
/// the other way round only, row B, column 3. Whole numbers run row by row, and anything else in the order of the file.
pub(super) fn arranged(ids: &[&str], grid: Option<Grid>) -> Result<(Grid, Vec<(u32, u32)>), Misread> {
    let whole = |why: String| Misread { line: None, why };
    let mut seen = HashSet::new();
    if let Some(twice) = ids.iter().find(|id| !seen.insert(**id)) {
        return Err(whole(format!(
            "patch `{twice}` stands there twice; give each patch a line and a number of its own"
        )));
    }
    let lettered: Option<Vec<(u32, u32)>> = ids.iter().map(|id| lettered(id)).collect();
    if let Some(places) = lettered.filter(|p| !p.is_empty()) {
        let most = |side: fn(&(u32, u32)) -> u32| places.iter().map(side).max().unwrap_or(0) + 1;
        let found = Grid { columns: most(|p| p.0), rows: most(|p| p.1) };
        let turned = Grid { columns: found.rows, rows: found.columns };
        if found.count() != ids.len() {
            let n = ids.len();
            return Err(whole(format!(
                "the names of the patches make a field of {found}, but {n} patches are given; give every patch a line"
            )));
        }
        return match grid {
            None => Ok((found, places)),
            Some(g) if g == found => Ok((found, places)),
            Some(g) if g == turned => Ok((turned, places.into_iter().map(|(c, r)| (r, c)).collect())),
            Some(g) => {
                Err(whole(format!("the names of the patches make a field of {found}, not {g}; leave `--grid` away")))
            }
        };
    }
    let n = ids.len();
    let grid = match grid {
        Some(g) if g.count() == n => g,
        Some(g) => return Err(whole(format!("{n} patches do not fill {g}; `--grid` is columns x rows of the target"))),
        None if n == 24 => Grid { columns: 6, rows: 4 },
        None => return Err(whole(format!("{n} patches: say how they lie, `--grid COLUMNSxROWS`"))),
    };
    let numbers: Option<Vec<u64>> = ids.iter().map(|id| id.parse().ok()).collect();
    let rank = |i: usize| match &numbers {
        Some(numbers) => numbers.iter().filter(|n| **n < numbers[i]).count(),
        None => i,
    };
    let place = |at: usize| (at as u32 % grid.columns, at as u32 / grid.columns);
    Ok((grid, (0..n).map(|i| place(rank(i))).collect()))
}

/// Column and row of `B3`.
fn lettered(id: &str) -> Option<(u32, u32)> {
    let mut rest = id.chars();
    let letter = rest.next().filter(char::is_ascii_alphabetic)?.to_ascii_uppercase();
    let number: u32 = rest.as_str().parse().ok().filter(|n| (1..=60).contains(n))?;
    Some((u32::from(letter) - u32::from('A'), number - 1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_follow_from_letters_numbers_or_the_order() {
        let g = |c, r| Grid { columns: c, rows: r };
        let cases: [(&[&str], Option<Grid>, Grid, &[(u32, u32)]); 5] = [
            (&["A1", "A2", "B1", "B2", "C1", "C2"], None, g(3, 2), &[(0, 0), (0, 1), (1, 0), (1, 1), (2, 0), (2, 1)]),
            (
                &["a1", "b1", "a2", "b2", "a3", "b3"],
                Some(g(3, 2)),
                g(3, 2),
                &[(0, 0), (0, 1), (1, 0), (1, 1), (2, 0), (2, 1)],
            ),
            (&["1", "2", "3", "4"], Some(g(2, 2)), g(2, 2), &[(0, 0), (1, 0), (0, 1), (1, 1)]),
            (&["4", "10", "2", "3"], Some(g(2, 2)), g(2, 2), &[(0, 1), (1, 1), (0, 0), (1, 0)]),
            (&["red", "green", "blue"], Some(g(1, 3)), g(1, 3), &[(0, 0), (0, 1), (0, 2)]),
        ];
        for (ids, grid, wanted, places) in cases {
            assert_eq!(arranged(ids, grid).expect("arranged"), (wanted, places.to_vec()), "{ids:?}");
        }
    }

    #[test]
    fn a_field_that_does_not_fit_is_refused_with_the_mend() {
        let g = Grid { columns: 2, rows: 2 };
        let cases: [(&[&str], Option<Grid>, &str); 5] = [
            (&["1", "1"], None, "patch `1` stands there twice"),
            (&["A1", "B2"], None, "make a field of 2x2, but 2 patches"),
            (&["A1", "B1"], Some(g), "make a field of 2x1, not 2x2"),
            (&["1", "2", "3"], None, "say how they lie, `--grid COLUMNSxROWS`"),
            (&["1", "2", "3"], Some(g), "3 patches do not fill 2x2"),
        ];
        for (ids, grid, says) in cases {
            let refusal = arranged(ids, grid).expect_err("refused").to_string();
            assert!(refusal.contains(says), "{ids:?}: {refusal}");
        }
        assert_eq!(Grid::parse("6x4"), Ok(Grid { columns: 6, rows: 4 }));
        for wrong in ["", "6", "0x4", "6x", "-1x2", "99x2", "4294967295x2"] {
            assert!(Grid::parse(wrong).is_err(), "{wrong}");
        }
    }
}
