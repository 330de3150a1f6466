//! The collection's own wording of a term, and which wording was in force on a day. Apart from the lists, because a
//! wording has a day and a term has none.

use std::borrow::Cow;
use std::fmt::Write as _;

use jiff::civil::Date;
use sha2::{Digest, Sha256};

use super::{Scheme, TermId, Vocabulary};
use crate::digest::hex;

/// The schemes whose terms a collection may word for itself: the words by which it judges a piece.
pub const WORDED: [Scheme; 6] =
    [Scheme::Grade, Scheme::Stability, Scheme::Urgency, Scheme::Severity, Scheme::Activity, Scheme::Damage];

/// A collection's own definition of a term, from a day on.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Wording {
    /// The term.
    pub term: TermId,
    /// The first day on which it holds.
    pub since: Date,
    /// The day on which it was entered, which may be a later one.
    pub entered: Date,
    /// The definition; none: the shipped one holds again.
    pub definition: Option<String>,
    /// Where it is written, or who decided it.
    pub source: String,
}

impl Vocabulary {
    /// The same terms with the collection's own wordings, in the order in which they were entered.
    #[must_use]
    pub fn with_wordings(mut self, wordings: Vec<Wording>) -> Self {
        self.wordings = wordings;
        self
    }

    /// The wordings of a term, in the order in which they were entered.
    pub fn wordings<'a>(&'a self, term: &'a TermId) -> impl DoubleEndedIterator<Item = &'a Wording> {
        self.wordings.iter().filter(move |w| w.term == *term)
    }

    /// The wording in force on a day: the one with the latest first day up to then, and of those the one entered last.
    /// None where the shipped definition was in force.
    pub fn wording_on<'a>(&'a self, term: &'a TermId, day: Date) -> Option<&'a Wording> {
        // `max_by_key` gives the last of several greatest.
        self.wordings(term).filter(|w| w.since <= day).max_by_key(|w| w.since).filter(|w| w.definition.is_some())
    }

    /// The vocabulary as it was in force on a day: the definitions are those that a person looking that day went by. A
    /// source says that the wording is the collection's own, since when, and whether it was entered only afterwards.
    pub fn on(&self, day: Date) -> Cow<'_, Self> {
        if self.wordings.is_empty() {
            return Cow::Borrowed(self);
        }
        let mut then = self.clone();
        for term in &mut then.terms {
            let id = term.id.clone();
            if let Some(wording) = self.wording_on(&id, day)
                && let Some(definition) = &wording.definition
            {
                term.definition.clone_from(definition);
                let late = if wording.entered > day { format!(", entered {}", wording.entered) } else { String::new() };
                term.own_wording = Some(format!("the collection’s own wording since {}{late}", wording.since));
                term.source.clone_from(&wording.source);
            }
        }
        Cow::Owned(then)
    }

    /// Eight hexadecimal digits that change whenever a term or wording of the collection's own does; `none` if there
    /// are none. With [`Vocabulary::version`] it says which definitions were in force.
    pub fn definitions(&self) -> String {
        let own = self.terms.iter().filter(|t| t.local);
        let mut text = String::new();
        for term in own {
            let _ = writeln!(text, "{}\t{}\t{}", term.id.as_str(), term.definition, term.source);
        }
        for w in &self.wordings {
            let definition = w.definition.as_deref().unwrap_or_default();
            let _ = writeln!(text, "{}\t{}\t{definition}\t{}", w.term.as_str(), w.since, w.source);
        }
        if text.is_empty() {
            return "none".into();
        }
        hex(&Sha256::digest(text.as_bytes())[..4])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    fn wording(since: Date, definition: Option<&str>) -> Wording {
        Wording {
            term: TermId::new(Scheme::Grade, "good"),
            since,
            entered: date(2021, 1, 1),
            definition: definition.map(Into::into),
            source: "house rules".into(),
        }
    }

    #[test]
    fn the_wording_of_a_day_is_the_latest_that_had_begun() {
        let entered = vec![
            wording(date(2020, 1, 1), Some("first")),
            wording(date(2022, 1, 1), Some("third")),
            wording(date(2021, 1, 1), Some("second, entered late")),
            wording(date(2023, 1, 1), None),
            wording(date(2024, 1, 1), Some("mistyped")),
            wording(date(2024, 1, 1), Some("fourth")),
        ];
        let words = Vocabulary::shipped().clone().with_wordings(entered);
        let id = TermId::new(Scheme::Grade, "good");
        let shipped = Vocabulary::shipped().get(&id).expect("shipped").definition.as_str();
        for (day, definition) in [
            (date(2019, 12, 31), shipped),
            (date(2020, 1, 1), "first"),
            (date(2020, 12, 31), "first"),
            (date(2021, 1, 1), "second, entered late"),
            (date(2022, 6, 1), "third"),
            (date(2023, 6, 1), shipped),
            (date(2030, 1, 1), "fourth"),
        ] {
            assert_eq!(words.on(day).get(&id).expect("there").definition, definition, "{day}");
        }
        let then = words.on(date(2020, 6, 1));
        let own = |t: &Vocabulary, id| t.get(id).and_then(|t| t.own_wording.clone()).unwrap_or_default();
        assert_eq!(own(&then, &id), "the collection’s own wording since 2020-01-01, entered 2021-01-01");
        assert_eq!(own(&words.on(date(2021, 1, 1)), &id), "the collection’s own wording since 2021-01-01");
        assert_eq!(own(&then, &TermId::new(Scheme::Grade, "fair")), "", "another term keeps its own");
    }

    #[test]
    fn the_version_of_the_definitions_follows_every_own_word() {
        let shipped = Vocabulary::shipped();
        assert_eq!(shipped.definitions(), "none");
        let of = |w: Wording| shipped.clone().with_wordings(vec![w]).definitions();
        let day = date(2020, 1, 1);
        let all = [
            of(wording(day, Some("a"))),
            of(wording(day, Some("b"))),
            of(wording(day, None)),
            of(wording(date(2020, 1, 2), Some("a"))),
            of(Wording { source: "other".into(), ..wording(day, Some("a")) }),
        ];
        let different: std::collections::HashSet<_> = all.iter().collect();
        assert_eq!(different.len(), all.len(), "{all:?}");
        assert!(all.iter().all(|v| v.len() == 8), "{all:?}");
        assert_eq!(shipped.version(), shipped.clone().with_wordings(vec![wording(day, None)]).version());
    }
}
