//! Comparisons as tables to take away, and the others set against one another.

use std::sync::Arc;

use axum::Router;
use axum::extract::{RawQuery, State};
use axum::response::Response;
use axum::routing::get;

use super::{Asked, pieces};
use crate::analysis::comparison::{self, Basis, Features, Heading, Matrix, Sizes, Square};
use crate::catalogue::Catalogue;
use crate::printing;
use crate::record::PieceFile;
use crate::workbench::desk::{self, Desk};
use crate::workbench::fault::{Wrong, sentence};
use crate::workbench::sessions::Visitor;
use crate::workbench::sheet::{table, to_keep};

/// The routes of this file.
pub(super) fn routes() -> Router<Arc<Desk>> {
    Router::new()
        .route("/comparison/features.csv", get(|desk, who, query| taken(desk, who, query, Kind::Features)))
        .route("/comparison/features.json", get(|desk, who, query| taken(desk, who, query, Kind::Json)))
        .route("/comparison/table.csv", get(|desk, who, query| taken(desk, who, query, Kind::Table)))
        .route("/comparison/square.csv", get(|desk, who, query| taken(desk, who, query, Kind::Square)))
        .route("/comparison/cloths.csv", get(|desk, who, query| taken(desk, who, query, Kind::Cloths)))
}

/// What is taken away.
#[derive(Clone, Copy)]
enum Kind {
    /// A row a feature of each comparison, with every figure.
    Features,
    /// The same as JSON.
    Json,
    /// A row a feature, a column a piece.
    Table,
    /// Every piece beside every other, as counts.
    Square,
    /// The cloths of the others, ranked.
    Cloths,
}

async fn taken(
    State(desk): State<Arc<Desk>>,
    _: Visitor,
    RawQuery(query): RawQuery,
    kind: Kind,
) -> Result<Response, Wrong> {
    let asked = Asked::read(query.as_deref().unwrap_or_default());
    desk::read(&desk, move |catalogue| made(kind, &asked, catalogue)).await
}

fn made(kind: Kind, asked: &Asked, catalogue: &Catalogue) -> Result<Response, Wrong> {
    let refused = |why: String| Wrong::refused(sentence(&why));
    let basis = asked.basis(catalogue).map_err(refused)?;
    match kind {
        Kind::Square => {
            let (headings, rows) = square(&pieces(asked, catalogue)?, Ok(basis), catalogue)?;
            return table("square.csv", &headings, &rows);
        }
        Kind::Cloths => {
            let mut rows = Vec::new();
            for cloth in &asked.cloths {
                let found = printing::cloths(catalogue, &asked.piece, cloth, &asked.with, &basis.tolerances)?;
                rows.extend(printing::cloth_rows(&found));
            }
            return table("cloths.csv", &printing::CLOTH_HEADINGS, &rows);
        }
        _ => {}
    }
    let (subject, others) = pieces(asked, catalogue)?;
    let words = catalogue.vocabulary();
    let (ours, theirs) = (Features::of(&subject, words), Features::all(&others, words));
    let found = comparison::compare_many(&ours, &theirs, words, &basis).map_err(refused)?;
    match kind {
        Kind::Json => {
            let text = serde_json::to_string_pretty(&found).map_err(|_| Wrong::broken())? + "\n";
            Ok(to_keep("comparison.json", "application/json", text.into_bytes()))
        }
        Kind::Table => match Matrix::of(&found) {
            Some(matrix) => {
                let (headings, rows) = matrix.written();
                table("comparison-table.csv", &headings, &rows)
            }
            None => Err(Wrong::refused("There is nothing to set beside each other.")),
        },
        _ => {
            let (headings, rows) = comparison::rows(&found);
            table("comparison.csv", &headings, &rows)
        }
    }
}

/// Every piece beside every other, at the sizes recorded: headings and rows of counts.
pub(super) fn square(
    (subject, others): &(PieceFile, Vec<PieceFile>),
    basis: Result<Basis, String>,
    catalogue: &Catalogue,
) -> Result<(Vec<String>, Vec<Vec<String>>), Wrong> {
    let refused = |why: String| Wrong::refused(sentence(&why));
    let words = catalogue.vocabulary();
    let basis = Basis { sizes: Sizes::default(), ..basis.map_err(refused)? };
    let plain = Basis { pairs: Vec::new(), ..basis.clone() };
    let (ours, theirs) = (Features::of(subject, words), Features::all(others, words));
    let mut found = comparison::compare_many(&ours, &theirs, words, &basis).map_err(refused)?;
    found.extend(comparison::among_all(&theirs, words, &plain));
    let mut headings = vec![Heading::of(subject)];
    headings.extend(others.iter().filter(|o| o.number() != subject.number()).map(Heading::of));
    Ok(Square::of(&headings, &found).written())
}
