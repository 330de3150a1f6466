//! The pages of the invented demo collection, printed by the program itself, and the paper form in both sizes.

use std::path::Path;
use std::process::Command;

use dimity::catalogue::{Catalogue, Clock};
use dimity::record::accession::file_stem;

use super::WIDTHS;
use super::tools::{Page, Paper, Search, Size, html_files, put_style_in};

/// Pieces whose pages are looked at closely: one examined twice, one of several components, one never held in hand.
const CLOSELY: [&str; 3] = ["2018.2", "2017.4a-b", "2021.P1"];

/// The pages, built in `folder`.
pub fn pages(folder: &Path) -> Vec<Page> {
    let collection = folder.join("collection");
    let built = dimity().arg("demo").arg(&collection).output().unwrap();
    assert!(built.status.success(), "`dimity demo`: {}", String::from_utf8_lossy(&built.stderr));
    let numbers = Catalogue::open(&collection, Clock::System).unwrap().numbers().unwrap();
    for number in &numbers {
        // One sheet for whichever piece; one that was never examined has no report.
        let _ =
            dimity().arg("--in").arg(&collection).args(["report", "condition", number, "--set", "summary"]).output();
    }
    let mut pages: Vec<Page> = html_files(&collection.join("reports")).iter().map(|f| report(f, &numbers)).collect();
    assert!(pages.len() > numbers.len(), "{} pages for {} pieces", pages.len(), numbers.len());
    for size in [Size::A4, Size::Letter] {
        pages.push(form(folder, &collection, size));
    }
    pages.extend(site(folder, &collection));
    pages
}

/// The public's pages of all pieces: the index, a piece, a reconstruction and a pattern with what is drawn on them.
fn site(folder: &Path, collection: &Path) -> Vec<Page> {
    let out = folder.join("site");
    let mut export = dimity();
    export.arg("--in").arg(collection).args(["export", "site", "--all", "--with", "condition,provenance,people"]);
    let said = export.arg("--out").arg(&out).output().unwrap();
    assert!(said.status.success(), "`dimity export site`: {}", String::from_utf8_lossy(&said.stderr));
    let page = |path: &str| {
        put_style_in(&out.join(path), dimity::report::site::STYLE);
        let mut page = Page::of(&out.join(path), &WIDTHS);
        page.name = format!("site-{}", page.name);
        page.paper.push(Paper { size: Size::A4, min: 1, max: 12, number: None });
        page
    };
    ["index.html", "pieces/2018.2.html", "pieces/2023.R1.html", "pieces/2021.P1.html"].map(page).into()
}

/// A report, by its file name: `condition-2018.2.html`.
fn report(file: &Path, numbers: &[String]) -> Page {
    let mut page = Page::of(file, &WIDTHS);
    if page.name == "index" {
        let (word, finds) = ("2021.2".to_owned(), vec!["2021.2".to_owned()]);
        page.search = Some(Search { numbers: numbers.to_vec(), word, finds });
        page.paper.push(Paper { size: Size::A4, min: 1, max: 8, number: None });
        return page;
    }
    if page.name == "departures" {
        page.paper = [Size::A4, Size::Letter].map(|size| Paper { size, min: 1, max: 4, number: None }).into();
        return page;
    }
    if page.name == "survey" {
        page.paper = [Size::A4, Size::Letter].map(|size| Paper { size, min: 1, max: 6, number: None }).into();
        return page;
    }
    let number = numbers.iter().filter(|n| page.name.contains(&file_stem(n))).max_by_key(|n| n.len());
    let number = number.unwrap_or_else(|| panic!("`{}` names no piece", page.name)).clone();
    let close = CLOSELY.contains(&number.as_str()) || page.name.starts_with("comparison");
    if !close {
        page.widths = vec![WIDTHS[1]];
        page.pictures = false;
    }
    let sizes = if close { &[Size::A4, Size::Letter][..] } else { &[Size::A4] };
    // A comparison has a chapter for each piece compared with: three here, or one with every line.
    let max = match page.name.as_str() {
        name if name.starts_with("comparison") => 20,
        name if name.ends_with("-summary") => 1,
        _ => 22,
    };
    page.paper = sizes.iter().map(|size| Paper { size: *size, min: 1, max, number: Some(number.clone()) }).collect();
    page
}

/// The form to fill in with a pencil. Its sheets come apart on the table, so each bears the number.
fn form(folder: &Path, collection: &Path, size: Size) -> Page {
    let (number, paper) = ("2018.2", if matches!(size, Size::A4) { "a4" } else { "letter" });
    let printed =
        dimity().arg("--in").arg(collection).args(["sheet", number, "--form", "--paper", paper]).output().unwrap();
    assert!(printed.status.success(), "`dimity sheet --form`: {}", String::from_utf8_lossy(&printed.stderr));
    let file = folder.join(format!("form-{paper}.html"));
    std::fs::write(&file, printed.stdout).unwrap();
    let mut page = Page::of(&file, &WIDTHS);
    page.paper.push(Paper { size, min: 2, max: 12, number: Some(number.into()) });
    page
}

fn dimity() -> Command {
    Command::new(env!("CARGO_BIN_EXE_dimity"))
}
