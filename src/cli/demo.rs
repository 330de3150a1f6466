//! `dimity demo`: the invented collection, photographs and reports included.

use std::path::PathBuf;

use indicatif::{ProgressBar, ProgressStyle};

use super::compare::Settled;
use super::report::{Press, Survey, Where, name, write};
use super::say::count;
use super::{Desk, Failure, pattern};
use crate::catalogue::Catalogue;
use crate::demo;
use crate::photograph::Store;
use crate::printing::Asked;
use crate::report::PrintSet;

/// Build an invented collection to look round in, with photographs and reports
///
/// Everything in it is made up, and the program draws the photographs itself.
#[derive(Debug, clap::Args)]
pub struct Demo {
    /// A new or empty folder
    dir: PathBuf,
}

/// The pieces whose comparison the demo prints: the piece, and what it is compared with.
const COMPARED: [(&str, &[&str]); 2] = [("2023.R1", &["2018.2", "2021.P1", "2022.M1"]), ("2024.R2", &["2017.4a-b"])];

impl Demo {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let bar = ProgressBar::new_spinner();
        if let Ok(style) = ProgressStyle::with_template("{spinner} {pos} steps: {msg}") {
            bar.set_style(style);
        }
        let built = demo::build(&self.dir, desk.clock, &|what| {
            bar.set_message(what.to_owned());
            bar.inc(1);
        })?;
        let catalogue = Catalogue::open(&self.dir, desk.clock)?;
        let mut press = Press { catalogue, store: Store::at(&self.dir), today: desk.today() };
        let pages = sealed(&mut press)? + reports(&press)?;
        let patterns = patterns(&press)?;
        bar.finish_and_clear();
        let folder = self.dir.join("reports");
        desk.out.line(format!(
            "built an invented collection in {}: {}, {}, {}, {}, {}",
            self.dir.display(),
            count(built.pieces, "piece"),
            count(built.sheets, "sheet"),
            count(built.photographs, "photograph"),
            count(pages, "report"),
            count(patterns, "pattern file"),
        ));
        desk.out.line("look here, in a browser:");
        for (file, what) in [
            ("index.html".to_owned(), "the collection"),
            (name("condition", "2018.2"), "a condition report, with the changes since the last examination"),
            (
                "condition-2018.2-against.html".to_owned(),
                "the same beside the report that was sealed: outgoing and incoming",
            ),
            (name("comparison", "2023.R1"), "a reconstruction compared with its model, a pattern and a mock-up"),
            (name("catalogue", "2018.2"), "a catalogue entry"),
            (name("treatment", "2018.7"), "a treatment, from proposal to after-care, sealed when it was agreed to"),
            (name("effort", "2023.R1"), "the stitches and hours of a reconstruction, by its maker's own pace"),
            ("survey.html".to_owned(), "what is due to be looked at again, and the state of the whole"),
        ] {
            desk.out.line(format!("  {}  ({what})", folder.join(file).display()));
        }
        desk.out
            .line(format!("pattern pieces of a scanned plate at full size: {}", self.dir.join("patterns").display()));
        desk.out.line(format!("then: dimity --in {} list", self.dir.display()));
        Ok(())
    }
}

/// The piece whose first report the demo seals, as if it went on loan that day.
const SEALED: (&str, jiff::civil::Date) = ("2018.2", jiff::civil::date(2018, 11, 14));

/// Seals a report, lays the latest examination beside it, and prints the other sets of that piece.
fn sealed(press: &mut Press) -> Result<usize, Failure> {
    let (number, day) = SEALED;
    let place = Where::default();
    let asked = Asked { number, examination: None, since: None, set: PrintSet::Full, against: None, sealed_by: None };
    let first = press.condition(&Asked { examination: Some(day), sealed_by: Some(demo::OWNER), ..asked }, &place)?;
    let Some(new) = first.new else { return Ok(0) };
    let code = press.catalogue.seal(demo::OWNER, first.page.as_bytes(), &new)?.code;
    let folder = press.catalogue.folder().join("reports");
    for (end, asked) in [
        ("summary", Asked { set: PrintSet::Summary, ..asked }),
        ("loan", Asked { set: PrintSet::Loan, ..asked }),
        ("against", Asked { against: Some(&code), ..asked }),
    ] {
        let page = press.condition(&asked, &place)?.page;
        write(&folder.join(name("condition", number).replace(".html", &format!("-{end}.html"))), &page)?;
    }
    Ok(3)
}

/// Prints an entry and a condition report for each piece, the comparisons, and the index over all of them.
fn reports(press: &Press) -> Result<usize, Failure> {
    let folder = press.catalogue.folder().join("reports");
    let place = Where::default();
    let mut pages = 0;
    let mut put = |file: String, page: String| {
        pages += 1;
        write(&folder.join(file), &page)
    };
    for number in press.catalogue.numbers()? {
        put(name("catalogue", &number), press.entry(&number, &place)?)?;
        if !press.catalogue.piece(&number)?.examinations.is_empty() {
            let asked = Asked {
                number: &number,
                examination: None,
                since: None,
                set: PrintSet::Full,
                against: None,
                sealed_by: None,
            };
            put(name("condition", &number), press.condition(&asked, &place)?.page)?;
        }
        if !press.catalogue.piece(&number)?.treatments.is_empty() {
            put(name("treatment", &number), press.treatment(&number, None, None, &place)?)?;
        }
    }
    for (number, others) in COMPARED {
        put(name("comparison", number), press.comparison(&Settled::plain(number, others), &[], &place)?)?;
    }
    for number in ["2018.2", "2023.R1", "2024.R2"] {
        put(name("effort", number), press.effort(number, &place)?)?;
    }
    put("departures.html".into(), press.departures(&place)?)?;
    put("survey.html".into(), press.survey(&Survey::default())?)?;
    put("index.html".into(), press.index(&place)?)?;
    Ok(pages)
}

/// The piece whose scanned plate the demo prints at full size.
const PATTERN: &str = "2021.P1";

/// Prints the pattern pieces on each photograph that has any: as a drawing, and as sheets for both papers.
fn patterns(press: &Press) -> Result<usize, Failure> {
    let folder = press.catalogue.folder().join("patterns");
    let drawn = |p: &&crate::record::photograph::Photograph| {
        p.scale.is_some() && p.regions.iter().any(|r| r.outlines.is_some())
    };
    let mut files = 0;
    for photograph in press.catalogue.piece(PATTERN)?.photographs.iter().filter(drawn) {
        let taken = pattern::taken(&press.catalogue, photograph.clone())?;
        write(&folder.join(taken.name("svg", "")), &taken.outline()?)?;
        for paper in ["a4", "letter"] {
            write(&folder.join(taken.name("html", paper)), &pattern::printed(&taken, press, paper, 15.0)?)?;
        }
        files += 3;
    }
    Ok(files)
}
