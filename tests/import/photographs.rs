//! Photographs in folders, matched by accession number.

use dimity::catalogue::Catalogue;

use crate::support::{Room, clock};

#[test]
fn photographs_are_matched_once_and_what_is_open_is_listed() {
    let room = Room::new();
    let list = room.write("l.csv", "No,Object,Photo\n2031.1,cap,\n2031.11,gown,\n2031-4,stays,\"IMG 7.jpg; ../../IMG 8.jpg; /etc/passwd\"\n2031.4.2,bag,\n");
    let scans = room.path().join("scans");
    for folder in ["2031.11", "beach"] {
        std::fs::create_dir_all(scans.join(folder)).expect("made");
    }
    for (shade, name) in [
        "2031.1.jpg",
        "2031.11_front.jpg",
        "2031-04 (2).jpg",
        "2031.11/DSC1.jpg",
        "IMG 7.jpg",
        "IMG 8.jpg",
        "beach/sea.jpg",
        "2031.4_2.jpg",
        "20311.jpg",
    ]
    .iter()
    .enumerate()
    {
        room.photograph(&format!("scans/{name}"), 10 * shade as u8);
    }
    std::fs::write(scans.join("2031.1.txt"), "a text").expect("written");
    let import = || room.run(&["import", "csv", &list, "--enter", "--photographs", "scans", "--by", "Wren Askerdale"]);
    let dry = room.run(&["import", "csv", &list, "--photographs", "scans"]).done();
    assert!(dry.contains("6 matched, 2 to be asked about, 1 of no piece"), "{dry}");
    let first = import().done();
    assert!(first.contains("\n6 photographs added, 0 there already"), "{first}");
    assert!(first.contains("begins with two numbers") && first.contains("dimity photo add"), "{first}");
    let catalogue = Catalogue::open(&room.collection(), clock()).expect("opens");
    let names = |number: &str| {
        let mut names: Vec<String> =
            catalogue.piece(number).expect("there").photographs.into_iter().map(|p| p.original_name).collect();
        names.sort();
        names
    };
    assert_eq!(names("2031.1"), ["2031.1.jpg"]);
    assert_eq!(names("2031.11"), ["2031.11_front.jpg", "DSC1.jpg"]);
    assert_eq!(
        names("2031-4"),
        ["2031-04 (2).jpg", "IMG 7.jpg", "IMG 8.jpg"],
        "only what lies in the folder is ever opened"
    );
    assert_eq!(names("2031.4.2"), Vec::<String>::new());
    let again = import().done();
    assert!(again.contains("\n0 photographs added, 6 there already"), "{again}");
    let to_do = std::fs::read_to_string(room.path().join("l.csv.to-do.csv")).expect("reads");
    assert!(to_do.contains("2031.4_2.jpg") && to_do.contains("2031.4.2 or 2031-4"), "{to_do}");
    room.run(&["check"]).done();
}

#[test]
fn what_is_refused_of_one_piece_stops_no_other_and_json_stays_one_object() {
    let room = Room::new();
    let list = room.write("l.csv", "No,Object,Photo\n2031.1,cap,both.jpg\n2031.2,gown,both.jpg\n");
    std::fs::create_dir_all(room.path().join("scans")).expect("made");
    let import = |more: &[&str]| {
        let all = ["import", "csv", &list, "--enter", "--by", "Wren Askerdale"];
        room.run(&[&all[..], more].concat())
    };
    import(&[]).done();
    room.run(&["withdraw", "2031.1", "--reason", "given back", "--by", "Wren Askerdale"]).done();
    room.photograph("scans/both.jpg", 5);
    let refused = import(&["--photographs", "scans"]).refused();
    assert!(refused.contains("both.jpg") && refused.contains("2031.1"), "{refused}");
    let catalogue = Catalogue::open(&room.collection(), clock()).expect("opens");
    assert_eq!(catalogue.piece("2031.2").expect("there").photographs.len(), 1, "the other piece has it");
    room.photograph("scans/2031.2.jpg", 6);
    let ran = import(&["--photographs", "scans", "--json"]);
    let told: Vec<serde_json::Value> =
        serde_json::Deserializer::from_str(&ran.out).into_iter().collect::<Result<_, _>>().expect("JSON");
    assert_eq!(told.len(), 1, "all of the import is one object: {told:?}");
}
