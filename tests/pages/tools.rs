//! The tools that look at pages: where they are, what is missing, and one call for each.

use std::path::{Path, PathBuf};
use std::process::Command;

use serde::Serialize;

use super::fault::Fault;
use super::machine;

/// A page, and what it is held to.
#[derive(Debug, Serialize)]
pub struct Page {
    /// Its file name without extension.
    pub name: String,
    /// Where it is.
    pub file: PathBuf,
    /// The widths of the windows that it is looked at in.
    pub widths: Vec<u32>,
    /// Whether pictures of it are kept.
    pub pictures: bool,
    /// What its search box must do, if it has one.
    pub search: Option<Search>,
    /// The papers that it is printed on.
    pub paper: Vec<Paper>,
}

/// What the index must show, and find.
#[derive(Debug, Serialize)]
pub struct Search {
    /// All accession numbers.
    pub numbers: Vec<String>,
    /// What is typed.
    pub word: String,
    /// The accession numbers that are left then.
    pub finds: Vec<String>,
}

/// The sizes of paper.
#[derive(Debug, Clone, Copy, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Size {
    /// 210 × 297 mm.
    A4,
    /// 8 ½ × 11 in.
    Letter,
}

/// A print of a page.
#[derive(Debug, Serialize)]
pub struct Paper {
    /// On which paper.
    pub size: Size,
    /// The fewest sheets that make sense.
    pub min: usize,
    /// The most.
    pub max: usize,
    /// The accession number that every sheet bears.
    pub number: Option<String>,
}

impl Page {
    /// A page that is looked at in windows of these widths, and pictured.
    pub fn of(file: &Path, widths: &[u32]) -> Self {
        let name = file.file_stem().unwrap().to_str().unwrap().to_owned();
        Self { name, file: file.to_owned(), widths: widths.to_vec(), pictures: true, search: None, paper: Vec::new() }
    }
}

/// Puts the style sheet that a page links into it: the browser lets no tool read one beside a page on a disk.
pub fn put_style_in(file: &Path, style: &str) {
    let page = std::fs::read_to_string(file).unwrap();
    let (before, link) = page.split_once("<link rel=\"stylesheet\"").expect("a style sheet is linked");
    let (_, after) = link.split_once('>').expect("the link ends");
    std::fs::write(file, format!("{before}<style>{style}</style>{after}")).unwrap();
}

/// Where the tools are.
pub struct Tools {
    folder: PathBuf,
    chromium: PathBuf,
}

/// Complaints of the Nu HTML checker that are mistaken, each a part of its words, with the reason.
const FALSE_ALARMS: [(&str, &str); 1] = [
    // A property of SVG 2 and of CSS Fill and Stroke, which browsers have known for years; its CSS lists lack it.
    ("Property “paint-order” doesn't exist", "newer than its lists of properties"),
];

impl Tools {
    /// The tools for a check; or nothing, having said that it was not run.
    pub fn there(what: &str) -> Option<Self> {
        let packages = ["vnu-jar", "axe-core", "playwright-core"];
        let chromium = machine::browser(what, &packages, &["java", "pdftotext", "pdfimages"])?;
        Some(Self { folder: machine::npm_folder(), chromium })
    }

    /// Everything wrong with these pages. Pictures and prints are left in `target/pages/SET`.
    pub fn faults(&self, set: &str, pages: &[Page]) -> Vec<Fault> {
        std::thread::scope(|scope| {
            let checked = scope.spawn(|| self.checked_by_nu(pages));
            let seen = self.seen_in_browser(set, pages);
            let mut faults = checked.join().expect("the HTML checker ran");
            faults.extend(seen);
            faults
        })
    }

    fn seen_in_browser(&self, set: &str, pages: &[Page]) -> Vec<Fault> {
        let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/pages/check.mjs");
        self.script(&script, set, serde_json::json!({ "pages": pages }))
    }

    /// What a script finds; its job says where the tools are, and where it leaves its pictures: in `target/pages/SET`.
    pub fn script(&self, script: &Path, set: &str, job: serde_json::Value) -> Vec<Fault> {
        let out = Path::new(env!("CARGO_TARGET_TMPDIR")).parent().unwrap().join("pages").join(set);
        serde_json::from_value(machine::script(&self.chromium, script, &out, job)).unwrap()
    }

    /// One call for all pages: starting the checker takes longer than a page.
    pub fn checked_by_nu(&self, pages: &[Page]) -> Vec<Fault> {
        let mut java = Command::new("java");
        java.arg("-jar").arg(self.folder.join("node_modules/vnu-jar/build/dist/vnu.jar"));
        java.args(["--format", "json", "--stdout", "--exit-zero-always"]);
        java.args(pages.iter().map(|p| &p.file));
        let answer: serde_json::Value = serde_json::from_slice(&output(java)).unwrap();
        let messages = answer["messages"].as_array().expect("the checker lists its messages");
        let faults = messages.iter().filter_map(|message| {
            let text = |key: &str| message[key].as_str().unwrap_or_default();
            if FALSE_ALARMS.iter().any(|(words, _)| text("message").contains(words)) {
                return None;
            }
            let page = Path::new(text("url")).file_stem().and_then(|s| s.to_str()).unwrap_or("all pages").to_owned();
            let says = format!("line {}: {}: `{}`", message["lastLine"], text("message"), text("extract"));
            Some(Fault { page, check: "nu".into(), says })
        });
        faults.collect()
    }
}

/// The HTML files of a folder, by name.
pub fn html_files(folder: &Path) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display()));
    let mut files: Vec<PathBuf> = entries.map(|e| e.unwrap().path()).collect();
    files.retain(|f| f.extension().is_some_and(|e| e == "html"));
    files.sort();
    files
}

fn output(mut command: Command) -> Vec<u8> {
    let done = command.output().unwrap_or_else(|e| panic!("{command:?}: {e}"));
    assert!(done.status.success(), "{command:?}: {}", String::from_utf8_lossy(&done.stderr));
    done.stdout
}
