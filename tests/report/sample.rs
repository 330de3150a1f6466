//! Records for the report tests: one rich, one blank, one with markup in every text.

#![allow(clippy::unnecessary_wraps, reason = "fields of records are optional")]

use dimity::dating::{Conventions, Dated};
use dimity::measure::{Kind, Quantity};
use dimity::record::care::{Display, Overrule};
use dimity::record::condition::{Condition, Hazard, Overall, Sign};
use dimity::record::construction::{Fastening, Step, Stitching};
use dimity::record::form::{Field, Form, Record, Rows};
use dimity::record::making::{Departure, MadeAfter, Work};
use dimity::record::measurement::Measurement;
use dimity::record::photograph::{Photograph, Region, Shape};
use dimity::record::piece::{Component, Event, Housing, Move, Piece, Role};
use dimity::record::textile::{Colour, Fibre, Textile, Yarn};
use dimity::record::treatment::{
    Consent, Material, OptionConsidered, PlannedStep, Proposal, ProposedMaterial, Treatment, TreatmentStep, TrialBefore,
};
use dimity::record::{Circumstances, Examination, Observed, PieceFile};
use dimity::report::{Pictures, Settings};
use dimity::vocabulary::{Scheme, TermId, Vocabulary};
use jiff::civil::date;

/// A picture of one grey pixel for every photograph.
struct Grey;

impl Pictures for Grey {
    fn view(&self, _: &str) -> Option<String> {
        Some("data:image/gif;base64,R0lGODlhAQABAIAAAKqqqgAAACwAAAAAAQABAAACAkQBADs=".into())
    }
    fn thumbnail(&self, sha256: &str) -> Option<String> {
        self.view(sha256)
    }
}

/// Settings with a fixed day and grey pictures.
pub fn settings() -> Settings<'static> {
    Settings {
        vocabulary: Vocabulary::shipped(),
        printed_on: date(2026, 1, 20),
        collection: "Study collection of Wren Askerdale",
        place: None,
        units: dimity::measure::System::Metric,
        pictures: &Grey,
    }
}

fn words(text: &str) -> Option<String> {
    Some(text.to_owned())
}

fn term(scheme: Scheme, name: &str) -> Option<TermId> {
    Some(TermId::new(scheme, name))
}

fn quantity(kind: Kind, text: &str) -> Quantity {
    Quantity::parse(kind, text).expect("a readable quantity")
}

fn quantities(kind: Kind, texts: &[&str]) -> Vec<Quantity> {
    texts.iter().map(|t| quantity(kind, t)).collect()
}

fn dated(text: &str) -> Option<Dated> {
    Some(Dated::parse(text, &Conventions::default()).expect("a readable date"))
}

fn on<T>(id: &str, component: &str, what: T) -> Observed<T> {
    Observed {
        id: words(id),
        component: words(component),
        what,
        evidence: term(Scheme::Evidence, "seen"),
        certainty: term(Scheme::Certainty, "certain"),
        interpretation: None,
        note: None,
        withdrawn: None,
    }
}

fn reading(place: &str, exposure: &str, lab: [f64; 3]) -> Colour {
    let [l, a, b] = lab.map(Some);
    Colour { place: words(place), exposure: words(exposure), l, a, b, instrument: words("hand spectrophotometer") }
}

fn damage(name: &str, extent: &str, severity: &str, continues: Option<&str>) -> Condition {
    Condition {
        damage: term(Scheme::Damage, name),
        place: words("3 cm below the collar"),
        extent: Some(quantity(Kind::Extent, extent)),
        severity: term(Scheme::Severity, severity),
        activity: term(Scheme::Activity, "inactive"),
        cause: None,
        treated: None,
        continues: continues.map(Into::into),
    }
}

/// A piece of which nothing is known, examined once without a word.
pub fn blank() -> PieceFile {
    PieceFile { examinations: vec![Examination::default()], ..PieceFile::default() }
}

/// A spencer with two examinations, photographs, a hazard, a treatment, and the records of a reconstruction.
pub fn rich() -> PieceFile {
    PieceFile {
        piece: piece(),
        components: ["left front", "right armhole seam", "hem"]
            .map(|name| Component { name: words(name), ..Component::default() })
            .to_vec(),
        people: vec![Role {
            person: words("Wren Askerdale"),
            role: term(Scheme::PersonRole, "owner"),
            ..Role::default()
        }],
        events: vec![Event {
            event: term(Scheme::Event, "purchase"),
            date: dated("2018-10-30"),
            person: words("Marcus Quillfeather"),
            ..Event::default()
        }],
        moves: vec![Move { to: words("bay B, box 14"), date: Some(date(2018, 11, 28)), ..Move::default() }],
        housings: vec![Housing {
            storage: term(Scheme::Storage, "archival box"),
            length: Some(quantity(Kind::Length, "76 cm")),
            ..Housing::default()
        }],
        displays: vec![Display {
            place: words("small case, reading room"),
            from: Some(date(2026, 1, 2)),
            to: Some(date(2026, 2, 27)),
            light: Some(quantity(Kind::Illuminance, "50 ± 4 lx")),
            hours: Some(quantity(Kind::Duration, "6 h")),
            uv: Some(quantity(Kind::Ultraviolet, "90 µW/lm")),
            ..Display::default()
        }],
        overrules: vec![Overrule {
            topic: words("storage"),
            instead: words("Padded hanger until the drawer is made."),
            reason: words("No drawer is long enough."),
            by: words("Wren Askerdale"),
            date: Some(date(2025, 3, 6)),
            ..Overrule::default()
        }],
        made_after: vec![MadeAfter {
            source: words("Forty Skelwick Garments, plate 9"),
            scale: Some(quantity(Kind::Scale, "1:8")),
            ..MadeAfter::default()
        }],
        departures: vec![Departure {
            feature: words("sleeve length"),
            was: words("24 1/8 in"),
            now: words("25 in"),
            reason: term(Scheme::DepartureReason, "fit"),
            ..Departure::default()
        }],
        work: vec![
            Work {
                date: Some(date(2023, 2, 1)),
                task: words("cutting"),
                hours: Some(quantity(Kind::Duration, "2 h 30 min")),
                ..Work::default()
            },
            Work { date: Some(date(2023, 2, 8)), task: words("seams"), ..Work::default() },
        ],
        treatments: vec![treatment()],
        examinations: vec![first(), second()],
        photographs: vec![photograph()],
        sources: Vec::new(),
    }
}

fn piece() -> Piece {
    Piece {
        number: words("2018.2"),
        nature: term(Scheme::Nature, "extant"),
        object_name: words("spencer"),
        garment: term(Scheme::Garment, "spencer"),
        title: words("Green silk spencer"),
        date: dated("c. 1815"),
        place: words("Corranmouth"),
        description: words("A short-waisted spencer of green silk twill."),
        inscriptions: vec!["A Q, in brown ink".into()],
        rights: words("http://rightsstatements.org/vocab/NoC-OKLR/1.0/"),
        ..Piece::default()
    }
}

/// The rich record with a cloth that was measured in every way, some of it against the fibre recorded.
pub fn measured_cloth() -> PieceFile {
    let yarn = |number: &str| Yarn { twist: words("Z"), number: Some(quantity(Kind::Yarn, number)), ..Yarn::default() };
    let silk = Fibre {
        fibre: term(Scheme::Fibre, "cultivated silk"),
        diameter: Some(quantity(Kind::Length, "38 ± 1 µm")),
        density: Some(1.5),
        birefringence: Some(0.05),
        ..Fibre::default()
    };
    let cloth = Textile {
        role: term(Scheme::TextileRole, "lining"),
        fibres: vec![silk, Fibre { fibre: term(Scheme::Fibre, "viscose"), ..Fibre::default() }],
        warp: Yarn {
            angle: Some(quantity(Kind::Angle, "25 deg")),
            turns: Some(quantity(Kind::Density, "5 in 1 cm")),
            diameter: Some(quantity(Kind::Length, "0.28 mm")),
            crimp: Some(quantity(Kind::Percent, "5 %")),
            ..yarn("20 tex")
        },
        weft: yarn("25 tex"),
        ends: quantities(Kind::Density, &["28 per cm"]),
        picks: quantities(Kind::Density, &["24 per cm"]),
        mass: Some(quantity(Kind::MassPerArea, "8.5 oz/yd²")),
        ..Textile::default()
    };
    let mut file = rich();
    if let Some(exam) = file.examinations.last_mut() {
        exam.textiles = vec![on("t9", "left front", cloth)];
    }
    file
}

/// The rich record with a treatment that was agreed to and done, and a later version that is only proposed.
pub fn treated() -> PieceFile {
    let mut file = rich();
    let planned = |step: &str, hours: &str| PlannedStep {
        step: words(step),
        component: words("left front"),
        hours: Some(quantity(Kind::Duration, hours)),
    };
    let option = |option: &str, taken: &str, reason: &str| OptionConsidered {
        option: words(option),
        taken: words(taken),
        reason: words(reason),
    };
    let agreed = Treatment {
        id: words("tr2"),
        proposal: Proposal {
            title: words("support of the slit, anew"),
            proposed_by: words("Jory Penhallan"),
            proposed_on: Some(date(2025, 4, 11)),
            present_condition: words("The slit has opened beyond the net of 2021."),
            aims: words("To hold the edges."),
            options: vec![option("nothing", "no", "it runs"), option("couching", "yes", "comes out again")],
            tests: vec![TrialBefore {
                test: words("pH of the net"),
                place: words("offcut"),
                by: words("Jory Penhallan"),
                date: Some(date(2025, 4, 2)),
                method: words("cold extract, strips"),
                result: words("6.5"),
                meaning: words("no rinse"),
            }],
            proposal: words("Couch the edges on net, damp."),
            planned: vec![planned("Lay net", "1 h"), planned("Couch", "2 h")],
            proposed_materials: vec![ProposedMaterial {
                material: words("Silk net"),
                purpose: words("support, cut away later"),
                supplier: None,
                amount: words("10 x 10 cm"),
            }],
            not_to_be_done: words("No wash."),
            risks: words("Needle holes."),
            hours_expected: Some(quantity(Kind::Duration, "3 h")),
            follows: None,
        },
        consent: Consent {
            consent_by: words("Wren Askerdale"),
            consent_on: Some(date(2025, 4, 20)),
            consent_shown: words("the slit on the table"),
            consent_conditions: words("a damp test first"),
        },
        steps: vec![
            TreatmentStep {
                done: words("Net laid."),
                date: Some(date(2025, 5, 2)),
                by: words("Jory Penhallan"),
                hours: Some(quantity(Kind::Duration, "2 h 30 min")),
            },
            TreatmentStep { done: words("Couched."), ..TreatmentStep::default() },
        ],
        materials: vec![
            Material { material: words("silk net"), lot: words("N-7"), ..Material::default() },
            Material { material: words("silk filament"), amount: words("1 m"), ..Material::default() },
        ],
        departures: words("One row more."),
        result: words("Closed to strain."),
        after_care: words("Look at the edges."),
        ..Treatment::default()
    };
    let mut next = Treatment { id: words("tr3"), proposal: agreed.proposal.clone(), ..Treatment::default() };
    next.proposal.follows = words("tr2");
    next.proposal.proposed_on = Some(date(2025, 6, 1));
    next.proposal.proposal = words("Couch the edges on net, dry.");
    next.proposal.planned.push(planned("Press under glass", "15 min"));
    next.proposal.risks = None;
    file.treatments.extend([agreed, next]);
    let mut before = file.photographs[0].clone();
    (before.id, before.treatment_id, before.stage) = ("p-before".into(), words("tr2"), words("before"));
    let mut after = before.clone();
    (after.id, after.stage) = ("p-after".into(), words("after"));
    let mut other = before.clone();
    (other.id, other.component, other.stage) = ("p-other".into(), None, None);
    file.photographs.extend([after, before, other]);
    file
}

fn treatment() -> Treatment {
    Treatment {
        id: words("tr1"),
        proposal: Proposal {
            title: words("support of the slit"),
            proposed_by: words("Jory Penhallan"),
            proposed_on: Some(date(2021, 4, 12)),
            ..Proposal::default()
        },
        steps: vec![TreatmentStep {
            done: words("Laid on silk crepeline."),
            date: Some(date(2021, 5, 3)),
            hours: Some(quantity(Kind::Duration, "3 h")),
            ..TreatmentStep::default()
        }],
        materials: vec![Material { material: words("silk crepeline"), ..Material::default() }],
        ..Treatment::default()
    }
}

fn first() -> Examination {
    let mut twill = on(
        "t1",
        "left front",
        Textile {
            role: term(Scheme::TextileRole, "shell"),
            name: words("silk twill"),
            fibres: vec![Fibre {
                fibre: term(Scheme::Fibre, "silk"),
                method: term(Scheme::Method, "loupe"),
                certainty: term(Scheme::Certainty, "probable"),
                ..Fibre::default()
            }],
            structure: term(Scheme::Weave, "2/1 twill"),
            warp: Yarn { ply: Some(1), twist: words("none"), ..Yarn::default() },
            ends: quantities(Kind::Density, &["44 in 1 cm", "45 in 1 cm"]),
            colours: vec![
                reading("under the collar", "protected", [43.6, -33.2, 20.9]),
                reading("right sleeve, outer", "exposed", [48.9, -24.6, 22.4]),
            ],
            ..Textile::default()
        },
    );
    twill.note = words("Twill line to the right on the face.");
    let waist = on(
        "m1",
        "left front",
        Measurement {
            dimension: term(Scheme::Dimension, "waist girth"),
            readings: quantities(Kind::Length, &["27 1/2 in", "27 1/2 in", "27 5/8 in"]),
            taken: words("to the fastening"),
            instrument: words("linen tape"),
            resolution: Some(quantity(Kind::Length, "1/8 in")),
            ..Measurement::default()
        },
    );
    let seam = on(
        "s1",
        "left front",
        Stitching {
            purpose: term(Scheme::Purpose, "side seam"),
            stitch: term(Scheme::Stitch, "backstitch"),
            made: words("hand"),
            density: quantities(Kind::Density, &["9 in 1 in", "10 in 1 in"]),
            ..Stitching::default()
        },
    );
    let mut hooks = on(
        "f1",
        "left front",
        Fastening { fastening: term(Scheme::Fastening, "hook and eye"), count: Some(5), ..Fastening::default() },
    );
    hooks.note = words("Two are rusty.");
    Examination {
        about: Circumstances {
            id: words("e1"),
            date: Some(date(2018, 11, 14)),
            examiner: words("Wren Askerdale"),
            reason: words("acquisition"),
            ..Circumstances::default()
        },
        textiles: vec![twill],
        measurements: vec![waist],
        stitching: vec![seam],
        fastenings: vec![hooks],
        steps: vec![
            on("p2", "left front", Step { order_of_work: Some(2), done: words("Side seams.") }),
            on("p1", "left front", Step { order_of_work: Some(1), done: words("Back pieces joined.") }),
        ],
        signs: vec![on("g1", "hem", Sign { sign: term(Scheme::Sign, "let down"), seen: words("An old fold line.") })],
        conditions: vec![
            on("c1", "left front", damage("tideline", "4.1 ± 0.6 cm2", "moderate", None)),
            on("c2", "right armhole seam", damage("seam slippage", "12 mm", "slight", None)),
            on("c3", "hem", damage("abrasion", "18 cm", "slight", None)),
        ],
        hazards: vec![on(
            "h1",
            "left front",
            Hazard {
                hazard: term(Scheme::Hazard, "arsenic green"),
                basis: words("A bright green of before 1870."),
                ..Hazard::default()
            },
        )],
        ..Examination::default()
    }
}

fn second() -> Examination {
    let mut tideline = on("d1", "left front", damage("tideline", "4.6 ± 0.5 cm2", "moderate", Some("c1")));
    tideline.interpretation = words("Perhaps rain.");
    let slippage = on("d2", "right armhole seam", damage("seam slippage", "31 mm", "moderate", Some("c2")));
    let mut mistaken = on("d0", "left front", damage("tear", "2 mm", "slight", None));
    mistaken.withdrawn = words("entered by mistake");
    Examination {
        about: Circumstances {
            id: words("e2"),
            date: Some(date(2025, 3, 6)),
            examiner: words("Tamsin Orrel"),
            light: term(Scheme::Light, "daylight"),
            temperature: Some(quantity(Kind::Temperature, "18 °C")),
            humidity: Some(quantity(Kind::Percent, "52 %")),
            not_examined: words("The hem: mounted."),
            ..Circumstances::default()
        },
        conditions: vec![mistaken, slippage, tideline],
        overall: vec![on(
            "o1",
            "left front",
            Overall {
                grade: term(Scheme::Grade, "fair"),
                stability: term(Scheme::Stability, "at risk"),
                statement: words("Sound but for one seam."),
                handling: words("On a board."),
                ..Overall::default()
            },
        )],
        ..Examination::default()
    }
}

fn photograph() -> Photograph {
    let mut p = Photograph {
        id: "p".into(),
        sha256: "3fa9c1d2".repeat(8),
        original_name: "IMG_0012.JPG".into(),
        bytes: 4_321_000,
        width: 3000,
        height: 2000,
        number: "2018.2".into(),
        component: words("left front"),
        examination: Some(date(2025, 3, 6)),
        view: term(Scheme::View, "front"),
        light: term(Scheme::Light, "daylight"),
        ..Photograph::default()
    };
    p.capture.taken = words("2025-03-06T11:20:05");
    p.capture.model = words("Any 5");
    p.capture.shutter_s = Some(0.008);
    p.capture.aperture = Some(8.0);
    p.capture.iso = Some(200);
    p.capture.flash = words("did not fire, set to never fire");
    p.regions = vec![
        Region {
            id: "r1".into(),
            label: "B".into(),
            shape: Shape::Outline(vec![(100.0, 200.0), (400.0, 200.0), (250.0, 420.0)].into()),
            shows: words("d1"),
            outlines: None,
            piece: None,
            note: None,
        },
        Region {
            id: "r2".into(),
            label: "A".into(),
            shape: Shape::Point((900.0, 900.0)),
            shows: words("s1"),
            outlines: None,
            piece: None,
            note: words("counted here"),
        },
    ];
    p
}

/// The markup that must not survive.
pub const MARKUP: &str = "\"><img src=x onerror=alert(1)></style><script>alert('x')</script>";

/// The rich record with markup in every text, term and name.
pub fn hostile() -> PieceFile {
    let mut file = rich();
    file.examinations[0].overall.push(Observed::default());
    file.examinations[0].trimmings.push(Observed::default());
    file.examinations[0].stiffening.push(Observed::default());
    for i in 0..file.examinations.len() {
        file.sections(Some(i), &mut Poison);
    }
    for exam in &mut file.examinations {
        exam.textiles.iter_mut().for_each(|o| o.withdrawn = None);
    }
    clear_withdrawn(&mut file);
    file.piece.number = words(MARKUP);
    for p in &mut file.photographs {
        p.original_name = MARKUP.into();
        p.sha256 = MARKUP.into();
        for text in [&mut p.component, &mut p.photographer, &mut p.caption, &mut p.stage] {
            *text = words(MARKUP);
        }
        let c = &mut p.capture;
        for text in [&mut c.taken, &mut c.offset, &mut c.make, &mut c.model, &mut c.lens, &mut c.flash, &mut c.software]
        {
            *text = words(MARKUP);
        }
        p.remarks = vec![MARKUP.into()];
        p.view = term(Scheme::View, MARKUP);
        for r in &mut p.regions {
            r.label = MARKUP.into();
            r.note = words(MARKUP);
        }
    }
    file
}

fn clear_withdrawn(file: &mut PieceFile) {
    for e in &mut file.examinations {
        macro_rules! clear { ($($list:ident)*) => { $( for o in &mut e.$list { o.withdrawn = None; } )* } }
        clear!(textiles measurements stitching fastenings stiffening trimmings steps signs conditions overall hazards);
    }
}

/// Writes markup into every field that takes words.
struct Poison;

impl Form for Poison {
    fn text(&mut self, _: Field, value: &mut Option<String>) {
        *value = words(MARKUP);
    }
    fn texts(&mut self, _: Field, value: &mut Vec<String>) {
        *value = vec![MARKUP.into()];
    }
    fn dated(&mut self, _: Field, value: &mut Option<Dated>) {
        *value =
            Some(Dated { as_written: MARKUP.into(), earliest: None, latest: None, edtf: None, remark: words(MARKUP) });
    }
    fn term(&mut self, _: Field, scheme: Scheme, value: &mut Option<TermId>) {
        *value = term(scheme, MARKUP);
    }
    fn choice(&mut self, _: Field, _: &'static [&'static str], value: &mut Option<String>) {
        *value = words(MARKUP);
    }
    fn quantity(&mut self, _: Field, _: Kind, value: &mut Option<Quantity>) {
        if let Some(q) = value {
            q.as_written = MARKUP.into();
        }
    }
    fn quantities(&mut self, _: Field, _: Kind, value: &mut Vec<Quantity>) {
        value.iter_mut().for_each(|q| q.as_written = MARKUP.into());
    }
    fn component(&mut self, _: Field, value: &mut Option<String>) {
        *value = words(MARKUP);
    }
    fn person(&mut self, _: Field, value: &mut Option<String>) {
        *value = words(MARKUP);
    }
    fn piece(&mut self, _: Field, value: &mut Option<String>) {
        *value = words(MARKUP);
    }
    fn id(&mut self, _: &mut Option<String>) {}
    fn row(&mut self, _: Field, row: &mut dyn Record) {
        row.fields(self);
    }
    fn rows(&mut self, _: Field, rows: &mut dyn Rows) {
        for i in 0..rows.count() {
            rows.at(i).fields(self);
        }
    }
}
