//! What the exports for the public share: which pieces, what is included of them, where it goes, and the list of what was
//! left out.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use clap::builder::{PossibleValue, PossibleValuesParser, TypedValueParser};

use super::{Told, Which};
use crate::catalogue::{Catalogue, Collection};
use crate::cli::say::count;
use crate::cli::{Desk, Failure};
use crate::exchange::out::discretion::{Kind, LeftOut, Terms, for_the_public};
use crate::exchange::out::subject::Publication;
use crate::exchange::parcel::Parcel;
use crate::record::PieceFile;
use crate::record::rights::Caution;
use crate::vocabulary::Vocabulary;

/// Which pieces the public may see, and what of them.
#[derive(Debug, clap::Args)]
pub struct ForThePublic {
    #[command(flatten)]
    which: Which,
    /// The folder to write; if not given, one named like the format in the catalogue's folder `exports`
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Include what is left out by default; several with commas
    #[arg(long = "with", value_name = "KIND", value_parser = kinds(), value_delimiter = ',')]
    included: Vec<Kind>,
}

/// Where the records will lie on the web.
#[derive(Debug, clap::Args)]
pub struct Base {
    /// Address of the folder that the IIIF export is put at, as in https://example.org/collection; pieces, terms and
    /// pictures are named below it. Without it they are named by UUIDs
    #[arg(long = "base", value_name = "URL", value_parser = base)]
    pub base: Option<String>,
}

fn kinds() -> impl TypedValueParser<Value = Kind> {
    let word = |(kind, help): &(Kind, &'static str)| PossibleValue::new(kind.word()).help(*help);
    PossibleValuesParser::new(Kind::CAN_BE_INCLUDED.iter().map(word))
        .try_map(|word| Kind::from_word(&word).ok_or_else(|| format!("`{word}` is no kind of what is left out")))
}

/// An address on the web, without a stroke at the end.
pub(super) fn base(text: &str) -> Result<String, String> {
    let rest = text.strip_prefix("https://").or_else(|| text.strip_prefix("http://"));
    let plain = |c: char| c.is_ascii_graphic() && !matches!(c, '"' | '<' | '>' | '\\' | '^' | '`' | '{' | '|' | '}');
    match rest {
        Some(rest) if !rest.trim_matches('/').is_empty() && rest.chars().all(plain) && !rest.contains(['?', '#']) => {
            Ok(text.trim_end_matches('/').to_owned())
        }
        _ => Err("write an address such as https://example.org/collection, without `?` and `#`".into()),
    }
}

/// The chosen pieces as the public may see them.
pub(super) struct Public {
    pub pieces: Vec<PieceFile>,
    pub left_out: LeftOut,
    pub collection: Collection,
}

impl ForThePublic {
    /// Whether no piece was chosen.
    pub(super) fn is_all(&self) -> bool {
        self.which.is_all()
    }

    /// Reads the pieces and takes out of them what is not for the public.
    pub(super) fn gather(&self, catalogue: &Catalogue) -> Result<Public, Failure> {
        let moment = catalogue.steady()?;
        let numbers = self.which.chosen(catalogue)?;
        for number in &numbers {
            if catalogue.withdrawal(number)?.is_some() {
                return Err(format!(
                    "`{number}` is withdrawn and not for the public; leave it out, or `dimity reinstate {number}` first"
                )
                .into());
            }
        }
        let terms = Terms::new(&self.included, numbers.iter().cloned());
        let (mut pieces, mut left_out) = (Vec::new(), LeftOut::default());
        for number in &numbers {
            let (shown, out) = for_the_public(catalogue.piece(number)?, &terms);
            pieces.push(shown);
            left_out.add(out);
        }
        let collection = catalogue.collection()?;
        drop(moment);
        Ok(Public { pieces, left_out, collection })
    }

    /// The folder on its way out.
    pub(super) fn begin(&self, format: &str, desk: &Desk) -> Result<(PathBuf, Parcel), Failure> {
        super::Where { out: self.out.clone(), ..super::Where::default() }.begin(format, desk)
    }
}

impl Public {
    /// The name of the collection, or blank.
    pub fn name(&self) -> &str {
        self.collection.name.as_deref().unwrap_or_default()
    }

    /// What the formats need beside the records.
    pub fn publication<'a>(&'a self, catalogue: &'a Catalogue, base: Option<&'a str>) -> Publication<'a> {
        Publication { vocabulary: catalogue.vocabulary(), collection: self.name(), pieces: &self.pieces, base }
    }

    /// Gives the folder its name, writes the list of what was left out beside it, and says both. The list is no part of the
    /// folder, which is there to be published. `more` is what else was left out, in words.
    pub fn finish(
        &self,
        mut parcel: Parcel,
        place: &Path,
        (format, page): (&str, &str),
        more: &[String],
        vocabulary: &Vocabulary,
        desk: &mut Desk,
    ) -> Result<(), Failure> {
        parcel.page(format, page)?;
        let written = parcel.finish()?;
        let list = beside(place);
        let mut text = self.left_out.page(self.pieces.len());
        for line in more {
            text.push_str(line);
            text.push('\n');
        }
        let care = self.take_care(vocabulary);
        if let Some(care) = &care {
            text.extend(["\n", care, "\n"]);
        }
        crate::cli::report::write(&list, &text)?;
        let by_kind = self.left_out.by_kind();
        let counted = by_kind.iter().map(|(kind, n)| format!("{} {n}", kind.word()));
        let left_out: Vec<String> = counted.chain(more.iter().cloned()).collect();
        let what = count(self.pieces.len(), "piece");
        Told { what, place, written, left_out: &left_out, list: Some(&list), findings: &[] }.say(desk)?;
        if let Some(care) = care.filter(|_| !desk.json) {
            desk.out.line(care);
        }
        Ok(())
    }

    /// What to think of before it is published: whose rights of pieces and photographs are protected, restricted, not
    /// settled or not stated. No word here says that the rest may be published.
    fn take_care(&self, vocabulary: &Vocabulary) -> Option<String> {
        let mut told: BTreeMap<(Caution, bool), BTreeSet<usize>> = BTreeMap::new();
        for (at, file) in self.pieces.iter().enumerate() {
            if let Some(caution) = file.piece.rights().caution(vocabulary) {
                told.entry((caution, false)).or_default().insert(at);
            }
            // Of most photographs nothing is stated, since they are the maker's own.
            let cautions = file.photographs.iter().filter_map(|photo| photo.rights.caution(vocabulary));
            for caution in cautions.filter(|caution| *caution != Caution::NotStated) {
                told.entry((caution, true)).or_default().insert(at);
            }
        }
        let say = |((caution, photographs), places): (&(Caution, bool), &BTreeSet<usize>)| {
            let numbers: Vec<&str> = places.iter().map(|at| self.pieces[*at].number()).collect();
            let of = if *photographs { ", photographs of" } else { "" };
            format!("{}{of}: {}", caution.words(), numbers.join(", "))
        };
        let told: Vec<String> = told.iter().map(say).collect();
        (!told.is_empty()).then(|| format!("before you publish, ask whose rights these are: {}", told.join("; ")))
    }
}

/// `site-left-out.txt` for the folder `site`.
fn beside(place: &Path) -> PathBuf {
    let name = place.file_name().unwrap_or_default().to_string_lossy();
    place.with_file_name(format!("{name}-left-out.txt"))
}

/// Writes a value as JSON, indented.
pub(super) fn json(parcel: &mut Parcel, name: &str, value: &serde_json::Value) -> Result<(), Failure> {
    let text = serde_json::to_string_pretty(value).map_err(|e| e.to_string())? + "\n";
    Ok(parcel.file(name, |out| out.write_all(text.as_bytes()))?)
}

/// Writes a text.
pub(super) fn text(parcel: &mut Parcel, name: &str, text: &str) -> Result<(), Failure> {
    Ok(parcel.file(name, |out| out.write_all(text.as_bytes()))?)
}

#[cfg(test)]
mod tests {
    use super::base;

    #[test]
    fn an_address_is_taken_without_its_last_stroke_and_nothing_else_is() {
        for (text, taken) in [
            ("https://example.org/c/", Some("https://example.org/c")),
            ("http://localhost:8000", Some("http://localhost:8000")),
            ("ftp://example.org", None),
            ("https://", None),
            ("example.org", None),
            ("https://example.org/a b", None),
            ("https://example.org/?q=1", None),
            ("https://example.org/\"", None),
        ] {
            assert_eq!(base(text).ok().as_deref(), taken, "{text}");
        }
    }
}
