//! The form of an export: what was typed and ticked, read into what is asked for; what is wrong stands beside its field.

use std::collections::BTreeSet;

use serde::Serialize;

use crate::catalogue::Fault;
use crate::exchange::out::discretion::Kind;
use crate::export::{Asked, ForThePublic, LONGEST, LONGEST_FITS, NotMade, Which, base};
use crate::workbench::fault::{sentence, written};

/// The fields of all formats, as typed. A format reads those that it has.
#[derive(Debug, Clone, Serialize)]
#[allow(clippy::struct_excessive_bools, reason = "each is a tick of its own")]
pub(super) struct Fields {
    /// Accession numbers, one a line.
    numbers: String,
    /// A search.
    of: String,
    /// All pieces were ticked.
    every: bool,
    /// What is included of what the public does not see.
    #[serde(skip)]
    with: BTreeSet<String>,
    with_gps: bool,
    alone: bool,
    for_spreadsheets: bool,
    collection: String,
    base: String,
    longest: String,
}

impl Default for Fields {
    fn default() -> Self {
        Self {
            numbers: String::new(),
            of: String::new(),
            every: false,
            with: BTreeSet::new(),
            with_gps: false,
            alone: false,
            for_spreadsheets: false,
            collection: String::new(),
            base: String::new(),
            longest: LONGEST.to_string(),
        }
    }
}

/// What is wrong, beside the field where it is.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub(super) struct Amiss {
    numbers: String,
    of: String,
    every: String,
    with: String,
    collection: String,
    base: String,
    longest: String,
    /// With the whole of it.
    form: String,
}

impl Fields {
    /// From the pairs of a form.
    pub fn of(pairs: Vec<(String, String)>) -> Self {
        let mut fields = Self::default();
        for (name, value) in pairs {
            match name.as_str() {
                "numbers" => fields.numbers = value,
                "of" => fields.of = value,
                "every" => fields.every = true,
                "with" => drop(fields.with.insert(value)),
                "with_gps" => fields.with_gps = true,
                "alone" => fields.alone = true,
                "for_spreadsheets" => fields.for_spreadsheets = true,
                "collection" => fields.collection = value,
                "base" => fields.base = value,
                "longest" => fields.longest = value,
                _ => {}
            }
        }
        fields
    }

    /// Whether this kind was ticked.
    pub fn includes(&self, word: &str) -> bool {
        self.with.contains(word)
    }

    /// What is asked for in this format. None for a word that names no format.
    pub fn asked(&self, format: &str) -> Option<Result<Asked, Amiss>> {
        let mut amiss = Amiss::default();
        let (of, with_gps) = (self.which(&mut amiss), self.with_gps);
        let included = self.included(&mut amiss);
        let public = ForThePublic { of: of.clone(), included };
        let base = self.base(&mut amiss);
        let asked = match format {
            "json" => {
                // Nothing is chosen there.
                return Some(Ok(Asked::Json { with_gps, alone: self.alone }));
            }
            "csv" => Asked::Csv { of, with_gps, for_spreadsheets: self.for_spreadsheets },
            "parquet" => Asked::Parquet { of, with_gps, collection: written(&self.collection) },
            "bag" => Asked::Bag { of, with_gps },
            "lido" => Asked::Lido { public, base },
            "linked-art" => Asked::LinkedArt { public, base },
            "dublin-core" => Asked::DublinCore { public, base },
            "iiif" => {
                if base.is_none() && amiss.base.is_empty() {
                    amiss.base = "Say at which address the folder will lie: the identifiers hold for that one.".into();
                }
                Asked::Iiif { public, base: base.unwrap_or_default(), longest: self.longest(&mut amiss) }
            }
            "site" => Asked::Site { public, manifests: base },
            _ => return None,
        };
        Some(if amiss == Amiss::default() { Ok(asked) } else { Err(amiss) })
    }

    /// Every piece is asked for by a tick, never by a field that was left blank.
    fn which(&self, amiss: &mut Amiss) -> Which {
        let numbers: Vec<String> = self.numbers.lines().filter_map(written).collect();
        let which = Which { numbers, of: written(&self.of) };
        match (which.is_all(), self.every) {
            (true, false) => amiss.every = "Say which pieces: numbers, a search, or every piece.".into(),
            (false, true) => {
                amiss.every =
                    "Every piece is more than the numbers or the search: leave this, or leave those away.".into();
            }
            _ => {}
        }
        which
    }

    fn included(&self, amiss: &mut Amiss) -> Vec<Kind> {
        let kinds: Vec<Kind> = self.with.iter().filter_map(|word| Kind::from_word(word)).collect();
        if kinds.len() < self.with.len() {
            amiss.with = "One of these is nothing that can be included. Load the page again.".into();
        }
        kinds
    }

    fn base(&self, amiss: &mut Amiss) -> Option<String> {
        match base(&written(&self.base)?) {
            Ok(base) => Some(base),
            Err(why) => {
                amiss.base = sentence(&why);
                None
            }
        }
    }

    fn longest(&self, amiss: &mut Amiss) -> u32 {
        let fits = self.longest.trim().parse().ok().filter(|n| LONGEST_FITS.contains(n));
        fits.unwrap_or_else(|| {
            amiss.longest =
                format!("Write a number of pixels from {} to {}.", LONGEST_FITS.start(), LONGEST_FITS.end());
            LONGEST
        })
    }
}

impl Amiss {
    /// Why it cannot be made, beside the field that can mend it.
    pub fn of(not: &NotMade) -> Self {
        let none = Self::default();
        match not {
            NotMade::Fault(Fault::NoPiece { .. }) => Self { numbers: sentence(&not.to_string()), ..none },
            NotMade::Fault(Fault::Asked(mistake)) => Self { of: sentence(&mistake.sentence()), ..none },
            NotMade::NoPiece => Self { of: "This finds no piece.".into(), ..none },
            NotMade::Withdrawn(number) => Self {
                numbers: format!(
                    "`{number}` is withdrawn and not for the public: leave it out, or bring it back first on its own page."
                ),
                ..none
            },
            NotMade::Nameless => Self {
                collection: "This collection has no name yet, and needs one beside others: write one here.".into(),
                ..none
            },
            other => Self { form: sentence(&other.to_string()), ..none },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::export::FORMATS;

    fn fields(pairs: &[(&str, &str)]) -> Fields {
        Fields::of(pairs.iter().map(|(name, value)| ((*name).to_owned(), (*value).to_owned())).collect())
    }

    #[test]
    fn every_format_is_read_and_no_other_word_is() {
        for format in FORMATS {
            let whole = fields(&[("every", "on"), ("base", "https://example.org/c")]);
            let asked = whole.asked(format).expect("a format").unwrap_or_else(|amiss| panic!("{format}: {amiss:?}"));
            assert_eq!(asked.format(), format);
        }
        for other in ["", "JSON", "..", "json/..", "zip"] {
            assert!(fields(&[("every", "on")]).asked(other).is_none(), "{other}");
        }
    }

    #[test]
    fn every_piece_is_never_meant_by_a_blank() {
        for format in FORMATS.into_iter().filter(|format| *format != "json") {
            let blank = fields(&[("numbers", " \n\t"), ("of", " "), ("base", "https://example.org/c")]);
            let amiss = blank.asked(format).expect("a format").expect_err("nothing was chosen");
            assert!(amiss.every.contains("Say which pieces"), "{format}: {amiss:?}");
            let both = fields(&[("numbers", "2031.1"), ("every", "on"), ("base", "https://example.org/c")]);
            assert!(both.asked(format).expect("a format").is_err(), "{format}");
        }
    }

    #[test]
    fn numbers_stand_one_a_line_whatever_else_they_hold() {
        let asked = fields(&[("numbers", " 2031.1\r\nInv. 7, left \n\n"), ("of", "fibre:silk")]).asked("bag");
        let Some(Ok(Asked::Bag { of, .. })) = asked else { panic!("a bag") };
        assert_eq!((of.numbers, of.of.as_deref()), (vec!["2031.1".into(), "Inv. 7, left".into()], Some("fibre:silk")));
    }
}
