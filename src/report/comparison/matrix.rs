//! Several comparisons of one piece at a glance: features down, pieces across, a sign in each cell.

use serde::Serialize;

use super::tables::sign_of;
use crate::analysis::comparison::{self, Comparison};

/// The matrix, group by group.
#[derive(Debug, Serialize)]
pub(super) struct Matrix {
    /// Accession numbers of the pieces across.
    pub heads: Vec<String>,
    pub groups: Vec<Group>,
    /// Features that the subject and no other both record, and that have no row.
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
#[derive(Debug, Default, Serialize)]
pub(super) struct Cell {
    /// Name of the sign; blank where the two do not both record the feature.
    pub sign: &'static str,
    pub word: &'static str,
    /// The difference in per cent, where there is one.
    pub percent: String,
}

/// The features that the subject and at least one other record.
pub(super) fn of(found: &[Comparison<'_>]) -> Option<Matrix> {
    let whole = comparison::Matrix::of(found)?;
    let mut matrix = Matrix {
        heads: whole.others.into_iter().map(|other| other.number.to_owned()).collect(),
        groups: Vec::new(),
        left_out: 0,
    };
    for row in whole.rows {
        if row.cells.iter().flatten().all(|cell| cell.verdict.is_none()) {
            matrix.left_out += 1;
            continue;
        }
        let title = row.group;
        let group =
            found_or(&mut matrix.groups, |g| g.title == title, || Group { title: title.to_owned(), parts: vec![] });
        let component = row.component;
        let blank = || Part { component: component.clone(), rows: vec![] };
        let part = found_or(&mut group.parts, |p| p.component == component, blank);
        part.rows.push(Row { feature: row.feature, cells: row.cells.into_iter().map(cell).collect() });
    }
    Some(matrix)
}

fn cell(cell: Option<comparison::Cell>) -> Cell {
    match cell.and_then(|cell| Some((cell.verdict?, cell.percent))) {
        Some((verdict, percent)) => Cell { sign: sign_of(Some(verdict)), word: verdict.words(), percent },
        None => Cell::default(),
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
