//! Which pieces an export is of.

use super::NotMade;
use crate::catalogue::Catalogue;
use crate::record::accession::sort_key;

/// Pieces by their numbers, and those that a search finds; all if neither is given.
#[derive(Debug, Clone, Default)]
pub struct Which {
    /// Accession numbers.
    pub numbers: Vec<String>,
    /// A search.
    pub of: Option<String>,
}

impl Which {
    /// Whether nothing was chosen, and so all pieces are meant.
    pub fn is_all(&self) -> bool {
        self.numbers.is_empty() && self.of.is_none()
    }

    /// The numbers of the pieces that were chosen; none if nothing was, and so everything is meant.
    pub(super) fn some(&self, catalogue: &Catalogue) -> Result<Option<Vec<String>>, NotMade> {
        if self.is_all() { Ok(None) } else { self.chosen(catalogue).map(Some) }
    }

    /// The numbers of the pieces, each once, in the order of the numbers. Withdrawn ones are in only by number.
    pub(super) fn chosen(&self, catalogue: &Catalogue) -> Result<Vec<String>, NotMade> {
        let mut chosen = match &self.of {
            Some(query) => catalogue.members(&catalogue.query(query)?)?,
            None if self.numbers.is_empty() => catalogue.numbers()?,
            None => Vec::new(),
        };
        for number in &self.numbers {
            catalogue.is_there(number)?;
            chosen.push(number.clone());
        }
        chosen.sort_by_cached_key(|number| sort_key(number));
        chosen.dedup();
        if chosen.is_empty() { Err(NotMade::NoPiece) } else { Ok(chosen) }
    }
}
