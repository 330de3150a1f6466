//! Long works in the browser: for whom, one at a time, stopped, and told to the end.

use std::path::Path;
use std::time::{Duration, Instant};

use dimity::record::account::Role;

use crate::bench::{Answer, Bench};
use crate::importing::{brought, long_list};
use crate::safekeeping::{files, original, signed_in, with_photograph};
use crate::support::{AUTHOR, SPENCER};

/// Waits for the end of the work that an answer leads to; the part of its page comes back.
#[track_caller]
pub fn ended(bench: &Bench, begun: Answer) -> String {
    let begun = begun.is(303);
    let address = begun.header("location").to_owned();
    assert!(address.starts_with("/safekeeping/work/"), "{address}");
    let patience = Instant::now();
    loop {
        let part = bench.get(&format!("{address}/part")).is(200).text();
        if part.contains("id=\"work-ended\"") {
            bench.get(&address).is(200);
            return part;
        }
        // Where that is not known words say what is being done; a bar that says nothing is never shown.
        let words = ["It has begun", "It stops before its next step"].iter().any(|words| part.contains(words));
        let far = part.split("<progress").nth(1).is_some_and(|bar| bar.contains("max=\"") && bar.contains("value=\""));
        assert!(words != far, "until then it shows how far it has come: {part}");
        assert!(patience.elapsed() < Duration::from_secs(120), "it should end: {part}");
        std::thread::sleep(Duration::from_millis(20));
    }
}

#[test]
fn after_a_restart_the_page_of_a_work_tells_what_the_journal_knows_of_it() {
    let bench = Bench::by_link(&[]);
    let begun = bench.form("/safekeeping/check", &[]);
    let address = begun.header("location").to_owned();
    ended(&bench, begun);
    let mut bench = bench.again();
    let page = bench.get(&address).is(404).text();
    assert!(page.contains("started again since") && page.contains("Nothing by anybody"), "{page}");
    bench.get(&format!("{address}/part")).is(404);
    bench.desk.entered(SPENCER);
    let page = bench.get(&address).is(404).text();
    assert!(page.contains(AUTHOR) && page.contains("added to measurement"), "{page}");
    // A name that no work ever had says nothing of when.
    for strange in ["x", "00000000-0000-4000-8000-000000000000"] {
        let page = bench.get(&format!("/safekeeping/work/{strange}")).is(404).text();
        assert!(page.contains("There is no such work"), "{page}");
    }
}

#[test]
fn none_of_it_is_for_who_may_only_examine() {
    let bench = signed_in(Role::Examine, None);
    let page = bench.get("/safekeeping").is(200).text();
    assert!(page.contains("by those who keep the collection") && !page.contains("class=\"pressed\""), "{page}");
    let formats = dimity::export::FORMATS;
    let export = formats.map(|format| format!("/safekeeping/export/{format}"));
    let lying = formats.map(|format| format!("/safekeeping/exports/{format}"));
    let zip = formats.map(|format| format!("/safekeeping/exports/{format}/zip"));
    let both = ["/safekeeping/check", "/safekeeping/backup", "/safekeeping/restore"].map(String::from);
    for path in both.iter().chain(&export) {
        bench.get(path).is(403);
        bench.form(path, &[("every", "on"), ("base", "https://example.org/c")]).is(403);
    }
    let alone =
        ["/safekeeping/export", "/safekeeping/export/json/schema", "/safekeeping/work/x", "/safekeeping/work/x/part"];
    for path in lying.iter().chain(&zip).map(String::as_str).chain(alone) {
        bench.get(path).is(403);
    }
    bench.form("/safekeeping/work/x/stop", &[]).is(403);
    assert!(!bench.desk.folder().join("exports").exists());
}

#[test]
fn who_has_no_name_yet_is_asked_for_it_before_anything_is_begun() {
    let bench = Bench::by_link_as(&[SPENCER], None);
    for (path, fields) in [
        ("/safekeeping/check", vec![("share", "5%")]),
        ("/safekeeping/backup", vec![("folder", "/nowhere/at/all")]),
        ("/safekeeping/export/csv", vec![("every", "on")]),
    ] {
        let page = bench.form(path, &fields).is(428).text();
        assert!(page.contains("Say first who you are") && page.contains("<h1>"), "{page}");
    }
    assert!(!bench.get("/safekeeping").text().contains("Done lately"));
}

/// In place of an original lies a pipe: whoever reads it waits until it is let go.
#[cfg(unix)]
fn waits_at(place: &Path) -> impl FnOnce() + use<> {
    std::fs::remove_file(place).expect("the original goes");
    let made = std::process::Command::new("mkfifo").arg(place).status().expect("mkfifo runs");
    assert!(made.success());
    let place = place.to_owned();
    move || {
        // Opened both ways it waits for nobody; whoever waits in it reads its end. Again and again, for whoever comes late.
        std::thread::spawn(move || {
            while let Ok(pipe) = std::fs::File::options().read(true).write(true).open(&place) {
                drop(pipe);
                std::thread::sleep(Duration::from_millis(10));
            }
        });
    }
}

#[cfg(unix)]
#[test]
fn one_long_work_at_a_time_and_a_second_is_told_which_runs_and_who_began_it() {
    let (bench, sha256) = with_photograph();
    let go_on = waits_at(&original(bench.desk.folder(), &sha256));
    let begun = bench.form("/safekeeping/check", &[]).is(303);
    let address = begun.header("location").to_owned();
    let page = bench.form("/safekeeping/export/csv", &[("every", "on"), ("for_spreadsheets", "on")]).is(409).text();
    for said in ["Check of the catalogue", "begun by", AUTHOR, &address, "name=\"every\" checked"] {
        assert!(page.contains(said) || page.contains(&said.replace('/', "&#x2F;")), "`{said}` should stand in {page}");
    }
    assert!(bench.get("/safekeeping").text().contains("is under way"), "and on the first page");
    // Nor is a long list tried or entered meanwhile; what was typed with it stays.
    let list = brought(&bench, "long.csv", long_list().as_bytes());
    for (act, typed) in [("try", None), ("enter", Some("out of the store book"))] {
        let fields = [("version", "1"), ("reason", typed.unwrap_or_default())];
        let page = bench.form(&format!("{list}/{act}"), &fields).is(409).text();
        assert!(page.contains("another one is under way") && page.contains(typed.unwrap_or_default()), "{act}: {page}");
    }
    bench.form(&format!("{address}/stop"), &[]).is(303);
    assert!(bench.get(&address).is(200).text().contains("It was told to stop."));
    go_on();
    let told = ended(&bench, begun);
    assert!(told.contains("data-how=\"stopped\""), "{told}");
    // And then the next.
    ended(&bench, bench.form("/safekeeping/export/csv", &[("every", "on")]));
    bench.get("/safekeeping/work/no-such").is(404);
}

#[cfg(unix)]
#[test]
fn an_export_that_is_stopped_leaves_the_earlier_one_and_nothing_beside_it() {
    let (bench, sha256) = with_photograph();
    let made = ended(&bench, bench.form("/safekeeping/export/json", &[]));
    assert!(made.contains("data-how=\"well\""), "{made}");
    let exports = bench.desk.folder().join("exports");
    let before = files(&exports);
    let go_on = waits_at(&original(bench.desk.folder(), &sha256));
    let begun = bench.form("/safekeeping/export/json", &[]).is(303);
    bench.form(&format!("{}/stop", begun.header("location")), &[]).is(303);
    go_on();
    let told = ended(&bench, begun);
    assert!(told.contains("data-how=\"stopped\"") && told.contains("an earlier export lies there"), "{told}");
    assert_eq!(files(&exports), before);
    let names: Vec<_> = std::fs::read_dir(&exports).expect("reads").map(|e| e.expect("an entry").file_name()).collect();
    assert_eq!(names, ["json"], "nothing lies beside it");
}
