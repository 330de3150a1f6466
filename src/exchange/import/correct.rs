//! A mapping corrected piece by piece, as a page asks for it: what a column is, how the list is laid out, what one cell or
//! one row means.

use std::collections::BTreeMap;

use super::headings::{Usual, usual};
use super::mapping::{Column, Mapping};
use super::reading::Reading;
use super::table::Table;
use super::target::Target;
use crate::record::accession;
use crate::vocabulary::{Scheme, Vocabulary};

/// What a column of a single dimension is called; which one goes with it.
const DIMENSION: &str = "one dimension";

/// What a column can be chosen to be, the usual first. Any other field is named.
pub fn choices() -> Vec<Usual> {
    let plain = |called: &str, target: Target| Usual { called: called.into(), target, with: BTreeMap::new() };
    let mut all: Vec<Usual> = usual().to_vec();
    let words = all.iter().position(|u| u.target == Target::Dimensions).map_or(0, |at| at + 1);
    all.insert(words, plain(DIMENSION, Target::Field { section: "measurement", field: "readings" }));
    let mixed = all.iter().position(|u| u.target == Target::Mixed).unwrap_or(all.len());
    all.insert(mixed, plain("a note, in words", Target::Note));
    all
}

/// The choice that a column is, if it is one of them.
pub fn choice_of(column: &Column) -> Option<Usual> {
    let measures = matches!(column.target, Target::Field { section: "measurement", .. });
    choices().into_iter().find(|c| c.target == column.target && (measures || c.with == column.with))
}

/// How one column is to be read, as it was chosen and typed.
#[derive(Debug, Clone, Default)]
pub struct Asked<'a> {
    /// What it is called ([`choices`]); blank to leave it as it is.
    pub called: &'a str,
    /// Any other field that it is, which goes before: `piece.date`.
    pub other: &'a str,
    /// The dimension, of a column that is one.
    pub dimension: &'a str,
    /// Fields that go with it, a line each: `role = donor`.
    pub with: &'a str,
    /// The unit of bare numbers.
    pub unit: &'a str,
    /// Which dimensions the figures of a cell without labels are, with `;` between them.
    pub order: &'a str,
}

/// The fields that go with a column, as [`Asked`] has them; its dimension is asked for by itself.
pub fn with_in_lines(column: &Column) -> String {
    let lines = column.with.iter().filter(|(field, _)| *field != "dimension");
    lines.map(|(field, value)| format!("{field} = {value}")).collect::<Vec<_>>().join("\n")
}

/// The dimensions of figures without a label, as [`Asked`] has them.
pub fn order_in_words(column: &Column) -> String {
    column.order.join("; ")
}

impl Column {
    /// Reads the column as it was asked.
    ///
    /// # Errors
    /// A sentence that says what is wrong; the column is as it was.
    pub fn ask(&mut self, asked: &Asked<'_>, vocabulary: &Vocabulary) -> Result<(), String> {
        let dimension = |word: &str| -> Result<String, String> {
            let term = vocabulary.find(Scheme::Dimension, word).map_err(|e| e.to_string())?;
            Ok(term.name().to_owned())
        };
        let typed = with_of(asked.with)?;
        let untouched = asked.with.lines().map(str::trim).eq(with_in_lines(self).lines());
        let (target, mut with) = match (asked.other.trim(), asked.called) {
            ("", "") => (self.target.clone(), typed),
            ("", called) => {
                let Some(choice) = choices().into_iter().find(|c| c.called == called) else {
                    return Err(format!("`{called}` is nothing that a column can be taken for"));
                };
                let same = choice_of(self).is_some_and(|now| now.called == choice.called);
                if same {
                    (choice.target, typed)
                } else {
                    let mut with = choice.with;
                    with.extend(typed.into_iter().filter(|_| !untouched));
                    (choice.target, with)
                }
            }
            (word, _) => (Target::parse(word)?, if untouched { BTreeMap::new() } else { typed }),
        };
        if let Target::Field { section: "measurement", .. } = target {
            match asked.dimension.trim() {
                "" if asked.called == DIMENSION => return Err("say which dimension it is".into()),
                "" => {}
                word => _ = with.insert("dimension".into(), dimension(word)?),
            }
        }
        let order = asked.order.split(';').map(str::trim).filter(|word| !word.is_empty());
        let order = order.map(dimension).collect::<Result<Vec<_>, _>>()?;
        let unit = Some(asked.unit.trim().to_owned()).filter(|unit| !unit.is_empty());
        let changed = Column { target, with, unit, order, ..self.clone() };
        Mapping { column: vec![changed.clone()], ..Mapping::default() }.check()?;
        *self = changed;
        Ok(())
    }
}

fn with_of(text: &str) -> Result<BTreeMap<String, String>, String> {
    let lines = text.lines().map(str::trim).filter(|line| !line.is_empty());
    let pair = |line: &str| match line.split_once('=') {
        Some((field, value)) if !value.trim().is_empty() => Ok((field.trim().to_owned(), value.trim().to_owned())),
        _ => Err(format!("`{line}`: write what goes with it as `role = donor`, a line each")),
    };
    lines.map(pair).collect()
}

impl Mapping {
    /// A proposal for another layout, with what a person has decided already about columns that are there again.
    #[must_use]
    pub fn carrying(self, earlier: &Mapping) -> Mapping {
        let Mapping { examination, fixed, numbers, .. } = earlier.clone();
        let column = |proposed: Column| earlier.of(&proposed.heading).cloned().unwrap_or(proposed);
        Mapping { examination, fixed, numbers, column: self.column.into_iter().map(column).collect(), ..self }
    }

    /// The same with how sure each column is and some of its cells, as a proposal has them, for a file that teaches. What
    /// was decided otherwise carries no such remark.
    #[must_use]
    pub fn remarked(mut self, proposal: &Mapping) -> Mapping {
        for column in &mut self.column {
            let Some(proposed) = proposal.of(&column.heading) else { continue };
            column.examples.clone_from(&proposed.examples);
            if (&column.target, &column.with) == (&proposed.target, &proposed.with) {
                column.sure.clone_from(&proposed.sure);
            }
        }
        self
    }

    /// Reads something in place of what a cell of a row says, wherever the column says exactly that.
    ///
    /// # Errors
    /// If there is no such cell, or it holds nothing.
    pub fn read_instead(&mut self, table: &Table, row: u32, heading: &str, meant: &str) -> Result<(), String> {
        let none = || format!("row {row} has nothing under `{heading}` that could be read otherwise");
        let at = self.headings(table).names.iter().position(|name| name == heading).ok_or_else(none)?;
        let found = table.rows.iter().find(|r| r.number == row).ok_or_else(none)?;
        let text = Some(found.text(at).trim()).filter(|text| !text.is_empty()).ok_or_else(none)?;
        let column = self.column.iter_mut().find(|c| c.heading == heading);
        let column = column.ok_or_else(|| format!("the mapping does not name the column `{heading}`"))?;
        column.instead.insert(text.to_owned(), meant.trim().to_owned());
        Ok(())
    }

    /// Gives a row a number, whatever stands in it.
    ///
    /// # Errors
    /// If it is none that a piece can have.
    pub fn number_row(&mut self, row: &Reading, number: &str) -> Result<(), String> {
        let number = number.trim();
        accession::check(number)?;
        self.numbers.insert(row.key.clone(), number.to_owned());
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn column(target: &str, with: &[(&str, &str)]) -> Column {
        Column {
            heading: "x".into(),
            target: Target::parse(target).expect("a target"),
            with: with.iter().map(|(k, v)| ((*k).to_owned(), (*v).to_owned())).collect(),
            ..Column::default()
        }
    }

    #[test]
    fn a_column_is_chosen_by_the_words_of_the_trade_or_named() {
        let donor = Asked { called: "donor", ..Asked::default() };
        let dimension = |word| Asked { called: DIMENSION, dimension: word, ..Asked::default() };
        let other = |other| Asked { called: "title", other, ..Asked::default() };
        let person = [("role", "donor")];
        for (before, asked, after) in [
            (column("note", &[]), donor.clone(), Ok(column("person.person", &person))),
            (
                column("person.person", &person),
                Asked { with: "role = maker", ..donor.clone() },
                Ok(column("person.person", &[("role", "maker")])),
            ),
            // What went with the earlier choice does not go with the new one.
            (
                column("person.person", &person),
                Asked { called: "title", with: "role = donor", ..Asked::default() },
                Ok(column("piece.title", &[])),
            ),
            (
                column("note", &[]),
                dimension("waist girth"),
                Ok(column("measurement.readings", &[("dimension", "waist girth")])),
            ),
            (column("note", &[]), dimension(""), Err("which dimension")),
            (column("note", &[]), dimension("wast girth"), Err("waist girth")),
            (column("note", &[]), other("housing.storage"), Ok(column("housing.storage", &[]))),
            (column("note", &[]), other("piece.dat"), Err("did you mean `piece.date`?")),
            (column("note", &[]), Asked { called: "donor", with: "donor", ..Asked::default() }, Err("role = donor")),
            (column("note", &[]), Asked { called: "donor", with: "rol = x", ..Asked::default() }, Err("`with`")),
            (column("note", &[]), Asked { called: "what else", ..Asked::default() }, Err("is nothing")),
            (column("textile.colour", &[]), Asked::default(), Ok(column("textile.colour", &[]))),
        ] {
            let mut now = before.clone();
            match (now.ask(&asked, Vocabulary::shipped()), after) {
                (Ok(()), Ok(after)) => assert_eq!(now, after, "{asked:?}"),
                (Err(why), Err(words)) => {
                    assert!(why.contains(words), "{asked:?}: {why}");
                    assert_eq!(now, before, "what is refused changes nothing");
                }
                (done, wanted) => panic!("{asked:?}: {done:?}, wanted {wanted:?}"),
            }
        }
    }

    #[test]
    fn every_choice_is_called_by_a_name_of_its_own_and_found_again() {
        for choice in choices() {
            let Usual { called, target, with } = choice.clone();
            let found = choice_of(&Column { target, with, ..Column::default() });
            assert_eq!(found, Some(choice), "{called}");
        }
    }
}
