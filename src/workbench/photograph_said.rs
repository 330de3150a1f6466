//! What is said of a photograph as one of a piece, put right field by field; and the photograph taken off a piece that it does
//! not show.

use std::collections::HashMap;
use std::sync::Arc;

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Form as Body, Router};
use serde::Serialize;

use super::desk::Desk;
use super::fault::{Wrong, sentence};
use super::form::{self, Amiss, Field, Form, Sent, Typed, again};
use super::frame::{self, Leaf, Room};
use super::piece;
use super::sessions::Visitor;
use crate::catalogue::{Amend, Catalogue, Fault, PhotographCorrection, Untied};
use crate::record::PieceFile;
use crate::record::account::Role;
use crate::record::photograph::{Photograph, STAGES};
use crate::report;
use crate::vocabulary::{Scheme, Vocabulary};

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/pieces/{number}/photographs/{sha256}/correct", get(ask).post(correct))
        .route("/pieces/{number}/photographs/{sha256}/untie", post(untie))
}

/// The page of a photograph where what is said of it is put right.
pub(super) fn address(number: &str, sha256: &str) -> String {
    format!("{}/correct", piece::photograph(number, sha256))
}

#[derive(Serialize)]
struct Page {
    number: String,
    address: String,
    sha256: String,
    name: String,
    /// Off which piece it was taken, if it shows none.
    off: String,
    /// What is said of it; nothing where it shows no piece.
    said: Option<Form>,
    untie: Form,
}

/// Which form was sent, and what is wrong with it.
#[derive(Default)]
struct Again {
    said: Sent,
    untie: Sent,
}

type Place = Path<(String, String)>;

async fn ask(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path((number, sha256)): Place,
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    show(&desk, &visitor, number, sha256, Again::default()).await
}

async fn show(
    desk: &Arc<Desk>,
    visitor: &Visitor,
    number: String,
    sha256: String,
    sent: Again,
) -> Result<Response, Wrong> {
    frame::page(desk, visitor, Room::Collection, move |catalogue, _| {
        let file = catalogue.piece(&number)?;
        let of = piece::photograph(&number, &sha256);
        let page = if let Ok(photo) = of_piece(&file, &sha256) {
            Page {
                said: Some(said_form(format!("{of}/correct"), &file, photo, catalogue.vocabulary(), sent.said)),
                untie: untie_form(format!("{of}/untie"), &number, true, sent.untie),
                off: String::new(),
                name: photo.original_name.clone(),
                sha256: photo.sha256.clone(),
                address: piece::address(&number),
                number: number.clone(),
            }
        } else {
            let photo = taken_off(catalogue, &number)?.into_iter().find(|photo| photo.sha256 == sha256);
            let photo = photo.ok_or_else(missing)?;
            Page {
                said: None,
                untie: untie_form(format!("{of}/untie"), &number, false, sent.untie),
                off: sentence(&photo.in_words()),
                name: photo.original_name,
                sha256: photo.sha256,
                address: piece::address(&number),
                number: number.clone(),
            }
        };
        Ok(Leaf { template: "photograph_said.html", title: format!("What is said of a photograph of {number}"), page })
    })
    .await
}

fn missing() -> Wrong {
    Wrong::not_found("There is no such photograph of this piece.")
}

fn of_piece<'f>(file: &'f PieceFile, sha256: &str) -> Result<&'f Photograph, Wrong> {
    file.photographs.iter().find(|p| p.sha256.eq_ignore_ascii_case(sha256)).ok_or_else(missing)
}

/// The photographs that were taken off this piece and show no other since.
pub(super) fn taken_off(catalogue: &Catalogue, number: &str) -> Result<Vec<Untied>, Fault> {
    Ok(catalogue.untied_photographs()?.into_iter().filter(|photo| photo.number == number).collect())
}

/// A field of the form that can be put right: its name, its label, and what stands in it.
type Stands = (&'static str, &'static str, String);

const LABELS: [(&str, &str); 8] = [
    ("view", "View"),
    ("component", "Component shown"),
    ("light", "Light"),
    ("examination", "Examination"),
    ("treatment", "Treatment"),
    ("stage", "Before, during or after it"),
    ("photographer", "Photographer"),
    ("caption", "Caption"),
];

fn stands(photo: &Photograph) -> [Stands; 8] {
    let mut said: HashMap<&str, String> = photo.said().into_iter().collect();
    // Two treatments may bear one title.
    said.insert("treatment", photo.treatment_id.clone().unwrap_or_default());
    LABELS.map(|(name, label)| (name, label, said.remove(name).unwrap_or_default()))
}

/// What a field can be; nothing for one that takes any words.
fn choices(name: &str, file: &PieceFile, words: &Vocabulary) -> Option<Vec<(String, String)>> {
    let same = |text: &str| (text.to_owned(), text.to_owned());
    let terms = |scheme| words.terms(scheme).map(|term| same(term.id.name())).collect::<Vec<_>>();
    let mut list = match name {
        "view" => terms(Scheme::View),
        "light" => terms(Scheme::Light),
        "component" => file.components.iter().filter_map(|c| c.name.as_deref()).map(same).collect(),
        "examination" => {
            let days = file.examinations.iter().rev().filter_map(|exam| exam.about.date);
            days.map(|day| (day.to_string(), report::day(Some(day)))).collect()
        }
        "treatment" => {
            let treatments = file.treatments.iter().rev();
            treatments.filter_map(|t| Some((t.id.clone()?, t.proposal.title.clone().unwrap_or_default()))).collect()
        }
        "stage" => STAGES.iter().map(|stage| same(stage)).collect(),
        _ => return None,
    };
    let blank = if name == "component" { "the whole piece, or not recorded" } else { "not recorded" };
    list.insert(0, (String::new(), blank.to_owned()));
    Some(list)
}

fn said_form(to: String, file: &PieceFile, photo: &Photograph, words: &Vocabulary, sent: Sent) -> Form {
    let now = stands(photo);
    let mut fields: Vec<Field> = now
        .iter()
        .map(|(name, label, _)| match choices(name, file, words) {
            Some(list) => Field::choice(name, *label, list),
            // A caption may be long.
            None if *name == "caption" => Field::of("area", name, *label),
            None => Field::text(name, *label),
        })
        .collect();
    let blank = [("", "stays as it is recorded"), ("yes", "is struck out, since it was never so")];
    fields.push(Field::choice("strike", "What is left blank above", blank));
    fields.push(Field::why().required());
    fields.push(Field::of("hidden", "stood", ""));
    let mut typed: Vec<(&'static str, String)> = now.iter().map(|(name, _, value)| (*name, value.clone())).collect();
    let mut amiss = None;
    if let Some((sent, wrong)) = sent {
        let stood = stood(&sent);
        for (name, value) in &mut typed {
            // What was not touched shows what stands now, also where another has put it right meanwhile.
            if sent.has(name) && stood.get(*name).is_none_or(|stood| !alike(stood, sent.get(name))) {
                sent.get(name).clone_into(value);
            }
        }
        typed.extend(["strike", "reason"].map(|name| (name, sent.get(name).to_owned())));
        amiss = Some(wrong);
    }
    let stood: HashMap<_, _> = now.into_iter().map(|(name, _, value)| (name, value)).collect();
    typed.push(("stood", serde_json::to_string(&stood).unwrap_or_default()));
    Form::new(to, "Put it right", fields, &typed.into_iter().collect())
        .says("Only what you change is changed; the journal keeps what stood before.")
        .amiss(amiss.as_ref())
}

fn untie_form(to: String, number: &str, tied: bool, sent: Sent) -> Form {
    let onto = Field::text("onto", "Number of the piece that it shows");
    let (onto, go) = if tied {
        (
            onto.hint("it is tied to that piece in the same act; blank if you do not know it yet"),
            "Take it off this piece",
        )
    } else {
        (onto.required(), "Tie it to this piece")
    };
    let begins = || [("onto", number.to_owned())].into_iter().filter(|_| !tied).collect();
    Form::sent(to, go, vec![onto, Field::why().required()], sent, begins)
}

/// What stood in each field when the form was laid out.
fn stood(typed: &Typed) -> HashMap<String, String> {
    serde_json::from_str(typed.get("stood")).unwrap_or_default()
}

/// Whether two texts are the same but for spaces and line breaks: a field of one line keeps no breaks.
fn alike(one: &str, other: &str) -> bool {
    one.split_whitespace().eq(other.split_whitespace())
}

/// What is to be put right: the fields that were changed in the form.
fn meant(typed: &Typed, file: &PieceFile, sha256: &str, words: &Vocabulary) -> Result<PhotographCorrection, Amiss> {
    let photo = of_piece(file, sha256).map_err(|gone| Amiss { field: "", says: gone.says })?;
    let stood = stood(typed);
    let mut amended: HashMap<&str, Amend<String>> = HashMap::new();
    for (name, label, now) in stands(photo) {
        let (was, is) = (stood.get(name).unwrap_or(&now), typed.get(name));
        if !typed.has(name) || alike(was, is) || alike(&now, is) {
            continue;
        }
        if !alike(was, &now) {
            let now = if now.is_empty() { "not recorded".into() } else { format!("`{now}`") };
            let says = format!("this was changed meanwhile and is {now} now; send the form again if yours is true");
            return Err(Amiss::at(name, says));
        }
        if choices(name, file, words).is_some_and(|list| !list.iter().any(|(value, _)| value == is)) {
            return Err(Amiss::at(name, format!("`{is}` is none of these; choose from the list")));
        }
        let strikes = typed.get("strike") == "yes";
        if is.is_empty() && !strikes {
            let says = format!(
                "`{now}` is recorded, and a blank {} erases nothing; say below that it is struck out if it was never so",
                label.to_lowercase()
            );
            return Err(Amiss::at(name, says));
        }
        amended.insert(name, if is.is_empty() { Amend::Struck } else { Amend::Is(is.to_owned()) });
    }
    if amended.is_empty() {
        return Err(Amiss::at("", "nothing differs from what is recorded; nothing was changed"));
    }
    let mut text = |name: &str| amended.remove(name).unwrap_or_default();
    let term = |amend: Amend<String>, scheme, field| match amend {
        Amend::Is(word) => match words.find(scheme, &word) {
            Ok(term) => Ok(Amend::Is(term.id.clone())),
            Err(why) => Err(Amiss::at(field, why.to_string())),
        },
        Amend::Struck => Ok(Amend::Struck),
        Amend::Stays => Ok(Amend::Stays),
    };
    Ok(PhotographCorrection {
        view: term(text("view"), Scheme::View, "view")?,
        light: term(text("light"), Scheme::Light, "light")?,
        component: text("component"),
        examination: text("examination"),
        treatment: text("treatment"),
        stage: text("stage"),
        photographer: text("photographer"),
        caption: text("caption"),
    })
}

/// Who decides, and why.
fn decided(visitor: &Visitor, typed: &Typed) -> Result<(String, String), Amiss> {
    let author = form::who(visitor)?;
    let reason = typed.some("reason").ok_or_else(|| Amiss::at("reason", "say why in a few words"))?;
    Ok((author, reason))
}

async fn correct(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path((number, sha256)): Place,
    Body(typed): Body<Typed>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let (of, sha, asked) = (number.clone(), sha256.clone(), typed.clone());
    let work = decided(&visitor, &typed).map(|(author, reason)| {
        move |catalogue: &mut Catalogue| {
            let file = catalogue.piece(&of)?;
            match meant(&asked, &file, &sha, catalogue.vocabulary()) {
                Ok(amended) => {
                    catalogue.correct_photograph(&author, &reason, &sha, Some(&of), &amended).map(|_| Ok(()))
                }
                Err(amiss) => Ok(Err(amiss)),
            }
        }
    });
    match form::put(&desk, "", work).await?.and_then(|done| done) {
        Ok(()) => Ok(Redirect::to(&piece::photograph(&number, &sha256)).into_response()),
        Err(amiss) => {
            let sent = Again { said: Some((typed, amiss)), ..Again::default() };
            show(&desk, &visitor, number, sha256, sent).await.map(again)
        }
    }
}

async fn untie(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path((number, sha256)): Place,
    Body(typed): Body<Typed>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let (of, sha, onto) = (number.clone(), sha256.clone(), typed.some("onto"));
    let named = onto.clone();
    let work = decided(&visitor, &typed).map(|(author, reason)| {
        move |catalogue: &mut Catalogue| {
            // A number that is none is said beside it.
            match named.as_deref().map(|other| catalogue.accepts(other)) {
                Some(Err(fault @ (Fault::Refused(_) | Fault::NoPiece { .. }))) => {
                    return Ok(Err(Amiss::at("onto", fault.to_string())));
                }
                Some(Err(other)) => return Err(other),
                Some(Ok(())) | None => {}
            }
            catalogue.untie_photograph(&author, &reason, &sha, Some(&of), named.as_deref()).map(|_| Ok(()))
        }
    });
    match form::put(&desk, "", work).await?.and_then(|done| done) {
        Ok(()) => {
            let to = match onto {
                Some(other) => piece::photograph(&other, &sha256),
                None => format!("{}/photographs#recorded", piece::address(&number)),
            };
            Ok(Redirect::to(&to).into_response())
        }
        Err(amiss) => {
            let sent = Again { untie: Some((typed, amiss)), ..Again::default() };
            show(&desk, &visitor, number, sha256, sent).await.map(again)
        }
    }
}
