//! Pages still to come.

use super::ReportFault;

/// The examination sheet as a form to print and fill in by pencil.
///
/// # Errors
/// Until it is drawn, always.
pub fn paper_form(_: &crate::exchange::paper::PaperForm, _: &str) -> Result<String, ReportFault> {
    Err(ReportFault::Template { why: "the printed form is not drawn yet".into() })
}
