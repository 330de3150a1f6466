//! Every page that the program prints, held to what a reader, a screen reader and an office printer need.
//!
//! The checks run in the Nu HTML checker and in a real browser; the scripts in `tests/pages` do the looking. Each
//! check is proved on a page in `tests/pages/bad` that breaks its rule and no other.

#[path = "pages/demo.rs"]
mod demo;
#[path = "pages/fault.rs"]
mod fault;
#[path = "support/machine.rs"]
mod machine;
#[path = "pages/marked_up.rs"]
mod marked_up;
#[path = "pages/tools.rs"]
mod tools;

use std::collections::BTreeSet;
use std::path::Path;

use fault::{Fault, told};
use tools::{Page, Paper, Search, Size, Tools};

/// The widths in CSS pixels of a telephone, a tablet and a desk.
const WIDTHS: [u32; 3] = [390, 820, 1280];

#[test]
fn each_bad_page_is_caught_by_its_own_check_and_by_no_other() {
    let Some(tools) = Tools::there("the pages that break each check") else { return };
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/pages/bad");
    let files = tools::html_files(&folder);
    let pages: Vec<Page> = files.iter().map(|file| bad(file)).collect();
    let faults = tools.faults("bad", &pages);
    let mut wrong = Vec::new();
    for (page, file) in pages.iter().zip(&files) {
        let wanted = breaks(&std::fs::read_to_string(file).unwrap());
        let here: Vec<&Fault> = faults.iter().filter(|f| f.page == page.name).collect();
        let found: BTreeSet<String> = here.iter().map(|f| f.check.clone()).collect();
        if found != wanted {
            wrong.push(format!("{}: breaks {wanted:?}, found {found:?}\n{}", page.name, told(here)));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));

    let caught: BTreeSet<String> = faults.into_iter().map(|f| f.check).collect();
    assert_eq!(caught, fault::CHECKS.map(str::to_owned).into(), "a check that no page breaks is not proved");
}

#[test]
fn every_page_of_the_demo_is_sound() {
    let Some(tools) = Tools::there("the pages of the demo") else { return };
    let folder = tempfile::tempdir().unwrap();
    let pages = demo::pages(folder.path());
    let faults = tools.faults("demo", &pages);
    assert!(faults.is_empty(), "{}", told(&faults));
}

#[test]
fn a_blank_piece_and_a_piece_with_markup_in_every_field_print_sound_pages() {
    let Some(tools) = Tools::there("the pages of a blank and an overfull piece") else { return };
    let folder = tempfile::tempdir().unwrap();
    let pages = marked_up::pages(folder.path());
    let faults = tools.faults("made", &pages);
    assert!(faults.is_empty(), "{}", told(&faults));
}

/// A page of the folder `bad`, held to everything.
fn bad(file: &Path) -> Page {
    let text = std::fs::read_to_string(file).unwrap();
    let search = Search {
        numbers: ["2018.2", "2021.2", "2023.R1"].map(str::to_owned).into(),
        word: "R1".into(),
        finds: vec!["2023.R1".into()],
    };
    let search = text.contains("</form>").then_some(search);
    Page {
        search,
        paper: vec![Paper { size: Size::A4, min: 1, max: 3, number: Some("2018.2".into()) }],
        ..Page::of(file, &WIDTHS)
    }
}

/// The checks that a bad page says it breaks, in its first line: `<!-- breaks: row head -->`.
fn breaks(text: &str) -> BTreeSet<String> {
    let line = text.lines().next().unwrap_or_default();
    let words = line.strip_prefix("<!-- breaks: ").and_then(|l| l.strip_suffix(" -->"));
    let words = words.unwrap_or_else(|| panic!("a bad page begins with `<!-- breaks: CHECK -->`, not `{line}`"));
    words.split_whitespace().filter(|w| *w != "nothing").map(str::to_owned).collect()
}
