//! From the old spreadsheet: what `dimity import` promises, through the public doors.

mod support;

#[path = "import/hostile.rs"]
mod hostile;
#[path = "import/lists.rs"]
mod lists;
#[path = "import/mistakes.rs"]
mod mistakes;
#[path = "import/photographs.rs"]
mod photographs;
#[path = "import/private.rs"]
mod private;
#[path = "import/whole.rs"]
mod whole;

use std::path::{Path, PathBuf};

use support::Room;

/// A list of the fixtures, laid into a room.
fn placed(room: &Room, name: &str) -> String {
    let from: PathBuf = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/import").join(name);
    room.write(name, std::fs::read(from).expect("the fixture is there"))
}

/// The row of this number, of what an import told as JSON.
fn row(told: &serde_json::Value, number: u64) -> &serde_json::Value {
    let rows = told["rows"].as_array().expect("rows");
    rows.iter().find(|r| r["row"] == number).unwrap_or_else(|| panic!("row {number} of {told:#}"))
}

/// What was read from the cell under a heading.
fn read_of<'a>(row: &'a serde_json::Value, heading: &str) -> &'a str {
    let cells = row["cells"].as_array().expect("cells");
    let cell = cells.iter().find(|c| c["heading"] == heading).unwrap_or_else(|| panic!("`{heading}` in {row:#}"));
    cell["read"].as_str().expect("a text")
}
