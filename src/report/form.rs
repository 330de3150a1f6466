//! The examination sheet as a form for pencil and paper.

use super::ReportFault;
use super::press::{self, Sheet};
use crate::exchange::paper::PaperForm;

/// What the form's template needs.
#[derive(serde::Serialize)]
struct Page<'a> {
    form: &'a PaperForm,
    paper: &'a str,
}

/// Prints the form for a paper size, `a4` or `letter`.
///
/// # Errors
/// If the template does not fit, which a test rules out.
pub fn paper_form(form: &PaperForm, paper: &str) -> Result<String, ReportFault> {
    let sheet = Sheet {
        title: "Examination sheet".into(),
        running_left: format!("Examination sheet {}", form.number).trim_end().to_owned(),
        running_right: form.garment.clone().unwrap_or_default(),
        printed_on: String::new(),
        collection: String::new(),
    };
    press::print("form.html", &sheet, &Page { form, paper })
}
