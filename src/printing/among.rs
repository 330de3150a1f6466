//! A piece among others: the set that a search gives, and its features.

use super::NotPrinted;
use crate::analysis::comparison::Features;
use crate::analysis::corpus::{Asked, Corpus, corpus};
use crate::catalogue::Catalogue;

/// What is asked for.
#[derive(Debug, Clone, Copy)]
pub struct Among<'a> {
    /// The set, in the language of searches.
    pub set: &'a str,
    /// Accession number of the piece that is placed in it and left out of it; none shows the set alone.
    pub piece: Option<&'a str>,
    /// Only features whose name holds these words.
    pub feature: &'a str,
    /// Whether a feature is taken together from whatever component it is recorded on.
    pub any_component: bool,
}

impl Among<'_> {
    /// Looks whether it can be asked, before anything is worked out.
    ///
    /// # Errors
    /// As [`among`] has it.
    pub fn look(&self, catalogue: &Catalogue) -> Result<(), NotPrinted> {
        catalogue.query(self.set)?;
        self.piece.map(|number| catalogue.is_there(number)).transpose()?;
        Ok(())
    }
}

/// Works out the set, feature by feature, and hands it on with the search as it was read.
///
/// # Errors
/// If the search cannot be read, or there is no such piece; and what `then` says.
pub fn among<T, E: From<NotPrinted>>(
    catalogue: &Catalogue,
    asked: &Among<'_>,
    then: impl FnOnce(&Corpus<'_>, &str) -> Result<T, E>,
) -> Result<T, E> {
    let fault = |fault| E::from(NotPrinted::Fault(fault));
    let vocabulary = catalogue.vocabulary();
    let query = catalogue.query(asked.set).map_err(fault)?;
    let subject = asked.piece.map(|number| catalogue.piece(number)).transpose().map_err(fault)?;
    let members = catalogue.members(&query).map_err(fault)?;
    let set = members.iter().map(|n| catalogue.piece(n)).collect::<Result<Vec<_>, _>>().map_err(fault)?;
    let subject = subject.as_ref().map(|file| Features::of(file, vocabulary));
    let found = Asked {
        subject: subject.as_ref(),
        years: query.years(),
        feature: asked.feature,
        any_component: asked.any_component,
    };
    then(&corpus(&Features::all(&set, vocabulary), found, vocabulary), &query.to_string())
}
