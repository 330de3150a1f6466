//! Invented pieces for the comparison: a spencer of about 1815 and the reconstruction sewn after it.

use dimity::analysis::comparison::{self, Basis, Comparison};
use dimity::measure::{Kind, Quantity};
use dimity::record::construction::{Fastening, Step, Stiffening, Stitching, Trimming};
use dimity::record::making::Departure;
use dimity::record::measurement::Measurement;
use dimity::record::piece::Component;
use dimity::record::textile::{Fibre, Textile, Yarn};
use dimity::record::{Examination, Observation, Observed, PieceFile};
use dimity::vocabulary::{Scheme, Term, TermId, Vocabulary};

pub fn term(scheme: Scheme, name: &str) -> TermId {
    TermId::new(scheme, name)
}

pub fn quantity(kind: Kind, text: &str) -> Quantity {
    Quantity::parse(kind, text).unwrap_or_else(|e| panic!("`{text}`: {e}"))
}

pub fn quantities(kind: Kind, texts: &[&str]) -> Vec<Quantity> {
    texts.iter().map(|t| quantity(kind, t)).collect()
}

/// The shipped vocabulary and a few terms of our own, so that no test depends on how the shipped lists branch.
pub fn vocabulary() -> Vocabulary {
    let own = |scheme, name: &str, broader: Option<&str>, also: &[&str], group: Option<&str>| Term {
        id: term(scheme, name),
        broader: broader.map(|b| term(scheme, b)),
        also: also.iter().map(ToString::to_string).collect(),
        group: group.map(String::from),
        ..Term::default()
    };
    Vocabulary::shipped().with_local(vec![
        own(Scheme::Fibre, "skel fibre", None, &[], None),
        own(Scheme::Fibre, "skel silk", Some("skel fibre"), &[], None),
        own(Scheme::Fibre, "wild skel silk", Some("skel silk"), &[], None),
        own(Scheme::Fibre, "tame skel silk", Some("skel silk"), &[], None),
        own(Scheme::Fibre, "skel wool", Some("skel fibre"), &[], None),
        own(Scheme::Component, "skel flap", None, &["skel tab"], None),
        own(Scheme::Dimension, "skel tape width", None, &[], Some("fixed")),
        own(Scheme::Dimension, "skel girth", None, &[], Some("girth")),
    ])
}

pub fn piece(number: &str, nature: &str, name: &str) -> PieceFile {
    let mut file = PieceFile::default();
    file.piece.number = Some(number.into());
    file.piece.nature = Some(term(Scheme::Nature, nature));
    file.piece.object_name = Some(name.into());
    file
}

pub fn on<T: Observation>(component: &str, what: T) -> Observed<T> {
    let mut seen =
        Observed { component: (!component.is_empty()).then(|| component.into()), what, ..Observed::default() };
    seen.settle(None);
    seen
}

pub fn dimension(component: &str, name: &str, readings: &[&str]) -> Observed<Measurement> {
    taken(component, name, readings, None)
}

pub fn taken(component: &str, name: &str, readings: &[&str], how: Option<&str>) -> Observed<Measurement> {
    on(
        component,
        Measurement {
            dimension: Some(term(Scheme::Dimension, name)),
            readings: quantities(Kind::Length, readings),
            taken: how.map(String::from),
            instrument: Some("linen tape".into()),
            resolution: Some(quantity(Kind::Length, "1 mm")),
            ..Measurement::default()
        },
    )
}

pub fn cloth(component: &str, role: &str, fibres: &[&str], structure: &str, sett: [&[&str]; 2]) -> Observed<Textile> {
    on(
        component,
        Textile {
            role: Some(term(Scheme::TextileRole, role)),
            fibres: fibres.iter().map(|f| Fibre { fibre: Some(term(Scheme::Fibre, f)), ..Fibre::default() }).collect(),
            structure: Some(term(Scheme::Weave, structure)),
            warp: Yarn { twist: Some("Z".into()), ply: Some(1), ..Yarn::default() },
            ends: quantities(Kind::Density, sett[0]),
            picks: quantities(Kind::Density, sett[1]),
            ..Textile::default()
        },
    )
}

pub fn seam(component: &str, purpose: &str, stitch: &str, density: &[&str], order: Option<i64>) -> Observed<Stitching> {
    on(
        component,
        Stitching {
            purpose: Some(term(Scheme::Purpose, purpose)),
            stitch: Some(term(Scheme::Stitch, stitch)),
            made: Some("hand".into()),
            density: quantities(Kind::Density, density),
            order_of_work: order,
            ..Stitching::default()
        },
    )
}

pub fn fastening(component: &str, kind: &str, count: Option<i64>) -> Observed<Fastening> {
    on(component, Fastening { fastening: Some(term(Scheme::Fastening, kind)), count, ..Fastening::default() })
}

pub fn stiffening(component: &str, kind: &str, count: Option<i64>, width: &str) -> Observed<Stiffening> {
    on(
        component,
        Stiffening {
            stiffener: Some(term(Scheme::Stiffener, kind)),
            count,
            width: Some(quantity(Kind::Length, width)),
            ..Stiffening::default()
        },
    )
}

pub fn trimming(component: &str, kind: &str, width: &str) -> Observed<Trimming> {
    on(
        component,
        Trimming {
            trimming: Some(term(Scheme::Trimming, kind)),
            width: Some(quantity(Kind::Length, width)),
            ..Trimming::default()
        },
    )
}

pub fn step(done: &str) -> Observed<Step> {
    on("", Step { order_of_work: None, done: Some(done.into()) })
}

pub fn component(name: &str, part: Option<&str>, side: Option<&str>) -> Component {
    Component {
        name: Some(name.into()),
        term: part.map(|t| term(Scheme::Component, t)),
        side: side.map(String::from),
        ..Component::default()
    }
}

pub fn departure(feature: &str, component: Option<&str>, reason: &str, note: &str) -> Departure {
    Departure {
        feature: Some(feature.into()),
        component: component.map(String::from),
        reason: Some(term(Scheme::DepartureReason, reason)),
        note: Some(note.into()),
        ..Departure::default()
    }
}

/// The spencer, examined twice: the second examination measures the back again.
pub fn spencer() -> PieceFile {
    let mut file = piece("2018.2", "extant", "spencer");
    file.piece.title = Some("Spencer of green silk twill".into());
    file.components = vec![
        component("left front", Some("front"), Some("left")),
        component("back", Some("back"), None),
        component("left sleeve", Some("sleeve"), Some("left")),
    ];
    let mut first = Examination::default();
    first.about.date = Some(jiff::civil::date(2018, 11, 14));
    first.measurements = vec![
        dimension("back", "back length", &["372 mm", "373 mm", "372 mm"]),
        dimension("left front", "front length", &["395 mm", "396 mm", "395 mm"]),
        dimension("left sleeve", "sleeve length", &["612 mm", "614 mm", "613 mm"]),
        dimension("left sleeve", "upper arm girth", &["c. 12 in"]),
        dimension("", "hem circumference", &["812 mm", "815 mm", "813 mm"]),
        dimension("left front", "front width", &["236 mm", "236 mm", "237 mm"]),
    ];
    first.textiles = vec![
        cloth("", "shell", &["silk"], "2/1 twill", [&["48 in 1 cm", "47 in 1 cm", "48 in 1 cm"], &["38 in 1 cm"]]),
        cloth("", "lining", &["linen"], "plain weave", [&["17 in 1 cm", "18 in 1 cm"], &["16 in 1 cm", "16 in 1 cm"]]),
    ];
    first.stitching = vec![
        seam("back", "side seam", "backstitch", &["9 in 1 in", "10 in 1 in", "9 in 1 in"], Some(1)),
        seam("left sleeve", "armhole seam", "backstitch", &["8 in 1 in", "9 in 1 in"], Some(3)),
        seam("", "hem", "running stitch", &["7 in 1 in"], Some(2)),
        seam("", "lining seam", "running stitch", &[], None),
    ];
    first.fastenings = vec![fastening("left front", "hook and eye", Some(5)), fastening("", "button", Some(0))];
    first.trimmings = vec![trimming("left sleeve", "piping", "3 mm")];
    first.steps = vec![
        step("Piece the collar"),
        step("Sew the side seams"),
        step("Set in the sleeves"),
        step("Fell the lining to the neck"),
    ];
    let mut second = Examination::default();
    second.about.date = Some(jiff::civil::date(2025, 3, 6));
    second.measurements = vec![dimension("back", "back length", &["374 mm", "375 mm", "374 mm"])];
    file.examinations = vec![first, second];
    file
}

/// The reconstruction, which names the left front otherwise.
pub fn reconstruction() -> PieceFile {
    let mut file = piece("2023.R1", "reconstruction", "spencer");
    file.piece.title = Some("Spencer after 2018.2".into());
    file.components = vec![
        component("left forepart", Some("front"), Some("left")),
        component("back", Some("back"), None),
        component("left sleeve", Some("sleeve"), Some("left")),
        component("pocket", None, None),
    ];
    let mut exam = Examination::default();
    exam.about.date = Some(jiff::civil::date(2023, 9, 2));
    exam.measurements = vec![
        dimension("back", "back length", &["375 mm", "376 mm", "375 mm"]),
        dimension("left forepart", "front length", &["412 mm", "412 mm", "413 mm"]),
        dimension("left sleeve", "sleeve length", &["588 mm", "589 mm", "588 mm"]),
        dimension("left sleeve", "upper arm girth", &["302 mm", "302 mm"]),
        dimension("", "hem circumference", &["842 mm", "841 mm", "842 mm"]),
        dimension("left forepart", "front width", &["240 mm", "241 mm", "240 mm"]),
        dimension("", "collar depth", &["64 mm"]),
    ];
    exam.textiles = vec![
        cloth("", "shell", &["silk"], "2/1 twill", [&["38 in 1 cm", "39 in 1 cm", "38 in 1 cm"], &["33 in 1 cm"]]),
        cloth("", "lining", &["cotton"], "plain weave", [&["18 in 1 cm", "18 in 1 cm"], &["16 in 1 cm"]]),
    ];
    exam.stitching = vec![
        seam("back", "side seam", "backstitch", &["10 in 1 in", "10 in 1 in", "9 in 1 in"], Some(1)),
        seam("left sleeve", "armhole seam", "backstitch", &["9 in 1 in", "9 in 1 in"], Some(2)),
        seam("", "hem", "running stitch", &["6 in 1 in"], Some(3)),
    ];
    exam.fastenings = vec![fastening("left forepart", "hook and eye", Some(4))];
    exam.trimmings = vec![trimming("left sleeve", "piping", "3.5 mm")];
    exam.steps = vec![
        step("Sew the side seams."),
        step("Set in the sleeves"),
        step("Fell the lining to the neck"),
        step("Piece the collar"),
    ];
    file.examinations = vec![exam];
    file.departures = vec![
        departure("sleeve length", Some("left sleeve"), "fit", "shorter arm of the intended wearer"),
        departure("lining fibres", None, "cost", "linen of that weight was not to be had"),
        departure("ends", None, "supply", "the closest silk twill on offer"),
        departure("back length", None, "fit", "lengthened by half an inch"),
        departure("hook and eye", None, "mistake", "one left out at the waist"),
        departure("upper arm girth", None, "fit", "eased for a stouter arm"),
        departure("collar lining", None, "time", "not pieced"),
    ];
    file
}

/// The comparison of two pieces on these terms. All three live as long as the tests, since what is found borrows their words.
pub fn compare(a: &PieceFile, b: &PieceFile, words: &Vocabulary, basis: &Basis) -> Comparison<'static> {
    let kept = |file: &PieceFile| -> &'static PieceFile { Box::leak(Box::new(file.clone())) };
    comparison::compare(kept(a), kept(b), words, Box::leak(Box::new(basis.clone())))
}
