//! A pattern taken off its page in the browser: the sizes, the drawing and the sheets are those of the command line, and it is
//! entered only when that is said.

use serde_json::json;

use crate::bench::Bench;
use crate::support::AUTHOR;
use crate::support::pictures::as_png;

const PATTERN: &str = "[piece]\nnumber = \"2031.P\"\nnature = \"published pattern\"\nobject_name = \"pattern drawing\"\n\
    title = \"A front\"\n[[component]]\nname = \"left front\"\n[[component]]\nname = \"collar\"\ncount = 2\n\
    [[made_after]]\nsource = \"Plate 3 of a book\"\nscale = \"1:8\"\n[examination]\ndate = 2031-05-01\n\
    examiner = \"Wren Askerdale\"\n";

/// A page at ten pixels a millimetre with a front of 100 by 50 mm and half a collar of 30 by 10 mm on the fold, drawn and not
/// scaled yet; SHA-256 and address.
fn drawn() -> (Bench, String, String) {
    let bench = Bench::by_link(&[PATTERN]);
    let page = image::GrayImage::from_pixel(1300, 1000, image::Luma([230]));
    let sha = bench.photograph("2031.P", "name=page.png&examination=2031-05-01", as_png(page));
    let address = format!("/pieces/2031.P/photographs/{sha}");
    for region in [
        json!({ "shape": "outline 100,100 1100,100 1100,600 100,600", "outlines": "left front", "note": "cut 2" }),
        json!({ "shape": "line 100,110 100,590", "note": "centre front length" }),
        json!({ "shape": "outline 100,700 400,700 400,800 100,800", "outlines": "collar" }),
        json!({ "shape": "line 100,690 100,810", "note": "fold" }),
    ] {
        bench.post(&format!("{address}/regions"), &region).is(200);
    }
    (bench, sha, address)
}

fn scaled() -> (Bench, String, String) {
    let (bench, sha, address) = drawn();
    let bar = json!({ "places": "100,950 1100,950", "size": "10 cm", "tolerance": "0.1 mm" });
    bench.post(&format!("{address}/scale"), &bar).is(200);
    (bench, sha, format!("{address}/pattern"))
}

/// Something stands beside the field.
const BESIDE: &str = "";

fn holds(text: &str, parts: &[&str]) {
    for part in parts {
        assert!(text.contains(part), "`{part}` should stand in\n{text}");
    }
}

#[test]
fn sizes_are_those_of_the_command_line_and_entered_as_published() {
    let (bench, sha, address) = drawn();
    let page = bench.get(&format!("{address}/pattern")).is(200).text();
    holds(&page, &["No scale is set", &format!("{address}/draw")]);
    assert!(bench.get(&address).text().contains(&format!("{address}/pattern")), "the photograph leads there");
    drop(bench);
    let (bench, _, address) = scaled();
    let before = bench.revision();
    let page = bench.get(&address).is(200).text();
    // 800 by 400 mm, and 15 mm all round (computed by hand).
    holds(&page, &["80.0 cm", "31 1/2 in", "83.0 cm", "opened out over its fold", "Copyright in a published pattern"]);
    let said = bench.command(&["pattern", "sizes", &sha, "--allowance", "0", "--piece", "left front"]);
    let page = bench.get(&format!("{address}?allowance=0&piece=left+front")).is(200).text();
    for size in said["pieces"][0]["sizes"].as_array().expect("a list") {
        holds(&page, &[&format!("{:.1} cm", size["mm"].as_f64().expect("a figure") / 10.0)]);
    }
    assert!(!page.contains("<caption>collar"), "one piece was asked for");
    let measure = "left+front:+A-B+%3D+hem+girth%0D%0A";
    let page = bench.get(&format!("{address}?measure={measure}")).is(200).text();
    holds(&page, &["centre front length", "hem girth", "Enter them"]);
    assert_eq!(bench.revision(), before, "looking enters nothing");
    let fields = [("measure", "left front: A-B = hem girth"), ("examination", "2031-05-01")];
    let to = format!("{address}/enter");
    let answer = bench.form(&to, &fields).is(303);
    assert!(answer.header("location").starts_with("/pieces/2031.P#exam-"), "{answer:?}");
    let file = bench.desk.catalogue.piece("2031.P").unwrap();
    let entered = &file.examinations[0].measurements;
    assert_eq!(entered.len(), 2, "{entered:#?}");
    let asked = ["pattern", "sizes", &sha, "--measure", "left front: A-B = hem girth"];
    let said = bench.command(&asked);
    let readings: Vec<&str> =
        said["dimensions"].as_array().unwrap().iter().map(|d| d["reading"].as_str().unwrap()).collect();
    let filled = bench.desk.filled("2031.P", Some(0));
    for reading in readings {
        holds(&filled, &[reading, "evidence = \"published\"", "on the drawing"]);
    }
    assert_eq!(bench.desk.catalogue.journal(None).unwrap().pop().unwrap().author, AUTHOR);
    let before = bench.revision();
    holds(&bench.form(&to, &fields).is(200).text(), &["Nothing new"]);
    assert_eq!(bench.revision(), before);
    bench.desk.is_sound();
}

#[test]
fn terms_that_are_wrong_are_kept_and_told_beside_their_field() {
    let (bench, _, address) = scaled();
    let before = bench.revision();
    for (name, text, says) in [
        ("ratio", "an eighth", BESIDE),
        ("line", "0.5", BESIDE),
        ("stretch", "40 %", "less than 20 %"),
        ("allowance", "30 cm", "between 0 and 200 mm"),
        ("piece", "sleeve", "there are: left front, collar"),
        ("measure", "A-B", "No `=`"),
        ("measure", "A-Z = hem girth", "No piece has such a size"),
        ("measure", "A-B = hem girth", "put the piece first"),
        ("measure", "</textarea><script>alert(1)</script>", "&lt;script&gt;"),
    ] {
        let query: String = form_urlencoded::byte_serialize(text.as_bytes()).collect();
        let page = bench.get(&format!("{address}?{name}={query}")).is(422).text();
        if says == BESIDE {
            let (_, beside) = page.split_once(&format!("id=\"{name}-amiss\">")).expect("a place for what is wrong");
            assert!(!beside.starts_with('<'), "{name}={text}: nothing stands beside the field");
        } else {
            holds(&page, &[says]);
        }
        if !matches!(name, "piece" | "measure") {
            holds(&page, &[&format!("name=\"{name}\" value=\"{text}\"")]);
        }
        assert!(!page.contains("<script>alert"), "{page}");
        bench.form(&format!("{address}/enter"), &[(name, text), ("examination", "2031-05-01")]).is(422);
    }
    for day in ["", "2030-01-01", "some day"] {
        bench.form(&format!("{address}/enter"), &[("examination", day)]).is(422);
    }
    let collar = [("piece", "collar"), ("examination", "2031-05-01")];
    holds(&bench.form(&format!("{address}/enter"), &collar).is(422).text(), &["None of the sizes is called"]);
    assert_eq!(bench.revision(), before, "nothing was entered");
}

#[test]
fn the_drawing_and_the_sheets_are_those_of_the_command_line() {
    let (bench, sha, address) = scaled();
    let out = tempfile::tempdir().expect("a temporary folder");
    let run = |kind: &str, more: &[&str]| {
        let path = out.path().join(kind);
        let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_dimity"));
        command.arg("--in").arg(bench.desk.folder()).args(["pattern", kind, &sha, "--out"]).arg(&path).args(more);
        let said = command.output().expect("the program starts");
        assert!(said.status.success(), "{said:?}");
        std::fs::read_to_string(path).expect("written")
    };
    let svg = bench.get(&format!("{address}/outline?allowance=1+cm")).is(200);
    assert_eq!(svg.header("content-type"), "image/svg+xml");
    assert!(svg.header("content-disposition").starts_with("attachment; filename=\"pattern-2031.P-"));
    assert_eq!(svg.text().trim_end(), run("outline", &["--allowance", "1 cm"]).trim_end());
    let sheets = bench.get(&format!("{address}/sheets?paper=letter&overlap=2+cm")).is(200);
    assert!(sheets.header("content-security-policy").contains("style-src 'unsafe-hashes' 'sha256-"));
    // The day is that of the fixed clock here, and today there.
    let drawing = |page: &str| page.split("<svg").skip(1).map(str::to_owned).collect::<Vec<_>>();
    let there = run("sheets", &["--paper", "letter", "--overlap", "2 cm"]);
    assert_eq!(drawing(&sheets.text()).len(), drawing(&there).len());
    assert_eq!(drawing(&sheets.text())[2], drawing(&there)[2]);
    for (query, says) in [
        ("overlap=2+mm", "overlap by 5 to 60 mm"),
        ("overlap=wide", "wide"),
        ("ratio=none", "none"),
        ("piece=x", "there are: left front, collar"),
    ] {
        holds(&bench.get(&format!("{address}/sheets?{query}")).is(422).text(), &[says]);
    }
    assert!(!bench.desk.folder().join("patterns").exists(), "nothing is written into the folder");
}
