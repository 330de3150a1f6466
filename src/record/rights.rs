//! Rights: what others may do with a piece or a photograph, whose rights they are, and how to credit it.

use crate::vocabulary::{Scheme, Term, TermId, Vocabulary};

/// What is recorded of rights.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Rights {
    /// One of the vocabulary's statements: of rightsstatements.org, of Creative Commons, or of the collection's own.
    pub statement: Option<TermId>,
    /// Whose rights they are.
    pub holder: Option<String>,
    /// How to credit it.
    pub credit_line: Option<String>,
    /// What else is to be said, in words.
    pub words: Option<String>,
}

/// Why whoever publishes must think first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Caution {
    /// It is protected by copyright.
    InCopyright,
    /// Free of copyright, but bound by contract or other law, or free in one country alone.
    Restricted,
    /// Whether it is protected was not looked into, or not settled.
    NotSettled,
    /// The statement is the collection's own, and no list says what it allows.
    OwnStatement,
    /// Nothing is stated.
    NotStated,
}

impl Caution {
    /// In words, before a list of pieces.
    pub fn words(self) -> &'static str {
        match self {
            Self::InCopyright => "in copyright",
            Self::Restricted => "restricted by contract or law",
            Self::NotSettled => "rights not settled",
            Self::OwnStatement => "under a statement of your own",
            Self::NotStated => "no statement of rights",
        }
    }
}

impl Rights {
    /// Why whoever publishes must think first; none where a licence or mark of Creative Commons is stated, whose terms are to
    /// be kept all the same.
    pub fn caution(&self, vocabulary: &Vocabulary) -> Option<Caution> {
        let Some(term) = self.stated(vocabulary) else {
            return Some(if self.statement.is_some() { Caution::OwnStatement } else { Caution::NotStated });
        };
        match term.identifier.as_deref() {
            Some("CNE" | "UND" | "NKC") => Some(Caution::NotSettled),
            Some(of) if of.starts_with("InC") => Some(Caution::InCopyright),
            Some(of) if of.starts_with("NoC") => Some(Caution::Restricted),
            Some(of) if of.starts_with("CC") => None,
            _ => Some(Caution::OwnStatement),
        }
    }

    /// Whether nothing is recorded.
    pub fn is_blank(&self) -> bool {
        *self == Self::default()
    }

    /// The statement as the vocabulary has it, with its identifier and URI. Where none was chosen, and the words are the
    /// name, identifier or URI of one, that one: so records from before there was a list are understood.
    pub fn stated<'v>(&self, vocabulary: &'v Vocabulary) -> Option<&'v Term> {
        match &self.statement {
            Some(id) => vocabulary.get(id),
            None => self.words.as_deref().and_then(|words| vocabulary.known(Scheme::Rights, words)),
        }
    }

    /// The words, unless they only say again what the statement says.
    pub fn further(&self, vocabulary: &Vocabulary) -> Option<&str> {
        let words = self.words.as_deref()?;
        let stated = self.stated(vocabulary).map(|term| &term.id);
        let again = vocabulary.known(Scheme::Rights, words).is_some_and(|term| Some(&term.id) == stated);
        (!again).then_some(words)
    }

    /// All of it in one line: credit, holder, statement with its identifier and URI, further words. Blank if nothing is recorded.
    pub fn line(&self, vocabulary: &Vocabulary) -> String {
        let credit = self.credit_line.as_ref().map(|credit| credit.trim().to_owned());
        let parts = [credit, Some(self.without_credit(vocabulary))];
        parts.into_iter().flatten().filter(|part| !part.is_empty()).collect::<Vec<_>>().join("; ")
    }

    /// The same as short as a caption wants it: the statement by its identifier.
    pub fn caption(&self, vocabulary: &Vocabulary) -> String {
        let stated = self.stated(vocabulary);
        let name = stated.map(|term| term.identifier.as_deref().unwrap_or(term.name()));
        let name = name.or(self.statement.as_ref().map(TermId::name));
        let parts = [self.credit_line.as_deref(), self.holder.as_deref(), name, self.further(vocabulary)];
        let parts = parts.into_iter().flatten().map(str::trim).filter(|part| !part.is_empty());
        parts.collect::<Vec<_>>().join("; ")
    }

    /// The same without the credit, for pages that print it by itself.
    pub fn without_credit(&self, vocabulary: &Vocabulary) -> String {
        let holder = self.holder.as_ref().map(|holder| format!("rights: {}", holder.trim()));
        let statement = match (self.stated(vocabulary), &self.statement) {
            (Some(term), _) => {
                let known: Vec<&str> = [&term.identifier, &term.uri].into_iter().filter_map(|t| t.as_deref()).collect();
                Some(if known.is_empty() {
                    term.name().to_owned()
                } else {
                    format!("{} ({})", term.name(), known.join(", "))
                })
            }
            // A term of another catalogue.
            (None, Some(id)) => Some(id.name().to_owned()),
            (None, None) => None,
        };
        let further = self.further(vocabulary).map(|words| words.trim().to_owned());
        [holder, statement, further]
            .into_iter()
            .flatten()
            .filter(|part| !part.is_empty())
            .collect::<Vec<_>>()
            .join("; ")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_statement_is_found_by_its_term_or_by_the_words_that_name_it() {
        let vocabulary = Vocabulary::shipped();
        let words = |text: &str| Rights { words: Some(text.into()), ..Rights::default() };
        let stated = |rights: &Rights| rights.stated(vocabulary).and_then(|t| t.identifier.clone());
        for (text, found) in [
            ("http://rightsstatements.org/vocab/NoC-OKLR/1.0/", Some("NoC-OKLR")),
            ("https://rightsstatements.org/vocab/NoC-OKLR/1.0", Some("NoC-OKLR")),
            ("http://creativecommons.org/licenses/by/4.0/", Some("CC-BY-4.0")),
            ("cc by 4.0", Some("CC-BY-4.0")),
            ("In copyright; drawing not reproduced", None),
            ("", None),
        ] {
            assert_eq!(stated(&words(text)).as_deref(), found, "{text}");
        }
        let chosen = vocabulary.find(Scheme::Rights, "InC").expect("a statement").id.clone();
        let both = Rights { statement: Some(chosen), ..words("http://creativecommons.org/licenses/by/4.0/") };
        assert_eq!(stated(&both).as_deref(), Some("InC"), "what was chosen counts, not the words");
    }

    /// Every statement of rightsstatements.org 1.0 and every licence of Creative Commons in the list; the sort of each is what
    /// their own pages say of it.
    #[test]
    fn whoever_publishes_is_warned_of_all_that_is_not_plainly_licensed() {
        let vocabulary = Vocabulary::shipped();
        let mut told = Vec::new();
        for (caution, identifiers) in [
            (Some(Caution::InCopyright), "InC InC-OW-EU InC-EDU InC-NC InC-RUU"),
            (Some(Caution::Restricted), "NoC-CR NoC-NC NoC-OKLR NoC-US"),
            (Some(Caution::NotSettled), "CNE UND NKC"),
            (
                None,
                "CC0-1.0 CC-PDM-1.0 CC-BY-4.0 CC-BY-SA-4.0 CC-BY-ND-4.0 CC-BY-NC-4.0 CC-BY-NC-SA-4.0 CC-BY-NC-ND-4.0",
            ),
        ] {
            for identifier in identifiers.split(' ') {
                let term = vocabulary.find(Scheme::Rights, identifier).expect("a statement");
                let rights = Rights { statement: Some(term.id.clone()), ..Rights::default() };
                assert_eq!(rights.caution(vocabulary), caution, "{identifier}");
                told.push(term.id.clone());
            }
        }
        let forgotten: Vec<_> = vocabulary.terms(Scheme::Rights).filter(|t| !told.contains(&t.id)).collect();
        assert!(forgotten.is_empty(), "{forgotten:?}");
        let own = Rights { statement: Some(TermId::new(Scheme::Rights, "on loan")), ..Rights::default() };
        assert_eq!(own.caution(vocabulary), Some(Caution::OwnStatement));
        let words = Rights { words: Some("ask the maker".into()), ..Rights::default() };
        assert_eq!(words.caution(vocabulary), Some(Caution::NotStated));
    }

    #[test]
    fn a_line_says_each_thing_once() {
        let vocabulary = Vocabulary::shipped();
        let rights = Rights {
            holder: Some("Ilse Varnholt".into()),
            credit_line: Some("Gift of the Askerdale family".into()),
            words: Some("http://rightsstatements.org/vocab/InC/1.0/".into()),
            ..Rights::default()
        };
        assert_eq!(
            rights.line(vocabulary),
            "Gift of the Askerdale family; rights: Ilse Varnholt; In Copyright (InC, http://rightsstatements.org/vocab/InC/1.0/)"
        );
        assert_eq!(rights.caption(vocabulary), "Gift of the Askerdale family; Ilse Varnholt; InC");
        assert_eq!(Rights::default().line(vocabulary), "");
        let own = Rights { statement: Some(TermId::new(Scheme::Rights, "on loan")), ..Rights::default() };
        assert_eq!(own.line(vocabulary), "on loan");
    }
}
