//! What is drawn on a photograph has a size: scale, regions, shares and web annotations, through the real program.

mod support;

use serde_json::{Value, json};
use support::{Room, SPENCER};

/// A room with one photograph of 1000 by 800 pixels, and the beginning of its SHA-256.
fn room() -> (Room, String) {
    let room = Room::with(&[SPENCER]);
    let path = room.path().join("p.png");
    // A ruled bar of nine blocks of 40 pixels along the foot.
    let picture = image::GrayImage::from_fn(1000, 800, |x, y| {
        let bar = (700..720).contains(&y) && (100..460).contains(&x);
        image::Luma([if !bar {
            170
        } else if (x - 100) / 40 % 2 == 0 {
            20
        } else {
            240
        }])
    });
    picture.save(&path).expect("saved");
    room.run(&["photo", "add", "2031.1", path.to_str().expect("plain"), "--component", "left front"]).done();
    let piece = room.run(&["show", "2031.1", "--json"]).json().remove(0);
    let sha = piece["photographs"][0]["sha256"].as_str().expect("a text")[..10].to_owned();
    (room, sha)
}

fn holds(text: &str, parts: &[&str]) {
    for part in parts {
        assert!(text.contains(part), "`{part}` should stand in\n{text}");
    }
}

fn photograph(room: &Room) -> Value {
    room.run(&["show", "2031.1", "--json"]).json().remove(0)["photographs"][0].take()
}

const BAR: [&str; 5] = ["--between", "100,710", "460,710", "--length", "9 cm"];

#[test]
fn a_scale_is_set_said_and_replaced() {
    let (room, sha) = room();
    let scale = |more: &[&str]| room.run(&[&["photo", "scale", &sha][..], more].concat());
    holds(&scale(&[]).refused(), &["has no scale; set one:"]);
    let said = scale(&[&BAR[..], &["--tolerance", "0.1 mm", "--pointing", "1.5"]].concat()).done();
    holds(
        &said,
        &[
            "4.000 px/mm, u 0.024 px/mm, from 9 cm within 0.1 mm",
            "102 ppi at the object",
            "in the plane of the bar only",
        ],
    );
    assert!(!said.contains("take care"), "{said}");
    assert_eq!(scale(&[]).done(), said, "a scale is said again as it was set");
    // Exact unless said otherwise, and that is said.
    holds(&scale(&BAR).done(), &["take care: the bar is taken as exact"]);
    let corners = ["--rectangle", "200,100", "600,100", "600,400", "200,400", "--size", "20 x 15 cm"];
    let square = scale(&[&corners[..], &["--tolerance", "0.2 mm"]].concat()).done();
    holds(
        &square,
        &["2.000 px/mm", "in the middle of the rectangle", "turned about 0°", "four corners are met whatever"],
    );
    let oblique = ["--rectangle", "200,100", "600,100", "600,300", "200,300", "--size", "20 x 15 cm"];
    holds(
        &scale(&[&oblique[..], &["--known", "400,200 = 100 x 70 mm"]].concat()).done(),
        &["take care: the view is oblique, about 48° from square on", "known places are missed by"],
    );
    let journal = room.run(&["journal", "2031.1", "--json"]).json();
    let set = journal.iter().filter(|r| r["reason"] == "scale set" && r["act"] == "insert").count();
    assert_eq!(set, 4, "each scale is kept");
    let json = scale(&["--json"]).json().remove(0);
    assert_eq!((&json["size"], &json["down_mm"]), (&json!("20 x 15 cm"), &json!(150.0)));
    assert_eq!(json["known"], json!([[[400.0, 200.0], [100.0, 70.0]]]));
    assert_eq!(photograph(&room)["scale"]["id"], json["id"]);
    holds(&room.run(&["check"]).done(), &["all well"]);
}

#[test]
fn a_scale_that_is_none_is_refused_and_changes_nothing() {
    let (room, sha) = room();
    for (arguments, says) in [
        (&["--between", "100,710", "100,710", "--length", "9 cm"][..], "100,710 is given twice"),
        (
            &["--between", "100,710", "1460,710", "--length", "9 cm"],
            "1460,710 lies outside the picture, which is 1000 by 800",
        ),
        (&["--between", "100,710", "460,710", "--length", "9"], "the length `9`"),
        (&["--between", "a", "460,710", "--length", "9 cm"], "`a` is no pixel position"),
        (&["--tolerance", "1 mm"], "a tolerance belongs to a bar"),
        (&["--rectangle", "0,0", "9,9", "18,18", "0,9", "--size", "2 x 1 cm"], "0,0, 9,9 and 18,18 lie in one line"),
        (&["--rectangle", "0,0", "90,90", "90,0", "0,90", "--size", "2 x 1 cm"], "give them in order"),
        (&["--rectangle", "0,0", "90,0", "90,90", "0,90", "--size", "2 cm"], "two sides are needed"),
    ] {
        let said = room.run(&[&["photo", "scale", &sha][..], arguments].concat()).refused();
        assert!(said.contains(says), "`{said}` does not say `{says}`");
    }
    for arguments in [
        &["--between", "1,1", "2,2"][..],
        &["--length", "9 cm"],
        &["--rectangle", "1,1", "2,2", "3,3", "--size", "1 x 1 cm"],
        &["--find", "--between", "1,1", "2,2", "--length", "9 cm"],
    ] {
        assert_eq!(room.run(&[&["photo", "scale", &sha][..], arguments].concat()).code, Some(2), "{arguments:?}");
    }
    assert_eq!(photograph(&room)["scale"], Value::Null);
}

#[test]
fn a_bar_is_looked_for_and_only_offered() {
    let (room, sha) = room();
    let said = room.run(&["photo", "scale", &sha, "--find"]).done();
    holds(&said, &["may be a bar: 9 blocks", "--between 100.0,710.0 460.0,710.0 --length \"9 cm\""]);
    assert_eq!(photograph(&room)["scale"], Value::Null, "an offer is not stored");
    let json = room.run(&["photo", "scale", &sha, "--find", "--json"]).json().remove(0);
    assert_eq!(json, json!([{ "between": [[100.0, 710.0], [460.0, 710.0]], "blocks": 9 }]));
}

#[test]
fn regions_say_their_size_and_their_share() {
    let (room, sha) = room();
    let draw = |arguments: &[&str]| room.run(&[&["photo", "region", &sha][..], arguments].concat());
    assert_eq!(draw(&["line 0,0 30,40"]).done(), "drew region A: 50.0 px (u 1.4 px)\n");
    room.run(&[&["photo", "scale", &sha][..], &BAR, &["--tolerance", "0.1 mm"]].concat()).done();
    draw(&["outline 100,100 500,100 500,500 100,500 hole 300,300 400,300 400,400 300,400", "--outlines", "left front"])
        .done();
    let said = draw(&["outline 100,100 200,100 200,200 100,200"]).done();
    holds(
        &said,
        &["drew region C: 10000 px² (u 400 px²)", "6.25 cm² (u 0.25 cm²)", "100.0 mm round", "6.67 % of left front"],
    );
    holds(&draw(&["line 100,100 200,100 200,200"]).done(), &["50.0 mm", "90.0 ° at the middle place"]);
    for (arguments, says) in [
        (&["outline 0,0 9,9 9,0 0,9"][..], "the outline crosses or touches itself at 4.5,4.5"),
        (&["outline 0,0 90,0 90,90 hole 200,200 210,200 210,210"], "hole 1 lies outside the outline"),
        (&["outline 0,0 90,0 90,90 hole 1,1"], "hole 1 needs at least three positions"),
        (&["outline 0,0 90,0 1001,90"], "1001,90 lies outside the picture"),
        (&["line 0,0 9,9", "--outlines", "left front"], "only an outline can be the outline of a component"),
        (&["outline 0,0 9,0 9,9", "--outlines", "hood"], "has no component `hood`; its components: "),
    ] {
        let said = draw(arguments).refused();
        assert!(said.contains(says), "`{said}` does not say `{says}`");
    }
    let regions = photograph(&room)["regions"].take();
    let third = &regions[2];
    assert_eq!((third["area_px2"].as_f64(), third["area_cm2"].as_f64()), (Some(10000.0), Some(6.25)));
    assert!((third["shares"][0]["share"].as_f64().expect("a share") - 1.0 / 15.0).abs() < 1e-9);
    holds(third["holds"].as_str().expect("words"), &["in the plane of the bar only"]);
    assert_eq!(regions[1]["outlines"], "left front");
    holds(&room.run(&["show", "2031.1"]).done(), &["# ", "scale 4.000 px/mm", "(outline of left front)"]);
    room.run(&["report", "condition", "2031.1"]).done();
    holds(&room.run(&["check"]).done(), &["all well"]);
}

/// The Web Annotation Data Model, Recommendation of 23 February 2017, sections 3.1, 4.2 and 5.
#[test]
fn annotations_have_what_the_recommendation_requires() {
    let (room, sha) = room();
    let piece = room.run(&["show", "2031.1", "--json"]).json().remove(0);
    let tear = piece["examinations"][0]["condition"][0]["id"].as_str().expect("an id").to_owned();
    room.run(&[&["photo", "scale", &sha][..], &BAR].concat()).done();
    for arguments in [
        &["point 40,30", "--note", "a \"knot\" <here> & there"][..],
        &["outline 10,20 110,20 110,70 10,70"],
        &["outline 10,20 110,20 90,70 hole 60,30 70,30 70,35", "--shows", &tear],
        &["line 0,0 30,40"],
        &["outline 10,20 210,20 210,170", "--outlines", "left front"],
    ] {
        room.run(&[&["photo", "region", &sha][..], arguments].concat()).done();
    }
    let all = room.run(&["photo", "annotations", "2031.1", "--json"]).json().remove(0);
    let pretty: Value = serde_json::from_str(&room.run(&["photo", "annotations", "2031.1"]).done()).expect("JSON");
    assert_eq!(pretty, all);
    let context = "http://www.w3.org/ns/anno.jsonld";
    assert_eq!(
        (&all["@context"], &all["type"], &all["total"]),
        (&json!(context), &json!("AnnotationCollection"), &json!(5))
    );
    let iri = |value: &Value| value.as_str().is_some_and(|v| v.starts_with("urn:"));
    assert!(iri(&all["id"]));
    let page = &all["first"];
    assert!(iri(&page["id"]) && page["id"] != all["id"]);
    assert_eq!(
        (&page["type"], &page["partOf"], &page["startIndex"]),
        (&json!("AnnotationPage"), &all["id"], &json!(0))
    );
    let items = page["items"].as_array().expect("a list");
    let photo = photograph(&room);
    let whole = format!("urn:sha256:{}", photo["sha256"].as_str().expect("a text"));
    let mut kinds = Vec::new();
    let mut ids = std::collections::HashSet::new();
    for item in items {
        assert_eq!((&item["@context"], &item["type"]), (&json!(context), &json!("Annotation")));
        assert!(iri(&item["id"]) && ids.insert(item["id"].to_string()), "{item}");
        for body in item["body"].as_array().expect("bodies") {
            match body["type"].as_str() {
                Some("TextualBody") => assert!(body["value"].is_string() && body["format"].is_string(), "{body}"),
                Some("SpecificResource") => assert!(iri(&body["source"]), "{body}"),
                other => panic!("{other:?} is no body"),
            }
        }
        let target = &item["target"];
        assert_eq!((&target["type"], &target["source"]["id"]), (&json!("SpecificResource"), &json!(whole)));
        let selector = &target["selector"];
        let (kind, value) = (selector["type"].as_str().expect("a type"), selector["value"].as_str().expect("a value"));
        match kind {
            "FragmentSelector" => {
                assert_eq!(selector["conformsTo"], "http://www.w3.org/TR/media-frags/");
                assert!(value.starts_with("xywh=pixel:"), "{value}");
            }
            "SvgSelector" => {
                assert!(
                    value.starts_with("<svg xmlns=\"http://www.w3.org/2000/svg\"") && value.ends_with("</svg>"),
                    "{value}"
                );
            }
            other => panic!("`{other}` is no selector that we write"),
        }
        kinds.push(kind);
    }
    assert_eq!(kinds, ["FragmentSelector", "FragmentSelector", "SvgSelector", "SvgSelector", "SvgSelector"]);
    let text = items[2]["body"].to_string();
    holds(&text, &["tear", &format!("urn:uuid:{tear}"), "area_cm2"]);
    assert_eq!((&items[4]["motivation"], &items[2]["motivation"]), (&json!("identifying"), &json!("describing")));
    let empty = Room::with(&[SPENCER]).run(&["photo", "annotations", "2031.1", "--json"]).json().remove(0);
    assert_eq!((&empty["total"], &empty["first"]["items"]), (&json!(0), &json!([])));
}
