//! Corrections in place: entered with a reason, never over what someone else wrote meanwhile, and never half.

use serde_json::{Value, json};

use crate::bench::Bench;
use crate::support::{AUTHOR, SPENCER};

fn bench() -> Bench {
    Bench::by_link(&[SPENCER])
}

fn note(bench: &Bench) -> (String, Value) {
    let file = bench.desk.catalogue.piece("2031.1").unwrap();
    let id = file.examinations[0].conditions[0].id.clone().unwrap();
    let line = bench.get(&format!("/pieces/2031.1/lines/condition/{id}")).is(200).json();
    (id, line["line"].clone())
}

fn written<'l>(line: &'l Value, name: &str) -> &'l str {
    let fields = line["fields"].as_array().expect("fields");
    fields.iter().find(|f| f["name"] == name).and_then(|f| f["text"].as_str()).unwrap_or_default()
}

fn correction(line: &Value, fields: &Value, reason: &str) -> Value {
    json!({ "section": line["section"], "id": line["id"], "version": line["version"], "fields": fields, "reason": reason })
}

#[test]
fn a_correction_is_a_new_line_and_shows_what_stood_before() {
    let bench = bench();
    let (id, line) = note(&bench);
    let before = written(&line, "extent").to_owned();
    bench.post("/pieces/2031.1/correct", &correction(&line, &json!({ "extent": "19,5 mm" }), "measured again")).is(200);
    let file = bench.desk.catalogue.piece("2031.1").unwrap();
    let now = &file.examinations[0].conditions[0];
    assert_ne!(now.id.as_deref(), Some(id.as_str()), "an observation is never changed");
    let extent = now.what.extent.as_ref().unwrap();
    assert_eq!((extent.as_written.as_str(), extent.value), ("19,5 mm", 19.5), "a decimal comma is understood");
    for (field, was) in
        [("damage", now.what.damage.as_ref().map(|d| d.name().to_owned())), ("component", now.component.clone())]
    {
        assert_eq!(was.unwrap_or_default(), written(&line, field), "`{field}` was left alone");
    }
    let page = bench.get("/pieces/2031.1").is(200).text();
    for held in ["What stood before: 1", &before, "measured again", AUTHOR] {
        assert!(page.contains(&held.replace('/', "&#x2F;")) || page.contains(held), "the page should hold `{held}`");
    }
    let last = bench.desk.catalogue.journal(None).unwrap().pop().unwrap();
    assert_eq!((last.author.as_str(), last.reason.as_str()), (AUTHOR, "measured again"));
    bench.desk.is_sound();
}

#[test]
fn the_second_of_two_sees_both_versions_and_loses_nothing() {
    let bench = bench();
    let (_, line) = note(&bench);
    bench.post("/pieces/2031.1/correct", &correction(&line, &json!({ "extent": "17 mm" }), "first")).is(200);
    let before = bench.revision();
    let answer =
        bench.post("/pieces/2031.1/correct", &correction(&line, &json!({ "extent": "19 mm" }), "second")).is(409);
    let answer = answer.json();
    assert_eq!(bench.revision(), before, "nothing was written");
    assert_eq!(written(&answer["now"], "extent"), "17 mm", "the version of the other");
    assert_eq!((&answer["by"]["by"], &answer["by"]["why"]), (&json!(AUTHOR), &json!("first")));
    // What was chosen is entered on top of the version that was shown.
    bench.post("/pieces/2031.1/correct", &correction(&answer["now"], &json!({ "extent": "19 mm" }), "second")).is(200);
    let page = bench.get("/pieces/2031.1").text();
    assert!(page.contains("What stood before: 2"), "both stay readable");

    let fact = bench.get("/pieces/2031.1/lines/piece").json()["line"].clone();
    bench.post("/pieces/2031.1/correct", &correction(&fact, &json!({ "title": "One" }), "first")).is(200);
    let answer =
        bench.post("/pieces/2031.1/correct", &correction(&fact, &json!({ "maker": "Two" }), "second")).is(409).json();
    assert_eq!(written(&answer["now"], "title"), "One");
    assert_eq!(bench.desk.catalogue.piece("2031.1").unwrap().piece.maker, None);
}

#[test]
fn a_line_that_was_withdrawn_meanwhile_is_told_of() {
    let bench = bench();
    let (_, line) = note(&bench);
    let mut withdrawal = correction(&line, &json!({}), "another piece was meant");
    withdrawal["withdraw"] = json!(true);
    bench.post("/pieces/2031.1/correct", &withdrawal).is(200);
    let answer =
        bench.post("/pieces/2031.1/correct", &correction(&line, &json!({ "extent": "19 mm" }), "late")).is(409).json();
    assert_eq!(answer["now"], Value::Null);
    assert_eq!(answer["by"]["why"], "another piece was meant");
    let page = bench.get("/pieces/2031.1").text();
    assert!(page.contains("Withdrawn: 1") && page.contains("another piece was meant"), "it stays readable");
}

#[test]
fn a_mistake_is_said_beside_its_field_and_nothing_is_entered() {
    let bench = bench();
    let (_, line) = note(&bench);
    let before = bench.revision();
    let cases = [
        (json!({ "extent": "banana" }), "misread", "extent"),
        (json!({ "damage": "teer" }), "misread", "damage"),
        (json!({ "component": "no such part" }), "misread", "component"),
        (json!({ "severity": "awful" }), "misread", "severity"),
        (json!({ "extent": "19 mm" }), "  ", "reason"),
        (json!({ "id": "x" }), "misread", "id"),
        (json!({ "withdrawn": "x" }), "misread", "withdrawn"),
        (json!({ "extent": "1 mm\"\n[[hazard]]\nhazard = \"lead" }), "misread", "extent"),
    ];
    for (fields, reason, field) in cases {
        let answer = bench.post("/pieces/2031.1/correct", &correction(&line, &fields, reason)).is(422).json();
        let found: Vec<&str> =
            answer["mistakes"].as_array().unwrap().iter().filter_map(|m| m["field"].as_str()).collect();
        assert_eq!(found, [field], "{fields}: {answer}");
        assert!(!answer["wrong"].as_str().unwrap_or_default().is_empty());
    }
    assert_eq!(bench.revision(), before);
}

#[test]
fn a_reading_of_several_keeps_them_all() {
    let bench = bench();
    let file = bench.desk.catalogue.piece("2031.1").unwrap();
    let id = file.examinations[0].measurements[0].id.clone().unwrap();
    let line = bench.get(&format!("/pieces/2031.1/lines/measurement/{id}")).is(200).json()["line"].clone();
    bench
        .post(
            "/pieces/2031.1/correct",
            &correction(&line, &json!({ "readings": "41.5 cm\n41.7 cm\n\n16 1/2 in" }), "all three"),
        )
        .is(200);
    let file = bench.desk.catalogue.piece("2031.1").unwrap();
    let now = file.examinations[0].measurements.iter().find(|m| m.what.readings.len() == 3).expect("three readings");
    let read: Vec<&str> = now.what.readings.iter().map(|q| q.as_written.as_str()).collect();
    assert_eq!(read, ["41.5 cm", "41.7 cm", "16 1/2 in"]);
}

#[test]
fn a_fact_that_was_never_so_is_struck_out_with_a_reason_and_stays_readable() {
    let bench = bench();
    let fact = || bench.get("/pieces/2031.1/lines/piece").is(200).json()["line"].clone();
    let path = "/pieces/2031.1/correct";
    bench.post(path, &correction(&fact(), &json!({ "maker": "Madame Rill", "title": "One" }), "on the label")).is(200);
    bench.post(path, &correction(&fact(), &json!({ "maker": "" }), "the label is of another piece")).is(200);
    let piece = bench.desk.catalogue.piece("2031.1").unwrap().piece;
    assert_eq!((piece.maker, piece.title.as_deref()), (None, Some("One")), "the rest is left alone");
    let page = bench.get("/pieces/2031.1").is(200).text();
    for held in ["<del>Madame Rill</del>", "the label is of another piece"] {
        assert!(page.contains(held), "the page should hold `{held}`");
    }
    let before = bench.revision();
    let answer = bench.post(path, &correction(&fact(), &json!({ "object_name": " " }), "no")).is(422).json();
    assert_eq!(answer["mistakes"][0]["field"], "object_name", "what is needed is not blanked: {answer}");
    assert_eq!(bench.revision(), before);
    bench.desk.is_sound();
}

#[test]
fn the_circumstances_of_an_examination_are_blanked_and_a_line_of_facts_goes() {
    let mut bench = bench();
    let text =
        "[piece]\nnumber = \"2031.1\"\n[[departure]]\nfeature = \"lining\"\nreason = \"fit\"\nnote = \"too tight\"\n";
    bench.desk.entered(text);
    let file = bench.desk.catalogue.piece("2031.1").unwrap();
    let exam = file.examinations[0].about.id.clone().unwrap();
    let path = "/pieces/2031.1/correct";
    let line = |section: &str, id: &str| {
        bench.get(&format!("/pieces/2031.1/lines/{section}/{id}")).is(200).json()["line"].clone()
    };
    let light = json!({ "note": "by the window" });
    bench.post(path, &correction(&line("examination", &exam), &light, "said later")).is(200);
    bench.post(path, &correction(&line("examination", &exam), &json!({ "note": "" }), "another day")).is(200);
    assert_eq!(bench.desk.catalogue.piece("2031.1").unwrap().examinations[0].about.note, None);

    let departure = |at: usize| bench.desk.catalogue.piece("2031.1").unwrap().departures.get(at).cloned();
    let id = departure(0).and_then(|d| d.id).expect("a departure");
    let mut gone = correction(&line("departure", &id), &json!({}), "of another piece");
    gone["withdraw"] = json!(true);
    bench.post(path, &gone).is(200);
    assert_eq!(departure(0), None);
    bench.post(path, &gone).is(409);
    let page = bench.get("/pieces/2031.1").is(200).text();
    assert!(page.contains("<del>too tight</del>") && page.contains("of another piece"), "it stays readable");
    // A component that notes name stays, and is told by what it is named; one that nothing names goes.
    let component = |at: usize| bench.desk.catalogue.piece("2031.1").unwrap().components.get(at).cloned();
    for (at, status, says) in [(0, 422, "condition (1)"), (1, 200, "")] {
        let id = component(at).and_then(|c| c.id).expect("a component");
        let mut gone = correction(&line("component", &id), &json!({}), "never there");
        gone["withdraw"] = json!(true);
        let answer = bench.post(path, &gone).is(status).text();
        assert!(answer.contains(says), "{answer}");
    }
    assert_eq!(component(1), None);
    let page = bench.get("/pieces/2031.1").is(200).text();
    assert!(page.contains("<del>watch pocket</del>") && page.contains("never there"), "it stays readable");
    bench.desk.is_sound();
}

#[test]
fn what_stood_before_is_put_back_and_a_withdrawn_line_comes_in_anew() {
    let bench = bench();
    let (first, line) = note(&bench);
    let was = written(&line, "extent").to_owned();
    bench.post("/pieces/2031.1/correct", &correction(&line, &json!({ "extent": "99 mm" }), "misread")).is(200);
    let back = |id: &str, reason: &str| {
        bench.form(&format!("/pieces/2031.1/lines/condition/{id}/put-back"), &[("reason", reason)])
    };
    let before = bench.revision();
    back(&first, " ").is(422);
    back("no-such-line", "why").is(422);
    assert_eq!(bench.revision(), before);
    back(&first, "it was right").is(303);
    let (second, now) = note(&bench);
    assert_eq!(written(&now, "extent"), was);
    assert_ne!(second, first, "an observation is never changed, so it is a new one");
    let mut withdrawal = correction(&now, &json!({}), "another piece was meant");
    withdrawal["withdraw"] = json!(true);
    bench.post("/pieces/2031.1/correct", &withdrawal).is(200);
    let notes = || bench.desk.catalogue.piece("2031.1").unwrap().examinations[0].conditions.len();
    let left = notes();
    assert!(bench.get("/pieces/2031.1").text().contains(&format!("condition/{second}/put-back")));
    back(&second, "this piece after all").is(303);
    assert_eq!(notes(), left + 1);
    bench.desk.is_sound();
}

#[test]
fn a_small_form_that_cannot_be_done_stands_again_with_what_was_typed() {
    let mut bench = bench();
    let (id, line) = note(&bench);
    bench.post("/pieces/2031.1/correct", &correction(&line, &json!({ "extent": "17 mm" }), "first")).is(200);
    let before = bench.revision();
    let back = format!("/pieces/2031.1/lines/condition/{id}/put-back");
    for place in [back.as_str(), "/pieces/2031.1/withdraw"] {
        let page = bench.form(place, &[("reason", " ")]).is(422).text();
        let (_, form) = page.split_once("id=\"again\" open").unwrap_or_else(|| panic!("{place} stands open: {page}"));
        let form = form.split("</details>").next().unwrap_or_default().replace("&#x2F;", "/");
        assert!(form.contains(&format!("action=\"{place}\"")) && form.contains("Say why"), "{form}");
        assert!(page.contains("id=\"facts\""), "the page itself is there");
    }
    let page = bench.form("/pieces/2031.1/reinstate", &[("reason", "found <again>")]).is(422).text();
    assert!(page.contains("You wrote: “found &lt;again&gt;”"), "its form is not there, so the reason is said: {page}");
    assert_eq!(bench.revision(), before);
    // Nobody has said who they are: the reason waits in its field.
    let nameless = Bench::by_link_as(&[SPENCER], None);
    let page = nameless.form("/pieces/2031.1/withdraw", &[("reason", "sold by mistake")]).is(422).text();
    assert!(page.contains("Say first who you are") && page.contains("value=\"sold by mistake\""), "{page}");
    bench.desk.catalogue.withdraw(AUTHOR, "2031.1", "mislaid").expect("withdrawn");
    let page = bench.form("/pieces/2031.1/reinstate", &[("reason", "")]).is(422).text();
    assert!(page.contains("id=\"again\" open"), "{page}");
}

#[test]
fn a_fact_that_was_changed_in_place_is_put_back_by_the_same_door() {
    let bench = bench();
    let was = bench.desk.catalogue.piece("2031.1").unwrap().piece.title.clone();
    let fact = bench.get("/pieces/2031.1/lines/piece").json()["line"].clone();
    bench.post("/pieces/2031.1/correct", &correction(&fact, &json!({ "title": "Another" }), "misread")).is(200);
    let place = |bench: &Bench| {
        let page = bench.get("/pieces/2031.1").is(200).text().replace("&#x2F;", "/");
        let (_, rest) = page.split_once("action=\"/pieces/2031.1/changes/").expect("it can be put back");
        format!("/pieces/2031.1/changes/{}", rest.split('"').next().unwrap_or_default())
    };
    let seen = place(&bench);
    let page = bench.form(&seen, &[("reason", "")]).is(422).text();
    assert!(page.contains("id=\"again\" open"), "{page}");
    // Somebody changes the same line after the page was made: nothing is overwritten unseen.
    let fact = bench.get("/pieces/2031.1/lines/piece").json()["line"].clone();
    bench.post("/pieces/2031.1/correct", &correction(&fact, &json!({ "title": "A third" }), "again")).is(200);
    let page = bench.form(&seen, &[("reason", "the label <is> right")]).is(409).text();
    assert!(page.contains("the label &lt;is&gt; right") && page.contains("A third"), "{page}");
    bench.form(&place(&bench), &[("reason", "the label is right")]).is(303);
    assert_eq!(bench.desk.catalogue.piece("2031.1").unwrap().piece.title, was);
    let last = bench.desk.catalogue.journal(None).unwrap().pop().unwrap();
    assert_eq!((last.author.as_str(), last.reason.as_str()), (AUTHOR, "the label is right"));
    bench.form("/pieces/2031.1/changes/999999/00/put-back", &[("reason", "none")]).is(422);
    bench.desk.is_sound();
}

#[test]
fn a_line_that_was_struck_out_is_put_back_and_an_entry_is_taken_back_on_the_journal() {
    let mut bench = bench();
    let text = "reason = \"seen\"\n[piece]\nnumber = \"2031.1\"\nmaker = \"R. Hollin\"\n[[departure]]\nfeature = \"lining\"\n\
                reason = \"fit\"\nnote = \"too tight\"\n";
    bench.desk.entered(text);
    let before = bench.desk.catalogue.piece("2031.1").unwrap();
    let id = before.departures[0].id.clone().unwrap();
    let line = bench.get(&format!("/pieces/2031.1/lines/departure/{id}")).is(200).json()["line"].clone();
    let mut gone = correction(&line, &json!({}), "of another piece");
    gone["withdraw"] = json!(true);
    bench.post("/pieces/2031.1/correct", &gone).is(200);
    let place = |page: &str, before: &str| {
        let page = bench.get(page).is(200).text().replace("&#x2F;", "/");
        let (_, rest) = page.split_once(&format!("action=\"{before}")).unwrap_or_else(|| panic!("{before} in {page}"));
        format!("{before}{}", rest.split('"').next().unwrap_or_default())
    };
    let changes = bench.get("/pieces/2031.1").text().replace("&#x2F;", "/");
    assert!(changes.contains("/gone/put-back\""), "a line that does not stand has no version: {changes}");
    let (_, rest) = changes.split_once("too tight").expect("what was struck out is told");
    let (_, rest) = rest.split_once("action=\"").expect("with a button");
    bench.form(rest.split('"').next().unwrap_or_default(), &[("reason", "of this one")]).is(303);
    assert_eq!(bench.desk.catalogue.piece("2031.1").unwrap(), before, "the line, under its own identifier");

    // A seal is never taken back, and not offered.
    bench.form("/pieces/2031.1/seal", &[("set", "summary")]).is(303);
    let page = bench.get("/pieces/2031.1/journal").is(200).text();
    let sealed = page.split("act-when").nth(1).unwrap_or_default();
    assert!(sealed.contains("added to seal") && !sealed.contains("take-back"), "{sealed}");
    // The newest entry stands first: it is the putting back.
    let entry = place("/pieces/2031.1/journal", "/pieces/2031.1/journal/");
    let page = bench.form(&entry, &[("reason", " ")]).is(422).text();
    assert!(page.contains("id=\"again\" open") && page.contains("Say why"), "{page}");
    bench.form(&entry, &[("reason", "not of this one")]).is(303);
    assert!(bench.desk.catalogue.piece("2031.1").unwrap().departures.is_empty(), "and that is taken back too");
    // What was changed since stays, and is said on the page.
    let row =
        bench.desk.entered("reason = \"label\"\n[piece]\nnumber = \"2031.1\"\nmaker = \"A\"\nplace = \"B\"\n").row;
    bench.desk.entered("reason = \"label, again\"\n[piece]\nnumber = \"2031.1\"\nmaker = \"C\"\n");
    let entry = format!("/pieces/2031.1/journal/{}/take-back", row.expect("an entry"));
    let page = bench.form(&entry, &[("reason", "of another")]).is(200).text();
    assert!(page.contains("1 line taken back") && page.contains("stays: maker: it was changed since"), "{page}");
    let page = bench.form("/pieces/2031.1/journal/999999/take-back", &[("reason", "none <such>")]).is(422).text();
    assert!(page.contains("no entry") && page.contains("none &lt;such&gt;"), "{page}");
    bench.desk.is_sound();
}
