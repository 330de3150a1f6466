//! What is said of a photograph put right in the browser, and a photograph taken off a piece that it does not show.

use dimity::record::account::{Account, Role};
use dimity::record::photograph::Photograph;
use dimity::vocabulary::TermId;

use crate::bench::{Answer, Bench};
use crate::drawing::{PASSWORD, png};
use crate::support::{PLAIN, SPENCER};

/// Script in a field, to be shown as it is.
const HOSTILE: &str = "\"></option><script>alert(1)</script>";

fn photographs(bench: &Bench, number: &str) -> Vec<Photograph> {
    bench.desk.catalogue.piece(number).expect("the piece").photographs
}

fn bench() -> (Bench, String) {
    let bench = Bench::by_link(&[SPENCER, PLAIN]);
    let sha = bench.photograph("2031.1", "name=one.png&view=front&caption=the+front", png(90));
    (bench, format!("/pieces/2031.1/photographs/{sha}"))
}

/// What a page holds in its hidden field, by which it knows what was changed in it.
fn stood(page: &str) -> String {
    let (_, rest) = page.split_once("name=\"stood\" value=\"").expect("the form says what stood");
    let text = rest.split('"').next().unwrap_or_default();
    text.replace("&quot;", "\"").replace("&#x27;", "'").replace("&#x2F;", "/").replace("&amp;", "&")
}

/// The form as a browser sends it: every field, with what stands in it unless it is given.
fn send(bench: &Bench, address: &str, stood: &str, given: &[(&str, &str)]) -> Answer {
    let stands: std::collections::BTreeMap<String, String> = serde_json::from_str(stood).expect("JSON");
    let untouched = stands.iter().filter(|(name, _)| !given.iter().any(|(given, _)| given == name));
    let mut fields: Vec<(&str, &str)> = untouched.map(|(name, value)| (name.as_str(), value.as_str())).collect();
    fields.extend([("stood", stood)]);
    fields.extend(given);
    bench.form(&format!("{address}/correct"), &fields)
}

#[test]
fn what_is_changed_in_the_form_is_changed_and_nothing_else() {
    let (bench, address) = bench();
    let row = bench.revision();
    assert!(bench.get(&address).is(200).text().contains("/correct\">Put right what is said of it"));
    let page = bench.get(&format!("{address}/correct")).is(200).text();
    assert!(page.contains(">the front</textarea>") && page.contains("<option value=\"front\" selected>"), "{page}");
    let given = [("caption", HOSTILE), ("component", "left front"), ("reason", "it shows the left front")];
    let answer = send(&bench, &address, &stood(&page), &given).is(303);
    assert_eq!(answer.header("location"), address);
    let photo = photographs(&bench, "2031.1").remove(0);
    assert_eq!(photo.caption.as_deref(), Some(HOSTILE));
    assert_eq!(photo.component.as_deref(), Some("left front"));
    assert_eq!(photo.view.as_ref().map(TermId::name), Some("front"));
    for path in [
        address.clone(),
        format!("{address}/correct"),
        "/pieces/2031.1/photographs".into(),
        "/pieces/2031.1/journal".into(),
    ] {
        let page = bench.get(&path).is(200).text();
        assert!(!page.contains("<script>alert"), "{path}: {page}");
    }
    let then = bench.desk.catalogue.piece_after("2031.1", row).expect("tells").expect("there");
    assert_eq!(then.photographs[0].caption.as_deref(), Some("the front"));
    let journal = bench.get("/pieces/2031.1/journal").is(200).text();
    assert!(journal.contains("it shows the left front") && journal.contains("the front"), "{journal}");
    bench.desk.is_sound();
}

#[test]
fn what_is_amiss_stands_beside_its_field_and_keeps_what_was_typed() {
    let (bench, address) = bench();
    let before = bench.revision();
    let page = bench.get(&format!("{address}/correct")).is(200).text();
    let stood = stood(&page);
    for (given, field, says) in [
        (&[("caption", "typed long"), ("reason", " ")][..], "reason", "Say why in a few words"),
        (
            &[("caption", ""), ("photographer", "typed long"), ("reason", "r")],
            "caption",
            "a blank caption erases nothing",
        ),
        (&[("view", HOSTILE), ("photographer", "typed long"), ("reason", "r")], "view", "is none of these"),
        (&[("component", "hood"), ("caption", "typed long"), ("reason", "r")], "component", "is none of these"),
    ] {
        let page = send(&bench, &address, &stood, given).is(422).text();
        let (_, beside) = page.split_once(&format!("class=\"amiss\" id=\"said-{field}-amiss\">")).expect("the field");
        let beside = beside.split("</span>").next().unwrap_or_default();
        assert!(beside.contains(says), "{field}: {beside}");
        assert!(page.contains("typed long"), "{field}: what was typed is kept");
        assert!(!page.contains("<script>alert"));
    }
    let same = send(&bench, &address, &stood, &[("reason", "r")]).is(422).text();
    assert!(same.contains("Nothing differs from what is recorded"), "{same}");
    assert_eq!(bench.revision(), before);

    // A blank erases where that is said.
    send(&bench, &address, &stood, &[("caption", ""), ("strike", "yes"), ("reason", "of another")]).is(303);
    assert_eq!(photographs(&bench, "2031.1")[0].caption, None);

    // Another corrected it while this page lay open: theirs is shown, and stays unless this is sent again.
    let late = send(&bench, &address, &stood, &[("caption", "mine"), ("reason", "r")]).is(422).text();
    assert!(late.contains("changed meanwhile and is not recorded now") && late.contains(">mine</textarea>"), "{late}");
    assert_eq!(photographs(&bench, "2031.1")[0].caption, None);
    let again = self::stood(&late);
    send(&bench, &address, &again, &[("caption", "mine"), ("reason", "r")]).is(303);
    assert_eq!(photographs(&bench, "2031.1")[0].caption.as_deref(), Some("mine"));
    // What was not touched in an old page takes nothing back.
    send(&bench, &address, &stood, &[("photographer", "Wren"), ("reason", "r")]).is(303);
    assert_eq!(photographs(&bench, "2031.1")[0].caption.as_deref(), Some("mine"));
    // Lines come with the ends that a browser gives them, and untouched they are no change.
    let page = self::stood(&bench.get(&format!("{address}/correct")).is(200).text());
    send(&bench, &address, &page, &[("caption", "two\r\nlines"), ("reason", "r")]).is(303);
    assert_eq!(photographs(&bench, "2031.1")[0].caption.as_deref(), Some("two\nlines"));
    let page = self::stood(&bench.get(&format!("{address}/correct")).is(200).text());
    send(&bench, &address, &page.replace('\n', "\r\n"), &[("caption", "two\r\nlines"), ("reason", "r")]).is(422);
}

#[test]
fn a_photograph_is_taken_off_and_tied_to_the_piece_that_it_shows() {
    let (bench, address) = bench();
    let (untie, correct) = (format!("{address}/untie"), format!("{address}/correct"));
    let before = bench.revision();
    let nameless = bench.form(&untie, &[("onto", "2031.2"), ("reason", "")]).is(422).text();
    assert!(nameless.contains("Say why in a few words") && nameless.contains("value=\"2031.2\""), "{nameless}");
    let unknown = bench.form(&untie, &[("onto", HOSTILE), ("reason", "shows the stays")]).is(422).text();
    assert!(unknown.contains("value=\"shows the stays\"") && !unknown.contains("<script>alert"), "{unknown}");
    let (_, beside) = unknown.split_once("id=\"untie-onto-amiss\">").expect("the field");
    assert!(!beside.starts_with("</span>"), "it is said beside the number: {unknown}");
    assert_eq!(bench.revision(), before);

    let answer = bench.form(&untie, &[("onto", ""), ("reason", HOSTILE)]).is(303);
    assert_eq!(answer.header("location"), "/pieces/2031.1/photographs#recorded");
    assert!(photographs(&bench, "2031.1").is_empty());
    bench.get(&address).is(404);
    let list = bench.get("/pieces/2031.1/photographs").is(200).text();
    assert!(list.contains("Taken off this piece") && list.contains("one.png") && list.contains(&correct), "{list}");
    let page = bench.get(&correct).is(200).text();
    assert!(page.contains("It shows no piece now") && page.contains("value=\"2031.1\""), "{page}");
    assert!(!(list + &page).contains("<script>alert"));
    bench.get(&format!("/photographs/{}/original", address.rsplit('/').next().unwrap_or_default())).is(200);
    bench.get(&correct.replace("2031.1", "2031.2")).is(404);

    let answer = bench.form(&untie, &[("onto", "2031.2"), ("reason", "the stays")]).is(303);
    assert_eq!(answer.header("location"), address.replace("2031.1", "2031.2"));
    let photo = photographs(&bench, "2031.2").remove(0);
    assert_eq!(photo.caption.as_deref(), Some("the front"));
    bench.get(answer.header("location")).is(200);
    bench.get(&correct).is(404);
    assert!(!bench.get("/pieces/2031.1/photographs").is(200).text().contains("Taken off this piece"));
    bench.desk.is_sound();
}

#[test]
fn a_region_that_tells_of_the_piece_keeps_it_there() {
    let (bench, address) = bench();
    let region = serde_json::json!({ "shape": "outline 1,1 9,1 9,9", "outlines": "left front" });
    bench.post(&format!("{address}/regions"), &region).is(200);
    let page =
        bench.form(&format!("{address}/untie"), &[("onto", "2031.2"), ("reason", "shows the stays")]).is(422).text();
    assert!(page.contains("the region A tell") && page.contains("Draw and measure"), "{page}");
    assert!(!page.contains("`dimity"), "nobody is sent to the command line: {page}");
    assert_eq!(photographs(&bench, "2031.1").len(), 1);
}

#[test]
fn only_who_keeps_the_collection_decides() {
    let mut bench = Bench::by_accounts(&[SPENCER]);
    for (name, role) in [("Tamsin Orrel", Role::Examine), ("Ada Fenn", Role::Keep)] {
        bench.desk.catalogue.add_account("test", &Account { name: name.into(), role }, PASSWORD).expect("an account");
    }
    bench.sign_in("Tamsin Orrel", PASSWORD).is(303);
    let sha = bench.photograph("2031.1", "name=one.png&view=front", png(90));
    let address = format!("/pieces/2031.1/photographs/{sha}");
    let before = bench.revision();
    assert!(!bench.get(&address).is(200).text().contains("/correct\""));
    bench.get(&format!("{address}/correct")).is(403);
    bench.form(&format!("{address}/correct"), &[("view", "back"), ("reason", "r")]).is(403);
    bench.form(&format!("{address}/untie"), &[("onto", ""), ("reason", "r")]).is(403);
    assert_eq!(bench.revision(), before);
    bench.sign_in("Ada Fenn", PASSWORD).is(303);
    // A field that is not sent is not blank.
    bench.form(&format!("{address}/correct"), &[("caption", "c"), ("strike", "yes"), ("reason", "r")]).is(303);
    assert_eq!(photographs(&bench, "2031.1")[0].view.as_ref().map(TermId::name), Some("front"));
    bench.form(&format!("{address}/untie"), &[("onto", ""), ("reason", "r")]).is(303);
}
