//! The one way to lay out a page: templates built into the program, parsed once and escaped always.

use std::fmt::Write as _;
use std::sync::OnceLock;

use tera::{Context, Tera};

/// A template by its name, which ends in `.html`, so that every value put into a page is escaped.
pub(crate) type Template = (&'static str, &'static str);

/// The parts that pages are made of, wherever they are shown.
const PARTS: &[Template] = &[
    ("partials/entry.html", include_str!("../../templates/partials/entry.html")),
    ("partials/told.html", include_str!("../../templates/partials/told.html")),
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

/// Templates of one part of the program over the shared ones.
pub(crate) struct Engine {
    templates: &'static [Template],
    /// What these templates need beside them: filters.
    prepare: fn(&mut Tera),
    made: OnceLock<Result<Tera, String>>,
}

impl Engine {
    /// Over these templates.
    pub(crate) const fn new(templates: &'static [Template], prepare: fn(&mut Tera)) -> Self {
        Self { templates, prepare, made: OnceLock::new() }
    }

    /// Lays out a page; what goes wrong comes with all its causes, and is the program's own fault.
    pub(crate) fn render(&self, template: &str, context: &Context) -> Result<String, String> {
        let made = self.made.get_or_init(|| {
            let mut engine = Tera::default();
            (self.prepare)(&mut engine);
            engine.add_raw_templates(PARTS.iter().chain(self.templates).copied()).map_err(|e| told(&e))?;
            Ok(engine)
        });
        made.as_ref().map_err(Clone::clone)?.render(template, context).map_err(|e| told(&e))
    }

    /// Fails unless all templates parse and escape every value; `unescaped` says how often one puts in text of our own.
    #[cfg(test)]
    pub(crate) fn escapes(&self, unescaped: &[(&str, usize)]) {
        let mut engine = Tera::default();
        (self.prepare)(&mut engine);
        engine.add_raw_templates(PARTS.iter().chain(self.templates).copied()).expect("the templates parse");
        for (name, text) in PARTS.iter().chain(self.templates) {
            assert!(std::path::Path::new(name).extension().is_some_and(|e| e == "html"), "{name}");
            let allowed = unescaped.iter().find(|(own, _)| own == name).map_or(0, |(_, n)| *n);
            let squeezed: String = text.chars().filter(|c| !c.is_whitespace()).collect();
            assert_eq!(squeezed.matches("|safe").count(), allowed, "{name}");
            assert!(!squeezed.contains("autoescape"), "{name}");
        }
    }
}

/// An error with all its causes.
fn told(error: &dyn std::error::Error) -> String {
    let mut text = error.to_string();
    let mut next = error.source();
    while let Some(cause) = next {
        let _ = write!(text, ": {cause}");
        next = cause.source();
    }
    text
}
