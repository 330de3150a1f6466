//! Whatever the command line can do has its place in the browser. The commands are asked of the program's own help, so that one
//! that is added without a page is noticed here; each page is asked, and must hold what does it.

use crate::bench::Bench;
use crate::support::pictures::{as_png, woven};
use crate::support::{AFTER, AGAIN, SPENCER};

/// Each command, where it is done, and what stands there. `SHA` is a photograph of 2031.1.
const PLACES: &[(&str, &str, &str)] = &[
    ("sheet", "/sheets?number=2031.1", "/sheets/form"),
    ("enter", "/sheets", "action=\"/sheets/read\""),
    ("list", "/", "id=\"shelf\""),
    ("find", "/?words=fibre:silk", "name=\"words\""),
    ("searches", "/searches", "action=\"/searches\""),
    ("among", "/comparison/among", "name=\"any_component\""),
    ("show", "/pieces/2031.1", "id=\"entry\""),
    ("show", "/pieces/2031.1/as-of", "name=\"day\""),
    ("due", "/due", "name=\"until\""),
    ("intervals", "/due", "action=\"/due/intervals\""),
    ("photo add", "/pieces/2031.1/photographs", "/photographs/form"),
    ("photo count", "/pieces/2031.1/photographs/SHA/threads", "name=\"square\""),
    ("photo read", "/photographs/file", "type=\"file\""),
    ("photo clock", "/pieces/2031.1/photographs", "name=\"shift\""),
    ("photo region", "/pieces/2031.1/photographs/SHA/draw", "draw.js"),
    ("photo correct", "/pieces/2031.1/photographs/SHA/correct", "name=\"caption\""),
    ("photo untie", "/pieces/2031.1/photographs/SHA/correct", "name=\"onto\""),
    ("photo rights", "/pieces/2031.1/photographs", "name=\"holder\""),
    ("photo target", "/pieces/2031.1/photographs/SHA/target", "name=\"corners\""),
    ("photo colour", "/pieces/2031.1/photographs/SHA/colour", "data-kind"),
    ("photo coverage", "/photographs/missing", "2031.1"),
    ("photo scale", "/pieces/2031.1/photographs/SHA/draw", "draw.js"),
    ("photo sampling", "/pieces/2031.1/photographs/SHA", "What it can show"),
    ("photo register", "/comparison?piece=2031.R1&with=2031.1", "name=\"with\""),
    ("photo annotations", "/pieces/2031.1/photographs", "/photographs/annotations"),
    ("pattern sizes", "/pieces/2031.1/photographs/SHA/pattern?ratio=1:1", "name=\"ratio\""),
    ("pattern outline", "/pieces/2031.1/photographs/SHA", "/pattern"),
    ("pattern sheets", "/pieces/2031.1/photographs/SHA", "/pattern"),
    ("report catalogue", "/pieces/2031.1/reports/entry", "<iframe"),
    ("report condition", "/pieces/2031.1/reports", "name=\"since\""),
    ("report comparison", "/pieces/2031.R1/reports/comparison?with=2031.1", "<iframe"),
    ("report departures", "/departures", "/departures/sheet"),
    ("report treatment", "/pieces/2031.1/reports/treatment?part=proposal", "<iframe"),
    ("report survey", "/due", "/due/sheet"),
    ("report among", "/comparison/among?set=nature:extant", "<iframe"),
    ("report effort", "/pieces/2031.R1/reports/effort", "<iframe"),
    ("report index", "/", "/collection/sheet"),
    ("seals", "/seals", "action=\"/seals/compare\""),
    ("collection", "/conventions", "action=\"/conventions/collection\""),
    ("compare", "/comparison?piece=2031.R1&with=2031.1", "/comparison/features.csv"),
    ("departures", "/departures", "/departures/table.csv"),
    ("changes", "/pieces/2031.1/reports/condition?since=2031-03-02", "<iframe"),
    ("effort", "/pieces/2031.R1/reports/effort", "name=\"maker\""),
    ("convert length", "/reckon", "name=\"length\""),
    ("convert sum", "/reckon", "name=\"sum\""),
    ("convert colour", "/reckon", "name=\"colour\""),
    ("convert light", "/reckon", "name=\"light\""),
    ("convert sun", "/reckon", "name=\"sun\""),
    ("convert yarn", "/reckon", "name=\"yarn\""),
    ("convert twist", "/reckon", "name=\"twist\""),
    ("convert sett", "/reckon", "name=\"sett\""),
    ("convert cover", "/reckon", "name=\"cover\""),
    ("convert mass", "/reckon", "name=\"mass\""),
    ("convert stitches", "/reckon", "name=\"stitches\""),
    ("convert fibre", "/reckon", "name=\"fibre\""),
    ("convert date", "/reckon", "name=\"date\""),
    ("terms", "/words/grade/own", "action=\"/words/grade/own/wording\""),
    ("conventions", "/conventions", "action=\"/conventions/dates\""),
    ("journal", "/journal", "class=\"acts\""),
    ("journal", "/pieces/2031.1/journal", "class=\"acts\""),
    ("take-back", "/pieces/2031.1/journal", "/take-back\""),
    ("check", "/safekeeping/check", "<form"),
    ("import csv", "/import", "type=\"file\""),
    ("import xlsx", "/import", ".xlsx"),
    ("import ods", "/import", ".ods"),
    ("import json", "/import/catalogue", "read back only into a catalogue"),
    ("export json", "/safekeeping/export/json", "<form"),
    ("export csv", "/safekeeping/export/csv", "<form"),
    ("export parquet", "/safekeeping/export/parquet", "<form"),
    ("export bag", "/safekeeping/export/bag", "<form"),
    ("export lido", "/safekeeping/export/lido", "<form"),
    ("export linked-art", "/safekeeping/export/linked-art", "<form"),
    ("export dublin-core", "/safekeeping/export/dublin-core", "<form"),
    ("export iiif", "/safekeeping/export/iiif", "<form"),
    ("export site", "/safekeeping/export/site", "<form"),
    ("backup", "/safekeeping/backup", "<form"),
    ("restore", "/safekeeping/restore", "<form"),
    ("withdraw", "/pieces/2031.1", "action=\"/pieces/2031.1/withdraw\""),
    ("reinstate", "/withdrawn", "on its own page"),
    ("purge", "/pieces/2031.1/purge", "name=\"number\""),
    ("accounts", "/accounts", "action=\"/accounts\""),
];

/// What comes before there is a page: making a catalogue and opening it.
const BEFORE: [&str; 3] = ["demo", "new", "serve"];

/// All commands below this one, by their words.
fn commands(of: &[&str]) -> Vec<String> {
    let mut help = std::process::Command::new(env!("CARGO_BIN_EXE_dimity"));
    let help = help.env("COLUMNS", "100").args(of).arg("--help").output().expect("the program starts");
    let help = String::from_utf8(help.stdout).expect("UTF-8");
    let Some((_, rest)) = help.split_once("\nCommands:\n") else { return vec![of.join(" ")] };
    let listed = rest.split("\n\n").next().unwrap_or_default().lines();
    // A name is set in by two; what runs on below it, by more.
    let names = listed.filter(|line| line.starts_with("  ") && !line.starts_with("   "));
    let names = names.filter_map(|line| line.split_whitespace().next()).filter(|name| *name != "help");
    names.flat_map(|name| commands(&[of, &[name]].concat())).collect()
}

#[test]
fn every_command_has_its_place_in_the_browser() {
    let all = commands(&[]);
    assert!(all.len() > 60 && all.iter().any(|c| c == "pattern sheets"), "the help is read: {all:?}");
    for command in &all {
        let there = PLACES.iter().any(|(name, ..)| name == command) || BEFORE.contains(&command.as_str());
        assert!(there, "`dimity {command}` has no page; give it one, and name it here");
    }
    for (command, ..) in PLACES {
        assert!(all.iter().any(|c| c == command), "there is no command `{command}` any more");
    }
}

#[test]
fn every_place_holds_what_does_it_for_who_keeps_the_collection() {
    let bench = Bench::by_link(&[SPENCER, AGAIN, AFTER]);
    let sha = bench.photograph("2031.1", "name=macro.png&view=front", as_png(woven()));
    // Regions are handed on, and a pattern is taken off, where something is drawn to a scale.
    let drawn = format!("/pieces/2031.1/photographs/{sha}");
    bench.post(&format!("{drawn}/scale"), &serde_json::json!({ "places": "0,9 400,9", "size": "2 cm" })).is(200);
    bench.post(&format!("{drawn}/regions"), &serde_json::json!({ "shape": "outline 9,9 99,9 99,99" })).is(200);
    let mut missing = Vec::new();
    for (command, address, holds) in PLACES {
        let page = bench.get(&address.replace("SHA", &sha));
        let text = page.text().replace("&#x2F;", "/");
        if page.status != 200 || !text.to_lowercase().contains(&holds.to_lowercase()) {
            missing.push(format!("`dimity {command}`: {address} ({}) does not hold {holds}", page.status));
        }
    }
    assert!(missing.is_empty(), "{}", missing.join("\n"));
}
