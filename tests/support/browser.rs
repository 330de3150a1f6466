//! A real browser and what drives it, where they are installed.

use std::path::{Path, PathBuf};
use std::process::Command;

use serde_json::Value;

use super::machine;

/// Chromium, and the npm packages of `tests/.tools`.
pub struct Browser {
    tools: PathBuf,
    chromium: PathBuf,
}

impl Browser {
    /// The browser for a check, where it and these packages are there; else nothing, having said that the check was not run.
    pub fn there(what: &str, packages: &[&str]) -> Option<Self> {
        let chromium = machine::browser(what, &[packages, &["playwright-core"]].concat(), &[])?;
        Some(Self { tools: machine::npm_folder(), chromium })
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
