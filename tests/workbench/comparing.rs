//! The comparison in the browser: chosen, paired, kept, and reasons written beside the differences.

use dimity::analysis::comparison::{self, Features};

use crate::bench::Bench;
use crate::support::{AFTER, AUTHOR, SPENCER};

const SHEET: &str = "/comparison?piece=2031.R1&with=2031.1";

fn unescaped(text: &str) -> String {
    text.replace("&quot;", "\"")
        .replace("&#x27;", "'")
        .replace("&#x2F;", "/")
        .replace("&lt;", "<")
        .replace("&amp;", "&")
}

/// The hidden fields of each form that writes a reason.
fn forms(page: &str) -> Vec<Vec<(String, String)>> {
    let forms = page.split("action=\"/comparison/departure\">").skip(1).filter_map(|rest| rest.split_once("</form>"));
    let fields = |form: &str| {
        let inputs = form.split("<input type=\"hidden\" name=\"").skip(1);
        inputs
            .filter_map(|input| {
                let (name, rest) = input.split_once("\" value=\"")?;
                Some((name.to_owned(), unescaped(rest.split_once('"')?.0)))
            })
            .filter(|(name, _)| name != "token")
            .collect()
    };
    forms.map(|(form, _)| fields(form)).collect()
}

fn filled<'f>(fields: &'f [(String, String)], reason: &'f str, note: &'f str) -> Vec<(&'f str, &'f str)> {
    let hidden = fields.iter().map(|(name, value)| (name.as_str(), value.as_str()));
    hidden.chain([("reason", reason), ("note", note), ("learned", "measure twice")]).collect()
}

#[test]
fn each_difference_takes_a_reason_in_place_and_is_explained_then() {
    let bench = Bench::by_link(&[SPENCER, AFTER]);
    let page = bench.get(SHEET).is(200).text();
    let open = forms(&page);
    assert!(open.len() >= 3, "a length, a fibre and a stitch differ: {open:?}");
    for (n, fields) in open.iter().enumerate() {
        assert!(
            fields.contains(&("number".into(), "2031.R1".into())),
            "the piece made after the other departs: {fields:?}"
        );
        let answer = bench.form("/comparison/departure", &filled(fields, "fit", "<script>alert(1)</script>")).is(303);
        assert!(answer.header("location").starts_with("/comparison?piece=2031.R1"), "{}", answer.header("location"));
        let left = forms(&bench.get(SHEET).is(200).text()).len();
        assert!(left < open.len() - n, "the reason stands beside its difference: {fields:?}");
        if left == 0 {
            break;
        }
    }
    let page = bench.get(SHEET).is(200).text();
    assert!(!page.contains("<script>alert") && page.contains("measure twice"), "escaped");
    let departures = bench.desk.catalogue.piece("2031.R1").unwrap().departures;
    assert_eq!(departures[0].reason.as_ref().map(dimity::vocabulary::TermId::name), Some("fit"));
    assert_eq!(departures[0].learned.as_deref(), Some("measure twice"));
    let last = bench.desk.catalogue.journal(None).unwrap().pop().unwrap();
    assert_eq!(last.author, AUTHOR);
    assert!(last.reason.starts_with("a reason for a difference"), "{}", last.reason);
    bench.desk.is_sound();
}

#[test]
fn a_reason_is_refused_that_is_none_or_came_too_late() {
    let bench = Bench::by_link(&[SPENCER, AFTER]);
    let open = forms(&bench.get(SHEET).is(200).text());
    let before = bench.revision();
    for none in ["", "whim of the moon"] {
        let page = bench.form("/comparison/departure", &filled(&open[0], none, "typed with care")).is(422).text();
        assert!(page.contains("value=\"typed with care\""), "what was typed stays: {page}");
        assert!(
            page.contains("id=\"again-reason-amiss\">") && !page.contains("id=\"again-reason-amiss\"></span>"),
            "{none:?}"
        );
    }
    assert_eq!(bench.revision(), before);
    bench.form("/comparison/departure", &filled(&open[0], "cost", "")).is(303);
    let once = bench.revision();
    let late = bench.form("/comparison/departure", &filled(&open[0], "taste", "a fuller <sleeve>")).is(409).text();
    assert!(late.contains("meanwhile") && late.contains("<b>cost</b>"), "the reason that stands is shown: {late}");
    assert!(late.contains("value=\"taste\" selected"), "the one chosen stays chosen");
    assert!(
        late.contains("value=\"a fuller &lt;sleeve&gt;\"") && late.contains("measure twice"),
        "what was typed stays"
    );
    assert_eq!(bench.revision(), once, "the first reason stands");
    // Both seen, one is chosen: it takes the place of the other, if that is still the one that was seen.
    let again = forms(&late).remove(0);
    bench.form("/comparison/departure", &filled(&again, "taste", "a fuller sleeve")).is(303);
    let reason = |bench: &Bench| {
        let all = bench.desk.catalogue.piece("2031.R1").unwrap().departures;
        assert_eq!(all.len(), 1, "in its place, not beside it");
        (all[0].reason.as_ref().map(|r| r.name().to_owned()).unwrap_or_default(), all[0].note.clone())
    };
    assert_eq!(reason(&bench), ("taste".to_owned(), Some("a fuller sleeve".to_owned())));
    let third = bench.form("/comparison/departure", &filled(&again, "supply", "none left")).is(409).text();
    assert!(third.contains("<b>taste</b>") && third.contains("value=\"none left\""), "changed again since: {third}");
    assert_eq!(reason(&bench).0, "taste");
    let mut without = bench.request("POST", "/comparison/departure");
    without = without.header("content-type", "application/x-www-form-urlencoded");
    bench.send(without.body("number=2031.R1&feature=x&reason=cost".into()).unwrap()).is(403);
}

#[test]
fn components_are_paired_sizes_stated_and_mistakes_told_on_the_page() {
    let bench = Bench::by_link(&[SPENCER, AFTER]);
    let page = bench
        .get(&format!("{SHEET}&pair=fob+pocket+%3D+watch+pocket&sizes=scale+1%2F1&tolerances=length+50+%25"))
        .is(200)
        .text();
    assert!(page.contains("value=\"fob pocket = watch pocket\" selected"), "the pair stays chosen");
    let lengths = |page: &str| forms(page).iter().filter(|f| f.iter().any(|(_, v)| v.contains("centre back"))).count();
    assert_eq!((lengths(&bench.get(SHEET).text()), lengths(&page)), (1, 0), "a wide tolerance takes the difference in");
    for (query, says) in [
        ("&pair=third+sleeve+%3D+collar", "third sleeve"),
        ("&tolerances=patience+3+%25", "patience"),
        ("&sizes=rather+small", "rather small"),
        (",+2099.9", "2099.9"),
    ] {
        let page = bench.get(&format!("{SHEET}{query}")).is(200).text();
        assert!(page.contains("role=\"alert\"") && page.contains(says), "`{says}` should be told");
    }
    bench.get("/comparison?piece=%3Cscript%3E&with=%22%3E").is(200);
    bench.get("/comparison").is(200);
}

#[test]
fn a_comparison_is_kept_and_opened_again() {
    let bench = Bench::by_link(&[SPENCER, AFTER]);
    let back = format!("{SHEET}&tolerances=length+50+%25");
    let keep =
        |name: &str, back: &str| bench.form("/comparison/keep", &[("back", back), ("name", name), ("reason", "loose")]);
    let answer = keep("after the spencer", &back).is(303);
    assert_eq!(answer.header("location"), "/comparison?kept=after+the+spencer");
    let page = bench.get(answer.header("location")).is(200).text();
    assert!(
        page.contains("kept by Wren Askerdale") && page.contains("length 50 %"),
        "the terms are those that were kept"
    );
    keep("after the spencer", SHEET).is(303);
    let page = bench.get("/comparison").is(200).text();
    assert!(page.contains("before: after the spencer"), "what stood before stays");
    bench.get("/comparison?kept=after+the+spencer&before=1").is(200);
    bench.get("/comparison?kept=no+such").is(422);
    let elsewhere = keep("x", "https://attacker.example/").status.as_u16();
    assert_eq!(elsewhere, 422, "nothing is compared there");
}

#[test]
fn a_kept_comparison_is_removed_with_a_reason_and_stays_to_be_read() {
    let bench = Bench::by_link(&[SPENCER, AFTER]);
    let keep =
        |name: &str| bench.form("/comparison/keep", &[("back", SHEET), ("name", name), ("reason", "first fitting")]);
    let page = keep("  ").is(422).text();
    assert!(
        page.contains("value=\"first fitting\"") && page.contains("is kept by a name"),
        "what was typed stays: {page}"
    );
    keep("the pair").is(303);
    let page = unescaped(&bench.get("/comparison").is(200).text());
    let (_, rest) = page.split_once("action=\"/comparison/kept/").expect("it can be removed");
    let place = format!("/comparison/kept/{}", rest.split('"').next().unwrap_or_default());
    let before = bench.revision();
    let page = bench.form(&place, &[("reason", " ")]).is(422).text();
    assert!(page.contains("id=\"again\" open") && page.contains("Say why"), "{page}");
    assert_eq!(bench.revision(), before);
    bench.form(&place, &[("reason", "the wrong pair")]).is(303);
    let last = bench.desk.catalogue.journal(None).unwrap().pop().unwrap();
    assert_eq!((last.author.as_str(), last.reason.as_str()), (AUTHOR, "the wrong pair"));
    let page = bench.get("/comparison").is(200).text();
    assert!(page.contains("removed: the pair") && !page.contains("/remove\""), "{page}");
    bench.get("/comparison?kept=the+pair").is(422);
    assert!(bench.get("/comparison?kept=the+pair&before=1").is(200).text().contains("first fitting"));
    let page = bench.form(&place, &[("reason", "once more")]).is(422).text();
    assert!(page.contains("You wrote: “once more”"), "it is gone already: {page}");
    // The name is free again.
    keep("the pair").is(303);
    assert!(bench.get("/comparison?kept=the+pair").is(200).text().contains("first fitting"));
    bench.get("/comparison?kept=the+pair&before=1").is(200);
    bench.desk.is_sound();
}

#[test]
fn photographs_of_two_pieces_are_laid_over_each_other() {
    let mut bench = Bench::by_link(&[SPENCER, AFTER]);
    let taken = |number: &str, shade: u8| {
        let picture = image::RgbImage::from_fn(400, 300, |x, y| image::Rgb([shade, x as u8, y as u8]));
        let mut bytes = std::io::Cursor::new(Vec::new());
        picture.write_to(&mut bytes, image::ImageFormat::Png).expect("a picture");
        let request = bench.request("POST", &format!("/pieces/{number}/photographs?name=front.png&view=front"));
        let request = request.header("x-dimity-token", &bench.token);
        let answer = bench.send(request.body(bytes.into_inner().into()).expect("a request")).is(200);
        answer.json()["sha256"].as_str().expect("a hash").to_owned()
    };
    let (first, second) = (taken("2031.R1", 90), taken("2031.1", 140));
    let marks = [(10.0, 10.0), (390.0, 10.0), (390.0, 290.0), (10.0, 290.0)].map(|place| (place, place));
    bench.desk.catalogue.register(AUTHOR, &first, &second, &marks).expect("registered");
    let page = unescaped(&bench.get(SHEET).is(200).text());
    for kind in ["laid", "difference"] {
        let over = format!("/pieces/2031.R1/photographs/{first}/over/{second}/{kind}-");
        let (_, rest) = page.split_once(&over).unwrap_or_else(|| panic!("no {kind} picture in {page}"));
        let address = format!("{over}{}", rest.split('"').next().expect("an end"));
        let picture = bench.get(&address).is(200);
        assert_eq!(
            (picture.header("content-type"), &picture.body[..2]),
            ("image/jpeg", &[0xff, 0xd8][..]),
            "{address}"
        );
        bench.get(&address.replace("of=2031.1", "of=2099.9")).is(404);
        bench.get(&address.replace("of=2031.1", "")).is(404);
    }
}

#[test]
fn differences_are_read_in_the_system_that_somebody_prefers_and_the_other_stands_below() {
    let mut bench = Bench::by_link(&[SPENCER, AFTER]);
    let parts = |bench: &Bench| {
        let page = bench.get(SHEET).is(200).text().replace('\u{a0}', " ");
        let (_, cell) = page.split_once("<td data-label=\"difference\">").expect("a difference");
        let (cell, _) = cell.split_once("</td>").expect("its end");
        let (first, below) = cell.split_once(" <small>").expect("two systems");
        let title =
            page.split("<h4>Dimensions, in ").nth(2).and_then(|rest| rest.split('<').next()).unwrap_or_default();
        (first.to_owned(), below.split("</small>").next().unwrap_or_default().to_owned(), title.to_owned())
    };
    let (metric, inches, title) = parts(&bench);
    assert!(metric.ends_with(" mm") && inches.ends_with(" in"), "{metric}, {inches}");
    assert_eq!(title, "millimetres");
    let cookie = bench.cookie.clone().unwrap();
    bench.cookie = Some(format!("{cookie}; dimity-units=inches"));
    assert_eq!(parts(&bench), (inches.clone(), metric.clone(), "inches".to_owned()));
    let figure = |words: &str| -> f64 {
        let digits = words.split(' ').next().unwrap_or_default().replace('−', "-").replace('+', "");
        digits.parse().unwrap_or_else(|_| panic!("a figure: {words}"))
    };
    assert!((figure(&metric) - 25.4 * figure(&inches)).abs() < 0.15 * figure(&metric).abs(), "{metric}, {inches}");
}

#[test]
fn tables_are_taken_away_and_say_what_the_command_line_says() {
    let third = "[piece]\nnumber = \"2031.3\"\nnature = \"mock-up\"\nobject_name = \"spencer\"\n\n[examination]\n\
                 date = 2032-03-02\nexaminer = \"A\"\n\n[[textile]]\nrole = \"shell\"\nfibres = [\"silk\"]\nends = [\"40 in 1 in\"]\n";
    let bench = Bench::by_link(&[SPENCER, AFTER, third]);
    let query = "piece=2031.1&with=2031.R1,2031.3&cloth=shell";
    let page = bench.get(&format!("/comparison?{query}")).is(200).text();
    for link in ["features.csv", "features.json", "table.csv", "square.csv", "cloths.csv"] {
        assert!(page.contains(&format!("/comparison/{link}?")), "{link} is offered: {page}");
    }
    let words = bench.desk.catalogue.vocabulary();
    let subject = bench.desk.catalogue.piece("2031.1").unwrap();
    let others = ["2031.R1", "2031.3"].map(|n| bench.desk.catalogue.piece(n).unwrap());
    let basis = comparison::Basis::default();
    let (ours, theirs) = (Features::of(&subject, words), Features::all(&others, words));
    let found = comparison::compare_many(&ours, &theirs, words, &basis).unwrap();
    let (headings, rows) = comparison::rows(&found);
    let taken = |link: &str| bench.get(&format!("/comparison/{link}?{query}")).is(200).text();
    assert_eq!(taken("features.csv"), dimity::exchange::csv(&headings, &rows).unwrap());
    assert_eq!(taken("features.json"), serde_json::to_string_pretty(&found).unwrap() + "\n");
    let (headings, rows) = comparison::Matrix::of(&found).unwrap().written();
    assert_eq!(taken("table.csv"), dimity::exchange::csv(&headings, &rows).unwrap());
    let square = taken("square.csv");
    let mut square = csv::Reader::from_reader(square.as_bytes());
    let square: Vec<_> = square.records().map(|row| row.expect("it reads")).collect();
    assert_eq!(square.len(), 3, "a row a piece");
    assert!(square[0][2].contains(" of ") && &square[1][2] == "·", "{square:?}");
    let cloths = taken("cloths.csv");
    assert!(cloths.lines().count() > 2 && cloths.contains("2031.3"), "{cloths}");
    for (wrong, status) in [
        ("piece=2031.1&with=none", 404),
        ("piece=2031.1&with=2031.3&tolerances=length+x", 422),
        ("piece=2031.1&with=2031.3&cloth=lining+of+gold", 422),
    ] {
        let link = if wrong.contains("cloth") { "cloths.csv" } else { "features.csv" };
        bench.get(&format!("/comparison/{link}?{wrong}")).is(status);
        assert!(bench.get(&format!("/comparison?{wrong}")).is(200).text().contains("role=\"alert\""), "{wrong}");
    }
}
