//! How a list is read, as a file that a person corrects and that is used again.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use jiff::civil::Date;
use serde::{Deserialize, Deserializer, de};

use super::target::{Target, WORDS};
use crate::exchange::sheet::quoted;
use crate::record::accession;

/// How a list is read.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mapping {
    /// How the file is laid out.
    #[serde(default)]
    pub file: Layout,
    /// To which examination the observations of the list belong.
    #[serde(default)]
    pub examination: Sitting,
    /// Fields that are the same for every piece: `"piece.nature" = "extant"`.
    #[serde(default)]
    pub fixed: BTreeMap<Target, String>,
    /// What is meant by a number that is written otherwise in the list: text in the list, number in the catalogue.
    #[serde(default)]
    pub numbers: BTreeMap<String, String>,
    /// Each column.
    #[serde(default)]
    pub column: Vec<Column>,
}

/// How the file is laid out; what is blank is found by looking.
#[derive(Debug, Clone, PartialEq, Eq, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Layout {
    /// Encoding of a text file.
    pub encoding: Option<String>,
    /// The sign between the cells of a text file.
    pub delimiter: Option<char>,
    /// The sheet of a workbook.
    pub sheet: Option<String>,
    /// The row of the headings, from 1; of two rows the lower; 0 if there are none.
    pub headings: Option<u32>,
    /// How many rows the headings take.
    pub heading_rows: Option<u32>,
    /// Whether `3/4/1998` is the third of April, in every column that does not say it itself.
    pub day_first: Option<bool>,
    /// Rows with a cell whose lines look like rows of the list and are meant so.
    #[serde(default)]
    pub whole_rows: Vec<u32>,
}

/// To which examination the observations of the list belong.
#[derive(Debug, Clone, PartialEq, Eq, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sitting {
    /// The day of the list, if it is known.
    #[serde(default, deserialize_with = "day")]
    pub date: Option<Date>,
    /// Who wrote the list, if it is known.
    pub examiner: Option<String>,
}

/// What one column is taken for.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Column {
    /// Its heading.
    pub heading: String,
    /// What it is taken for.
    #[serde(rename = "as")]
    pub target: Target,
    /// Fields of the same record that go with it: the role of a person, the dimension of a measure.
    #[serde(default)]
    pub with: BTreeMap<String, String>,
    /// The unit of bare numbers.
    pub unit: Option<String>,
    /// Which dimensions the figures of a cell without labels are, in their order.
    #[serde(default)]
    pub order: Vec<String>,
    /// Of a column of dates: whether `3/4/1998` is the third of April.
    pub day_first: Option<bool>,
    /// What is read in place of a cell that says exactly this.
    #[serde(default)]
    pub instead: BTreeMap<String, String>,
    /// How sure the proposal is, and why; stands as a remark.
    #[serde(skip)]
    pub sure: String,
    /// Cells to show for an example.
    #[serde(skip)]
    pub examples: Vec<String>,
}

impl<'de> Deserialize<'de> for Target {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        Target::parse(&String::deserialize(deserializer)?).map_err(de::Error::custom)
    }
}

fn day<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Option<Date>, D::Error> {
    #[derive(Deserialize)]
    #[serde(untagged)]
    enum Day {
        Toml(toml::value::Datetime),
        Text(String),
    }
    let text = match Day::deserialize(deserializer)? {
        Day::Toml(day) => day.to_string(),
        Day::Text(text) => text,
    };
    text.trim().parse().map(Some).map_err(|_| de::Error::custom(format!("`{text}` is no day; write it as 2009-05-31")))
}

impl Mapping {
    /// Reads a mapping.
    ///
    /// # Errors
    /// What is wrong, with its place.
    pub fn read(text: &str) -> Result<Mapping, String> {
        let mapping: Mapping = toml::from_str(text).map_err(|e| e.to_string().trim_end().to_owned())?;
        mapping.check()?;
        Ok(mapping)
    }

    pub(super) fn check(&self) -> Result<(), String> {
        let numbers = self.column.iter().filter(|c| c.target.is("piece.number")).count();
        if numbers > 1 {
            return Err("two columns are taken for `piece.number`; one list has one number for each piece, take the other for `note`".into());
        }
        for target in self.fixed.keys() {
            if !matches!(target, Target::Field { section: "piece", .. }) || target.is("piece.number") {
                return Err(format!(
                    "[fixed] holds fields of the piece, such as `piece.nature`; `{}` is none",
                    target.word()
                ));
            }
        }
        for column in &self.column {
            for field in column.with.keys() {
                let Target::Field { section, .. } = column.target else {
                    return Err(format!(
                        "column `{}`: `with` goes with a field such as `person.person`",
                        column.heading
                    ));
                };
                Target::parse(&format!("{section}.{field}"))
                    .map_err(|e| format!("column `{}`: `with`: {e}", column.heading))?;
            }
        }
        for (written, meant) in &self.numbers {
            accession::check(meant).map_err(|e| format!("[numbers] `{written}`: {e}"))?;
        }
        Ok(())
    }

    /// The column of this heading.
    pub fn of(&self, heading: &str) -> Option<&Column> {
        self.column.iter().find(|c| c.heading == heading)
    }

    /// As a file, with remarks that teach.
    pub fn text(&self, list: &str) -> String {
        let mut out = String::new();
        let _ = writeln!(
            out,
            "# How {} is read into the catalogue. Proposed by looking at the list; correct it, save it, and run the",
            remark(list)
        );
        out.push_str(TEACH);
        for (word, _, help) in &WORDS {
            let _ = writeln!(out, "#   {word:12} {help}");
        }
        out.push_str("#   or any field of a sheet: piece.title, move.to, person.person, housing.storage, measurement.readings ...\n");
        self.write_file(&mut out);
        for column in &self.column {
            let _ = writeln!(
                out,
                "\n[[column]]\nheading = {}\nas = {}{}",
                quoted(&column.heading),
                quoted(&column.target.word()),
                said(&column.sure)
            );
            if column.target.shows_words().is_some() {
                out.push_str("# exports for the public show these words as they stand; a `note` stays at home\n");
            }
            if !column.with.is_empty() {
                let list: Vec<String> = column.with.iter().map(|(k, v)| format!("{k} = {}", quoted(v))).collect();
                let _ = writeln!(out, "with = {{ {} }}", list.join(", "));
            }
            if let Some(unit) = &column.unit {
                let _ = writeln!(out, "unit = {}  # of bare numbers", quoted(unit));
            }
            if !column.order.is_empty() {
                let list: Vec<String> = column.order.iter().map(|d| quoted(d)).collect();
                let _ = writeln!(out, "order = [{}]", list.join(", "));
            } else if column.target == Target::Dimensions {
                out.push_str("# order = [\"total height\", \"total width\"]  # what figures without a label are\n");
            }
            if column.target.is_dated() {
                // No cell tells, or they disagree: such days stay doubtful until somebody says it.
                let open = if column.day_first.is_none() { "# " } else { "" };
                let first = column.day_first.unwrap_or(true);
                let _ = writeln!(out, "{open}day_first = {first}  # whether 3/4/1998 is the third of April");
            }
            for (text, meant) in &column.instead {
                let _ = writeln!(out, "instead.{} = {}", quoted(text), quoted(meant));
            }
            for example in &column.examples {
                let _ = writeln!(out, "#   {}", quoted(example));
            }
        }
        out
    }

    fn write_file(&self, out: &mut String) {
        let file = &self.file;
        out.push_str("\n[file]\n");
        if let Some(encoding) = &file.encoding {
            let _ = writeln!(out, "encoding = {}", quoted(encoding));
        }
        if let Some(delimiter) = file.delimiter {
            let _ = writeln!(out, "delimiter = {}", quoted(&delimiter.to_string()));
        }
        if let Some(sheet) = &file.sheet {
            let _ = writeln!(out, "sheet = {}", quoted(sheet));
        }
        let _ = writeln!(
            out,
            "headings = {}  # the row of the headings; 0 if there are none",
            file.headings.unwrap_or_default()
        );
        let _ = writeln!(out, "heading_rows = {}", file.heading_rows.unwrap_or(1));
        let open = if file.day_first.is_none() { "# " } else { "" };
        let _ = writeln!(
            out,
            "{open}day_first = {}  # whether 3/4/1998 is the third of April, in every column that does not say it itself",
            file.day_first.unwrap_or(true)
        );
        if !file.whole_rows.is_empty() {
            let _ = writeln!(
                out,
                "whole_rows = {:?}  # a cell there has lines that look like rows of the list, and is meant so",
                file.whole_rows
            );
        }
        out.push_str(
            "\n# The observations of the list are kept as one examination of each piece, all of it reported, none of it seen.\n\
             # Say of which day the list is and who wrote it, if you know; else the day of the import and your name stand there.\n\
             [examination]\n",
        );
        match self.examination.date {
            Some(date) => _ = writeln!(out, "date = {date}"),
            None => out.push_str("# date = 2009-05-31\n"),
        }
        match &self.examination.examiner {
            Some(name) => _ = writeln!(out, "examiner = {}", quoted(name)),
            None => out.push_str("# examiner = \"\"\n"),
        }
        out.push_str("\n# The same for every piece of the list, where no column says it.\n[fixed]\n");
        for (target, value) in &self.fixed {
            let _ = writeln!(out, "{} = {}", quoted(&target.word()), quoted(value));
        }
        out.push_str("\n# What is meant by a number of the list: \"text in the list\" = \"number in the catalogue\"; a row without a number by\n# \"row 17\" = \"2031.17\", the second of two rows with one number by \"2031.4 [2]\" = \"2031.17\".\n[numbers]\n");
        for (written, meant) in &self.numbers {
            let _ = writeln!(out, "{} = {}", quoted(written), quoted(meant));
        }
    }
}

const TEACH: &str = "\
# import again. Nothing enters the catalogue before you add `--enter`. A line that begins with # is a remark.
#
# Each [[column]] below says what it is taken for, and how sure that is. Under it stand a few of its cells. To have one
# cell read as something else, add a line below `as`:   instead.\"vis/cot\" = \"viscose, cotton\"
# What stood in the cell is kept with the piece all the same, of every column, also of those taken for `nothing`.
#
# What a column can be taken for:
";

fn said(sure: &str) -> String {
    if sure.is_empty() { String::new() } else { format!("  # {}", remark(sure)) }
}

/// Words that may stand in a remark: one line, no signs that no file should hold.
fn remark(text: &str) -> String {
    super::table::plain(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mapping_is_read_back_as_it_was_written() {
        let file = Layout {
            encoding: Some("windows-1252".into()),
            delimiter: Some('\t'),
            sheet: Some("Sheet \"1\"".into()),
            headings: Some(3),
            heading_rows: Some(2),
            day_first: Some(false),
            whole_rows: vec![4, 9],
        };
        let mut mapping = Mapping { file, ..Mapping::default() };
        mapping.examination.date = Some(jiff::civil::date(2009, 5, 31));
        mapping.fixed.insert(Target::parse("piece.nature").expect("a field"), "extant".into());
        mapping.numbers.insert("row 4".into(), "2031.4".into());
        mapping.column.push(Column {
            heading: "Size / \"H\"\\".into(),
            target: Target::parse("measurement.readings").expect("a field"),
            with: BTreeMap::from([("dimension".into(), "total height".into())]),
            unit: Some("cm".into()),
            order: vec!["total height".into()],
            day_first: None,
            instead: BTreeMap::from([("ca\n12".into(), "12".into())]),
            sure: String::new(),
            examples: Vec::new(),
        });
        mapping.column.push(Column {
            heading: "Acquired".into(),
            target: Target::parse("event.date").expect("a field"),
            day_first: Some(false),
            ..Column::default()
        });
        let mut shown = mapping.clone();
        shown.column[0].sure = "sure:\n[evil]".into();
        shown.column[0].examples = vec!["a\nb = \"".into(), "\u{7}".into()];
        assert_eq!(Mapping::read(&shown.text("a\nlist.csv")), Ok(mapping), "{}", shown.text("list.csv"));
    }

    #[test]
    fn mistakes_are_told_with_their_place_and_the_nearest_right_word() {
        for (text, words) in [
            ("[[column]]\nheading = \"a\"\nas = \"piece.dat\"\n", "line 3"),
            ("[[column]]\nheading = \"a\"\nas = \"piece.dat\"\n", "did you mean `piece.date`?"),
            ("[[column]]\nheading = \"a\"\nas = \"note\"\nunits = \"cm\"\n", "units"),
            ("[[column]]\nheading = \"a\"\nas = \"note\"\nwith = { role = \"donor\" }\n", "`with` goes with a field"),
            ("[fixed]\n\"move.to\" = \"box\"\n", "[fixed] holds fields of the piece"),
            ("[numbers]\nx = \" \"\n", "cannot be blank"),
            ("[examination]\ndate = \"soon\"\n", "write it as 2009-05-31"),
        ] {
            let mistake = Mapping::read(text).expect_err(text);
            assert!(mistake.contains(words), "{text}: {mistake}");
        }
    }
}
