//! What each row is to the catalogue: new, known, changed, or not to be entered as it stands.

use std::collections::{HashMap, HashSet};

use super::reading::{Doubt, Reading};
use crate::exchange::sheet::quoted;
use crate::record::accession::likeness;
use crate::record::source::SourceRow;

/// What the catalogue holds already.
#[derive(Debug, Clone, Default)]
pub struct Known {
    /// The rows of old lists that are kept, by number, oldest first.
    pub rows: HashMap<String, Vec<SourceRow>>,
    /// The numbers of all pieces, withdrawn ones among them.
    pub numbers: Vec<String>,
    /// Numbers of pieces that were purged.
    pub purged: Vec<String>,
    /// Where somebody imports.
    pub door: Door,
}

/// Where somebody imports, for what they are told to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Door {
    /// At the command line.
    #[default]
    Terminal,
    /// On a page of the workbench.
    Page,
}

impl Door {
    /// How what is missing is added to a piece.
    fn add(self, number: &str) -> String {
        match self {
            Door::Terminal => format!("add what is missing to its sheet: `dimity sheet {number} > fix.toml`"),
            Door::Page => format!("add what is missing on the page of `{number}`"),
        }
    }

    /// How a record is corrected.
    fn correct(self, number: &str) -> String {
        match self {
            Door::Terminal => format!("correct the record: `dimity sheet {number} > fix.toml`"),
            Door::Page => format!("correct the record on the page of `{number}`"),
        }
    }

    /// How it is corrected where a row of the list says something else now.
    fn correct_and_keep(self, number: &str) -> String {
        match self {
            Door::Terminal => format!(
                "correct the record with `dimity sheet {number} > fix.toml`, then `--keep-changed` keeps the new wording beside the old"
            ),
            Door::Page => format!(
                "correct the record on the page of `{number}`, then keep the new wording of the rows that changed beside the old"
            ),
        }
    }
}

/// What is done with a row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Fate {
    /// It enters the catalogue.
    New,
    /// It was imported before, and says the same.
    Known,
    /// It was imported before and says the same, but would be read otherwise now, under these headings.
    ReadOtherwise(Vec<String>),
    /// It was imported before and says something else now, under these headings.
    Changed(Vec<String>),
    /// It is left out, with the reason and the mend.
    LeftOut(String, String),
    /// It is no piece, and why.
    NoPiece(String),
}

impl Fate {
    /// In a word.
    pub fn word(&self) -> &'static str {
        match self {
            Fate::New => "new",
            Fate::Known => "known",
            Fate::ReadOtherwise(_) => "known, read otherwise now",
            Fate::Changed(_) => "changed since",
            Fate::LeftOut(..) => "left out",
            Fate::NoPiece(_) => "no piece",
        }
    }
}

/// Says what is to be done with each row, in their order.
pub fn fates(readings: &[Reading], known: &Known) -> Vec<Fate> {
    let alike: HashMap<String, &String> = known.numbers.iter().map(|n| (likeness(n), n)).collect();
    let there: HashSet<&String> = known.numbers.iter().collect();
    let purged: HashSet<String> = known.purged.iter().map(|n| likeness(n)).collect();
    let mut seen: HashMap<String, u32> = HashMap::new();
    readings.iter().map(|reading| fate(reading, known, &alike, &there, &purged, &mut seen)).collect()
}

fn fate(
    reading: &Reading,
    known: &Known,
    alike: &HashMap<String, &String>,
    there: &HashSet<&String>,
    purged: &HashSet<String>,
    seen: &mut HashMap<String, u32>,
) -> Fate {
    if let Some((why, mend)) = &reading.swallowed {
        seen.extend(reading.file.piece.number.iter().map(|number| (likeness(number), reading.row)));
        return Fate::LeftOut(why.clone(), mend.clone());
    }
    if let Some(why) = &reading.no_piece {
        return Fate::NoPiece(why.clone());
    }
    let left_out = |why: String, mend: String| Fate::LeftOut(why, mend);
    let Some(number) = &reading.file.piece.number else {
        return left_out(
            "the row has no accession number".into(),
            format!("add {} = \"the number\" under [numbers] in the mapping", quoted(&reading.key)),
        );
    };
    let key = likeness(number);
    if let Some(earlier) = seen.get(&key) {
        return left_out(
            format!("row {earlier} has this number already"),
            format!(
                "give one of them another number under [numbers] in the mapping ({} = ...), or put both into one row",
                quoted(&reading.key)
            ),
        );
    }
    seen.insert(key.clone(), reading.row);
    if let Some(kept) = known.rows.get(number) {
        let Some(same) = kept.iter().rev().find(|row| row.says_the_same(&reading.source)) else {
            let latest = kept.last().map(|row| row.differs_in(&reading.source)).unwrap_or_default();
            return Fate::Changed(latest);
        };
        let read = |row: &SourceRow| -> HashMap<String, String> {
            row.cells.iter().filter(|c| !c.text.is_empty()).map(|c| (c.heading.clone(), c.read.clone())).collect()
        };
        let (then, now) = (read(same), read(&reading.source));
        let mut otherwise: Vec<String> =
            now.iter().filter(|(h, r)| then.get(*h) != Some(r)).map(|(h, _)| h.clone()).collect();
        otherwise.sort();
        return if otherwise.is_empty() { Fate::Known } else { Fate::ReadOtherwise(otherwise) };
    }
    if there.contains(number) {
        return left_out(
            format!("`{number}` is in the catalogue, and did not come from a list"),
            known.door.add(number),
        );
    }
    if let Some(other) = alike.get(&key) {
        return left_out(
            format!("the catalogue has `{other}`, which differs from `{number}` in its signs alone"),
            format!(
                "if they are one, say \"{number}\" = \"{other}\" under [numbers] in the mapping; if not, give this one a number that can be told apart"
            ),
        );
    }
    if purged.contains(&key) {
        return left_out(
            format!("`{number}` was purged from the catalogue, and is not brought back by an import"),
            "enter it by a sheet if that is meant".into(),
        );
    }
    Fate::New
}

/// What is to be looked at because of what is done with a row.
pub fn to_look_at(fate: &Fate, number: &str, door: Door) -> Option<Doubt> {
    let doubt = |why: String, mend: String| {
        Some(Doubt { heading: String::new(), text: String::new(), why, mend, unread: true })
    };
    match fate {
        Fate::New | Fate::Known => None,
        Fate::ReadOtherwise(headings) => doubt(
            format!(
                "imported before; with this mapping {} would be read otherwise, and the record was left as it is",
                named(headings)
            ),
            door.correct(number),
        ),
        Fate::Changed(headings) => doubt(
            format!(
                "imported before, and the list says something else now under {}; the record was left as it is",
                named(headings)
            ),
            door.correct_and_keep(number),
        ),
        Fate::LeftOut(why, mend) => doubt(why.clone(), mend.clone()),
        Fate::NoPiece(why) => doubt(format!("taken for no piece: {why}"), "if it is one, give it a number".into()),
    }
}

fn named(headings: &[String]) -> String {
    headings.iter().map(|h| format!("`{h}`")).collect::<Vec<_>>().join(", ")
}
