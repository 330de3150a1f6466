//! Photographs by the form of the page, without its script: many files in one request, each with what became of it.

use std::path::PathBuf;

use axum::body::Body;
use axum::http::header;
use dimity::record::account::{Account, Role};

use crate::bench::{Answer, Bench};
use crate::drawing::{PASSWORD, left_over, png};
use crate::support::SPENCER;

const PATH: &str = "/pieces/2031.1/photographs/form";

/// A part of a form: its name, its file, what it holds.
type Part<'p> = (&'p str, Option<&'p str>, Vec<u8>);

fn field<'p>(name: &'p str, text: &str) -> Part<'p> {
    (name, None, text.into())
}

fn file(name: &str, bytes: impl Into<Vec<u8>>) -> Part<'_> {
    ("file", Some(name), bytes.into())
}

/// The form as a browser writes it.
fn written(parts: &[Part]) -> Vec<u8> {
    let mut body = Vec::new();
    for (name, file, content) in parts {
        let file = file.map(|f| format!("; filename=\"{f}\"\r\nContent-Type: image/png")).unwrap_or_default();
        let head = format!("------cut\r\nContent-Disposition: form-data; name=\"{name}\"{file}\r\n\r\n");
        body.extend([head.as_bytes(), content, b"\r\n"].concat());
    }
    body.extend(b"------cut--\r\n");
    body
}

/// A small JPEG whose head says that it is 30000 pixels wide and high.
fn of_900_million_pixels() -> Vec<u8> {
    let mut bytes = std::io::Cursor::new(Vec::new());
    image::RgbImage::new(16, 16).write_to(&mut bytes, image::ImageFormat::Jpeg).expect("written");
    let mut bytes = bytes.into_inner();
    // The head of the frame (ITU-T T.81, B.2.2): marker, length, precision, height, width.
    let at = bytes.windows(2).position(|two| two == [0xff, 0xc0]).expect("a frame");
    bytes[at + 5..at + 9].copy_from_slice(&[0x75, 0x30, 0x75, 0x30]);
    bytes
}

fn sent(bench: &Bench, body: impl Into<Body>) -> Answer {
    let request = bench.request("POST", PATH).header(header::ACCEPT, "text/html");
    let request = request.header(header::CONTENT_TYPE, "multipart/form-data; boundary=----cut");
    bench.send(request.body(body.into()).expect("a request"))
}

fn form(bench: &Bench, parts: &[Part]) -> Answer {
    let token = bench.token.clone();
    sent(bench, written(&[&[field("token", &token)], parts].concat()))
}

fn photographs(bench: &Bench) -> Vec<dimity::record::photograph::Photograph> {
    bench.desk.catalogue.piece("2031.1").expect("the piece").photographs
}

#[test]
fn the_page_holds_a_form_that_needs_no_script() {
    let bench = Bench::by_link(&[SPENCER]);
    let page = bench.get("/pieces/2031.1/photographs").is(200).text();
    let (_, form) = page.split_once("enctype=\"multipart/form-data\"").expect("a form with files");
    let (form, _) = form.split_once("</form>").expect("its end");
    let token = format!("name=\"token\" value=\"{}\"", bench.token);
    let place = |what: &str| form.find(what).unwrap_or_else(|| panic!("the form should hold `{what}`: {form}"));
    let words = ["name=\"view\"", "name=\"light\"", "name=\"component\"", "name=\"examination\"", "name=\"caption\""];
    let at: Vec<usize> = words.into_iter().map(place).collect();
    assert!(at.iter().all(|at| place(&token) < *at && *at < place("type=\"file\"")), "token, words, files: {form}");
    assert!(form.contains(PATH) || page.contains(&format!("action=\"{PATH}\"")), "where it goes");
    assert!(form.contains("multiple") && form.contains("<button"), "{form}");
    assert!(!page.contains("<noscript"), "the form is for everybody");
    let adding =
        page.split("<section").find_map(|part| part.split_once('>')?.0.contains("id=\"adding\"").then_some(part));
    let (opening, _) = adding.expect("the part of the page that adds").split_once('>').expect("its tag");
    assert!(!opening.contains("hidden"), "it is shown without a script too: {opening}");
}

#[test]
fn each_file_is_added_known_or_refused_and_said_so() {
    let bench = Bench::by_link(&[SPENCER]);
    let whole = png(90);
    let parts = [
        field("view", "front"),
        field("light", "daylight"),
        field("component", "left front"),
        field("examination", "2031-03-02"),
        field("photographer", ""),
        field("caption", "As it came"),
        file("IMG_7.png", whole.clone()),
        file("copy.png", whole.clone()),
        file("letter <b>.jpg", "Dear Sir"),
        file("../../catalogue.sqlite", "gone"),
        file("half.png", &whole[..whole.len() / 2]),
        file("wall.jpg", of_900_million_pixels()),
        file("IMG_8.png", png(91)),
    ];
    let page = form(&bench, &parts).is(200).text();
    let lines: Vec<&str> = page.split("<li").filter(|line| line.contains("coming-name")).collect();
    let wanted = [
        ("IMG_7.png", "added"),
        ("copy.png", "known already"),
        ("letter &lt;b&gt;.jpg", "is not a photograph"),
        ("catalogue.sqlite", "is not a photograph"),
        ("half.png", "half.png"),
        ("wall.jpg", "30000 × 30000 pixels"),
        ("IMG_8.png", "added"),
    ];
    assert_eq!(lines.len(), wanted.len(), "{page}");
    for (line, (name, says)) in lines.iter().zip(wanted) {
        assert!(line.contains(name) && line.contains(says), "`{line}` should say `{says}` of `{name}`");
        assert_eq!(line.contains("coming-failed"), !matches!(says, "added" | "known already"), "{line}");
    }
    assert!(!page.contains("<b>.jpg") && !page.contains(bench.desk.folder().to_str().unwrap()), "{page}");
    let taken = photographs(&bench);
    assert_eq!(taken.iter().map(|p| p.original_name.as_str()).collect::<Vec<_>>(), ["IMG_7.png", "IMG_8.png"]);
    for photo in &taken {
        assert_eq!(photo.view.as_ref().map(dimity::vocabulary::TermId::name), Some("front"));
        assert_eq!((photo.component.as_deref(), photo.caption.as_deref()), (Some("left front"), Some("As it came")));
        assert_eq!(photo.photographer, None, "a blank says nothing");
    }
    assert_eq!(left_over(&bench), Vec::<PathBuf>::new());
    assert!(bench.desk.folder().join("catalogue.sqlite").metadata().unwrap().len() > 1000);
    bench.desk.is_sound();
}

#[test]
fn what_is_no_form_of_ours_writes_nothing() {
    let bench = Bench::by_link(&[SPENCER]);
    let before = bench.revision();
    let good = || file("a.png", png(90));
    let token = || field("token", &bench.token);
    let head = "------cut\r\nContent-Disposition: form-data; name=\"token\"\r\n\r\n";
    let endless = [head.as_bytes(), bench.token.as_bytes(), b"\r\n------cut\r\nx: ", &vec![b'x'; 100_000]].concat();
    let long_token = "t".repeat(1 << 20);
    let cases: [(&str, Vec<u8>, u16); 13] = [
        ("no token", written(&[good()]), 403),
        ("a wrong token", written(&[field("token", "x"), good()]), 403),
        ("a longer token", written(&[field("token", &format!("{}x", bench.token)), good()]), 403),
        ("a token without end", written(&[field("token", &long_token), good()]), 413),
        ("the token behind the file", written(&[good(), token()]), 403),
        ("nothing", Vec::new(), 403),
        ("other bytes", vec![0; 5000], 403),
        ("no file", written(&[token(), field("view", "front")]), 422),
        ("a field for files that was left alone", written(&[token(), file("", "")]), 422),
        ("a head without end", endless, 422),
        ("an unknown view", written(&[token(), field("view", "sideways up"), good()]), 422),
        ("a field that is too long", written(&[token(), field("caption", &"c".repeat(1 << 20)), good()]), 413),
        ("no text", written(&[token(), ("caption", None, vec![0xff; 9]), good()]), 400),
    ];
    for (what, body, status) in cases {
        let answer = sent(&bench, body);
        assert_eq!(answer.status.as_u16(), status, "{what}: {}", answer.text());
        assert_eq!(left_over(&bench), Vec::<PathBuf>::new(), "{what}");
    }
    let whole = written(&[token(), good()]);
    let foreign = bench.request("POST", PATH).header(header::CONTENT_TYPE, "multipart/form-data; boundary=----cut");
    let mut foreign = foreign.body(Body::from(whole.clone())).expect("a request");
    foreign.headers_mut().insert(header::ORIGIN, "https://elsewhere.example".parse().expect("a header"));
    assert_eq!(bench.send(foreign).status.as_u16(), 403, "from a page of others");
    for kind in ["multipart/form-data", "multipart/mixed; boundary=----cut", "application/octet-stream"] {
        let request = bench.request("POST", PATH).header("x-dimity-token", &bench.token);
        let request = request.header(header::CONTENT_TYPE, kind).body(Body::from(whole.clone()));
        assert_eq!(bench.send(request.expect("a request")).status.as_u16(), 415, "{kind}");
    }
    assert_eq!(bench.revision(), before, "nothing was entered");
}

#[test]
fn of_a_form_that_breaks_off_what_came_whole_is_kept_and_the_rest_is_not() {
    let bench = Bench::by_link(&[SPENCER]);
    let whole = written(&[field("token", &bench.token), file("a.png", png(90)), file("b.png", png(91))]);
    let page = sent(&bench, whole[..whole.len() - 200].to_vec()).is(200).text();
    assert!(page.contains("added") && page.contains("broke off") && page.contains("not looked at"), "{page}");
    assert_eq!(photographs(&bench).len(), 1);
    assert_eq!(left_over(&bench), Vec::<PathBuf>::new());
    bench.desk.is_sound();
}

#[test]
fn who_may_only_read_adds_nothing() {
    let mut bench = Bench::by_accounts(&[SPENCER]);
    let reader = Account { name: "Ada Fenn".into(), role: Role::Read };
    bench.desk.catalogue.add_account("test", &reader, PASSWORD).expect("an account");
    bench.sign_in("Ada Fenn", PASSWORD).is(303);
    let before = bench.revision();
    assert_eq!(form(&bench, &[file("a.png", png(90))]).status.as_u16(), 403);
    assert_eq!(bench.revision(), before);
}

#[test]
fn what_was_said_of_photographs_that_cannot_be_added_stands_in_the_form_again() {
    let said = [field("view", "front"), field("light", "daylight"), field("caption", "As it <came>")];
    let good = || file("IMG_7.png", png(90));
    let kept = |page: &str, why: &str| {
        for part in [why, "value=\"As it &lt;came&gt;\"", "value=\"front\" selected", "value=\"daylight\" selected"] {
            assert!(page.contains(part), "`{part}` should stand in {page}");
        }
    };
    let bench = Bench::by_link(&[SPENCER]);
    kept(&form(&bench, &said).is(422).text(), "No file was chosen");
    let strange = [&said[..], &[field("stage", "long ago"), good()]].concat();
    kept(&form(&bench, &strange).is(422).text(), "is no stage of a treatment");
    let nameless = Bench::by_link_as(&[SPENCER], None);
    kept(&form(&nameless, &[&said[..], &[good()]].concat()).is(422).text(), "Say first who you are");
    assert!(photographs(&bench).is_empty() && photographs(&nameless).is_empty(), "nothing was added");
}
