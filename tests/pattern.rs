//! A published pattern taken off its page through the real program: sizes, drawing, and sheets that come out of a printer
//! at full size.

mod support;

use std::path::Path;
use std::process::Command;

use serde_json::Value;
use support::Room;
use support::browser::tool;

const PATTERN: &str = r#"
[piece]
number = "2031.P"
nature = "published pattern"
object_name = "pattern drawing"
title = "A front"

[[component]]
name = "left front"

[[component]]
name = "collar"
count = 2

[[made_after]]
source = "Plate 3 of a book"
scale = "1:8"

[examination]
date = 2031-05-01
examiner = "Wren Askerdale"
"#;

/// A room with the photograph of a page at ten pixels a millimetre, and the beginning of its SHA-256. Two oblongs are drawn:
/// a front of 100 by 50 mm on the page, and half a collar of 30 by 10 mm on the fold.
fn room() -> (Room, String) {
    let room = Room::with(&[PATTERN]);
    let path = room.path().join("page.png");
    image::GrayImage::from_pixel(1300, 1000, image::Luma([230])).save(&path).expect("saved");
    room.run(&["photo", "add", "2031.P", path.to_str().expect("plain"), "--examination", "2031-05-01"]).done();
    let piece = room.run(&["show", "2031.P", "--json"]).json().remove(0);
    let sha = piece["photographs"][0]["sha256"].as_str().expect("a text")[..10].to_owned();
    let region = |arguments: &[&str]| room.run(&[&["photo", "region", &sha][..], arguments].concat()).done();
    region(&["outline 100,100 1100,100 1100,600 100,600", "--outlines", "left front", "--note", "cut 2"]);
    region(&["line 100,110 100,590", "--note", "centre front length"]);
    region(&["point 600,100", "--note", "notch"]);
    region(&["outline 100,700 400,700 400,800 100,800", "--outlines", "collar"]);
    region(&["line 100,690 100,810", "--note", "fold"]);
    (room, sha)
}

fn scaled() -> (Room, String) {
    let (room, sha) = room();
    let bar = ["--between", "100,950", "1100,950", "--length", "10 cm", "--tolerance", "0.1 mm"];
    room.run(&[&["photo", "scale", &sha][..], &bar].concat()).done();
    (room, sha)
}

fn holds(text: &str, parts: &[&str]) {
    for part in parts {
        assert!(text.contains(part), "`{part}` should stand in\n{text}");
    }
}

#[test]
fn sizes_are_listed_at_full_size_and_entered_as_published() {
    let (room, sha) = scaled();
    let sizes = |more: &[&str]| room.run(&[&["pattern", "sizes", &sha][..], more].concat());
    let said = sizes(&[]).done();
    holds(
        &said,
        &[
            "2031.P, drawing at 1:8; at full size, with a seam allowance of 15 mm:",
            "left front, cut 2",
            // 800 by 400 mm, and 15 mm all round.
            "31 1/2 in   80.0 cm",
            "to cut 32 11/16 in, 83.0 cm",
            "A–B",
            "collar, cut 2, opened out over its fold",
            "18 7/8 in   48.0 cm",
            "width of the line",
            "dimension = \"centre front length\"",
            "Copyright in a published pattern",
        ],
    );
    let json = sizes(&["--json", "--allowance", "0", "--piece", "left front"]).json().remove(0);
    assert_eq!(json["pieces"].as_array().expect("a list").len(), 1);
    let piece = &json["pieces"][0];
    assert!((piece["area_mm2"].as_f64().expect("a number") - 320_000.0).abs() < 1e-6);
    assert!((piece["cut_area_mm2"].as_f64().expect("a number") - 320_000.0).abs() < 1e-6);
    // A piece of paper that did not stretch, a hair line: only pointing and scale are left.
    let exact = sizes(&["--json", "--stretch", "0", "--line", "0", "--piece", "collar"]).json().remove(0);
    let parts = &exact["pieces"][0]["sizes"][0]["parts_of_u"];
    assert!(parts["line"] == 0.0 && parts["paper"] == 0.0 && parts["pointing"].as_f64() > Some(1.0), "{parts}");

    let enter = ["--enter", "--examination", "2031-05-01", "--measure", "left front: A-B = hem girth"];
    holds(&sizes(&enter).done(), &["2031.P: 2 measurements entered with evidence published"]);
    holds(&sizes(&enter).done(), &["nothing new"]);
    let piece = room.run(&["show", "2031.P", "--json"]).json().remove(0);
    let measurements = piece["examinations"][0]["measurement"].as_array().expect("a list").clone();
    assert_eq!(measurements.len(), 2, "{measurements:#?}");
    let text = serde_json::to_string(&measurements).expect("text");
    holds(&text, &["published", "on the drawing", "scale of photograph", "800", "384"]);
    holds(&room.run(&["check"]).done(), &["all well"]);
}

#[test]
fn what_cannot_be_enlarged_is_refused_and_writes_nothing() {
    let (room, sha) = room();
    let refused = |arguments: &[&str]| room.run(&[&["pattern"][..], arguments, &[&sha]].concat()).refused();
    holds(&refused(&["sizes"]), &["the photograph has no scale", "dimity photo scale"]);
    let (room, sha) = scaled();
    let refused = |arguments: &[&str]| room.run(&[&["pattern"][..], arguments, &[&sha]].concat()).refused();
    for (arguments, says) in [
        (&["sizes", "--ratio", "an eighth"][..], "`--ratio an eighth`"),
        (&["sizes", "--line", "0.5"], "`--line 0.5`"),
        (&["sizes", "--stretch", "40 %"], "less than 20 %"),
        (&["sizes", "--piece", "sleeve"], "there are: left front, collar"),
        (&["sizes", "--measure", "A-B"], "write it as `A-B = side seam length`"),
        (&["sizes", "--measure", "A-Z = hem girth"], "no piece has such a size"),
        (&["sizes", "--measure", "A-B = hem girth"], "put the piece first"),
        (&["sizes", "--enter", "--examination", "2030-01-01"], "has no examination on 2030-01-01"),
        (&["sheets", "--overlap", "2 mm"], "overlap by 5 to 60 mm"),
        (&["outline", "--allowance", "30 cm"], "between 0 and 200 mm"),
    ] {
        holds(&refused(arguments), &[says]);
    }
    assert!(!room.collection().join("patterns").exists());
    let piece = room.run(&["show", "2031.P", "--json"]).json().remove(0);
    assert_eq!(piece["examinations"][0]["measurement"].as_array().map_or(0, Vec::len), 0);
}

/// All numbers of a path.
fn numbers(path: &str) -> Vec<f64> {
    path.split(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-')).filter_map(|n| n.parse().ok()).collect()
}

/// Width and height of what a path draws.
fn spans(path: &str) -> (f64, f64) {
    let numbers = numbers(path);
    let span = |at: usize| {
        let all = numbers.iter().skip(at).step_by(2);
        all.clone().fold(f64::MIN, |m, v| m.max(*v)) - all.fold(f64::MAX, |m, v| m.min(*v))
    };
    (span(0), span(1))
}

#[test]
fn the_drawing_is_in_millimetres_with_seam_and_cutting_line_and_its_source() {
    let (room, sha) = scaled();
    room.run(&["pattern", "outline", &sha, "--out", "front.svg"]).done();
    let svg = std::fs::read_to_string(room.path().join("front.svg")).expect("written");
    let head = svg.lines().next().expect("a line");
    let width: f64 =
        head.split("width=\"").nth(1).and_then(|w| w.split("mm").next()).expect("mm").parse().expect("a number");
    assert!(head.starts_with("<svg ") && head.contains(&format!("viewBox=\"0 0 {width} ")), "{head}");
    let paths: Vec<(f64, f64)> =
        svg.split("<path d=\"").skip(1).map(|p| spans(p.split('"').next().expect("a path"))).collect();
    let near = |(w, h): (f64, f64)| paths.iter().any(|(x, y)| (x - w).abs() < 0.02 && (y - h).abs() < 0.02);
    for (size, what) in [
        ((830.0, 430.0), "cutting line of the front"),
        ((800.0, 400.0), "seam line of the front"),
        ((480.0, 80.0), "seam line of the collar, opened out"),
        ((100.0, 100.0), "test square of 10 cm"),
        ((101.6, 101.6), "test square of 4 in"),
    ] {
        assert!(near(size), "{what}: no path of {size:?} among {paths:?}");
    }
    holds(&svg, &["2031.P, A front", "seam allowance 15 mm included", "Copyright in a published pattern", "cut 2"]);
}

fn run(mut command: Command) -> Vec<u8> {
    let done = command.output().unwrap_or_else(|e| panic!("{command:?}: {e}"));
    assert!(done.status.success(), "{command:?}: {}", String::from_utf8_lossy(&done.stderr));
    done.stdout
}

/// What each path of a sheet measures in millimetres on the paper.
fn on_paper(cairo: &Path, pdf: &Path, sheet: usize) -> Vec<(f64, f64)> {
    let mut command = Command::new(cairo);
    let number = sheet.to_string();
    command.args(["-svg", "-f", &number, "-l", &number]).arg(pdf).arg("-");
    let svg = String::from_utf8(run(command)).expect("text");
    let drawn = svg.split("<path style=\"fill:none").skip(1).filter_map(|path| {
        let d = path.split(" d=\"").nth(1)?.split('"').next()?;
        let matrix = path.split("transform=\"matrix(").nth(1).and_then(|m| m.split(')').next());
        let by = matrix.map_or(vec![1.0, 0.0, 0.0, 1.0], numbers);
        let (width, height) = spans(d);
        // Points to millimetres; the sheets are printed upright.
        let mm = 25.4 / 72.0;
        Some((width * by[0].abs() * mm, height * by[3].abs() * mm))
    });
    drawn.collect()
}

#[test]
fn the_test_squares_come_out_of_the_browser_at_full_size_on_both_papers() {
    let Some(chromium) = tool(&["chromium", "chromium-browser", "google-chrome"]) else { return };
    let (Some(cairo), Some(info)) = (tool(&["pdftocairo"]), tool(&["pdfinfo"])) else { return };
    let (room, sha) = scaled();
    for (paper, window, size) in [("a4", (190.0, 268.0), "595 x 842"), ("letter", (195.9, 250.4), "612 x 792")] {
        room.run(&["pattern", "sheets", &sha, "--paper", paper, "--out", "sheets.html"]).done();
        let page = std::fs::read_to_string(room.path().join("sheets.html")).expect("written");
        let tiles = page.matches("class=\"pattern-sheet\"").count();
        assert!(tiles > 4, "{tiles} sheets");
        let pdf = room.path().join("sheets.pdf");
        let mut print = Command::new(&chromium);
        print.args([
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--no-first-run",
            "--disable-background-networking",
        ]);
        print.arg(format!("--user-data-dir={}", room.path().join("profile").display()));
        print.arg("--no-pdf-header-footer").arg(format!("--print-to-pdf={}", pdf.display()));
        print.arg(format!("file://{}", room.path().join("sheets.html").display()));
        run(print);
        let mut command = Command::new(&info);
        command.arg(&pdf);
        let facts = String::from_utf8(run(command)).expect("text");
        let fact = |name: &str| facts.lines().find_map(|l| l.strip_prefix(name)).unwrap_or_default().trim().to_owned();
        // Cover, sheets, list of sizes: nothing runs over onto a sheet of its own.
        let sheets: usize = fact("Pages:").parse().expect("a number");
        assert!((tiles + 2..=tiles + 3).contains(&sheets), "{sheets} sheets printed for {tiles} windows");
        let points: Vec<String> = numbers(&fact("Page size:")).iter().take(2).map(|n| format!("{n:.0}")).collect();
        assert_eq!(points.join(" x "), size, "{paper}");
        let near = |found: &[(f64, f64)], (w, h): (f64, f64)| {
            found.iter().any(|(x, y)| (x - w).abs() <= 0.1 && (y - h).abs() <= 0.1)
        };
        let cover = on_paper(&cairo, &pdf, 1);
        for square in [(100.0, 100.0), (101.6, 101.6)] {
            assert!(near(&cover, square), "{paper}: no square of {square:?} mm within 0.1 mm among {cover:?}");
        }
        // On each sheet the frame is the whole window, and whichever cutting line it shows (the browser leaves out what lies
        // outside) keeps its size at 100 %: 830 by 430 mm the front, 510 by 110 mm the collar.
        for sheet in 2..tiles + 2 {
            let drawn = on_paper(&cairo, &pdf, sheet);
            assert!(near(&drawn, window), "{paper}, sheet {sheet}: no frame of {window:?} mm within 0.1 mm");
            let is = |(w, h): (f64, f64)| drawn.iter().any(|(x, y)| (x - w).abs() < 0.3 && (y - h).abs() < 0.3);
            assert!(
                is((830.0, 430.0)) || is((510.0, 110.0)),
                "{paper}, sheet {sheet}: no piece keeps its size: {drawn:?}"
            );
        }
    }
}

#[test]
fn effort_is_reckoned_through_the_program_from_purposes_in_the_log() {
    let seam = |purpose: &str, length: &str| {
        format!(
            "[[stitching]]\npurpose = \"{purpose}\"\ncomponent = \"front\"\nstitch = \"backstitch\"\nmade = \"hand\"\n\
             density = [\"40 in 10 cm\"]\n{length}\n"
        )
    };
    let log = |purpose: &str, hours: &str| {
        format!(
            "[[work]]\ndate = 2031-04-02\ntask = \"sewn\"\ncomponent = \"front\"\nhours = \"{hours}\"\npurpose = \"{purpose}\"\n"
        )
    };
    let sheet = [
        "[piece]\nnumber = \"2031.R\"\nnature = \"reconstruction\"\nobject_name = \"bodice\"\nmaker = \"Wren Askerdale\"\n\
         [[component]]\nname = \"front\"\n"
            .to_owned(),
        log("side seam", "1 h"),
        log("hem", "2 h 5 min"),
        log("shoulder seam", "28 min"),
        "[examination]\ndate = 2031-05-01\nexaminer = \"Wren Askerdale\"\n".to_owned(),
        seam("side seam", "length = \"100 cm\""),
        seam("hem", "length = \"200 cm\""),
        seam("shoulder seam", "length = \"50 cm\""),
        seam("dart stitching", "length = \"25 cm\""),
        seam("collar seam", ""),
    ];
    let room = Room::with(&[&sheet.concat()]);
    let said = room.run(&["effort", "2031.R"]).done();
    holds(
        &said,
        &[
            "rate, backstitch:",
            "fitted to 3 lines of the work log",
            "collar seam, front, backstitch: not reckoned: length not recorded; not in the log",
            "hem, front, backstitch: 800 stitches",
            "logged: 3 h 33 min in all, 3 h 33 min of it sewing",
            "left to do: 15 min",
            "1 line; 1 more line could not be reckoned",
        ],
    );
    let json: Value = room.run(&["effort", "2031.R", "--json"]).json().remove(0);
    assert_eq!((&json["whole"]["lines"], &json["whole"]["unknown"]), (&4.into(), &1.into()));
    assert_eq!(json["rates"][0]["basis"], "work_log");
    // What a sheet prints, a sheet reads.
    let filled = room.run(&["sheet", "2031.R"]).done();
    holds(&filled, &["purpose = \"hem\""]);
    let path = room.write("again.toml", &filled);
    holds(&room.run(&["enter", &path]).done(), &["nothing new"]);
    let page = room.run(&["report", "effort", "2031.R", "--out", "-"]).done();
    holds(&page, &["Not reckoned", "Collar seam", "length not recorded", "fitted to 3 lines"]);
    let wrong = sheet.concat().replace("purpose = \"shoulder seam\"\n[exam", "sewn = \"0 cm\"\n[exam");
    let path = room.write("wrong.toml", wrong);
    holds(
        &room.run(&["enter", &path]).refused(),
        &["a length that was sewn is greater than zero", "say which line of stitches"],
    );
    holds(&room.run(&["effort", "2031.R", "--maker", "Nobody"]).refused(), &["no piece by `Nobody` has a work log"]);
    holds(&room.run(&["check"]).done(), &["all well"]);
}
