//! The comparison: pieces chosen and components paired, the sheet, and reasons written beside the differences.

use std::fmt::Write as _;
use std::sync::Arc;

use axum::extract::{RawQuery, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Form, Router};
use serde::{Deserialize, Serialize};

use super::desk::{self, Desk};
use super::fault::{self, Wrong, sentence, written};
use super::frame::{self, Leaf, Room};
use super::overlay::WithOverlays;
use super::sessions::Visitor;
use crate::analysis::comparison::{Basis, ByHand, Sizes, Tolerances};
use crate::catalogue::{Catalogue, Intent, Keeping, Kept};
use crate::exchange::{entry, sheet};
use crate::record::PieceFile;
use crate::record::account::Role;
use crate::report::{self, Settings};
use crate::vocabulary::Scheme;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/comparison", get(page))
        .route("/comparison/departure", post(departure))
        .route("/comparison/keep", post(keep))
}

/// What is to be compared, as it is written.
#[derive(Debug, Clone, Default, Serialize)]
struct Asked {
    piece: String,
    with: Vec<String>,
    pairs: Vec<String>,
    /// `scale 1/8`, `fit bust, waist`: a line each.
    sizes: String,
    /// `length 3 % or 4 mm`: a line each.
    tolerances: String,
    kept: String,
    before: usize,
}

impl Asked {
    fn read(query: &str) -> Self {
        let mut asked = Self::default();
        for (name, value) in form_urlencoded::parse(query.as_bytes()) {
            let value = value.trim();
            match &*name {
                "piece" => value.clone_into(&mut asked.piece),
                // One field with several numbers, or several fields.
                "with" => asked
                    .with
                    .extend(value.split([',', ';', '\n']).map(str::trim).filter(|n| !n.is_empty()).map(str::to_owned)),
                "pair" if !value.is_empty() => asked.pairs.push(value.to_owned()),
                "sizes" => value.clone_into(&mut asked.sizes),
                "tolerances" => value.clone_into(&mut asked.tolerances),
                "kept" => value.clone_into(&mut asked.kept),
                "before" => asked.before = value.parse().unwrap_or_default(),
                _ => {}
            }
        }
        asked
    }

    /// What a kept comparison says, as one would write it.
    fn of(kept: &Kept, before: usize) -> Self {
        let usual = Tolerances::default().written();
        let own = |line: &&str| !usual.lines().any(|known| known == *line);
        Self {
            piece: kept.subject.clone(),
            with: kept.others.clone(),
            pairs: kept.basis.pairs.iter().map(ByHand::written).collect(),
            sizes: kept.basis.sizes.written(),
            tolerances: kept.basis.tolerances.written().lines().filter(own).collect::<Vec<_>>().join("\n"),
            kept: kept.name.clone(),
            before,
        }
    }

    fn basis(&self, catalogue: &Catalogue) -> Result<Basis, String> {
        let mut basis = Basis {
            pairs: self.pairs.iter().map(|pair| ByHand::read(pair)).collect::<Result<_, _>>()?,
            sizes: self.sizes(catalogue)?,
            tolerances: Tolerances::default(),
        };
        let lines = self.tolerances.lines().map(str::trim).filter(|line| !line.is_empty());
        lines.into_iter().try_for_each(|line| basis.tolerances.set_written(line))?;
        Ok(basis)
    }

    /// The size of the others: each line begins with `scale` or `fit`, as one that is kept is written.
    fn sizes(&self, catalogue: &Catalogue) -> Result<Sizes, String> {
        let mut sizes = Sizes::default();
        for line in self.sizes.lines().map(str::trim).filter(|line| !line.is_empty()) {
            match line.split_once(' ') {
                Some(("scale", rest)) => sizes.state(rest)?,
                Some(("fit", rest)) => sizes.fit(rest, catalogue.vocabulary())?,
                _ => return Err(format!("`{line}` begins neither with `scale` nor with `fit`")),
            }
        }
        Ok(sizes)
    }

    /// The address at which this is shown.
    fn address(&self) -> String {
        let mut query = form_urlencoded::Serializer::new(String::new());
        query.append_pair("piece", &self.piece).append_pair("with", &self.with.join(", "));
        query.extend_pairs(self.pairs.iter().map(|pair| ("pair", pair)));
        for (name, value) in [("sizes", &self.sizes), ("tolerances", &self.tolerances)] {
            if !value.is_empty() {
                query.append_pair(name, value);
            }
        }
        format!("/comparison?{}", query.finish())
    }
}

/// What the page shows.
#[derive(Serialize)]
struct Page<S> {
    asked: Asked,
    with: String,
    numbers: Vec<(String, String)>,
    pairing: Vec<Choice>,
    kept: Vec<Row>,
    /// The kept comparison that is shown.
    shown: String,
    wrong: String,
    sheet: Option<S>,
    live: Live,
}

/// A component of the piece, and which of the others' it may be paired with.
#[derive(Serialize)]
struct Choice {
    component: String,
    /// `collar = neck band`, `neck band`, whether it is chosen.
    options: Vec<(String, String, bool)>,
}

/// A kept comparison in the list.
#[derive(Serialize)]
struct Row {
    address: String,
    name: String,
    words: String,
    /// Whether another took its place.
    past: bool,
}

/// What the forms in the sheet need.
#[derive(Serialize)]
struct Live {
    may: bool,
    token: String,
    back: String,
    /// Each reason with its definition.
    reasons: Vec<(String, String)>,
}

async fn page(State(desk): State<Arc<Desk>>, visitor: Visitor, RawQuery(query): RawQuery) -> Result<Response, Wrong> {
    let asked = Asked::read(query.as_deref().unwrap_or_default());
    let (may, token) = (visitor.role >= Role::Keep, visitor.token.as_str().to_owned());
    let held = desk.clone();
    frame::page(&desk, &visitor, Room::Comparison, move |catalogue, settings| {
        let mut asked = asked;
        let mut shown = String::new();
        if !asked.kept.is_empty() && asked.piece.is_empty() {
            let kept = catalogue.kept_comparison(&asked.kept, asked.before)?;
            shown = format!("`{}`, kept by {} on {}: {}", kept.name, kept.by, frame::day(&kept.at), kept.reason);
            asked = Asked::of(&kept, asked.before);
        }
        let pictures = WithOverlays { pictures: settings.pictures, desk: &held };
        let with_overlays = Settings { pictures: &pictures, ..*settings };
        let chosen = !asked.piece.is_empty() && !asked.with.is_empty();
        // What is written wrongly is said on the page, where it can be mended.
        let (pieces, mut wrong) = match chosen.then(|| pieces(&asked, catalogue)).transpose() {
            Ok(pieces) => (pieces, String::new()),
            Err(wrong) => (None, wrong.says),
        };
        let sheet = pieces.as_ref().map(|(subject, others)| {
            let kept = shown.clone();
            let compared = report::Compared { basis: asked.basis(catalogue)?, kept, ..report::Compared::default() };
            report::comparison_view(subject, others, &compared, &with_overlays).map_err(|e| e.to_string())
        });
        let sheet = sheet.transpose().unwrap_or_else(|why| {
            wrong = sentence(&why);
            None
        });
        let reasons = catalogue.vocabulary().terms(Scheme::DepartureReason);
        let page = Page {
            live: Live {
                may,
                token,
                back: asked.address(),
                reasons: reasons.map(|t| (t.id.name().to_owned(), t.definition.clone())).collect(),
            },
            pairing: pieces.as_ref().map(|(one, others)| pairing(one, others, &asked)).unwrap_or_default(),
            numbers: catalogue.titles()?,
            kept: rows(&catalogue.kept_comparisons()?),
            with: asked.with.join(", "),
            shown,
            wrong,
            sheet,
            asked,
        };
        Ok(Leaf { template: "compare.html", title: "Comparison".into(), page })
    })
    .await
}

fn pieces(asked: &Asked, catalogue: &Catalogue) -> Result<(PieceFile, Vec<PieceFile>), Wrong> {
    let subject = catalogue.piece(&asked.piece)?;
    let others = asked.with.iter().map(|number| catalogue.piece(number)).collect::<Result<Vec<_>, _>>()?;
    Ok((subject, others))
}

/// The components of the piece, each with those of the others.
fn pairing(subject: &PieceFile, others: &[PieceFile], asked: &Asked) -> Vec<Choice> {
    let mut theirs: Vec<&str> = Vec::new();
    for name in others.iter().flat_map(|o| &o.components).filter_map(|c| c.name.as_deref()) {
        if !theirs.contains(&name) {
            theirs.push(name);
        }
    }
    let choice = |ours: &str| {
        let option = |other: &&str| {
            let pair = ByHand { subject: ours.to_owned(), other: (*other).to_owned() };
            let is_set = asked.pairs.iter().any(|p| ByHand::read(p).is_ok_and(|p| p == pair));
            (pair.written(), (*other).to_owned(), is_set)
        };
        Choice { component: ours.to_owned(), options: theirs.iter().map(option).collect() }
    };
    if theirs.is_empty() {
        return Vec::new();
    }
    subject.components.iter().filter_map(|c| c.name.as_deref()).map(choice).collect()
}

fn rows(kept: &[Kept]) -> Vec<Row> {
    let mut before = 0;
    let row = |one: &Kept| {
        before = if one.stands { 0 } else { before + 1 };
        let mut query = form_urlencoded::Serializer::new(String::new());
        query.append_pair("kept", &one.name);
        if before > 0 {
            query.append_pair("before", &before.to_string());
        }
        Row {
            address: format!("/comparison?{}", query.finish()),
            name: one.name.clone(),
            words: format!(
                "{} beside {}; {}, {}: {}",
                one.subject,
                one.others.join(", "),
                one.by,
                frame::day(&one.at),
                one.reason
            ),
            past: !one.stands,
        }
    };
    kept.iter().map(row).collect()
}

/// A reason for a difference.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct Explained {
    back: String,
    number: String,
    component: String,
    feature: String,
    was: String,
    now: String,
    reason: String,
    note: String,
    learned: String,
}

impl Explained {
    /// The sheet that records it.
    fn sheet(&self) -> String {
        let mut text = format!("[piece]\nnumber = {}\n\n[[departure]]\n", sheet::quoted(self.number.trim()));
        for (name, value) in [
            ("feature", &self.feature),
            ("component", &self.component),
            ("was", &self.was),
            ("now", &self.now),
            ("reason", &self.reason),
            ("note", &self.note),
            ("learned", &self.learned),
        ] {
            let value = value.trim();
            if !value.is_empty() {
                let _ = writeln!(text, "{name} = {}", sheet::quoted(value));
            }
        }
        text
    }
}

/// Records a departure as a sheet would.
async fn departure(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Form(asked): Form<Explained>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let author = visitor.author()?.to_owned();
    let back = own(&asked.back);
    desk::write(&desk, move |catalogue| {
        let file = catalogue.piece(&asked.number)?;
        let is_it = |d: &crate::record::making::Departure| {
            d.feature == written(&asked.feature) && d.component == written(&asked.component)
        };
        if file.departures.iter().any(is_it) {
            return Err(Wrong::new(
                StatusCode::CONFLICT,
                format!(
                    "A reason for `{}` of {} was recorded meanwhile. Load the comparison again to read it; yours was not \
                     entered. On the page of the piece it can be corrected.",
                    asked.feature, asked.number
                ),
            ));
        }
        let read = entry::read(catalogue, asked.sheet().as_bytes())
            .map_err(|mistakes| Wrong::refused(fault::sentences(mistakes.iter().map(|m| m.what.as_str()))))?;
        let reason = format!("a reason for a difference: {}", asked.feature.trim());
        catalogue.enter(&read.file, &Intent { author, reason: Some(reason), ..Intent::default() })?;
        Ok(())
    })
    .await?;
    Ok(Redirect::to(&back).into_response())
}

/// A comparison to keep.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct Keep {
    back: String,
    name: String,
    reason: String,
}

async fn keep(State(desk): State<Arc<Desk>>, visitor: Visitor, Form(form): Form<Keep>) -> Result<Response, Wrong> {
    visitor.may(Role::Keep)?;
    let author = visitor.author()?.to_owned();
    let back = own(&form.back);
    let asked = Asked::read(back.split_once('?').map(|(_, query)| query).unwrap_or_default());
    let name = form.name.trim().to_owned();
    let reason = written(&form.reason).unwrap_or_else(|| "comparison kept".into());
    let kept = name.clone();
    let _: Keeping = desk::write(&desk, move |catalogue| {
        let basis = asked.basis(catalogue).map_err(|why| Wrong::refused(sentence(&why)))?;
        Ok(catalogue.keep_comparison(&author, &reason, &name, (&asked.piece, &asked.with), &basis)?)
    })
    .await?;
    let query = form_urlencoded::Serializer::new(String::new()).append_pair("kept", &kept).finish();
    Ok(Redirect::to(&format!("/comparison?{query}")).into_response())
}

/// An address of a comparison, or the page without one: a form never leads elsewhere.
fn own(back: &str) -> String {
    let plain = back.starts_with("/comparison?") && !back.contains(|c: char| c.is_control());
    if plain { back.to_owned() } else { "/comparison".to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_form_never_leads_elsewhere() {
        for (back, wanted) in [
            ("/comparison?piece=1&with=2", "/comparison?piece=1&with=2"),
            ("https://attacker.example/", "/comparison"),
            ("//attacker.example/comparison?", "/comparison"),
            ("/comparison?a\r\nSet-Cookie: x", "/comparison"),
            ("", "/comparison"),
        ] {
            assert_eq!(own(back), wanted, "{back:?}");
        }
    }

    #[test]
    fn what_is_asked_is_read_back_from_its_address() {
        let asked =
            Asked::read("piece=2023.R1&with=2018.2,+1&with=3&pair=collar+%3D+neck+band&pair=&sizes=scale+1%2F8");
        assert_eq!(asked.with, ["2018.2", "1", "3"]);
        assert_eq!(asked.pairs, ["collar = neck band"]);
        let again = Asked::read(asked.address().split_once('?').expect("a query").1);
        assert_eq!(
            (again.piece, again.with, again.pairs, again.sizes),
            (asked.piece, asked.with, asked.pairs, asked.sizes)
        );
    }
}
