//! The styles of reports and of the workbench are read as one: a class means one thing.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// Classes that the foundation (`base.css`) names and `page.css` lays out, with others going on from there.
const SHARED: [&str; 8] = ["body", "collection", "danger", "kind-of", "reading", "statement", "steps", "unseen"];

/// The selectors of a style, comments and at-rules left out.
fn selectors(css: &str) -> Vec<String> {
    let mut plain = String::new();
    let mut rest = css;
    while let Some((before, after)) = rest.split_once("/*") {
        plain.push_str(before);
        rest = after.split_once("*/").map_or("", |(_, after)| after);
    }
    plain.push_str(rest);
    let heads = plain.split('{').map(|part| part.rsplit(['}', ';']).next().unwrap_or_default());
    heads
        .filter(|head| !head.trim_start().starts_with('@'))
        .flat_map(|head| head.split(',').map(str::to_owned))
        .collect()
}

/// The classes of a selector, each once.
fn classes(selector: &str) -> BTreeSet<&str> {
    let dots = selector.match_indices('.').map(|(at, _)| &selector[at + 1..]);
    dots.filter(|rest| rest.starts_with(|c: char| c.is_ascii_alphabetic()))
        .map(|rest| rest.split(|c: char| !c.is_ascii_alphanumeric() && c != '-' && c != '_').next().unwrap_or(rest))
        .collect()
}

#[test]
fn no_class_is_styled_for_itself_in_two_files() {
    let mut homes: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for folder in ["templates/style", "templates/workbench/style"] {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
        for entry in std::fs::read_dir(folder).expect("the styles").flatten() {
            let name = entry.file_name().to_string_lossy().into_owned();
            // What paper needs otherwise is said of the classes of all the others.
            if name == "print.css" {
                continue;
            }
            let css = std::fs::read_to_string(entry.path()).expect("a style");
            for selector in selectors(&css) {
                // Within something else of its own file, a class may be dressed otherwise.
                if let [class] = classes(&selector).into_iter().collect::<Vec<_>>()[..] {
                    homes.entry(class.to_owned()).or_default().insert(name.clone());
                }
            }
        }
    }
    assert!(homes.len() > 200, "the styles were read: {}", homes.len());
    let twice: Vec<_> = homes.iter().filter(|(_, files)| files.len() > 1).collect();
    let strange: Vec<_> = twice.iter().filter(|(class, _)| !SHARED.contains(&class.as_str())).collect();
    assert!(strange.is_empty(), "give each its own name, or list it as shared: {strange:?}");
    for class in SHARED {
        assert!(twice.iter().any(|(known, _)| *known == class), "`{class}` is shared no more: take it off the list");
    }
}

#[test]
fn selectors_are_read_as_a_browser_reads_them() {
    let css = "/* .no */ .a, .b .c { x: url(y.png); } @media print { .d:not(.e) { top: .5rem } } svg.f{}";
    let found: Vec<Vec<String>> =
        selectors(css).iter().map(|s| classes(s).into_iter().map(String::from).collect()).collect();
    let found: Vec<Vec<String>> = found.into_iter().filter(|list| !list.is_empty()).collect();
    assert_eq!(found, [vec!["a"], vec!["b", "c"], vec!["d", "e"], vec!["f"]]);
}
