//! Several comparisons of one piece at a glance: features down, pieces across, a sign in each cell.

use serde::Serialize;

use super::tables::sign;
use crate::analysis::comparison::{Comparison, Line, difference_words};

/// The matrix, group by group.
#[derive(Debug, Serialize)]
pub(super) struct Matrix {
    /// Accession numbers of the pieces across.
    pub heads: Vec<String>,
    pub groups: Vec<Group>,
    /// Features that no two of the pieces record, and that have no row.
    pub left_out: usize,
}

/// Features of one sort.
#[derive(Debug, Serialize)]
pub(super) struct Group {
    pub title: String,
    pub parts: Vec<Part>,
}

/// The features of one component.
#[derive(Debug, Serialize)]
pub(super) struct Part {
    pub component: String,
    pub rows: Vec<Row>,
}

/// One feature with a cell for each piece.
#[derive(Debug, Serialize)]
pub(super) struct Row {
    pub feature: String,
    pub cells: Vec<Cell>,
}

/// What is found of a feature on one piece.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub(super) struct Cell {
    /// Name of the sign; blank where the piece does not record the feature.
    pub sign: &'static str,
    pub word: &'static str,
    /// The difference in per cent, where there is one.
    pub percent: String,
}

/// A feature by the subject's own names for it, so that the lines of several comparisons meet in one row.
fn names(line: &Line) -> (String, String) {
    let ours = |text: &str| text.split(" / ").next().unwrap_or(text).to_owned();
    let item = ours(&line.item);
    let feature = if line.aspect.is_empty() { item } else { format!("{item}: {}", line.aspect) };
    (ours(&line.component), feature)
}

/// The features that the subject and at least one other record.
pub(super) fn of(found: &[Comparison]) -> Matrix {
    let mut matrix =
        Matrix { heads: found.iter().map(|f| f.other.number.clone()).collect(), groups: Vec::new(), left_out: 0 };
    let mut alone: Vec<(String, String)> = Vec::new();
    for (column, comparison) in found.iter().enumerate() {
        for group in &comparison.groups {
            for line in &group.lines {
                if line.verdict().is_some() {
                    *matrix.cell(&group.title, names(line), column, found.len()) = cell(line);
                } else {
                    alone.push(names(line));
                }
            }
        }
    }
    let rows: Vec<(&str, &str)> = matrix
        .groups
        .iter()
        .flat_map(|g| &g.parts)
        .flat_map(|p| p.rows.iter().map(move |r| (p.component.as_str(), r.feature.as_str())))
        .collect();
    alone.retain(|(component, feature)| !rows.contains(&(component.as_str(), feature.as_str())));
    alone.sort();
    alone.dedup();
    matrix.left_out = alone.len();
    matrix
}

impl Matrix {
    /// The cell of a feature, its row made if there is none. A second line of the same names gets a row of its own.
    fn cell(
        &mut self,
        title: &str,
        (component, feature): (String, String),
        column: usize,
        columns: usize,
    ) -> &mut Cell {
        let group =
            found_or(&mut self.groups, |g| g.title == title, || Group { title: title.into(), parts: Vec::new() });
        let part = found_or(
            &mut group.parts,
            |p| p.component == component,
            || Part { component: component.clone(), rows: Vec::new() },
        );
        let free = |r: &Row| r.feature == feature && r.cells[column] == Cell::default();
        let blank = || Row { feature: feature.clone(), cells: vec![Cell::default(); columns] };
        &mut found_or(&mut part.rows, free, blank).cells[column]
    }
}

/// The first that is wanted, or a new one at the end.
fn found_or<T>(list: &mut Vec<T>, wanted: impl Fn(&T) -> bool, new: impl FnOnce() -> T) -> &mut T {
    let at = list.iter().position(wanted).unwrap_or_else(|| {
        list.push(new());
        list.len() - 1
    });
    &mut list[at]
}

fn cell(line: &Line) -> Cell {
    let sign = sign(line);
    let word = match sign {
        "agree" => "agree",
        "differ" => "differ",
        _ => "cannot be told",
    };
    Cell { sign, word, percent: difference_words(line).1 }
}
