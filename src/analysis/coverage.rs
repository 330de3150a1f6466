//! Which of the expected photographs a piece has, which are missing or too coarse, and what cannot be told. Worked out
//! from the record alone. What is expected is common practice, no source; where a rule is ours it says so.

use serde::Serialize;

use crate::record::PieceFile;
use crate::record::photograph::Photograph;
use crate::record::piece::Piece;
use crate::threads::{PIXELS_WANTED, pixels_per_inch_wanted};
use crate::vocabulary::{Relation, Scheme, TermId, Vocabulary};
use crate::words::count;

/// The longest side below which a view is too coarse to study, in pixels: that of the views this program shows. Rule here;
/// no guideline gives one for dress.
pub const LONGEST: u32 = 1600;

/// Whether an expected view is there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum State {
    /// At least one photograph shows it, fine enough as far as can be told.
    Present,
    /// No photograph shows it.
    Missing,
    /// Only photographs that are too coarse show it.
    TooCoarse,
    /// The record does not tell.
    NotKnown,
}

impl State {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Present => "present",
            Self::Missing => "missing",
            Self::TooCoarse => "too coarse",
            Self::NotKnown => "not known",
        }
    }
}

/// One expected view.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Expected {
    /// What should be shown: `front`, `detail of left sleeve`, `scale bar in the frame`.
    pub view: String,
    /// Whether it is.
    pub state: State,
    /// SHA-256 of the photographs that show it.
    pub photographs: Vec<String>,
    /// Why it is too coarse or not known; blank otherwise.
    pub why: String,
}

/// What is there of one piece.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Coverage {
    /// Accession number.
    pub number: String,
    /// What it is.
    pub object_name: String,
    /// How many photographs it has.
    pub photographs: usize,
    /// Each view that is expected.
    pub views: Vec<Expected>,
    /// How the list came about, where that is not plain; blank otherwise.
    pub remark: String,
}

impl Coverage {
    /// Whether every expected view is there; what is not known is not there.
    pub fn complete(&self) -> bool {
        !self.views.is_empty() && self.views.iter().all(|v| v.state == State::Present)
    }

    /// How many of the expected views are there: `1 photograph, 2 of 9 expected views`.
    pub fn summary(&self) -> String {
        let (present, all) = (self.in_state(State::Present).count(), self.views.len());
        let share = if self.complete() { format!("all {all}") } else { format!("{present} of {all}") };
        format!("{}, {share} expected views", count(self.photographs, "photograph"))
    }

    /// What is not there, a line each: the views that need no further word together, the others each with its reason.
    pub fn wanting(&self) -> Vec<(State, String)> {
        let mut lines = Vec::new();
        for state in [State::Missing, State::TooCoarse, State::NotKnown] {
            let (plain, told): (Vec<_>, Vec<_>) = self.in_state(state).partition(|v| v.why.is_empty());
            if !plain.is_empty() {
                lines.push((state, plain.iter().map(|v| v.view.as_str()).collect::<Vec<_>>().join(", ")));
            }
            lines.extend(told.iter().map(|v| (state, format!("{} ({})", v.view, v.why))));
        }
        lines
    }

    /// The views in a state.
    pub fn in_state(&self, state: State) -> impl Iterator<Item = &Expected> {
        self.views.iter().filter(move |v| v.state == state)
    }
}

/// Resolution in the plane of the piece, in pixels an inch; none where no scale is known.
pub fn pixels_per_inch(photograph: &Photograph) -> Option<f64> {
    photograph.scale.as_ref()?.said().map(|said| said.ppi)
}

/// Sets the photographs of a piece against the views that are expected of it.
pub fn coverage(file: &PieceFile, vocabulary: &Vocabulary) -> Coverage {
    let look = Look { photographs: &file.photographs, vocabulary };
    let (names, remark) = expected_views(&file.piece, vocabulary);
    let mut views: Vec<Expected> = names.iter().map(|name| look.whole(name)).collect();
    if is_cloth(&file.piece) {
        views.extend(look.details(file));
        views.push(look.threads(finest(file)));
    }
    views.push(look.scale());
    views.push(look.target());
    Coverage {
        number: file.number().to_owned(),
        object_name: file.piece.object_name.clone().unwrap_or_default(),
        photographs: file.photographs.len(),
        views,
        remark: remark.to_owned(),
    }
}

/// A published pattern or a depiction is a sheet: it has no interior and no cloth to count.
fn is_cloth(piece: &Piece) -> bool {
    !piece.nature.as_ref().is_some_and(|n| matches!(n.name(), "published pattern" | "depiction"))
}

/// The whole views that are expected, by what the piece is.
fn expected_views(piece: &Piece, vocabulary: &Vocabulary) -> (&'static [&'static str], &'static str) {
    const WORN: &[&str] = &["front", "back", "left side", "right side", "interior"];
    const HEAD: &[&str] = &["front", "back", "left side", "right side", "top", "interior"];
    const FEET: &[&str] = &["left side", "right side", "top", "bottom", "interior"];
    const FLAT: &[&str] = &["front", "back"];
    if !is_cloth(piece) {
        return (&["front"], "");
    }
    let Some(garment) = &piece.garment else {
        return (WORN, "the kind of garment is not recorded: the views of a worn garment are expected");
    };
    let kind_of = |name: &str| {
        let relation = vocabulary.relation(garment, &TermId::new(Scheme::Garment, name));
        matches!(relation, Relation::Same | Relation::Narrower)
    };
    if kind_of("garment pattern") {
        (&["front"], "")
    } else if kind_of("veil") || kind_of("shawl") {
        (FLAT, "")
    } else if kind_of("headwear") {
        (HEAD, "")
    } else if kind_of("shoes") {
        (FEET, "")
    } else if kind_of("accessory") {
        (FLAT, "")
    } else {
        (WORN, "")
    }
}

/// The finest sett recorded of any cloth of the piece, in threads a centimetre.
fn finest(file: &PieceFile) -> Option<f64> {
    let cloths = file.examinations.iter().flat_map(|e| &e.textiles);
    let counts = cloths.flat_map(|t| [t.what.ends_estimate(), t.what.picks_estimate()]);
    counts.flatten().map(|e| e.value).filter(|v| v.is_finite()).reduce(f64::max)
}

/// The photographs of a piece, to look through.
struct Look<'a> {
    photographs: &'a [Photograph],
    vocabulary: &'a Vocabulary,
}

impl Look<'_> {
    fn is(&self, photograph: &Photograph, view: &str) -> bool {
        let wanted = TermId::new(Scheme::View, view);
        photograph
            .view
            .as_ref()
            .is_some_and(|v| matches!(self.vocabulary.relation(v, &wanted), Relation::Same | Relation::Narrower))
    }

    fn all(&self, keep: impl Fn(&Photograph) -> bool) -> Vec<&Photograph> {
        self.photographs.iter().filter(|p| keep(p)).collect()
    }

    /// A view of the whole piece; one of a component alone is not.
    fn whole(&self, view: &str) -> Expected {
        let also: &[&str] = match view {
            "front" => &["flat"],
            "back" => &["reverse"],
            _ => &[],
        };
        let shown = self.all(|p| p.component.is_none() && (self.is(p, view) || also.iter().any(|v| self.is(p, v))));
        by_size(view.to_owned(), &shown)
    }

    /// A detail of each component: any photograph of it alone will do.
    fn details(&self, file: &PieceFile) -> Vec<Expected> {
        if file.components.is_empty() {
            let why = "no component is recorded".to_owned();
            return vec![not_known("a detail of each component", &[], why)];
        }
        let names = file.components.iter().filter_map(|c| c.name.as_deref());
        let one =
            |name: &str| by_size(format!("detail of {name}"), &self.all(|p| p.component.as_deref() == Some(name)));
        names.map(one).collect()
    }

    /// Cloth so near that its threads can be counted.
    fn threads(&self, finest: Option<f64>) -> Expected {
        const VIEW: &str = "cloth, its threads to be counted";
        let near = self.all(|p| self.is(p, "macro") || self.is(p, "textile detail"));
        let Some(threads) = finest else {
            let why = "no sett is recorded, so that the resolution needed is not known".to_owned();
            return if near.is_empty() { missing(VIEW) } else { not_known(VIEW, &near, why) };
        };
        let needed = pixels_per_inch_wanted(threads, PIXELS_WANTED);
        judged(VIEW, &near, needed, threads)
    }

    fn scale(&self) -> Expected {
        let known = self.all(|p| pixels_per_inch(p).is_some() || self.is(p, "with colour target"));
        let why = "no scale is recorded of any photograph; a bar may be in the frame all the same".to_owned();
        self.in_frame("scale bar in the frame", &known, why)
    }

    fn target(&self) -> Expected {
        let known = self.all(|p| p.target.is_some() || self.is(p, "with colour target"));
        let why = "no target has been read; if one is in the frame, it is yet to be read".to_owned();
        self.in_frame("colour target in the frame", &known, why)
    }

    /// What the record tells of only where somebody said so.
    fn in_frame(&self, view: &str, known: &[&Photograph], why: String) -> Expected {
        match (self.photographs.is_empty(), known.is_empty()) {
            (true, _) => missing(view),
            (false, true) => not_known(view, &[], why),
            (false, false) => present(view.to_owned(), known),
        }
    }
}

/// Of photographs that show threads, those whose resolution is enough, too little, or not known.
fn judged(view: &str, near: &[&Photograph], needed: f64, threads: f64) -> Expected {
    let asked = format!("{threads:.0} threads a centimetre ask for {needed:.0} pixels an inch");
    let enough: Vec<&Photograph> =
        near.iter().copied().filter(|p| pixels_per_inch(p).is_some_and(|found| found >= needed)).collect();
    let best = near.iter().filter_map(|p| pixels_per_inch(p)).reduce(f64::max);
    if near.is_empty() {
        missing(view)
    } else if !enough.is_empty() {
        present(view.to_owned(), &enough)
    } else if near.iter().any(|p| pixels_per_inch(p).is_none()) {
        not_known(view, near, format!("{asked}, and no scale is recorded"))
    } else {
        let why = format!("{asked}, the finest photograph has {:.0}", best.unwrap_or_default());
        Expected { state: State::TooCoarse, ..not_known(view, near, why) }
    }
}

/// Of photographs that show a view, whether one is large enough.
fn by_size(view: String, shown: &[&Photograph]) -> Expected {
    let longest = |p: &Photograph| p.width.max(p.height);
    let fine: Vec<&Photograph> = shown.iter().copied().filter(|p| longest(p) >= LONGEST).collect();
    let Some(largest) = shown.iter().max_by_key(|p| longest(p)) else { return missing(&view) };
    if !fine.is_empty() {
        return present(view, &fine);
    }
    // A raw file without a preview has no size that could be read.
    if shown.iter().any(|p| longest(p) == 0) {
        return not_known(&view, shown, "the size of the photograph could not be read".into());
    }
    let why = format!("{} × {} pixels; {LONGEST} on the longest side are expected", largest.width, largest.height);
    Expected { state: State::TooCoarse, ..not_known(&view, shown, why) }
}

fn present(view: String, shown: &[&Photograph]) -> Expected {
    Expected { view, state: State::Present, photographs: hashes(shown), why: String::new() }
}

fn missing(view: &str) -> Expected {
    Expected { view: view.to_owned(), state: State::Missing, photographs: Vec::new(), why: String::new() }
}

fn not_known(view: &str, shown: &[&Photograph], why: String) -> Expected {
    Expected { view: view.to_owned(), state: State::NotKnown, photographs: hashes(shown), why }
}

fn hashes(shown: &[&Photograph]) -> Vec<String> {
    shown.iter().map(|p| p.sha256.clone()).collect()
}

#[cfg(test)]
#[path = "coverage_tests.rs"]
mod tests;
