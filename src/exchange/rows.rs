//! A table as CSV (RFC 4180): headings, then rows.

/// The text of a table.
///
/// # Errors
/// If a row has another number of cells than there are headings.
pub fn csv<H: AsRef<[u8]>>(headings: &[H], rows: &[Vec<String>]) -> Result<String, String> {
    let wrong = |e: &dyn std::fmt::Display| format!("cannot write the table: {e}");
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(headings).map_err(|e| wrong(&e))?;
    for row in rows {
        writer.write_record(row).map_err(|e| wrong(&e))?;
    }
    let bytes = writer.into_inner().map_err(|e| wrong(&e))?;
    String::from_utf8(bytes).map_err(|e| wrong(&e))
}
