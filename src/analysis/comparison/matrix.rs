//! One piece beside many in one table: a row a feature, a column a piece. And every piece beside every other, as counts.

use std::collections::HashMap;

use serde::Serialize;

use super::decision::Verdict;
use super::outcome::{Comparison, Counts, Heading, Line};
use super::text::{difference_words, finding_words};

/// One piece beside many.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Matrix<'a> {
    /// The piece that is compared.
    pub subject: Heading<'a>,
    /// The pieces it is compared with, a column each.
    pub others: Vec<Heading<'a>>,
    /// The features by group, in the order in which they first appear.
    pub rows: Vec<Row>,
    /// How many features there are of each finding, by column.
    pub counts: Vec<Counts>,
    /// How each other piece was brought to the size of the subject, in words; blank where it was not.
    pub scaled: Vec<String>,
}

/// One feature across all pieces.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Row {
    /// Dimensions, Cloth, Stitching ...
    pub group: &'static str,
    /// The component, as the subject names it, else as the first piece that has it.
    pub component: String,
    /// What is compared.
    pub feature: String,
    /// What the subject records, in words; none where it records nothing.
    pub subject: Option<String>,
    /// What each other piece records; none where neither it nor the subject records the feature, or only the subject does.
    pub cells: Vec<Option<Cell>>,
}

/// One other piece's side of a feature.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Cell {
    /// What it records, in words.
    pub words: String,
    /// The difference, subject minus other; blank for terms and where the subject records nothing.
    pub difference: String,
    /// The same in per cent of the other; blank where there is none.
    pub percent: String,
    /// The finding in words.
    pub finding: String,
    /// What it amounts to, where both record it.
    pub verdict: Option<Verdict>,
}

impl<'a> Matrix<'a> {
    /// Sets comparisons of one subject beside each other. None without one, or where the subjects differ.
    pub fn of(comparisons: &[Comparison<'a>]) -> Option<Self> {
        let first = comparisons.first()?;
        if comparisons.iter().any(|c| c.subject.number != first.subject.number) {
            return None;
        }
        let mut rows: Vec<Row> = Vec::new();
        let mut at: HashMap<(&str, &str, String, String, usize), usize> = HashMap::new();
        for (column, comparison) in comparisons.iter().enumerate() {
            let mut seen: HashMap<(&str, &str, String, String), usize> = HashMap::new();
            for (group, line) in comparison.groups.iter().flat_map(|g| g.lines.iter().map(move |l| (g.title, l))) {
                let (feature, subject) = (feature(line), subject(line));
                let key = (group, line.place, feature.clone(), subject.clone().unwrap_or_default());
                let nth = seen.entry(key.clone()).and_modify(|n| *n += 1).or_insert(0);
                let key = (key.0, key.1, key.2, key.3, *nth);
                let row = *at.entry(key).or_insert_with(|| {
                    rows.push(Row {
                        group,
                        component: line.place.to_owned(),
                        feature,
                        subject,
                        cells: vec![None; comparisons.len()],
                    });
                    rows.len() - 1
                });
                rows[row].cells[column] = cell(line);
            }
        }
        // Features of one group stand together, whichever piece brought them in.
        let mut order: Vec<&str> = Vec::new();
        for row in &rows {
            if !order.contains(&row.group) {
                order.push(row.group);
            }
        }
        rows.sort_by_cached_key(|row| order.iter().position(|group| *group == row.group));
        Some(Self {
            subject: first.subject,
            others: comparisons.iter().map(|c| c.other).collect(),
            rows,
            counts: comparisons.iter().map(|c| c.counts).collect(),
            scaled: comparisons
                .iter()
                .map(|c| c.scaling.as_ref().map(|s| s.words(c.subject.number, c.other.number)).unwrap_or_default())
                .collect(),
        })
    }
}

impl Matrix<'_> {
    /// The table as it is written out: headings, then a row a feature.
    pub fn written(&self) -> (Vec<String>, Vec<Vec<String>>) {
        let headings = ["group", "component", "feature", self.subject.number].map(str::to_owned);
        let others = self.others.iter().map(|other| other.number.to_owned());
        let row = |row: &Row| {
            let cells = row.cells.iter().map(|cell| cell_words(cell.as_ref(), row.subject.is_some()));
            let start = [row.group.to_owned(), row.component.clone(), row.feature.clone()];
            let subject = row.subject.clone().unwrap_or_else(|| "not recorded".into());
            start.into_iter().chain([subject]).chain(cells).collect()
        };
        (headings.into_iter().chain(others).collect(), self.rows.iter().map(row).collect())
    }
}

/// What a cell says: the difference and the verdict, or what is recorded where nothing can be decided.
fn cell_words(cell: Option<&Cell>, subject: bool) -> String {
    match cell {
        None if subject => "not recorded".into(),
        None => String::new(),
        Some(Cell { verdict: None, words, .. }) => words.clone(),
        Some(Cell { verdict: Some(verdict), difference, words, .. }) => {
            let what = if difference.is_empty() || difference == "0" { words } else { difference };
            format!("{}: {what}", verdict.words())
        }
    }
}

/// The feature as the subject names it: `lacing`, where the pair is `lacing / zip`.
fn feature(line: &Line<'_>) -> String {
    let item = line.item.split(" / ").next().unwrap_or(&line.item);
    if line.aspect.is_empty() { item.into() } else { format!("{item}: {}", line.aspect) }
}

fn subject(line: &Line<'_>) -> Option<String> {
    (line.subject.standing != super::Standing::NotRecorded).then(|| line.subject.words().into_owned())
}

fn cell(line: &Line<'_>) -> Option<Cell> {
    let (difference, percent) = difference_words(line);
    (line.other.standing != super::Standing::NotRecorded).then(|| Cell {
        words: line.other.words().into_owned(),
        difference,
        percent,
        finding: finding_words(line),
        verdict: line.verdict(),
    })
}

/// Every piece beside every other, as counts.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Square<'a> {
    /// The pieces, a row and a column each.
    pub pieces: Vec<Heading<'a>>,
    /// For row and column the counts of the comparison of the two; none on the diagonal.
    pub counts: Vec<Vec<Option<Counts>>>,
}

impl<'a> Square<'a> {
    /// The square of all pairs among these comparisons. Comparisons of pieces that are not listed are left out.
    pub fn of(pieces: &[Heading<'a>], comparisons: &[Comparison<'_>]) -> Self {
        let at: HashMap<&str, usize> = pieces.iter().enumerate().map(|(i, p)| (p.number, i)).collect();
        let mut counts = vec![vec![None; pieces.len()]; pieces.len()];
        for found in comparisons {
            let place = at.get(found.subject.number).zip(at.get(found.other.number));
            if let Some((&row, &column)) = place.filter(|(row, column)| row != column) {
                counts[row][column] = Some(found.counts);
                let back = Counts {
                    only_subject: found.counts.only_other,
                    only_other: found.counts.only_subject,
                    ..found.counts
                };
                counts[column][row] = Some(back);
            }
        }
        Self { pieces: pieces.to_vec(), counts }
    }

    /// The square as it is written out: agree/differ/cannot be told, of the features recorded on both. These are counts, not
    /// a measure of likeness.
    pub fn written(&self) -> (Vec<String>, Vec<Vec<String>>) {
        let numbers = || self.pieces.iter().map(|piece| piece.number.to_owned());
        let words = |counts: &Option<Counts>| match counts.map(|c| (c.on_both(), c)) {
            None => "·".to_owned(),
            Some((0, _)) => "nothing on both".to_owned(),
            Some((both, c)) => format!("{}/{}/{} of {both}", c.agree, c.differ, c.cannot_tell),
        };
        let row = |(number, counts): (String, &Vec<Option<Counts>>)| {
            std::iter::once(number).chain(counts.iter().map(words)).collect()
        };
        (std::iter::once(String::new()).chain(numbers()).collect(), numbers().zip(&self.counts).map(row).collect())
    }
}
