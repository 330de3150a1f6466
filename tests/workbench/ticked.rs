//! Photographs that are ticked: their rights stated, their clock put right; what is drawn on them handed on; which views are
//! missing; what a file says that nobody adds.

use dimity::record::account::{Account, Role};
use dimity::record::photograph::Photograph;
use serde_json::Value;

use crate::bench::Bench;
use crate::drawing::{PASSWORD, left_over, png};
use crate::support::pictures::{plain, timed, with_position};
use crate::support::{AUTHOR, PLAIN, SPENCER};

const PATH: &str = "/pieces/2031.1/photographs";
/// Script in a name, to be shown as it is.
const HOSTILE: &str = "</option><script>alert(1)</script>";

fn photographs(bench: &Bench) -> Vec<Photograph> {
    bench.desk.catalogue.piece("2031.1").expect("the piece").photographs
}

/// A workbench with two photographs of the spencer, the first with a time.
fn with_two() -> (Bench, [String; 2]) {
    let bench = Bench::by_link(&[SPENCER, PLAIN]);
    let one = bench.photograph("2031.1", "name=one.jpg", timed(&plain(5), "2018:11:14 11:20:05"));
    let two = bench.photograph("2031.1", "name=two.png", png(6));
    (bench, [one, two])
}

#[test]
fn rights_are_stated_of_those_ticked_and_of_all() {
    let (bench, [one, two]) = with_two();
    let to = format!("{PATH}/rights");
    let page = bench.get(PATH).is(200).text();
    assert_eq!(page.matches("rights not recorded").count(), 2, "{page}");
    bench.form(&to, &[("photo", &one), ("statement", "CC-BY-4.0"), ("holder", HOSTILE)]).is(303);
    let rights = |n: usize| photographs(&bench)[n].rights.clone();
    assert_eq!(rights(0).holder.as_deref(), Some(HOSTILE));
    assert!(rights(0).statement.is_some() && rights(1).is_blank());
    // The command line says the same of it.
    let said = bench.command(&["photo", "rights", &one]);
    assert_eq!(said["holder"], HOSTILE);
    assert_eq!(bench.desk.catalogue.journal(None).unwrap().pop().unwrap().author, AUTHOR);
    let page = bench.get(PATH).text();
    assert!(!page.contains("<script>alert") && page.contains("&lt;script&gt;alert"), "a name is escaped");
    // What is left empty stays, unless it is to be blanked.
    bench.form(&to, &[("all", "yes"), ("credit", "Photograph: the study room")]).is(303);
    assert_eq!(rights(0).holder.as_deref(), Some(HOSTILE));
    assert_eq!(rights(1).credit_line.as_deref(), Some("Photograph: the study room"));
    bench.form(&to, &[("photo", &two), ("replace", "yes"), ("note", "asked in 2031")]).is(303);
    assert_eq!((rights(1).credit_line, rights(1).words.as_deref()), (None, Some("asked in 2031")));
    // One photograph's own link has it ticked, with its rights as they stand.
    let page = bench.get(&format!("{PATH}?photo={one}")).is(200).text();
    assert!(page.contains(&format!("value=\"{one}\" checked")) && !page.contains(&format!("value=\"{two}\" checked")));
    assert!(page.contains("Photograph: the study room\" maxlength"), "{page}");
    bench.desk.is_sound();
}

#[test]
fn what_is_amiss_with_rights_or_clock_is_told_and_kept_and_changes_nothing() {
    let (bench, [one, two]) = with_two();
    let before = bench.revision();
    let cases: [(&str, &[(&str, &str)], &str); 8] = [
        ("rights", &[("holder", "Ida Farrow")], "Tick the photographs"),
        ("rights", &[("holder", "Ida Farrow"), ("photo", "0000")], "Tick the photographs"),
        ("rights", &[("photo", &one)], "Say what is to be recorded"),
        ("rights", &[("photo", &one), ("statement", "all mine"), ("credit", "Ida Farrow")], "all mine"),
        ("clock", &[("photo", &one), ("shift", "3 minutes"), ("reason", "Ida Farrow")], "sign is missing"),
        ("clock", &[("photo", &one), ("shift", "+00:03:20")], "Say how you know"),
        ("clock", &[("photo", &two), ("shift", "+00:03:20"), ("reason", "Ida Farrow")], "has no time"),
        (
            "clock",
            &[("photo", &one), ("shift", "+00:03:20"), ("reason", "Ida Farrow"), ("offset", "1")],
            "no offset from UTC",
        ),
    ];
    for (what, fields, says) in cases {
        let page = bench.form(&format!("{PATH}/{what}"), fields).is(422).text();
        assert!(page.contains(says), "{fields:?}: no `{says}` in {page}");
        for (name, typed) in fields {
            let kept = if *name == "photo" && typed.len() == 64 {
                format!("value=\"{typed}\" checked")
            } else if *name == "photo" || *name == "statement" {
                continue;
            } else {
                format!("value=\"{typed}\"")
            };
            assert!(page.contains(&kept), "{fields:?}: `{kept}` is not kept");
        }
    }
    assert_eq!(bench.revision(), before, "nothing was entered");
}

#[test]
fn the_times_of_those_ticked_are_put_right_and_the_file_is_left_alone() {
    let (bench, [one, _]) = with_two();
    assert!(bench.get(PATH).text().contains("2018-11-14 11:20:05"));
    let fields = [
        ("photo", one.as_str()),
        ("shift", "+00:03:20"),
        ("offset", "+01:00"),
        ("reason", "church clock in the frame"),
    ];
    bench.form(&format!("{PATH}/clock"), &fields).is(303);
    let capture = photographs(&bench)[0].capture.clone();
    assert_eq!((capture.taken.as_deref(), capture.offset.as_deref()), (Some("2018-11-14T11:23:25"), Some("+01:00")));
    assert!(bench.get(PATH).text().contains("2018-11-14 11:23:25 +01:00"));
    let row = bench.desk.catalogue.journal(None).unwrap().pop().unwrap();
    assert_eq!((row.author.as_str(), row.reason.as_str()), (AUTHOR, "church clock in the frame"));
    let original = bench.get(&format!("/photographs/{one}/original")).is(200);
    assert_eq!(original.body, timed(&plain(5), "2018:11:14 11:20:05"));
    bench.desk.is_sound();
}

#[test]
fn rights_are_for_who_keeps_and_the_clock_for_who_examines() {
    let mut bench = Bench::by_accounts(&[SPENCER]);
    let roles = [("Odile Marsh", Role::Keep), ("Tamsin Orrel", Role::Examine), ("Ada Fenn", Role::Read)];
    for (name, role) in roles {
        bench.desk.catalogue.add_account("test", &Account { name: name.into(), role }, PASSWORD).expect("an account");
    }
    bench.sign_in("Odile Marsh", PASSWORD).is(303);
    let one = bench.photograph("2031.1", "name=one.jpg", timed(&plain(5), "2018:11:14 11:20:05"));
    let fields = [("photo", one.as_str()), ("holder", "Ida Farrow"), ("shift", "+00:00:01"), ("reason", "seen")];
    for ((name, _), rights, clock) in [(roles[2], 403, 403), (roles[1], 403, 303), (roles[0], 303, 303)] {
        bench.sign_in(name, PASSWORD).is(303);
        let page = bench.get(PATH).is(200).text();
        assert_eq!(page.contains("Record these rights"), rights == 303, "{name}: what would be refused is not offered");
        assert_eq!(page.contains("Put the times right"), clock == 303, "{name}");
        for (what, status) in [("rights", rights), ("clock", clock)] {
            let before = bench.revision();
            bench.form(&format!("{PATH}/{what}"), &fields).is(status);
            assert_eq!(bench.revision() > before, status == 303, "{name}: {what}");
        }
    }
}

#[test]
fn what_is_drawn_is_saved_as_the_command_line_prints_it() {
    let (bench, [one, _]) = with_two();
    assert!(!bench.get(PATH).text().contains("/annotations"), "nothing is drawn yet");
    let region = serde_json::json!({ "shape": "outline 1,1 9,1 9,9", "note": HOSTILE });
    bench.post(&format!("{PATH}/{one}/regions"), &region).is(200);
    assert!(bench.get(PATH).text().contains("/annotations"));
    let saved = bench.get(&format!("{PATH}/annotations")).is(200);
    assert!(saved.header("content-type").starts_with("application/ld+json"));
    assert_eq!(saved.header("content-disposition"), "attachment; filename=\"annotations-2031.1.json\"");
    assert_eq!(saved.json(), bench.command(&["photo", "annotations", "2031.1"]));
    bench.get("/pieces/9/photographs/annotations").is(404);
}

#[test]
fn missing_views_are_those_of_the_command_line_for_one_piece_and_for_all() {
    let bench = Bench::by_link(&[SPENCER, PLAIN]);
    bench.photograph("2031.1", "name=front.png&view=front", png(6));
    let page = bench.get("/photographs/missing?piece=2031.1").is(200).text();
    let said = bench.command(&["photo", "coverage", "2031.1"]);
    let views = said["views"].as_array().expect("a list");
    assert!(!views.is_empty());
    for view in views.iter().filter(|v| v["state"] != "present") {
        assert!(page.contains(view["view"].as_str().unwrap()), "{view} is not told: {page}");
    }
    assert!(page.contains("400 × 300 pixels") && page.contains("too coarse"), "{page}");
    assert!(!page.contains("2031.2"), "one piece was asked for");
    let page = bench.get("/photographs/missing").is(200).text();
    assert!(page.contains("2031.1") && page.contains("2031.2"));
    bench.get("/photographs/missing?page=99").is(200);
    bench.get("/photographs/missing?page=-1").is(200);
    bench.get(&format!("/photographs/missing?piece={}", "%3Cscript%3Ealert(1)")).is(404);
    for from in ["/", "/pieces/2031.1", PATH] {
        assert!(bench.get(from).text().contains("/photographs/missing"), "{from} leads there");
    }
}

#[test]
fn a_file_is_looked_at_and_nothing_of_it_is_kept() {
    let bench = Bench::by_link(&[SPENCER]);
    let before = bench.revision();
    let path = "/photographs/file";
    assert!(bench.get(path).is(200).text().contains("type=\"file\""));
    let page =
        bench.parts(path, &[("file", Some("IMG_1.jpg"), &timed(&plain(5), "2018:11:14 11:20:05"))]).is(200).text();
    for held in ["IMG_1.jpg", "2018-11-14T11:20:05", "local time of an unknown zone", "DateTimeOriginal"] {
        assert!(page.contains(held), "`{held}` should stand in {page}");
    }
    let placed = bench.parts(path, &[("file", Some("a.jpg"), &with_position(&plain(7)))]).is(200).text();
    assert!(!placed.contains("GPSLatitude") && !placed.contains("12.5"), "a position is held back: {placed}");
    let hostile = bench.parts(path, &[("file", Some("<script>alert(1).jpg"), b"no photograph")]).is(200).text();
    assert!(!hostile.contains("<script>alert"), "{hostile}");
    let nothing: [&[(&str, Option<&str>, &[u8])]; 3] =
        [&[], &[("file", Some(""), b"")], &[("file", Some("empty.jpg"), b"")]];
    for parts in nothing {
        assert!(bench.parts(path, parts).is(422).text().contains("Choose a file"));
    }
    assert_eq!((bench.revision(), left_over(&bench).len()), (before, 0), "nothing is kept");
    let stored = std::fs::read_dir(bench.desk.folder().join("photographs")).map_or(0, Iterator::count);
    assert_eq!(stored, 0, "nothing is in the store");
    let _: Value = bench.command(&["show", "2031.1"]);
}

#[test]
fn rights_that_somebody_else_recorded_meanwhile_are_not_written_over_unseen() {
    let (bench, [one, _]) = with_two();
    let to = format!("{PATH}/rights");
    let stood = |page: &str| {
        let (_, rest) = page.split_once("name=\"stood\" value=\"").expect("what stood");
        rest.split('"').next().unwrap_or_default().to_owned()
    };
    let seen = stood(&bench.get(PATH).is(200).text());
    bench.form(&to, &[("photo", &one), ("holder", "Ida Farrow"), ("stood", &seen)]).is(303);
    let before = bench.revision();
    let late = [("photo", one.as_str()), ("holder", "Bor Lund"), ("replace", "yes")];
    let page = bench.form(&to, &[&late[..], &[("stood", &seen)]].concat()).is(409).text();
    assert!(page.contains("Ida Farrow") && page.contains("value=\"Bor Lund\""), "both are shown: {page}");
    assert_eq!(bench.revision(), before);
    bench.form(&to, &[&late[..], &[("stood", &stood(&page))]].concat()).is(303);
    assert_eq!(photographs(&bench)[0].rights.holder.as_deref(), Some("Bor Lund"));
}
