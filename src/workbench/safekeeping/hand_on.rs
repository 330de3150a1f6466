//! The catalogue, or chosen pieces of it, handed on in open formats.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::Response;
use axum::routing::get;
use axum::{Form, Router};
use serde::Serialize;

use super::fields::{Amiss, Fields};
use super::{Beside, begun, lying};
use crate::catalogue::{Catalogue, tables};
use crate::exchange::out::discretion::Kind;
use crate::exchange::out::schema;
use crate::export::{self, Asked, Lying, Made, NotMade};
use crate::record::account::Role;
use crate::report::capital;
use crate::workbench::desk::{self, Desk};
use crate::workbench::fault::{Wrong, sentence};
use crate::workbench::form::with_status;
use crate::workbench::frame::{self, Leaf, Room, When};
use crate::workbench::sessions::Visitor;
use crate::workbench::sheet::to_keep;
use crate::workbench::works::{Outcome, Work};

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/safekeeping/export", get(list))
        .route("/safekeeping/export/json/schema", get(json_schema))
        .route("/safekeeping/export/{format}", get(page).post(make))
}

/// A format, in words.
#[derive(Debug, Clone, Copy, Serialize)]
pub(super) struct Format {
    pub word: &'static str,
    pub title: &'static str,
    /// For whom, and what it is.
    says: &'static str,
    /// What is to be known of it before.
    more: &'static str,
    /// Whether it is for the public.
    public: bool,
}

/// The formats in the order in which they are offered.
const FORMATS: [Format; 9] = [
    Format {
        word: "json",
        title: "The whole catalogue as JSON",
        says: "to be read by any program, and taken in again by this one",
        more: "Every table is in it, the journal as well, with the original photographs and the sealed reports beside it. Read \
               back into a new catalogue it gives the same again, byte for byte.",
        public: false,
    },
    Format {
        word: "csv",
        title: "Tables as CSV",
        says: "for spreadsheets and statistics: a file a table",
        more: "A page beside them, csv-metadata.json, says of every column what it means, and its unit. Texts stand as they \
               were recorded.",
        public: false,
    },
    Format {
        word: "parquet",
        title: "Tables as Parquet",
        says: "to be queried beside the tables of other collections",
        more: "The tables lie in folders that name the collection. Numbers of rows count within a collection: join by \
               collection and number.",
        public: false,
    },
    Format {
        word: "bag",
        title: "Pieces in a bag (BagIt)",
        says: "for a deposit, a loan, a colleague: records, photographs and reports, each file with its SHA-256",
        more: "Any BagIt tool tells whether a bit has changed since; so does `sha256sum -c manifest-sha256.txt` in the folder. \
               The reports are dated by the last change to the catalogue.",
        public: false,
    },
    Format {
        word: "site",
        title: "A site to read",
        says: "for readers: an index and a page a piece, to open from a disk or put on any web server",
        more: "Plain pages without script. Photographs are smaller copies without anything that the camera wrote; treatments \
               and work logs have no page.",
        public: true,
    },
    Format {
        word: "iiif",
        title: "IIIF manifests and pictures",
        says: "for IIIF viewers: each piece with its photographs to be looked into",
        more: "Put the folder at the address below. Photographs are written anew from their pixels. A viewer at another address \
               reads them only if the server sends `Access-Control-Allow-Origin: *`.",
        public: true,
    },
    Format {
        word: "lido",
        title: "LIDO",
        says: "for museums and portals: one XML file",
        more: "Of what can be included it has a place for provenance, people, other pieces and the photographs of treatments.",
        public: true,
    },
    Format {
        word: "linked-art",
        title: "Linked Art",
        says: "for linked data: JSON-LD over CIDOC CRM, a file a piece",
        more: "",
        public: true,
    },
    Format {
        word: "dublin-core",
        title: "Dublin Core",
        says: "for library catalogues and search engines: the fifteen elements in one file",
        more: "Of what can be included the fifteen elements have a place for people and other pieces.",
        public: true,
    },
];

/// The format of this word.
pub(super) fn named(word: &str) -> Option<Format> {
    FORMATS.into_iter().find(|format| format.word == word)
}

fn no_format() -> Wrong {
    Wrong::not_found("There is no export of this name. The list of exports shows those there are.")
}

/// What the list shows.
#[derive(Serialize)]
struct List {
    whole: Vec<Format>,
    public: Vec<Format>,
    lying: Vec<lying::Row>,
}

async fn list(State(desk): State<Arc<Desk>>, visitor: Visitor) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    frame::page(&desk, &visitor, Room::Safekeeping, |catalogue, _| {
        let (public, whole) = FORMATS.into_iter().partition(|format| format.public);
        let lying = Lying::all(catalogue.folder()).iter().map(lying::row).collect();
        Ok(Leaf { template: "exports.html", title: "Export".into(), page: List { whole, public, lying } })
    })
    .await
}

/// A kind of what the public does not see.
#[derive(Serialize)]
struct Included {
    word: &'static str,
    label: String,
    says: &'static str,
    ticked: bool,
}

/// What the form of a format shows.
#[derive(Serialize)]
struct Page {
    format: Format,
    fields: Fields,
    amiss: Amiss,
    beside: Beside,
    kinds: Vec<Included>,
    /// Kept searches, to be chosen from.
    kept: Vec<String>,
    /// What the collection is called.
    collection: String,
    /// When one was made that lies there still; blank if none does.
    lying: Option<When>,
}

async fn show(
    desk: &Arc<Desk>,
    visitor: &Visitor,
    format: Format,
    (fields, amiss, beside): (Fields, Amiss, Beside),
    status: StatusCode,
) -> Result<Response, Wrong> {
    let shown = frame::page(desk, visitor, Room::Safekeeping, move |catalogue, settings| {
        let kinds = Kind::CAN_BE_INCLUDED.iter().map(|(kind, says)| Included {
            word: kind.word(),
            label: kind.word().replace('-', " "),
            says,
            ticked: fields.includes(kind.word()),
        });
        let page = Page {
            kinds: kinds.collect(),
            kept: catalogue.kept_searches()?.into_iter().map(|kept| format!("kept:\"{}\"", kept.name)).collect(),
            collection: settings.collection.to_owned(),
            lying: Lying::of(catalogue.folder(), format.word).map(|lying| lying::when(&lying)),
            format,
            fields,
            amiss,
            beside,
        };
        Ok(Leaf { template: "export.html", title: format.title.into(), page })
    });
    Ok(with_status(shown.await?, status))
}

async fn page(State(desk): State<Arc<Desk>>, visitor: Visitor, Path(word): Path<String>) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let format = named(&word).ok_or_else(no_format)?;
    let blank = (Fields::default(), Amiss::default(), Beside::default());
    show(&desk, &visitor, format, blank, StatusCode::OK).await
}

async fn make(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(word): Path<String>,
    Form(pairs): Form<Vec<(String, String)>>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let format = named(&word).ok_or_else(no_format)?;
    let fields = Fields::of(pairs);
    let asked = match fields.asked(format.word).ok_or_else(no_format)? {
        Ok(asked) => {
            let looked = asked.clone();
            let look = desk::read(&desk, move |catalogue| Ok(looked.look(catalogue).map_err(|not| Amiss::of(&not))));
            look.await?.map(|()| asked)
        }
        Err(amiss) => Err(amiss),
    };
    let asked = match asked {
        Ok(asked) => asked,
        Err(amiss) => {
            let page = (fields, amiss, Beside::default());
            return show(&desk, &visitor, format, page, StatusCode::UNPROCESSABLE_ENTITY).await;
        }
    };
    let from = format!("/safekeeping/export/{}", format.word);
    let doing = move |catalogue: &mut Catalogue, work: &Work| handed_on(catalogue, &asked, work);
    match begun(&desk, &visitor, &format!("Export: {}", format.title), &from, doing) {
        Ok(response) => Ok(response),
        Err((status, beside)) => show(&desk, &visitor, format, (fields, Amiss::default(), beside), status).await,
    }
}

fn handed_on(catalogue: &Catalogue, asked: &Asked, work: &Work) -> Outcome {
    let place = export::place(catalogue.folder(), asked.format());
    let made = match export::make(catalogue, asked, &place, work) {
        Ok(made) => made,
        Err(NotMade::Fault(fault)) => {
            return Outcome::not_done(&fault, "Nothing of it was kept; an earlier export lies there as it was.");
        }
        Err(not) => return Outcome::failed(&not.to_string()),
    };
    let Made { left_out, list, findings, care, .. } = &made;
    let mut outcome = Outcome::done(&[made.told()], findings.clone());
    if let Some(care) = care {
        outcome.told.push(("To think of first".into(), vec![sentence(care)]));
    }
    let told = match list {
        Some(_) => vec![lying::left_out(left_out)],
        // What the command line calls an option is a tick here.
        None => left_out.iter().map(|line| capital(&line.replace(" (`--with-gps`)", ""))).collect(),
    };
    if !told.is_empty() {
        outcome.told.push(("Left out".into(), told));
    }
    outcome.next.push(("Read what it is, and take it with you".into(), lying::address(asked.format())));
    outcome
}

/// The JSON Schema of the document, which is the same for every catalogue.
async fn json_schema(visitor: Visitor) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let text = format!("{:#}\n", schema::schema(tables()?));
    Ok(to_keep("catalogue.schema.json", "application/schema+json", text.into_bytes()))
}
