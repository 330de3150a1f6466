//! What a check needs of the machine beside Rust, and the one home for saying that a check was not run for want of it.
#![allow(dead_code, reason = "each test file uses its own part")]

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::Command;

/// What a machine may lack. Where the variable of a kind is `1`, the lack is a failure.
#[derive(Debug, Clone, Copy)]
pub enum Need {
    /// Chromium, Node, Java, the npm packages in `tests/.tools`, and what reads a PDF.
    Browser,
    /// Python with the reference libraries of `tests/requirements.txt`.
    Validators,
    /// Small disks that can be mounted, and leave to run as somebody without rights.
    Faults,
    /// The open data and schemas in the folder that `DIMITY_SHARED` names.
    OpenData,
}

impl Need {
    fn variable(self) -> &'static str {
        match self {
            Self::Browser => "DIMITY_REQUIRE_BROWSER",
            Self::Validators => "DIMITY_REQUIRE_VALIDATORS",
            Self::Faults => "DIMITY_REQUIRE_FAULTS",
            Self::OpenData => "DIMITY_REQUIRE_OPEN_DATA",
        }
    }

    /// Says that a check is not run, and for want of what.
    ///
    /// # Panics
    /// Where the machine is required to have it.
    pub fn lacking(self, why: &str) {
        let required = std::env::var(self.variable()).is_ok_and(|v| v == "1");
        assert!(!required, "{}=1, but {why}", self.variable());
        not_run(why);
    }
}

/// Says that a check was not run, and why: in what the test prints, and as a line of the file that `DIMITY_NOT_RUN` names.
/// A test runner keeps to itself what a test prints that passes; `tests/run` reads the file out at its end.
fn not_run(why: &str) {
    println!("not run: {why}");
    let Some(file) = std::env::var_os("DIMITY_NOT_RUN") else { return };
    let line = format!("{why}\n");
    let told = std::fs::OpenOptions::new().create(true).append(true).open(&file);
    // One write, so that tests that run side by side do not mix their lines.
    told.and_then(|mut file| file.write_all(line.as_bytes())).unwrap_or_else(|e| panic!("{}: {e}", file.display()));
}

/// The folder of the npm packages.
pub fn npm_folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/.tools")
}

/// A Python with the reference libraries; none, said aloud, where `tests/run` has not installed it.
pub fn python(what: &str) -> Option<PathBuf> {
    let path = npm_folder().join("python/bin/python");
    if path.is_file() {
        return Some(path);
    }
    Need::Validators.lacking(&format!("{what}: `{}` is missing; `tests/run` installs it", path.display()));
    None
}

/// A file or folder of the open data beside the checkout; none, said aloud, where it is not there.
pub fn open_data(name: &str, what: &str) -> Option<PathBuf> {
    let Some(shared) = std::env::var_os("DIMITY_SHARED") else {
        Need::OpenData.lacking(&format!("{what}: DIMITY_SHARED names no folder of open data with `{name}`"));
        return None;
    };
    let place = Path::new(&shared).join(name);
    if !place.exists() {
        Need::OpenData.lacking(&format!("{what}: `{}` is not there", place.display()));
        return None;
    }
    Some(place)
}

/// Chromium, with Node, these npm packages and these programs of the system; none, said aloud, where one of them is missing.
pub fn browser(what: &str, packages: &[&str], programs: &[&str]) -> Option<PathBuf> {
    let packages = packages.iter().map(|name| {
        let there = npm_folder().join("node_modules").join(name).is_dir();
        there.then_some(()).ok_or_else(|| format!("the npm package `{name}`"))
    });
    let programs = ["node"].iter().chain(programs).map(|name| on_path(&[name]).map(drop));
    let missing = packages.chain(programs).find_map(Result::err);
    match missing.map_or_else(|| on_path(&["chromium", "chromium-browser", "google-chrome"]), Err) {
        Ok(chromium) => Some(chromium),
        Err(missing) => {
            Need::Browser.lacking(&format!("{what}: {missing} is missing; `tests/run` installs it"));
            None
        }
    }
}

/// What a script of `tests` prints as JSON. Its job says where the tools are, and where it leaves its pictures.
pub fn script(chromium: &Path, script: &Path, out: &Path, mut job: serde_json::Value) -> serde_json::Value {
    for (name, place) in [("tools", npm_folder().as_path()), ("chromium", chromium), ("out", out)] {
        job[name] = serde_json::json!(place);
    }
    let scratch = tempfile::tempdir().expect("a temporary folder");
    let path = scratch.path().join("job.json");
    std::fs::write(&path, job.to_string()).expect("written");
    let done = Command::new("node").arg(script).arg(path).output().expect("node starts");
    assert!(done.status.success(), "{}: {}", script.display(), String::from_utf8_lossy(&done.stderr));
    serde_json::from_slice(&done.stdout).expect("it answers in JSON")
}

/// Where a program of the system lies, by the first of these names that is found.
pub fn on_path(names: &[&str]) -> Result<PathBuf, String> {
    let folders = std::env::var_os("PATH").unwrap_or_default();
    let places = std::env::split_paths(&folders).flat_map(|folder| names.iter().map(move |name| folder.join(name)));
    places.into_iter().find(|place| place.is_file()).ok_or_else(|| format!("`{}`", names.join("` or `")))
}

/// The words by which a command runs as somebody without rights, if this is root. Where the machine cannot, it is said.
pub fn as_nobody(what: &str) -> Option<Vec<&'static str>> {
    let root = Command::new("id").arg("-u").output().is_ok_and(|o| o.stdout.starts_with(b"0"));
    if !root {
        return Some(Vec::new());
    }
    let words = vec!["setpriv", "--reuid=65534", "--regid=65534", "--clear-groups"];
    if Command::new(words[0]).args(&words[1..]).arg("true").status().is_ok_and(|s| s.success()) {
        return Some(words);
    }
    Need::Faults.lacking(&format!("{what}: root may write anywhere here, and `setpriv` is not there"));
    None
}
