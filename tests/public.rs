//! What is exported for the public: valid by outside schemas, readable by an outside viewer, free of what is private, and the
//! same bytes each time.

#[path = "public/left_out.rs"]
mod left_out;
#[allow(dead_code, reason = "each test file uses its own part")]
#[path = "support/random.rs"]
mod random;
#[path = "public/rights.rs"]
mod rights;
mod support;
#[path = "public/valid.rs"]
mod valid;
#[path = "public/viewed.rs"]
mod viewed;

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use serde_json::{Value, json};
use support::pictures::with_position;
use support::{AFTER, Room, SPENCER};

/// Written into every private field of the room below. No export may hold it.
const SECRET: &str = "Quillfeather";

const FORMATS: [&str; 5] = ["lido", "linked-art", "dublin-core", "iiif", "site"];

fn files_below(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).expect("a folder").map(|e| e.expect("an entry").path()) {
        if entry.is_dir() { found.extend(files_below(&entry)) } else { found.push(entry) }
    }
    found.sort();
    found
}

/// Two pieces, one made after the other, with everything private filled in, two photographs and regions.
fn room() -> Room {
    let private = SPENCER
        .replace("Sabine Dunmarrow", SECRET)
        .replace("bay A, shelf 1", SECRET)
        .replace("Net laid", SECRET)
        .replace("Sound.", SECRET)
        .replace("at the pocket", SECRET)
        .replace("reason = \"acquisition\"", &format!("reason = \"{SECRET}\"\nnote = \"{SECRET}\""))
        .replace("taken = \"flat\"", &format!("taken = \"flat\"\nnote = \"{SECRET}\""))
        .replace(
            "title = \"Green silk spencer\"",
            &format!(
                "title = \"Green silk spencer\"\ndistinguishing_features = \"{SECRET}\"\nplace = \"Skelwick\"\n\
                 description = \"A short jacket\\nof <green> silk & cotton\"\ncredit_line = \"Given by its wearer\"\n\
                 rights_statement = \"NoC-OKLR\"\nrights_holder = \"nobody\""
            ),
        );
    let room = Room::with(&[&private, AFTER]);
    let picture = image::RgbImage::from_fn(1300, 900, |x, y| image::Rgb([(x / 6) as u8, (y / 4) as u8, 90]));
    let mut plain = std::io::Cursor::new(Vec::new());
    picture.write_to(&mut plain, image::ImageFormat::Jpeg).expect("a picture can be written");
    let front = room.write(&format!("{SECRET}.jpg"), with_position(plain.get_ref()));
    let (other, after) = (room.photograph("other.jpg", 40), room.path().join("after.jpg"));
    image::RgbImage::from_pixel(200, 1000, image::Rgb([150, 90, 40])).save(&after).expect("a picture can be written");
    let add = |number: &str, file: &str, more: &[&str]| {
        room.run(&[&["photo", "add", number, file, "--photographer", SECRET][..], more].concat()).done();
    };
    add("2031.R1", after.to_str().expect("a plain name"), &[]);
    add(
        "2031.1",
        &front,
        &["--view", "front", "--caption", "The front, \"fastened\"", "--rights", "CC-BY-4.0", "--holder", "Ida Farrow"],
    );
    add("2031.1", &other, &["--treatment", "Support of the tear", "--stage", "before"]);
    let shown = room.run(&["show", "2031.1", "--json"]).json().remove(0);
    let photo = |n: usize| shown["photographs"][n]["sha256"].as_str().expect("a SHA-256").to_owned();
    let front = if shown["photographs"][0]["view"] == "front" { photo(0) } else { photo(1) };
    let tear = shown["examinations"][0]["condition"][0]["id"].as_str().expect("an id").to_owned();
    room.run(&["photo", "scale", &front, "--between", "100,100", "1100,100", "--length", "10 cm"]).done();
    room.run(&["photo", "region", &front, "outline 10,10 90,10 90,60", "--shows", &tear]).done();
    room.run(&["photo", "region", &front, "outline 300,300 700,300 700,700", "--outlines", "left front"]).done();
    room.run(&["photo", "region", &front, "point 640,410", "--note", "the second button"]).done();
    room
}

fn asked<'a>(format: &'a str, to: &'a str, more: &[&'a str]) -> Vec<&'a str> {
    let mut arguments = vec!["export", format, "--out", to];
    if format == "iiif" && !more.contains(&"--base") {
        arguments.extend(["--base", "https://example.org/c"]);
    }
    // Numbers stand before every option.
    if format == "site" && more.first().is_none_or(|first| first.starts_with("--")) {
        arguments.push("--all");
    }
    arguments.extend(more);
    arguments
}

fn export(room: &Room, format: &str, to: &str, more: &[&str]) -> (PathBuf, String) {
    let said = room.run(&asked(format, to, more)).done();
    (room.path().join(to), said)
}

fn text_of(path: &Path) -> String {
    String::from_utf8_lossy(&std::fs::read(path).expect("a file")).into_owned()
}

#[test]
fn nothing_private_leaves_the_house_and_what_was_left_out_is_listed() {
    let room = room();
    for format in FORMATS {
        let (folder, said) = export(&room, format, &format!("out/{format}"), &[]);
        let files = files_below(&folder);
        assert!(files.len() >= 2, "{format} wrote {files:?}");
        for file in &files {
            let name = file.display().to_string();
            assert!(!name.contains(SECRET) && !text_of(file).contains(SECRET), "{name} holds what is private");
            if file.extension().is_some_and(|e| e == "jpg") {
                let bytes = std::fs::read(file).expect("a picture");
                assert!(dimity::photograph::is_bare(&bytes), "{name} carries more than its pixels");
                let (capture, all, _) = dimity::photograph::read_capture(&bytes);
                assert!(!capture.has_position && !all.to_string().contains("GPS"), "{name} says where it was taken");
            }
            assert!(!name.ends_with("left-out.txt"), "the list of what was left out is not published");
        }
        let list = text_of(&room.path().join(format!("out/{format}-left-out.txt")));
        for kind in
            ["location", "people", "provenance", "distinguishing", "condition", "treatment", "notes", "GPS position"]
        {
            assert!(
                said.contains(kind) && list.contains(kind),
                "{format} does not say that `{kind}` was left out: {said}"
            );
        }
        assert!(
            list.contains("move.to 1") && list.contains("photograph.position 1") && !list.contains(SECRET),
            "{list}"
        );
        // What stands beside a drawn place is a note like any other.
        assert!(list.contains("photograph.region.note 1"), "{list}");
        for file in &files {
            assert!(!text_of(file).contains("the second button"), "{}: a region's note has left", file.display());
        }
        assert!(said.contains("left out: location 4, ") && said.contains("-left-out.txt`)"), "{said}");
    }
    // The secrets are there to be found: the same search finds them at home and in what is included.
    let (folder, _) = export(&room, "lido", "out/open", &["--with", "provenance,people"]);
    assert!(text_of(&folder.join("lido.xml")).contains(SECRET));
    assert!(room.run(&["show", "2031.1", "--json"]).done().contains(SECRET));
}

/// Wherever and by whomever it is exported: no page follows the language or the zone of the machine.
#[test]
fn the_same_catalogue_gives_the_same_bytes() {
    let room = room();
    for format in FORMATS {
        let (one, _) = export(&room, format, &format!("one/{format}"), &[]);
        let two = room.path().join(format!("two/{format}"));
        let out = two.to_str().expect("a plain name");
        room.abroad(&asked(format, out, &[])).done();
        let names = |folder: &Path| -> Vec<PathBuf> {
            files_below(folder).iter().map(|f| f.strip_prefix(folder).expect("below").to_owned()).collect()
        };
        assert_eq!(names(&one), names(&two), "{format}");
        for name in names(&one) {
            let read = |folder: &Path| std::fs::read(folder.join(&name)).expect("a file");
            assert!(read(&one) == read(&two), "{format}: `{}` differs", name.display());
        }
    }
}

#[test]
fn a_withdrawn_piece_and_an_unchosen_site_are_refused() {
    let room = Room::with(&[SPENCER, AFTER]);
    let refused = room.run(&["export", "site"]).refused();
    assert!(refused.contains("say which pieces are for the public"), "{refused}");
    assert!(room.run(&["export", "site", "2031.1", "--all"]).refused().contains("`--all` is every piece"));
    room.run(&["withdraw", "2031.1", "--reason", "given back"]).done();
    let refused = room.run(&["export", "lido", "2031.1"]).refused();
    assert!(refused.contains("`2031.1` is withdrawn and not for the public"), "{refused}");
    assert!(!room.collection().join("exports/lido").exists());
}

/// What `--with condition` says that it includes is on the page: damage, the state of the whole, hazards, decisions about care.
#[test]
fn a_site_with_condition_tells_of_the_whole_and_of_hazards_with_their_cautions() {
    let sheet = SPENCER.replace("grade = \"good\"", "grade = \"good\"\nhandling = \"two people carry it\"").replace(
        "[examination]",
        "[[care]]\ntopic = \"storage\"\ninstead = \"lies flat\"\nreason = \"stiff collar\"\n\n[examination]",
    ) + "\n[[hazard]]\nhazard = \"arsenic green\"\nbasis = \"green of the period\"\n";
    let room = Room::with(&[&sheet]);
    let page = |more: &[&str], to: &str| text_of(&export(&room, "site", to, more).0.join("pieces/2031.1.html"));
    let told = [
        "State of the whole",
        "two people carry it",
        "May contain or carry: arsenic green",
        "Usual cautions",
        "Storage: lies flat (stiff collar)",
        "Damage",
    ];
    let (with, without) = (page(&["--with", "condition"], "out/with"), page(&[], "out/without"));
    for words in told {
        assert!(with.contains(words), "the page lacks `{words}`");
        assert!(!without.contains(words), "`{words}` is there unasked");
    }
}

/// A model that stays at home is not called unrecorded, and what its maker noted of it stands alone.
#[test]
fn a_model_that_stays_at_home_is_not_said_to_be_unrecorded() {
    let after = "[piece]\nnumber = \"2031.R1\"\nnature = \"reconstruction\"\nobject_name = \"spencer\"\n\
        [[made_after]]\nmodel = \"2031.1\"\nnote = \"For the cut\"\n";
    let room = Room::with(&[SPENCER, after]);
    let to = room.path().join("out");
    let place = to.to_str().expect("a plain name");
    room.run(&["export", "site", "2031.R1", "--with", "notes", "--out", place]).done();
    let page = text_of(&to.join("pieces/2031.R1.html"));
    assert!(page.contains("For the cut") && !page.contains("not recorded</span>. For the cut"), "{page}");
}

/// A manifest has at least one canvas (IIIF Presentation API 3.0, 5.2, items).
#[test]
fn a_piece_without_a_photograph_has_no_manifest_and_is_named_by_none() {
    let room = Room::with(&[SPENCER, AFTER]);
    room.run(&["photo", "add", "2031.1", &room.photograph("one.png", 1)]).done();
    let (iiif, said) = export(&room, "iiif", "out/iiif", &[]);
    assert!(said.contains("iiif: 1 piece in") && said.contains("1 piece without a photograph to show"), "{said}");
    assert!(iiif.join("pieces/2031.1/manifest.json").is_file() && !iiif.join("pieces/2031.R1").exists());
    let list: Value = serde_json::from_str(&text_of(&iiif.join("collection.json"))).expect("JSON");
    assert_eq!(list["items"].as_array().map(Vec::len), Some(1));
    let (site, _) = export(&room, "site", "out/site", &["--manifests", "https://example.org/c"]);
    for (page, linked) in [("2031.1", true), ("2031.R1", false)] {
        assert_eq!(text_of(&site.join(format!("pieces/{page}.html"))).contains("manifest.json"), linked, "{page}");
    }
}

/// Whoever publishes is told whose rights to ask after, by pieces and by photographs.
#[test]
fn what_is_protected_restricted_unsettled_or_unstated_is_named_before_it_is_published() {
    let piece = |number: &str, statement: &str| {
        format!("[piece]\nnumber = \"{number}\"\nnature = \"extant\"\nobject_name = \"cap\"\n{statement}\n")
    };
    let stated = |number: &str, word: &str| piece(number, &format!("rights_statement = \"{word}\""));
    let sheets = [
        stated("1", "InC-RUU"),
        stated("2", "NoC-OKLR"),
        stated("3", "UND"),
        stated("4", "NKC"),
        stated("5", "CC0-1.0"),
        piece("6", ""),
    ];
    let room = Room::with(&sheets.iter().map(String::as_str).collect::<Vec<_>>());
    let photograph = room.photograph("five.jpg", 5);
    room.run(&["photo", "add", "5", &photograph, "--rights", "InC", "--by", "Wren"]).done();
    let (_, said) = export(&room, "dublin-core", "out/dc", &[]);
    let wanted = "before you publish, ask whose rights these are: in copyright: 1; in copyright, photographs of: 5; \
                  restricted by contract or law: 2; rights not settled: 3, 4; no statement of rights: 6";
    assert!(said.contains(wanted), "{said}");
    assert!(text_of(&room.path().join("out/dc-left-out.txt")).contains(wanted));
    let said = room.run(&["--json", "export", "dublin-core", "--out", "out/as-json"]).json().remove(0);
    assert_eq!(said["care"], wanted);
}

/// Every link of the site leads to a file of it or out to the web; no page needs a script or another server.
#[test]
fn the_site_stands_alone() {
    let room = room();
    let (folder, _) = export(&room, "site", "out/site", &["--manifests", "https://example.org/c"]);
    let mut links = BTreeSet::new();
    for file in files_below(&folder).iter().filter(|f| f.extension().is_some_and(|e| e == "html")) {
        let page = text_of(file);
        assert!(!page.contains("<script") && !page.contains("style="), "{}", file.display());
        for part in page.split("href=\"").skip(1).chain(page.split("src=\"").skip(1)) {
            let link = part.split('"').next().unwrap_or_default().to_owned();
            if !link.starts_with("http") {
                let plain = link.replace("%20", " ");
                assert!(file.parent().expect("a folder").join(&plain).is_file(), "{}: `{link}`", file.display());
            }
            links.insert(link);
        }
    }
    let page = text_of(&folder.join("pieces/2031.1.html"));
    for words in
        ["A short jacket\nof &lt;green&gt; silk &amp; cotton", "Given by its wearer", "The front, &quot;fastened&quot;"]
    {
        assert!(page.contains(words), "the page lacks `{words}`");
    }
    for words in ["outline of left front", "class=\"mark\""] {
        assert!(page.contains(words), "what is drawn is not shown: `{words}`");
    }
    assert!(!page.contains("tear"), "a damage, and the outline of one, stay at home");
    assert!(!page.contains("Not recorded: features"), "what was left out must not be called unrecorded");
    for link in [
        "http://rightsstatements.org/vocab/NoC-OKLR/1.0/",
        "https://example.org/c/pieces/2031.1/manifest.json",
        "2031.R1.html",
    ] {
        assert!(links.contains(link), "no link `{link}` among {links:?}");
    }
    let after = text_of(&folder.join("pieces/2031.R1.html"));
    assert!(after.contains("<a href=\"2031.1.html\">2031.1, Green silk spencer</a>"), "its model is linked");
    let (alone, _) = export_one(&room, "2031.R1");
    assert!(
        !text_of(&alone.join("pieces/2031.R1.html")).contains("2031.1"),
        "a piece that is not published is not named"
    );
}

fn export_one(room: &Room, number: &str) -> (PathBuf, String) {
    let said = room.run(&["export", "site", number, "--out", "out/alone"]).done();
    (room.path().join("out/alone"), said)
}

/// What the manifest must say, read as any reader of IIIF would: one canvas a photograph in pixels of the original, the
/// picture painted on it, each region an annotation on it, and the rights.
#[test]
fn a_manifest_holds_the_photograph_its_regions_and_its_rights() {
    let room = room();
    let (iiif, _) = export(&room, "iiif", "out/iiif", &["--longest", "650"]);
    let read = |path: &Path| -> Value { serde_json::from_str(&text_of(path)).expect("JSON") };
    let manifest = read(&iiif.join("pieces/2031.1/manifest.json"));
    assert_eq!(manifest["id"], "https://example.org/c/pieces/2031.1/manifest.json");
    assert_eq!(manifest["rights"], "http://rightsstatements.org/vocab/NoC-OKLR/1.0/");
    assert_eq!(manifest["requiredStatement"]["value"]["none"][0], "Given by its wearer");
    let canvas = &manifest["items"][0];
    assert_eq!(
        (&canvas["width"], &canvas["height"]),
        (&json!(1300), &json!(900)),
        "pixels of the original, however small the tiles"
    );
    // A bar of 100 mm over 1000 pixels. What the service must hold: IIIF, Linking to External Services, 3.3; `id` and `type`
    // by Presentation 3.0, 3.3.1.
    let service = &canvas["service"][0];
    assert!((service["physicalScale"].as_f64().expect("a scale") - 0.1).abs() < 1e-9);
    for (name, wanted) in [
        ("@context", json!("http://iiif.io/api/annex/services/physdim/1/context.json")),
        ("profile", json!("http://iiif.io/api/annex/services/physdim")),
        ("id", json!(format!("{}/physical", canvas["id"].as_str().expect("an id")))),
        ("type", json!("PhysicalDimensions")),
        ("physicalUnits", json!("mm")),
    ] {
        assert_eq!(service[name], wanted, "{name}");
    }
    assert!(service.get("@id").is_none() && service.get("@type").is_none(), "the form of before Presentation 3");
    let body = &canvas["items"][0]["items"][0]["body"];
    let service = body["service"][0]["id"].as_str().expect("a service");
    let folder = iiif.join(service.trim_start_matches("https://example.org/c/"));
    let info = read(&folder.join("info.json"));
    assert_eq!((&info["id"], &info["width"], &info["height"]), (&body["service"][0]["id"], &json!(650), &json!(450)));
    for named in [&body["id"], &manifest["thumbnail"][0]["id"], &canvas["thumbnail"][0]["id"]] {
        let path = named.as_str().expect("an address").trim_start_matches("https://example.org/c/");
        assert!(iiif.join(path).is_file(), "`{path}` is named and not there");
    }
    let regions = |canvas: &Value| -> Vec<(String, String)> {
        let drawn = canvas["annotations"][0]["items"].as_array().expect("regions");
        let text = |value: &Value| value.as_str().expect("a text").to_owned();
        drawn
            .iter()
            .map(|a| {
                assert_eq!(a["target"]["source"]["id"], canvas["id"]);
                (text(&a["body"]["value"]), text(&a["target"]["selector"]["type"]))
            })
            .collect()
    };
    let outline = ("outline of left front".to_owned(), "SvgSelector".to_owned());
    assert_eq!(
        regions(canvas),
        std::slice::from_ref(&outline),
        "a note stays at home, and a place that has no more than a note with it"
    );
    let (noted, _) = export(&room, "iiif", "out/noted", &["--longest", "650", "--with", "notes"]);
    let noted = read(&noted.join("pieces/2031.1/manifest.json"));
    assert_eq!(regions(&noted["items"][0]), [outline, ("the second button".to_owned(), "PointSelector".to_owned())]);
    let listed = read(&iiif.join("collection.json"));
    assert_eq!(listed["items"].as_array().map(Vec::len), Some(2));
    assert_eq!(listed["items"][0]["id"], manifest["id"]);
}
