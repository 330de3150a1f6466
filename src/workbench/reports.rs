//! Reports of a piece: what can be printed, a preview in the page, the sheet to print, the seal.

use std::sync::Arc;

use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Form, Router};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::desk::{self, Desk};
use super::fault::Wrong;
use super::form;
use super::frame::{self, Leaf, Room};
use super::piece;
use super::sessions::Visitor;
use super::sheet::{printed, sheet_of};
use crate::catalogue::{Catalogue, Seal};
use crate::printing::{self, NotPrinted};
use crate::record::account::Role;
use crate::record::{Examination, PieceFile};
use crate::report::{self, PrintSet, Settings, StorePictures, TreatmentAsked, TreatmentPart};
use crate::sealed::Pages;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/pieces/{number}/reports", get(list))
        .route("/pieces/{number}/reports/{kind}", get(preview))
        .route("/pieces/{number}/reports/{kind}/sheet", get(sheet))
        .route("/pieces/{number}/seal", post(seal))
        .route("/sealed/{code}", get(sealed))
        .route("/sealed/{code}/sheet", get(sealed_sheet))
}

/// What is to be printed.
#[derive(Debug, Clone, Default, Deserialize, Serialize)]
#[serde(default)]
struct Asked {
    /// Day of the examination; the last if blank.
    examination: String,
    /// Full, summary or loan.
    set: String,
    /// Title or identifier of the treatment; the latest if blank.
    treatment: String,
    /// Proposal or record.
    part: String,
    /// Number of the piece to compare with.
    with: String,
    /// Day of the earlier examination, for the changes; the one before if blank.
    since: String,
    /// Check code of the sealed report that it is laid beside.
    against: String,
    /// Whose pace sewing is reckoned by.
    maker: String,
}

impl Asked {
    fn day(text: &str) -> Result<Option<Date>, Wrong> {
        let text = text.trim();
        let no_day = |_| Wrong::refused(format!("`{text}` is no day of an examination; write it as 2024-03-12."));
        if text.is_empty() { Ok(None) } else { text.parse().map(Some).map_err(no_day) }
    }

    fn print_set(&self) -> PrintSet {
        [PrintSet::Summary, PrintSet::Loan].into_iter().find(|set| set.word() == self.set).unwrap_or_default()
    }

    fn address(&self, number: &str, kind: &str, end: &str) -> String {
        let mut query = form_urlencoded::Serializer::new(String::new());
        for (name, value) in [
            ("examination", &self.examination),
            ("set", &self.set),
            ("treatment", &self.treatment),
            ("part", &self.part),
            ("with", &self.with),
            ("since", &self.since),
            ("against", &self.against),
            ("maker", &self.maker),
        ] {
            if !value.is_empty() {
                query.append_pair(name, value);
            }
        }
        let query = query.finish();
        let mark = if query.is_empty() { "" } else { "?" };
        format!("{}/reports/{kind}{end}{mark}{query}", piece::address(number))
    }
}

/// What the list of reports shows.
#[derive(Serialize)]
struct List {
    number: String,
    address: String,
    groups: Vec<Group>,
    seals: Vec<SealRow>,
    /// The days of its examinations, the latest first: as sent, and as read.
    days: Vec<(String, String)>,
}

/// Reports of one kind.
#[derive(Serialize)]
struct Group {
    title: String,
    links: Vec<(String, String)>,
    /// Why there are none.
    none: &'static str,
}

/// A sealed report.
#[derive(Serialize)]
pub(super) struct SealRow {
    /// Of the sealed page.
    pub address: String,
    /// Its check code.
    pub code: String,
    /// What it is of, when it was sealed and by whom.
    pub words: String,
}

async fn list(State(desk): State<Arc<Desk>>, visitor: Visitor, Path(number): Path<String>) -> Result<Response, Wrong> {
    frame::page(&desk, &visitor, Room::Collection, move |catalogue, _| {
        let file = catalogue.piece(&number)?;
        let seals = catalogue.seals(Some(&number))?.iter().rev().map(seal_row).collect();
        let day = |exam: &Examination| exam.about.date.map(|day| (day.to_string(), report::day(Some(day))));
        let days = file.examinations.iter().rev().filter_map(day).collect();
        let page =
            List { address: piece::address(&number), groups: groups(&file), seals, days, number: number.clone() };
        Ok(Leaf { template: "reports.html", title: format!("Reports of {number}"), page })
    })
    .await
}

pub(super) fn seal_row(seal: &Seal) -> SealRow {
    let set = if seal.print_set == "against" { "outgoing and incoming" } else { &seal.print_set };
    let (examined, sealed_on) = (report::day(Some(seal.examined)), report::day(Some(seal.sealed_on)));
    SealRow {
        address: format!("/sealed/{}", report::link_part(&seal.code)),
        code: seal.code.clone(),
        words: format!("examination of {examined}, {set}; sealed {sealed_on} by {}", seal.sealed_by),
    }
}

fn groups(file: &PieceFile) -> Vec<Group> {
    let number = file.number();
    let link = |words: &str, kind: &str, asked: &Asked| (words.to_owned(), asked.address(number, kind, ""));
    let mut groups =
        vec![Group { title: "Catalogue".into(), links: vec![link("the entry", "entry", &Asked::default())], none: "" }];
    let condition = |exam: &Examination| {
        let day = exam.about.date.map(|day| day.to_string()).unwrap_or_default();
        let asked = |set: &str| Asked { examination: day.clone(), set: set.into(), ..Asked::default() };
        Group {
            title: format!("Condition, {}", report::day(exam.about.date)),
            links: vec![
                link("full report", "condition", &asked("")),
                link("on one sheet", "condition", &asked("summary")),
                link("for a loan", "condition", &asked("loan")),
            ],
            none: "",
        }
    };
    groups.extend(file.examinations.iter().rev().map(condition));
    if file.examinations.is_empty() {
        groups.push(Group { title: "Condition".into(), links: Vec::new(), none: "not examined yet" });
    }
    for treatment in &file.treatments {
        let title = treatment.proposal.title.clone().unwrap_or_default();
        // Two versions of one treatment bear the same title.
        let id = treatment.id.clone().unwrap_or_else(|| title.clone());
        let asked = |part: &str| Asked { treatment: id.clone(), part: part.into(), ..Asked::default() };
        groups.push(Group {
            links: vec![
                link("proposal to consent to", "treatment", &asked("proposal")),
                link("record of what was done", "treatment", &asked("record")),
            ],
            title: format!("Treatment: {title}, {}", report::treatment_named(treatment, file)),
            none: "",
        });
    }
    let models: Vec<&String> = file.made_after.iter().filter_map(|m| m.model.as_ref()).collect();
    if !models.is_empty() {
        let one = |model: &&String| {
            link(&format!("with {model}"), "comparison", &Asked { with: (*model).clone(), ..Asked::default() })
        };
        groups.push(Group { title: "Comparison".into(), links: models.iter().map(one).collect(), none: "" });
    }
    groups.push(Group {
        title: "Sewing".into(),
        links: vec![link("stitches and hours, by the pace of the work logs", "effort", &Asked::default())],
        none: "",
    });
    groups
}

/// What a preview shows.
#[derive(Serialize)]
struct Preview {
    number: String,
    address: String,
    sheet: String,
    asked: Asked,
    /// Whether it can be sealed, and by whom.
    seal_by: Option<String>,
    may_seal: bool,
    /// Whether it can be reckoned by the pace of another maker.
    by_pace: bool,
    /// Check code, on a report that is sealed.
    code: String,
    words: String,
    /// Why it was not sealed.
    amiss: String,
}

/// What a kind of report is called above it.
fn title(kind: &str, asked: &Asked) -> String {
    match kind {
        "effort" => "What it takes to sew".into(),
        "condition" if !asked.against.trim().is_empty() => "Outgoing and incoming".into(),
        kind => report::capital(kind),
    }
}

async fn preview(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path((number, kind)): Path<(String, String)>,
    Query(asked): Query<Asked>,
) -> Result<Response, Wrong> {
    show_preview(&desk, &visitor, (number, kind), asked, String::new()).await
}

async fn show_preview(
    desk: &Arc<Desk>,
    visitor: &Visitor,
    (number, kind): (String, String),
    asked: Asked,
    amiss: String,
) -> Result<Response, Wrong> {
    let (seal_by, may) = (visitor.name.clone(), visitor.role >= Role::Keep);
    frame::page(desk, visitor, Room::Collection, move |catalogue, settings| {
        // Made once here, so that what cannot be printed is said in the frame.
        print(catalogue, &number, &kind, &asked, settings)?;
        let page = Preview {
            address: piece::address(&number),
            sheet: asked.address(&number, &kind, "/sheet"),
            may_seal: may && kind == "condition",
            by_pace: kind == "effort",
            code: String::new(),
            words: String::new(),
            amiss,
            number: number.clone(),
            seal_by,
            asked,
        };
        Ok(Leaf { template: "preview.html", title: format!("{}: {number}", title(&kind, &page.asked)), page })
    })
    .await
}

async fn sheet(
    State(desk): State<Arc<Desk>>,
    _: Visitor,
    Path((number, kind)): Path<(String, String)>,
    Query(asked): Query<Asked>,
) -> Result<Response, Wrong> {
    sheet_of(&desk, move |catalogue, settings| print(catalogue, &number, &kind, &asked, settings)).await
}

fn print(
    catalogue: &Catalogue,
    number: &str,
    kind: &str,
    asked: &Asked,
    settings: &Settings<'_>,
) -> Result<String, Wrong> {
    match kind {
        "entry" => Ok(report::catalogue_entry(&catalogue.piece(number)?, settings)?),
        "condition" => Ok(printing::condition(catalogue, &condition(number, asked, None)?, settings)?.page),
        "treatment" => {
            let part = match asked.part.as_str() {
                "proposal" => Some(TreatmentPart::Proposal),
                "record" => Some(TreatmentPart::Record),
                _ => None,
            };
            let seals = catalogue.consent_seals(number)?;
            let treatment = Some(asked.treatment.as_str()).filter(|title| !title.is_empty());
            let asked = TreatmentAsked { treatment, part, seals: &seals };
            Ok(report::treatment(&catalogue.piece(number)?, &asked, settings)?)
        }
        "comparison" => {
            let (subject, other) = (catalogue.piece(number)?, catalogue.piece(asked.with.trim())?);
            Ok(report::comparison(&subject, &[other], &report::Compared::default(), settings)?)
        }
        "effort" => {
            let file = catalogue.piece(number)?;
            let maker = Some(asked.maker.trim()).filter(|maker| !maker.is_empty());
            Ok(report::effort(&file, &printing::effort(catalogue, &file, maker)?, settings)?)
        }
        _ => Err(Wrong::not_found("There is no report of this kind. The list of reports shows those there are.")),
    }
}

fn condition<'a>(number: &'a str, asked: &'a Asked, sealed_by: Option<&'a str>) -> Result<printing::Asked<'a>, Wrong> {
    Ok(printing::Asked {
        number,
        examination: Asked::day(&asked.examination)?,
        since: Asked::day(&asked.since)?,
        set: asked.print_set(),
        against: Some(asked.against.trim()).filter(|code| !code.is_empty()),
        sealed_by,
    })
}

impl From<NotPrinted> for Wrong {
    fn from(not: NotPrinted) -> Self {
        match not {
            NotPrinted::Fault(fault) => fault.into(),
            NotPrinted::Report(fault) => fault.into(),
            NotPrinted::Refused(says) => Self::refused(says),
        }
    }
}

/// Seals a condition report as it would be printed now, pictures and all, under the name of whoever asks.
async fn seal(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(number): Path<String>,
    Form(asked): Form<Asked>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let by = match form::who(&visitor) {
        Ok(by) => by,
        Err(amiss) => {
            let report = (number, "condition".to_owned());
            return show_preview(&desk, &visitor, report, asked, amiss.says).await.map(form::again);
        }
    };
    let for_work = desk.clone();
    let code = desk::write(&desk, move |catalogue| {
        let pictures = StorePictures::embedded(&for_work.store);
        let made = frame::with_settings(&for_work, catalogue, None, |settings| {
            let settings = Settings { pictures: &pictures, ..*settings };
            Ok(printing::condition(catalogue, &condition(&number, &asked, Some(&by))?, &settings)?)
        })?;
        let Some(new) = made.new else { return Err(Wrong::broken()) };
        Ok(catalogue.seal(&by, made.page.as_bytes(), &new)?.code)
    })
    .await?;
    Ok(Redirect::to(&format!("/sealed/{}", report::link_part(&code))).into_response())
}

async fn sealed(State(desk): State<Arc<Desk>>, visitor: Visitor, Path(code): Path<String>) -> Result<Response, Wrong> {
    frame::page(&desk, &visitor, Room::Collection, move |catalogue, _| {
        let seal = catalogue.seal_named(&code)?;
        let row = seal_row(&seal);
        let page = Preview {
            address: piece::address(&seal.number),
            sheet: format!("{}/sheet", row.address),
            asked: Asked::default(),
            seal_by: None,
            may_seal: false,
            by_pace: false,
            code: row.code,
            words: row.words,
            amiss: String::new(),
            number: seal.number.clone(),
        };
        Ok(Leaf { template: "preview.html", title: format!("Sealed report {} of {}", seal.no, seal.number), page })
    })
    .await
}

async fn sealed_sheet(State(desk): State<Arc<Desk>>, _: Visitor, Path(code): Path<String>) -> Result<Response, Wrong> {
    let page = desk::read(&desk, move |catalogue| {
        let seal = catalogue.seal_named(&code)?;
        Pages::at(catalogue.folder()).read(&seal.sha256).map_err(Wrong::not_found)
    })
    .await?;
    Ok(printed(page))
}
