//! Photographs through the browser: taken in one by one whatever comes, drawn on, measured, laid over each other.

use std::io::Cursor;

use axum::body::Body;
use axum::http::header;
use dimity::record::account::{Account, Role};
use serde_json::{Value, json};

use crate::bench::{Answer, Bench, HOST};
use crate::support::{AUTHOR, PLAIN, SPENCER};

pub const PASSWORD: &str = "tape, needle, lamp, box";

/// A photograph 400 by 300 pixels; each shade is another file.
pub fn png(shade: u8) -> Vec<u8> {
    let picture = image::RgbImage::from_fn(400, 300, |x, y| image::Rgb([shade, x as u8, y as u8]));
    let mut bytes = Cursor::new(Vec::new());
    picture.write_to(&mut bytes, image::ImageFormat::Png).expect("a picture");
    bytes.into_inner()
}

fn sent(bench: &Bench, query: &str, body: impl Into<Body>) -> Answer {
    let request = bench.request("POST", &format!("/pieces/2031.1/photographs?{query}"));
    let request = request.header("x-dimity-token", &bench.token).header(header::CONTENT_TYPE, "text/html");
    bench.send(request.body(body.into()).expect("a request"))
}

/// A workbench with one photograph of the spencer; its SHA-256 and its address.
fn with_photograph() -> (Bench, String) {
    let bench = Bench::by_link(&[SPENCER, PLAIN]);
    let answer = sent(&bench, "name=front.png&view=front", png(90)).is(200).json();
    (bench, answer["address"].as_str().expect("an address").to_owned())
}

/// Everything in the store that is no original of the record.
pub fn left_over(bench: &Bench) -> Vec<std::path::PathBuf> {
    left_in(bench.desk.folder())
}

/// The same of a catalogue's folder.
pub fn left_in(folder: &std::path::Path) -> Vec<std::path::PathBuf> {
    let room = folder.join("photographs");
    let Ok(entries) = std::fs::read_dir(room) else { return Vec::new() };
    entries.flatten().map(|e| e.path()).filter(|p| p.file_name().is_some_and(|n| n.len() != 2)).collect()
}

#[test]
fn a_photograph_is_taken_in_and_the_same_file_again_is_known() {
    let bench = Bench::by_link(&[SPENCER]);
    let query =
        "name=IMG_7.png&view=front&light=daylight&component=left+front&examination=2031-03-02&caption=As+it+came";
    let answer = sent(&bench, query, png(90)).is(200).json();
    assert_eq!((answer["says"].as_str(), answer["known"].as_bool()), (Some("added"), Some(false)));
    let file = bench.desk.catalogue.piece("2031.1").unwrap();
    let photo = &file.photographs[0];
    assert_eq!(photo.original_name, "IMG_7.png");
    assert_eq!((photo.width, photo.height), (400, 300));
    assert_eq!(photo.view.as_ref().map(dimity::vocabulary::TermId::name), Some("front"));
    assert_eq!(photo.light.as_ref().map(dimity::vocabulary::TermId::name), Some("daylight"));
    assert_eq!((photo.component.as_deref(), photo.caption.as_deref()), (Some("left front"), Some("As it came")));
    assert_eq!(bench.desk.catalogue.journal(None).unwrap().pop().unwrap().author, AUTHOR);
    let before = bench.revision();
    let again = sent(&bench, "name=copy.png", png(90)).is(200).json();
    assert_eq!(again["known"], json!(true));
    assert!(again["says"].as_str().unwrap().starts_with("known already"), "{again}");
    assert_eq!(bench.revision(), before, "a known file changes nothing");
    for path in [answer["address"].as_str().unwrap(), answer["small"].as_str().unwrap(), "/pieces/2031.1/photographs"] {
        bench.get(path).is(200);
    }
    let page = bench.get("/pieces/2031.1/photographs").text();
    assert!(page.contains("<option value=\"daylight\" selected>"), "the light of the last one is offered again");
    bench.desk.is_sound();
}

#[test]
fn what_is_no_photograph_is_refused_by_its_name_and_leaves_nothing() {
    let bench = Bench::by_link(&[SPENCER]);
    let before = bench.revision();
    let whole = png(90);
    let cases: [(&str, Vec<u8>, u16, &str); 10] = [
        ("name=letter.jpg", b"Dear Sir".to_vec(), 422, "`letter.jpg` is not a photograph"),
        ("name=empty.jpg", Vec::new(), 422, "`empty.jpg` is empty"),
        ("name=short.png", whole[..whole.len() / 2].to_vec(), 422, "`short.png`"),
        ("name=page.png", b"<!DOCTYPE html><script>alert(1)</script>".to_vec(), 422, "`page.png` is not a photograph"),
        ("name=..%2F..%2Fcatalogue.sqlite", b"gone".to_vec(), 422, "`catalogue.sqlite` is not a photograph"),
        ("name=a.png&view=sideways+up", whole.clone(), 422, "sideways up"),
        ("name=a.png&component=third+sleeve", whole.clone(), 422, "third sleeve"),
        ("name=a.png&examination=1800-01-01", whole.clone(), 422, "1800-01-01"),
        ("name=a.png&treatment=washed+twice", whole.clone(), 422, "washed twice"),
        ("name=a.png&stage=later", whole.clone(), 422, "no stage of a treatment"),
    ];
    for (query, body, status, says) in cases {
        let answer = sent(&bench, query, body);
        let wrong = answer.text();
        assert_eq!(answer.status.as_u16(), status, "{query}: {wrong}");
        assert!(wrong.contains(says), "{query}: `{wrong}` does not say `{says}`");
        assert!(!wrong.contains(bench.desk.folder().to_str().unwrap()), "{query}: `{wrong}` tells of the disk");
        assert_eq!(left_over(&bench), Vec::<std::path::PathBuf>::new(), "{query}");
    }
    assert_eq!(bench.revision(), before, "nothing was entered");
    assert!(bench.desk.folder().join("catalogue.sqlite").metadata().unwrap().len() > 1000);
}

#[test]
fn a_body_that_is_too_large_or_breaks_off_is_refused() {
    let bench = Bench::by_link(&[SPENCER]);
    let request =
        bench.request("POST", "/pieces/2031.1/photographs?name=huge.tif").header("x-dimity-token", &bench.token);
    let request = request.header(header::CONTENT_LENGTH, (3_u64 << 30).to_string());
    let answer = bench.send(request.body(Body::empty()).unwrap()).is(413);
    assert!(answer.text().contains("too large"), "{}", answer.text());
    let broken = tokio_util::io::ReaderStream::new(Broken(png(90)[..100].to_vec()));
    let answer = sent(&bench, "name=a.png", Body::from_stream(broken)).is(400);
    assert!(answer.text().contains("broke off"), "{}", answer.text());
    assert_eq!(left_over(&bench), Vec::<std::path::PathBuf>::new());
}

/// A few bytes, and then a connection that is gone.
struct Broken(Vec<u8>);

impl tokio::io::AsyncRead for Broken {
    fn poll_read(
        mut self: std::pin::Pin<&mut Self>,
        _: &mut std::task::Context<'_>,
        into: &mut tokio::io::ReadBuf<'_>,
    ) -> std::task::Poll<std::io::Result<()>> {
        let bytes = std::mem::take(&mut self.0);
        into.put_slice(&bytes);
        std::task::Poll::Ready(if bytes.is_empty() { Err(std::io::ErrorKind::ConnectionReset.into()) } else { Ok(()) })
    }
}

#[test]
fn nothing_is_written_without_the_token_or_from_another_page() {
    let (bench, address) = with_photograph();
    let before = bench.revision();
    let paths = [
        "/pieces/2031.1/photographs?name=b.png".to_owned(),
        format!("{address}/regions"),
        format!("{address}/scale"),
        format!("{address}/figures"),
        format!("{address}/over/{}", "0".repeat(64)),
    ];
    for path in paths {
        for (origin, token, kind) in [
            (format!("http://{HOST}"), "", "application/json"),
            (format!("http://{HOST}"), "guessed", "application/octet-stream"),
            ("http://attacker.example".to_owned(), bench.token.as_str(), "multipart/form-data; boundary=x"),
        ] {
            let mut request = axum::http::Request::builder().method("POST").uri(&path).header(header::HOST, HOST);
            request = request.header(header::COOKIE, format!("dimity-8470={}", bench.cookie.as_deref().unwrap()));
            request = request.header(header::ORIGIN, &origin).header(header::CONTENT_TYPE, kind);
            if !token.is_empty() {
                request = request.header("x-dimity-token", token);
            }
            bench.send(request.body(Body::from(png(7))).unwrap()).is(403);
        }
    }
    assert_eq!(bench.revision(), before);
}

fn figures(bench: &Bench, address: &str, draft: &Value) -> Vec<String> {
    let answer = bench.post(&format!("{address}/figures"), draft).is(200).json();
    answer["figures"].as_array().unwrap().iter().map(|f| f.as_str().unwrap().replace('\u{a0}', " ")).collect()
}

#[test]
fn a_scale_is_set_and_an_outline_tied_to_a_note_has_its_area() {
    let (bench, address) = with_photograph();
    let shape = "outline 100,100 200,100 200,150 100,150";
    let plain = figures(&bench, &address, &json!({ "shape": shape }));
    assert!(plain[0].starts_with('5') && plain[0].ends_with("px²"), "{plain:?}");
    // 200 px are 10,0 cm, so 100 by 50 px are 5 by 2.5 cm: 12.5 cm² (computed by hand).
    let bar = json!({ "places": "50,250 250,250", "size": "10,0 cm", "tolerance": "0,1 mm" });
    let offered = figures(&bench, &address, &json!({ "scale": bar }));
    assert!(offered[0].starts_with("2.00") && offered[0].contains("px/mm"), "{offered:?}");
    assert!(offered.iter().any(|l| l.contains("in the plane of the bar only")), "{offered:?}");
    let before = bench.revision();
    assert_eq!(bench.desk.catalogue.piece("2031.1").unwrap().photographs[0].scale, None, "an offer writes nothing");
    bench.post(&format!("{address}/scale"), &bar).is(200);
    assert!(bench.revision() > before);
    let scaled = figures(&bench, &address, &json!({ "shape": shape }));
    let value: f64 = scaled[0].split(' ').next().unwrap().parse().expect("a figure");
    assert!((value - 12.5).abs() < 0.05 && scaled[0].contains('±') && scaled[0].contains(" cm² ("), "{scaled:?}");
    let file = bench.desk.catalogue.piece("2031.1").unwrap();
    let note = file.examinations[0].conditions[0].id.clone().unwrap();
    let draft = json!({ "shape": shape, "shows": note, "note": "<script>alert(1)</script>" });
    let kept = bench.post(&format!("{address}/regions"), &draft).is(200).json();
    assert_eq!(kept["label"], "A");
    let region = bench.desk.catalogue.piece("2031.1").unwrap().photographs[0].regions[0].clone();
    assert_eq!((region.shows.as_deref(), region.shape.to_string().as_str()), (Some(note.as_str()), shape));
    for path in [format!("{address}/draw"), address] {
        let page = bench.get(&path).is(200);
        assert!(!page.text().contains("<script>alert"), "{path}: a note is escaped");
        assert!(page.header("content-security-policy").contains("script-src 'self'"));
    }
    bench.desk.is_sound();
}

#[test]
fn what_is_drawn_is_taken_back_with_a_reason_and_put_back_as_it_was() {
    let (bench, address) = with_photograph();
    for note in ["first", "second"] {
        bench.post(&format!("{address}/regions"), &json!({ "shape": "point 9,9", "note": note })).is(200);
    }
    let regions = || bench.desk.catalogue.piece("2031.1").unwrap().photographs[0].regions.clone();
    let drawn = regions();
    let of = |what: &str| format!("{address}/regions/{}/{what}", drawn[1].id);
    let before = bench.revision();
    let page = bench.form(&of("remove"), &[("reason", " ")]).is(422).text();
    assert!(
        page.contains("id=\"again\" open") && page.contains("id=\"studio\""),
        "the page again, its form open: {page}"
    );
    assert_eq!(bench.revision(), before, "without a reason nothing happens");
    bench.form(&of("remove"), &[("reason", "on the wrong picture")]).is(303);
    assert_eq!(regions(), drawn[..1]);
    let page = bench.get(&format!("{address}/draw")).is(200).text();
    for held in ["Removed: 1", "second", "on the wrong picture", AUTHOR] {
        assert!(page.contains(held), "the page should hold `{held}`");
    }
    bench.form(&of("remove"), &[("reason", "again")]).is(422);
    // The letter of a removed region is not given to another: what was printed may name it.
    let third = bench.post(&format!("{address}/regions"), &json!({ "shape": "point 5,5" })).is(200).json();
    assert_eq!(third["label"], "C");
    bench.form(&of("put-back"), &[]).is(303);
    assert!(regions().contains(&drawn[1]), "{:?}", regions());
    bench.form(&of("put-back"), &[]).is(422);
    assert!(!bench.get(&format!("{address}/draw")).text().contains("Removed: 1"));
    bench.desk.is_sound();
}

#[test]
fn a_scale_is_taken_back_and_the_one_before_it_holds_again() {
    let (bench, address) = with_photograph();
    let stands = || bench.desk.catalogue.piece("2031.1").unwrap().photographs[0].scale.clone();
    let set = |size: &str| {
        let instead = stands().map(|s| s.id).unwrap_or_default();
        let bar = json!({ "places": "50,250 250,250", "size": size, "instead": instead });
        bench.post(&format!("{address}/scale"), &bar).is(200);
        stands().expect("a scale")
    };
    let back = |id: &str| bench.form(&format!("{address}/scale/{id}/take-back"), &[("reason", "misread")]);
    let first = set("10 cm");
    let second = set("4 in");
    back(&first.id).is(422);
    back(&second.id).is(303);
    assert_eq!(stands().as_ref(), Some(&first));
    let third = set("11 cm");
    back(&third.id).is(303);
    assert_eq!(stands().as_ref(), Some(&first), "and not the one that was taken back before");
    back(&first.id).is(303);
    assert_eq!(stands(), None);
    let fourth = set("12 cm");
    assert_eq!(stands(), Some(fourth));
    bench.desk.is_sound();
}

#[test]
fn what_cannot_be_drawn_is_refused_as_the_record_refuses_it() {
    let (bench, address) = with_photograph();
    let before = bench.revision();
    let region = |shape: &str| json!({ "shape": shape });
    let bar = |places: &str, size: &str| json!({ "places": places, "size": size });
    let cases: [(&str, Value, u16, &str); 11] = [
        ("regions", region("outline 10,10 90,90 90,10 10,90"), 422, "crosses"),
        ("regions", region("outline 10,10 90,90"), 422, "at least three"),
        ("regions", region("point 401,10"), 422, "outside the picture"),
        ("regions", region("point NaN,10"), 422, "no pixel position"),
        ("regions", region("circle 1,1"), 422, "no shape"),
        ("regions", json!({ "shape": "point 1,1", "outlines": "left front" }), 422, "Only an outline"),
        ("regions", json!({ "shape": "point 1,1", "shows": "no-such-note" }), 409, "meanwhile"),
        ("scale", bar("10,10 10,10", "10 cm"), 422, "given twice"),
        ("scale", bar("10,10 90,10", "rather long"), 422, "rather long"),
        ("scale", bar("10,10 90,10 50,50", "10 cm"), 422, "two ends"),
        ("scale", bar("10,10 900,10", "10 cm"), 422, "outside the picture"),
    ];
    for (what, draft, status, says) in cases {
        let answer = bench.post(&format!("{address}/{what}"), &draft);
        let wrong = answer.text();
        assert_eq!(answer.status.as_u16(), status, "{draft}: {wrong}");
        assert!(wrong.contains(says), "{draft}: `{wrong}` does not say `{says}`");
    }
    let nonsense = bench.request("POST", &format!("{address}/regions")).header("x-dimity-token", &bench.token);
    let nonsense = nonsense.header(header::CONTENT_TYPE, "application/json");
    bench.send(nonsense.body(Body::from("{\"shape\":")).unwrap()).is(400);
    assert_eq!(bench.revision(), before, "nothing was entered");
}

#[test]
fn a_rectangle_may_have_more_known_places_and_a_place_may_be_less_sure() {
    let (bench, address) = with_photograph();
    let sha = address.rsplit('/').next().expect("a SHA-256");
    // The sheet of paper is 200 by 100 px and 20 by 10 cm; its middle is known as well, a millimetre off.
    let corners = "50,50 250,50 250,150 50,150";
    let draft = json!({ "places": corners, "size": "20 x 10 cm", "tolerance": "0.1 mm", "pointing": "2,5",
        "known": "150,100 = 101 x 50 mm\n" });
    let offered = figures(&bench, &address, &json!({ "scale": draft }));
    bench.post(&format!("{address}/scale"), &draft).is(200);
    let ours = bench.command(&["photo", "scale", sha]);
    let corners: Vec<&str> = corners.split(' ').collect();
    let again =
        [&["photo", "scale", sha, "--rectangle"], &corners[..], &["--size", "20 x 10 cm", "--tolerance", "0.1 mm"]];
    let again = [&again.concat()[..], &["--pointing", "2.5", "--known", "150,100 = 101 x 50 mm"]].concat();
    let theirs = bench.command(&again);
    for field in ["px_per_mm", "ppi", "residual_mm", "known"] {
        assert_eq!(ours[field], theirs[field], "{field}: {ours} {theirs}");
    }
    assert!(!offered.is_empty());
    for (field, text, says) in
        [("known", "150,100", "no known place"), ("pointing", "about two", "no number of pixels")]
    {
        let mut wrong = draft.clone();
        wrong[field] = json!(text);
        let answer = bench.post(&format!("{address}/figures"), &json!({ "scale": wrong })).is(422);
        assert!(answer.text().contains(says), "{}", answer.text());
    }
}

#[test]
fn the_second_who_sets_a_scale_is_told_of_the_first() {
    let (bench, address) = with_photograph();
    let bar = |instead: &str, size: &str| json!({ "places": "50,250 250,250", "size": size, "instead": instead });
    bench.post(&format!("{address}/scale"), &bar("", "10 cm")).is(200);
    let before = bench.revision();
    let answer = bench.post(&format!("{address}/scale"), &bar("", "4 in")).is(409);
    let both = answer.json();
    let says = |whose: &str, size: &str| {
        assert!(both[whose][0].as_str().is_some_and(|line| line.contains(size)), "{whose}: {both}");
    };
    says("theirs", "from 10 cm");
    says("mine", "from 4 in");
    assert_eq!(bench.revision(), before);
    let stands = bench.desk.catalogue.piece("2031.1").unwrap().photographs[0].scale.clone().unwrap();
    assert_eq!(both["stands"], stands.id, "which one was seen");
    bench.post(&format!("{address}/scale"), &bar(&stands.id, "4 in")).is(200);
    let now = bench.desk.catalogue.piece("2031.1").unwrap().photographs[0].scale.clone().unwrap();
    assert!((now.across_mm - 101.6).abs() < 1e-9, "{now:?}");
}

#[test]
fn two_photographs_are_laid_over_each_other_by_marks() {
    let (bench, address) = with_photograph();
    let second = sent(&bench, "name=after.png", png(140)).is(200).json()["sha256"].as_str().unwrap().to_owned();
    let over = format!("{address}/over/{second}");
    assert!(bench.get(&over).is(200).text().contains("not laid over each other yet"));
    let marks = "10,10=20,10 390,10=399,10 390,290=399,290 10,290=20,290";
    for (wrong, says) in [("10,10=20,10", "these marks do not"), ("10,10", "no mark"), ("", "these marks do not")] {
        let answer = bench.post(&over, &json!({ "marks": wrong })).is(422);
        assert!(answer.text().to_lowercase().contains(says), "{}", answer.text());
    }
    bench.post(&over, &json!({ "marks": marks })).is(200);
    bench.post(&over, &json!({ "marks": marks })).is(409);
    let page = bench.get(&over).is(200).text();
    assert!(
        !page.contains("<script>") && page.contains("class=\"slider\""),
        "the slider comes without a script in the page"
    );
    let source = |kind: &str| {
        let (_, rest) =
            page.split_once(&format!("/over/{second}/{kind}-")).unwrap_or_else(|| panic!("no {kind}: {page}"));
        format!("{over}/{kind}-{}", rest.split('"').next().unwrap())
    };
    for kind in ["laid", "difference"] {
        let picture = bench.get(&source(kind)).is(200);
        assert_eq!((picture.header("content-type"), &picture.body[..2]), ("image/jpeg", &[0xff, 0xd8][..]));
    }
    bench.get(&format!("{over}/laid-of-another")).is(404);
    bench.get(&format!("{over}/..%2f..%2fcatalogue.sqlite")).is(404);
    assert!(bench.get(&format!("{address}/draw")).is(200).text().contains(&format!("/over/{second}")));
    // The marks are taken back with a reason, and those set before hold again.
    let set = |bench: &Bench| {
        let photographs = bench.desk.catalogue.piece("2031.1").unwrap().photographs;
        photographs[0].registered.first().map(|by| (by.id.clone(), by.marks.len())).unwrap_or_default()
    };
    let (first, _) = set(&bench);
    let five = format!("{marks} 200,150=210,150");
    bench.post(&over, &json!({ "marks": five, "instead": first })).is(200);
    let (latest, n) = set(&bench);
    assert_eq!(n, 5);
    let back = |id: &str, reason: &str| bench.form(&format!("{over}/{id}/take-back"), &[("reason", reason)]);
    let page = back(&latest, " ").is(422).text();
    assert!(page.contains("id=\"again\" open") && page.contains("Say why"), "{page}");
    let page = back(&first, "not <these>").is(422).text();
    assert!(page.contains("Other marks were set meanwhile") && page.contains("not &lt;these&gt;"), "{page}");
    assert_eq!(set(&bench), (latest.clone(), 5));
    back(&latest, "the fifth was a shadow").is(303);
    assert_eq!(set(&bench), (first.clone(), 4));
    assert_eq!(bench.desk.catalogue.journal(None).unwrap().pop().unwrap().reason, "the fifth was a shadow");
    back(&first, "not the same place at all").is(303);
    assert!(bench.get(&over).is(200).text().contains("not laid over each other yet"));
    back(&first, "twice").is(422);
    bench.desk.is_sound();
}

#[test]
fn who_may_only_read_measures_and_writes_nothing() {
    let mut bench = Bench::by_accounts(&[SPENCER]);
    for (name, role) in [("Tamsin Orrel", Role::Examine), ("Ada Fenn", Role::Read)] {
        bench.desk.catalogue.add_account("test", &Account { name: name.into(), role }, PASSWORD).expect("an account");
    }
    bench.sign_in("Tamsin Orrel", PASSWORD).is(303);
    let address = sent(&bench, "name=front.png", png(90)).is(200).json()["address"].as_str().unwrap().to_owned();
    bench.sign_in("Ada Fenn", PASSWORD).is(303);
    let before = bench.revision();
    let page = bench.get(&format!("{address}/draw")).is(200).text();
    assert!(!page.contains("value=\"outline\""), "no tool is offered that would be refused");
    assert!(!bench.get("/pieces/2031.1/photographs").is(200).text().contains("type=\"file\""));
    bench.post(&format!("{address}/figures"), &json!({ "shape": "line 1,1 9,9" })).is(200);
    bench.post(&format!("{address}/regions"), &json!({ "shape": "point 1,1" })).is(403);
    bench.post(&format!("{address}/scale"), &json!({ "places": "1,1 9,9", "size": "1 cm" })).is(403);
    sent(&bench, "name=b.png", png(7)).is(403);
    assert_eq!(bench.revision(), before);
}
