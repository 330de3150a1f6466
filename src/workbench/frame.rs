//! The frame around every page, and the templates that pages are laid out with.

use std::sync::Arc;

use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use jiff::ZonedDateTime;
use serde::Serialize;
use tera::Context;

use super::assets;
use super::desk::{self, Desk};
use super::fault::Wrong;
use super::sessions::Visitor;
use crate::catalogue::{Catalogue, Collection};
use crate::measure::System;
use crate::photograph::Store;
use crate::report::{self, Engine, Pictures, Settings, Template};

/// A page of the workbench may use the parts that printed reports are made of.
const TEMPLATES: &[Template] = &[
    ("frame.html", include_str!("../../templates/workbench/frame.html")),
    ("collection.html", include_str!("../../templates/workbench/collection.html")),
    ("collection_part.html", include_str!("../../templates/workbench/collection_part.html")),
    ("collection_leaf.html", include_str!("../../templates/workbench/collection_leaf.html")),
    ("parts.html", include_str!("../../templates/workbench/parts.html")),
    ("piece.html", include_str!("../../templates/workbench/piece.html")),
    ("due.html", include_str!("../../templates/workbench/due.html")),
    ("words.html", include_str!("../../templates/workbench/words.html")),
    ("word_list.html", include_str!("../../templates/workbench/word_list.html")),
    ("conventions.html", include_str!("../../templates/workbench/conventions.html")),
    ("journal.html", include_str!("../../templates/workbench/journal.html")),
    ("examine.html", include_str!("../../templates/workbench/examine.html")),
    ("sitting.html", include_str!("../../templates/workbench/sitting.html")),
    ("sitting_parts.html", include_str!("../../templates/workbench/sitting_parts.html")),
    ("sitting_lines.html", include_str!("../../templates/workbench/sitting_lines.html")),
    ("sitting_expected.html", include_str!("../../templates/workbench/sitting_expected.html")),
    ("sitting_echo.html", include_str!("../../templates/workbench/sitting_echo.html")),
    ("sitting_fields.html", include_str!("../../templates/workbench/sitting_fields.html")),
    ("sitting_meanwhile.html", include_str!("../../templates/workbench/sitting_meanwhile.html")),
    ("sheets.html", include_str!("../../templates/workbench/sheets.html")),
    ("sheets_in.html", include_str!("../../templates/workbench/sheets_in.html")),
    ("reports.html", include_str!("../../templates/workbench/reports.html")),
    ("preview.html", include_str!("../../templates/workbench/preview.html")),
    ("photograph.html", include_str!("../../templates/workbench/photograph.html")),
    ("photograph_said.html", include_str!("../../templates/workbench/photograph_said.html")),
    ("photographs.html", include_str!("../../templates/workbench/photographs.html")),
    ("photographs_taken.html", include_str!("../../templates/workbench/photographs_taken.html")),
    ("draw.html", include_str!("../../templates/workbench/draw.html")),
    ("overlay.html", include_str!("../../templates/workbench/overlay.html")),
    ("coverage.html", include_str!("../../templates/workbench/coverage.html")),
    ("file_data.html", include_str!("../../templates/workbench/file_data.html")),
    ("pointing.html", include_str!("../../templates/workbench/pointing.html")),
    ("area_colour.html", include_str!("../../templates/workbench/area_colour.html")),
    ("target.html", include_str!("../../templates/workbench/target.html")),
    ("threads.html", include_str!("../../templates/workbench/threads.html")),
    ("pattern_sizes.html", include_str!("../../templates/workbench/pattern_sizes.html")),
    ("compare_sheet.html", include_str!("../../templates/workbench/compare_sheet.html")),
    ("as_of.html", include_str!("../../templates/workbench/as_of.html")),
    ("purge.html", include_str!("../../templates/workbench/purge.html")),
    ("seals.html", include_str!("../../templates/workbench/seals.html")),
    ("accounts.html", include_str!("../../templates/workbench/accounts.html")),
    ("own_words.html", include_str!("../../templates/workbench/own_words.html")),
    ("kept.html", include_str!("../../templates/workbench/kept.html")),
    ("safekeeping.html", include_str!("../../templates/workbench/safekeeping.html")),
    ("import.html", include_str!("../../templates/workbench/import.html")),
    ("import_catalogue.html", include_str!("../../templates/workbench/import_catalogue.html")),
    ("import_list.html", include_str!("../../templates/workbench/import_list.html")),
    ("import_rows.html", include_str!("../../templates/workbench/import_rows.html")),
    ("import_to_do.html", include_str!("../../templates/workbench/import_to_do.html")),
    ("import_photographs.html", include_str!("../../templates/workbench/import_photographs.html")),
    ("keeping_parts.html", include_str!("../../templates/workbench/keeping_parts.html")),
    ("check.html", include_str!("../../templates/workbench/check.html")),
    ("backup.html", include_str!("../../templates/workbench/backup.html")),
    ("restore.html", include_str!("../../templates/workbench/restore.html")),
    ("exports.html", include_str!("../../templates/workbench/exports.html")),
    ("export.html", include_str!("../../templates/workbench/export.html")),
    ("lying.html", include_str!("../../templates/workbench/lying.html")),
    ("work.html", include_str!("../../templates/workbench/work.html")),
    ("work_gone.html", include_str!("../../templates/workbench/work_gone.html")),
    ("work_part.html", include_str!("../../templates/workbench/work_part.html")),
    ("reckon_answers.html", include_str!("../../templates/workbench/reckon_answers.html")),
    ("reckon.html", include_str!("../../templates/workbench/reckon.html")),
    ("withdrawn.html", include_str!("../../templates/workbench/withdrawn.html")),
    ("among.html", include_str!("../../templates/workbench/among.html")),
    ("departures.html", include_str!("../../templates/workbench/departures.html")),
    ("compare.html", include_str!("../../templates/workbench/compare.html")),
    ("searching.html", include_str!("../../templates/workbench/searching.html")),
    ("sign_in.html", include_str!("../../templates/workbench/sign_in.html")),
    ("name.html", include_str!("../../templates/workbench/name.html")),
    ("wrong.html", include_str!("../../templates/workbench/wrong.html")),
    ("once_more.html", include_str!("../../templates/workbench/once_more.html")),
];

/// Where a page belongs in the menu.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Room {
    /// The collection and its pieces.
    Collection,
    /// Examinations in progress.
    Examine,
    /// What is due to be looked at.
    Due,
    /// A piece beside others.
    Comparison,
    /// Words and conventions.
    Words,
    /// Sums at the table, of no piece in particular.
    Reckon,
    /// The catalogue as a whole: checked, copied, handed on, taken in; who may do what.
    Safekeeping,
    /// No entry of the menu.
    Door,
}

/// An entry of the menu beside the collection, which is always first.
#[derive(Debug, Serialize)]
struct Way {
    room: Room,
    address: &'static str,
    label: &'static str,
}

const ROOMS: &[Way] = &[
    Way { room: Room::Examine, address: "/examine", label: "Examine" },
    Way { room: Room::Due, address: "/due", label: "Due" },
    Way { room: Room::Comparison, address: "/comparison", label: "Compare" },
    Way { room: Room::Words, address: "/words", label: "Words" },
    Way { room: Room::Reckon, address: "/reckon", label: "Reckon" },
    Way { room: Room::Safekeeping, address: "/safekeeping", label: "Safekeeping" },
];

/// A page ready to be laid out.
pub struct Leaf<P> {
    /// Its template.
    pub template: &'static str,
    /// For the window and the bookmark.
    pub title: String,
    /// What the template shows, as `page`.
    pub page: P,
}

/// What the frame shows.
#[derive(Serialize)]
struct Frame<'a> {
    title: &'a str,
    collection: &'a str,
    room: Room,
    name: Option<&'a str>,
    role: Option<&'a str>,
    token: &'a str,
    /// In which system lengths are shown first.
    units: &'static str,
    has_accounts: bool,
    rooms: &'a [Way],
    icon: String,
    style: String,
    /// The script that every page has.
    shared: String,
    /// The script of this page alone, under the name of its template.
    own: String,
}

/// Photographs by their addresses at this workbench.
pub(super) struct Addresses<'a>(pub &'a Store);

impl Pictures for Addresses<'_> {
    fn view(&self, sha256: &str) -> Option<String> {
        self.0.view(sha256).is_file().then(|| format!("/photographs/{sha256}/view"))
    }
    fn thumbnail(&self, sha256: &str) -> Option<String> {
        self.0.thumbnail(sha256).is_file().then(|| format!("/photographs/{sha256}/small"))
    }
}

/// Makes a page: `work` reads the catalogue and says what the page shows; all of it runs away from the threads that serve.
pub(super) async fn page<P: Serialize>(
    desk: &Arc<Desk>,
    visitor: &Visitor,
    room: Room,
    work: impl FnOnce(&Catalogue, &Settings<'_>) -> Result<Leaf<P>, Wrong> + Send + 'static,
) -> Result<Response, Wrong> {
    let (for_work, visitor) = (desk.clone(), visitor.clone());
    let html = desk::read(desk, move |catalogue| {
        with_settings(&for_work, catalogue, visitor.units, |settings| {
            let visitor = Visitor { units: Some(settings.units), ..visitor };
            lay_out(&for_work, Some(&visitor), room, settings.collection, &work(catalogue, settings)?)
        })
    })
    .await?;
    Ok(html_response(StatusCode::OK, html))
}

/// Makes a part of a page, to be put into it by a script.
pub(super) async fn part<P: Serialize>(
    desk: &Arc<Desk>,
    template: &'static str,
    work: impl FnOnce(&Catalogue) -> Result<P, Wrong> + Send + 'static,
) -> Result<Response, Wrong> {
    let html = desk::read(desk, move |catalogue| part_html(template, &work(catalogue)?)).await?;
    Ok(html_response(StatusCode::OK, html))
}

/// A part of a page as text, for an answer that holds more than one.
pub(super) fn part_html<P: Serialize>(template: &str, page: &P) -> Result<String, Wrong> {
    let mut context = Context::new();
    context.insert("page", page);
    render(template, &context)
}

/// A page before anyone is known, which needs no catalogue.
pub(super) fn bare<P: Serialize>(desk: &Desk, status: StatusCode, leaf: &Leaf<P>) -> Response {
    at_the_door(desk, None, status, leaf)
}

/// A page that needs no catalogue, in the frame if someone is known.
fn at_the_door<P: Serialize>(desk: &Desk, visitor: Option<&Visitor>, status: StatusCode, leaf: &Leaf<P>) -> Response {
    match lay_out(desk, visitor, Room::Door, "", leaf) {
        Ok(html) => html_response(status, html),
        Err(wrong) => (wrong.status, wrong.says).into_response(),
    }
}

/// What was filled in on a page of another run of the program, to be sent once more to where it went. A password is not shown
/// again, and is to be typed anew.
pub(super) fn once_more(desk: &Desk, visitor: &Visitor, to: &str, fields: &[(String, String)]) -> Response {
    #[derive(Serialize)]
    struct Page<'a> {
        to: &'a str,
        /// Name and text.
        fields: &'a [(String, String)],
        secret: bool,
    }
    let secret = fields.iter().any(|(name, _)| name.contains("password"));
    let page = Page { to, fields: if secret { &[] } else { fields }, secret };
    let leaf = Leaf { template: "once_more.html", title: "Not sent yet".into(), page };
    at_the_door(desk, Some(visitor), StatusCode::FORBIDDEN, &leaf)
}

/// A page that says what went wrong.
pub(super) fn wrong_page(desk: &Desk, visitor: Option<&Visitor>, wrong: &Wrong) -> Response {
    #[derive(Serialize)]
    struct Page<'a> {
        says: &'a str,
    }
    let title = match wrong.status {
        StatusCode::NOT_FOUND => "Not here",
        StatusCode::FORBIDDEN | StatusCode::UNAUTHORIZED => "Not allowed",
        _ => "Not done",
    };
    let page = Page { says: &wrong.says };
    at_the_door(desk, visitor, wrong.status, &Leaf { template: "wrong.html", title: title.into(), page })
}

/// The day of a moment, where the machine is: `27 November 2026`.
pub(super) fn day(moment: &str) -> String {
    report::day(local(moment).map(|at| at.date()).or_else(|| moment.get(..10)?.parse().ok()))
}

/// A moment in a line of text, for the component `moment`: the page shows it by the clock of whoever reads (`workbench.js`),
/// and without a script by that of the machine, with the name of its zone.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct When {
    before: String,
    /// In UTC, to the second: HTML takes no finer fraction than three digits.
    at: String,
    /// `27 November 2026, 14:05 UTC`.
    here: String,
    after: String,
}

impl When {
    /// A moment as the catalogue keeps it, alone.
    pub(super) fn at(moment: &str) -> Self {
        Self::within("", moment, "")
    }

    /// The same between these words.
    pub(super) fn within(before: impl Into<String>, moment: &str, after: impl Into<String>) -> Self {
        let said = |at: ZonedDateTime| {
            let zone = at.strftime("%H:%M %Z");
            format!("{}, {zone}", report::day(Some(at.date())))
        };
        let utc = moment.parse::<jiff::Timestamp>().map(|at| at.strftime("%Y-%m-%dT%H:%M:%SZ").to_string());
        Self {
            before: before.into(),
            at: utc.unwrap_or_default(),
            here: local(moment).map_or_else(|| moment.to_owned(), said),
            after: after.into(),
        }
    }
}

fn local(moment: &str) -> Option<ZonedDateTime> {
    Some(moment.parse::<jiff::Timestamp>().ok()?.to_zoned_datetime(jiff::tz::TimeZone::system()))
}

fn html_response(status: StatusCode, html: String) -> Response {
    (status, [(header::CONTENT_TYPE, "text/html; charset=utf-8")], html).into_response()
}

/// In which system lengths are shown first: as somebody chose, else as the collection does.
pub(super) fn units(chosen: Option<System>, collection: &Collection) -> System {
    chosen.or(collection.units).unwrap_or_default()
}

/// What the view models of reports need, with photographs by their addresses here. Where nobody's preference is given, as for
/// what is printed and sealed, lengths are shown as the collection reads them.
pub(super) fn with_settings<T>(
    desk: &Desk,
    catalogue: &Catalogue,
    units: Option<System>,
    work: impl FnOnce(&Settings<'_>) -> Result<T, Wrong>,
) -> Result<T, Wrong> {
    let collection = catalogue.collection()?;
    let pictures = Addresses(&desk.store);
    work(&Settings {
        vocabulary: catalogue.vocabulary(),
        printed_on: desk.today(),
        collection: collection.name.as_deref().unwrap_or_default(),
        place: collection.place,
        units: self::units(units, &collection),
        pictures: &pictures,
    })
}

fn lay_out<P: Serialize>(
    desk: &Desk,
    visitor: Option<&Visitor>,
    room: Room,
    collection: &str,
    leaf: &Leaf<P>,
) -> Result<String, Wrong> {
    let frame = Frame {
        title: &leaf.title,
        collection,
        room,
        name: visitor.and_then(|v| v.name.as_deref()),
        role: visitor.map(|v| v.role.word()),
        token: visitor.map(|v| v.token.as_str()).unwrap_or_default(),
        units: visitor.and_then(|v| v.units).unwrap_or_default().word(),
        has_accounts: desk.has_accounts(),
        rooms: ROOMS,
        icon: assets::address("icon.svg"),
        shared: assets::address("workbench.js"),
        own: assets::address(&leaf.template.replace(".html", ".js")),
        style: assets::address("workbench.css"),
    };
    let mut context = Context::new();
    context.insert("frame", &frame);
    context.insert("page", &leaf.page);
    render(leaf.template, &context)
}

/// It knows the addresses of pieces: `{{ number | piece_address }}`.
static ENGINE: Engine = Engine::new(TEMPLATES, |engine| {
    engine.register_filter("piece_address", |number: &str, _: tera::Kwargs, _: &tera::State<'_>| {
        super::piece::address(number)
    });
    engine.register_filter("link_part", |text: &str, _: tera::Kwargs, _: &tera::State<'_>| report::link_part(text));
});

fn render(template: &str, context: &Context) -> Result<String, Wrong> {
    ENGINE.render(template, context).map_err(|why| {
        eprintln!("dimity serve: `{template}` could not be laid out: {why}");
        Wrong::broken()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_moment_is_told_to_the_second_in_utc_and_to_readers_with_its_zone() {
        let told = When::within("begun ", "2031-05-01T09:30:00.5032251Z", " by Ida");
        assert_eq!(told.at, "2031-05-01T09:30:00Z");
        let zone = local("2031-05-01T09:30:00Z").expect("a moment").strftime("%Z").to_string();
        assert!(told.here.ends_with(&zone) && !zone.is_empty(), "{told:?}");
        let strange = When::at("last spring");
        assert_eq!(
            (strange.at.as_str(), strange.here.as_str()),
            ("", "last spring"),
            "what is no moment stays as it is"
        );
    }

    #[test]
    fn every_template_escapes_and_parses() {
        ENGINE.escapes(&[]);
        for (name, text) in TEMPLATES {
            for never in ["<style", " style=", " onclick", "javascript:"] {
                assert!(!text.contains(never), "{name} holds `{never}`");
            }
            let scripts = text.matches("<script").count();
            assert_eq!(scripts, text.matches("<script type=\"module\" src=").count(), "{name} has a script of its own");
        }
    }
}
