//! The collection on one page.

use super::NotPrinted;
use crate::catalogue::{Catalogue, Line};
use crate::report::IndexEntry;

/// Every piece in a line; `links` gives the reports that lie beside the page, each with its name.
///
/// # Errors
/// If the database refuses.
pub fn index(
    catalogue: &Catalogue,
    links: impl Fn(&str) -> Vec<(String, String)>,
) -> Result<Vec<IndexEntry>, NotPrinted> {
    let entry = |line: Line| IndexEntry {
        links: links(&line.number),
        number: line.number,
        nature: line.nature,
        object_name: line.object_name,
        garment: line.garment,
        title: line.title,
        date: line.date,
        earliest: line.earliest,
        latest: line.latest,
        location: line.location,
        grade: line.grade,
        fibres: line.fibres,
        thumbnail: line.photograph,
    };
    Ok(catalogue.list()?.into_iter().map(entry).collect())
}
