//! The printed pages: their templates and style, and the one way to print them.

use std::fmt::Write as _;

use serde::Serialize;
use tera::Context;

use super::ReportFault;
use super::engine::{Engine, Template};

/// The pages.
const TEMPLATES: &[Template] = &[
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

static ENGINE: Engine = Engine::new(TEMPLATES, |_| ());

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
    let mut context = Context::new();
    context.insert("style", STYLE);
    context.insert("sheet", sheet);
    context.insert("running_left", &css_string(&sheet.running_left));
    context.insert("running_right", &css_string(&sheet.running_right));
    context.insert("page", page);
    ENGINE.render(template, &context).map_err(|why| ReportFault::Template { why })
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

    /// The heads of these put in our own style and escaped CSS strings, nothing else does.
    #[test]
    fn every_template_escapes_and_parses() {
        ENGINE.escapes(&[("base.html", 3), ("form.html", 2), ("pattern.html", 1)]);
    }
}
