//! A pattern taken off a drawing on a photograph of its page: sizes at full size, the drawing, sheets to print; entered as
//! measurements when that is said.

use std::sync::Arc;

use axum::extract::{Path, Query, State};
use axum::http::header;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Form, Router};
use serde::Serialize;

use super::{Of, Sight, may_examine, or_amiss, photograph, refused, with_status};
use crate::analysis::takeoff::piece_names;
use crate::catalogue::Catalogue;
use crate::readings::pattern::{Dimension, Misworded, NotTaken, Taken, Written, length};
use crate::record::PieceFile;
use crate::record::account::Role;
use crate::record::photograph::Photograph;
use crate::report;
use crate::workbench::choice::Choice;
use crate::workbench::desk::{self, Desk};
use crate::workbench::draw::find;
use crate::workbench::fault::{self, Wrong, sentence};
use crate::workbench::frame::{self, Leaf, Room};
use crate::workbench::piece;
use crate::workbench::reports::printed;
use crate::workbench::sessions::Visitor;

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/pieces/{number}/photographs/{sha256}/pattern", get(page))
        .route("/pieces/{number}/photographs/{sha256}/pattern/outline", get(outline))
        .route("/pieces/{number}/photographs/{sha256}/pattern/sheets", get(sheets))
        .route("/pieces/{number}/photographs/{sha256}/pattern/enter", post(enter))
}

/// The terms as they were typed.
#[derive(Debug, Clone, Serialize)]
struct Asked {
    ratio: String,
    ratio_within: String,
    line: String,
    stretch: String,
    allowance: String,
    pieces: Vec<String>,
    /// A size and the dimension that it is, a line each.
    measure: String,
    examination: String,
    paper: String,
    overlap: String,
}

impl Asked {
    /// What is not there goes without saying.
    fn of(fields: Vec<(String, String)>) -> Self {
        let usual = Written::default();
        let mut asked = Self {
            ratio: String::new(),
            ratio_within: usual.ratio_within,
            line: usual.line,
            stretch: usual.stretch,
            allowance: usual.allowance,
            pieces: Vec::new(),
            measure: String::new(),
            examination: String::new(),
            paper: "a4".into(),
            overlap: "15 mm".into(),
        };
        for (name, text) in fields {
            match name.as_str() {
                "ratio" => asked.ratio = text,
                "ratio-within" => asked.ratio_within = text,
                "line" => asked.line = text,
                "stretch" => asked.stretch = text,
                "allowance" => asked.allowance = text,
                "piece" => asked.pieces.push(text),
                "measure" => asked.measure = text,
                "examination" => asked.examination = text,
                "paper" => asked.paper = text,
                "overlap" => asked.overlap = text,
                _ => {}
            }
        }
        asked
    }

    fn written(&self) -> Written {
        Written {
            ratio: fault::written(&self.ratio),
            ratio_within: self.ratio_within.clone(),
            line: self.line.clone(),
            stretch: self.stretch.clone(),
            allowance: self.allowance.clone(),
            pieces: self.pieces.clone(),
        }
    }

    fn measured(&self) -> Vec<String> {
        self.measure.lines().filter_map(fault::written).collect()
    }

    /// The same terms in an address.
    fn query(&self) -> String {
        let mut query = form_urlencoded::Serializer::new(String::new());
        query.extend_pairs(self.fields());
        query.finish()
    }

    /// The terms as a form sends them along.
    fn fields(&self) -> Vec<(&'static str, &str)> {
        let terms = [
            ("ratio", &self.ratio),
            ("ratio-within", &self.ratio_within),
            ("line", &self.line),
            ("stretch", &self.stretch),
            ("allowance", &self.allowance),
        ];
        let terms = terms.map(|(name, text)| (name, text.as_str())).into_iter();
        terms.chain(self.pieces.iter().map(|name| ("piece", name.as_str()))).collect()
    }
}

/// What is wrong, by the name of the field; `form` where it is with the whole.
#[derive(Debug, Default, PartialEq, Serialize)]
struct Amiss {
    ratio: String,
    ratio_within: String,
    line: String,
    stretch: String,
    allowance: String,
    measure: String,
    form: String,
    entering: String,
}

impl From<Misworded> for Amiss {
    fn from(term: Misworded) -> Self {
        let says = sentence(&term.why);
        let mut amiss = Self::default();
        let field = match term.name {
            "ratio" => &mut amiss.ratio,
            "ratio-within" => &mut amiss.ratio_within,
            "line" => &mut amiss.line,
            "stretch" => &mut amiss.stretch,
            "allowance" => &mut amiss.allowance,
            "measure" => &mut amiss.measure,
            _ => &mut amiss.form,
        };
        // Of several lines, the one that is wrong is named.
        *field = if term.name == "measure" { format!("`{}`: {says}", term.text) } else { says };
        amiss
    }
}

impl From<NotTaken> for Amiss {
    fn from(not: NotTaken) -> Self {
        let ratio = |says: &str| Self { ratio: says.into(), ..Self::default() };
        match not {
            NotTaken::Misworded(term) => term.into(),
            NotTaken::NoRatio(_) => ratio(
                "No ratio is recorded for the drawings of this piece. Write it here, or 1:1 if the scale was taken from a bar \
                 or grid marked in full-size lengths.",
            ),
            NotTaken::Ratios(_) => ratio("The piece records more than one ratio; write the one of this drawing."),
            NotTaken::Refused(why) => Self { form: sentence(&why), ..Self::default() },
        }
    }
}

/// What the page shows.
#[derive(Serialize)]
struct Page<L> {
    sight: Sight,
    asked: Asked,
    /// The terms, to be sent along.
    fields: Vec<(&'static str, String)>,
    amiss: Amiss,
    scaled: bool,
    names: Vec<Choice>,
    off: Option<L>,
    dimensions: Vec<[String; 3]>,
    query: String,
    examinations: Vec<Choice>,
    nothing_new: bool,
    may: bool,
}

/// What came of it.
#[derive(Default)]
struct Told {
    taken: Option<(Taken, Vec<Dimension>)>,
    amiss: Amiss,
    nothing_new: bool,
}

async fn page(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(of): Path<Of>,
    Query(fields): Query<Vec<(String, String)>>,
) -> Result<Response, Wrong> {
    let asked = Asked::of(fields);
    let photo = photograph(&desk, &of).await?;
    let told = taken(&desk, &photo, &asked).await?;
    Box::pin(show(&desk, &visitor, photo, asked, told)).await
}

/// Takes the pattern off; nothing where the photograph has no scale or no outline yet.
async fn taken(desk: &Arc<Desk>, photo: &Photograph, asked: &Asked) -> Result<Told, Wrong> {
    if photo.scale.is_none() || piece_names(photo).is_empty() {
        return Ok(Told::default());
    }
    let (photo, asked) = (photo.clone(), asked.clone());
    desk::read(desk, move |catalogue| {
        let taken = match Taken::of(catalogue.piece(&photo.number)?, photo, &asked.written()) {
            Ok(taken) => taken,
            Err(not) => return Ok(Told { amiss: not.into(), ..Told::default() }),
        };
        let named = taken.dimensions(&asked.measured(), catalogue.vocabulary());
        let (dimensions, amiss) = match named {
            Ok(dimensions) => (dimensions, Amiss::default()),
            Err(misworded) => (Vec::new(), misworded.into()),
        };
        Ok(Told { taken: Some((taken, dimensions)), amiss, nothing_new: false })
    })
    .await
}

async fn show(
    desk: &Arc<Desk>,
    visitor: &Visitor,
    photo: Photograph,
    asked: Asked,
    Told { taken, amiss, nothing_new }: Told,
) -> Result<Response, Wrong> {
    let may = may_examine(visitor);
    let is_amiss = amiss != Amiss::default();
    let page = frame::page(desk, visitor, Room::Collection, move |catalogue, settings| {
        let file = catalogue.piece(&photo.number)?;
        let name = |name: &String| Choice::of(name, name, if asked.pieces.contains(name) { name } else { "" });
        let dimension =
            |d: &Dimension| [d.component.clone().unwrap_or_default(), d.term.name().to_owned(), d.reading()];
        let page = Page {
            sight: Sight::of(&photo, settings),
            scaled: photo.scale.is_some(),
            names: piece_names(&photo).iter().map(name).collect(),
            off: taken.as_ref().map(|(taken, _)| report::pattern_sizes(&taken.off)),
            dimensions: taken.iter().flat_map(|(_, list)| list).map(dimension).collect(),
            query: asked.query(),
            fields: asked.fields().into_iter().map(|(name, text)| (name, text.to_owned())).collect(),
            examinations: Choice::examinations(&file, &asked.examination),
            nothing_new,
            asked,
            amiss,
            may,
        };
        Ok(Leaf { template: "pattern_sizes.html", title: format!("Pattern of {}", photo.number), page })
    });
    Ok(with_status(page.await?, is_amiss))
}

/// Works on the pattern of a photograph, away from the threads that serve.
async fn on_pattern<T: Send + 'static>(
    desk: &Arc<Desk>,
    (number, sha256): Of,
    asked: Asked,
    work: impl FnOnce(&Catalogue, &Taken, &Asked) -> Result<T, Wrong> + Send + 'static,
) -> Result<T, Wrong> {
    desk::read(desk, move |catalogue| {
        let file: PieceFile = catalogue.piece(&number)?;
        let photo = find(&file, &sha256)?.1.clone();
        let refused = |not: NotTaken| {
            let amiss = Amiss::from(not);
            let all =
                [amiss.ratio, amiss.ratio_within, amiss.line, amiss.stretch, amiss.allowance, amiss.form].concat();
            Wrong::refused(all)
        };
        work(catalogue, &Taken::of(file, photo, &asked.written()).map_err(refused)?, &asked)
    })
    .await
}

/// The drawing, to be saved.
async fn outline(
    State(desk): State<Arc<Desk>>,
    _: Visitor,
    Path(of): Path<Of>,
    Query(fields): Query<Vec<(String, String)>>,
) -> Result<Response, Wrong> {
    let drawn = |_: &Catalogue, taken: &Taken, _: &Asked| {
        Ok((taken.name("svg", ""), taken.outline().map_err(|_| Wrong::broken())?))
    };
    let (name, svg) = on_pattern(&desk, of, Asked::of(fields), drawn).await?;
    let headers = [
        (header::CONTENT_TYPE, "image/svg+xml".to_owned()),
        (header::CONTENT_DISPOSITION, format!("attachment; filename=\"{name}\"")),
        (header::CONTENT_SECURITY_POLICY, "default-src 'none'; sandbox".to_owned()),
    ];
    Ok((headers, svg).into_response())
}

/// The page of sheets, in its own window.
async fn sheets(
    State(desk): State<Arc<Desk>>,
    _: Visitor,
    Path(of): Path<Of>,
    Query(fields): Query<Vec<(String, String)>>,
) -> Result<Response, Wrong> {
    let held = desk.clone();
    let laid = move |catalogue: &Catalogue, taken: &Taken, asked: &Asked| {
        let overlap = length(&asked.overlap, "overlap").map_err(|term| Wrong::refused(sentence(&term.why)))?;
        frame::with_settings(&held, catalogue, None, |settings| {
            taken.sheets(&asked.paper, overlap, settings).map_err(|why| Wrong::refused(sentence(&why)))
        })
    };
    Ok(printed(on_pattern(&desk, of, Asked::of(fields), laid).await?.into_bytes()))
}

/// Enters the sizes that are dimensions as measurements.
async fn enter(
    State(desk): State<Arc<Desk>>,
    visitor: Visitor,
    Path(of): Path<Of>,
    Form(fields): Form<Vec<(String, String)>>,
) -> Result<Response, Wrong> {
    visitor.may(Role::Examine)?;
    let asked = Asked::of(fields);
    let photo = photograph(&desk, &of).await?;
    let mut told = taken(&desk, &photo, &asked).await?;
    if told.amiss == Amiss::default() {
        let done = match visitor.author() {
            Ok(author) => entered(&desk, author.to_owned(), photo.clone(), asked.clone()).await,
            Err(nameless) => Err(Wrong::refused(nameless.says)),
        };
        match or_amiss(done)? {
            Ok(Some(to)) => return Ok(Redirect::to(&to).into_response()),
            Ok(None) => told.nothing_new = true,
            Err(entering) => told.amiss.entering = entering,
        }
    }
    Box::pin(show(&desk, &visitor, photo, asked, told)).await
}

/// Enters them; where they are shown, or none if they are recorded already.
async fn entered(desk: &Arc<Desk>, author: String, photo: Photograph, asked: Asked) -> Result<Option<String>, Wrong> {
    let day = asked.examination.trim().parse();
    let day = day.map_err(|_| Wrong::refused("Choose the examination of the pattern that they belong to."))?;
    desk::write(desk, move |catalogue| {
        let file = catalogue.piece(&photo.number)?;
        let (number, why) = (photo.number.clone(), "What is drawn was changed meanwhile. Load the page again.");
        let taken = Taken::of(file, photo, &asked.written()).map_err(|_| Wrong::refused(why))?;
        let named = taken.dimensions(&asked.measured(), catalogue.vocabulary());
        let dimensions = named.map_err(|term| Wrong::refused(sentence(&term.why)))?;
        if dimensions.is_empty() {
            return Err(Wrong::refused(
                "None of the sizes is called by a dimension of the vocabulary. Draw a line with its name as note, or say \
                 above which edge is which.",
            ));
        }
        let done = taken.enter((catalogue, &author), &dimensions, day).map_err(|lines| refused(&lines))?;
        let to = (!done.is_nothing()).then(|| piece::examination(catalogue, &number, day));
        Ok(to.transpose()?)
    })
    .await
}
