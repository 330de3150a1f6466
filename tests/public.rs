//! What is exported for the public: valid by outside schemas, readable by an outside viewer, free of what is private, and the
//! same bytes each time.

#[allow(dead_code, reason = "each test file uses its own part")]
#[path = "support/random.rs"]
mod random;
mod support;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::process::Command;

use dimity::exchange::out::discretion::{Kind, Terms, for_the_public};
use dimity::exchange::out::subject::Publication;
use dimity::exchange::out::{dublin_core, iiif, lido, linked_art};
use dimity::photograph::tiles::Plan;
use dimity::record::PieceFile;
use dimity::record::photograph::{Photograph, Region, Shape};
use dimity::vocabulary::Vocabulary;
use serde_json::{Value, json};
use support::pictures::with_position;
use support::{AFTER, Room, SPENCER, machine};

/// Written into every private field of the room below. No export may hold it.
const SECRET: &str = "Quillfeather";

const FORMATS: [&str; 5] = ["lido", "linked-art", "dublin-core", "iiif", "site"];

/// Where schemas lie, and a Python with the validators; or nothing, having said what was not run.
fn validators(what: &str) -> Option<(PathBuf, PathBuf)> {
    let what = format!("{what} against its schema");
    Some((machine::open_data("schemas", &what)?, machine::python(&what)?))
}

/// What the validator finds wrong with each file.
fn faults((schemas, python): &(PathBuf, PathBuf), kind: &str, files: &[PathBuf]) -> BTreeMap<String, Vec<String>> {
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/public/validate.py");
    let output = Command::new(python).arg(script).arg(schemas).arg(kind).args(files).output().expect("Python starts");
    assert!(output.status.success(), "validate.py {kind}: {}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).expect("it answers in JSON")
}

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
    let other = room.photograph("other.jpg", 40);
    let add = |file: &str, more: &[&str]| {
        room.run(&[&["photo", "add", "2031.1", file, "--photographer", SECRET][..], more].concat()).done();
    };
    add(&front, &["--view", "front", "--caption", "The front, \"fastened\""]);
    add(&other, &["--treatment", "Support of the tear", "--stage", "before"]);
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

fn export(room: &Room, format: &str, to: &str, more: &[&str]) -> (PathBuf, String) {
    let mut arguments = vec!["export", format, "--out", to];
    if format == "iiif" && !more.contains(&"--base") {
        arguments.extend(["--base", "https://example.org/c"]);
    }
    if format == "site" {
        arguments.push("--all");
    }
    arguments.extend(more);
    let said = room.run(&arguments).done();
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

#[test]
fn the_same_catalogue_gives_the_same_bytes() {
    let room = room();
    for format in FORMATS {
        let (one, _) = export(&room, format, &format!("one/{format}"), &[]);
        let (two, _) = export(&room, format, &format!("two/{format}"), &[]);
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

#[test]
fn exports_are_valid_by_the_schemas_of_their_standards() {
    let Some(tools) = validators("LIDO, Linked Art, IIIF and Dublin Core") else { return };
    let room = room();
    for (format, more) in [
        ("lido", &[][..]),
        ("lido", &["--base", "https://example.org/c", "--with", "provenance,people,location,condition"]),
        ("linked-art", &[]),
        ("linked-art", &["--base", "https://example.org/c", "--with", "provenance,people"]),
        ("dublin-core", &[]),
        ("dublin-core", &["--base", "https://example.org/c", "--with", "people"]),
        ("iiif", &["--longest", "700", "--with", "condition"]),
    ] {
        let (folder, _) = export(&room, format, "out/valid", more);
        let described = |f: &PathBuf| {
            f.extension().is_some_and(|e| ["xml", "rdf", "json"].iter().any(|known| e == *known))
                && !f.ends_with("info.json")
        };
        let files: Vec<PathBuf> = files_below(&folder).into_iter().filter(described).collect();
        let found = faults(&tools, format, &files);
        assert_eq!(found.len(), files.len(), "{format}: every file is looked at");
        for (file, faults) in found {
            assert!(faults.is_empty(), "{format} {more:?}: {file}: {faults:#?}");
        }
        std::fs::remove_dir_all(&folder).expect("removed");
    }
}

/// A manifest with what a manifest cannot have, a record without what it must have: each must be caught, or the check above
/// proves nothing.
#[test]
fn the_schemas_catch_what_is_wrong() {
    let Some(tools) = validators("the proof of the checks of LIDO, Linked Art, IIIF and Dublin Core") else { return };
    let room = room();
    let at = |format: &str| export(&room, format, &format!("out/{format}"), &[]).0;
    let (lido, art, dc, iiif) = (at("lido"), at("linked-art"), at("dublin-core"), at("iiif"));
    let mut made: BTreeMap<&str, Vec<PathBuf>> = BTreeMap::new();
    let mut broken = |kind: &'static str, from: &Path, name: &str, change: &dyn Fn(String) -> String| {
        let text = text_of(from);
        let changed = change(text.clone());
        assert_ne!(text, changed, "{name}: nothing was changed");
        made.entry(kind).or_default().push(PathBuf::from(room.write(&format!("broken-{name}"), changed)));
    };
    let in_json = |pointer: &'static str, value: Value| {
        move |text: String| {
            let mut whole: Value = serde_json::from_str(&text).expect("JSON");
            *whole.pointer_mut(pointer).unwrap_or_else(|| panic!("no {pointer}")) = value.clone();
            whole.to_string()
        }
    };
    let lido = lido.join("lido.xml");
    broken("lido", &lido, "record-type.xml", &|t| t.replace("lido:recordType>", "lido:recordKind>"));
    broken("lido", &lido, "order.xml", &|t| t.replacen("<lido:lidoRecID", "<lido:category/><lido:lidoRecID", 1));
    broken("lido", &lido, "language.xml", &|t| {
        t.replacen("<lido:descriptiveMetadata xml:lang=\"en\">", "<lido:descriptiveMetadata>", 1)
    });
    broken("lido", &lido, "ill-formed.xml", &|t| t.replace("&amp;", "&"));
    let object = art.join("objects/2031.1.json");
    broken("linked-art", &object, "value.json", &in_json("/dimension/0/value", json!("385 mm")));
    broken("linked-art", &object, "class.json", &in_json("/identified_by/0/type", json!("Title")));
    broken("linked-art", &object, "date.json", &in_json("/produced_by/timespan/begin_of_the_begin", json!("1810")));
    broken("linked-art", &object, "id.json", &in_json("/made_of/0/id", json!(7)));
    let manifest = iiif.join("pieces/2031.1/manifest.json");
    broken("iiif", &manifest, "label.json", &in_json("/label", json!("Green silk spencer")));
    broken("iiif", &manifest, "height.json", &in_json("/items/0/height", json!(-1)));
    broken("iiif", &manifest, "rights.json", &in_json("/rights", json!("https://example.org/all-rights")));
    broken("iiif", &manifest, "target.json", &in_json("/items/0/annotations/0/items/0/target", json!(3)));
    let dc = dc.join("dublin-core.rdf");
    broken("dublin-core", &dc, "sixteenth.rdf", &|t| t.replace("dc:format>", "dc:medium>"));
    broken("dublin-core", &dc, "title.rdf", &|t| t.replace("dc:title>", "dc:subject>"));
    for (kind, files) in made {
        let found = faults(&tools, kind, &files);
        assert_eq!(found.len(), files.len());
        for (file, faults) in found {
            assert!(!faults.is_empty(), "{file} was not caught");
        }
    }
}

/// Pieces with anything in any field: markup, control characters, other scripts, dates before Christ.
#[test]
fn whatever_stands_in_the_fields_the_exports_stay_valid() {
    let room = Room::bare();
    let everything: Vec<Kind> = Kind::CAN_BE_INCLUDED.iter().map(|(kind, _)| *kind).collect();
    let mut pieces = Vec::new();
    for start in 0..6 {
        let mut file = random::file(start, 70, &["2031.1"], false);
        file.piece.number = Some(format!("2031.{start}"));
        let shape = |text: &str| Shape::parse(text).expect("a shape");
        let shapes = ["point 0,0", "line 1,2 30,40.5", "outline 1,1 9,1 9,9 1,9", "outline 1,2 9,2 9,8"];
        let text = |n: u64| random::text(&mut random::Dice::new(start * 7 + n));
        let region = |(n, s): (usize, &&str)| Region {
            id: format!("r{n}"),
            shape: shape(s),
            note: Some(text(n as u64)),
            ..Region::default()
        };
        file.photographs = vec![Photograph {
            id: format!("0000000{start}"),
            number: format!("2031.{start}"),
            width: 40,
            height: 50,
            caption: Some(text(9)),
            regions: shapes.iter().enumerate().map(region).collect(),
            ..Photograph::default()
        }];
        pieces.push(file);
    }
    let numbers: Vec<String> = pieces.iter().map(|f| f.number().to_owned()).collect();
    for (included, base) in [(&[][..], None), (&everything, Some("https://example.org/c"))] {
        let terms = Terms::new(included, numbers.iter().cloned());
        let shown: Vec<PieceFile> = pieces.iter().map(|f| for_the_public(f.clone(), &terms).0).collect();
        let publication =
            Publication { vocabulary: Vocabulary::shipped(), collection: "<&>\u{1}", pieces: &shown, base };
        let put = |name: String, text: String| PathBuf::from(room.write(&name, text));
        let xml = put("lido.xml".into(), lido::write(&publication));
        let rdf = put("dc.rdf".into(), dublin_core::write(&publication));
        let objects = shown.iter().enumerate().flat_map(|(n, file)| {
            [Some(linked_art::object(file, &publication)), linked_art::work(file, &publication)]
                .into_iter()
                .flatten()
                .enumerate()
                .map(move |(m, v)| (format!("art-{n}-{m}.json"), v.to_string()))
        });
        let objects: Vec<PathBuf> = objects.map(|(name, text)| put(name, text)).collect();
        let plan = |p: &Photograph| Plan::fitted(p.width, p.height, 6000);
        let manifests = shown.iter().enumerate().map(|(n, file)| {
            let manifest = iiif::manifest("https://example.org/c", file, &publication, &plan);
            put(format!("manifest-{n}.json"), manifest.to_string())
        });
        let manifests: Vec<PathBuf> = manifests.collect();
        let Some(tools) = validators("pieces with anything in any field") else { return };
        for (kind, files) in
            [("lido", vec![xml]), ("dublin-core", vec![rdf]), ("linked-art", objects), ("iiif", manifests)]
        {
            for (file, faults) in faults(&tools, kind, &files) {
                assert!(faults.is_empty(), "{kind}: {file}: {faults:#?}");
            }
        }
    }
}

/// OpenSeadragon 6, a viewer of pictures in general, opens the tiles from a plain web server; every tile that it could ask
/// for at any zoom is there and as large as its name says.
#[test]
fn an_ordinary_viewer_opens_the_tiles_from_a_plain_web_server() {
    let tools = machine::npm_folder();
    let packages = ["openseadragon", "playwright-core"];
    let Some(chromium) = machine::browser("the tiles in a viewer", &packages, &[]) else { return };
    let room = room();
    let port = std::net::TcpListener::bind("127.0.0.1:0").and_then(|l| l.local_addr()).expect("a free port").port();
    let base = format!("http://127.0.0.1:{port}/c");
    let (iiif, _) = export(&room, "iiif", "out/iiif", &["--base", &base]);
    let infos: Vec<String> = files_below(&iiif)
        .iter()
        .filter(|f| f.ends_with("info.json"))
        .map(|f| format!("{base}/{}", f.strip_prefix(&iiif).expect("below").display()))
        .collect();
    assert_eq!(infos.len(), 1, "the photograph of the treatment is not published");
    let pictures = Path::new(env!("CARGO_TARGET_TMPDIR")).join("public");
    std::fs::create_dir_all(&pictures).expect("a folder for the picture");
    let job = json!({
        "tools": tools, "chromium": chromium, "root": iiif, "port": port, "infos": infos,
        "picture": pictures.join("viewer.png"),
    });
    let job = room.write("job.json", job.to_string());
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/public/viewer.mjs");
    let output = Command::new("node").arg(script).arg(job).output().expect("node starts");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let said: Value = serde_json::from_slice(&output.stdout).expect("it answers in JSON");
    assert_eq!(said["faults"], json!([]));
    // 1300 by 900 at 512: 3 by 2 tiles, then 2 by 1, then one.
    assert_eq!(said["asked"], 9);
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
