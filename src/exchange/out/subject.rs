//! What several formats say of a piece, picked once from its record, and by which names the world knows it.

use sha2::{Digest, Sha256};

use crate::measure::{Estimate, rounded};
use crate::record::accession::file_stem;
use crate::record::photograph::Photograph;
use crate::record::rights::Rights;
use crate::record::textile::Textile;
use crate::record::{Observed, PieceFile};
use crate::vocabulary::{TermId, Vocabulary};

/// What an export needs beside the records.
#[derive(Debug, Clone, Copy)]
pub struct Publication<'a> {
    /// The terms.
    pub vocabulary: &'a Vocabulary,
    /// Name of the collection, or blank.
    pub collection: &'a str,
    /// The pieces in the export, as the public may see them.
    pub pieces: &'a [PieceFile],
    /// Where the records will be found on the web, without a stroke at the end; if that is not known, pieces and terms
    /// are named by UUIDs.
    pub base: Option<&'a str>,
}

impl Publication<'_> {
    /// The name of the collection, or that it has none.
    pub(super) fn collection(&self) -> &str {
        let name = self.collection.trim();
        if name.is_empty() { "Collection without a name" } else { name }
    }

    /// What names a piece everywhere.
    pub(super) fn piece(&self, file: &PieceFile) -> String {
        match (self.base, &file.piece.id) {
            (Some(base), _) => format!("{base}/pieces/{}", file_stem(file.number())),
            (None, Some(id)) => format!("urn:uuid:{id}"),
            (None, None) => named(&format!("pieces/{}", file.number())),
        }
    }

    /// What names a photograph everywhere: where its picture lies as tiles, if that is known.
    pub(super) fn photograph(&self, photo: &Photograph) -> String {
        self.base.map_or_else(
            || format!("urn:uuid:{}", photo.id),
            |base| format!("{base}/{}", super::iiif::tiles_path(&photo.id)),
        )
    }

    /// The same of a piece by its number; a piece outside the export has no identifier that is known here.
    pub(super) fn model(&self, number: &str) -> String {
        let published = self.pieces.iter().find(|file| file.number() == number);
        published.map_or_else(|| self.name("pieces", number), |file| self.piece(file))
    }

    /// What names a term everywhere: the URI that the vocabulary has, else one below the base, else a UUID made of its id.
    pub(super) fn term(&self, term: &TermId) -> String {
        if let Some(uri) = self.vocabulary.get(term).and_then(|t| t.uri.clone()) {
            return uri;
        }
        self.word(&format!("terms/{}/{}", term.scheme().key(), file_stem(term.name())), term.as_str())
    }

    /// What names a place or person that is known by name alone.
    pub(super) fn name(&self, kind: &str, name: &str) -> String {
        self.word(&format!("{kind}/{}", file_stem(name)), &format!("{kind}/{name}"))
    }

    fn word(&self, path: &str, id: &str) -> String {
        self.base.map_or_else(|| named(id), |base| format!("{base}/{path}"))
    }
}

/// A UUID made of a name (RFC 9562, version 8, as its appendix B.2 makes one of SHA-256): the same name, the same UUID.
fn named(name: &str) -> String {
    let digest = Sha256::digest(format!("dimity/{name}").as_bytes());
    let mut bytes = [0; 16];
    bytes.copy_from_slice(&digest[..16]);
    format!("urn:uuid:{}", uuid::Builder::from_custom_bytes(bytes).into_uuid())
}

/// One dimension with its figure.
pub(super) struct Measured<'a> {
    pub dimension: &'a TermId,
    pub component: Option<&'a str>,
    /// Millimetres.
    pub estimate: Estimate,
    /// The first reading, as written.
    pub written: &'a str,
}

impl Measured<'_> {
    /// `centre back length, back`.
    pub fn name(&self) -> String {
        [Some(self.dimension.name()), self.component].into_iter().flatten().collect::<Vec<_>>().join(", ")
    }

    /// The figure, as long as its uncertainty warrants, in millimetres.
    pub fn mm(&self) -> String {
        rounded(self.estimate.value, self.estimate.u).0
    }

    /// `centre back length, back: 385 mm (15 1/8 in)`.
    pub fn line(&self) -> String {
        format!("{}: {} mm ({})", self.name(), self.mm(), self.written)
    }
}

/// A fibre or a structure, and of which textile.
pub(super) struct Made<'a> {
    pub term: &'a TermId,
    /// `shell`, `lining of the sleeve`; blank if that is not recorded.
    pub role: String,
}

/// What is told of a piece.
pub(super) struct Subject<'a>(pub &'a PieceFile);

impl<'a> Subject<'a> {
    /// Its title, else what it is, else its number.
    pub fn title(&self) -> &'a str {
        let p = &self.0.piece;
        let words = |text: &'a Option<String>| text.as_deref().map(str::trim).filter(|t| !t.is_empty());
        let name = words(&p.title).or(words(&p.object_name)).or(p.garment.as_ref().map(TermId::name));
        name.unwrap_or_else(|| self.0.number())
    }

    /// What it is: the kind of garment, else the object's name.
    pub fn kind(&self) -> &'a str {
        let p = &self.0.piece;
        let name = p.object_name.as_deref().map(str::trim).filter(|t| !t.is_empty());
        p.garment.as_ref().map(TermId::name).or(name).unwrap_or("object")
    }

    fn textiles(&self) -> Vec<&'a Observed<Textile>> {
        self.0.standing(|e| &e.textiles, |t| t.role.as_ref())
    }

    /// Fibres, each once a role, in the order of the record.
    pub fn fibres(&self) -> Vec<Made<'a>> {
        let of = |o: &'a Observed<Textile>| o.what.fibres.iter().filter_map(move |f| Some((f.fibre.as_ref()?, o)));
        once(self.textiles().into_iter().flat_map(of))
    }

    /// Weaves and other structures, each once a role.
    pub fn structures(&self) -> Vec<Made<'a>> {
        once(self.textiles().into_iter().filter_map(|o| Some((o.what.structure.as_ref()?, o))))
    }

    /// What it is made of, in a sentence.
    pub fn medium(&self) -> String {
        crate::report::medium(self.0)
    }

    /// Dimensions with a reading, each as last taken.
    pub fn dimensions(&self) -> Vec<Measured<'a>> {
        let one = |o: &'a Observed<crate::record::measurement::Measurement>| {
            Some(Measured {
                dimension: o.what.dimension.as_ref()?,
                component: o.component.as_deref(),
                estimate: o.what.estimate()?,
                written: o.what.readings.first().map_or("", |q| &q.as_written),
            })
        };
        self.0.standing(|e| &e.measurements, |m| m.dimension.as_ref()).into_iter().filter_map(one).collect()
    }

    /// Its date as written, with the convention left to the record.
    pub fn date(&self) -> Option<&'a str> {
        self.0.piece.date.as_ref().map(|d| d.as_written.as_str())
    }

    /// What it is made after: a model's number, or a source in words.
    pub fn models(&self) -> impl Iterator<Item = (Option<&'a str>, &'a str)> {
        self.0.made_after.iter().filter_map(|m| {
            let words = m.source.as_deref().or(m.model.as_deref())?;
            Some((m.model.as_deref(), words))
        })
    }

    /// What others may do with it.
    pub fn rights(&self) -> Rights {
        self.0.piece.rights()
    }
}

/// Each term once a role, in order.
fn once<'a>(found: impl Iterator<Item = (&'a TermId, &'a Observed<Textile>)>) -> Vec<Made<'a>> {
    let mut list: Vec<Made<'a>> = Vec::new();
    for (term, o) in found {
        let role = o.what.role.as_ref().map(|r| r.name().to_owned()).unwrap_or_default();
        if !list.iter().any(|m| m.term == term && m.role == role) {
            list.push(Made { term, role });
        }
    }
    list
}

/// A year as xsd:date and ISO 8601 write it: `1815`, `-0300` (year 0 exists).
pub(super) fn year(year: i32) -> String {
    if year < 0 { format!("-{:04}", -i64::from(year)) } else { format!("{year:04}") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::vocabulary::Scheme;

    #[test]
    fn names_stay_the_same_and_apart() {
        let bare = Publication { vocabulary: Vocabulary::shipped(), collection: "", pieces: &[], base: None };
        let silk = TermId::new(Scheme::Fibre, "silk");
        assert_eq!(bare.term(&silk), bare.term(&silk));
        assert_ne!(bare.term(&silk), bare.term(&TermId::new(Scheme::Fibre, "linen")));
        assert_ne!(bare.name("places", "silk"), bare.name("people", "silk"));
        let uuid = uuid::Uuid::parse_str(bare.term(&silk).trim_start_matches("urn:uuid:")).expect("a UUID");
        assert_eq!(uuid.get_version_num(), 8);
        let on_the_web = Publication { base: Some("https://example.org/c"), ..bare };
        assert_eq!(on_the_web.term(&silk), "https://example.org/c/terms/fibre/silk");
        assert_eq!(on_the_web.model("1987/4 a"), "https://example.org/c/pieces/1987_2f_4_20_a");
    }

    #[test]
    fn years_are_written_in_four_figures() {
        for (of, text) in [(1815, "1815"), (800, "0800"), (0, "0000"), (-300, "-0300"), (-12000, "-12000")] {
            assert_eq!(year(of), text);
        }
    }
}
