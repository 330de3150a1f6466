//! What a piece takes to sew: the piece with its models, by the pace of the work logs.

use super::NotPrinted;
use crate::analysis;
use crate::analysis::effort::Effort;
use crate::catalogue::Catalogue;
use crate::record::PieceFile;

/// The effort of a piece. The pace is that of `maker`; of the piece's own maker if nobody is named and there is a log; else
/// of all.
///
/// # Errors
/// If nothing by the maker named has a work log, or the database refuses.
pub fn effort(catalogue: &Catalogue, file: &PieceFile, maker: Option<&str>) -> Result<Effort, NotPrinted> {
    let (mut models, mut logs) = (Vec::new(), Vec::new());
    for model in file.made_after.iter().filter_map(|m| m.model.as_deref()) {
        models.extend(catalogue.piece_if_any(model)?);
    }
    for other in catalogue.numbers_with_work()? {
        logs.push(catalogue.piece(&other)?);
    }
    let by = |name: &str| {
        let name = name.to_lowercase();
        move |f: &PieceFile| f.piece.maker.as_ref().is_some_and(|m| m.to_lowercase() == name)
    };
    if let Some(name) = maker {
        logs.retain(by(name));
        if logs.is_empty() {
            return Err(NotPrinted::Refused(format!(
                "no piece by `{name}` has a work log; the record of a piece names its maker"
            )));
        }
    } else if let Some(own) = file.piece.maker.as_deref().filter(|_| !file.work.is_empty()) {
        logs.retain(by(own));
    }
    // Only what is sewn after an extant piece or a drawing is a plan; a mock-up is no model for its stitches.
    models.retain(|m| m.piece.nature.as_ref().is_none_or(|n| n.name() == "extant"));
    Ok(analysis::effort::effort(file, &models, &logs))
}
