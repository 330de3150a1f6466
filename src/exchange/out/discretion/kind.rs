//! The kinds of what is left out, which of them are included all the same, and the count of what was not.

use std::collections::{BTreeMap, BTreeSet, HashSet};
use std::fmt::Write as _;

use crate::words::count;

/// A kind of what is left out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// Where the piece is.
    Location,
    /// Costs and values.
    Values,
    /// Names of people.
    People,
    /// Acquisition and provenance.
    Provenance,
    /// By what it would be known again.
    Distinguishing,
    /// Damage, hazards, care.
    Condition,
    /// Treatments and their photographs.
    Treatment,
    /// The maker's log.
    WorkLog,
    /// What file and camera say.
    Camera,
    /// Notes and interpretations.
    Notes,
    /// Pieces outside the export.
    OtherPieces,
    /// The row of an old list that the piece was read from, as it was kept; never included.
    OldList,
    /// What was agreed to, by whom; never included.
    Consent,
    /// Where a photograph was taken; never included.
    Position,
    /// What nobody has decided on; never included.
    Undecided,
}

impl Kind {
    /// The kinds that can be included, with the line that tells what each is.
    pub const CAN_BE_INCLUDED: &[(Self, &str)] = &[
        (Self::Location, "where the piece lies or lay, what holds it, where it was shown"),
        (Self::Values, "what something cost or is worth"),
        (Self::People, "names of donors, owners, wearers, examiners, photographers"),
        (Self::Provenance, "acquisition and provenance"),
        (Self::Distinguishing, "what tells the piece from others of its kind, as the police would ask after a theft"),
        (Self::Condition, "damage, the state of the whole, hazards, decisions about care"),
        (Self::Treatment, "treatments and their photographs; never the consent"),
        (Self::WorkLog, "the maker's work log"),
        (Self::Camera, "what file and camera say of a photograph; never its GPS position"),
        (Self::Notes, "notes, interpretations, circumstances of examinations"),
        (Self::OtherPieces, "numbers of pieces that are not in the export, and parts of them outlined on photographs"),
    ];

    /// The word for it, as the option and the list of what was left out spell it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Location => "location",
            Self::Values => "values",
            Self::People => "people",
            Self::Provenance => "provenance",
            Self::Distinguishing => "distinguishing",
            Self::Condition => "condition",
            Self::Treatment => "treatment",
            Self::WorkLog => "work-log",
            Self::Camera => "camera",
            Self::Notes => "notes",
            Self::OtherPieces => "other-pieces",
            Self::OldList => "old-list",
            Self::Consent => "consent",
            Self::Position => "GPS position",
            Self::Undecided => "undecided",
        }
    }

    /// The kind that this word includes.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::CAN_BE_INCLUDED.iter().map(|(kind, _)| *kind).find(|kind| kind.word() == word)
    }

    /// Whether it can be included at all.
    pub fn can_be_included(self) -> bool {
        Self::CAN_BE_INCLUDED.iter().any(|(kind, _)| *kind == self)
    }
}

/// What is included although it is left out by default, and which pieces are published.
#[derive(Debug, Clone, Default)]
pub struct Terms {
    included: BTreeSet<Kind>,
    pub(super) published: HashSet<String>,
}

impl Terms {
    /// These kinds are included, as far as they can be; `published` are the numbers of the pieces in the export.
    pub fn new(included: &[Kind], published: impl IntoIterator<Item = String>) -> Self {
        let included = included.iter().copied().filter(|k| k.can_be_included()).collect();
        Self { included, published: published.into_iter().collect() }
    }

    pub(super) fn includes(&self, kind: Kind) -> bool {
        self.included.contains(&kind)
    }
}

/// What was left out: how many filled-in fields, by kind and by name.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct LeftOut(BTreeMap<(Kind, String), usize>);

impl LeftOut {
    pub(super) fn count(&mut self, kind: Kind, what: &str) {
        *self.0.entry((kind, what.to_owned())).or_default() += 1;
    }

    /// Adds what was left out of another piece.
    pub fn add(&mut self, other: Self) {
        for (key, n) in other.0 {
            *self.0.entry(key).or_default() += n;
        }
    }

    /// How many fields of each kind, kinds in their order.
    pub fn by_kind(&self) -> BTreeMap<Kind, usize> {
        let mut sums = BTreeMap::new();
        for ((kind, _), n) in &self.0 {
            *sums.entry(*kind).or_default() += n;
        }
        sums
    }

    /// The whole list as a page of text. It names fields and counts, and nothing of what stands in them.
    pub fn page(&self, pieces: usize) -> String {
        let mut page = format!(
            "What was left out of this export ({}): fields that are filled in at home, counted.\n\
             `--with KIND` includes a kind. GPS positions, consents, the rows of old lists as they were kept and fields that \
             nobody has\ndecided on never leave; nor do the original photographs, the journal, accounts, sealed pages and \
             drafts. What was read from\nan old list into a field is published or left out as that field is.\n",
            count(pieces, "piece")
        );
        if self.0.is_empty() {
            page.push_str("\nnothing\n");
        }
        for (kind, sum) in self.by_kind() {
            let _ = writeln!(page, "\n{} {sum}", kind.word());
            for ((_, what), n) in self.0.iter().filter(|((k, _), _)| *k == kind) {
                let _ = writeln!(page, "  {what} {n}");
            }
        }
        page
    }
}
