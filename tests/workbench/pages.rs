//! What the pages show, and that they read without a script.

use crate::bench::Bench;
use crate::support::{AGAIN, AUTHOR, PLAIN, SPENCER};
use dimity::catalogue::Collection;
use dimity::measure::System;

#[test]
fn every_page_has_one_heading_a_way_past_the_menu_and_no_script_of_its_own() {
    let bench = Bench::by_link(&[SPENCER, AGAIN]);
    let sha256 = bench.photograph("2031.1", "name=front.png&view=front", crate::drawing::png(90));
    let photograph = |page: &str| format!("/pieces/2031.1/photographs/{sha256}{page}");
    let of_photograph = [
        "",
        "?sharpness=yes",
        "/draw",
        "/target",
        "/colour?area=1,1,9,9",
        "/threads?square=1,1,99&scale=20+px/mm",
        "/pattern",
    ]
    .map(photograph);
    let pages = [
        "/",
        "/?words=silk",
        "/pieces/2031.1",
        "/pieces/2031.1/journal",
        "/pieces/2031.1/reports",
        "/pieces/2031.1/reports/entry",
        "/pieces/2031.1/reports/condition?set=summary",
        "/due",
        "/searches",
        "/withdrawn",
        "/import",
        "/sheets",
        "/sheets?number=2031.1",
        "/import/photographs",
        "/import/catalogue",
        "/reckon?length=1+cm",
        "/safekeeping",
        "/safekeeping/check",
        "/safekeeping/backup",
        "/safekeeping/restore",
        "/safekeeping/export",
        "/safekeeping/export/json",
        "/safekeeping/export/csv",
        "/safekeeping/export/parquet",
        "/safekeeping/export/site",
        "/safekeeping/export/iiif",
        "/reckon?length=1+cm",
        "/journal",
        "/seals",
        "/accounts",
        "/departures",
        "/comparison/among?set=nature:extant",
        "/pieces/2031.1/as-of?day=2031-12-31",
        "/pieces/2031.1/purge",
        "/pieces/2031.1/reports/effort",
        "/words/grade/own",
        "/words",
        "/words?seek=tear",
        "/words/damage",
        "/conventions",
        "/words/searching",
        "/name",
        "/pieces/2031.1/photographs",
        "/photographs/missing",
        "/photographs/missing?piece=2031.1",
        "/photographs/file",
    ];
    for page in pages.into_iter().chain(of_photograph.iter().map(String::as_str)) {
        let text = bench.get(page).is(200).text();
        for (what, count) in [("<h1", 1), ("<main id=\"main\"", 1), ("class=\"skip\"", 1), ("lang=\"en-GB\"", 1)] {
            assert_eq!(text.matches(what).count(), count, "{page}: {what}");
        }
        for never in ["<style", " style=", "<script>", "javascript:", " onclick"] {
            assert!(!text.contains(never), "{page} holds `{never}`, which its policy forbids");
        }
    }
    for (page, status) in
        [("/nowhere", 404), ("/pieces/2019.9", 404), ("/words/nothing", 404), ("/pieces/2031.1/reports/x", 404)]
    {
        let text = bench.get(page).is(status).text();
        assert!(text.contains("<h1>"), "{page} says in the frame what went wrong");
    }
}

/// A hundred and fifty pieces: three leaves.
fn many() -> Vec<String> {
    let one = |i: usize| {
        let (fibre, garment) = (["silk", "linen", "wool"][i % 3], ["spencer", "stays"][i % 2]);
        let nature = if i.is_multiple_of(5) { "reconstruction" } else { "extant" };
        format!(
            "[piece]\nnumber = \"2030.{i}\"\nnature = \"{nature}\"\nobject_name = \"{garment}\"\ngarment = \"{garment}\"\n\
             date = \"{}\"\n[[move]]\nto = \"bay {}, shelf {i}\"\n[examination]\ndate = 2031-03-02\n\
             examiner = \"Wren Askerdale\"\n[[textile]]\nrole = \"shell\"\nfibres = [\"{fibre}\"]\n",
            1800 + i,
            i % 4,
        )
    };
    (0..150).map(one).collect()
}

#[test]
fn the_collection_is_leafed_through_sifted_and_counted_without_a_script() {
    let sheets = many();
    let sheets: Vec<&str> = sheets.iter().map(String::as_str).collect();
    let bench = Bench::by_link(&sheets);
    let (mut page, mut seen) = ("/".to_owned(), 0);
    for _ in 0..3 {
        let text = bench.get(&page).is(200).text();
        seen += text.matches("<li class=\"lot\">").count();
        let next = text.split("<a href=\"").filter(|rest| rest.contains("rel=\"next\"")).last();
        let next = next.and_then(|rest| rest.split('"').next()).unwrap_or_default();
        page = next.replace("&amp;", "&").replace("&#x2F;", "/");
    }
    assert_eq!((seen, page.as_str()), (150, ""), "three leaves, and no fourth");

    let cases = [
        ("/", 150),
        ("/?fibre=fibre:silk", 50),
        ("/?fibre=fibre:silk&garment=garment:stays", 25),
        ("/?location=location:%22bay%203%22", 37),
        ("/?words=silk%20spen", 25),
        ("/?nature=nature:reconstruction", 30),
        ("/?nature=nature:extant", 120),
        // Every tenth from the fifth on.
        ("/?nature=nature:reconstruction&garment=garment:stays", 15),
        ("/?words=fibre:(silk%20or%20wool)%20not%20garment:stays", 50),
        ("/?dated=1810-1819", 10),
        ("/?dated=1810-1819&fibre=fibre:wool", 3),
        ("/?grade=lacks:grade", 150),
        ("/?grade=grade:good", 0),
        ("/?grade=grade:good&undecided=1", 150),
        ("/?dated=rhubarb", 150),
        ("/?words=fibre:lnen", 150),
        ("/?page=99", 150),
        ("/?page=-1", 150),
        ("/?unknown=x", 150),
    ];
    for (address, count) in cases {
        let text = bench.get(address).is(200).text();
        assert!(text.contains(&format!("data-found=\"{count}\"")), "{address} should find {count}");
    }
    let text = bench.get("/?fibre=fibre:silk").text();
    // Each filter counts what the others leave: all fibres, but only the garments of silk.
    for option in
        [">linen (50)<", ">silk (50)<", ">spencer (25)<", ">stays (25)<", ">reconstruction (10)<", ">extant (40)<"]
    {
        assert!(text.contains(option), "the filters should offer `{option}`");
    }
    let wrong = bench.get("/?words=fibre:lnen").text();
    assert!(wrong.contains("did you mean `linen`"), "what is wrong stands beside the words");
    let wrong = bench.get("/?dated=rhubarb").text();
    let (_, beside) = wrong.split_once("id=\"dated-amiss\">").expect("a place for what is wrong");
    assert!(!beside.starts_with('<'), "what is wrong stands beside the field");
    assert!(wrong.contains("value=\"rhubarb\""), "and what was typed stays");
}

#[test]
fn what_is_entered_is_found_at_once() {
    let mut bench = Bench::by_link(&[SPENCER]);
    assert!(bench.get("/").text().contains("data-found=\"1\""));
    bench.desk.entered(PLAIN);
    assert!(bench.get("/").text().contains("data-found=\"2\""), "a sheet from the command line counts at once");
}

#[test]
fn a_term_of_our_own_is_known_at_once() {
    let mut bench = Bench::by_link(&[SPENCER]);
    assert!(!bench.get("/words/fibre").text().contains("pina cloth"));
    let id = dimity::vocabulary::TermId::new(dimity::vocabulary::Scheme::Fibre, "pina cloth");
    bench.desk.catalogue.add_term("test", &id, None, "Fibre of the leaf.", "house rules").unwrap();
    assert!(bench.get("/words/fibre").text().contains("pina cloth"));
}

#[test]
fn a_report_is_previewed_and_sealed_byte_for_byte() {
    let bench = Bench::by_link(&[SPENCER]);
    let sheet = bench.get("/pieces/2031.1/reports/condition/sheet").is(200);
    assert_eq!(sheet.header("x-frame-options"), "SAMEORIGIN", "our own page may frame it");
    assert!(
        sheet.header("content-security-policy").contains("style-src 'unsafe-hashes' 'sha256-"),
        "its own style alone"
    );
    let answer = bench.form("/pieces/2031.1/seal", &[("set", "summary")]).is(303);
    let seal = bench.desk.catalogue.seals(Some("2031.1")).unwrap().pop().expect("a seal");
    assert_eq!(answer.header("location"), format!("/sealed/{}", seal.code));
    assert_eq!((seal.print_set.as_str(), seal.sealed_by.as_str()), ("summary", crate::support::AUTHOR));
    let page = bench.get(&format!("/sealed/{}/sheet", seal.code)).is(200);
    assert_eq!(dimity::sealed::Pages::sha256(&page.body), seal.sha256, "the page is the one that was sealed");
    assert!(bench.get(&format!("/sealed/{}", seal.code)).is(200).text().contains(&seal.code));
    bench.desk.is_sound();
}

#[test]
fn on_loopback_a_name_is_asked_for_once_before_anything_is_written() {
    let bench = Bench::by_link_as(&[SPENCER], None);
    let page = bench.form("/pieces/2031.1/seal", &[("set", "summary")]).is(422).text();
    assert!(
        page.contains("Say first who you are") && page.contains("set=summary"),
        "the report as it was asked: {page}"
    );
    for blank in ["", "  ", "a\nb"] {
        bench.form("/name", &[("name", blank)]).is(422);
    }
    bench.form("/name", &[("name", " Ida Falk ")]).is(303);
    bench.form("/pieces/2031.1/seal", &[]).is(303);
    assert_eq!(bench.desk.catalogue.seals(None).unwrap()[0].sealed_by, "Ida Falk");
}

#[test]
fn lengths_are_shown_first_in_the_system_that_somebody_prefers() {
    let mut bench = Bench::by_link(&[SPENCER]);
    let mean = |bench: &Bench| {
        let page = bench.get("/pieces/2031.1").is(200).text();
        let (_, rest) = page.split_once("data-label=\"Mean ± U\"").expect("a dimension");
        let cell = rest.split("</td>").next().unwrap_or_default().replace('\u{a0}', " ");
        (cell.find(" mm").expect("in millimetres"), cell.find(" in").expect("in inches"))
    };
    let (metric, inches) = mean(&bench);
    assert!(metric < inches, "metric comes first where nobody said otherwise, and inches stand beside it");
    let collection = Collection { units: Some(System::Inches), ..bench.desk.catalogue.collection().unwrap() };
    bench.desk.catalogue.set_collection(AUTHOR, "as we read them", &collection).unwrap();
    let (metric, inches) = mean(&bench);
    assert!(inches < metric, "as the collection says");
    let answer = bench.form("/units", &[("units", "metric")]).is(303);
    let set = answer.header("set-cookie").to_owned();
    assert!(set.starts_with("dimity-units=metric; ") && set.contains("HttpOnly") && set.contains("Max-Age"), "{set}");
    let cookie = bench.cookie.clone().unwrap();
    bench.cookie = Some(format!("{cookie}; dimity-units=metric"));
    let (metric, inches) = mean(&bench);
    assert!(metric < inches, "as this visitor says");
    bench.form("/units", &[("units", "cubits")]).is(422);
}

#[test]
fn the_journal_of_a_piece_comes_leaf_by_leaf_and_leaves_nothing_out() {
    let mut bench = Bench::by_link(&[SPENCER, PLAIN]);
    for i in 0..70 {
        let text = format!("[piece]\nnumber = \"2031.1\"\n[[event]]\nevent = \"gift\"\nnote = \"turn {i}\"\n");
        bench.desk.enter_with(&text, Some(&format!("act {i}"))).expect("entered");
    }
    let whole: Vec<i64> = bench.desk.catalogue.journal(Some("2031.1")).unwrap().iter().rev().map(|r| r.id).collect();
    let (mut found, mut before) = (Vec::new(), None);
    loop {
        let leaf = bench.desk.catalogue.journal_leaf("2031.1", before, 30).unwrap();
        found.extend(leaf.rows.iter().map(|r| r.id));
        let Some(older) = leaf.older else { break };
        before = Some(older);
    }
    assert_eq!(found, whole, "the leaves together are the journal of the piece, newest first");
    let page = bench.get("/pieces/2031.1/journal").is(200).text();
    assert!(page.contains("act 69") && !page.contains("act 39") && page.contains(">Older</a>"), "{page}");
    let older = page.split("journal?before=").nth(1).and_then(|rest| rest.split('"').next()).expect("a link");
    let page = bench.get(&format!("/pieces/2031.1/journal?before={older}")).is(200).text();
    assert!(page.contains("act 39") && !page.contains("act 40") && page.contains(">Newest</a>"), "{page}");
}

#[test]
fn what_is_due_is_listed_by_where_it_lies() {
    // Examined ten years ago, each under its place; the last was looked at a month ago and is stable.
    let piece = |number: &str, place: &str, day: &str| {
        format!(
            "[piece]\nnumber = \"{number}\"\nnature = \"extant\"\nobject_name = \"cap\"\n[[move]]\nto = \"{place}\"\n\
             date = 2021-01-01\n[examination]\ndate = {day}\nexaminer = \"Wren Askerdale\"\n[[condition]]\n\
             damage = \"tear\"\nactivity = \"inactive\"\n"
        )
    };
    let sheets = [
        piece("2020.3", "bay B, shelf 2", "2021-03-02"),
        piece("2020.1", "bay A, shelf 1", "2021-03-02"),
        piece("2020.2", "bay A, shelf 1", "2021-03-02"),
        piece("2020.4", "bay A, shelf 1", "2031-04-01"),
    ];
    let bench = Bench::by_link(&sheets.iter().map(String::as_str).collect::<Vec<_>>());
    let page = bench.get("/due").is(200).text().replace("&#x2F;", "/");
    let at = |words: &str| page.find(words).unwrap_or_else(|| panic!("`{words}` is not there: {page}"));
    let row = |number: &str| at(&format!("<b>{number}</b>"));
    let order =
        [at("<h2>bay A, shelf 1</h2>"), row("2020.1"), row("2020.2"), at("<h2>bay B, shelf 2</h2>"), row("2020.3")];
    assert!(order.is_sorted(), "by place, and there by number: {order:?}");
    assert!(
        page.contains("<b>3</b> of 4 by") && !page.contains("<b>2020.4</b>"),
        "what is not due is not listed: {page}"
    );
    let page = bench.get("/due?place=bay+B").is(200).text();
    assert!(page.contains("<b>2020.3</b>") && !page.contains("<b>2020.1</b>"), "only there: {page}");
    let page = bench.get("/due?until=2099-01-01").is(200).text();
    assert!(page.contains("<b>4</b> of 4 by"), "in time all are due: {page}");
}

/// As a reader sees it.
fn plain(page: &str) -> String {
    let signs = [
        ("&#x27;", "'"),
        ("&#39;", "'"),
        ("&quot;", "\""),
        ("&#x2F;", "/"),
        ("&lt;", "<"),
        ("&gt;", ">"),
        ("&amp;", "&"),
    ];
    signs.iter().fold(page.to_owned(), |text, (sign, is)| text.replace(sign, is))
}

#[test]
fn the_conventions_that_were_chosen_are_shown() {
    use dimity::dating::{Beyond, Conventions, Cut, Hundreds};
    let bench = Bench::by_link(&[]);
    let standing = Conventions::default();
    let chosen = Conventions {
        circa_years: 12,
        century_from: 1,
        cut: Cut::Quarters,
        beyond: Beyond::Hundred,
        hundreds: Hundreds::Decade,
    };
    let shown = |bench: &Bench| plain(&bench.get("/conventions").is(200).text());
    let page = shown(&bench);
    for sentence in standing.sentences() {
        assert!(page.contains(&sentence), "before anything is chosen: {sentence}");
    }
    let answers = [
        ("circa", "12"),
        ("century-from", "1"),
        ("early-late", "quarters"),
        ("before-after", "hundred"),
        ("hundreds", "decade"),
        ("reason", "as the house has it"),
    ];
    bench.settle("/conventions", "/conventions/dates", &answers).is(303);
    let page = shown(&bench);
    for (now, before) in chosen.sentences().iter().zip(standing.sentences()) {
        assert_ne!(*now, before, "each is another than it was");
        assert!(page.contains(&format!("<li>{now}</li>")), "{now}");
        assert!(!page.contains(&format!("<li>{before}</li>")), "{before}");
    }
}

#[test]
fn a_shipped_definition_is_shown_with_its_source() {
    use dimity::vocabulary::{Scheme, Vocabulary};
    let bench = Bench::by_link(&[]);
    for (scheme, name) in [
        (Scheme::Damage, "tear"),
        (Scheme::Fibre, "silk"),
        (Scheme::Garment, "spencer"),
        (Scheme::Dimension, "hem girth"),
    ] {
        let term = Vocabulary::shipped().known(scheme, name).expect("a term");
        assert!(!term.definition.is_empty() && !term.source.is_empty(), "{name}");
        let sought: String = form_urlencoded::byte_serialize(name.as_bytes()).collect();
        for address in [format!("/words/{}", scheme.key()), format!("/words?seek={sought}")] {
            let page = plain(&bench.get(&address).is(200).text());
            let entries = page.split("<dt>").skip(1).filter_map(|entry| entry.split("</dd>").next());
            let entry = entries.into_iter().find(|entry| entry.starts_with(name) && entry.contains(&term.definition));
            let entry = entry.unwrap_or_else(|| panic!("{address} does not define {name}"));
            assert!(entry.contains(&format!("source: {}", term.source)), "{address}: {entry}");
        }
    }
}
