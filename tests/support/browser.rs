//! A real browser and what drives it, where they are installed.

use std::path::{Path, PathBuf};

use serde_json::Value;

use super::machine;

/// Chromium, where the npm packages of `tests/.tools` are there too.
pub struct Browser {
    chromium: PathBuf,
}

impl Browser {
    /// The browser for a check, where it and these packages are there; else nothing, having said that the check was not run.
    pub fn there(what: &str, packages: &[&str]) -> Option<Self> {
        let chromium = machine::browser(what, &[packages, &["playwright-core"]].concat(), &[])?;
        Some(Self { chromium })
    }

    /// What a script of `tests` prints as JSON. Its job says where the tools are, and where it leaves its pictures: in
    /// `target/tmp/SET`.
    pub fn script(&self, script: &str, set: &str, job: Value) -> Value {
        let out = Path::new(env!("CARGO_TARGET_TMPDIR")).join(set);
        let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests").join(script);
        machine::script(&self.chromium, &script, &out, job)
    }
}
