//! The exports for the public against the schemas of their standards and readers from outside, whatever stands in the fields.

use std::collections::BTreeMap;
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

use crate::support::Room;
use crate::{export, files_below, random, room, support, text_of};

/// What is read as a graph.
const GRAPHS: [&str; 3] = ["dublin-core", "linked-art-graph", "annotations"];

/// A Python with the validators, the vocabularies of npm, and where schemas or files lie; or nothing, having said what was not run.
pub struct Validators {
    python: PathBuf,
    vocabularies: PathBuf,
    place: PathBuf,
}

impl Validators {
    /// Those that bring along what they need.
    pub fn alone(what: &str) -> Option<Self> {
        let python = support::python();
        let vocabularies = support::browser::package("@vocabulary");
        if python.is_none() || vocabularies.is_none() {
            assert!(std::env::var_os("DIMITY_REQUIRE_VALIDATORS").is_none(), "the vocabularies of npm are missing");
            println!("not run: {what} by its validator; `tests/run` installs what it needs");
        }
        Some(Self { python: python?, vocabularies: vocabularies?, place: PathBuf::new() })
    }

    fn with_schemas(what: &str) -> Option<Self> {
        let shared = std::env::var_os("DIMITY_SHARED").map(PathBuf::from);
        let Some(schemas) = shared.map(|s| s.join("schemas")).filter(|s| s.is_dir()) else {
            println!(
                "not run: {what} against its schema, which is not beside this checkout (DIMITY_SHARED names its folder)"
            );
            return None;
        };
        Some(Self { place: schemas, ..Self::alone(what)? })
    }

    /// The same for files that lie at an address.
    pub fn at(self, address: &str) -> Self {
        Self { place: address.into(), ..self }
    }

    /// What is found wrong with each file.
    pub fn faults(&self, kind: &str, files: &[PathBuf]) -> BTreeMap<String, Vec<String>> {
        let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/public/validate.py");
        let place = if GRAPHS.contains(&kind) { &self.vocabularies } else { &self.place };
        let output =
            Command::new(&self.python).arg(script).arg(place).arg(kind).args(files).output().expect("Python starts");
        assert!(output.status.success(), "validate.py {kind}: {}", String::from_utf8_lossy(&output.stderr));
        let found: BTreeMap<String, Vec<String>> = serde_json::from_slice(&output.stdout).expect("it answers in JSON");
        assert_eq!(found.len(), files.len(), "{kind}: every file is looked at");
        found
    }

    /// Each file stands.
    pub fn stand(&self, kind: &str, files: &[PathBuf]) {
        for (file, faults) in self.faults(kind, files) {
            assert!(faults.is_empty(), "{kind}: {file}: {faults:#?}");
        }
    }

    /// Each file is found wrong.
    pub fn fall(&self, kind: &str, files: &[PathBuf]) {
        for (file, faults) in self.faults(kind, files) {
            assert!(!faults.is_empty(), "{kind}: {file} was not caught");
        }
    }
}

#[test]
fn exports_are_valid_by_the_schemas_of_their_standards() {
    let Some(tools) = Validators::with_schemas("LIDO, Linked Art, IIIF and Dublin Core") else { return };
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
        assert!(!files.is_empty(), "{format} {more:?}");
        tools.stand(format, &files);
        if format == "linked-art" {
            tools.stand("linked-art-graph", &files);
        }
        std::fs::remove_dir_all(&folder).expect("removed");
    }
}

/// A manifest with what a manifest cannot have, a record without what it must have: each must be caught, or the check above
/// proves nothing.
#[test]
fn the_schemas_catch_what_is_wrong() {
    let Some(tools) = Validators::with_schemas("the proof of the checks of LIDO, Linked Art, IIIF and Dublin Core")
    else {
        return;
    };
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
    let in_json = |parent: &'static str, name: &'static str, value: Value| {
        move |text: String| {
            let mut whole: Value = serde_json::from_str(&text).expect("JSON");
            whole.pointer_mut(parent).unwrap_or_else(|| panic!("no {parent}"))[name] = value.clone();
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
    broken("linked-art", &object, "value.json", &in_json("/dimension/0", "value", json!("385 mm")));
    broken("linked-art", &object, "class.json", &in_json("/identified_by/0", "type", json!("Title")));
    broken("linked-art", &object, "date.json", &in_json("/produced_by/timespan", "begin_of_the_begin", json!("1810")));
    broken("linked-art", &object, "id.json", &in_json("/made_of/0", "id", json!(7)));
    let material = json!([{ "id": "https://example.org/c/terms/fibre/silk", "type": "Material" }]);
    broken("linked-art-graph", &object, "key.json", &in_json("", "colour", json!("red")));
    broken("linked-art-graph", &object, "domain.json", &in_json("/identified_by/0", "made_of", material));
    broken("linked-art-graph", &object, "range.json", &in_json("/classified_as/0", "type", json!("Dimension")));
    let manifest = iiif.join("pieces/2031.1/manifest.json");
    broken("iiif", &manifest, "label.json", &in_json("", "label", json!("Green silk spencer")));
    broken("iiif", &manifest, "height.json", &in_json("/items/0", "height", json!(-1)));
    broken("iiif", &manifest, "rights.json", &in_json("", "rights", json!("https://example.org/all-rights")));
    broken("iiif", &manifest, "target.json", &in_json("/items/0/annotations/0/items/0", "target", json!(3)));
    let dc = dc.join("dublin-core.rdf");
    broken("dublin-core", &dc, "sixteenth.rdf", &|t| t.replace("dc:format>", "dc:medium>"));
    broken("dublin-core", &dc, "title.rdf", &|t| t.replace("dc:title>", "dc:subject>"));
    broken("dublin-core", &dc, "type.rdf", &|t| t.replace("dcmitype/StillImage", "dcmitype/Foto"));
    broken("dublin-core", &dc, "words.rdf", &|t| t.replace("<dc:type rdf:resource", "<dc:date rdf:resource"));
    broken("dublin-core", &dc, "address.rdf", &|t| t.replace("dc:identifier>", "dc:relation>"));
    for (kind, files) in made {
        tools.fall(kind, &files);
    }
}

/// Regions of every shape, as `photo annotations` prints them and as they stand in a manifest: by the schema of IIIF and a second
/// reader, and as a graph by the vocabulary of the W3C. Again with what must be refused.
#[test]
fn regions_are_web_annotations_by_schema_and_by_vocabulary() {
    let Some(tools) = Validators::with_schemas("annotations") else { return };
    let room = room();
    let shown = room.run(&["show", "2031.1", "--json"]).json().remove(0);
    let front = shown["photographs"].as_array().expect("photographs").iter().find(|p| p["view"] == "front");
    let front = front.and_then(|p| p["sha256"].as_str()).expect("the front").to_owned();
    for shape in
        ["outline 10,20 110,20 110,70 10,70", "line 0,0 30,40", "outline 9,9 90,9 90,90 9,90 hole 20,20 30,20 30,30"]
    {
        room.run(&["photo", "region", &front, shape, "--note", "seen by \"raking\" light <& so>"]).done();
    }
    let printed = room.write("printed.json", room.run(&["photo", "annotations", "2031.1"]).done());
    let (iiif, _) = export(&room, "iiif", "out/iiif", &["--with", "notes,condition"]);
    let both = [PathBuf::from(&printed), iiif.join("pieces/2031.1/manifest.json")];
    tools.stand("iiif", &both);
    tools.stand("annotations", &both);
    let broken = |name: &str, pointer: &str, value: Value| {
        let mut whole: Value = serde_json::from_str(&text_of(&both[0])).expect("JSON");
        let part = whole.pointer_mut(&format!("/first/items/0{pointer}")).unwrap_or_else(|| panic!("no {pointer}"));
        *part = value;
        vec![PathBuf::from(room.write(name, whole.to_string()))]
    };
    tools.fall("iiif", &broken("id.json", "/id", json!(7)));
    tools.fall("iiif", &broken("target.json", "/target", json!(3)));
    tools.fall("annotations", &broken("motivation.json", "/motivation", json!("praising")));
    tools.fall("annotations", &broken("selector.json", "/target/selector/type", json!("TextualBody")));
    tools.fall("annotations", &broken("class.json", "/type", json!("Note")));
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
        let Some(tools) = Validators::with_schemas("pieces with anything in any field") else { return };
        for (kind, files) in [
            ("lido", &[xml][..]),
            ("dublin-core", &[rdf]),
            ("linked-art", &objects),
            ("linked-art-graph", &objects),
            ("iiif", &manifests),
        ] {
            tools.stand(kind, files);
        }
    }
}
