//! A piece among others: for each feature a strip of all values with quartiles, median and the piece, in black alone.
//!
//! Positions are worked out here in units of the drawing; the template only puts them into SVG.

use serde::Serialize;

use super::press::{self, Sheet};
use super::words::{day, joined};
use super::{ReportFault, Settings};
use crate::analysis::corpus::{Corpus, FEW, Spread, shown};

/// Width of a strip, and the blank at either end, in units of the drawing.
const WIDTH: f64 = 400.0;
const MARGIN: f64 = 12.0;
/// Dots that stand on one another at most; more lie closer together.
const STACK: usize = 9;
/// Width of a column of dots, and the height of one dot.
const COLUMN: f64 = 7.0;
/// Where the dots stand.
const GROUND: f64 = 74.0;

#[derive(Debug, Serialize)]
struct Page {
    set: String,
    pieces: usize,
    uncertain_date: usize,
    subject: String,
    few: usize,
    features: Vec<Feature>,
}

#[derive(Debug, Serialize)]
struct Feature {
    title: String,
    reservations: String,
    middle: String,
    standing: String,
    strip: Option<Strip>,
    rows: Vec<Row>,
}

/// One value of the table under a strip.
#[derive(Debug, Serialize)]
struct Row {
    number: String,
    shown: String,
    as_written: String,
}

/// A strip.
#[derive(Debug, Serialize)]
struct Strip {
    /// The drawing in words.
    words: String,
    dots: Vec<[String; 2]>,
    /// First quartile, width between the quartiles.
    quartiles: Option<[String; 2]>,
    median: String,
    /// The interval of the median.
    around: [String; 2],
    /// The piece: place and the ends of two standard uncertainties.
    own: Option<[String; 3]>,
    own_label: String,
    /// Where the label of the piece is anchored, so that it is not cut.
    anchor: &'static str,
    least: String,
    most: String,
}

pub(super) fn print(corpus: &Corpus<'_>, set: &str, settings: &Settings<'_>) -> Result<String, ReportFault> {
    let subject = corpus.subject.unwrap_or_default().to_owned();
    let title = if subject.is_empty() { "A set of pieces".to_owned() } else { format!("{subject} among others") };
    let sheet = Sheet {
        title: joined([title.as_str(), settings.collection.trim()], ", "),
        running_left: title.clone(),
        running_right: format!("{} pieces", corpus.pieces),
        printed_on: day(Some(settings.printed_on)),
        collection: settings.collection.trim().to_owned(),
    };
    let page = Page {
        set: set.to_owned(),
        pieces: corpus.pieces,
        uncertain_date: corpus.uncertain_date,
        subject,
        few: FEW,
        features: corpus.features.iter().map(|s| feature(s, corpus.pieces)).collect(),
    };
    press::print("among.html", &sheet, &page)
}

fn feature(spread: &Spread<'_>, pieces: usize) -> Feature {
    let row = |f: &crate::analysis::corpus::Figure<'_>| Row {
        number: f.number.to_owned(),
        shown: shown(f.value, spread.unit),
        as_written: f.as_written.words().into_owned(),
    };
    Feature {
        title: spread.feature.clone(),
        reservations: spread.reservations(pieces).join("; "),
        middle: spread.middle(),
        standing: spread.standing(),
        strip: strip(spread),
        rows: spread.values.iter().map(row).collect(),
    }
}

fn strip(spread: &Spread<'_>) -> Option<Strip> {
    let own = spread.place.as_ref().map(|p| &p.figure);
    let ends = own.iter().flat_map(|f| [f.value - 2.0 * f.u, f.value + 2.0 * f.u]);
    let all = || spread.values.iter().map(|f| f.value).chain(ends.clone());
    let (low, high) = (all().reduce(f64::min)?, all().reduce(f64::max)?);
    let wide = if high > low { high - low } else { 1.0 };
    let at = |v: f64| MARGIN + (v - low) / wide * (WIDTH - 2.0 * MARGIN);
    let text = |x: f64| format!("{x:.1}");
    let mut dots: Vec<(usize, usize)> = Vec::new();
    for figure in &spread.values {
        let column = (at(figure.value) / COLUMN) as usize;
        let height = dots.iter().rev().take_while(|(c, _)| *c == column).count();
        dots.push((column, height));
    }
    let highest = dots.iter().map(|(_, h)| h + 1).max().unwrap_or(1);
    let step = COLUMN * (STACK as f64 / highest as f64).min(1.0);
    let dots = dots
        .into_iter()
        .map(|(column, height)| {
            [text((column as f64 + 0.5) * COLUMN), text(GROUND - COLUMN / 2.0 - height as f64 * step)]
        })
        .collect();
    let s = spread.summary.as_ref();
    Some(Strip {
        words: joined([spread.middle().as_str(), spread.standing().as_str()], "; "),
        dots,
        quartiles: s.map(|s| [text(at(s.lower_quartile)), text(at(s.upper_quartile) - at(s.lower_quartile))]),
        median: s.map(|s| text(at(s.median))).unwrap_or_default(),
        around: s.map_or_else(Default::default, |s| [text(at(s.median_from)), text(at(s.median_to))]),
        own: own.map(|f| [f.value, f.value - 2.0 * f.u, f.value + 2.0 * f.u].map(|v| text(at(v)))),
        own_label: own.map(|f| f.number.to_owned()).unwrap_or_default(),
        anchor: match own.map(|f| at(f.value)) {
            Some(x) if x > WIDTH * 0.75 => "end",
            Some(x) if x > WIDTH * 0.25 => "middle",
            _ => "start",
        },
        least: shown(low, spread.unit),
        most: shown(high, spread.unit),
    })
}
