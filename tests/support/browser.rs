//! A real browser and what drives it, where they are installed.

use std::path::{Path, PathBuf};
use std::process::Command;

use serde_json::Value;

/// A program of the system; none, said aloud, where it is missing and not required.
pub fn tool(names: &[&str]) -> Option<PathBuf> {
    let folders = std::env::var_os("PATH").unwrap_or_default();
    let mut places = std::env::split_paths(&folders).flat_map(|folder| names.iter().map(move |name| folder.join(name)));
    or_say_not_run(places.find(|p| p.is_file()), names[0])
}

fn or_say_not_run<T>(found: Option<T>, what: &str) -> Option<T> {
    if found.is_none() {
        assert!(std::env::var("DIMITY_REQUIRE_BROWSER").as_deref() != Ok("1"), "`{what}` is missing");
        println!("not run: `{what}` is missing; `tests/run` installs what is needed");
    }
    found
}

/// The folder of a package of npm in `tests/.tools`, where it is there.
pub fn package(name: &str) -> Option<PathBuf> {
    Some(tools().join("node_modules").join(name)).filter(|folder| folder.is_dir())
}

fn tools() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/.tools")
}

/// Chromium, and the npm packages of `tests/.tools`.
pub struct Browser {
    tools: PathBuf,
    chromium: PathBuf,
}

impl Browser {
    /// The browser, where it and these packages are there; else nothing, having said that the check was not run.
    pub fn or_say_not_run(packages: &[&str]) -> Option<Self> {
        for name in packages.iter().chain(&["playwright-core"]) {
            or_say_not_run(package(name), name)?;
        }
        tool(&["node"])?;
        Some(Self { tools: tools(), chromium: tool(&["chromium", "chromium-browser", "google-chrome"])? })
    }

    /// What a script of `tests` prints as JSON. Its job says where the tools are, and where it leaves its pictures: in
    /// `target/tmp/SET`.
    pub fn script(&self, script: &str, set: &str, mut job: Value) -> Value {
        let out = Path::new(env!("CARGO_TARGET_TMPDIR")).join(set);
        for (name, value) in [("tools", &self.tools), ("chromium", &self.chromium), ("out", &out)] {
            job[name] = serde_json::json!(value);
        }
        let scratch = tempfile::tempdir().expect("a temporary folder");
        let path = scratch.path().join("job.json");
        std::fs::write(&path, job.to_string()).expect("written");
        let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests").join(script);
        let done = Command::new("node").arg(script).arg(path).output().expect("node starts");
        assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
        serde_json::from_slice(&done.stdout).expect("it answers in JSON")
    }
}
