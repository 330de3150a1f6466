//! Which photograph belongs to which piece, by the names of files and folders.
//!
//! `2031.4.jpg`, `2031-4_front.jpg`, `2031.4 (2).jpg`, a folder `2031.4`. Whatever could be another piece's is asked about.

use std::collections::{HashMap, HashSet};

use crate::record::accession::{parted, runs};

/// What the name of a file says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Match {
    /// It belongs to this piece.
    Sure(String),
    /// It may belong to one of these; why it is not sure.
    Open(Vec<String>, String),
    /// It names no piece.
    None,
}

/// The numbers of all pieces, to be found in names.
#[derive(Debug, Clone, Default)]
pub struct Numbers {
    /// By the runs of the number, and by those of its base and its single parts.
    by_runs: HashMap<Vec<String>, Vec<String>>,
    /// By the digits alone, without signs.
    glued: HashMap<String, Vec<String>>,
    /// Beginnings of numbers of which something is known by a letter behind them.
    lettered: HashSet<Vec<String>>,
    longest: usize,
}

/// A run of a name, the sign before it, and where it ends.
struct Token {
    run: String,
    sign: String,
    end: usize,
}

impl Numbers {
    /// Makes the numbers ready.
    pub fn of<'a>(numbers: impl Iterator<Item = &'a String>) -> Self {
        let mut found = Self::default();
        let mut aliases: Vec<(Vec<String>, String)> = Vec::new();
        for number in numbers {
            let key = runs(number);
            if key.is_empty() {
                continue;
            }
            found.longest = found.longest.max(key.len());
            let glued = key.concat();
            if key.len() > 1 && glued.len() > 3 && glued.bytes().all(|b| b.is_ascii_digit()) {
                found.glued.entry(glued).or_default().push(number.clone());
            }
            let parts = parted(number);
            if parts.base != *number {
                let base = runs(&parts.base);
                aliases.extend(
                    parts
                        .parts
                        .iter()
                        .map(|part| (base.iter().cloned().chain([part.to_lowercase()]).collect(), number.clone())),
                );
                aliases.push((base, number.clone()));
            }
            found.by_runs.entry(key).or_default().push(number.clone());
        }
        // A number of its own goes before the parts of another.
        let own: HashSet<Vec<String>> = found.by_runs.keys().cloned().collect();
        for (key, number) in aliases.into_iter().filter(|(key, _)| !own.contains(key)) {
            let list = found.by_runs.entry(key).or_default();
            if !list.contains(&number) {
                list.push(number);
            }
        }
        for key in found.by_runs.keys() {
            if let Some((last, beginning)) = key.split_last()
                && last.chars().all(char::is_alphabetic)
            {
                found.lettered.insert(beginning.to_vec());
            }
        }
        found
    }

    /// What a file says, by the folders above it (the outermost first) and its own name.
    pub fn find(&self, folders: &[&str], name: &str) -> Match {
        let stem = name.rsplit_once('.').map_or(name, |(stem, _)| stem);
        let own = self.in_name(stem);
        let above = self.in_folders(folders);
        match (own, above) {
            (Match::Sure(own), Match::Sure(above)) if own != above => {
                Match::Open(vec![own, above], "its name says one number, its folder another".into())
            }
            (Match::Open(list, _), Match::Sure(above)) if list.contains(&above) => Match::Sure(above),
            (Match::Open(mut list, why), Match::Sure(above)) => {
                list.push(above);
                Match::Open(list, why)
            }
            (Match::None, above) => above,
            (own, _) => own,
        }
    }

    /// The nearest folder that names a piece; `2031/4` counts as `2031.4`.
    fn in_folders(&self, folders: &[&str]) -> Match {
        for last in (0..folders.len()).rev() {
            let whole = |from: usize| folders[from..=last].iter().flat_map(|f| runs(f)).collect::<Vec<_>>();
            if let Some(found) = (0..=last).rev().take(3).find_map(|from| self.by_runs.get(&whole(from))) {
                return sure(found, "the folder is called like several numbers");
            }
            match self.in_name(folders[last]) {
                Match::None => {}
                found => return found,
            }
        }
        Match::None
    }

    fn in_name(&self, name: &str) -> Match {
        let tokens = tokens(name);
        let (begins, end) = self.beginning(name, &tokens);
        // A second number behind the first: both pieces may be in the picture.
        let besides = |first: &[String]| -> Vec<String> {
            let (found, exact) = self.within(name, &tokens, end);
            found.into_iter().filter(|number| exact && !first.contains(number)).collect()
        };
        match begins {
            Match::None => {}
            Match::Sure(number) => {
                let others = besides(std::slice::from_ref(&number));
                if others.is_empty() {
                    return Match::Sure(number);
                }
                return Match::Open(
                    [vec![number], others].concat(),
                    "the name holds the numbers of several pieces".into(),
                );
            }
            Match::Open(list, why) => {
                let others = besides(&list);
                return Match::Open([list, others].concat(), why);
            }
        }
        // Somewhere within: only where it is written as the number is.
        let (found, exact) = self.within(name, &tokens, 1);
        match found.as_slice() {
            [] => {}
            [one] if exact => return Match::Sure(one.clone()),
            _ => return Match::Open(found, "the number stands within the name, and may be something else".into()),
        }
        let glued: Vec<String> = tokens.iter().filter_map(|t| self.glued.get(&t.run)).flatten().cloned().collect();
        if glued.is_empty() {
            Match::None
        } else {
            Match::Open(glued, "the digits are those of a number, but its signs are missing".into())
        }
    }

    /// The numbers of two runs and more that stand in a name from this token on, and whether each is written there as it is.
    fn within(&self, name: &str, tokens: &[Token], begin: usize) -> (Vec<String>, bool) {
        let mut found: Vec<String> = Vec::new();
        let mut exact = true;
        for from in begin..tokens.len().min(40) {
            for length in (2..=(tokens.len() - from).min(self.longest)).rev() {
                let key: Vec<String> = tokens[from..from + length].iter().map(|t| t.run.clone()).collect();
                let Some(numbers) = self.by_runs.get(&key) else { continue };
                exact &= numbers.iter().any(|n| name.to_lowercase().contains(&n.to_lowercase()));
                exact &= tokens.get(from + length).is_none_or(|next| {
                    !next.run.starts_with(|c: char| c.is_ascii_digit()) || !next.sign.ends_with(['.', '-'])
                });
                found.extend(numbers.iter().filter(|n| !found.contains(n)).cloned().collect::<Vec<_>>());
                break;
            }
        }
        (found, exact)
    }

    /// A number that the name begins with, and how many tokens it takes.
    fn beginning(&self, name: &str, tokens: &[Token]) -> (Match, usize) {
        // What stands in a bracket counts copies, and belongs to no number.
        let whole = tokens.iter().position(|t| t.sign.contains(['(', '['])).unwrap_or(tokens.len());
        let key = |length: usize| tokens[..length].iter().map(|t| t.run.clone()).collect::<Vec<_>>();
        let lengths: Vec<usize> =
            (1..=whole.min(self.longest)).rev().filter(|n| self.by_runs.contains_key(&key(*n))).collect();
        let Some(longest) = lengths.first().copied() else { return (Match::None, 1) };
        (self.begun(name, tokens, &lengths), longest)
    }

    /// What a name says that begins with numbers of so many tokens, the longest first.
    fn begun(&self, name: &str, tokens: &[Token], lengths: &[usize]) -> Match {
        let longest = lengths[0];
        let key = |length: usize| tokens[..length].iter().map(|t| t.run.clone()).collect::<Vec<_>>();
        let numbers = &self.by_runs[&key(longest)];
        // A lone number of a few digits says little: `12.jpg` may be the twelfth of a film.
        if longest == 1 && tokens[0].run.len() < 4 && tokens.len() > 1 && numbers.iter().all(|n| runs(n).len() == 1) {
            return Match::Open(numbers.clone(), "the name begins with a short number, which may only count".into());
        }
        let written = name[..tokens[longest - 1].end].to_lowercase();
        if let Some(shorter) = lengths.get(1).filter(|_| !numbers.iter().any(|n| n.to_lowercase() == written)) {
            let mut list = numbers.clone();
            list.extend(self.by_runs[&key(*shorter)].iter().filter(|n| !numbers.contains(n)).cloned());
            if list.len() > numbers.len() {
                return Match::Open(
                    list,
                    "the name begins with two numbers, one of which is the beginning of the other".into(),
                );
            }
        }
        if let Some(next) = tokens.get(longest) {
            let digits = next.run.starts_with(|c: char| c.is_ascii_digit());
            let counts = next.sign.contains(['(', ' ', '_', '[', '#']);
            if digits && !counts {
                let why = format!(
                    "`{}` may be a photograph of it, or another piece that is not in the catalogue",
                    &name[..next.end]
                );
                return Match::Open(numbers.clone(), why);
            }
            // A letter behind the number is a part of it, unless other parts have numbers of their own.
            let one_letter = next.sign.is_empty() && next.run.chars().count() == 1;
            if one_letter && self.lettered.contains(&key(longest)) {
                return Match::Open(
                    numbers.clone(),
                    format!("the parts of it have numbers of their own, but none is `{}`", &name[..next.end]),
                );
            }
        }
        sure(numbers, "several numbers differ in their signs alone")
    }
}

fn sure(numbers: &[String], why: &str) -> Match {
    match numbers {
        [one] => Match::Sure(one.clone()),
        several => Match::Open(several.to_vec(), why.into()),
    }
}

/// The runs of a name with the signs between them.
fn tokens(name: &str) -> Vec<Token> {
    let mut tokens: Vec<Token> = Vec::new();
    let mut sign = String::new();
    let mut begin: Option<usize> = None;
    let mut before = ' ';
    let close = |from: usize, to: usize, sign: &mut String, tokens: &mut Vec<Token>| {
        if let Some(run) = runs(&name[from..to]).into_iter().next() {
            tokens.push(Token { run, sign: std::mem::take(sign), end: to });
        }
    };
    for (at, c) in name.char_indices() {
        let joins = (c.is_ascii_digit() && before.is_ascii_digit()) || (c.is_alphabetic() && before.is_alphabetic());
        if let Some(from) = begin.filter(|_| !joins) {
            close(from, at, &mut sign, &mut tokens);
            begin = None;
        }
        if c.is_alphanumeric() {
            begin = begin.or(Some(at));
        } else {
            sign.push(c);
        }
        before = c;
    }
    if let Some(from) = begin {
        close(from, name.len(), &mut sign, &mut tokens);
    }
    tokens
}

#[cfg(test)]
mod tests {
    use super::*;

    fn numbers(list: &[&str]) -> Numbers {
        let list: Vec<String> = list.iter().map(|n| (*n).to_owned()).collect();
        Numbers::of(list.iter())
    }

    #[test]
    fn names_say_their_piece_or_are_asked_about() {
        let known = numbers(&[
            "2031.1",
            "2031.11",
            "2031.4",
            "2031.4.2",
            "T-07",
            "2031.9a-c",
            "2031.12a",
            "2031.12b",
            "2031.12",
        ]);
        let sure = |number: &str| Match::Sure(number.into());
        let rows: [(&[&str], &str, Option<Match>); 26] = [
            (&[], "2031.4.jpg", Some(sure("2031.4"))),
            (&[], "2031-4_front.jpg", Some(sure("2031.4"))),
            (&[], "2031.04.JPG", Some(sure("2031.4"))),
            (&[], "2031.11 back.tif", Some(sure("2031.11"))),
            (&[], "2031.1 (2).jpg", Some(sure("2031.1"))),
            (&[], "2031.1_02.jpg", Some(sure("2031.1"))),
            (&[], "2031.4.2.jpg", Some(sure("2031.4.2"))),
            // The second photograph of 2031.4, or the piece 2031.4.2?
            (&[], "2031.4_2.jpg", None),
            (&[], "2031.4-2.jpg", None),
            (&[], "2031.1.3.jpg", None),
            (&["2031.1"], "2031.1.3.jpg", Some(sure("2031.1"))),
            (&["2031.4"], "IMG_0001.jpg", Some(sure("2031.4"))),
            (&["2031", "4"], "front.jpg", Some(sure("2031.4"))),
            (&["2031.4 gown", "details"], "x.jpg", Some(sure("2031.4"))),
            (&["2031.11"], "2031.1.jpg", None),
            (&[], "IMG 2031.4.jpg", Some(sure("2031.4"))),
            (&[], "20314.jpg", None),
            (&[], "t07.jpg", Some(sure("T-07"))),
            (&[], "2031.9b.jpg", Some(sure("2031.9a-c"))),
            (&[], "2031.12a front.jpg", Some(sure("2031.12a"))),
            (&[], "2031.12c.jpg", None),
            // Two pieces in one picture.
            (&[], "2031.4 and 2031.11.jpg", None),
            (&[], "2031.11_2031.4.jpg", None),
            (&["2031.4"], "2031.4 with 2031.11.jpg", Some(sure("2031.4"))),
            (&[], "2031.4 on 12.3.2031.jpg", Some(sure("2031.4"))),
            (&[], "..", Some(Match::None)),
        ];
        for (folders, name, wanted) in rows {
            let found = known.find(folders, name);
            match wanted {
                Some(wanted) => assert_eq!(found, wanted, "{folders:?} {name}"),
                None => assert!(matches!(found, Match::Open(..)), "{folders:?} {name}: {found:?}"),
            }
        }
        assert_eq!(known.find(&[], "beach.jpg"), Match::None);
        let Match::Open(list, _) = known.find(&[], "2031.4+2031.11.jpg") else { panic!("two numbers, so it is asked") };
        assert_eq!(list, ["2031.4", "2031.11"], "both can be answered");
    }

    proptest::proptest! {
        #[test]
        fn no_name_is_too_strange(list in proptest::collection::vec("[0-9a-cT.-]{1,8}|\\PC{0,5}", 0..6), folder in "\\PC{0,12}|[0-9.]{0,8}", name in "\\PC{0,20}|[0-9._() -]{0,12}\\.jpg") {
            let known = Numbers::of(list.iter());
            if let Match::Sure(number) = known.find(&[&folder], &name) {
                proptest::prop_assert!(list.contains(&number));
            }
        }
    }
}
