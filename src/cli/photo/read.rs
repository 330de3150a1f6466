//! `dimity photo read`: capture data, without storing anything.

use std::path::PathBuf;

use crate::cli::{Desk, Failure};
use crate::photograph::{read_capture, tags_as_numbers};

/// The files to read.
#[derive(Debug, clap::Args)]
pub struct Read {
    /// The files
    #[arg(required = true)]
    files: Vec<PathBuf>,
    /// Print the position as well, which is otherwise kept back (with `--json`)
    #[arg(long)]
    position: bool,
}

impl Read {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let mut failed = Vec::new();
        for file in &self.files {
            let bytes = match std::fs::read(file) {
                Ok(bytes) => bytes,
                Err(e) => {
                    failed.push(format!("dimity: {}: cannot be read: {e}", file.display()));
                    continue;
                }
            };
            let (capture, exif, remarks) = read_capture(&bytes);
            let name = file.display().to_string();
            if desk.json {
                desk.out.json(&serde_json::json!({ "file": name, "capture": capture, "exif": tags_as_numbers(exif, self.position), "remarks": remarks }));
                continue;
            }
            desk.out.line(&name);
            if let Ok(serde_json::Value::Object(fields)) = serde_json::to_value(&capture) {
                for (field, value) in fields.iter().filter(|(_, v)| !v.is_null()) {
                    desk.out.line(format!("  {:18} {}", field.replace('_', " "), value.to_string().trim_matches('"')));
                }
            }
            if capture.taken.is_some() && capture.offset.is_none() {
                desk.out.line("  the time is local time of an unknown zone");
            }
            for remark in remarks {
                desk.out.line(format!("  {remark}"));
            }
        }
        if failed.is_empty() { Ok(()) } else { Err(Failure::lines(failed)) }
    }
}
