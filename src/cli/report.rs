//! `dimity report`: pages to read, print and sign.

use std::path::{Path, PathBuf};

use super::{Desk, Failure};
use crate::catalogue::Catalogue;
use crate::photograph::Store;
use crate::record::accession::file_stem;
use crate::report::{self, IndexEntry, Settings, StorePictures, TreatmentAsked, TreatmentPart};

/// Print reports as HTML pages
#[derive(Debug, clap::Subcommand)]
pub enum Report {
    /// The entry of a piece, as in a printed catalogue
    Catalogue(OfPiece),
    /// The condition report of an examination, ready to sign
    Condition(super::condition::Condition),
    /// A piece compared with others, feature by feature
    Comparison(Comparison),
    /// A treatment: the proposal to consent to, or the record of what was done
    ///
    /// `dimity report treatment 2018.7 --part proposal`
    Treatment(Treatment),
    /// What is due to be looked at, by location with boxes to tick; counts of grades and damage; what was never examined
    Survey(Survey),
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
            Self::Comparison(r) => {
                let asked = r.terms.settle(r.number.as_ref(), &r.others, &press.catalogue)?;
                let page = press.comparison(&asked, &r.place)?;
                (page, r.place, name("comparison", &asked.subject))
            }
            Self::Treatment(r) => {
                let part = r.part.map(|part| match part {
                    Part::Proposal => TreatmentPart::Proposal,
                    Part::Record => TreatmentPart::Record,
                });
                (press.treatment(&r.number, r.which.as_deref(), part, &r.place)?, r.place.clone(), r.file())
            }
            Self::Survey(r) => (press.survey(&r)?, r.page, "survey.html".to_owned()),
            Self::Index(r) => (press.index(&r.place)?, r.place, "index.html".to_owned()),
        };
        if place.out.as_deref() == Some(Path::new("-")) {
            desk.out.line(page);
            return Ok(());
        }
        let path = place.out.unwrap_or_else(|| desk.folder.join("reports").join(name));
        write(&path, &page)?;
        desk.out.line(format!("wrote {}", path.display()));
        Ok(())
    }
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
            pictures: &pictures,
        };
        page(&settings).map_err(|e| e.to_string().into())
    }

    pub fn entry(&self, number: &str, place: &Where) -> Result<String, Failure> {
        let file = self.catalogue.piece(number)?;
        self.print(place, |s| report::catalogue_entry(&file, s))
    }

    pub fn comparison(&self, asked: &super::compare::Settled, place: &Where) -> Result<String, Failure> {
        let (subject, others) = asked.pieces(&self.catalogue)?;
        self.print(place, |s| report::comparison(&subject, &others, &asked.basis, s))
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
        let entries: Vec<_> = self
            .catalogue
            .list()?
            .into_iter()
            .map(|line| {
                let written =
                    ["catalogue", "condition", "comparison", "treatment"].map(|kind| (kind, name(kind, &line.number)));
                let links = written.into_iter().filter(|(_, file)| reports.join(file).is_file());
                let links = links.map(|(kind, file)| (kind.to_owned(), file)).collect();
                entry(line, links)
            })
            .collect();
        self.print(place, |s| report::index(&entries, s))
    }
}

fn entry(line: crate::catalogue::Line, links: Vec<(String, String)>) -> IndexEntry {
    IndexEntry {
        number: line.number,
        nature: line.nature,
        object_name: line.object_name,
        garment: line.garment,
        title: line.title,
        date: line.date,
        earliest: line.earliest,
        latest: line.latest,
        location: line.location,
        grade: line.grade,
        fibres: line.fibres,
        thumbnail: line.photograph,
        links,
    }
}
