//! The kinds of what is left out, what is let out of them, and the count of what was not.

use std::collections::{BTreeMap, BTreeSet, HashSet};
use std::fmt::Write as _;

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
    Features,
    /// Damage, hazards, care.
    Condition,
    /// Treatments and their photographs.
    Treatment,
    /// The maker's log.
    Work,
    /// What file and camera say.
    Capture,
    /// Notes and interpretations.
    Notes,
    /// Pieces outside the export.
    Others,
    /// What was agreed to, by whom; never let out.
    Consent,
    /// Where a photograph was taken; never let out.
    Position,
    /// What nobody has decided on; never let out.
    Undecided,
}

impl Kind {
    /// The kinds that can be let out, with the line that tells what each is.
    pub const CAN_BE_LET_OUT: &[(Self, &str)] = &[
        (Self::Location, "where the piece lies or lay, what holds it, where it was shown"),
        (Self::Values, "what something cost or is worth"),
        (Self::People, "names of donors, owners, wearers, examiners, photographers"),
        (Self::Provenance, "acquisition and provenance"),
        (Self::Features, "what tells the piece from others of its kind, as the police would ask after a theft"),
        (Self::Condition, "damage, the state of the whole, hazards, decisions about care"),
        (Self::Treatment, "treatments and their photographs; never the consent"),
        (Self::Work, "the maker's work log"),
        (Self::Capture, "what file and camera say of a photograph; never where it was taken"),
        (Self::Notes, "notes, interpretations, circumstances of examinations"),
        (Self::Others, "numbers of pieces that are not in the export"),
    ];

    /// The word for it, as the option and the list of what was left out spell it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Location => "location",
            Self::Values => "values",
            Self::People => "people",
            Self::Provenance => "provenance",
            Self::Features => "features",
            Self::Condition => "condition",
            Self::Treatment => "treatment",
            Self::Work => "work",
            Self::Capture => "capture",
            Self::Notes => "notes",
            Self::Others => "others",
            Self::Consent => "consent",
            Self::Position => "position",
            Self::Undecided => "undecided",
        }
    }

    /// The kind that this word lets out.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::CAN_BE_LET_OUT.iter().map(|(kind, _)| *kind).find(|kind| kind.word() == word)
    }

    /// Whether it can be let out at all.
    pub fn can_be_let_out(self) -> bool {
        Self::CAN_BE_LET_OUT.iter().any(|(kind, _)| *kind == self)
    }
}

/// What is let out although it is left out by default, and which pieces are published.
#[derive(Debug, Clone, Default)]
pub struct Terms {
    let_out: BTreeSet<Kind>,
    pub(super) published: HashSet<String>,
}

impl Terms {
    /// These kinds are let out, as far as they can be; `published` are the numbers of the pieces in the export.
    pub fn new(let_out: &[Kind], published: impl IntoIterator<Item = String>) -> Self {
        let let_out = let_out.iter().copied().filter(|k| k.can_be_let_out()).collect();
        Self { let_out, published: published.into_iter().collect() }
    }

    pub(super) fn lets_out(&self, kind: Kind) -> bool {
        self.let_out.contains(&kind)
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

    /// In one line: `left out: location 4, people 2`; that nothing was, where nothing was.
    pub fn line(&self) -> String {
        let sums: Vec<String> = self.by_kind().iter().map(|(kind, n)| format!("{} {n}", kind.word())).collect();
        if sums.is_empty() { "left out: nothing".into() } else { format!("left out: {}", sums.join(", ")) }
    }

    /// The whole list as a page of text. It names fields and counts, and nothing of what stands in them.
    pub fn page(&self, pieces: usize) -> String {
        let mut page = format!(
            "What was left out of this export ({pieces} piece{}): fields that are filled in at home, counted.\n\
             `--with KIND` lets a kind out. Positions, consents and fields that nobody has decided on never leave; nor do \
             the original\nphotographs, the journal, accounts, sealed pages and drafts.\n",
            if pieces == 1 { "" } else { "s" }
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
