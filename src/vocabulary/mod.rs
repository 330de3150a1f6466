//! The words of the trade: one list of terms a scheme, each term with a definition and a source.
//!
//! The lists are readable files in `schema/vocabulary`, built into the program; a catalogue may add
//! terms of its own with [`Vocabulary::with_local`]. A written word is found whatever its case,
//! spacing and hyphens, by name or by another spelling; a word that is no term is answered with the
//! nearest ones.
//!
//! ```
//! use dimity::vocabulary::{Scheme, Vocabulary};
//! let words = Vocabulary::shipped();
//! assert_eq!(words.find(Scheme::Fibre, "Flax").unwrap().name(), "linen");
//! let error = words.find(Scheme::Fibre, "lnen").unwrap_err();
//! assert_eq!(error.to_string(), "`lnen` is no fibre; did you mean `linen`?");
//! ```

mod file;
mod scheme;
mod side;
mod term;
mod unknown;
mod wording;

use std::collections::HashMap;
use std::sync::OnceLock;

use sha2::{Digest, Sha256};

pub use file::parse_scheme;
pub use scheme::Scheme;
pub use side::Side;
pub use term::{Term, TermId};
pub use unknown::UnknownTerm;
pub use wording::{WORDED, Wording};

use crate::digest::hex;
use unknown::folded;

/// All terms known to one catalogue: the shipped lists and its own additions.
#[derive(Clone, Debug, Default)]
pub struct Vocabulary {
    terms: Vec<Term>,
    /// Each term's place in `terms`.
    places: HashMap<TermId, usize>,
    /// Scheme and folded spelling to the place in `terms`.
    spellings: HashMap<(Scheme, String), usize>,
    /// The collection's own wordings, in the order in which they were entered.
    wordings: Vec<Wording>,
}

/// How one term stands to another, told from the first.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Relation {
    /// The same term.
    Same,
    /// The first is the wider term: `silk` to `tussah silk`.
    Broader,
    /// The first is a kind of the second: `tussah silk` to `silk`.
    Narrower,
    /// Both are kinds of `common`, the nearest term wider than both.
    Related {
        /// The nearest shared wider term.
        common: TermId,
    },
    /// Nothing in the lists joins them.
    Different,
}

impl Vocabulary {
    /// The lists built into the program.
    pub fn shipped() -> &'static Self {
        static SHIPPED: OnceLock<Vocabulary> = OnceLock::new();
        SHIPPED.get_or_init(|| {
            let mut vocabulary = Self::default();
            for scheme in Scheme::ALL {
                // A test reads every file, so a list that does not parse never ships.
                vocabulary.extend(parse_scheme(scheme.shipped_text()).unwrap_or_default());
            }
            vocabulary
        })
    }

    /// These terms and a catalogue's own. A local term never takes over a name or spelling that is
    /// already in use: the shipped meaning stands, so that records of two catalogues can be compared.
    #[must_use]
    pub fn with_local(&self, terms: Vec<Term>) -> Self {
        let mut vocabulary = self.clone();
        vocabulary.extend(terms.into_iter().map(|term| Term { local: true, ..term }));
        vocabulary
    }

    fn extend(&mut self, terms: impl IntoIterator<Item = Term>) {
        for term in terms {
            let scheme = term.id.scheme();
            let name = (scheme, folded(term.name()));
            if self.spellings.get(&name).is_some_and(|&at| folded(self.terms[at].name()) == name.1) {
                continue;
            }
            let place = self.terms.len();
            for spelling in term.spellings().skip(1) {
                self.spellings.entry((scheme, folded(spelling))).or_insert(place);
            }
            // A name beats another term's mere spelling, unless that is a shipped one and this is not.
            let kept = self
                .spellings
                .get(&name)
                .is_some_and(|&at| self.terms.get(at).is_some_and(|other| term.local && !other.local));
            if !kept {
                self.spellings.insert(name, place);
            }
            self.places.entry(term.id.clone()).or_insert(place);
            self.terms.push(term);
        }
    }

    /// The term with this id.
    pub fn get(&self, id: &TermId) -> Option<&Term> {
        self.places.get(id).and_then(|&at| self.terms.get(at))
    }

    /// The term written as `text`: by name, by another spelling, or by whole id. Case, spacing,
    /// hyphens and apostrophes do not matter.
    ///
    /// # Errors
    /// [`UnknownTerm`], naming up to three terms that are spelled alike.
    pub fn find(&self, scheme: Scheme, text: &str) -> Result<&Term, UnknownTerm> {
        let name = text.trim().strip_prefix(scheme.key()).and_then(|rest| rest.strip_prefix('/'));
        self.spelled(scheme, &folded(name.unwrap_or(text)))
            .or_else(|| self.spelled(scheme, &folded(text)))
            .ok_or_else(|| UnknownTerm::new(scheme, text, self.terms(scheme)))
    }

    /// The same, where it does not matter what else could have been meant.
    pub fn known(&self, scheme: Scheme, text: &str) -> Option<&Term> {
        self.spelled(scheme, &folded(text))
    }

    /// The terms of a scheme one spelling of which begins as `text` does: those named so first.
    pub fn beginning(&self, scheme: Scheme, text: &str) -> Vec<&Term> {
        let sought = folded(text);
        if sought.is_empty() {
            return Vec::new();
        }
        let begins = |spelling: &str| folded(spelling).starts_with(&sought);
        let (named, also): (Vec<_>, Vec<_>) =
            self.terms(scheme).filter(|term| term.spellings().any(begins)).partition(|term| begins(term.name()));
        named.into_iter().chain(also).collect()
    }

    fn spelled(&self, scheme: Scheme, folded: &str) -> Option<&Term> {
        self.spellings.get(&(scheme, folded.to_owned())).and_then(|&at| self.terms.get(at))
    }

    /// The terms of a scheme, in the order of its file, local ones last.
    pub fn terms(&self, scheme: Scheme) -> impl Iterator<Item = &Term> {
        self.terms.iter().filter(move |term| term.id.scheme() == scheme)
    }

    /// How `a` stands to `b`. Terms of different schemes, and ids no list holds, are different
    /// (unless they are one and the same).
    pub fn relation(&self, a: &TermId, b: &TermId) -> Relation {
        if a == b {
            return Relation::Same;
        }
        let (above_a, above_b) = (self.wider(a), self.wider(b));
        if above_b.contains(&a) {
            Relation::Broader
        } else if above_a.contains(&b) {
            Relation::Narrower
        } else if let Some(common) = above_a.into_iter().find(|wider| above_b.contains(wider)) {
            Relation::Related { common: common.clone() }
        } else {
            Relation::Different
        }
    }

    /// This term and every term that is a kind of it, in the order of the list.
    pub fn with_narrower(&self, id: &TermId) -> Vec<TermId> {
        let kinds = self.terms(id.scheme()).map(|term| &term.id).filter(|t| *t != id && self.wider(t).contains(&id));
        std::iter::once(id).chain(kinds).cloned().collect()
    }

    /// The wider terms of `id`, nearest first. A circle, which only local terms could draw, ends the walk.
    pub fn wider<'a>(&'a self, id: &TermId) -> Vec<&'a TermId> {
        let mut above: Vec<&TermId> = Vec::new();
        let mut next = self.get(id).and_then(|term| term.broader.as_ref());
        while let Some(wider) = next.filter(|wider| *wider != id && !above.contains(wider)) {
            above.push(wider);
            next = self.get(wider).and_then(|term| term.broader.as_ref());
        }
        above
    }

    /// Eight hexadecimal digits that change whenever a shipped list does; a record that states it
    /// says which definitions were in force.
    pub fn version(&self) -> String {
        let mut hasher = Sha256::new();
        for scheme in Scheme::ALL {
            hasher.update(scheme.shipped_text().as_bytes());
        }
        hex(&hasher.finalize()[..4])
    }
}
