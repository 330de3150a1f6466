//! IIIF as readers from outside open it, over HTTP from a plain web server: a viewer of tiles, a viewer of manifests and
//! collections, the validator of the Image API.

use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use crate::support::Room;
use crate::support::browser::Browser;
use crate::valid::Validators;
use crate::{export, files_below, room, text_of};

/// The pieces as IIIF for an address of this machine; also which port that has.
fn published(room: &Room, below: &str) -> (PathBuf, u16, String) {
    let port = std::net::TcpListener::bind("127.0.0.1:0").and_then(|l| l.local_addr()).expect("a free port").port();
    let base = format!("http://127.0.0.1:{port}{below}");
    (export(room, "iiif", "out/iiif", &["--base", &base]).0, port, base)
}

fn infos(iiif: &Path) -> Vec<PathBuf> {
    files_below(iiif).into_iter().filter(|f| f.ends_with("info.json")).collect()
}

/// OpenSeadragon 6, a viewer of pictures in general: every tile that it could ask for at any zoom is there and as large as
/// its name says.
#[test]
fn an_ordinary_viewer_of_pictures_opens_the_tiles() {
    let Some(browser) = Browser::or_say_not_run(&["openseadragon"]) else { return };
    let room = room();
    let (iiif, port, base) = published(&room, "/c");
    let infos: Vec<String> =
        infos(&iiif).iter().map(|f| format!("{base}/{}", f.strip_prefix(&iiif).expect("below").display())).collect();
    assert_eq!(infos.len(), 2, "the photograph of the treatment is not published");
    let said = browser.script("public/tiles.mjs", "public", json!({ "root": iiif, "port": port, "infos": infos }));
    assert_eq!(said["faults"], json!([]));
    // 1300 by 900 at 512: 3 by 2 tiles, then 2 by 1, then one; 200 by 1000: two, then one.
    assert_eq!(said["asked"], 12);
}

/// TIFY 0.35, a viewer of IIIF in general: a manifest by itself, the same from a page of another address, the list of
/// manifests and a piece chosen from it. Each time the title stands at the head, the picture is drawn to the last tile, each answer
/// is 200, nothing is asked of other servers, and nothing is complained of.
#[test]
fn an_ordinary_viewer_opens_manifests_and_the_collection() {
    let Some(browser) = Browser::or_say_not_run(&["tify"]) else { return };
    let room = room();
    let (iiif, port, base) = published(&room, "/c");
    let (here, elsewhere) = (format!("http://127.0.0.1:{port}"), format!("http://localhost:{port}"));
    let (spencer, after) = ("Green silk spencer, 2031.1", "spencer, 2031.R1");
    let (one, all) = (format!("{base}/pieces/2031.1/manifest.json"), format!("{base}/collection.json"));
    // Document, page that opens it, what is chosen of the list; what is listed, the title then, tiles that are asked for at least.
    let visits = [
        ("manifest", &one, &here, None, json!([]), spencer, 9),
        ("manifest from elsewhere", &one, &elsewhere, None, json!([]), spencer, 9),
        ("collection", &all, &here, Some(spencer), json!([spencer, after]), spencer, 9),
        ("collection, the other piece", &all, &here, Some(after), json!([spencer, after]), after, 1),
    ];
    let asked: Vec<Value> = visits
        .iter()
        .map(|(name, open, from, choose, ..)| json!({ "name": name, "open": open, "from": from, "choose": choose }))
        .collect();
    let seen = browser.script("public/viewer.mjs", "public", json!({ "root": iiif, "port": port, "visits": asked }));
    for (name, .., listed, title, tiles) in visits {
        let seen = &seen[name];
        assert_eq!(seen["faults"], json!([]), "{name}");
        assert_eq!((&seen["listed"], &seen["title"], &seen["canvases"]), (&listed, &json!(title), &json!(1)), "{name}");
        let regions = if title == spencer { json!(["outline of left front"]) } else { json!([]) };
        assert_eq!(seen["regions"], regions, "{name}");
        assert!(seen["tiles"].as_u64() >= Some(tiles), "{name}: {seen}");
    }
}

/// The validator of the Image API, asked for level 0 of version 3.0; and again about descriptions that it must refuse.
#[test]
fn tiles_are_described_as_the_validator_of_the_image_api_asks() {
    let Some(tools) = Validators::alone("the description of tiles") else { return };
    let room = room();
    let (iiif, _, base) = published(&room, "");
    let infos = infos(&iiif);
    let tools = tools.at(&base);
    tools.stand("tiles", &infos);
    let sound = text_of(&infos[0]);
    for (name, value) in [
        ("@context", json!("http://iiif.io/api/image/2/context.json")),
        ("type", json!("ImageService2")),
        ("protocol", json!("iiif")),
        ("profile", json!("http://iiif.io/api/image/3/level0.json")),
        ("width", json!("1300")),
        ("sizes", json!([{ "width": 10 }])),
        ("tiles", json!([{ "width": 512 }])),
        ("id", json!("http://127.0.0.1/elsewhere")),
    ] {
        let mut info: Value = serde_json::from_str(&sound).expect("JSON");
        info[name] = value;
        std::fs::write(&infos[0], info.to_string()).expect("written");
        tools.fall("tiles", &infos[..1]);
    }
}
