//! The schemes: one list of terms each. Apart, because a scheme is a fixed part of the program
//! (a new one needs code that uses it), while the terms in it are data.

macro_rules! schemes {
    ($($variant:ident, $key:literal, $title:literal, $noun:literal, $about:literal;)*) => {
        /// One list of terms. Its key is the name of its file in `schema/vocabulary`.
        #[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Debug)]
        pub enum Scheme {
            $(#[doc = $about] $variant,)*
        }

        impl Scheme {
            /// Every scheme, in the order lists of them are printed.
            pub const ALL: &'static [Self] = &[$(Self::$variant,)*];

            /// The stable key, used in term ids and files: `fibre`, `textile_role`.
            pub fn key(self) -> &'static str {
                match self { $(Self::$variant => $key,)* }
            }

            /// The heading of the list: `Fibres`, `Roles of a textile`.
            pub fn title(self) -> &'static str {
                match self { $(Self::$variant => $title,)* }
            }

            /// What one of its terms is called in a sentence: `fibre`, `damage term`.
            pub fn noun(self) -> &'static str {
                match self { $(Self::$variant => $noun,)* }
            }

            /// The shipped list as text.
            pub(super) fn shipped_text(self) -> &'static str {
                match self {
                    $(Self::$variant => include_str!(concat!(
                        env!("CARGO_MANIFEST_DIR"), "/schema/vocabulary/", $key, ".toml"
                    )),)*
                }
            }
        }
    };
}

schemes! {
    Garment, "garment", "Garments and accessories", "garment", "What the piece is: shirt, stays, spencer.";
    Component, "component", "Components", "component", "The named parts a piece is made of.";
    Dimension, "dimension", "Dimensions", "dimension", "What was measured, and how it is taken.";
    Fibre, "fibre", "Fibres", "fibre", "What yarn and cloth are spun from.";
    Weave, "weave", "Cloth structures", "cloth structure", "How a textile holds together: woven, knitted, felted.";
    Finish, "finish", "Dyeing, printing and finishing", "finish", "What was done to the cloth after, or as, it was made.";
    TextileRole, "textile_role", "Roles of a textile", "textile role", "What a textile does in the component.";
    Stitch, "stitch", "Stitches", "stitch", "Hand and machine stitches.";
    Seam, "seam", "Seams and edge finishes", "seam or edge finish", "How layers are joined and edges are settled.";
    Purpose, "purpose", "Purposes of stitching", "purpose of stitching", "What a line of stitching is for.";
    Fastening, "fastening", "Fastenings", "fastening", "What closes the piece.";
    Stiffener, "stiffener", "Stiffeners", "stiffener", "What holds the piece in shape.";
    Trimming, "trimming", "Trimmings", "trimming", "What is added for show.";
    Sign, "sign", "Signs of wear and alteration", "sign of wear or alteration", "Traces of use and change: evidence, not damage.";
    Damage, "damage", "Damage terms", "damage term", "What a condition note records.";
    Cause, "cause", "Causes of damage", "cause of damage", "What is thought to have done the damage.";
    Severity, "severity", "Severity of damage", "severity", "How much the damage matters to the place it is in.";
    Activity, "activity", "Activity of damage", "activity", "Whether the damage is still going on.";
    Grade, "grade", "Condition grades", "condition grade", "The overall condition of a piece, in one word with a written meaning.";
    Stability, "stability", "Stability", "stability", "Whether the piece as a whole is changing.";
    Urgency, "urgency", "Urgency of treatment", "urgency", "How soon something ought to be done.";
    Hazard, "hazard", "Hazards", "hazard", "What may hurt the people who handle the piece.";
    Storage, "storage", "Storage", "way of storage", "How the piece is kept.";
    View, "view", "Photographic views", "view", "What a photograph shows.";
    Light, "light", "Light", "kind of light", "The light a piece was examined or photographed by.";
    Method, "method", "Methods of identification", "method", "How a fibre, dye or structure was identified.";
    Evidence, "evidence", "Kinds of evidence", "kind of evidence", "How a statement comes to be known.";
    Certainty, "certainty", "Degrees of certainty", "certainty", "How sure the examiner is.";
    Nature, "nature", "Nature of the piece", "nature of a piece", "Extant, reconstruction, mock-up, published pattern or depiction.";
    DepartureReason, "departure_reason", "Reasons for departing", "reason for departing", "Why a maker chose to differ from the original.";
    Event, "event", "Events in a piece's life", "event", "How the piece was made, used and came to where it is.";
    Rights, "rights", "Rights statements", "rights statement", "What others may do with a piece or a photograph.";
    PersonRole, "person_role", "Roles of people", "role of a person", "What a person did with the piece.";
}

impl Scheme {
    /// The scheme with this key, spelled exactly.
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|scheme| scheme.key() == key)
    }
}
