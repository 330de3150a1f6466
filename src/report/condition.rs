//! The condition report of one examination.

use jiff::civil::Date;
use serde::Serialize;

use super::advice::{Danger, ToLookFor, Whole, dangers, to_look_for, whole};
use super::areas::{Areas, WholeRow, areas, whole as damaged};
use super::care::{Topic, care};
use super::colour_changes::{ColourChanges, colour_changes};
use super::cure::{Cure, cures};
use super::damage::{self, ChangeRow, Component, Meaning};
use super::diagram::{Diagram, diagram};
use super::identity::{Identity, owner};
use super::letters::Letters;
use super::loan::{Loan, loan};
use super::made::Made;
use super::over_time::{OverTime, over_time};
use super::plates::{Plate, Subject, names, plates};
use super::press::{self, Sheet};
use super::seal::{SealBlock, Since, mark, seal_block, since};
use super::side_by_side::{SideBySide, side_by_side};
use super::words::{Facts, day, joined, term, text};
use super::{PrintSet, Printing, ReportFault, Settings};
use crate::optics::Air;
use crate::record::photograph::Photograph;
use crate::record::{Examination, Observation, Observed, PieceFile};

/// Everything that the condition report prints.
#[derive(Debug, Serialize)]
struct Page {
    identity: Identity,
    /// Small picture beside the identification; blank if there is none.
    thumbnail: String,
    thumbnail_alt: String,
    circumstances: Facts,
    not_examined: String,
    withdrawn: usize,
    whole: Whole,
    #[serde(flatten)]
    made: Made,
    components: Vec<Component>,
    diagram: Diagram,
    /// Area and share of damage on the piece as a whole.
    damaged: Vec<WholeRow>,
    plates: Vec<Plate>,
    /// Photographs of which one is of this examination, laid over each other.
    pairs: Vec<SideBySide>,
    /// Lengths and areas of what is drawn on them.
    areas: Areas,
    /// How many photographs of other examinations are not shown.
    other_photographs: usize,
    /// Blank for a first examination.
    compared_with: String,
    /// The day that changes are told from, if it is not that of the examination before.
    told_since: String,
    changes: Vec<ChangeRow>,
    changes_counted: String,
    colour_changes: ColourChanges,
    over_time: OverTime,
    /// What differs from the last sealed report, if there is one.
    since: Option<Since>,
    dangers: Vec<Danger>,
    /// Hazards that the record points to.
    to_look_for: ToLookFor,
    care: Vec<Topic>,
    cures: Vec<Cure>,
    signatures: Vec<Signature>,
    /// What the page says of its own seal.
    seal: Option<SealBlock>,
    /// Only for a loan.
    loan: Option<Loan>,
    glossary: Vec<Meaning>,
    vocabulary_version: String,
}

/// Who signs, as far as known; blanks are lines to write on.
#[derive(Debug, Serialize)]
pub(super) struct Signature {
    pub role: &'static str,
    pub name: String,
    /// Day of the examination; blank where it is no matter.
    pub date: String,
}

pub(super) fn print(
    file: &PieceFile,
    date: Option<Date>,
    printing: &Printing<'_>,
    settings: &Settings<'_>,
) -> Result<String, ReportFault> {
    let at = find(file, date)?;
    let earlier = before(file, at, printing.since)?;
    let on = file.examinations.get(at).and_then(|e| e.about.date);
    // A grade means what it meant to the person who gave it: the definitions are those of the examination's day.
    let vocabulary = settings.vocabulary.on(on.unwrap_or(settings.printed_on));
    let settings = &Settings { vocabulary: &vocabulary, ..*settings };
    let examined = day(on);
    let examined = if examined.is_empty() { "date not recorded".to_owned() } else { examined };
    let kind = match printing.set {
        PrintSet::Full => "Condition report",
        PrintSet::Summary => "Condition summary",
        PrintSet::Loan => "Condition report for loan",
    };
    let number = Identity::of(file, settings.vocabulary).number;
    let sheet = Sheet {
        title: format!("{kind} {number}, {examined}"),
        running_left: number,
        running_right: format!("{kind}, {examined}"),
        printed_on: mark(day(Some(settings.printed_on)), printing.sealing),
        collection: match printing.set {
            PrintSet::Summary => super::summary::collection(settings.collection),
            _ => settings.collection.trim().to_owned(),
        },
    };
    match printing.set {
        PrintSet::Full => press::print("condition.html", &sheet, &page(file, at, earlier, printing, settings)),
        PrintSet::Loan => press::print("loan.html", &sheet, &page(file, at, earlier, printing, settings)),
        PrintSet::Summary => {
            press::print("summary.html", &sheet, &super::summary::page(file, at, earlier, printing, settings))
        }
    }
}

/// The examination asked for: the last one on that day, or the latest of all.
pub(super) fn find(file: &PieceFile, date: Option<Date>) -> Result<usize, ReportFault> {
    let number = || file.number().to_owned();
    let Some(date) = date else {
        return file.examinations.len().checked_sub(1).ok_or_else(|| ReportFault::NotExamined { number: number() });
    };
    file.examinations.iter().rposition(|e| e.about.date == Some(date)).ok_or_else(|| {
        let days = file.examinations.iter().map(|e| e.about.date.map(|d| d.to_string()).unwrap_or_default());
        let known = joined(days, ", ");
        let known = if known.is_empty() { "none".to_owned() } else { known };
        ReportFault::NoSuchExamination { number: number(), date, known }
    })
}

/// The examination to compare with: that of the day `since`, or the one before.
fn before(file: &PieceFile, at: usize, since: Option<Date>) -> Result<Option<usize>, ReportFault> {
    let Some(since) = since else { return Ok(at.checked_sub(1)) };
    let found = find(file, Some(since))?;
    if found < at {
        return Ok(Some(found));
    }
    let reported = file.examinations.get(at).and_then(|e| e.about.date);
    Err(ReportFault::NotEarlier {
        number: file.number().to_owned(),
        date: since,
        reported: reported.map_or_else(|| "an examination without a date".to_owned(), |d| d.to_string()),
    })
}

/// `14 November 2018 by Wren Askerdale`, for rows taken over from another examination.
pub(super) fn whose(exam: &Examination) -> String {
    let date = day(exam.about.date);
    let date = if date.is_empty() { "an examination without a date".to_owned() } else { date };
    let who = text(exam.about.examiner.as_ref());
    if who.is_empty() { date } else { format!("{date} by {who}") }
}

fn page(file: &PieceFile, at: usize, before: Option<usize>, printing: &Printing<'_>, s: &Settings<'_>) -> Page {
    let blank = Examination::default();
    let exam = file.examinations.get(at).unwrap_or(&blank);
    let identity = Identity::of(file, s.vocabulary);
    let shown: Vec<&Photograph> = file.photographs.iter().filter(|p| shows(p, exam)).collect();
    let letters = Letters::of(&file.examinations, at, &file.photographs);
    let names = names(&file.examinations);
    let subject = joined([identity.heading.clone(), file.number().to_owned()], ", ");
    let plates = plates(shown.iter().copied(), &Subject { file, letters: &letters, names: &names, words: &subject }, s);
    let changes = damage::changes(file, before, at, s.vocabulary);
    let earlier = before.and_then(|i| file.examinations.get(i));
    let told_since = match earlier {
        Some(exam) if before != at.checked_sub(1) => day(exam.about.date),
        _ => String::new(),
    };
    let components = damage::by_component(
        file,
        at,
        &letters,
        &damage::Shown { photographs: &shown, plates: &plates, since: &told_since },
        &changes,
    );
    Page {
        damaged: damaged(file, at, &shown, &letters),
        diagram: diagram(file, at, &letters, &components, s.vocabulary),
        thumbnail: shown.first().and_then(|p| s.pictures.thumbnail(&p.sha256)).unwrap_or_default(),
        thumbnail_alt: plates.first().map(|p| format!("Small picture of figure 1: {}", p.lead)).unwrap_or_default(),
        circumstances: circumstances(exam),
        not_examined: text(exam.about.not_examined.as_ref()),
        withdrawn: withdrawn(exam),
        whole: whole(exam, s.vocabulary),
        made: Made::of(file, at, s.units, s.vocabulary),
        components,
        other_photographs: file.photographs.len() - shown.len(),
        compared_with: earlier.map(whose).unwrap_or_default(),
        changes: damage::change_rows(&changes, &letters),
        changes_counted: damage::counted(&changes),
        colour_changes: colour_changes(file, before, at),
        over_time: over_time(file, at, &letters, s.vocabulary),
        told_since,
        dangers: dangers(file, at, s.vocabulary),
        to_look_for: to_look_for(file, s.vocabulary),
        care: care(file, s),
        cures: cures(file),
        signatures: vec![
            Signature { role: "Examiner", name: text(exam.about.examiner.as_ref()), date: day(exam.about.date) },
            Signature { role: "Owner or keeper", name: owner(file), date: String::new() },
        ],
        glossary: damage::glossary(damage::words_used(file, at).into_iter(), s.vocabulary),
        vocabulary_version: definitions(exam, s),
        since: printing.before.map(|b| since(file, b)),
        seal: printing.sealing.map(|x| seal_block(x, s)),
        loan: (printing.set == PrintSet::Loan).then(|| loan(file, at, &letters)),
        areas: areas(&shown, &plates),
        plates,
        pairs: side_by_side(
            &file.photographs.iter().collect::<Vec<_>>(),
            |a, b| shows(a, exam) || shows(b, exam),
            1,
            s,
        ),
        identity,
    }
}

/// Which definitions the page prints: `1a2b3c4d`, and the collection's own with the day on which they were in force.
pub(super) fn definitions(exam: &Examination, s: &Settings<'_>) -> String {
    let (shipped, own) = (s.vocabulary.version(), s.vocabulary.definitions());
    if own == "none" {
        return shipped;
    }
    let on = day(exam.about.date);
    let on = if on.is_empty() { day(Some(s.printed_on)) } else { format!("{on}, the day of the examination") };
    format!("{shipped} and of the collection’s own terms and wordings {own}, as in force on {on}")
}

/// Photographs of this examination, and those that belong to none and to no treatment.
pub(super) fn shows(p: &Photograph, exam: &Examination) -> bool {
    match p.examination {
        Some(date) => Some(date) == exam.about.date,
        None => p.treatment.is_none(),
    }
}

pub(super) fn circumstances(exam: &Examination) -> Facts {
    let c = &exam.about;
    Facts::default()
        .say("Day", day(c.date))
        .say("Examiner", text(c.examiner.as_ref()))
        .say("Reason", text(c.reason.as_ref()))
        .say("Where", text(c.place.as_ref()))
        .say("Light", term(c.light.as_ref()))
        .say("Magnification", text(c.magnification.as_ref()))
        .say("Air", air(exam))
        .may_say("Dew point", dew_point(exam))
        .say("Methods", text(c.methods.as_ref()))
        .may_say("Note", text(c.note.as_ref()))
}

pub(super) fn air(exam: &Examination) -> String {
    let temperature = exam.about.temperature.as_ref().map(|t| t.as_written.clone());
    let humidity = exam.about.humidity.as_ref().map(|h| format!("{} relative humidity", h.as_written));
    joined([temperature, humidity].into_iter().flatten(), ", ")
}

/// The dew point, where temperature and humidity are both recorded. Whole degrees: a good hygrometer allows no more.
fn dew_point(exam: &Examination) -> String {
    let (Some(t), Some(h)) = (&exam.about.temperature, &exam.about.humidity) else { return String::new() };
    Air::new(t.value, h.value).map(|air| format!("about {} °C", figure(air.dew_point()))).unwrap_or_default()
}

/// A whole number with a true minus.
fn figure(value: f64) -> String {
    let text = format!("{:.0}", value.abs());
    if value < 0.0 && text != "0" { format!("−{text}") } else { text }
}

/// How many lines were withdrawn: kept in the catalogue, left out of the page.
fn withdrawn(exam: &Examination) -> usize {
    fn of<T: Observation>(list: &[Observed<T>]) -> usize {
        list.iter().filter(|o| o.withdrawn.is_some()).count()
    }
    of(&exam.textiles)
        + of(&exam.measurements)
        + of(&exam.stitching)
        + of(&exam.fastenings)
        + of(&exam.stiffening)
        + of(&exam.trimmings)
        + of(&exam.steps)
        + of(&exam.signs)
        + of(&exam.conditions)
        + of(&exam.overall)
        + of(&exam.hazards)
}
