//! Marks of doubt around a date, and what is said to have happened then: `c.`, `probably`, `?`, `woven`.

use super::{
    token::Token,
    words::{Act, Word},
};

/// Doubt marked around the years. `circa` widens a single year; the rest is kept for EDTF alone.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) struct Doubt {
    pub(super) circa: bool,
    pub(super) uncertain: bool,
}

impl Doubt {
    pub(super) fn mark(self) -> &'static str {
        match (self.circa, self.uncertain) {
            (true, true) => "%",
            (true, false) => "~",
            (false, true) => "?",
            (false, false) => "",
        }
    }

    pub(super) fn and(self, other: Doubt) -> Doubt {
        Doubt { circa: self.circa || other.circa, uncertain: self.uncertain || other.uncertain }
    }
}

/// What stands around the years.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Around {
    pub(super) doubt: Doubt,
    /// What was done, and the bytes of the words that say so.
    pub(super) act: Option<(Act, usize, usize)>,
}

/// The phrase without the marks and verbs around it.
pub(super) fn marks(phrase: &[Token]) -> (&[Token], Around) {
    let (mut core, mut around) = (phrase, Around::default());
    while let Some((first, rest)) = core.split_first() {
        match first.word {
            Word::Circa => around.doubt.circa = true,
            Word::Uncertain | Word::Query => around.doubt.uncertain = true,
            Word::Verb(act) => {
                let (_, from, _) = around.act.unwrap_or((act, first.at, first.end));
                around.act = Some((act, from, first.end));
            }
            // `first published`, `designed and made`.
            Word::Ordinal(1) | Word::And | Word::Loose | Word::Slash
                if matches!(rest.first(), Some(Token { word: Word::Verb(_), .. })) => {}
            Word::Loose => {}
            // `signed and dated 1850`
            Word::And if around.act.is_some() => {}
            _ => break,
        }
        core = rest;
    }
    while let Some((last, rest)) = core.split_last() {
        match last.word {
            Word::Query | Word::Uncertain => around.doubt.uncertain = true,
            // `1936 design`
            Word::Verb(act) if around.act.is_none() => around.act = Some((act, last.at, last.end)),
            Word::Circa if matches!(rest.last(), Some(Token { word: Word::Figure(..), .. })) => {
                around.doubt.circa = true;
            }
            _ => break,
        }
        core = rest;
    }
    (core, around)
}
