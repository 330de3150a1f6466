//! A piece among others: how a feature is spread over a set of pieces, and where one piece stands in it.
//!
//! What counts: a piece counts once for a feature, by the mean of its lines (left and right side seam); what is only a limit
//! ("at least 30 cm") is not counted but told; so is how many figures are estimates, how many follow from others, and how
//! many pieces are in the set by a date that may lie outside its years. Under five pieces nothing is summed up: the values
//! stand for themselves.
//!
//! Quartiles are those of Hyndman and Fan's type 8; the interval of the median is that of order statistics, and the
//! percentile of a value is its mid-rank (half of the pieces level with it count as below) with the interval of Clopper and
//! Pearson, taken from the fewest that may be below, given the value's own uncertainty, to the most.

mod words;

use std::collections::HashMap;

use serde::Serialize;

use super::comparison::features::{Item, Section, items};
use super::comparison::value::{Limit, Value};
use crate::dating::Interval;
use crate::measure::statistics::{Plotting, mean, quantile};
use crate::measure::{median_interval, share_interval};
use crate::record::PieceFile;
use crate::vocabulary::Vocabulary;

pub use words::{as_text, ordinal, shown};

/// Pieces below which nothing is summed up (common practice, no source).
pub const FEW: usize = 5;
/// The confidence of every interval.
pub const CONFIDENCE: f64 = 0.95;

/// What is asked of a set of pieces.
#[derive(Debug, Clone, Copy)]
pub struct Asked<'a> {
    /// The piece to be placed; its own features are the ones looked at. It is left out of the set.
    pub subject: Option<&'a PieceFile>,
    /// The years that the set was chosen by, if it was.
    pub years: Option<Interval>,
    /// Words that the name of a feature must hold; blank for all.
    pub feature: &'a str,
}

/// A set of pieces, feature by feature.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Corpus {
    /// How many pieces are in the set.
    pub pieces: usize,
    /// How many of them are in by a date that may lie outside the years asked for.
    pub uncertain_date: usize,
    /// Number of the piece that is placed in it.
    pub subject: Option<String>,
    /// The features, in the order in which a garment is described.
    pub features: Vec<Spread>,
}

/// One feature over the set.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Spread {
    /// In words: `stitch density of side seam`.
    pub feature: String,
    /// Unit of all its figures; blank for a count.
    pub unit: &'static str,
    /// Pieces that record a figure.
    pub recorded: usize,
    /// Pieces that record a mere limit, and are not counted.
    pub limits: usize,
    /// Counted pieces whose figure is an estimate: inferred, reported, or not certain.
    pub estimates: usize,
    /// Counted pieces whose figure follows from others on the record.
    pub worked_out: usize,
    /// Counted pieces that are in by a date that may lie outside the years asked for.
    pub uncertain_date: usize,
    /// The ways in which it was taken, with how many pieces each; more than one is to be borne in mind.
    pub taken: Vec<(String, usize)>,
    /// The figures, in ascending order.
    pub values: Vec<Figure>,
    /// What sums them up; none for fewer than [`FEW`].
    pub summary: Option<Summary>,
    /// Where the piece stands.
    pub place: Option<Place>,
}

/// The figure of one piece.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Figure {
    /// Its number.
    pub number: String,
    /// The value.
    pub value: f64,
    /// Its standard uncertainty.
    pub u: f64,
    /// As written; of several lines each.
    pub as_written: String,
}

/// Five numbers and an interval.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Summary {
    /// Smallest.
    pub least: f64,
    /// First quartile.
    pub lower_quartile: f64,
    /// Median.
    pub median: f64,
    /// Third quartile.
    pub upper_quartile: f64,
    /// Largest.
    pub most: f64,
    /// The interval of the median.
    pub median_from: f64,
    /// Its end.
    pub median_to: f64,
    /// The confidence that it has: at least 95 %, or that of the whole range.
    pub confidence: f64,
}

/// Where a value stands among others.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Place {
    /// The value.
    pub figure: Figure,
    /// Pieces with less.
    pub below: usize,
    /// Pieces level with it.
    pub level: usize,
    /// Pieces with more.
    pub above: usize,
    /// Mid-rank, in per cent; none for fewer than [`FEW`].
    pub percentile: Option<f64>,
    /// The interval of the share below, in per cent; none for fewer than [`FEW`].
    pub interval: Option<(f64, f64)>,
}

/// The figures of one piece under one feature.
struct Lines {
    name: String,
    unit: &'static str,
    values: Vec<(f64, f64, String)>,
    limit: bool,
    estimate: bool,
    worked_out: bool,
    taken: String,
}

/// Works out how the features of a set are spread.
pub fn corpus(set: &[PieceFile], asked: Asked<'_>, vocabulary: &Vocabulary) -> Corpus {
    let wanted: Vec<String> = asked.feature.split_whitespace().map(str::to_lowercase).collect();
    let asked_for = |name: &str| wanted.iter().all(|w| name.to_lowercase().contains(w.as_str()));
    let own = asked.subject.map(|file| lines(file, vocabulary));
    let mut spreads: HashMap<String, Spread> = HashMap::new();
    let mut order: Vec<(usize, String)> = Vec::new();
    let (mut pieces, mut uncertain_date) = (0, 0);
    for file in set.iter().filter(|f| asked.subject.is_none_or(|s| s.number() != f.number())) {
        pieces += 1;
        let date = file.piece.date.as_ref().map_or(Interval::new(None, None), crate::dating::Dated::interval);
        let uncertain = asked.years.is_some_and(|years| !years.holds(date));
        uncertain_date += usize::from(uncertain);
        for (key, found) in lines(file, vocabulary) {
            let placed = own.as_ref().is_none_or(|own| own.contains_key(&key));
            if !placed || !asked_for(&found.name) {
                continue;
            }
            if !spreads.contains_key(&key) {
                order.push((section_of(&key), key.clone()));
            }
            spreads.entry(key).or_insert_with(|| Spread::new(&found)).add(file.number(), &found, uncertain);
        }
    }
    order.sort_by(|a, b| {
        (a.0, spreads.get(&a.1).map(|s| &s.feature)).cmp(&(b.0, spreads.get(&b.1).map(|s| &s.feature)))
    });
    let mut features = Vec::new();
    for (_, key) in order {
        let Some(mut spread) = spreads.remove(&key) else { continue };
        spread.settle();
        if let (Some(file), Some(found)) = (asked.subject, own.as_ref().and_then(|own| own.get(&key))) {
            spread.place = figure(file.number(), found).map(|figure| spread.place(figure));
        }
        features.push(spread);
    }
    Corpus { pieces, uncertain_date, subject: asked.subject.map(|f| f.number().to_owned()), features }
}

/// The place of a feature's section, which its key begins with.
fn section_of(key: &str) -> usize {
    key.chars().next().map_or(0, |c| c as usize)
}

/// The figures of a piece, by feature.
fn lines(file: &PieceFile, vocabulary: &Vocabulary) -> HashMap<String, Lines> {
    let mut found: HashMap<String, Lines> = HashMap::new();
    for item in items(file, vocabulary) {
        for aspect in &item.aspects {
            let Value::Figure { estimate, as_written, measure, limit, worked_out, .. } = &aspect.value else {
                continue;
            };
            let section = char::from(b'a' + item.section as u8);
            let key = format!("{section}{}/{}", item.key, aspect.name);
            let lines = found.entry(key).or_insert_with(|| Lines {
                name: name(&item, aspect.name),
                unit: measure.unit(),
                values: Vec::new(),
                limit: false,
                estimate: false,
                worked_out: false,
                taken: String::new(),
            });
            if *limit != Limit::None {
                lines.limit = true;
                continue;
            }
            let sure = ["", "certain"].contains(&aspect.known.certainty);
            lines.estimate |= !sure || ["inferred", "reported"].contains(&aspect.known.evidence);
            lines.worked_out |= *worked_out;
            if item.section == Section::Dimensions {
                item.variant.clone_into(&mut lines.taken);
            }
            lines.values.push((estimate.value, estimate.u, as_written.clone().into_owned()));
        }
    }
    found
}

fn name(item: &Item<'_>, aspect: &str) -> String {
    if aspect.is_empty() { item.name.to_owned() } else { format!("{aspect} of {}", item.name) }
}

/// A piece counts once: the mean of its lines. The lines were read apart, so that their uncertainties average out.
fn figure(number: &str, lines: &Lines) -> Option<Figure> {
    let values: Vec<f64> = lines.values.iter().map(|(v, ..)| *v).collect();
    let n = values.len() as f64;
    let u = lines.values.iter().map(|(_, u, _)| u * u).sum::<f64>().sqrt() / n;
    let as_written = lines.values.iter().map(|(.., text)| text.as_str()).collect::<Vec<_>>().join("; ");
    mean(&values).map(|value| Figure { number: number.to_owned(), value, u, as_written })
}

impl Spread {
    fn new(lines: &Lines) -> Self {
        Self {
            feature: lines.name.clone(),
            unit: lines.unit,
            recorded: 0,
            limits: 0,
            estimates: 0,
            worked_out: 0,
            uncertain_date: 0,
            taken: Vec::new(),
            values: Vec::new(),
            summary: None,
            place: None,
        }
    }

    fn add(&mut self, number: &str, lines: &Lines, uncertain: bool) {
        self.recorded += 1;
        let Some(figure) = figure(number, lines) else {
            self.limits += usize::from(lines.limit);
            return;
        };
        self.values.push(figure);
        self.estimates += usize::from(lines.estimate);
        self.worked_out += usize::from(lines.worked_out);
        self.uncertain_date += usize::from(uncertain);
        match self.taken.iter_mut().find(|(way, _)| *way == lines.taken) {
            Some((_, n)) => *n += 1,
            None => self.taken.push((lines.taken.clone(), 1)),
        }
    }

    fn settle(&mut self) {
        self.values.sort_by(|a, b| a.value.total_cmp(&b.value).then_with(|| a.number.cmp(&b.number)));
        self.taken.sort_by_key(|(_, n)| std::cmp::Reverse(*n));
        let sorted: Vec<f64> = self.values.iter().map(|f| f.value).collect();
        self.summary = summary(&sorted);
    }

    fn place(&self, figure: Figure) -> Place {
        let sorted: Vec<f64> = self.values.iter().map(|f| f.value).collect();
        place(&sorted, figure)
    }
}

/// What sums up values in ascending order; none for fewer than [`FEW`].
pub fn summary(sorted: &[f64]) -> Option<Summary> {
    let n = sorted.len();
    if n < FEW {
        return None;
    }
    let at = |p| quantile(sorted, p, Plotting::MEDIAN_UNBIASED);
    let (begin, confidence) = median_interval(n, CONFIDENCE)?;
    Some(Summary {
        least: *sorted.first()?,
        lower_quartile: at(0.25)?,
        median: at(0.5)?,
        upper_quartile: at(0.75)?,
        most: *sorted.last()?,
        median_from: *sorted.get(begin - 1)?,
        median_to: *sorted.get(n - begin)?,
        confidence,
    })
}

/// A share of the value below which two figures are level: 31.5 in and 800.1 mm.
const NOISE: f64 = 1e-9;

/// Where a figure stands among values in ascending order.
pub fn place(sorted: &[f64], figure: Figure) -> Place {
    let n = sorted.len();
    let less = |limit: f64| sorted.partition_point(|v| *v < limit);
    let slack = figure.value.abs() * NOISE;
    let below = less(figure.value - slack);
    let level = sorted.partition_point(|v| *v <= figure.value + slack) - below;
    // The fewest and the most that may lie below, given what the figure itself is uncertain by.
    let reach = 2.0 * figure.u + slack;
    let fewest = less(figure.value - reach);
    let most = sorted.partition_point(|v| *v <= figure.value + reach);
    let enough = n >= FEW;
    let interval = (share_interval(fewest, n, CONFIDENCE).0 * 100.0, share_interval(most, n, CONFIDENCE).1 * 100.0);
    Place {
        figure,
        below,
        level,
        above: n - below - level,
        percentile: enough.then(|| (below as f64 + level as f64 / 2.0) / n as f64 * 100.0),
        interval: enough.then_some(interval),
    }
}
