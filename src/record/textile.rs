//! One cloth or yarn used in a component, in a role.

use super::examination::Observation;
use super::form::{Form, Record, field, needed};
use crate::measure::{Estimate, Kind, Quantity, combine};
use crate::vocabulary::{Scheme, TermId};

/// One textile, as examined.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Textile {
    /// Shell, lining, binding, thread ...
    pub role: Option<TermId>,
    /// What one would call it.
    pub name: Option<String>,
    /// Fibres in order of amount.
    pub fibres: Vec<Fibre>,
    /// Weave or other structure.
    pub structure: Option<TermId>,
    /// Warp yarn.
    pub warp: Yarn,
    /// Weft yarn.
    pub weft: Yarn,
    /// Warp threads per length, each reading.
    pub ends: Vec<Quantity>,
    /// Weft threads per length, each reading.
    pub picks: Vec<Quantity>,
    /// Mass of an area of the cloth.
    pub mass: Option<Quantity>,
    /// The selvedge, where one is seen.
    pub selvedge: Option<String>,
    /// Width of the cloth on the loom.
    pub loom_width: Option<Quantity>,
    /// Colour in words.
    pub colour: Option<String>,
    /// Dye, as far as known.
    pub dye: Option<String>,
    /// Print, dyeing and finishing.
    pub finish: Vec<TermId>,
    /// Colour readings.
    pub colours: Vec<Colour>,
}

impl Textile {
    /// Warp threads per centimetre, with the uncertainty of the counts; none without a reading.
    pub fn ends_estimate(&self) -> Option<Estimate> {
        combine(&self.ends, None)
    }

    /// Weft threads per centimetre, with the uncertainty of the counts; none without a reading.
    pub fn picks_estimate(&self) -> Option<Estimate> {
        combine(&self.picks, None)
    }
}

impl Observation for Textile {
    const TABLE: &'static str = "textile";
}

impl Record for Textile {
    fn fields(&mut self, form: &mut dyn Form) {
        form.term(
            needed("role", "shell, lining, interlining, binding, thread ..."),
            Scheme::TextileRole,
            &mut self.role,
        );
        form.text(field("name", "what you would call it: silk twill"), &mut self.name);
        form.rows(
            field("fibres", "in order of amount; \"silk\", or { fibre = \"silk\", method = \"loupe\" }"),
            &mut self.fibres,
        );
        form.term(field("structure", "weave or other structure"), Scheme::Weave, &mut self.structure);
        form.row(
            field(
                "warp",
                "{ fibre = , twist = \"Z\", ply = 1, angle = \"20 deg\", number = \"20 tex\", crimp = \"5 %\" }",
            ),
            &mut self.warp,
        );
        form.row(field("weft", "the same for the weft"), &mut self.weft);
        form.quantities(field("ends", "warp threads, each count: \"48 in 1 in\""), Kind::Density, &mut self.ends);
        form.quantities(field("picks", "weft threads, each count"), Kind::Density, &mut self.picks);
        form.quantity(field("mass", "of the cloth, 120 g/m2 or 3.5 oz/yd2"), Kind::MassPerArea, &mut self.mass);
        form.text(field("selvedge", "what is seen of it"), &mut self.selvedge);
        form.quantity(field("loom_width", "selvedge to selvedge"), Kind::Length, &mut self.loom_width);
        form.text(field("colour", "in words"), &mut self.colour);
        form.text(field("dye", "as far as known, and how"), &mut self.dye);
        form.terms(field("finish", "printed, glazed, weighted ..."), Scheme::Finish, &mut self.finish);
        form.rows(
            field("colours", "readings: { place = \"\", exposure = \"protected\", l = 38.2, a = -21.0, b = 14.5, instrument = \"\" }"),
            &mut self.colours,
        );
        let (ends, picks) = (self.ends_estimate(), self.picks_estimate());
        form.computed("ends_per_cm", ends.as_ref().map(|e| e.value));
        form.computed("ends_u", ends.as_ref().map(|e| e.u));
        form.computed("picks_per_cm", picks.as_ref().map(|e| e.value));
        form.computed("picks_u", picks.as_ref().map(|e| e.u));
    }

    fn rules(&self, say: &mut dyn FnMut(&'static str, String)) {
        let sum: f64 = self.fibres.iter().filter_map(|f| f.percent.as_ref()).map(|q| q.value).sum();
        if sum > 100.5 {
            say("fibres", format!("the shares of the fibres add up to {sum:.0} %; they cannot exceed 100 %"));
        }
    }
}

/// One fibre found in a textile, and how it was told.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Fibre {
    /// Which fibre.
    pub fibre: Option<TermId>,
    /// Its share, where it was measured or estimated.
    pub percent: Option<Quantity>,
    /// How it was identified.
    pub method: Option<TermId>,
    /// How surely.
    pub certainty: Option<TermId>,
    /// Diameter of a fibre, the mean of those measured.
    pub diameter: Option<Quantity>,
    /// Density in g/cm³.
    pub density: Option<f64>,
    /// Birefringence: the index along the fibre less the one across it.
    pub birefringence: Option<f64>,
    /// Anything else: cross-section, scales.
    pub note: Option<String>,
}

impl Record for Fibre {
    fn fields(&mut self, form: &mut dyn Form) {
        form.term(needed("fibre", "which fibre"), Scheme::Fibre, &mut self.fibre);
        form.quantity(field("percent", "its share"), Kind::Percent, &mut self.percent);
        form.term(field("method", "how it was told: eye, loupe, microscopy"), Scheme::Method, &mut self.method);
        form.term(field("certainty", "certain, probable, possible"), Scheme::Certainty, &mut self.certainty);
        form.quantity(field("diameter", "of one fibre, 12 µm or 12 ± 2 um"), Kind::Length, &mut self.diameter);
        form.number(field("density", "in g/cm³, where it was floated: 1.52"), &mut self.density);
        form.number(field("birefringence", "index along less index across: 0.045"), &mut self.birefringence);
        form.text(field("note", "cross-section, scales"), &mut self.note);
    }

    fn rules(&self, say: &mut dyn FnMut(&'static str, String)) {
        if self.density.is_some_and(|d| !(0.5..=25.0).contains(&d)) {
            say("density", "a fibre's density lies between 0.5 and 25 g/cm³".into());
        }
        if self.birefringence.is_some_and(|b| !(-0.5..=0.5).contains(&b)) {
            say("birefringence", "a fibre's birefringence lies between -0.5 and 0.5".into());
        }
    }
}

/// A warp or weft yarn.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Yarn {
    /// Its fibre, where it differs between warp and weft.
    pub fibre: Option<TermId>,
    /// Number of plies; 1 is a single yarn.
    pub ply: Option<i64>,
    /// Direction of twist, the final one of a plied yarn.
    pub twist: Option<String>,
    /// Surface angle of twist.
    pub angle: Option<Quantity>,
    /// Turns of twist per length.
    pub turns: Option<Quantity>,
    /// Diameter of the yarn.
    pub diameter: Option<Quantity>,
    /// Yarn number, in any system.
    pub number: Option<Quantity>,
    /// How much longer the straightened yarn is than its cloth, in per cent of the cloth.
    pub crimp: Option<Quantity>,
}

impl Record for Yarn {
    fn fields(&mut self, form: &mut dyn Form) {
        form.term(field("fibre", "where it differs"), Scheme::Fibre, &mut self.fibre);
        form.integer(field("ply", "1 for a single yarn"), &mut self.ply);
        form.choice(field("twist", "S, Z, or none"), &["S", "Z", "none"], &mut self.twist);
        form.quantity(field("angle", "20 deg"), Kind::Angle, &mut self.angle);
        form.quantity(field("turns", "of twist, 600 per m or 15 tpi"), Kind::Density, &mut self.turns);
        form.quantity(field("diameter", "of the yarn, 0.2 mm"), Kind::Length, &mut self.diameter);
        form.quantity(field("number", "20 tex, 30/2 Ne"), Kind::Yarn, &mut self.number);
        form.quantity(field("crimp", "5 %: 105 mm of yarn from 100 mm of cloth"), Kind::Percent, &mut self.crimp);
    }

    fn rules(&self, say: &mut dyn FnMut(&'static str, String)) {
        if self.ply.is_some_and(|n| !(1..=100).contains(&n)) {
            say("ply", "a yarn has between 1 and 100 plies".into());
        }
    }
}

/// A place that light reached.
pub const EXPOSED: &str = "exposed";
/// A place that light did not reach: under a seam allowance, a tuck, a collar.
pub const PROTECTED: &str = "protected";

/// One colour reading in CIELAB.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Colour {
    /// Where on the cloth.
    pub place: Option<String>,
    /// Whether light reached the place: [`EXPOSED`] or [`PROTECTED`].
    pub exposure: Option<String>,
    /// Lightness, 0 to 100.
    pub l: Option<f64>,
    /// Green to red.
    pub a: Option<f64>,
    /// Blue to yellow.
    pub b: Option<f64>,
    /// Instrument, illuminant and observer.
    pub instrument: Option<String>,
}

impl Record for Colour {
    fn fields(&mut self, form: &mut dyn Form) {
        form.text(field("place", "where on the cloth"), &mut self.place);
        form.choice(
            field("exposure", "exposed to light, or protected under a seam or tuck"),
            &[EXPOSED, PROTECTED],
            &mut self.exposure,
        );
        form.number(needed("l", "lightness, 0 to 100"), &mut self.l);
        form.number(needed("a", "green to red"), &mut self.a);
        form.number(needed("b", "blue to yellow"), &mut self.b);
        form.text(field("instrument", "instrument, illuminant, observer"), &mut self.instrument);
    }

    fn rules(&self, say: &mut dyn FnMut(&'static str, String)) {
        if self.l.is_some_and(|l| !(0.0..=100.0).contains(&l)) {
            say("l", "lightness L* lies between 0 and 100".into());
        }
        for (name, value) in [("a", self.a), ("b", self.b)] {
            if value.is_some_and(|v| v.abs() > 160.0) {
                say(name, format!("{name}* of a surface lies between -160 and 160"));
            }
        }
    }
}
