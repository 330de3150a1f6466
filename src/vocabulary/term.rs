//! A term and its id. Apart from the lists, because records hold ids and never whole terms.

use std::fmt;

use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

use super::Scheme;

/// A reference to a term. Its id is `scheme/name`, as in `fibre/linen`; it prints as the name alone.
///
/// An id can name a term that no list holds (a local term of another catalogue): look it up with
/// [`Vocabulary::get`](super::Vocabulary::get). Ids compare by scheme, then by name.
#[derive(Clone, PartialEq, Eq, Hash, PartialOrd, Ord, Debug)]
pub struct TermId {
    scheme: Scheme,
    id: String,
}

impl TermId {
    /// The id of `name` in `scheme`. The name is kept as given, save for space around it.
    pub fn new(scheme: Scheme, name: &str) -> Self {
        Self { scheme, id: format!("{}/{}", scheme.key(), name.trim()) }
    }

    /// Reads `fibre/linen`. `None` when there is no such scheme, or no name after the stroke.
    /// Only the first stroke divides: `weave/2/1 twill` is the term `2/1 twill`.
    pub fn parse(id: &str) -> Option<Self> {
        let (key, name) = id.trim().split_once('/')?;
        let scheme = Scheme::from_key(key)?;
        if name.trim().is_empty() { None } else { Some(Self::new(scheme, name)) }
    }

    /// The list the term belongs to.
    pub fn scheme(&self) -> Scheme {
        self.scheme
    }

    /// The name alone: `linen`.
    pub fn name(&self) -> &str {
        // Ids are short: looking byte by byte beats a search that is made for long texts.
        self.id.bytes().position(|b| b == b'/').map_or("", |at| &self.id[at + 1..])
    }

    /// The whole id: `fibre/linen`.
    pub fn as_str(&self) -> &str {
        &self.id
    }
}

impl fmt::Display for TermId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

impl Serialize for TermId {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.as_str())
    }
}

impl<'de> Deserialize<'de> for TermId {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        Self::parse(&text).ok_or_else(|| {
            de::Error::custom(format!("`{text}` is no term id; write `scheme/name`, as in `fibre/linen`"))
        })
    }
}

/// One term of a list, with its meaning and where the meaning comes from.
///
/// The fields after `local` are filled in some schemes only and are empty elsewhere.
#[derive(Clone, PartialEq, Eq, Debug, Serialize)]
pub struct Term {
    /// Scheme and name.
    pub id: TermId,
    /// Other spellings and names that are read as this term.
    pub also: Vec<String>,
    /// A short identifier by which it is known elsewhere: of rightsstatements.org, or of the SPDX licence list.
    pub identifier: Option<String>,
    /// The URI by which it is known elsewhere.
    pub uri: Option<String>,
    /// The wider term it is a kind of, in the same scheme.
    pub broader: Option<TermId>,
    /// One sentence.
    pub definition: String,
    /// The publication the meaning rests on, or a plain word that there is none.
    pub source: String,
    /// True for a term that this catalogue added; false for a shipped one.
    pub local: bool,
    /// Where the definition is the collection's own wording: that it is, and since when.
    pub own_wording: Option<String>,
    /// Damage: structural, surface, colour, biological, chemical, old repair, planar distortion,
    /// loss of parts, deposit.
    pub kind: Option<String>,
    /// Damage: how it looks.
    pub looks: Option<String>,
    /// Damage: names of the damage terms it is easily taken for.
    pub confused_with: Vec<String>,
    /// Damage: names of the usual causes, from the list of causes.
    pub causes: Vec<String>,
    /// Damage: what to measure, of `length`, `area`, `count`, `note`; the most telling first.
    pub extent: Vec<String>,
    /// Hazard: where and when it is met.
    pub occurs: Option<String>,
    /// Hazard: what to do, a sentence each.
    pub cautions: Vec<String>,
    /// Hazard: what never to do, a sentence each.
    pub avoid: Vec<String>,
    /// Garment: names of the dimensions usually taken.
    pub dimensions: Vec<String>,
    /// Garment: the components usually met, as in `left front`.
    pub components: Vec<String>,
    /// Dimension: how to take it.
    pub how: Option<String>,
    /// Dimension: `length`, `girth` or `fixed`.
    pub group: Option<String>,
    /// Grades: the place in their order, 1 best.
    pub rank: Option<u8>,
}

/// A blank to fill in: no name, no meaning.
impl Default for Term {
    fn default() -> Self {
        Self {
            id: TermId::new(Scheme::Garment, ""),
            also: Vec::new(),
            identifier: None,
            uri: None,
            broader: None,
            definition: String::new(),
            source: String::new(),
            local: false,
            own_wording: None,
            kind: None,
            looks: None,
            confused_with: Vec::new(),
            causes: Vec::new(),
            extent: Vec::new(),
            occurs: None,
            cautions: Vec::new(),
            avoid: Vec::new(),
            dimensions: Vec::new(),
            components: Vec::new(),
            how: None,
            group: None,
            rank: None,
        }
    }
}

impl Term {
    /// The name, as records and pages print it.
    pub fn name(&self) -> &str {
        self.id.name()
    }

    /// The name, then all that is read as it: other spellings, identifier, URI.
    pub fn spellings(&self) -> impl Iterator<Item = &str> {
        let elsewhere = self.identifier.iter().chain(&self.uri);
        std::iter::once(self.name()).chain(self.also.iter().chain(elsewhere).map(String::as_str))
    }
}
