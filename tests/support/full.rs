//! A catalogue with something in every table.

use dimity::analysis::comparison::{Basis, ByHand};
use dimity::catalogue::{Collection, Intent, KeptSearch, NewPhotograph, NewRegion, NewSeal};
use dimity::colour::target::{Evaluation, Reference, ReferencePatch};
use dimity::colour::{Lab, Swatch};
use dimity::dating::Conventions;
use dimity::optics::Place;
use dimity::photograph::Store;
use dimity::record::photograph::Shape;
use dimity::record::picture_scale::PictureScale;
use dimity::record::source::{SourceCell, SourceRow};
use dimity::record::target::TargetReading;
use dimity::vocabulary::{Scheme, TermId, Wording};

use super::{AGAIN, AUTHOR, Desk, PLAIN, SPENCER, second};

/// A catalogue with a row in every table but `purge`, and `journal_cover`, which only one begun by an earlier release has.
pub fn full() -> Desk {
    filled(Desk::new())
}

/// The same, begun by the first release and with a piece erased: a row in every table.
pub fn full_to_the_last() -> Desk {
    let mut desk = filled(Desk::of_the_first_release());
    desk.entered(&second("2031.9"));
    desk.catalogue.purge(AUTHOR, "2031.9", "entered by mistake", false).expect("purged");
    desk.is_sound();
    desk
}

fn filled(mut desk: Desk) -> Desk {
    let keeper =
        dimity::record::account::Account { name: "Ida Falk".into(), role: dimity::record::account::Role::Keep };
    desk.catalogue.add_account(AUTHOR, &keeper, "tape, needle, lamp, box").expect("an account");
    let own = TermId::new(Scheme::Damage, "moth graze");
    desk.catalogue.add_term(AUTHOR, &own, None, "Nap eaten off.", "own usage").expect("a new term");
    for circa_years in [10, 7] {
        let chosen = Conventions { circa_years, ..Conventions::default() };
        assert!(desk.catalogue.set_conventions(AUTHOR, "dating convention chosen", &chosen).expect("chosen"));
        assert_eq!(desk.catalogue.conventions().expect("reads"), chosen);
    }
    for name in ["Study room", "Study collection"] {
        let described = Collection { name: Some(name.into()), place: Place::new(51.5, -0.13), ..Collection::default() };
        assert!(desk.catalogue.set_collection(AUTHOR, "collection described", &described).expect("described"));
        assert_eq!(desk.catalogue.collection().expect("reads"), described);
    }
    for at_risk in [12, 18] {
        let chosen = dimity::analysis::programme::Intervals { at_risk, ..Default::default() };
        assert!(desk.catalogue.set_intervals(AUTHOR, "survey planned", &chosen).expect("chosen"));
        assert_eq!(desk.catalogue.intervals().expect("reads"), chosen);
    }
    let set = KeptSearch { name: "silks".into(), query: "fibre:silk".into(), note: Some("for the study day".into()) };
    assert!(desk.catalogue.keep_search(AUTHOR, "study", &set).expect("kept"));
    desk.entered(&SPENCER.replace("\"tear\"", "\"moth graze\""));
    desk.entered(&AGAIN.replace("\"tear\"", "\"moth graze\""));
    desk.entered(
        "[piece]\nnumber = \"2031.1\"\n[[treatment]]\ntitle = \"Net\"\nfollows = \"Support of the tear\"\n
         options = [\"net\"]\ntests = [\"pH\"]\nplanned = [{ step = \"lay\", hours = \"1 h\" }]\n
         proposed_materials = [\"net\"]\nhours_expected = \"2 h\"\nconsent_by = \"Sabine Dunmarrow\"\nconsent_on = 2034-03-03\n
         steps = [\"laid\"]\nmaterials = [\"net\"]\n",
    );
    let correction = desk.filled("2031.1", Some(0)).replace("extent = \"12 mm\"", "extent = \"2 cm2\"");
    desk.entered(&format!("reason = \"measured again\"\n{correction}"));
    desk.entered(&format!(
        "{PLAIN}[[component]]\nname = \"body\"\n[[made_after]]\nmodel = \"2031.1\"\nscale = \"1:1\"\n
         [[departure]]\nfeature = \"waist girth\"\nreason = \"fit\"\n[[work]]\ndate = 2031-03-03\ntask = \"cut\"\nhours = \"2 h\"\n
         [examination]\ndate = 2031-04-01\nexaminer = \"Sabine Dunmarrow\"\n
         [[textile]]\nrole = \"shell\"\nfinish = [\"printed\"]\nloom_width = \"80 cm\"\n
         [[fastening]]\nfastening = \"button\"\ncount = 3\nsize = \"9 mm\"\n
         [[stiffening]]\nstiffener = \"baleen\"\nwidth = \"5 mm\"\n
         [[trimming]]\ntrimming = \"braid\"\nwidth = \"1 cm\"\n
         [[step]]\ndone = \"lined\"\norder_of_work = 1\n[[sign]]\nsign = \"darn\"\nseen = \"elbow\"\n
         [[hazard]]\nhazard = \"arsenic green\"\nbasis = \"green\"\n
         [[display]]\nplace = \"case\"\nfrom = 2031-01-01\nlight = \"50 lx\"\nhours = \"8 h\"\nuv = \"10 uW/lm\"\n
         [[care]]\ntopic = \"box\"\ninstead = \"as it is\"\nreason = \"room\"\nby = \"Sabine Dunmarrow\"\n"
    ));
    let cell = |heading: &str, text: &str| SourceCell {
        heading: heading.into(),
        text: text.into(),
        taken_for: "piece.date".into(),
        ..SourceCell::default()
    };
    let row = SourceRow {
        file: "old-list.csv".into(),
        file_sha256: "ab".repeat(32),
        sheet: Some("gowns".into()),
        row: 7,
        cells: vec![cell("Date", "c. 1812")],
        ..SourceRow::default()
    };
    let intent = Intent { author: AUTHOR.into(), reason: Some("from the old list".into()), ..Intent::default() };
    desk.catalogue.import(&[], &[("2031.2".to_owned(), row)], &intent, &mut || Ok(())).expect("kept");
    for scale in ["1:1", "1:8"] {
        let mut basis = Basis { pairs: vec![ByHand::read("body = watch pocket").expect("a pair")], ..Basis::default() };
        basis.sizes.state(scale).expect("a scale");
        let pieces = ("2031.2", &["2031.1".to_owned()][..]);
        desk.catalogue.keep_comparison(AUTHOR, "kept to look at", "stays", pieces, &basis).expect("kept");
        let kept = desk.catalogue.kept_comparison("Stays", 0).expect("reads");
        assert_eq!((kept.basis, kept.others, kept.stands), (basis, pieces.1.to_vec(), true));
    }
    let day = jiff::civil::date(2031, 5, 1);
    let own = Wording {
        term: TermId::new(Scheme::Grade, "good"),
        since: day,
        entered: day,
        definition: Some("As good as it was.".into()),
        source: "own usage".into(),
    };
    assert!(desk.catalogue.word_term(AUTHOR, &own).expect("worded"));
    let first = seal(&mut desk, "full", None);
    seal(&mut desk, "against", Some(first));
    let card = tempfile::tempdir().expect("a temporary folder");
    let path = card.path().join("one.png");
    image::RgbImage::new(20, 10).save(&path).expect("a picture can be saved");
    let taken = Store::at(desk.folder()).ingest(&path).expect("a sound picture");
    let shows = NewPhotograph { number: "2031.1".into(), caption: Some("front".into()), ..NewPhotograph::default() };
    desk.catalogue.add_photograph(AUTHOR, &taken, &shows).expect("added");
    desk.catalogue.add_target_reading(AUTHOR, &taken.sha256, &target_reading()).expect("stored");
    let bar = |to| PictureScale::between([(1.0, 1.0), (to, 1.0)], "1 cm", Some("0.1 mm"), 1.0).expect("a scale");
    let further = vec![((5.0, 5.0), (1.0, 1.0))];
    let corners = [(1.0, 1.0), (9.0, 1.0), (9.0, 9.0), (1.0, 9.0)];
    let square = PictureScale::rectangle(corners, "2 x 2 cm", None, 1.0, further).expect("a scale");
    let other = card.path().join("two.png");
    image::RgbImage::from_pixel(20, 10, [9; 3].into()).save(&other).expect("a picture can be saved");
    let other = Store::at(desk.folder()).ingest(&other).expect("a sound picture");
    desk.catalogue.add_photograph(AUTHOR, &other, &shows).expect("added");
    for down in [8.0, 9.0] {
        let marks = [(1.0, 1.0), (19.0, 1.0), (19.0, down), (1.0, 9.0)].map(|p| (p, p));
        let before = desk.catalogue.register(AUTHOR, &taken.sha256, &other.sha256, &marks).expect("registered");
        assert_eq!(before, down > 8.5, "the second replaces the first");
    }
    for scale in [bar(11.0), bar(12.0), square] {
        desk.catalogue.set_scale(AUTHOR, &taken.sha256, &scale).expect("set");
    }
    let region = NewRegion { shape: Shape::Point((3.0, 4.0)), ..NewRegion::default() };
    desk.catalogue.add_region(AUTHOR, &taken.sha256, &region).expect("drawn");
    desk.is_sound();
    desk
}

/// Seals the second examination of the spencer; gives the check code.
fn seal(desk: &mut Desk, print_set: &str, against: Option<String>) -> String {
    let file = desk.catalogue.piece("2031.1").expect("it is there");
    let new = NewSeal {
        number: "2031.1".into(),
        examination: file.examinations[1].about.id.clone().expect("stored"),
        print_set: print_set.into(),
        against,
        sealed_on: jiff::civil::date(2031, 5, 1),
        record: dimity::exchange::json::of_piece(&file),
        revision: desk.catalogue.revision().expect("reads"),
    };
    desk.catalogue.seal(AUTHOR, print_set.as_bytes(), &new).expect("sealed").code
}

/// A reading of a target that was met exactly.
pub fn target_reading() -> TargetReading {
    let patches = &Reference::built_in().patches;
    let swatch = |p: &ReferencePatch| {
        let spread = Lab::new(0.5, 0.5, 0.5);
        Swatch { light: p.light(), lab: p.lab, spread, pixels: 100, clipped: 0.0 }
    };
    let swatches: Vec<Swatch> = patches.iter().map(swatch).collect();
    TargetReading {
        id: String::new(),
        corners: [(1.0, 1.0), (9.0, 1.0), (9.0, 7.0), (1.0, 7.5)],
        reference: "made up".into(),
        reference_sha256: "0".repeat(64),
        results: Evaluation::of(Reference::built_in(), &swatches, None).expect("judged"),
        correction: None,
    }
}
