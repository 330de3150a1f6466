//! What the exports for the public share: which pieces, what is included of them, and the list of what was left out.

use std::collections::{BTreeMap, BTreeSet, HashSet};
use std::path::{Path, PathBuf};

use super::{Made, NotMade, To, Which};
use crate::catalogue::{Catalogue, Collection};
use crate::exchange::out::discretion::{Kind, LeftOut, Terms, for_the_public, names_one_of};
use crate::exchange::out::subject::Publication;
use crate::exchange::parcel::Parcel;
use crate::photograph::writing::{beside as file_beside, name as name_file};
use crate::record::PieceFile;
use crate::record::photograph::Photograph;
use crate::record::rights::Caution;
use crate::vocabulary::Vocabulary;
use crate::words::count;

/// How it begins to say what to think of before it is published.
const CARE: &str = "before you publish, ";

/// Which pieces the public may see, and what of them.
#[derive(Debug, Clone, Default)]
pub struct ForThePublic {
    /// Which pieces.
    pub of: Which,
    /// What is included of what is left out by default.
    pub included: Vec<Kind>,
}

/// An address on the web, without a stroke at the end.
///
/// # Errors
/// A sentence that says how one is written.
pub fn base(text: &str) -> Result<String, String> {
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
    /// Those of which a photograph shows a piece that is not in the export as well.
    crowded: Vec<String>,
    /// Those whose own words name such a piece by its number.
    named: Vec<String>,
}

impl ForThePublic {
    /// The numbers of the pieces; a withdrawn one is refused.
    pub(super) fn numbers(&self, catalogue: &Catalogue) -> Result<Vec<String>, NotMade> {
        let numbers = self.of.chosen(catalogue)?;
        for number in &numbers {
            if catalogue.withdrawal(number)?.is_some() {
                return Err(NotMade::Withdrawn(number.clone()));
            }
        }
        Ok(numbers)
    }

    /// Reads the pieces and takes out of them what is not for the public.
    pub(super) fn gather(&self, to: To<'_>) -> Result<Public, NotMade> {
        let moment = to.catalogue.steady()?;
        let numbers = self.numbers(to.catalogue)?;
        let terms = Terms::new(&self.included, numbers.iter().cloned());
        let (mut pieces, mut left_out) = (Vec::new(), LeftOut::default());
        let (mut crowded, mut named) = (Vec::new(), Vec::new());
        let (all, purged) = to.catalogue.numbers_ever()?;
        let mut others: BTreeSet<String> = all.into_iter().chain(purged).collect();
        numbers.iter().for_each(|number| _ = others.remove(number));
        to.watch.begin("pieces read", numbers.len() as u64);
        for number in &numbers {
            let file = to.catalogue.piece(number)?;
            let shows_more = |photo: &&Photograph| photo.beside.iter().any(|other| others.contains(&other.number));
            let more: HashSet<String> = file.photographs.iter().filter(shows_more).map(|p| p.id.clone()).collect();
            let (mut shown, out) = for_the_public(file, &terms);
            if shown.photographs.iter().any(|photo| more.contains(&photo.id)) {
                crowded.push(number.clone());
            }
            if names_one_of(&mut shown, &others) {
                named.push(number.clone());
            }
            pieces.push(shown);
            left_out.add(out);
            to.step()?;
        }
        let collection = to.catalogue.collection()?;
        drop(moment);
        Ok(Public { pieces, left_out, collection, crowded, named })
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

    /// Gives the folder its name, and writes the list of what was left out beside it. The list is no part of the folder,
    /// which is there to be published. `more` is what else was left out, in words.
    pub fn finish(
        &self,
        to: To<'_>,
        mut parcel: Parcel,
        (format, page): (&str, &str),
        more: &[String],
    ) -> Result<Made, NotMade> {
        parcel.page(format, page)?;
        let list = beside(to.place);
        let mut text = self.left_out.page(self.pieces.len());
        for line in more {
            text.push_str(line);
            text.push('\n');
        }
        let care = self.take_care(to.catalogue.vocabulary());
        if let Some(care) = &care {
            text.extend(["\n", care, "\n"]);
        }
        let folder = list.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
        // Written before the folder has its name and named right after it, so that the two belong together.
        let file = file_beside(folder, text.as_bytes()).map_err(|fault| fault.to_string())?;
        let written = parcel.finish()?;
        name_file(file, &list).map_err(|fault| fault.to_string())?;
        let by_kind = self.left_out.by_kind();
        let counted = by_kind.iter().map(|(kind, n)| format!("{} {n}", kind.word()));
        Ok(Made {
            what: count(self.pieces.len(), "piece"),
            written,
            left_out: counted.chain(more.iter().cloned()).collect(),
            list: Some(list),
            findings: Vec::new(),
            care,
        })
    }

    /// What to think of before it is published: whose rights of pieces and photographs are protected, restricted, not
    /// settled or not stated, and which photographs and words tell of pieces outside the export. No word here says that the rest
    /// may be published.
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
        let rights = (!told.is_empty()).then(|| format!("ask whose rights these are: {}", told.join("; ")));
        let look = [
            ("the photographs that show a piece outside the export as well", &self.crowded),
            ("the words that name a piece outside the export", &self.named),
        ];
        let look = look.into_iter().filter(|(_, of)| !of.is_empty());
        let look = look.map(|(at, of)| format!("look at {at}, of: {}", of.join(", ")));
        let all: Vec<String> = rights.into_iter().chain(look).collect();
        (!all.is_empty()).then(|| format!("{CARE}{}", all.join("; and ")))
    }
}

/// `site-left-out.txt` for the folder `site`.
pub(super) fn beside(place: &Path) -> PathBuf {
    let name = place.file_name().unwrap_or_default().to_string_lossy();
    place.with_file_name(format!("{name}-left-out.txt"))
}

/// What such a list says in short: what was left out, by kind or in words, and whose rights to ask after.
pub(super) fn in_short(list: &str) -> (Vec<String>, Option<String>) {
    // Below the first paragraph, which is the same in every list, single fields stand behind two spaces.
    let (_, below) = list.split_once("\n\n").unwrap_or_default();
    let lines = below.lines().filter(|line| !line.is_empty() && !line.starts_with(' '));
    let (care, kinds): (Vec<&str>, Vec<&str>) = lines.partition(|line| line.starts_with(CARE));
    (kinds.into_iter().map(String::from).collect(), care.first().map(|care| (*care).to_owned()))
}

/// Writes a value as JSON, indented.
pub(super) fn json(parcel: &mut Parcel, name: &str, value: &serde_json::Value) -> Result<(), NotMade> {
    let text = serde_json::to_string_pretty(value).map_err(|e| e.to_string())? + "\n";
    Ok(parcel.file(name, |out| out.write_all(text.as_bytes()))?)
}

/// Writes a text.
pub(super) fn text(parcel: &mut Parcel, name: &str, text: &str) -> Result<(), NotMade> {
    Ok(parcel.file(name, |out| out.write_all(text.as_bytes()))?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_list_is_read_in_short_as_it_was_written() {
        let mut left_out = LeftOut::default();
        let nothing = left_out.page(1);
        assert_eq!(in_short(&nothing), (vec!["nothing".into()], None));
        let mut file = PieceFile::default();
        file.piece.distinguishing_features = Some("a darn at the nape".into());
        left_out.add(for_the_public(file, &Terms::default()).1);
        let care = format!("{CARE}ask whose rights these are: in copyright: 2031.1");
        let list = format!("{}2 photographs that cannot be shown\n\n{care}\n", left_out.page(1));
        let kinds: Vec<String> = left_out.by_kind().iter().map(|(kind, n)| format!("{} {n}", kind.word())).collect();
        let (told, whose) = in_short(&list);
        assert_eq!((&told[..kinds.len()], whose), (&kinds[..], Some(care)), "{list}");
        assert_eq!(told[kinds.len()..], ["2 photographs that cannot be shown"]);
    }

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
