//! What a column can be taken for.

use crate::exchange::line::{Section, Takes, sections};
use crate::exchange::out::discretion;

/// What a column is taken for.
#[derive(Debug, Clone, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Target {
    /// A field of the record: `piece.title`, `move.to`.
    Field {
        /// The section of the sheet.
        section: &'static str,
        /// The field in it.
        field: &'static str,
    },
    /// Measures in one breath, in one or two systems.
    Dimensions,
    /// Fibres, cloths and what they do.
    Materials,
    /// The state of the piece: a grade, damages, or words.
    Condition,
    /// Several things in one cell: what has a label or a unit is read, all of it is kept as a note.
    Mixed,
    /// Words that are kept as a note under the heading of their column.
    Note,
    /// Names of files of photographs.
    Photographs,
    /// What the piece cost or is worth. The record has no field that would hold it back from the public, so it is not read.
    Worth,
    /// Not read; the cells are kept all the same.
    #[default]
    Nothing,
}

/// The words for what is no single field, each with what it does.
pub const WORDS: [(&str, Target, &str); 8] = [
    ("dimensions", Target::Dimensions, "measures in one breath: H. 42 1/2 in. (108 cm); W. 30 cm"),
    ("materials", Target::Materials, "fibres, cloths and what they do: silk, lined with cotton?"),
    ("condition", Target::Condition, "the state: a grade, damages, or words"),
    ("mixed", Target::Mixed, "several things in one cell: what has a label or a unit is read, all is kept as a note"),
    ("note", Target::Note, "words, kept as a note under the heading"),
    ("photographs", Target::Photographs, "names of files, looked for in the folder given with --photographs"),
    ("worth", Target::Worth, "what the piece cost or is worth: the cells are kept and not read, and never published"),
    ("nothing", Target::Nothing, "not read; the cells are kept all the same"),
];

impl Target {
    /// Reads `piece.date`, `dimensions`, `nothing`.
    ///
    /// # Errors
    /// A sentence with the nearest that there is.
    pub fn parse(word: &str) -> Result<Target, String> {
        let word = word.trim();
        if let Some((_, target, _)) = WORDS.iter().find(|(name, ..)| *name == word) {
            return Ok(target.clone());
        }
        let found = word.split_once('.').and_then(|(section, field)| {
            let section = Section::named(section)?;
            section.slot(field).filter(|slot| is_plain(&slot.takes)).map(|slot| (section.name, slot.field.name))
        });
        if let Some((section, field)) = found {
            return Ok(Target::Field { section, field });
        }
        let every = WORDS.iter().map(|(name, ..)| (*name).to_owned()).chain(fields());
        let near = every.map(|name| (strsim::jaro_winkler(&name, word), name)).max_by(|a, b| a.0.total_cmp(&b.0));
        let near = near.map(|(_, name)| format!("; did you mean `{name}`?")).unwrap_or_default();
        Err(format!("`{word}` is nothing that a column can be taken for{near}"))
    }

    /// As it stands in a mapping.
    pub fn word(&self) -> String {
        match self {
            Target::Field { section, field } => format!("{section}.{field}"),
            other => {
                WORDS.iter().find(|(_, target, _)| target == other).map_or("nothing", |(name, ..)| *name).to_owned()
            }
        }
    }

    /// Whether its cells are read as days or dates.
    pub fn is_dated(&self) -> bool {
        let Target::Field { section, field } = self else { return false };
        let slot = Section::named(section).and_then(|section| section.slot(field));
        slot.is_some_and(|slot| matches!(slot.takes, Takes::Day | Takes::Dated))
    }

    /// The word of a field whose words, as they stand in a cell, go out to the public.
    pub fn shows_words(&self) -> Option<String> {
        let Target::Field { section, field } = self else { return None };
        let slot = Section::named(section).and_then(|section| section.slot(field))?;
        let worded = matches!(slot.takes, Takes::Text(_) | Takes::Dated | Takes::Component);
        (worded && discretion::is_public(section, field)).then(|| self.word())
    }

    /// Whether this is the field.
    pub fn is(&self, wanted: &str) -> bool {
        matches!(self, Target::Field { section, field } if wanted.split_once('.') == Some((*section, *field)))
    }
}

/// A cell cannot fill records inside records, nor name an earlier one or another piece, which need not be there.
fn is_plain(takes: &Takes) -> bool {
    !matches!(takes, Takes::Records(..) | Takes::Earlier | Takes::Piece)
}

/// Every field that a column can be taken for: `piece.number` and so on.
pub fn fields() -> impl Iterator<Item = String> {
    sections().iter().flat_map(|section| {
        let plain = section.slots.iter().filter(|slot| is_plain(&slot.takes));
        plain.map(move |slot| format!("{}.{}", section.name, slot.field.name))
    })
}
