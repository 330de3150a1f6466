//! `dimity report`: pages to read, print and sign.

use std::path::{Path, PathBuf};

use super::compare::Settled;
use super::{Desk, Failure};
use crate::analysis::comparison::{self, Features};
use crate::catalogue::Catalogue;
use crate::exchange::csv;
use crate::photograph::Store;
use crate::printing;
use crate::record::accession::file_stem;
use crate::report::{self, Settings, StorePictures, TreatmentAsked, TreatmentPart};

/// Print reports as HTML pages
#[derive(Debug, clap::Subcommand)]
pub enum Report {
    /// The entry of a piece, as in a printed catalogue
    Catalogue(OfPiece),
    /// The condition report of an examination, ready to sign
    Condition(super::condition::Condition),
    /// A piece compared with others, feature by feature
    ///
    /// `dimity report comparison 2023.R1 --with 2018.2` prints every line. The first sheet stands alone: both at one scale,
    /// what differs, a chart. Several others come as a matrix first, then what is not alike, piece by piece.
    Comparison(Comparison),
    /// Where makers departed from their models, by reason, and what was learned
    Departures(Departures),
    /// A treatment: the proposal to consent to, or the record of what was done
    ///
    /// `dimity report treatment 2018.7 --part proposal`
    Treatment(Treatment),
    /// What is due to be looked at, by location with boxes to tick; counts of grades and damage; what was never examined
    Survey(Survey),
    /// A piece among others: how each feature is spread over a set, and where the piece stands in it
    ///
    /// `dimity report among 'garment:bodice date:1800..1820' --piece 2024.R1`
    Among(AmongOthers),
    /// What a piece takes to sew, line by line, by the pace of the work logs; what is left to do
    Effort(OfPiece),
    /// The collection on one page, with search and filters that need no network
    Index(Index),
}

/// Where a report goes.
#[derive(Debug, Clone, Default, clap::Args)]
pub struct Where {
    /// The file to write; `-` for standard output; if not given, a file in the catalogue's folder `reports`
    #[arg(long, value_name = "FILE")]
    pub(super) out: Option<PathBuf>,
    /// Link the photographs instead of putting them into the page
    #[arg(long)]
    linked: bool,
}

/// A report of one piece.
#[derive(Debug, clap::Args)]
pub struct OfPiece {
    /// Accession number
    number: String,
    #[command(flatten)]
    place: Where,
}

/// A comparison sheet.
#[derive(Debug, clap::Args)]
pub struct Comparison {
    /// Accession number of the piece
    #[arg(required_unless_present = "kept")]
    number: Option<String>,
    /// What to compare it with
    #[arg(long = "with", value_name = "NUMBER", required_unless_present = "kept", num_args = 1..)]
    others: Vec<String>,
    #[command(flatten)]
    terms: super::compare::Terms,
    /// Rank the cloths of the others for this one: `shell`, or `collar: interlining`; may be given several times
    #[arg(long, value_name = "ROLE")]
    cloth: Vec<String>,
    /// Write the same beside the page as CSV and as JSON, named like it
    #[arg(long)]
    data: bool,
    #[command(flatten)]
    place: Where,
}

/// The departures of all reconstructions.
#[derive(Debug, clap::Args)]
pub struct Departures {
    #[command(flatten)]
    place: Where,
}

/// A treatment.
#[derive(Debug, clap::Args)]
pub struct Treatment {
    /// Accession number
    number: String,
    /// Its title or id; the latest treatment of the piece if not given
    #[arg(long = "treatment", value_name = "TITLE")]
    which: Option<String>,
    /// What is put to the owner, or what was done; the record, once anything was done, if not given
    #[arg(long, value_enum)]
    part: Option<Part>,
    #[command(flatten)]
    place: Where,
}

/// Which half of a treatment is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum Part {
    /// What is put to the owner
    Proposal,
    /// What was done
    Record,
}

impl Treatment {
    /// `treatment-2018.7.html`, with the part and the title's own letters where they are asked for.
    fn file(&self) -> String {
        let mut name = name("treatment", &self.number);
        let mut end = |words: &str| name = name.replace(".html", &format!("-{words}.html"));
        if let Some(title) = &self.which {
            end(&file_stem(&title.to_lowercase().replace(' ', "-")));
        }
        match self.part {
            None => {}
            Some(Part::Proposal) => end("proposal"),
            Some(Part::Record) => end("record"),
        }
        name
    }
}

/// A survey.
#[derive(Debug, Default, clap::Args)]
pub struct Survey {
    /// Due by this day; today if not given
    #[arg(long, value_name = "DAY")]
    until: Option<jiff::civil::Date>,
    /// Only where the location holds these words: `--place "bay B"`
    #[arg(long, value_name = "TEXT")]
    place: Option<String>,
    #[command(flatten)]
    page: Where,
}

/// A piece among others.
#[derive(Debug, clap::Args)]
pub struct AmongOthers {
    #[command(flatten)]
    asked: super::among::Among,
    #[command(flatten)]
    page: Where,
}

/// The collection on one page.
#[derive(Debug, clap::Args)]
pub struct Index {
    #[command(flatten)]
    place: Where,
}

impl Report {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        if let Self::Condition(r) = self {
            return r.run(desk);
        }
        let press = Press { catalogue: desk.open()?, store: Store::at(&desk.folder), today: desk.today() };
        let (page, place, name) = match self {
            Self::Condition(_) => return Ok(()),
            Self::Catalogue(r) => (press.entry(&r.number, &r.place)?, r.place, name("catalogue", &r.number)),
            Self::Comparison(r) => return compared(r, &press, desk),
            Self::Departures(r) => (press.departures(&r.place)?, r.place, "departures.html".to_owned()),
            Self::Treatment(r) => {
                let part = r.part.map(|part| match part {
                    Part::Proposal => TreatmentPart::Proposal,
                    Part::Record => TreatmentPart::Record,
                });
                (press.treatment(&r.number, r.which.as_deref(), part, &r.place)?, r.place.clone(), r.file())
            }
            Self::Survey(r) => (press.survey(&r)?, r.page, "survey.html".to_owned()),
            Self::Among(r) => (press.among(&r)?, r.page, "among.html".to_owned()),
            Self::Effort(r) => (press.effort(&r.number, &r.place)?, r.place, name("effort", &r.number)),
            Self::Index(r) => (press.index(&r.place)?, r.place, "index.html".to_owned()),
        };
        put(desk, place.out, ("reports", &name), &page).map(|_| ())
    }
}

/// Writes a page to its place, by that name into this folder of the catalogue where none was given, or prints it; says
/// where it went.
pub(super) fn put(
    desk: &mut Desk,
    out: Option<PathBuf>,
    (folder, name): (&str, &str),
    page: &str,
) -> Result<Option<PathBuf>, Failure> {
    if out.as_deref() == Some(Path::new("-")) {
        desk.out.line(page);
        return Ok(None);
    }
    let path = out.unwrap_or_else(|| desk.folder.join(folder).join(name));
    write(&path, page)?;
    desk.out.line(format!("wrote {}", path.display()));
    Ok(Some(path))
}

/// A comparison: the page, and beside it the same lines as CSV and JSON where they are asked for.
fn compared(asked: Comparison, press: &Press, desk: &mut Desk) -> Result<(), Failure> {
    if asked.data && asked.place.out.as_deref() == Some(Path::new("-")) {
        return Err(
            "`--data` writes beside the page, and there is no place beside standard output; give `--out FILE`, \
                    or use `dimity compare --csv` or `--json`"
                .into(),
        );
    }
    let settled = asked.terms.settle(asked.number.as_ref(), &asked.others, &press.catalogue)?;
    let page = press.comparison(&settled, &asked.cloth, &asked.place)?;
    let Some(path) = put(desk, asked.place.out, ("reports", &name("comparison", &settled.subject)), &page)? else {
        return Ok(());
    };
    if asked.data {
        let (subject, others) = settled.pieces(&press.catalogue)?;
        let vocabulary = press.catalogue.vocabulary();
        let (ours, theirs) = (Features::of(&subject, vocabulary), Features::all(&others, vocabulary));
        let found = comparison::compare_many(&ours, &theirs, vocabulary, &settled.basis)?;
        let (headings, rows) = comparison::rows(&found);
        let json = serde_json::to_string_pretty(&found).map_err(|e| Failure::from(e.to_string()))?;
        for (end, text) in [("csv", csv(&headings, &rows)?), ("json", json + "\n")] {
            let beside = path.with_extension(end);
            write(&beside, &text)?;
            desk.out.line(format!("wrote {}", beside.display()));
        }
    }
    Ok(())
}

/// The file name of a report of a piece.
pub(super) fn name(kind: &str, number: &str) -> String {
    format!("{kind}-{}.html", file_stem(number))
}

/// Writes a page beside its place and renames it there, so that a reader never sees half a page.
pub(super) fn write(path: &Path, page: &str) -> Result<(), Failure> {
    write_bytes(path, page.as_bytes())
}

/// The same for a page as bytes.
pub(super) fn write_bytes(path: &Path, page: &[u8]) -> Result<(), Failure> {
    let wrong = |what: &str, e: std::io::Error| Failure::from(format!("cannot {what} `{}`: {e}", path.display()));
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    std::fs::create_dir_all(folder).map_err(|e| wrong("make the folder of", e))?;
    let mut builder = tempfile::Builder::new();
    // A report is to be read by others; the system's mask still applies.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    let mut beside = builder.prefix(".report").tempfile_in(folder).map_err(|e| wrong("write", e))?;
    std::io::Write::write_all(&mut beside, page).map_err(|e| wrong("write", e))?;
    beside.persist(path).map_err(|e| wrong("write", e.error))?;
    Ok(())
}

/// Reads records and prints pages.
pub(super) struct Press {
    pub catalogue: Catalogue,
    pub store: Store,
    pub today: jiff::civil::Date,
}

impl Press {
    pub(super) fn print<P, E: std::fmt::Display>(
        &self,
        place: &Where,
        page: impl FnOnce(&Settings<'_>) -> Result<P, E>,
    ) -> Result<P, Failure> {
        let pictures = if place.linked {
            StorePictures::linked(
                &self.store,
                place.out.as_deref().filter(|p| *p != Path::new("-")),
                self.catalogue.folder(),
            )
        } else {
            StorePictures::embedded(&self.store)
        };
        let collection = self.catalogue.collection()?;
        let settings = Settings {
            vocabulary: self.catalogue.vocabulary(),
            printed_on: self.today,
            collection: collection.name.as_deref().unwrap_or_default(),
            place: collection.place,
            units: collection.units.unwrap_or_default(),
            pictures: &pictures,
        };
        page(&settings).map_err(|e| e.to_string().into())
    }

    pub fn entry(&self, number: &str, place: &Where) -> Result<String, Failure> {
        let file = self.catalogue.piece(number)?;
        self.print(place, |s| report::catalogue_entry(&file, s))
    }

    /// `cloths` are those of the piece for which the cloths of the others are ranked.
    pub fn comparison(&self, asked: &Settled, cloths: &[String], place: &Where) -> Result<String, Failure> {
        let (subject, others) = asked.pieces(&self.catalogue)?;
        let near = |cloth: &String| {
            printing::cloths(&self.catalogue, &asked.subject, cloth, &asked.others, &asked.basis.tolerances)
        };
        let cloths = cloths.iter().map(near).collect::<Result<_, _>>()?;
        let compared = report::Compared { basis: asked.basis.clone(), cloths, kept: asked.kept_words() };
        self.print(place, |s| report::comparison(&subject, &others, &compared, s))
    }

    /// What a piece takes to sew.
    pub fn effort(&self, number: &str, place: &Where) -> Result<String, Failure> {
        let file = self.catalogue.piece(number)?;
        let found = printing::effort(&self.catalogue, &file, None)?;
        self.print(place, |s| report::effort(&file, &found, s))
    }

    pub fn treatment(
        &self,
        number: &str,
        treatment: Option<&str>,
        part: Option<TreatmentPart>,
        place: &Where,
    ) -> Result<String, Failure> {
        let file = self.catalogue.piece(number)?;
        let seals = self.catalogue.consent_seals(number)?;
        self.print(place, |s| report::treatment(&file, &TreatmentAsked { treatment, part, seals: &seals }, s))
    }

    /// A piece among others.
    pub fn among(&self, asked: &AmongOthers) -> Result<String, Failure> {
        let set = asked.asked.set();
        printing::among(&self.catalogue, &asked.asked.asked(&set), |corpus, set| {
            self.print(&asked.page, |s| report::among(corpus, set, s))
        })
    }

    /// The departures of all pieces.
    pub fn departures(&self, place: &Where) -> Result<String, Failure> {
        let list = printing::departures(&self.catalogue)?;
        self.print(place, |s| report::departures(&list, s))
    }

    /// The survey of the pieces at a place, or of all.
    pub fn survey(&self, asked: &Survey) -> Result<String, Failure> {
        let place = asked.place.as_deref();
        let survey = self.catalogue.survey(place)?;
        let intervals = self.catalogue.intervals()?;
        let until = asked.until.unwrap_or(self.today);
        self.print(&asked.page, |s| report::survey(&survey, &report::Asked { until, place, intervals: &intervals }, s))
    }

    /// The collection, with links to whatever reports lie in the folder `reports` already.
    pub fn index(&self, place: &Where) -> Result<String, Failure> {
        let reports = self.catalogue.folder().join("reports");
        let links = |number: &str| {
            let written = ["catalogue", "condition", "comparison", "treatment", "effort"]
                .map(|kind| (kind.to_owned(), name(kind, number)));
            written.into_iter().filter(|(_, file)| reports.join(file).is_file()).collect()
        };
        let entries = printing::index(&self.catalogue, links)?;
        self.print(place, |s| report::index(&entries, s))
    }
}
