//! The departures of all reconstructions by reason: what was, what is, why, whether it shows, and what was learned.

use serde::Serialize;

use super::press::{self, Sheet};
use super::words::{capital, day, joined};
use super::{ReportFault, Settings};
use crate::analysis::departed::Shown;
use crate::vocabulary::{Scheme, TermId};

/// One departure, as the catalogue has it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct DepartureEntry {
    /// Accession number of the piece whose maker departed.
    pub number: String,
    /// Its title, or what it is.
    pub piece: String,
    /// What it is made after.
    pub after: Vec<String>,
    /// On which component; blank where none is named.
    pub component: String,
    /// What differs.
    pub feature: String,
    /// How it is on the model.
    pub was: String,
    /// How it is here.
    pub now: String,
    /// The reason from the list; blank where none is given.
    pub reason: String,
    /// Why, in the maker's words.
    pub note: String,
    /// What was learned for next time.
    pub learned: String,
    /// What the records of piece and model say; none where no model is in the catalogue.
    pub shown: Option<Shown>,
}

#[derive(Debug, Serialize)]
struct Page {
    departures: usize,
    pieces: usize,
    learned: usize,
    reasons: Vec<Reason>,
    lessons: Vec<Lesson>,
    /// Departures whose features agree now.
    stale: usize,
}

/// The departures made for one reason.
#[derive(Debug, Serialize)]
struct Reason {
    name: String,
    /// What the vocabulary says of it.
    meaning: String,
    anchor: String,
    pieces: usize,
    learned: usize,
    /// Length of its bar, of 100.
    length: String,
    rows: Vec<Row>,
}

#[derive(Debug, Serialize)]
struct Row {
    number: String,
    feature: String,
    was: String,
    now: String,
    sign: &'static str,
    shown: &'static str,
    note: String,
    learned: String,
}

/// What was learned, and by what.
#[derive(Debug, Serialize)]
struct Lesson {
    number: String,
    feature: String,
    learned: String,
}

pub(super) fn print(list: &[DepartureEntry], settings: &Settings<'_>) -> Result<String, ReportFault> {
    let sheet = Sheet {
        title: joined(["Departures", settings.collection.trim()], ", "),
        running_left: "Departures from the models".into(),
        running_right: settings.collection.trim().to_owned(),
        printed_on: day(Some(settings.printed_on)),
        collection: settings.collection.trim().to_owned(),
    };
    press::print("departures.html", &sheet, &page(list, settings))
}

fn page(list: &[DepartureEntry], settings: &Settings<'_>) -> Page {
    let mut reasons: Vec<(&str, Vec<&DepartureEntry>)> = Vec::new();
    for one in list {
        match reasons.iter_mut().find(|(name, _)| *name == one.reason) {
            Some((_, all)) => all.push(one),
            None => reasons.push((&one.reason, vec![one])),
        }
    }
    reasons.sort_by_key(|(_, all)| std::cmp::Reverse(all.len()));
    let most = reasons.first().map_or(1, |(_, all)| all.len());
    let learned = |all: &[&DepartureEntry]| all.iter().filter(|d| !d.learned.is_empty()).count();
    let everything: Vec<&DepartureEntry> = list.iter().collect();
    Page {
        departures: list.len(),
        pieces: pieces(&everything),
        learned: learned(&everything),
        stale: list.iter().filter(|d| d.shown == Some(Shown::Agrees)).count(),
        lessons: list.iter().filter(|d| !d.learned.is_empty()).map(lesson).collect(),
        reasons: reasons
            .into_iter()
            .enumerate()
            .map(|(at, (name, all))| {
                let term = settings.vocabulary.get(&TermId::new(Scheme::DepartureReason, name));
                Reason {
                    name: if name.is_empty() { "No reason given".into() } else { capital(name) },
                    meaning: term.map(|t| t.definition.clone()).unwrap_or_default(),
                    anchor: format!("reason-{}", at + 1),
                    pieces: pieces(&all),
                    learned: learned(&all),
                    length: format!("{:.1}", 100.0 * all.len() as f64 / most as f64),
                    rows: all.into_iter().map(row).collect(),
                }
            })
            .collect(),
    }
}

fn pieces(list: &[&DepartureEntry]) -> usize {
    let mut numbers: Vec<&str> = list.iter().map(|d| d.number.as_str()).collect();
    numbers.sort_unstable();
    numbers.dedup();
    numbers.len()
}

fn feature(d: &DepartureEntry) -> String {
    joined([&d.component, &d.feature].map(Clone::clone), ", ")
}

fn lesson(d: &DepartureEntry) -> Lesson {
    Lesson { number: d.number.clone(), feature: feature(d), learned: d.learned.clone() }
}

fn row(d: &DepartureEntry) -> Row {
    let (sign, shown) = match d.shown {
        Some(shown @ Shown::Differs) => ("differ", shown.words()),
        Some(shown @ Shown::Agrees) => ("agree", shown.words()),
        Some(shown @ Shown::Untested) => ("unsure", shown.words()),
        None => ("one", "no model in the catalogue"),
    };
    Row {
        number: d.number.clone(),
        feature: feature(d),
        was: d.was.clone(),
        now: d.now.clone(),
        sign,
        shown,
        note: d.note.clone(),
        learned: d.learned.clone(),
    }
}
