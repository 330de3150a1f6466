//! The comparison and the index as pages: snapshots, and what no page may do.

use super::pieces::*;
use dimity::record::PieceFile;
use dimity::record::photograph::Photograph;
use dimity::report::{Compared, IndexEntry, Pictures, Settings, comparison, index};
use dimity::vocabulary::{Scheme, Vocabulary};

/// Pictures that are a link to a file named by the hash.
struct Named;

impl Pictures for Named {
    fn view(&self, sha256: &str) -> Option<String> {
        Some(format!("pictures/{sha256}.jpg"))
    }
    fn thumbnail(&self, sha256: &str) -> Option<String> {
        Some(format!("pictures/{sha256}-small.jpg"))
    }
}

fn settings(vocabulary: &Vocabulary) -> Settings<'_> {
    Settings {
        vocabulary,
        printed_on: jiff::civil::date(2025, 9, 30),
        collection: "Study collection, Corranmouth",
        place: None,
        units: dimity::measure::System::Metric,
        pictures: &Named,
    }
}

fn front(sha256: &str, taken: &str, component: Option<&str>) -> Photograph {
    let mut photograph = Photograph {
        sha256: sha256.into(),
        width: 1200,
        height: 1600,
        view: Some(term(Scheme::View, "front")),
        component: component.map(String::from),
        ..Photograph::default()
    };
    photograph.capture.taken = Some(taken.into());
    photograph
}

fn photographed(mut file: PieceFile, sha256: &str) -> PieceFile {
    file.photographs = vec![
        front("older", "2018-01-01T10:00:00", None),
        front(sha256, "2023-01-01T10:00:00", None),
        front("sleeve", "2025-01-01T10:00:00", Some("left sleeve")),
    ];
    file
}

/// The part of a page within `main`, so that a new head does not change every snapshot.
fn main_of(page: &str) -> &str {
    let start = page.find("<main").expect("a main part");
    let end = page.find("</main>").expect("its end");
    &page[start..end + 7]
}

fn save(name: &str, page: &str) {
    if let Some(folder) = std::env::var_os("DIMITY_PAGES") {
        std::fs::write(std::path::Path::new(&folder).join(name), page).expect("written");
    }
}

fn mock_up() -> PieceFile {
    let mut file = piece("2022.M1", "mock-up", "spencer");
    file.components = vec![component("back", Some("back"), None)];
    file.examinations = vec![dimity::record::Examination {
        measurements: vec![
            dimension("back", "back length", &["380 mm"]),
            dimension("", "hem circumference", &["1240 mm"]),
        ],
        ..Default::default()
    }];
    file
}

#[test]
fn a_reconstruction_beside_its_model() {
    let words = vocabulary();
    let page = comparison(
        &photographed(reconstruction(), "aa"),
        &[photographed(spencer(), "bb")],
        &Compared::default(),
        &settings(&words),
    )
    .expect("printed");
    save("comparison.html", &page);
    assert!(page.contains("pictures/aa.jpg") && !page.contains("pictures/older") && !page.contains("pictures/sleeve"));
    insta::assert_snapshot!(main_of(&page));
}

#[test]
fn several_others_get_a_section_each_and_an_overview() {
    let words = vocabulary();
    let page = comparison(
        &photographed(reconstruction(), "aa"),
        &[photographed(spencer(), "bb"), mock_up(), piece("2021.P1", "published pattern", "spencer")],
        &Compared::default(),
        &settings(&words),
    )
    .expect("printed");
    save("several.html", &page);
    for wanted in [
        "At a glance",
        "href=\"#with-3\"",
        "id=\"with-3\"",
        "No picture of 2022.M1, 2021.P1.",
        "nothing can be said",
        "<caption>Dimensions</caption>",
    ] {
        assert!(page.contains(wanted), "{wanted}");
    }
    assert_eq!(page.matches("class=\"summary\"").count(), 3);
}

#[test]
fn nothing_in_a_record_becomes_markup() {
    let words = vocabulary();
    let evil = "</style><script>alert(1)</script>\"'&";
    let mut subject = reconstruction();
    subject.piece.number = Some(evil.into());
    subject.piece.title = Some(evil.into());
    subject.departures[0].note = Some(evil.into());
    subject.examinations[0].measurements[0].component = Some(evil.into());
    let page =
        comparison(&subject, &[spencer(), subject.clone()], &Compared::default(), &settings(&words)).expect("printed");
    assert!(!page.contains("<script>alert"));
    let entry = IndexEntry {
        number: evil.into(),
        title: Some(evil.into()),
        fibres: vec![evil.into()],
        ..IndexEntry::default()
    };
    let page = index(&[entry], &settings(&words)).expect("printed");
    assert!(!page.contains("<script>alert"));
}

fn some(text: &str) -> Option<String> {
    (!text.is_empty()).then(|| text.into())
}

/// Number, nature, object name, garment, title, date, its years, place, grade, fibres.
type EntryRow = (
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    [Option<i32>; 2],
    &'static str,
    &'static str,
    &'static [&'static str],
);

fn entries() -> Vec<IndexEntry> {
    let rows: [EntryRow; 9] = [
        (
            "2023.R1",
            "reconstruction",
            "spencer",
            "spencer",
            "Spencer after 2018.2",
            "2023",
            [Some(2023), Some(2023)],
            "Rail B",
            "good",
            &["silk", "linen"],
        ),
        (
            "2016.9",
            "extant",
            "man's shirt",
            "shirt",
            "",
            "c. 1800",
            [Some(1795), Some(1805)],
            "Store 1, drawer 4",
            "fair",
            &["linen"],
        ),
        (
            "2017.1",
            "extant",
            "jacket",
            "jacket",
            "Jacket of printed cotton",
            "c. 1785",
            [Some(1780), Some(1790)],
            "Store 1, drawer 5",
            "good",
            &["cotton", "linen"],
        ),
        (
            "2017.4a-b",
            "extant",
            "stays",
            "stays",
            "Stays with their busk",
            "1780-90",
            [Some(1780), Some(1790)],
            "Store 1, box 12",
            "fair",
            &["linen", "baleen"],
        ),
        (
            "2018.2",
            "extant",
            "spencer",
            "spencer",
            "Spencer of green silk twill",
            "c. 1815",
            [Some(1810), Some(1820)],
            "Store 2, box 3",
            "fair",
            &["silk", "linen"],
        ),
        (
            "2018.7",
            "extant",
            "gown",
            "gown",
            "Gown of white muslin with whitework sprigs and a high waist",
            "1805-10",
            [Some(1805), Some(1810)],
            "Store 2, box 7",
            "poor",
            &["cotton"],
        ),
        (
            "2020.3",
            "extant",
            "bodice",
            "bodice",
            "",
            "1879-82",
            [Some(1879), Some(1882)],
            "Store 2, box 11",
            "unstable",
            &["silk"],
        ),
        ("2021.P1", "published pattern", "spencer pattern", "spencer", "", "", [None, None], "", "", &[]),
        (
            "2021.2",
            "extant",
            "tall hat",
            "hat",
            "",
            "before 1850",
            [None, Some(1850)],
            "Store 3",
            "fair",
            &["fur", "silk"],
        ),
    ];
    rows.iter()
        .map(|(number, nature, object, garment, title, date, [earliest, latest], location, grade, fibres)| IndexEntry {
            number: (*number).into(),
            nature: (*nature).into(),
            object_name: (*object).into(),
            garment: some(garment),
            title: some(title),
            date: some(date),
            earliest: *earliest,
            latest: *latest,
            location: some(location),
            grade: some(grade),
            fibres: fibres.iter().map(ToString::to_string).collect(),
            thumbnail: (*number != "2021.P1").then(|| (if *number == "2018.2" { "bb" } else { "aa" }).to_string()),
            links: vec![
                ("Catalogue entry".into(), format!("{number}-catalogue.html")),
                ("Condition".into(), format!("{number}-condition.html")),
            ],
        })
        .collect()
}

#[test]
fn the_collection_on_one_page() {
    let words = vocabulary();
    let page = index(&entries(), &settings(&words)).expect("printed");
    save("index.html", &page);
    let body = main_of(&page);
    let places: Vec<usize> =
        ["2016.9", "2017.1", "2017.4a-b", "2018.2", "2018.7", "2020.3", "2021.2", "2021.P1", "2023.R1"]
            .map(|n| body.find(&format!("class=\"number\">{n}")).expect(n))
            .to_vec();
    assert!(places.is_sorted(), "by accession number");
    assert!(page.contains("form class=\"sift\" hidden"), "without the script there is no dead control");
    insta::assert_snapshot!(body);
}

#[test]
fn an_empty_collection_prints() {
    let words = vocabulary();
    assert!(index(&[], &settings(&words)).expect("printed").contains("0 pieces"));
}
