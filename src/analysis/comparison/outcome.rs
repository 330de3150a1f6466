//! What a comparison gives: groups of lines, each with both sides as recorded and what can be said of them.

use std::borrow::Cow;

use jiff::civil::Date;
use serde::Serialize;
use serde::ser::{Serialize as Serialized, SerializeStruct, Serializer};

use super::basis::Basis;
use super::colour::ColourFigures;
use super::components::Pairing;
use super::decision::{Figures, Verdict};
use super::scaling::Scaling;
use super::sequence::Step;
use super::summary;
use super::value::{weakest, with_uncertainty};
use crate::measure::Quantity;
use crate::record::PieceFile;
use crate::vocabulary::TermId;

/// Two pieces, feature by feature. Words are those of the records, and are borrowed from them: a comparison lives no longer
/// than the pieces and the terms it was made with.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison<'a> {
    /// The piece that is compared.
    pub subject: Heading<'a>,
    /// The piece that it is compared with.
    pub other: Heading<'a>,
    /// How many features there are of each finding.
    pub counts: Counts,
    /// The features by group; groups without a line are left out.
    pub groups: Vec<Group<'a>>,
    /// The factors that brought the other piece to the size of the subject; none where both are compared as recorded.
    pub scaling: Option<Scaling>,
    /// One dimension by another, within each piece: shape apart from size. They follow from the dimensions, and are
    /// neither counted nor listed as unexplained.
    pub proportions: Vec<Line<'a>>,
    /// The two orders of making laid beside each other.
    pub order_of_work: Vec<Step>,
    /// Which component was compared with which.
    pub components: Vec<Pairing<'a>>,
    /// Recorded departures whose features agree: no longer true, or never so.
    pub departures_without_difference: Vec<Accounted>,
    /// Recorded departures that these records can neither show nor deny.
    pub departures_untested: Vec<Accounted>,
    /// The terms on which they were compared: tolerances, sizes, components paired by hand.
    pub basis: &'a Basis,
}

impl<'a> Comparison<'a> {
    /// One sentence or two that claim no more than the numbers.
    pub fn summary(&self) -> String {
        let unexplained = self.lines().filter(|line| line.is_unexplained()).count();
        summary::sentence((&self.subject, &self.other), self.scaling.as_ref(), &self.counts, unexplained)
    }

    /// Differences without a recorded departure.
    pub fn unexplained(&self) -> Vec<Accounted> {
        self.lines().filter(|line| line.is_unexplained()).map(summary::accounted).collect()
    }

    /// The lines of all groups.
    pub fn lines(&self) -> impl Iterator<Item = &Line<'a>> {
        self.groups.iter().flat_map(|group| &group.lines)
    }
}

impl Serialized for Comparison<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut all = serializer.serialize_struct("Comparison", 13)?;
        all.serialize_field("subject", &self.subject)?;
        all.serialize_field("other", &self.other)?;
        all.serialize_field("summary", &self.summary())?;
        all.serialize_field("counts", &self.counts)?;
        all.serialize_field("groups", &self.groups)?;
        all.serialize_field("scaling", &self.scaling)?;
        all.serialize_field("proportions", &self.proportions)?;
        all.serialize_field("order_of_work", &self.order_of_work)?;
        all.serialize_field("components", &self.components)?;
        all.serialize_field("unexplained", &self.unexplained())?;
        all.serialize_field("departures_without_difference", &self.departures_without_difference)?;
        all.serialize_field("departures_untested", &self.departures_untested)?;
        all.serialize_field("basis", self.basis)?;
        all.end()
    }
}

/// How a piece is named at the head of a comparison.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Heading<'a> {
    /// Accession number.
    pub number: &'a str,
    /// What it is, and its title where it has one.
    pub name: &'a str,
    /// Extant, reconstruction, mock-up ...
    pub nature: &'a str,
    /// Its date as written.
    pub date: &'a str,
}

impl<'a> Heading<'a> {
    /// How a piece is named: its number, its title or else its object name, its nature and date.
    pub fn of(file: &'a PieceFile) -> Self {
        let piece = &file.piece;
        Self {
            number: file.number(),
            name: piece.title.as_deref().or(piece.object_name.as_deref()).unwrap_or_default(),
            nature: piece.nature.as_ref().map(TermId::name).unwrap_or_default(),
            date: piece.date.as_ref().map(|d| d.as_written.as_str()).unwrap_or_default(),
        }
    }
}

/// Features of one sort.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Group<'a> {
    /// Dimensions, Cloth, Stitching ...
    pub title: &'static str,
    /// One line a feature.
    pub lines: Vec<Line<'a>>,
}

/// One feature of both pieces.
#[derive(Debug, Clone, PartialEq)]
pub struct Line<'a> {
    /// The component, as the subject names it; `a / b` where the two name it differently; `whole piece`.
    pub component: Cow<'a, str>,
    /// The component as the subject names it, else as the other does: the same in every comparison of the subject.
    pub place: &'a str,
    /// The thing observed: a dimension, a role, a purpose, a fastening.
    pub item: Cow<'a, str>,
    /// Which property of it; blank for a dimension.
    pub aspect: &'static str,
    /// The subject's side.
    pub subject: Side<'a>,
    /// The other's side.
    pub other: Side<'a>,
    /// What can be said.
    pub finding: Finding,
    /// Unit of the figures, blank for terms.
    pub unit: &'static str,
    /// What to bear in mind: taken otherwise, a limit only, second such line.
    pub caveat: Option<Cow<'static, str>>,
    /// The departures that speak of it.
    pub departures: Vec<Explanation>,
    /// Words that a departure may use for the whole section.
    pub(super) section_words: &'static [&'static str],
}

impl Serialized for Line<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut line = serializer.serialize_struct("Line", 12)?;
        line.serialize_field("component", &self.component)?;
        line.serialize_field("place", self.place)?;
        line.serialize_field("feature", &self.feature())?;
        line.serialize_field("item", &self.item)?;
        line.serialize_field("aspect", self.aspect)?;
        line.serialize_field("subject", &self.subject)?;
        line.serialize_field("other", &self.other)?;
        line.serialize_field("finding", &self.finding)?;
        line.serialize_field("unit", self.unit)?;
        line.serialize_field("caveat", &self.caveat)?;
        line.serialize_field("departures", &self.departures)?;
        line.serialize_field("weakest_evidence", &self.weakest_evidence())?;
        line.end()
    }
}

impl<'a> Line<'a> {
    /// What is compared: `bust`, `shell: fibres`.
    pub fn feature(&self) -> Cow<'_, str> {
        match self.aspect {
            "" => Cow::Borrowed(&self.item),
            aspect => format!("{}: {aspect}", self.item).into(),
        }
    }

    /// The weakest evidence and certainty on either side.
    pub fn weakest_evidence(&self) -> String {
        let known = |recorded: &Side<'a>, otherwise: &Side<'a>| {
            let side = if recorded.standing == Standing::NotRecorded { otherwise } else { recorded };
            (side.evidence, side.certainty)
        };
        weakest(known(&self.subject, &self.other), known(&self.other, &self.subject))
    }

    /// What the finding amounts to, when both sides are recorded.
    pub fn verdict(&self) -> Option<Verdict> {
        self.finding.verdict()
    }

    /// Whether the two differ and nobody said why.
    pub fn is_unexplained(&self) -> bool {
        self.verdict() == Some(Verdict::Differ) && self.departures.is_empty()
    }

    /// Whether the other piece was brought to the size of the subject for it.
    pub fn is_scaled(&self) -> bool {
        matches!(self.finding, Finding::Number(Figures { other_scaled: Some(_), .. }))
    }

    /// The decision in words a maker understands; blank for terms and for what only one piece records.
    pub fn in_words(&self) -> String {
        match &self.finding {
            Finding::Number(figures) => figures.in_words(self.unit),
            Finding::Colour(figures) => figures.in_words(),
            _ => String::new(),
        }
    }

    /// The other's value at the size of the subject, with its own standard uncertainty (not that of the factor), in words;
    /// blank where nothing was scaled.
    pub fn other_scaled(&self) -> String {
        match (&self.finding, self.other.value, self.other.u) {
            (Finding::Number(Figures { other_scaled: Some(scaled), .. }), Some(value), Some(u)) if value != 0.0 => {
                with_uncertainty(*scaled, u * (scaled / value).abs(), self.unit)
            }
            _ => String::new(),
        }
    }
}

/// Whether one piece records a feature.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Standing {
    /// There is a value.
    Recorded,
    /// Nobody has written anything: it may be there or not.
    NotRecorded,
    /// Somebody looked and counted none.
    Absent,
}

/// One piece's side of a line.
#[derive(Debug, Clone, PartialEq)]
pub struct Side<'a> {
    /// Recorded, not recorded, or known to be absent.
    pub standing: Standing,
    /// What was written.
    pub as_written: Written<'a>,
    /// The mean in SI.
    pub value: Option<f64>,
    /// Its standard uncertainty.
    pub u: Option<f64>,
    /// The unit that the value is printed in; none for terms and bare counts.
    pub unit: Option<&'static str>,
    /// How it is known.
    pub evidence: &'a str,
    /// How surely.
    pub certainty: &'a str,
    /// Day of the examination, where it has one.
    pub examined: Option<Date>,
}

/// What was written of a feature, put into words only where somebody reads it.
#[derive(Debug, Clone)]
pub enum Written<'a> {
    /// One text.
    Text(Cow<'a, str>),
    /// Readings, separated by `; ` in words.
    Readings(&'a [Quantity]),
}

impl Written<'_> {
    /// In words.
    pub fn words(&self) -> Cow<'_, str> {
        match self {
            Self::Text(text) => Cow::Borrowed(text),
            Self::Readings([only]) => Cow::Borrowed(&only.as_written),
            Self::Readings(many) => many.iter().map(|q| q.as_written.as_str()).collect::<Vec<_>>().join("; ").into(),
        }
    }
}

impl Serialized for Written<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.words())
    }
}

impl PartialEq for Written<'_> {
    fn eq(&self, other: &Self) -> bool {
        self.words() == other.words()
    }
}

impl Serialized for Side<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut side = serializer.serialize_struct("Side", 8)?;
        side.serialize_field("standing", &self.standing)?;
        side.serialize_field("as_written", &self.as_written)?;
        side.serialize_field("si", &self.si())?;
        side.serialize_field("value", &self.value)?;
        side.serialize_field("u", &self.u)?;
        side.serialize_field("evidence", &self.evidence)?;
        side.serialize_field("certainty", &self.certainty)?;
        side.serialize_field("examined", &self.examined.map(|day| day.to_string()).unwrap_or_default())?;
        side.end()
    }
}

impl Side<'_> {
    /// The side of a piece that records nothing.
    pub fn not_recorded() -> Self {
        Self {
            standing: Standing::NotRecorded,
            as_written: Written::Text(Cow::Borrowed("")),
            value: None,
            u: None,
            unit: None,
            evidence: "",
            certainty: "",
            examined: None,
        }
    }

    /// The value in SI with its standard uncertainty; blank for terms and bare counts.
    pub fn si(&self) -> String {
        match (self.value, self.u, self.unit) {
            (Some(value), Some(u), Some(unit)) => with_uncertainty(value, u, unit),
            _ => String::new(),
        }
    }

    /// What to print: the words written, `not recorded`, or `none, known to be absent`.
    pub fn words(&self) -> Cow<'_, str> {
        match self.standing {
            Standing::Recorded => self.as_written.words(),
            Standing::NotRecorded => "not recorded".into(),
            Standing::Absent => "none, known to be absent".into(),
        }
    }
}

/// What can be said of a feature.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Finding {
    /// Two figures.
    Number(Figures),
    /// Two colours as read.
    Colour(ColourFigures),
    /// Two terms, lists of terms, or words.
    Term {
        /// How the subject's stands to the other's.
        relation: Relation,
    },
    /// Recorded on the subject only; on the other it is not recorded.
    OnlySubject,
    /// Recorded on the other only; on the subject it is not recorded.
    OnlyOther,
}

impl Finding {
    /// What it amounts to, when both sides are recorded.
    pub fn verdict(&self) -> Option<Verdict> {
        match self {
            Self::Number(figures) => Some(figures.verdict),
            Self::Colour(figures) => Some(figures.verdict),
            Self::Term { relation } => Some(relation.verdict()),
            Self::OnlySubject | Self::OnlyOther => None,
        }
    }
}

/// How the subject's term stands to the other's.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "is", rename_all = "snake_case")]
pub enum Relation {
    /// The same.
    Identical,
    /// The subject's takes in the other's and more: the two records differ in precision.
    Broader,
    /// The other's takes in the subject's and more.
    Narrower,
    /// Each list is in part the broader one.
    Mixed,
    /// Different terms under one broader term.
    Related {
        /// The nearest term that takes in both.
        common: String,
    },
    /// Different.
    Different,
    /// Free words that are not the same words; they may well mean the same.
    OtherWords,
}

impl Relation {
    /// A broader or narrower term may or may not be the same thing, so it cannot be told; likewise other words.
    pub fn verdict(&self) -> Verdict {
        match self {
            Self::Identical => Verdict::Agree,
            Self::Broader | Self::Narrower | Self::Mixed | Self::OtherWords => Verdict::CannotTell,
            Self::Related { .. } | Self::Different => Verdict::Differ,
        }
    }

    /// In words, the subject first.
    pub fn words(&self) -> String {
        match self {
            Self::Identical => "the same".into(),
            Self::Broader => "a broader term".into(),
            Self::Narrower => "a narrower term".into(),
            Self::Mixed => "broader in part, narrower in part".into(),
            Self::Related { common } => format!("different, both under {common}"),
            Self::Different => "different".into(),
            Self::OtherWords => "in other words".into(),
        }
    }
}

/// A departure that speaks of a line.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Explanation {
    /// The reason from the list.
    pub reason: String,
    /// The maker's own words.
    pub note: Option<String>,
    /// What was learned for next time.
    pub learned: Option<String>,
    /// Accession number of the piece whose maker recorded it.
    pub recorded_on: String,
}

/// A feature or a departure named in a list of its own.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Accounted {
    /// The component, blank where a departure names none.
    pub component: String,
    /// The feature.
    pub feature: String,
    /// What there is to say of it.
    pub what: String,
}

/// How many features there are of each finding.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct Counts {
    /// Recorded on both, and agree.
    pub agree: usize,
    /// Recorded on both, and differ.
    pub differ: usize,
    /// Recorded on both, and cannot be told.
    pub cannot_tell: usize,
    /// Recorded on the subject only.
    pub only_subject: usize,
    /// Recorded on the other only.
    pub only_other: usize,
}

impl Counts {
    /// Counts the lines of all groups.
    pub fn of(groups: &[Group<'_>]) -> Self {
        let mut counts = Self::default();
        for line in groups.iter().flat_map(|g| &g.lines) {
            *match (&line.finding, line.verdict()) {
                (_, Some(Verdict::Agree)) => &mut counts.agree,
                (_, Some(Verdict::Differ)) => &mut counts.differ,
                (_, Some(Verdict::CannotTell)) => &mut counts.cannot_tell,
                (Finding::OnlySubject, None) => &mut counts.only_subject,
                (_, None) => &mut counts.only_other,
            } += 1;
        }
        counts
    }

    /// Features recorded on both.
    pub fn on_both(&self) -> usize {
        self.agree + self.differ + self.cannot_tell
    }
}
