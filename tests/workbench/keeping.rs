//! Looking back and erasing: the journal, a piece as it stood, sealed copies, a purge.

use dimity::catalogue::{Incoming, Intent};
use dimity::record::source::{SourceCell, SourceRow};

use crate::bench::{Answer, Bench};
use crate::support::{AGAIN, PLAIN, SPENCER};

#[test]
fn the_journal_tells_each_change_before_and_after() {
    let bench = Bench::by_link(&[SPENCER, PLAIN]);
    bench.settle("/conventions", "/conventions/collection", &[("name", "Blue room"), ("units", "inches")]).is(303);
    bench
        .settle(
            "/conventions",
            "/conventions/collection",
            &[("name", "Green room"), ("units", "inches"), ("reason", "painted")],
        )
        .is(303);
    let page = bench.get("/journal").is(200).text();
    for text in ["painted", "Blue room → Green room", "new collection 1", "2031.2"] {
        assert!(page.contains(text), "`{text}` stands in the journal of all");
    }
    let page = bench.get("/pieces/2031.2/journal").is(200).text();
    assert!(page.contains("object name: stays") && !page.contains("→ Green room"), "that of a piece tells of it alone");
}

#[test]
fn a_long_journal_is_leafed_through_whole() {
    let sheets: Vec<String> = (0..70)
        .map(|i| format!("[piece]\nnumber = \"2031.{i}\"\nnature = \"extant\"\nobject_name = \"shirt {i}\"\n"))
        .collect();
    let bench = Bench::by_link(&sheets.iter().map(String::as_str).collect::<Vec<_>>());
    let (mut path, mut seen) = ("/journal".to_owned(), 0);
    for _ in 0..10 {
        let page = bench.get(&path).is(200).text();
        seen += page.matches("object name: shirt ").count();
        let Some((_, rest)) = page.split_once("/journal?before=") else { break };
        path = format!("/journal?before={}", rest.split('"').next().expect("a number"));
    }
    assert_eq!(seen, 70, "every piece is told of once");
}

#[test]
fn a_piece_is_shown_as_it_stood_on_a_day() {
    let bench = Bench::by_link(&[SPENCER]);
    let page = bench.get("/pieces/2031.1/as-of?day=2031-12-31").is(200).text();
    assert!(page.contains("Green silk spencer") && page.contains("after row "), "{page}");
    let page = bench.get("/pieces/2031.1/as-of?day=2001-01-01").is(200).text();
    assert!(page.contains("was not yet entered here") && !page.contains("id=\"entry\""));
    for bad in ["yesterday", "2031-13-40", "%3Cscript%3E", "-9999-01-01", "9999-12-31"] {
        let page = bench.get(&format!("/pieces/2031.1/as-of?day={bad}")).text();
        assert!(!page.contains("<script>") || page.contains("type=\"module\""), "{bad}");
    }
    assert!(bench.get("/pieces/2031.1/as-of?day=yesterday").is(200).text().contains("is no day"));
    bench.get("/pieces/2019.9/as-of?day=2031-12-31").is(404);
}

fn copy(bench: &Bench, bytes: &[u8]) -> Answer {
    bench.parts("/seals/compare", &[("page", Some("a.html"), bytes)])
}

#[test]
fn sealed_reports_are_listed_brought_up_and_told_from_altered_copies() {
    let bench = Bench::by_link(&[SPENCER, AGAIN]);
    assert!(bench.get("/seals").is(200).text().contains("No report is sealed"));
    bench.form("/pieces/2031.1/seal", &[("set", "summary")]).is(303);
    let seal = bench.desk.catalogue.seals(None).unwrap().remove(0);
    assert!(bench.get("/seals").text().contains(&seal.code));
    let small = seal.code.to_lowercase().replace('-', "");
    assert_eq!(bench.get(&format!("/seals?code={small}")).is(303).header("location"), format!("/sealed/{}", seal.code));
    let page = bench.get("/seals?code=%3Cb%3Enone").is(200).text();
    assert!(page.contains("&lt;b&gt;none") && page.contains("code-amiss\">"), "a code that nobody has is said so");

    let sheet = bench.get(&format!("/sealed/{}/sheet", seal.code)).is(200).body;
    assert!(copy(&bench, &sheet).is(200).text().contains("Unaltered: sealed report"));
    let mut altered = sheet.clone();
    let at = altered.len() / 2;
    altered[at] ^= 1;
    let page = copy(&bench, &altered).is(200).text();
    assert!(
        page.contains("Not as any report was sealed") && page.contains("the first difference is in line"),
        "{page}"
    );
    assert!(copy(&bench, b"%PDF-1.4").is(200).text().contains("made anew by whoever prints"));
    assert!(copy(&bench, b"").is(200).text().contains("Choose a file first"));
    assert!(copy(&bench, b"\xff\x00<script>").is(200).text().contains("Not as any report was sealed"));
}

#[test]
fn changes_since_any_examination_and_the_look_beside_a_sealed_report() {
    let bench = Bench::by_link(&[SPENCER, AGAIN]);
    let file = bench.desk.catalogue.piece("2031.1").unwrap();
    let days: Vec<String> = file.examinations.iter().filter_map(|e| e.about.date).map(|d| d.to_string()).collect();
    let [first, .., last] = &days[..] else { panic!("two examinations") };
    let page = bench.get(&format!("/pieces/2031.1/reports/condition/sheet?examination={last}&since={first}")).is(200);
    assert!(page.text().contains("Changes since"), "the changes stand in the report");
    let form = bench.get("/pieces/2031.1/reports").is(200).text();
    assert!(days.iter().all(|day| form.contains(&format!("value=\"{day}\""))), "each examination can be chosen");
    bench.form("/pieces/2031.1/seal", &[("examination", first)]).is(303);
    let seal = bench.desk.catalogue.seals(None).unwrap().remove(0);
    let page = bench.get(&format!("/pieces/2031.1/reports/condition/sheet?against={}", seal.code)).is(200).text();
    assert!(page.contains(&seal.code), "it is laid beside the sealed report");
    bench.form("/pieces/2031.1/seal", &[("against", &seal.code)]).is(303);
    assert_eq!(bench.desk.catalogue.seals(None).unwrap()[1].against.as_deref(), Some(seal.code.as_str()));
    bench.get("/pieces/2031.1/reports/condition?since=1999-01-01").is(404);
    bench.get("/pieces/2031.1/reports/condition?since=never").is(422);
    bench.get("/pieces/2031.1/reports/condition?against=NONE-NONE-NONE").is(422);
}

#[test]
fn a_piece_is_erased_only_when_its_number_is_typed_once_more() {
    let bench = Bench::by_link(&[SPENCER, PLAIN]);
    let page = bench.get("/pieces/2031.1/purge").is(200).text();
    assert!(page.contains("of the journal, which keep when, who and why"), "what would go is said: {page}");
    let before = bench.revision();
    let page = bench.form("/pieces/2031.1/purge", &[("reason", "a law"), ("number", "2031.2")]).is(422).text();
    assert!(page.contains("value=\"a law\"") && page.contains("nothing was erased"), "{page}");
    bench.form("/pieces/2031.1/purge", &[("reason", " "), ("number", "2031.1")]).is(422);
    assert_eq!(bench.revision(), before, "looking and typing it wrongly change nothing");
    bench.form("/pieces/2031.1/purge", &[("reason", "a law"), ("number", "2031.1")]).is(303);
    let gone = bench.get("/pieces/2031.1").is(422).text();
    assert!(gone.contains("purged"), "the page says what became of it: {gone}");
    bench.get("/pieces/2031.2").is(200);
    assert!(bench.get("/journal").is(200).text().contains("a law"));
    bench.get("/pieces/2019.9/purge").is(404);
}

#[test]
fn what_an_old_list_said_of_a_piece_stands_on_its_page() {
    let mut bench = Bench::by_link(&[]);
    let mut file = dimity::record::PieceFile::default();
    file.piece.number = Some("1975.2".into());
    file.piece.object_name = Some("shawl".into());
    file.piece.nature = dimity::vocabulary::TermId::parse("nature/extant");
    let cell =
        |heading: &str, text: &str| SourceCell { heading: heading.into(), text: text.into(), ..Default::default() };
    let cells = vec![cell("What", "shawl <old>"), cell("Where", " ")];
    let source =
        SourceRow { file: "list.csv".into(), file_sha256: "a".repeat(64), row: 7, cells, ..Default::default() };
    let intent = Intent { author: "test".into(), reason: Some("imported".into()), ..Intent::default() };
    bench.desk.catalogue.import(&[Incoming { file, source }], &[], &intent, &mut || Ok(())).expect("imported");
    let page = bench.get("/pieces/1975.2").is(200).text();
    for text in ["What the old list said: list.csv, row 7", "<dt>What</dt><dd>shawl &lt;old&gt;</dd>"] {
        assert!(page.contains(text), "{text} stands in {page}");
    }
    assert!(!page.contains("<dt>Where</dt>"), "a cell that says nothing is left out");
}
