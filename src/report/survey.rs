//! The survey of the collection: what is due, by location, to take into the store; counts of grades and damage; what was
//! never examined.

use jiff::civil::Date;
use serde::Serialize;

use super::press::{self, Sheet};
use super::words::{capital, day, joined, text};
use super::{ReportFault, Settings};
use crate::analysis::programme::{BASIS, DamageCount, Due, Intervals, Standing, Survey, due};
use crate::record::accession::sort_key;
use crate::vocabulary::{Scheme, Vocabulary};

/// What the survey page prints beside the state of the collection.
#[derive(Debug, Clone, Copy)]
pub struct Asked<'a> {
    /// Due by this day.
    pub until: Date,
    /// The words of the location that was asked for, to be said on the page.
    pub place: Option<&'a str>,
    /// After how many months a piece is looked at again.
    pub intervals: &'a Intervals,
}

/// Everything that the survey prints.
#[derive(Debug, Serialize)]
pub(crate) struct Page {
    until: String,
    place: String,
    pieces: usize,
    due: usize,
    later: usize,
    left_out: usize,
    places: Vec<Place>,
    never: Vec<Row>,
    grades: Vec<Bar>,
    stabilities: Vec<Bar>,
    damages: Vec<Damage>,
    notes: usize,
    intervals: Vec<(u16, &'static str)>,
    basis: &'static str,
}

/// One location with what is due there.
#[derive(Debug, Serialize)]
struct Place {
    name: String,
    rows: Vec<Row>,
}

/// One piece to look at.
#[derive(Debug, Serialize)]
struct Row {
    number: String,
    name: String,
    /// Blank if it was never examined.
    examined: String,
    due: String,
    because: String,
    hazards: String,
    location: String,
}

/// One bar of a chart, with its figures.
#[derive(Debug, Serialize)]
struct Bar {
    label: String,
    count: usize,
    /// Of the whole, in per cent.
    percent: String,
    /// Length of the bar, of 100.
    length: f64,
}

/// One damage.
#[derive(Debug, Serialize)]
struct Damage {
    bar: Bar,
    pieces: usize,
}

pub(super) fn print(survey: &Survey, asked: &Asked<'_>, settings: &Settings<'_>) -> Result<String, ReportFault> {
    let sheet = Sheet {
        title: joined(["Survey of the collection", settings.collection.trim()], ", "),
        running_left: "Survey of the collection".into(),
        running_right: format!("due by {}", day(Some(asked.until))),
        printed_on: day(Some(settings.printed_on)),
        collection: settings.collection.trim().to_owned(),
    };
    press::print("survey.html", &sheet, &page(survey, asked, settings.vocabulary))
}

pub(super) fn page(survey: &Survey, asked: &Asked<'_>, vocabulary: &Vocabulary) -> Page {
    let all: Vec<(&Standing, Due)> =
        survey.standings.iter().map(|s| (s, due(s, asked.intervals, vocabulary))).collect();
    let (now, later): (Vec<_>, Vec<_>) = all.iter().partition(|(_, due)| due.by(asked.until));
    let rows = now.iter().map(|(s, due)| row(s, due));
    let mut places: Vec<Place> = Vec::new();
    let mut sorted: Vec<Row> = rows.collect();
    // By location as a person counts, box 9 before box 10; what has none comes last.
    sorted.sort_by_cached_key(|row| (row.location.is_empty(), sort_key(&row.location), sort_key(&row.number)));
    let never = sorted.iter().filter(|row| row.examined.is_empty()).map(Row::again).collect();
    for row in sorted {
        let name = if row.location.is_empty() { "location not recorded".to_owned() } else { row.location.clone() };
        match places.last_mut().filter(|place| place.name == name) {
            Some(place) => place.rows.push(row),
            None => places.push(Place { name, rows: vec![row] }),
        }
    }
    let notes: usize = survey.damages.iter().map(|d| d.notes).sum();
    let most = survey.damages.iter().map(|d| d.notes).max().unwrap_or(0);
    let damage = |d: &DamageCount| Damage { bar: bar(d.damage.clone(), d.notes, notes, most), pieces: d.pieces };
    Page {
        until: day(Some(asked.until)),
        place: asked.place.unwrap_or_default().trim().to_owned(),
        pieces: all.len(),
        due: now.len(),
        later: later.len(),
        left_out: survey.left_out,
        never,
        grades: words(&survey.standings, |s| s.grade.as_ref(), Scheme::Grade, vocabulary),
        stabilities: words(&survey.standings, |s| s.stability.as_ref(), Scheme::Stability, vocabulary),
        damages: survey.damages.iter().map(damage).collect(),
        notes,
        places,
        intervals: asked.intervals.named().map(|(name, months)| (months, name)).to_vec(),
        basis: BASIS,
    }
}

impl Row {
    /// The same line in the list of what was never examined.
    fn again(&self) -> Self {
        Self {
            number: self.number.clone(),
            name: self.name.clone(),
            examined: String::new(),
            due: String::new(),
            because: String::new(),
            hazards: self.hazards.clone(),
            location: self.location.clone(),
        }
    }
}

fn row(s: &Standing, due: &Due) -> Row {
    let title = text(s.title.as_ref());
    Row {
        number: s.number.clone(),
        name: if title.is_empty() { capital(s.object_name.trim()) } else { title },
        examined: day(s.examined),
        due: due.on.map_or("at once".to_owned(), |on| day(Some(on))),
        because: due.because.clone(),
        hazards: joined(s.hazards.iter().map(ToString::to_string), ", "),
        location: text(s.location.as_ref()),
    }
}

fn bar(label: String, count: usize, all: usize, most: usize) -> Bar {
    let share = |of: usize| if of == 0 { 0.0 } else { 100.0 * count as f64 / of as f64 };
    let length = (share(most) * 10.0).round() / 10.0;
    Bar { label, count, percent: format!("{:.0} %", share(all)), length }
}

/// How many pieces have each word of a scheme, in the scheme's order, local words and blanks last.
fn words(
    standings: &[Standing],
    word: impl Fn(&Standing) -> Option<&String>,
    scheme: Scheme,
    vocabulary: &Vocabulary,
) -> Vec<Bar> {
    let mut counts: Vec<(String, usize)> = vocabulary.terms(scheme).map(|t| (t.name().to_owned(), 0)).collect();
    counts.push(("not recorded".into(), 0));
    for standing in standings {
        let name = word(standing).map_or("not recorded", String::as_str);
        match counts.iter_mut().find(|(known, _)| known == name) {
            Some(count) => count.1 += 1,
            None => counts.push((name.to_owned(), 1)),
        }
    }
    let most = counts.iter().map(|(_, n)| *n).max().unwrap_or(0);
    counts.into_iter().map(|(label, count)| bar(label, count, standings.len(), most)).collect()
}
