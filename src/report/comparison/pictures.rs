//! The photographs of two pieces side by side at one scale, each with a bar drawn under it.
//!
//! The scales are those on record. Where one of the two has none, the pictures are not laid out as if they could be
//! measured against each other, and the words say so.

use serde::Serialize;

use crate::analysis::comparison::Heading;
use crate::measure::MM_PER_INCH;
use crate::record::PieceFile;
use crate::record::photograph::Photograph;
use crate::record::picture_scale::PLANE_ONLY;
use crate::report::Settings;
use crate::report::words::{capital, day, joined, term};

/// The views that show a piece as a whole, the one wanted most first.
const VIEWS: [&str; 6] = ["front", "back", "overall", "flat", "on mount", "reading of pattern"];
/// The widest share of the narrower picture that a bar takes up, so that its words have room beside it.
const BAR_SHARE: f64 = 0.62;
/// Across a rectangle seen at a slant the scale may differ by this share before it is said.
const SLANT: f64 = 0.01;

/// Pictures in a row and what may be read off them.
#[derive(Debug, Serialize)]
pub(super) struct Facing {
    /// Those that there are, in the order of the pieces.
    pub pictures: Vec<Picture>,
    /// How wide the columns are, one to the other.
    pub columns: Vec<String>,
    /// Width of all together by the height of the tallest: the page keeps the height within bounds by the width.
    pub wide: String,
    /// At what scale they stand, and from what.
    pub scale: String,
    /// Pieces of which there is no picture.
    pub without: Vec<String>,
}

/// One view.
#[derive(Debug, Serialize)]
pub(super) struct Picture {
    pub number: String,
    pub src: String,
    pub alt: String,
    pub width: u32,
    pub height: u32,
    /// Its name, nature and date.
    pub line: String,
    pub caption: String,
    /// Bars of round length; none without a scale.
    pub bars: Vec<Bar>,
}

/// A bar drawn under a picture, at the picture's scale.
#[derive(Debug, PartialEq, Serialize)]
pub(super) struct Bar {
    /// Of the picture's width, in per cent.
    pub share: String,
    /// Units that it is marked off in.
    pub units: u32,
    /// `20 cm`.
    pub words: String,
}

/// The pictures of the pieces: one view of all if there is one, those that have a scale at one scale.
pub(super) fn facing(pieces: &[&PieceFile], settings: &Settings<'_>) -> Facing {
    let (mut sides, mut without) = (Vec::new(), Vec::new());
    for (file, photograph) in pieces.iter().zip(shown(pieces)) {
        match photograph.and_then(|p| Side::of(file, p, settings)) {
            Some(side) => sides.push(side),
            None => without.push(file.number().to_owned()),
        }
    }
    let known: Vec<f64> = sides.iter().filter_map(Side::millimetres).collect();
    // A picture without a scale gets as much room as the others have in the mean, and is said to stand apart.
    let usual = if known.is_empty() { 100.0 } else { known.iter().sum::<f64>() / known.len() as f64 };
    let widths: Vec<f64> = sides.iter().map(|s| s.millimetres().unwrap_or(usual)).collect();
    let tallest = sides.iter().zip(&widths).map(|(s, w)| s.tall() * w).fold(0.0, f64::max);
    let narrowest = known.iter().copied().fold(f64::INFINITY, f64::min);
    let total: f64 = widths.iter().sum();
    Facing {
        columns: widths.iter().map(|w| format!("{:.1}", 1000.0 * w / total)).collect(),
        wide: format!("{:.3}", if tallest > 0.0 { total / tallest } else { 1.0 }),
        scale: scale_words(&sides),
        pictures: sides.iter().map(|side| side.picture(narrowest)).collect(),
        without,
    }
}

/// The photograph of each: of the first view that all have, else of the first that it has itself.
fn shown<'a>(pieces: &[&'a PieceFile]) -> Vec<Option<&'a Photograph>> {
    let mut each = VIEWS.iter().map(|view| pieces.iter().map(|file| best(file, view)).collect::<Vec<_>>());
    if let Some(all) = each.find(|of_view| of_view.iter().all(Option::is_some)) {
        return all;
    }
    pieces.iter().map(|file| VIEWS.iter().find_map(|view| best(file, view))).collect()
}

/// Of a view: the whole piece before a part, one with a scale before one without, the latest.
fn best<'a>(file: &'a PieceFile, view: &str) -> Option<&'a Photograph> {
    let wanted = |p: &&Photograph| p.view.as_ref().is_some_and(|v| v.name() == view);
    let rank = |p: &&Photograph| (p.component.is_none(), p.scale.is_some(), p.capture.taken.clone(), p.examination);
    file.photographs.iter().filter(wanted).max_by_key(rank)
}

/// One piece with the photograph that is shown of it.
struct Side<'a> {
    heading: Heading<'a>,
    photograph: &'a Photograph,
    src: String,
    /// Pixels a millimetre, and the words for how they are known.
    scale: Option<(f64, String)>,
}

impl<'a> Side<'a> {
    fn of(file: &'a PieceFile, photograph: &'a Photograph, settings: &Settings<'_>) -> Option<Self> {
        let src = settings.pictures.view(&photograph.sha256)?;
        let heading = Heading::of(file);
        let scale = known_scale(photograph, heading.number);
        Some(Self { heading, photograph, src, scale })
    }

    /// Height by width.
    fn tall(&self) -> f64 {
        let (width, height) = (f64::from(self.photograph.width), f64::from(self.photograph.height));
        if width > 0.0 && height > 0.0 { height / width } else { 1.0 }
    }

    /// Width of the picture in the plane of its bar, millimetres.
    fn millimetres(&self) -> Option<f64> {
        self.scale.as_ref().map(|(per_mm, _)| f64::from(self.photograph.width) / per_mm)
    }

    /// `narrowest` is the width of the narrowest picture at the common scale, millimetres.
    fn picture(&self, narrowest: f64) -> Picture {
        let p = self.photograph;
        let number = self.heading.number.to_owned();
        let view = capital(&term(p.view.as_ref()));
        let when = joined([view.clone(), day(p.capture.day().or(p.examination))], ", ");
        Picture {
            alt: format!("{view} view of {number}"),
            caption: joined([when, p.caption.clone().unwrap_or_default()], ". "),
            bars: self.millimetres().map(|own| bars(own, narrowest)).unwrap_or_default(),
            width: p.width,
            height: p.height,
            src: self.src.clone(),
            line: joined([self.heading.name.to_owned(), line(&self.heading)], ". "),
            number,
        }
    }
}

/// `Reconstruction, 2023`.
pub(super) fn line(heading: &Heading<'_>) -> String {
    let facts = [heading.nature, heading.date];
    capital(&joined(facts, ", "))
}

/// Pixels a millimetre in the middle of what the scale was taken from, and how well that is known.
fn known_scale(p: &Photograph, number: &str) -> Option<(f64, String)> {
    let scale = p.scale.as_ref()?;
    let said = scale.said()?;
    let per_mm = said.px_per_mm.value;
    if !(per_mm.is_finite() && per_mm > 0.0) || p.width == 0 || p.height == 0 {
        return None;
    }
    let share = match 100.0 * said.px_per_mm.u / per_mm {
        small if small < 0.1 => "better than 0.1".to_owned(),
        share => format!("{share:.1}"),
    };
    let mut words = format!("{number} by {} in its photograph (u {share} %)", scale.size.trim());
    if let Some((low, high)) = said.range.filter(|(low, high)| *low > 0.0 && high / low > 1.0 + SLANT) {
        words = format!("{words}, seen at a slant, so that it varies by {:.0} % across", 100.0 * (high / low - 1.0));
    }
    Some((per_mm, words))
}

/// What may be read off the pictures, and what may not.
fn scale_words(sides: &[Side]) -> String {
    let known: Vec<&str> = sides.iter().filter_map(|s| Some(s.scale.as_ref()?.1.as_str())).collect();
    let numbers = |has: bool| {
        let of = sides.iter().filter(|s| s.scale.is_some() == has);
        listed(&of.map(|s| s.heading.number).collect::<Vec<_>>())
    };
    let unknown = sides.len() - known.len();
    let apart =
        |whose: &str| format!("{whose} no recorded scale: sizes cannot be read off it, nor off one against the other");
    match (known.len(), unknown) {
        (0, 0) => String::new(),
        (0, 1) => format!("{}.", apart("The photograph has")),
        (0, _) => format!("Not at one scale. {}.", apart("The photographs have")),
        (1, 0) => format!("Scale of {}. It {PLANE_ONLY}.", known[0]),
        (_, 0) => format!("At one scale: the bars are alike. Scale of {}. Each {PLANE_ONLY}.", known.join("; of ")),
        (1, _) => format!(
            "Not at one scale. {}. The bar is for {} alone: scale of {}; it {PLANE_ONLY}.",
            apart(&format!("The photograph of {} has", numbers(false))),
            numbers(true),
            known[0]
        ),
        _ => format!(
            "At one scale: {}, whose bars are alike. Scale of {}. Each {PLANE_ONLY}. Not at that scale: {}, of which the \
             photograph has no recorded scale.",
            numbers(true),
            known.join("; of "),
            numbers(false)
        ),
    }
}

/// `a`, `a and b`, `a, b and c`.
fn listed(words: &[&str]) -> String {
    match words {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

/// Bars in centimetres and in inches, of the greatest round length that fits the narrower picture.
fn bars(own: f64, narrow: f64) -> Vec<Bar> {
    const CENTIMETRES: [u32; 9] = [1, 2, 5, 10, 20, 30, 50, 100, 200];
    const INCHES: [u32; 8] = [1, 2, 4, 8, 12, 24, 36, 72];
    [("cm", 10.0, &CENTIMETRES[..]), ("in", MM_PER_INCH, &INCHES[..])]
        .into_iter()
        .filter_map(|(unit, mm, lengths)| {
            let units = lengths.iter().copied().filter(|n| f64::from(*n) * mm <= BAR_SHARE * narrow).max()?;
            let share = format!("{:.2}", 100.0 * f64::from(units) * mm / own);
            Some(Bar { share, units, words: format!("{units} {unit}") })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bars_under_two_pictures_at_one_scale_are_of_one_length() {
        // A picture 600 mm wide beside one of 450 mm.
        let (wide, narrow) = (bars(600.0, 450.0), bars(450.0, 450.0));
        for (a, b) in wide.iter().zip(&narrow) {
            assert_eq!(a.words, b.words);
            let length = |bar: &Bar, of: f64| bar.share.parse::<f64>().expect("a number") * of;
            assert!((length(a, 600.0) - length(b, 450.0)).abs() < 5.0, "{a:?} and {b:?}");
        }
        assert_eq!(narrow.iter().map(|b| b.words.as_str()).collect::<Vec<_>>(), ["20 cm", "8 in"]);
        // 20 cm of 600 mm are a third of it.
        assert_eq!(wide[0].share, "33.33");
        // Too small a picture for the least bar has none.
        assert_eq!(bars(9.0, 9.0), vec![]);
    }
}
