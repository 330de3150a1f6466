//! What is read off photographs in the browser: colour targets, colours, threads, sharpness, a scale found. The answers are
//! those of the command line on the same photograph, and nothing is stored before somebody says so.

use dimity::record::account::Role;
use serde_json::Value;

use crate::bench::{Answer, Bench};
use crate::support::pictures::{as_png, target, woven};
use crate::support::{AUTHOR, SPENCER};

const CORNERS: &str = "10,10 190,10 190,130 10,130";
/// The cloth below the target.
const CLOTH: &str = "20,150,60,40";

/// The photograph of a tinged target above even cloth; its SHA-256 and its address.
fn with_target(bench: &Bench) -> (String, String) {
    let picture = as_png(target(|[r, g, b]| [r * 0.95, g * 0.9, b * 0.7]));
    let sha = bench.photograph("2031.1", "name=tinged.png&view=front", picture);
    let address = format!("/pieces/2031.1/photographs/{sha}");
    (sha, address)
}

/// The photograph of a plain weave.
fn with_weave(bench: &Bench) -> (String, String) {
    let sha = bench.photograph("2031.1", "name=macro.png&component=left+front", as_png(woven()));
    let address = format!("/pieces/2031.1/photographs/{sha}/threads");
    (sha, address)
}

fn read(bench: &Bench, address: &str, fields: &[(&str, &str)]) -> Answer {
    let parts: Vec<(&str, Option<&str>, &[u8])> = fields.iter().map(|(n, t)| (*n, None, t.as_bytes())).collect();
    bench.parts(&format!("{address}/target"), &parts)
}

fn holds(text: &str, parts: &[&str]) {
    for part in parts {
        assert!(text.contains(part), "`{part}` should stand in\n{text}");
    }
}

/// Places of the command line's JSON as they are written in a field.
fn places(list: &Value) -> String {
    let points: Vec<(f64, f64)> = serde_json::from_value(list.clone()).expect("places");
    dimity::geometry::written(&points)
}

fn stored(bench: &Bench) -> Option<dimity::record::target::TargetReading> {
    bench.desk.catalogue.piece("2031.1").unwrap().photographs[0].target.clone()
}

#[test]
fn a_target_is_found_read_shown_and_only_then_stored() {
    let bench = Bench::by_link(&[SPENCER]);
    let (sha, address) = with_target(&bench);
    let before = bench.revision();
    assert!(bench.get(&address).is(200).text().contains(&format!("{address}/target")), "the photograph leads there");
    holds(&bench.get(&format!("{address}/target")).is(200).text(), &["has not been read", "data-kind=\"corners\""]);
    let found = bench.command(&["photo", "target", &sha, "--find"]);
    let page = read(&bench, &address, &[("act", "find")]).is(200).text();
    holds(
        &page,
        &["This may be the target", &format!("name=\"corners\" value=\"{}\"", places(&found["found"]["corners"]))],
    );

    let corners: Vec<&str> = CORNERS.split(' ').collect();
    let dry = ["photo", "target", &sha, "--correct", "--dry-run", "--corners"];
    let said = bench.command(&[&dry[..], &corners].concat());
    let mean = format!("Mean ΔE00 {:.2}", said["results"]["mean"].as_f64().expect("a mean"));
    let look = [("corners", CORNERS), ("correct", "yes"), ("act", "look")];
    let page = read(&bench, &address, &look).is(200).text();
    holds(&page, &["Read, not stored", &mean, "FADGI 2023: ", "19 white 9.5", "Correction for this photograph alone"]);
    assert_eq!(bench.revision(), before, "nothing is stored by looking");
    assert!(stored(&bench).is_none());

    let store = [("corners", CORNERS), ("correct", "yes"), ("act", "store")];
    let answer = read(&bench, &address, &store).is(303);
    assert_eq!(answer.header("location"), format!("{address}/target"));
    let reading = stored(&bench).expect("a reading");
    assert_eq!(serde_json::to_value(&reading.results).unwrap(), said["results"]);
    assert_eq!(serde_json::to_value(&reading.correction).unwrap(), said["correction"]);
    assert_eq!(bench.desk.catalogue.journal(None).unwrap().pop().unwrap().author, AUTHOR);
    holds(&bench.get(&format!("{address}/target")).text(), &[&mean, "patches left out one by one"]);
    bench.desk.is_sound();
}

#[test]
fn a_reference_of_ones_own_is_read_and_kept_until_it_is_stored() {
    let bench = Bench::by_link(&[SPENCER]);
    let (_, address) = with_target(&bench);
    let own = dimity::colour::target::Reference::built_in_text().as_bytes();
    let to = format!("{address}/target");
    let part = |name: &'static str, text: &'static str| (name, None, text.as_bytes());
    let page = bench
        .parts(&to, &[part("corners", CORNERS), part("grid", "6x4"), ("reference", Some("ours.csv"), own)])
        .is(200)
        .text();
    let kept = page.split("name=\"kept\" value=\"").nth(1).and_then(|rest| rest.split('"').next()).expect("it is kept");
    assert!(kept.len() > 100, "{kept}");
    let parts = [
        part("corners", CORNERS),
        part("grid", "6x4"),
        part("kept-name", "ours.csv"),
        ("kept", None, kept.as_bytes()),
        part("act", "store"),
    ];
    bench.parts(&to, &parts).is(303);
    let reading = stored(&bench).expect("a reading");
    assert_eq!(reading.reference, "ours.csv");
    assert_eq!(reading.reference_sha256, crate::support::sha256(std::str::from_utf8(own).unwrap()));
    let long = vec![b'1'; 200 * 1024];
    let wrong: [(&[(&str, Option<&str>, &[u8])], u16, &str); 4] = [
        (&[("reference", Some("mine.csv"), b"patch,l,a,b\n1,20,0,0\n2,x,0,0\n")], 422, "line 3"),
        (&[("reference", Some("<script>alert(1)"), b"\xff\xfe\0")], 422, "&lt;script&gt;alert(1)"),
        (&[("kept-name", None, b"mine.csv"), ("kept", None, b"no Base64 at all!")], 422, "mine.csv"),
        (&[("reference", Some("long.csv"), &long)], 413, "too long"),
    ];
    let before = bench.revision();
    for (parts, status, says) in wrong {
        holds(&bench.parts(&to, parts).is(status).text(), &[says]);
    }
    assert_eq!(bench.revision(), before);
}

#[test]
fn corners_that_are_wrong_are_kept_and_told() {
    let bench = Bench::by_link(&[SPENCER]);
    let (_, address) = with_target(&bench);
    let before = bench.revision();
    for (corners, says) in [
        ("", "four corners, not 0"),
        ("10,10 x 190,130 10,130", "`x` is no pixel position"),
        ("10,10 1900,10 190,130 10,130", "lies outside the picture, which is 200 by 200"),
        ("10,10 190,130 190,10 10,130", "do not go round a field"),
        ("10,150 190,150 190,190 10,190", "is not this target"),
        ("190,130 10,130 10,10 190,10", "in the order 10,10 190,10 190,130 10,130 they fit"),
    ] {
        for act in ["look", "store"] {
            let page = read(&bench, &address, &[("corners", corners), ("act", act)]).is(422).text();
            holds(&page, &[says, &format!("name=\"corners\" value=\"{corners}\"")]);
        }
    }
    let page = read(&bench, &address, &[("corners", CORNERS), ("grid", "5x5")]).is(422).text();
    holds(&page, &["the built-in target has 6x4 patches".replacen('t', "T", 1).as_str()]);
    assert_eq!(bench.revision(), before, "nothing was entered");
}

#[test]
fn the_colour_of_an_area_is_that_of_the_command_line_corrected_and_not() {
    let bench = Bench::by_link(&[SPENCER]);
    let (sha, address) = with_target(&bench);
    read(&bench, &address, &[("corners", CORNERS), ("correct", "yes"), ("act", "store")]).is(303);
    let before = bench.revision();
    for (more, flag) in [("", None), ("&uncorrected=yes", Some("--uncorrected"))] {
        for (area, argument) in [(CLOTH, "--rectangle"), ("outline 20,150 80,150 80,190", "--area")] {
            let asked = ["photo", "colour", &sha, argument, area];
            let said = bench.command(&[&asked[..], flag.as_slice()].concat());
            let page = bench.get(&format!("{address}/colour?area={}{more}", area.replace(' ', "+"))).is(200).text();
            let line = said["sheet"].as_str().expect("text").replace('"', "&quot;");
            holds(&page, &[&line, &format!("{} pixels", said["pixels"])]);
        }
    }
    for (area, says) in [
        ("1,1,9", "is no rectangle"),
        ("1,1,900,9", "lies outside the picture"),
        ("outline+1,1+2,2", "at least three"),
        ("outline+1,1+1.1,1+1,1.1", "The area holds no pixel"),
        ("NaN,1,1,1", "outside the picture"),
        ("%3Cscript%3Ealert(1)", "&lt;script&gt;alert(1)"),
    ] {
        let page = bench.get(&format!("{address}/colour?area={area}")).is(422).text();
        holds(&page, &[says]);
        assert!(!page.contains("<script>alert"), "{page}");
    }
    assert_eq!(bench.revision(), before, "a colour is entered nowhere");
}

#[test]
fn threads_are_counted_as_by_the_command_line_and_entered_only_when_confirmed() {
    let bench = Bench::by_link(&[SPENCER]);
    let (sha, address) = with_weave(&bench);
    let before = bench.revision();
    let said = bench.command(&["photo", "count", &sha, "--square", "60,20,256", "--scale", "20.0 px/mm"]);
    let page = bench.get(&format!("{address}?square=60,20,256&scale=20.0+px/mm")).is(200).text();
    let confidence = format!("confidence {:.2}", said["confidence"].as_f64().expect("a figure"));
    holds(&page, &["8.0 px a thread", "508 pixels per inch", &confidence, "Say which way the warp runs"]);
    let page = bench.get(&format!("{address}?square=60,20,256&scale=20.0+px/mm&warp=up")).is(200).text();
    let ends = |page: &str| {
        let fact = page.split("<dt>ends</dt><dd>").nth(1).expect("ends");
        fact.split(' ').next().and_then(|n| n.parse::<f64>().ok()).expect("a figure")
    };
    assert!((ends(&page) - said["up"]["per_cm"].as_f64().unwrap()).abs() < 0.1, "{page}");
    let across = bench.get(&format!("{address}?square=60,20,256&scale=20.0+px/mm&warp=across")).text();
    assert!((ends(&across) - said["across"]["per_cm"].as_f64().unwrap()).abs() < 0.1);
    assert_eq!(bench.revision(), before, "nothing is stored before it is confirmed");

    let fields = |examination: &'static str, role: &'static str| {
        let place = [("square", "60,20,256"), ("scale", "20.0 px/mm"), ("warp", "up")];
        [&place[..], &[("examination", examination), ("role", role)]].concat()
    };
    let answer = bench.form(&address, &fields("2031-03-02", "shell")).is(303);
    let file = bench.desk.catalogue.piece("2031.1").unwrap();
    let exam = &file.examinations[0];
    let id = exam.about.id.clone().unwrap();
    assert_eq!(answer.header("location"), format!("/pieces/2031.1#exam-{id}"));
    let cloth = exam.textiles.iter().find(|t| t.note.as_deref().is_some_and(|n| n.contains("60,20,256")));
    let cloth = cloth.expect("the count is a textile");
    assert_eq!(cloth.component.as_deref(), Some("left front"));
    let counted = cloth.what.ends_estimate().expect("ends").value;
    assert!((counted - 25.0).abs() < 0.2, "{counted}");
    let region = &file.photographs[0].regions[0];
    assert_eq!(region.shows, cloth.id, "the square is tied to the count");
    assert_eq!(bench.desk.catalogue.journal(None).unwrap().pop().unwrap().author, AUTHOR);
    let before = bench.revision();
    holds(&bench.form(&address, &fields("2031-03-02", "shell")).is(200).text(), &["Nothing new"]);
    for (fields, says) in [
        (fields("2031-03-09", "shell"), "has no examination on 2031-03-09"),
        (fields("", "shell"), "Choose the examination"),
        (fields("2031-03-02", "shall"), "shall"),
        (vec![("square", "60,20,256"), ("scale", "20 px/mm"), ("examination", "2031-03-02")], "which way the warp"),
        (vec![("scale", "20 px/mm"), ("warp", "up")], "Say where"),
    ] {
        holds(&bench.form(&address, &fields).is(422).text(), &[says]);
    }
    assert_eq!(bench.revision(), before);
    bench.desk.is_sound();
}

#[test]
fn squares_and_scales_that_are_wrong_are_kept_and_told() {
    let bench = Bench::by_link(&[SPENCER]);
    let (_, address) = with_weave(&bench);
    for (square, scale, status, says) in [
        ("0,0,20", "20 px/mm", 200, "The square is smaller than 48 pixels"),
        ("300,0,256", "20 px/mm", 422, "leaves the picture, which is 400 by 300 pixels"),
        ("1,2", "20 px/mm", 422, "`1,2` is no square"),
        ("60,20,256", "", 422, "No scale is set on this photograph"),
        ("60,20,256", "20", 422, "how many pixels a length takes"),
        ("60,20,4294967295", "20 px/mm", 422, "leaves the picture"),
    ] {
        let page = bench.get(&format!("{address}?square={square}&scale={}", scale.replace(' ', "+"))).is(status).text();
        holds(
            &page,
            &[says, &format!("name=\"square\" value=\"{square}\""), &format!("name=\"scale\" value=\"{scale}\"")],
        );
    }
}

#[test]
fn what_a_photograph_can_show_stands_on_its_page() {
    let bench = Bench::by_link(&[SPENCER]);
    let (sha, _) = with_weave(&bench);
    let address = format!("/pieces/2031.1/photographs/{sha}");
    holds(&bench.get(&address).is(200).text(), &["No scale is set", "How sharp it is"]);
    let bar = serde_json::json!({ "places": "0,10 400,10", "size": "2 cm" });
    bench.post(&format!("{address}/scale"), &bar).is(200);
    let said = bench.command(&["photo", "sampling", &sha]);
    let page = bench.get(&format!("{address}?sharpness=yes")).is(200).text();
    let ppi = format!("{:.0} pixels an inch", said["sampling"]["ppi"].as_f64().expect("a figure"));
    let finest = format!("about {:.1} px", said["finest_detail_px"].as_f64().expect("a figure"));
    holds(&page, &[&ppi, &finest]);
    assert!(!page.contains("How sharp it is"));
}

#[test]
fn a_bar_and_a_target_are_found_and_offered_and_nothing_is_set() {
    let bench = Bench::by_link(&[SPENCER]);
    let (sha, address) = with_target(&bench);
    let before = bench.revision();
    let offered = bench.get(&format!("{address}/scale/found")).is(200).json();
    let said: Value = bench.command(&["photo", "scale", &sha, "--find"]);
    assert_eq!(offered[0]["pen"], "rectangle");
    assert_eq!(offered[0]["places"], places(&said[0]["rectangle"]));
    // A ruled bar of nine blocks of 40 px, dark at both ends.
    let ruled = image::GrayImage::from_fn(500, 120, |x, y| {
        let on = (60..420).contains(&x) && (40..70).contains(&y);
        [if on && (x - 60) / 40 % 2 == 0 { 20 } else { 230 }].into()
    });
    let bar = bench.photograph("2031.1", "name=bar.png", as_png(ruled));
    let offered = bench.get(&format!("/pieces/2031.1/photographs/{bar}/scale/found")).is(200).json();
    assert_eq!((offered[0]["pen"].as_str(), offered[0]["size"].as_str()), (Some("length"), Some("9 cm")), "{offered}");
    assert!(offered[0]["places"].as_str().unwrap().starts_with("60."), "{offered}");
    let all = bench.desk.catalogue.piece("2031.1").unwrap().photographs;
    assert!(all.iter().all(|p| p.scale.is_none()) && bench.revision() > before, "only the photograph was added");
}

#[test]
fn who_may_only_read_looks_and_stores_nothing() {
    let mut bench = Bench::by_accounts(&[SPENCER]);
    for (name, role) in [("Tamsin Orrel", Role::Examine), ("Ada Fenn", Role::Read)] {
        let account = dimity::record::account::Account { name: name.into(), role };
        bench.desk.catalogue.add_account("test", &account, crate::drawing::PASSWORD).expect("an account");
    }
    bench.sign_in("Tamsin Orrel", crate::drawing::PASSWORD).is(303);
    let (_, address) = with_target(&bench);
    bench.sign_in("Ada Fenn", crate::drawing::PASSWORD).is(303);
    let before = bench.revision();
    let page = read(&bench, &address, &[("corners", CORNERS)]).is(200).text();
    assert!(page.contains("Mean ΔE00") && !page.contains("Store this reading"), "{page}");
    read(&bench, &address, &[("corners", CORNERS), ("act", "store")]).is(403);
    bench.form(&format!("{address}/threads"), &[("square", "1,1,100")]).is(403);
    bench.form(&format!("{address}/pattern/enter"), &[]).is(403);
    bench.get(&format!("{address}/colour?area={CLOTH}")).is(200);
    assert_eq!(bench.revision(), before);
    for page in ["target", "colour", "threads", "pattern", "pattern/sheets", "pattern/outline", "scale/found"] {
        bench.get(&format!("/pieces/2031.1/photographs/{}/{page}", "0".repeat(64))).is(404);
        bench.get(&format!("/pieces/2031.1/photographs/..%2f..%2fcatalogue.sqlite/{page}")).is(404);
    }
}
