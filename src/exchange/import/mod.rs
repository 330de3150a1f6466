//! From the old spreadsheet: a list of pieces read into records, with a mapping that a person corrects.
//!
//! Bytes to cells ([`open`]: encodings, archives, limits), cells to a proposed mapping ([`propose`]), rows to records with
//! every doubt ([`reading`]), and what of it is new, known or changed ([`plan`]). What could not be read becomes a list to
//! work down ([`list`]). Which photograph belongs to which number is in [`pictures`]. Nothing here reads a file or asks
//! the database: that is done by the command, and by `catalogue`.

mod archive;
pub mod correct;
mod days;
mod draft;
mod fill;
mod headings;
pub mod limits;
pub mod list;
pub mod mapping;
pub mod materials;
mod measures;
mod notes;
pub mod pictures;
pub mod plan;
mod propose;
pub mod reading;
mod reported;
mod state;
mod swallowed;
pub mod table;
pub mod target;
mod text;
mod workbook;

pub use fill::Words;
pub use headings::{Usual, usual};
pub use mapping::Mapping;
pub use propose::propose;
pub use reading::{Doubt, Origin, Reader, Reading};
pub use swallowed::Swallowed;
pub use table::{Kind, Table};

/// Reads the cells of a file. `layout` says what is known of it; the rest is found by looking.
///
/// # Errors
/// A sentence, if the file is damaged, hostile or too large, or holds nothing.
pub fn open(bytes: &[u8], layout: &mapping::Layout) -> Result<Table, String> {
    if bytes.len() as u64 > limits::FILE {
        return Err(format!("the file has {} bytes; a list has at most {}", bytes.len(), limits::FILE));
    }
    // The old binary workbook, and other programs' files, begin so (MS-CFB 2.2).
    if bytes.starts_with(&[0xd0, 0xcf, 0x11, 0xe0]) {
        return Err("this is an old binary workbook (xls), or one with a password; save it as xlsx, ods or csv".into());
    }
    let mut table = match Kind::of(bytes) {
        Kind::Csv if bytes.starts_with(b"%PDF") => return Err("this is a PDF, not a spreadsheet".into()),
        Kind::Csv => text::read(bytes, layout.encoding.as_deref(), layout.delimiter)?,
        kind => workbook::read(bytes, kind, layout.sheet.as_deref())?,
    };
    if table.rows.is_empty() {
        return Err("the file holds no cells".into());
    }
    for row in table.rows.iter_mut().filter(|row| layout.whole_rows.contains(&row.number)) {
        row.swallowed = None;
    }
    table.tell_swallowed();
    Ok(table)
}
