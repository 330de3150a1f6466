//! Cloth: yarn numbers, twist, sett, cover, mass, weave, and the facts about fibres. Pure: figures in, figures out.
//!
//! A result that comes from measured figures carries its standard uncertainty, propagated to first order (GUM 5.1.2).

pub mod cover;
pub mod evidence;
pub mod fibre;
pub mod mass;
pub mod sett;
pub mod twist;
pub mod weave;
pub mod yarn;

/// Where a formula, a limit or a fact comes from, so that a report does not lean on what nobody has checked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Mark {
    /// Read in a published source.
    Read,
    /// Worked out, and seen to agree with a reference library.
    Computed,
    /// From memory: to be looked up before anything rests on it.
    Memory,
    /// Common practice of the trade, without a source.
    Practice,
}

impl Mark {
    /// In words, for print.
    pub fn words(self) -> &'static str {
        match self {
            Mark::Read => "read in the source",
            Mark::Computed => "worked out",
            Mark::Memory => "from memory",
            Mark::Practice => "common practice, no source",
        }
    }

    /// The mark written as in the table of facts: `read`, `computed`, `memory`, `practice`.
    pub fn named(name: &str) -> Option<Mark> {
        match name {
            "read" => Some(Mark::Read),
            "computed" => Some(Mark::Computed),
            "memory" => Some(Mark::Memory),
            "practice" => Some(Mark::Practice),
            _ => None,
        }
    }
}
