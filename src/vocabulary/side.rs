//! `left front`, `right sleeve lining`: the side taken off a component's name, and the part that is left.

use std::fmt;

use super::unknown::folded;
use super::{Scheme, Term, Vocabulary};

/// Which side of the piece, as worn: the wearer's left, not the viewer's.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Debug)]
pub enum Side {
    /// The wearer's left.
    Left,
    /// The wearer's right.
    Right,
    /// On the centre line, front or back.
    Centre,
}

/// As written in a record: `left`, `right`, `centre`.
impl fmt::Display for Side {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Left => "left",
            Self::Right => "right",
            Self::Centre => "centre",
        })
    }
}

impl Vocabulary {
    /// Splits a component's name into its side and the component term it contains.
    ///
    /// The term is the longest run of words that is one; of equally long runs the last, which in
    /// English is the head word: `left sleeve lining` is a `sleeve lining` if that is a term, else a
    /// `lining`. The side may stand anywhere, and the first side word counts. Numbers
    /// (`bone channel 3`) and a plural `s` do not matter. Either answer may be missing.
    pub fn component_side(&self, name: &str) -> (Option<Side>, Option<&Term>) {
        let lower = name.to_lowercase();
        let mut words: Vec<&str> = lower.split(|c: char| !c.is_alphanumeric() && !matches!(c, '\'' | '’')).collect();
        words.retain(|word| !word.is_empty());
        let side = words.iter().enumerate().find_map(|(at, word)| Some((at, side(word)?)));
        if let Some((at, _)) = side {
            words.remove(at);
        }
        (side.map(|(_, side)| side), self.longest_part(&words))
    }

    fn longest_part(&self, words: &[&str]) -> Option<&Term> {
        // A component's name is short; no term has more than five words.
        let words = &words[..words.len().min(16)];
        (1..=words.len().min(5)).rev().find_map(|length| words.windows(length).rev().find_map(|run| self.part(run)))
    }

    fn part(&self, words: &[&str]) -> Option<&Term> {
        let run = words.concat();
        let spelled = |text: &str| self.spelled(Scheme::Component, &folded(text));
        spelled(&run).or_else(|| run.strip_suffix('s').and_then(spelled))
    }
}

fn side(word: &str) -> Option<Side> {
    match word {
        "left" | "l" => Some(Side::Left),
        "right" | "r" => Some(Side::Right),
        "centre" | "center" => Some(Side::Centre),
        _ => None,
    }
}
