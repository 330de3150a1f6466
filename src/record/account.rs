//! Who may do what at the workbench.

use serde::Serialize;

/// What a person may do; each role may do what those before it may.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Role {
    /// Look, search and print.
    Read,
    /// Enter pieces, examinations and photographs, and correct what was observed.
    Examine,
    /// Change facts of a piece, seal reports, decide for the collection.
    #[default]
    Keep,
}

impl Role {
    /// All roles, the least first.
    pub const ALL: [Self; 3] = [Self::Read, Self::Examine, Self::Keep];

    /// The word by which tables, command line and pages know it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Read => "read",
            Self::Examine => "examine",
            Self::Keep => "keep",
        }
    }

    /// What it allows, in words.
    pub fn may(self) -> &'static str {
        match self {
            Self::Read => "look and print",
            Self::Examine => "enter pieces, examinations and photographs, correct observations",
            Self::Keep => "everything",
        }
    }

    /// The role of this word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|role| role.word() == word)
    }
}

/// A person with an account, without the password.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Account {
    /// The name that stands in the journal.
    pub name: String,
    /// What they may do.
    pub role: Role,
}
