//! The templates built into the program, and the one way to print a page with them.

use std::fmt::Write as _;
use std::sync::OnceLock;

use serde::Serialize;
use tera::{Context, Tera};

use super::ReportFault;

/// The pages. Names end in `.html`, so that every value put into a page is escaped.
const TEMPLATES: &[(&str, &str)] = &[
    ("base.html", include_str!("../../templates/base.html")),
    ("condition.html", include_str!("../../templates/condition.html")),
    ("catalogue.html", include_str!("../../templates/catalogue.html")),
    ("treatment.html", include_str!("../../templates/treatment.html")),
    ("comparison.html", include_str!("../../templates/comparison.html")),
    ("departures.html", include_str!("../../templates/departures.html")),
    ("index.html", include_str!("../../templates/index.html")),
    ("summary.html", include_str!("../../templates/summary.html")),
    ("loan.html", include_str!("../../templates/loan.html")),
    ("against.html", include_str!("../../templates/against.html")),
    ("survey.html", include_str!("../../templates/survey.html")),
    ("among.html", include_str!("../../templates/among.html")),
    ("pattern.html", include_str!("../../templates/pattern.html")),
    ("drawing.html", include_str!("../../templates/drawing.html")),
    ("effort.html", include_str!("../../templates/effort.html")),
    ("form.html", include_str!("../../templates/form.html")),
];

/// The parts that pages are made of; the workbench lays them out as well.
pub(crate) const PARTS: &[(&str, &str)] = &[
    ("partials/entry.html", include_str!("../../templates/partials/entry.html")),
    ("partials/comparison.html", include_str!("../../templates/partials/comparison.html")),
    ("partials/comparison_sections.html", include_str!("../../templates/partials/comparison_sections.html")),
    ("partials/comparison_matrix.html", include_str!("../../templates/partials/comparison_matrix.html")),
    ("partials/comparison_method.html", include_str!("../../templates/partials/comparison_method.html")),
    ("partials/facts.html", include_str!("../../templates/partials/facts.html")),
    ("partials/plate.html", include_str!("../../templates/partials/plate.html")),
    ("partials/side_by_side.html", include_str!("../../templates/partials/side_by_side.html")),
    ("partials/making.html", include_str!("../../templates/partials/making.html")),
    ("partials/damage.html", include_str!("../../templates/partials/damage.html")),
    ("partials/diagram.html", include_str!("../../templates/partials/diagram.html")),
    ("partials/over_time.html", include_str!("../../templates/partials/over_time.html")),
    ("partials/advice.html", include_str!("../../templates/partials/advice.html")),
    ("partials/treatment.html", include_str!("../../templates/partials/treatment.html")),
    ("partials/pattern.html", include_str!("../../templates/partials/pattern.html")),
    ("partials/seal.html", include_str!("../../templates/partials/seal.html")),
    ("partials/bars.html", include_str!("../../templates/partials/bars.html")),
    ("partials/care.html", include_str!("../../templates/partials/care.html")),
    ("partials/closing.html", include_str!("../../templates/partials/closing.html")),
];

const STYLE: &str = concat!(
    include_str!("../../templates/style/base.css"),
    include_str!("../../templates/style/page.css"),
    include_str!("../../templates/style/comparison.css"),
    include_str!("../../templates/style/condition.css"),
    include_str!("../../templates/style/index.css"),
    include_str!("../../templates/style/treatment.css"),
    include_str!("../../templates/style/seal.css"),
    include_str!("../../templates/style/survey.css"),
    include_str!("../../templates/style/pattern.css"),
    include_str!("../../templates/style/print.css")
);

/// What every page has: its title, language and the text in the margins of its sheets.
#[derive(Debug, Clone, Serialize)]
pub(super) struct Sheet {
    /// For the window and the bookmark.
    pub title: String,
    /// Printed at the left in the head of each sheet.
    pub running_left: String,
    /// Printed at the right in the head of each sheet.
    pub running_right: String,
    /// Day of printing, in words.
    pub printed_on: String,
    /// Name of the collection, or blank.
    pub collection: String,
}

/// Prints `page` with the template of this name.
pub(super) fn print<P: Serialize>(template: &str, sheet: &Sheet, page: &P) -> Result<String, ReportFault> {
    static ENGINE: OnceLock<Result<Tera, String>> = OnceLock::new();
    let engine = ENGINE.get_or_init(|| {
        let mut engine = Tera::default();
        engine.add_raw_templates(PARTS.iter().chain(TEMPLATES).copied()).map_err(|e| told(&e))?;
        Ok(engine)
    });
    let engine = engine.as_ref().map_err(|why| ReportFault::Template { why: why.clone() })?;
    let mut context = Context::new();
    context.insert("style", STYLE);
    context.insert("sheet", sheet);
    context.insert("running_left", &css_string(&sheet.running_left));
    context.insert("running_right", &css_string(&sheet.running_right));
    context.insert("page", page);
    engine.render(template, &context).map_err(|e| ReportFault::Template { why: told(&e) })
}

/// An error with all its causes.
pub(crate) fn told(error: &dyn std::error::Error) -> String {
    let mut text = error.to_string();
    let mut next = error.source();
    while let Some(cause) = next {
        let _ = write!(text, ": {cause}");
        next = cause.source();
    }
    text
}

/// A CSS string, quotes included. All but letters, digits and blanks is written as a code point (CSS Syntax 3,
/// 4.3.7), so that no text can end the string or the style element around it.
pub(super) fn css_string(text: &str) -> String {
    let mut css = String::from("\"");
    for c in text.chars() {
        match c {
            'a'..='z' | 'A'..='Z' | '0'..='9' | ' ' => css.push(c),
            '\0' => {}
            other => {
                let _ = write!(css, "\\{:x} ", other as u32);
            }
        }
    }
    css.push('"');
    css
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_css_string_cannot_be_left() {
        let cases = [
            ("2018.2", r#""2018\2e 2""#),
            ("a\"b", r#""a\22 b""#),
            ("</style><script>", r#""\3c \2f style\3e \3c script\3e ""#),
            ("\\", r#""\5c ""#),
            ("a\nb\0", r#""a\a b""#),
            ("é", r#""\e9 ""#),
        ];
        for (text, css) in cases {
            assert_eq!(css_string(text), css);
        }
    }

    #[test]
    fn every_template_escapes_and_parses() {
        let mut engine = Tera::default();
        engine.add_raw_templates(PARTS.iter().chain(TEMPLATES).copied()).expect("the templates parse");
        for (name, text) in PARTS.iter().chain(TEMPLATES) {
            assert!(std::path::Path::new(name).extension().is_some_and(|e| e == "html"), "{name}");
            let unescaped = text.matches("| safe").count();
            // The heads of `base.html`, `form.html` and `pattern.html` put in our own style and escaped CSS strings, nothing else does.
            assert_eq!(
                unescaped,
                match *name {
                    "base.html" => 3,
                    "form.html" => 2,
                    "pattern.html" => 1,
                    _ => 0,
                },
                "{name}"
            );
        }
    }
}
