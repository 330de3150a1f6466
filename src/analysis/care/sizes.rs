//! The inside of a box and the girths of a mannequin, from the dimensions recorded. A box is reckoned from the upper end of
//! each dimension, a mannequin from the lower end: whichever the error, the garment is not pressed.

use super::Line;
use crate::measure::Estimate;
use crate::record::PieceFile;
use crate::vocabulary::{Relation, Scheme, TermId, Vocabulary};

const OWN: &str = "common practice, no source";
/// Room on each side of the piece in a box, in millimetres (common practice, no source).
pub const CLEARANCE: f64 = 25.0;
/// Height of a box for a garment that lies flat, padded, in millimetres (common practice, no source).
const FLAT_HEIGHT: f64 = 100.0;
/// The longest and the widest box that two people carry with ease, in millimetres (common practice, no source).
const LONGEST: f64 = 1500.0;
const WIDEST: f64 = 750.0;
/// A step between two sizes of mannequin, in millimetres of girth (EN 13402-3, from memory).
pub const SIZE_STEP: f64 = 40.0;
/// What is taken off the length of a back, in millimetres (common practice, no source).
pub const BACK_EASE: f64 = 10.0;

/// One dimension as the record has it.
struct Known<'a> {
    name: &'a str,
    estimate: Estimate,
    taken: Option<&'a str>,
}

impl Known<'_> {
    /// The expanded uncertainty for about 95 %.
    fn wide(&self) -> f64 {
        self.estimate.expanded().0
    }
    fn upper(&self) -> f64 {
        self.estimate.value + self.wide()
    }
    fn lower(&self) -> f64 {
        self.estimate.value - self.wide()
    }
    fn told(&self) -> String {
        let (value, u) = crate::measure::rounded(self.estimate.value / 10.0, self.wide() / 10.0);
        let taken = self.taken.map(|t| format!(", {t}")).unwrap_or_default();
        if self.wide() > 0.0 {
            format!("{} {value} ± {u} cm{taken}", self.name)
        } else {
            format!("{} {value} cm{taken}", self.name)
        }
    }
}

fn all(file: &PieceFile) -> Vec<Known<'_>> {
    let lines = file.examinations.iter().flat_map(|e| &e.measurements).filter(|o| o.withdrawn.is_none());
    // A part of a sum is no measure of the whole.
    let whole = lines.filter(|o| o.what.adds_up_to.is_none());
    whole
        .filter_map(|o| {
            let (estimate, dimension) = (o.what.estimate()?, o.what.dimension.as_ref()?);
            estimate.is_sound().then_some(Known { name: dimension.name(), estimate, taken: o.what.taken.as_deref() })
        })
        .collect()
}

/// The largest of the dimensions with these names.
fn largest<'a, 'b>(all: &'b [Known<'a>], names: &[&str]) -> Option<&'b Known<'a>> {
    all.iter().filter(|k| names.contains(&k.name)).max_by(|a, b| a.upper().total_cmp(&b.upper()))
}

fn smallest<'a, 'b>(all: &'b [Known<'a>], name: &str) -> Option<&'b Known<'a>> {
    all.iter().filter(|k| k.name == name).min_by(|a, b| a.lower().total_cmp(&b.lower()))
}

fn is(file: &PieceFile, vocabulary: &Vocabulary, names: &[&str]) -> bool {
    file.piece.garment.as_ref().is_some_and(|garment| {
        names.iter().any(|name| {
            let wanted = TermId::new(Scheme::Garment, name);
            matches!(vocabulary.relation(garment, &wanted), Relation::Same | Relation::Narrower)
        })
    })
}

/// The inside of a box in millimetres, clearance counted.
#[derive(Debug, Clone, PartialEq)]
pub struct Inside {
    /// Length.
    pub length: f64,
    /// Width.
    pub width: f64,
    /// Height; none where nothing recorded says it.
    pub height: Option<f64>,
    /// The dimensions that it follows from, in words.
    pub because: Vec<String>,
}

/// The greatest length that the dimensions make, at its upper end, and those of which it is made.
fn longest<'a, 'b>(known: &'b [Known<'a>]) -> Option<(f64, Vec<&'b Known<'a>>)> {
    let to_waist = largest(known, &["nape to waist", "bodice length"]);
    let body = largest(known, &["centre back length", "centre front length"]);
    let below = largest(known, &["skirt length", "skirt front length", "skirt back length", "outside leg length"]);
    let whole = largest(known, &["total length", "nape to hem", "shawl length", "cape length", "apron length"]);
    let small = largest(known, &["fan guard length", "foot length", "sole length", "hand length"]);
    let single = [to_waist, body, below, whole, small].into_iter().flatten().map(|one| vec![one]);
    // A centre back shorter than the skirt ends at the waist.
    let above = [to_waist, body.filter(|body| below.is_some_and(|below| body.upper() < below.upper()))];
    let sums = above.into_iter().flatten().zip(below.into_iter().cycle()).map(|(above, below)| vec![above, below]);
    let reckoned = single.chain(sums).map(|parts| (parts.iter().map(|k| k.upper()).sum::<f64>(), parts));
    reckoned.max_by(|(a, _), (b, _)| a.total_cmp(b))
}

/// The box that holds the piece without a fold; or the dimensions of which one is needed.
///
/// # Errors
/// What has to be measured first.
pub fn box_for(file: &PieceFile, vocabulary: &Vocabulary) -> Result<Inside, String> {
    let known = all(file);
    let room = |laid: f64| laid + 2.0 * CLEARANCE;
    if is(file, vocabulary, &["headwear"]) {
        let crown = largest(&known, &["crown girth"]).ok_or("crown girth and, if there is one, brim width")?;
        let brim = largest(&known, &["brim width", "bonnet depth"]);
        let across = crown.upper() / std::f64::consts::PI + 2.0 * brim.map_or(0.0, Known::upper);
        let tall = largest(&known, &["crown height", "total height"]);
        return Ok(Inside {
            length: room(across),
            width: room(across),
            height: tall.map(|t| room(t.upper())),
            because: [Some(crown), brim, tall].into_iter().flatten().map(Known::told).collect(),
        });
    }
    let (length, long) = longest(&known).ok_or("total length, or the centre back and skirt lengths")?;
    let sleeve = largest(&known, &["sleeve length"]).filter(|s| s.upper() > length);
    let length = sleeve.map_or(length, Known::upper);
    let girths = largest(&known, &["bust girth", "waist girth", "hip girth", "hem girth", "underbust girth"]);
    let flat = largest(&known, &["total width", "across shoulders", "across back", "fall width", "sole width"]);
    let wide = match (girths, flat) {
        (Some(g), Some(f)) if f.upper() >= g.upper() / 2.0 => (f.upper(), f),
        (Some(g), _) => (g.upper() / 2.0, g),
        (None, Some(f)) => (f.upper(), f),
        (None, None) => return Err("total width, or the bust, waist or hem girth".into()),
    };
    let mut because: Vec<&Known<'_>> = long;
    because.extend(sleeve);
    because.push(wide.1);
    Ok(Inside {
        length: room(length),
        width: room(wide.0),
        height: Some(FLAT_HEIGHT),
        because: because.into_iter().map(Known::told).collect(),
    })
}

/// Millimetres to whole centimetres, rounded up.
fn up(mm: f64) -> String {
    format!("{:.0}", (mm / 10.0 - 1e-6).ceil())
}

pub(super) fn box_lines(file: &PieceFile, vocabulary: &Vocabulary) -> Vec<Line> {
    let inside = match box_for(file, vocabulary) {
        Ok(inside) => inside,
        Err(missing) => {
            let text = format!("Not worked out. To be measured first: {missing}.");
            return vec![Line::new(text, Vec::new(), OWN)];
        }
    };
    let tall = inside.height.map_or("height to be measured".to_owned(), |h| format!("{} cm high", up(h)));
    let cm = CLEARANCE / 10.0;
    let text = format!(
        "Inside at least {} × {} cm, {tall}: laid out without a fold, sleeves along the body, girths halved, {cm} cm of \
         room on each side.",
        up(inside.length),
        up(inside.width)
    );
    let mut lines = vec![Line::new(
        text,
        inside.because.clone(),
        format!("{OWN}; dimensions at the upper end of their uncertainty"),
    )];
    let (folds, length, width) = folded(inside.length, inside.width);
    if !folds.is_empty() {
        let text = format!(
            "Where so large a box is not to be had: {} × {} cm, 15 cm high, with {folds}.",
            up(length),
            up(width)
        );
        lines.push(Line::new(text, Vec::new(), OWN));
    }
    lines.extend(housed(file, &inside));
    lines
}

/// The folds that bring a box down to a size that two people carry.
fn folded(length: f64, width: f64) -> (&'static str, f64, f64) {
    let half = |laid: f64| (laid - 2.0 * CLEARANCE) / 2.0 + 2.0 * CLEARANCE;
    match (length > LONGEST, width > WIDEST) {
        (true, true) => ("one padded fold across and the sides folded in", half(length), half(width)),
        (true, false) => ("one padded fold across", half(length), width),
        (false, true) => ("the sides folded in over padding", length, half(width)),
        (false, false) => ("", length, width),
    }
}

/// How the box in use compares.
fn housed(file: &PieceFile, need: &Inside) -> Option<Line> {
    let last = file.housings.last()?;
    let (length, width) = (last.length.as_ref()?.value, last.width.as_ref()?.value);
    let fits = |a: f64, b: f64| a >= need.length - 2.0 * CLEARANCE && b >= need.width - 2.0 * CLEARANCE;
    let name = last.storage.as_ref().map_or("housing", TermId::name);
    let verdict = if fits(length, width) || fits(width, length) {
        "is large enough for it to lie without a fold"
    } else {
        "is too small for it to lie without a fold"
    };
    let text = format!("The {name} recorded, {} × {} cm inside, {verdict}.", length / 10.0, width / 10.0);
    Some(Line::new(text, Vec::new(), "record of housing"))
}

/// The largest mannequin that does not press the garment, in millimetres; none where a dimension is not recorded.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Mannequin {
    /// Bust.
    pub bust: Option<f64>,
    /// Waist.
    pub waist: Option<f64>,
    /// Nape to waist.
    pub nape_to_waist: Option<f64>,
    /// The dimensions that it follows from, in words.
    pub because: Vec<String>,
    /// What is not recorded.
    pub missing: Vec<&'static str>,
}

/// What is worn on the trunk or hangs from the waist; others need no mannequin of a size.
const FROM_THE_WAIST: [&str; 6] = ["skirt", "petticoat", "trousers", "breeches", "drawers", "crinoline"];
const ON_THE_TRUNK: [&str; 3] = ["main garment", "underwear", "outerwear"];

/// The sizes of a mannequin; none for what is not worn on the body's trunk.
pub fn mannequin(file: &PieceFile, vocabulary: &Vocabulary) -> Option<Mannequin> {
    let from_waist = is(file, vocabulary, &FROM_THE_WAIST);
    if file.piece.garment.is_some() && !from_waist && !is(file, vocabulary, &ON_THE_TRUNK) {
        return None;
    }
    let known = all(file);
    let mut found = Mannequin::default();
    let mut take = |name: &'static str, ease: f64, needed: bool| {
        let dimension = smallest(&known, name);
        match dimension {
            Some(d) => found.because.push(d.told()),
            None if needed => found.missing.push(name),
            None => {}
        }
        dimension.map(|d| (d.lower() - ease).max(0.0))
    };
    let (bust, waist) = (take("bust girth", SIZE_STEP, !from_waist), take("waist girth", SIZE_STEP, true));
    let nape_to_waist = take("nape to waist", BACK_EASE, !from_waist);
    let outside = known.iter().any(|k| k.taken == Some("outside") && ["bust girth", "waist girth"].contains(&k.name));
    if outside {
        found.because.push("a girth was taken outside, so that the thickness of the cloth is still in it".into());
    }
    Some(Mannequin { bust, waist, nape_to_waist, ..found })
}

pub(super) fn mannequin_lines(file: &PieceFile, vocabulary: &Vocabulary) -> Vec<Line> {
    let Some(found) = mannequin(file, vocabulary) else { return Vec::new() };
    let sizes = [("bust", found.bust), ("waist", found.waist), ("nape to waist", found.nape_to_waist)];
    let sizes: Vec<String> = sizes
        .into_iter()
        // Down to half a centimetre: never larger than reckoned.
        .filter_map(|(name, mm)| mm.map(|mm| format!("{name} {} cm", (mm / 5.0 + 1e-6).floor() / 2.0)))
        .collect();
    let missing = if found.missing.is_empty() {
        String::new()
    } else {
        format!(" To be measured: {}.", found.missing.join(", "))
    };
    let text = if sizes.is_empty() {
        format!("Not worked out.{missing}")
    } else {
        format!("At most {}; padded out to the garment, never the garment drawn over it.{missing}", sizes.join(", "))
    };
    let source = "K. Johansen, Clothes Tell Stories, on mannequins: a size smaller than the garment at least (read); a size \
                  is 4 cm of girth (EN 13402-3, from memory); 1 cm off the back is common practice, no source";
    vec![Line::new(text, found.because, source)]
}
