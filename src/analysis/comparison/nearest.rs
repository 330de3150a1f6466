//! Which cloth comes nearest to one: candidates from nearest to farthest, with what drives the distance.
//!
//! The distance is counted in tolerances: for each property recorded on both, how many times its tolerance the two differ;
//! over the properties, the root of the mean square. A property that either does not record has no part in it, so the
//! number of properties compared stands beside every distance, and a cloth of which less than half is known comes after
//! the others, whatever its distance.

use serde::Serialize;

use super::features::{Aspect, Item, Section, items};
use super::names::alike;
use super::outcome::{Finding, Relation};
use super::tolerance::Tolerances;
use super::value::{Judge, Value};
use crate::record::PieceFile;
use crate::vocabulary::Vocabulary;

/// Distances for two terms, in tolerances (a choice of this program, no outside source): the same; one broader than the
/// other, which may or may not be the same; different under one broader term; different.
const TERMS: [f64; 4] = [0.0, 0.5, 1.0, 2.0];

/// Properties that have no part in the distance: words of the writer's own, and what follows from the others.
const LEFT_OUT: [&str; 6] = ["colour", "dye", "selvedge", "cover factor", "loom width", "finish"];

/// One cloth of a piece: what it is for, and where.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Cloth {
    /// Accession number of its piece.
    pub number: String,
    /// What the piece is.
    pub piece: String,
    /// Its component; blank for the whole piece.
    pub component: String,
    /// Its role.
    pub role: String,
    /// What the record calls it.
    pub name: String,
}

/// Candidates for a cloth.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Nearest {
    /// The cloth that is looked for.
    pub wanted: Cloth,
    /// How many of its properties can be compared at all.
    pub properties: usize,
    /// Nearest first; those of which less than half of these properties are known after the others.
    pub candidates: Vec<Candidate>,
    /// How many cloths share no recorded property with it, and have no distance.
    pub without: usize,
}

/// One candidate.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Candidate {
    /// Which cloth.
    pub cloth: Cloth,
    /// In tolerances.
    pub distance: f64,
    /// How many properties are recorded on both.
    pub compared: usize,
    /// Whether that is at least half of what is known of the cloth looked for.
    pub enough: bool,
    /// The properties, the one that drives the distance most first.
    pub parts: Vec<Part>,
}

/// One property in a distance.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Part {
    /// Which property.
    pub property: &'static str,
    /// What the cloth looked for has.
    pub wanted: String,
    /// What the candidate has.
    pub found: String,
    /// How far apart, in tolerances.
    pub tolerances: f64,
    /// Share in the square of the distance, 0 to 1.
    pub share: f64,
}

/// Ranks the cloths of `others` for the cloth of `piece` in this role (on this component, where one is named), by its
/// latest record. Cloths of the same piece are left out, and so are threads and cords where a cloth is looked for.
///
/// # Errors
/// A sentence that names the cloths there are, if the piece has none such or several.
pub fn nearest(
    piece: &PieceFile,
    role: &str,
    component: Option<&str>,
    others: &[PieceFile],
    vocabulary: &Vocabulary,
    tolerances: &Tolerances,
) -> Result<Nearest, String> {
    let of_piece = cloths(piece, vocabulary);
    let there = || {
        let names: Vec<String> = of_piece.iter().map(|(cloth, _)| cloth.place()).collect();
        if names.is_empty() { "none is recorded".to_owned() } else { format!("it has {}", names.join(", ")) }
    };
    let mut found = of_piece.iter().filter(|(cloth, _)| {
        alike(&cloth.role, role) && component.is_none_or(|component| alike(&cloth.component, component))
    });
    let (wanted, properties) = match (found.next(), found.next()) {
        (Some(one), None) => one,
        (None, _) => return Err(format!("{} has no cloth `{role}`; {}", piece.number(), there())),
        (Some(_), Some(_)) => {
            return Err(format!(
                "{} has several cloths `{role}`; say on which component: `collar: {role}`; {}",
                piece.number(),
                there()
            ));
        }
    };
    let judge = Judge { vocabulary, tolerances, scaling: None };
    let mut candidates = Vec::new();
    let mut without = 0;
    for other in others.iter().filter(|other| other.number() != piece.number()) {
        let alike = |(cloth, _): &(Cloth, _)| yarn(&cloth.role) == yarn(&wanted.role);
        for (cloth, aspects) in cloths(other, vocabulary).into_iter().filter(alike) {
            match candidate(cloth, properties, &aspects, &judge) {
                Some(candidate) => candidates.push(candidate),
                None => without += 1,
            }
        }
    }
    candidates.sort_by(|a, b| {
        b.enough.cmp(&a.enough).then(a.distance.total_cmp(&b.distance)).then(b.compared.cmp(&a.compared))
    });
    Ok(Nearest { wanted: wanted.clone(), properties: properties.len(), candidates, without })
}

impl Cloth {
    /// `collar: interlining`, or `shell` for the whole piece.
    fn place(&self) -> String {
        if self.component.is_empty() { self.role.clone() } else { format!("{}: {}", self.component, self.role) }
    }
}

fn yarn(role: &str) -> bool {
    role.contains("thread") || role.contains("cord")
}

/// The cloths of a piece, the latest value of each property, with those that have a part in the distance.
fn cloths<'a>(file: &'a PieceFile, vocabulary: &Vocabulary) -> Vec<(Cloth, Vec<Aspect<'a>>)> {
    let piece = &file.piece;
    let title = piece.title.as_ref().or(piece.object_name.as_ref());
    let cloth = |item: Item<'a>| {
        let mut aspects = item.aspects;
        aspects.retain(|aspect| !LEFT_OUT.contains(&aspect.name));
        let cloth = Cloth {
            number: file.number().into(),
            piece: title.cloned().unwrap_or_default(),
            component: item.component.into(),
            role: item.name.into(),
            name: item.variant.into(),
        };
        (cloth, aspects)
    };
    items(file, vocabulary).into_iter().filter(|item| item.section == Section::Cloth).map(cloth).collect()
}

fn candidate(cloth: Cloth, wanted: &[Aspect<'_>], found: &[Aspect<'_>], judge: &Judge<'_>) -> Option<Candidate> {
    let mut parts: Vec<Part> = wanted
        .iter()
        .filter_map(|ours| {
            let theirs = found.iter().find(|aspect| aspect.name == ours.name)?;
            let tolerances = apart(&ours.value, &theirs.value, judge)?;
            let (wanted, found) = (words(&ours.value), words(&theirs.value));
            Some(Part { property: ours.name, wanted, found, tolerances, share: 0.0 })
        })
        .collect();
    let squares: f64 = parts.iter().map(|part| part.tolerances.powi(2)).sum();
    let distance = (squares / parts.len() as f64).sqrt();
    if squares > 0.0 {
        parts.iter_mut().for_each(|part| part.share = part.tolerances.powi(2) / squares);
    }
    parts.sort_by(|a, b| b.tolerances.total_cmp(&a.tolerances));
    let enough = 2 * parts.len() >= wanted.len();
    distance.is_finite().then_some(Candidate { cloth, distance, compared: parts.len(), enough, parts })
}

fn words(value: &Value<'_>) -> String {
    match value {
        Value::Figure { estimate, measure, .. } => {
            super::value::with_uncertainty(estimate.value, estimate.u, measure.unit())
        }
        other => other.as_written().words().into_owned(),
    }
}

/// How far apart two values of one property are, in tolerances; none where that cannot be counted.
fn apart(a: &Value<'_>, b: &Value<'_>, with: &Judge<'_>) -> Option<f64> {
    let in_tolerances = |difference: f64, tolerance: f64| match () {
        () if difference == 0.0 => Some(0.0),
        // Without a tolerance (counts of plies) one step is one tolerance.
        () if tolerance <= 0.0 => Some(difference.abs()),
        () => Some(difference.abs() / tolerance),
    };
    if let (Value::Figure { estimate: x, measure, .. }, Value::Figure { estimate: y, .. }) = (a, b) {
        let tolerance = with.tolerances.of(*measure).between(x.value, y.value);
        return in_tolerances(x.value - y.value, tolerance);
    }
    match with.find(a, b, None).0 {
        Finding::Colour(figures) => in_tolerances(figures.de00, figures.tolerance),
        Finding::Term { relation } => match relation {
            Relation::Identical => Some(TERMS[0]),
            Relation::Broader | Relation::Narrower | Relation::Mixed => Some(TERMS[1]),
            Relation::Related { .. } => Some(TERMS[2]),
            Relation::Different => Some(TERMS[3]),
            Relation::OtherWords => None,
        },
        _ => None,
    }
}
