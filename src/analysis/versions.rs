//! Two versions of a proposal, field by field: what was taken out, what came in, and in which words.

use jiff::civil::Date;

use crate::measure::{Kind, Quantity};
use crate::record::form::{Earlier, Field, Form, Record, Rows};
use crate::record::treatment::Proposal;

/// A field in which two versions differ.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// The field, as a sheet names it.
    pub field: &'static str,
    /// What the earlier version says there and the later does not; of a list the rows that are gone.
    pub before: Vec<String>,
    /// What the later version says there and the earlier does not.
    pub after: Vec<String>,
    /// Whether the rows of a list are the same, in another order.
    pub order_only: bool,
}

/// What a later version changes against an earlier one, in the order of the sheet. What it follows is no change.
pub fn changes(before: &Proposal, after: &Proposal) -> Vec<Change> {
    let (before, after) = (said(before), said(after));
    let pairs = before.into_iter().zip(after).filter(|((_, b), (_, a))| b != a);
    pairs
        .map(|((field, before), (_, after))| {
            let (gone, come) = (left_over(&before, &after), left_over(&after, &before));
            let order_only = gone.is_empty() && come.is_empty();
            Change { field, before: gone, after: come, order_only }
        })
        .collect()
}

/// Words of a text that stand together, and whether the other text lacks them.
pub type Run = (String, bool);

/// Texts of more words than this are not compared word by word.
const MOST_WORDS: usize = 1500;

/// Both texts cut into runs of words that the other has, in order, and words that it lacks: the longest common
/// subsequence of words, by the table of Wagner and Fischer (1974; from memory).
pub fn words_apart(before: &str, after: &str) -> (Vec<Run>, Vec<Run>) {
    let (a, b): (Vec<&str>, Vec<&str>) = (before.split_whitespace().collect(), after.split_whitespace().collect());
    if a.len() > MOST_WORDS || b.len() > MOST_WORDS {
        return (vec![(before.to_owned(), true)], vec![(after.to_owned(), true)]);
    }
    // longest[i][j]: words in common of a from i and b from j.
    let wide = b.len() + 1;
    let mut longest = vec![0_u16; (a.len() + 1) * wide];
    for i in (0..a.len()).rev() {
        for j in (0..b.len()).rev() {
            longest[i * wide + j] = if a[i] == b[j] {
                longest[(i + 1) * wide + j + 1] + 1
            } else {
                longest[(i + 1) * wide + j].max(longest[i * wide + j + 1])
            };
        }
    }
    let (mut old, mut new) = (Vec::new(), Vec::new());
    let (mut i, mut j) = (0, 0);
    while i < a.len() || j < b.len() {
        if i < a.len() && j < b.len() && a[i] == b[j] {
            push(&mut old, a[i], false);
            push(&mut new, b[j], false);
            (i, j) = (i + 1, j + 1);
        } else if j == b.len() || (i < a.len() && longest[(i + 1) * wide + j] >= longest[i * wide + j + 1]) {
            push(&mut old, a[i], true);
            i += 1;
        } else {
            push(&mut new, b[j], true);
            j += 1;
        }
    }
    (old, new)
}

/// Adds a word to the last run, or begins another.
fn push(runs: &mut Vec<Run>, word: &str, lacking: bool) {
    match runs.last_mut() {
        Some((text, same)) if *same == lacking => {
            text.push(' ');
            text.push_str(word);
        }
        _ => runs.push((word.to_owned(), lacking)),
    }
}

/// The texts of one list that the other lacks; a text that stands twice must be met twice.
fn left_over(list: &[String], other: &[String]) -> Vec<String> {
    let mut other: Vec<&String> = other.iter().collect();
    let mut left = Vec::new();
    for text in list {
        match other.iter().position(|o| *o == text) {
            Some(at) => drop(other.remove(at)),
            None => left.push(text.clone()),
        }
    }
    left
}

/// Every field of a proposal with what it says, a row of a list in one text.
fn said(proposal: &Proposal) -> Vec<(&'static str, Vec<String>)> {
    let mut said = Said::default();
    proposal.clone().fields(&mut said);
    said.0
}

/// Reads a record off as texts.
#[derive(Default)]
struct Said(Vec<(&'static str, Vec<String>)>);

impl Said {
    fn one(&mut self, field: Field, value: Option<String>) {
        self.0.push((field.name, value.into_iter().collect()));
    }
}

impl Form for Said {
    fn text(&mut self, field: Field, value: &mut Option<String>) {
        self.one(field, value.clone());
    }
    fn day(&mut self, field: Field, value: &mut Option<Date>) {
        self.one(field, value.map(|d| d.to_string()));
    }
    fn choice(&mut self, field: Field, _: &'static [&'static str], value: &mut Option<String>) {
        self.one(field, value.as_ref().map(|word| format!("{}: {word}", field.name)));
    }
    fn quantity(&mut self, field: Field, _: Kind, value: &mut Option<Quantity>) {
        self.one(field, value.as_ref().map(|q| q.as_written.clone()));
    }
    fn component(&mut self, field: Field, value: &mut Option<String>) {
        self.one(field, value.clone());
    }
    fn person(&mut self, field: Field, value: &mut Option<String>) {
        self.one(field, value.clone());
    }
    fn earlier(&mut self, _: Field, _: Earlier, _: &mut Option<String>) {}
    fn id(&mut self, _: &mut Option<String>) {}
    fn row(&mut self, _: Field, row: &mut dyn Record) {
        row.fields(self);
    }
    fn rows(&mut self, field: Field, rows: &mut dyn Rows) {
        let count = rows.count();
        let row = |i: usize| {
            let mut one = Self::default();
            rows.at(i).fields(&mut one);
            let texts = one.0.into_iter().flat_map(|(_, texts)| texts);
            texts.map(|t| t.trim_end_matches('.').to_owned()).collect::<Vec<_>>().join("; ")
        };
        let list = (0..count).map(row).collect();
        self.0.push((field.name, list));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::treatment::PlannedStep;

    fn steps(list: &[&str]) -> Vec<PlannedStep> {
        let step = |s: &&str| PlannedStep { step: Some((*s).to_owned()), ..PlannedStep::default() };
        list.iter().map(step).collect()
    }

    #[test]
    fn rows_that_stay_are_not_told_and_order_is() {
        let cases: [(&[&str], &[&str], &[&str], &[&str]); 5] = [
            (&["a", "b"], &["a", "b", "c"], &[], &["c"]),
            (&["a", "b"], &["b"], &["a"], &[]),
            (&["a", "a"], &["a"], &["a"], &[]),
            (&["a", "b"], &["b", "a"], &[], &[]),
            (&[], &["x."], &[], &["x"]),
        ];
        for (before, after, gone, come) in cases {
            let one = Proposal { planned: steps(before), ..Proposal::default() };
            let two = Proposal { planned: steps(after), follows: Some("x".into()), ..Proposal::default() };
            let [change] = &changes(&one, &two)[..] else { panic!("{before:?} {after:?}") };
            assert_eq!(
                (change.field, &change.before[..], &change.after[..]),
                (
                    "planned",
                    &gone.iter().map(|s| (*s).to_owned()).collect::<Vec<_>>()[..],
                    &come.iter().map(|s| (*s).to_owned()).collect::<Vec<_>>()[..]
                )
            );
            assert_eq!(change.order_only, gone.is_empty() && come.is_empty());
        }
    }

    #[test]
    fn words_that_differ_are_marked_and_those_in_common_are_not() {
        let cases: [(&str, &str, &[(&str, bool)], &[(&str, bool)]); 6] = [
            ("lay it dry", "lay it wet", &[("lay it", false), ("dry", true)], &[("lay it", false), ("wet", true)]),
            ("a b", "a x b", &[("a b", false)], &[("a", false), ("x", true), ("b", false)]),
            ("a b c", "c", &[("a b", true), ("c", false)], &[("c", false)]),
            ("", "new words", &[], &[("new words", true)]),
            ("same\nwords", "same words", &[("same words", false)], &[("same words", false)]),
            ("no no", "no", &[("no", false), ("no", true)], &[("no", false)]),
        ];
        let owned = |runs: &[(&str, bool)]| runs.iter().map(|(t, l)| ((*t).to_owned(), *l)).collect::<Vec<_>>();
        for (before, after, old, new) in cases {
            assert_eq!(words_apart(before, after), (owned(old), owned(new)), "{before} / {after}");
        }
        let long = "word ".repeat(MOST_WORDS + 1);
        assert_eq!(words_apart(&long, "word").1, [("word".to_owned(), true)]);
    }

    #[test]
    fn a_field_that_comes_goes_or_changes_is_told_and_the_same_is_not() {
        let with = |aims: Option<&str>| Proposal {
            aims: aims.map(String::from),
            title: Some("t".into()),
            ..Proposal::default()
        };
        let cases = [(None, Some("x")), (Some("x"), None), (Some("x"), Some("y"))];
        for (before, after) in cases {
            let [change] = &changes(&with(before), &with(after))[..] else { panic!("{before:?} {after:?}") };
            assert_eq!(change.field, "aims");
            assert_eq!(change.before, before.map(String::from).into_iter().collect::<Vec<_>>());
            assert_eq!(change.after, after.map(String::from).into_iter().collect::<Vec<_>>());
            assert!(!change.order_only);
        }
        assert_eq!(changes(&with(Some("x")), &with(Some("x"))), []);
    }
}
