//! What is seen only across the collection: a piece among others, departures, sewing, the list to take along.

use crate::bench::Bench;
use crate::support::{AFTER, AUTHOR, PLAIN, SPENCER};

const DEPARTED: &str = "[piece]\nnumber = \"2031.R1\"\n\n[[departure]]\nfeature = \"sleeve length\"\nwas = \"60 cm\"\n\
                        now = \"62 cm\"\nreason = \"fit\"\nnote = \"<b>long arms</b>\"\nlearned = \"measure, twice\"\n";

#[test]
fn a_piece_stands_among_others() {
    let bench = Bench::by_link(&[SPENCER, AFTER]);
    bench.get("/comparison/among").is(200);
    let page = bench.get("/comparison/among?set=nature:extant&piece=2031.R1").is(200).text();
    assert!(page.contains("<iframe") && page.contains("/comparison/among/sheet?set=nature:extant"), "{page}");
    let sheet = bench.get("/comparison/among/sheet?set=nature:extant&piece=2031.R1").is(200);
    let text = sheet.text();
    let own =
        dimity::printing::Among { set: "nature:extant", piece: Some("2031.R1"), feature: "", any_component: false };
    let seen: Result<usize, dimity::printing::NotPrinted> =
        dimity::printing::among(&bench.desk.catalogue, &own, |corpus, _| Ok(corpus.features.len()));
    assert!(seen.expect("worked out") > 0 && text.contains("2031.R1"));
    // A style that stands in an attribute counts, if its hash is in the policy.
    let policy = sheet.header("content-security-policy");
    assert!(policy.contains("'unsafe-hashes' 'sha256-") && !policy.contains("unsafe-inline"), "{policy}");
    for (query, why) in [
        ("set=fibre:slik", "did you mean"),
        ("set=nature:extant&piece=none", "there is no piece `none`"),
        ("set=%22", "amiss"),
        ("set=%3Cscript%3E%28", "amiss"),
    ] {
        let page = bench.get(&format!("/comparison/among?{query}")).is(200).text();
        assert!(page.to_lowercase().contains(why) && !page.contains("<iframe"), "{query}: {page}");
        assert!(!page.contains("<script>"), "{query} is escaped");
    }
}

#[test]
fn departures_are_sifted_and_taken_away_as_a_table() {
    let mut bench = Bench::by_link(&[SPENCER, AFTER]);
    bench.desk.entered(DEPARTED);
    let page = bench.get("/departures").is(200).text();
    assert!(
        page.contains("Sleeve length") && page.contains("&lt;b&gt;long arms") && page.contains("60 cm → 62 cm"),
        "{page}"
    );
    for (query, shown) in [
        ("reason=fit", true),
        ("reason=cost", false),
        ("of=2031.R1", true),
        ("of=2031.1", false),
        ("learned=1", true),
        ("reason=whim", false),
        ("of=none", false),
    ] {
        let page = bench.get(&format!("/departures?{query}")).is(200).text();
        assert_eq!(page.contains("long arms"), shown, "{query}");
    }
    assert!(bench.get("/departures?reason=whim").text().contains("role=\"alert\""), "an unknown reason is said so");
    let table = bench.get("/departures/table.csv?reason=fit").is(200);
    assert_eq!(table.header("content-disposition"), "attachment; filename=\"departures.csv\"");
    let text = table.text();
    let mut rows = csv::Reader::from_reader(text.as_bytes());
    let row = rows.records().next().expect("a row").expect("it reads");
    assert_eq!((&row[0], &row[4], &row[9]), ("2031.R1", "sleeve length", "measure, twice"));
    assert!(bench.get("/departures/sheet").is(200).text().contains("sleeve length"));
}

#[test]
fn what_it_takes_to_sew_is_reckoned() {
    let bench = Bench::by_link(&[SPENCER, AFTER]);
    let page = bench.get("/pieces/2031.R1/reports/effort").is(200).text();
    assert!(page.contains("What it takes to sew") && page.contains("By whose pace"));
    bench.get("/pieces/2031.R1/reports/effort/sheet").is(200);
    let nobody = bench.get("/pieces/2031.R1/reports/effort?maker=Nobody").is(422).text();
    assert!(nobody.contains("has a work log"), "{nobody}");
}

#[test]
fn the_collection_goes_along_on_one_page() {
    let bench = Bench::by_link(&[SPENCER, PLAIN]);
    let page = bench.get("/collection/sheet").is(200).text();
    assert!(page.contains("2031.1") && page.contains("2031.2"));
    assert!(!page.contains("src=\"/"), "nothing is left behind on this machine");
}

#[test]
fn a_piece_shows_the_comparisons_in_which_it_takes_part() {
    let cap = |n: u32| format!("[piece]\nnumber = \"2031.{n}\"\nnature = \"extant\"\nobject_name = \"cap <{n}>\"\n");
    let mut bench = Bench::by_link(&[SPENCER, &cap(2), &cap(3)]);
    let pieces = ("2031.1", &["2031.2".to_owned()][..]);
    let basis = dimity::analysis::comparison::Basis::default();
    bench.desk.catalogue.keep_comparison(AUTHOR, "for the class", "Two & a cap", pieces, &basis).expect("kept");
    for number in ["2031.1", "2031.2"] {
        let page = bench.get(&format!("/pieces/{number}")).is(200).text();
        let (_, shown) = page.split_once("<section id=\"comparisons\">").expect("the section");
        for words in ["Two &amp; a cap", "/comparison?kept=Two+%26+a+cap", "for the class", "2031.1 beside 2031.2"] {
            assert!(
                shown.contains(words) || shown.contains(&words.replace('/', "&#x2F;")),
                "{number}: {words}: {shown}"
            );
        }
    }
    let alone = bench.get("/pieces/2031.3").is(200).text();
    assert!(!alone.contains("for the class") && alone.contains("Set it beside others"), "{alone}");
}
