//! The terms of a drawing as they were typed, and what is wrong beside each.

use serde::Serialize;

use crate::readings::pattern::{Misworded, NotTaken, Written};
use crate::workbench::fault::{self, sentence};

/// The terms as they were typed.
#[derive(Debug, Clone, Serialize)]
pub(super) struct Asked {
    pub ratio: String,
    pub ratio_within: String,
    pub line: String,
    pub stretch: String,
    pub allowance: String,
    pub pieces: Vec<String>,
    /// A size and the dimension that it is, a line each.
    pub measure: String,
    pub examination: String,
    pub paper: String,
    pub overlap: String,
}

impl Asked {
    /// What is not there goes without saying.
    pub fn of(fields: Vec<(String, String)>) -> Self {
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

    /// For `readings`.
    pub fn written(&self) -> Written {
        Written {
            ratio: fault::written(&self.ratio),
            ratio_within: self.ratio_within.clone(),
            line: self.line.clone(),
            stretch: self.stretch.clone(),
            allowance: self.allowance.clone(),
            pieces: self.pieces.clone(),
        }
    }

    /// The sizes that are dimensions, one by one.
    pub fn measured(&self) -> Vec<String> {
        self.measure.lines().filter_map(fault::written).collect()
    }

    /// The same terms in an address.
    pub fn query(&self) -> String {
        let mut query = form_urlencoded::Serializer::new(String::new());
        query.extend_pairs(self.fields());
        query.finish()
    }

    /// The terms as a form sends them along.
    pub fn fields(&self) -> Vec<(&'static str, &str)> {
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
pub(super) struct Amiss {
    pub ratio: String,
    pub ratio_within: String,
    pub line: String,
    pub stretch: String,
    pub allowance: String,
    pub measure: String,
    pub form: String,
    pub entering: String,
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
