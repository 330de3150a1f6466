//! A colour target read: against which reference, and what the reading says, in lines.

use crate::colour::target::{Evaluation, Fitted, Grid, Mark, Misread, Verdict};
use crate::photograph::NamedReference;

/// Why there is no reference to read a target against.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoReference {
    /// The columns and rows are not written as such.
    #[error("{0}")]
    Grid(String),
    /// Other columns and rows than those of the built-in target were asked for, without a file.
    #[error("the built-in target has {0} patches; give the file of yours")]
    BuiltIn(Grid),
    /// The file is no list of patches.
    #[error(transparent)]
    Misread(#[from] Misread),
}

/// The reference of a file by its name and bytes, or the built-in one; `grid` as `6x4`, where the file does not tell.
///
/// # Errors
/// [`NoReference`] says what is wrong with it.
pub fn reference(file: Option<(&str, &[u8])>, grid: Option<&str>) -> Result<NamedReference, NoReference> {
    let grid = grid.map(Grid::parse).transpose().map_err(NoReference::Grid)?;
    let Some((name, bytes)) = file else {
        let own = NamedReference::built_in();
        return match grid {
            Some(other) if other != own.reference.grid => Err(NoReference::BuiltIn(own.reference.grid)),
            _ => Ok(own),
        };
    };
    Ok(NamedReference::parse(name, bytes, grid)?)
}

/// Mean, percentile and largest difference.
pub fn differences(found: &Evaluation) -> String {
    let worst = found.worst().map(|p| format!(" ({})", p.title())).unwrap_or_default();
    format!("mean ΔE00 {:.2}, 90th percentile {:.2}, largest {:.2}{worst}", found.mean, found.p90, found.max)
}

/// What its grey patches say.
pub fn greys(found: &Evaluation) -> String {
    match (found.white_balance, found.exposure, found.tone) {
        (Some(balance), Some(exposure), Some(tone)) => {
            let sign = if exposure < 0.0 { "−" } else { "+" };
            format!(
                "greys: white balance ΔE(a*b*) {balance:.2} at worst; exposure ΔL* {sign}{:.2} on average, {tone:.2} at worst",
                exposure.abs()
            )
        }
        _ => "the reference has no grey patch: white balance and exposure cannot be told".into(),
    }
}

/// How a guideline judges it, and the source of that guideline.
pub fn judged(verdict: &Verdict) -> [String; 2] {
    let wanting = match (verdict.wanting.is_empty(), verdict.level) {
        (true, _) => String::new(),
        (false, Some(_)) => format!("; for the next level: {}", verdict.wanting.join(", ")),
        (false, None) => format!("; {}", verdict.wanting.join(", ")),
    };
    let mark = match verdict.mark {
        Mark::Read => "read",
        Mark::Memory => "from memory",
    };
    [format!("{}{wanting}", verdict.short()), format!("source ({mark}): {}", verdict.source)]
}

/// The correction that was fitted.
pub fn corrected(fitted: &Fitted) -> String {
    let what = if fitted.correction.has_offset() { "matrix and offset" } else { "matrix" };
    let aside = match fitted.left_aside.as_slice() {
        [] => String::new(),
        list => format!(", without {} (clipped)", list.join(", ")),
    };
    format!(
        "correction for this photograph alone: {what} in linear light, least squares over {} patches{aside}; patches left \
         out one by one come to ΔE00 {:.2} on average, {:.2} at worst, before {:.2}",
        fitted.patches, fitted.left_out_mean, fitted.left_out_max, fitted.before
    )
}
