//! The cloths of other pieces ranked for one of a piece.

use super::NotPrinted;
use crate::analysis::comparison::{Nearest, Tolerances, nearest};
use crate::catalogue::Catalogue;

/// The cloths of the others, nearest first; where there are none, those of every piece that is not extant. `cloth` is a role
/// (`shell`), or component and role (`collar: interlining`).
///
/// # Errors
/// If there is no such piece or no such cloth.
pub fn cloths(
    catalogue: &Catalogue,
    subject: &str,
    cloth: &str,
    others: &[String],
    tolerances: &Tolerances,
) -> Result<Nearest, NotPrinted> {
    let piece = catalogue.piece(subject)?;
    let (component, role) = match cloth.rsplit_once(':') {
        Some((component, role)) => (Some(component.trim()), role.trim()),
        None => (None, cloth.trim()),
    };
    let numbers: Vec<String> = if others.is_empty() {
        catalogue.list()?.into_iter().filter(|line| line.nature != "extant").map(|line| line.number).collect()
    } else {
        others.to_vec()
    };
    let others = numbers.iter().map(|n| catalogue.piece(n)).collect::<Result<Vec<_>, _>>()?;
    nearest(&piece, role, component, &others, catalogue.vocabulary(), tolerances).map_err(NotPrinted::Refused)
}

/// What the columns of [`cloth_rows`] are called.
pub const CLOTH_HEADINGS: [&str; 12] = [
    "piece",
    "component",
    "role",
    "cloth",
    "distance",
    "properties compared",
    "of",
    "property",
    "wanted",
    "found",
    "in tolerances",
    "share",
];

/// A row a property of each cloth.
pub fn cloth_rows(found: &Nearest) -> Vec<Vec<String>> {
    let mut rows = Vec::new();
    for c in &found.candidates {
        for part in &c.parts {
            let cloth = [&c.cloth.number, &c.cloth.component, &c.cloth.role, &c.cloth.name].map(Clone::clone);
            let figures = [c.distance.to_string(), c.compared.to_string(), found.properties.to_string()];
            let words = [part.property.to_owned(), part.wanted.clone(), part.found.clone()];
            let shares = [part.tolerances.to_string(), part.share.to_string()];
            rows.push(cloth.into_iter().chain(figures).chain(words).chain(shares).collect());
        }
    }
    rows
}
