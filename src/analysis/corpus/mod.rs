//! A piece among others: how a feature is spread over a set of pieces, and where one piece stands in it.
//!
//! A feature is what is recorded and the kind of component that it is recorded on: the back seam of a sleeve and that of a
//! bodice are never mixed unless that is asked for, and then it is told.
//!
//! What counts: a piece counts once for a feature, by the mean of its lines (left and right side seam); what is only a limit
//! ("at least 30 cm") is not counted but told; so is how many figures are estimates, how many follow from others, and how
//! many pieces are in the set by a date that may lie outside its years. Under five pieces nothing is summed up: the values
//! stand for themselves.
//!
//! Quartiles are those of Hyndman and Fan's type 8; the interval of the median is that of order statistics, and the
//! percentile of a value is its mid-rank (half of the pieces level with it count as below) with the interval of Clopper and
//! Pearson, taken from the fewest that may be below, given the value's own uncertainty, to the most.

mod gather;
mod words;

use std::borrow::Cow;

use rayon::prelude::*;
use serde::Serialize;

use self::gather::{Gathered, Gathering, Key, Lines, Member};
use super::comparison::features::Section;
use super::comparison::{Features, Written};
use crate::dating::Interval;
use crate::measure::statistics::{Plotting, quantile};
use crate::measure::{median_interval, share_interval};
use crate::vocabulary::Vocabulary;

pub use words::{as_text, ordinal, shown};

/// Pieces below which nothing is summed up (common practice, no source).
pub const FEW: usize = 5;
/// The confidence of every interval.
pub const CONFIDENCE: f64 = 0.95;

/// What is asked of a set of pieces.
#[derive(Debug, Clone, Copy)]
pub struct Asked<'q, 'a> {
    /// The piece to be placed; its own features are the ones looked at. It is left out of the set.
    pub subject: Option<&'q Features<'a>>,
    /// The years that the set was chosen by, if it was.
    pub years: Option<Interval>,
    /// Words that the name of a feature must hold, that of its component among them; blank for all.
    pub feature: &'q str,
    /// Whether a feature is taken together from whatever component it is recorded on. Otherwise each kind of component has
    /// its own.
    pub any_component: bool,
}

/// A set of pieces, feature by feature; words are borrowed from the records.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Corpus<'a> {
    /// How many pieces are in the set.
    pub pieces: usize,
    /// How many of them are in by a date that may lie outside the years asked for.
    pub uncertain_date: usize,
    /// Number of the piece that is placed in it.
    pub subject: Option<&'a str>,
    /// The features, in the order in which a garment is described.
    pub features: Vec<Spread<'a>>,
}

/// One feature over the set.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Spread<'a> {
    /// In words: `stitch density of side seam, front`; the component is left out where it is recorded of the whole piece.
    pub feature: String,
    /// The kind of component, left and right taken together; blank for the whole piece, and for any component.
    pub component: String,
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
    /// The kinds of component that it was recorded on, with how many counted pieces each.
    pub on: Vec<(String, usize)>,
    /// The other kinds of component on which the same is recorded, with how many pieces each; they are not counted here.
    pub elsewhere: Vec<(String, usize)>,
    /// The figures, in ascending order.
    pub values: Vec<Figure<'a>>,
    /// What sums them up; none for fewer than [`FEW`].
    pub summary: Option<Summary>,
    /// Where the piece stands.
    pub place: Option<Place<'a>>,
}

/// The figure of one piece.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Figure<'a> {
    /// Its number.
    pub number: &'a str,
    /// The value.
    pub value: f64,
    /// Its standard uncertainty.
    pub u: f64,
    /// As written; of several lines each.
    pub as_written: Written<'a>,
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
pub struct Place<'a> {
    /// The value.
    pub figure: Figure<'a>,
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

/// Works out how the features of a set are spread.
pub fn corpus<'a>(set: &[Features<'a>], asked: Asked<'_, 'a>, vocabulary: &'a Vocabulary) -> Corpus<'a> {
    let words: Vec<String> = asked.feature.split_whitespace().map(str::to_lowercase).collect();
    let asked_for = |name: &str| {
        let name = name.to_lowercase();
        words.iter().all(|w| name.contains(w.as_str()))
    };
    let all = Gathering { any_component: asked.any_component, vocabulary, own: None };
    let own = asked.subject.map(|piece| {
        let mut own = Gathered::default();
        all.add(&mut own, Member::of(0, piece, asked.years), piece);
        own
    });
    let gathering = Gathering { own: own.as_ref(), ..all };
    let subject = asked.subject.map(|piece| piece.file().number());
    let others = set.iter().filter(|piece| subject != Some(piece.file().number()));
    let others: Vec<(Member<'a>, &Features<'a>)> =
        others.enumerate().map(|(at, piece)| (Member::of(at, piece, asked.years), piece)).collect();
    let gathered = others
        .par_iter()
        .with_min_len(256)
        .fold(Gathered::default, |mut some, (member, piece)| {
            gathering.add(&mut some, *member, piece);
            some
        })
        .reduce(Gathered::default, Gathered::and_then);
    let recorded: Vec<(&Key<'_>, usize)> = gathered.features.iter().map(|(key, found)| (key, found.len())).collect();
    let summed_up = |(key, found): &(Key<'a>, Vec<Lines<'a>>)| {
        let mut spread = Spread::new(key, found.first()?, asked.any_component);
        let mine = own.as_ref().and_then(|own| own.features.iter().find(|(k, _)| k == key)?.1.first());
        // A piece is placed only where it records the same of the same component.
        if own.is_some() && mine.is_none() || !asked_for(&spread.feature) {
            return None;
        }
        spread.values.reserve(found.len());
        found.iter().for_each(|lines| spread.add(lines));
        if !asked.any_component {
            spread.on = vec![(named(&key.component).to_owned(), spread.values.len())];
        }
        let sorted = spread.settle();
        spread.elsewhere = elsewhere(key, &recorded);
        spread.place = mine.and_then(figure).map(|figure| place(&sorted, figure));
        Some((key.section, spread))
    };
    let mut features: Vec<(Section, Spread<'a>)> = gathered.features.par_iter().filter_map(summed_up).collect();
    features.sort_by(|(a, x), (b, y)| (a, &x.feature).cmp(&(b, &y.feature)));
    Corpus {
        pieces: others.len(),
        uncertain_date: others.iter().filter(|(member, _)| member.uncertain).count(),
        subject,
        features: features.into_iter().map(|(_, spread)| spread).collect(),
    }
}

/// On which other kinds of component the same is recorded, with how many pieces each.
fn elsewhere(key: &Key<'_>, recorded: &[(&Key<'_>, usize)]) -> Vec<(String, usize)> {
    let mut others: Vec<(String, usize)> = recorded
        .iter()
        .filter(|(other, _)| *other != key && key.same_but_for_the_component(other))
        .map(|(other, n)| (named(&other.component).to_owned(), *n))
        .collect();
    others.sort_by(|a, b| (b.1, &a.0).cmp(&(a.1, &b.0)));
    others
}

/// A kind of component in a list.
fn named(component: &str) -> &str {
    if component.is_empty() { "the whole piece" } else { component }
}

/// `stitch density of side seam, sleeve`.
fn title(key: &Key<'_>, name: &str, any_component: bool) -> String {
    let what = if key.aspect.is_empty() { name.to_owned() } else { format!("{} of {name}", key.aspect) };
    match key.component.as_ref() {
        _ if any_component => format!("{what}, any component"),
        "" => what,
        component => format!("{what}, {component}"),
    }
}

/// A piece counts once: the mean of its lines. The lines were read apart, so that their uncertainties average out.
fn figure<'a>(lines: &Lines<'a>) -> Option<Figure<'a>> {
    let (value, u, text) = lines.first.as_ref()?;
    let number = lines.piece.number;
    if lines.more.is_empty() {
        return Some(Figure { number, value: *value, u: *u, as_written: text.clone() });
    }
    let all = || lines.first.iter().chain(&lines.more);
    let n = all().count() as f64;
    let texts: Vec<Cow<'_, str>> = all().map(|(.., text)| text.words()).collect();
    Some(Figure {
        number,
        value: all().map(|(value, ..)| value).sum::<f64>() / n,
        u: all().map(|(_, u, _)| u * u).sum::<f64>().sqrt() / n,
        as_written: Written::Text(texts.join("; ").into()),
    })
}

impl<'a> Spread<'a> {
    fn new(key: &Key<'_>, lines: &Lines<'_>, any_component: bool) -> Self {
        Self {
            feature: title(key, lines.name, any_component),
            component: key.component.clone().into_owned(),
            unit: lines.unit,
            recorded: 0,
            limits: 0,
            estimates: 0,
            worked_out: 0,
            uncertain_date: 0,
            taken: Vec::new(),
            on: Vec::new(),
            elsewhere: Vec::new(),
            values: Vec::new(),
            summary: None,
            place: None,
        }
    }

    fn add(&mut self, lines: &Lines<'a>) {
        self.recorded += 1;
        let Some(figure) = figure(lines) else {
            self.limits += usize::from(lines.limit);
            return;
        };
        self.values.push(figure);
        self.estimates += usize::from(lines.estimate);
        self.worked_out += usize::from(lines.worked_out);
        self.uncertain_date += usize::from(lines.piece.uncertain);
        tally(&mut self.taken, lines.taken);
        lines.on.iter().for_each(|component| tally(&mut self.on, named(component)));
    }

    /// Puts the figures in order, level ones in the order of the set, and sums them up. Gives the values.
    fn settle(&mut self) -> Vec<f64> {
        self.values.sort_by(|a, b| a.value.total_cmp(&b.value));
        self.taken.sort_by_key(|(_, n)| std::cmp::Reverse(*n));
        self.on.sort_by_key(|(_, n)| std::cmp::Reverse(*n));
        let sorted: Vec<f64> = self.values.iter().map(|f| f.value).collect();
        self.summary = summary(&sorted);
        sorted
    }
}

fn tally(list: &mut Vec<(String, usize)>, word: &str) {
    match list.iter_mut().find(|(known, _)| known == word) {
        Some((_, n)) => *n += 1,
        None => list.push((word.to_owned(), 1)),
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
pub fn place<'a>(sorted: &[f64], figure: Figure<'a>) -> Place<'a> {
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
