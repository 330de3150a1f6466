//! A text file of cells: which encoding, which sign between cells, which cells.

use std::collections::HashMap;

use super::swallowed;
use super::table::{Cell, Growing, Table, Written};

/// Signs that may stand between cells, the likeliest first.
const DELIMITERS: [char; 4] = [',', ';', '\t', '|'];

/// So many bytes are looked at to find the sign between cells.
const SAMPLE: usize = 256 << 10;

/// Reads the cells of a text file. What the mapping states is taken; the rest is found by looking.
///
/// # Errors
/// If the encoding that was stated is none, or the list is too large.
pub fn read(bytes: &[u8], encoding: Option<&str>, delimiter: Option<char>) -> Result<Table, String> {
    let (text, encoding, mut remarks) = decoded(bytes, encoding)?;
    let delimiter = delimiter.unwrap_or_else(|| likeliest(&text));
    let separator = u8::try_from(delimiter).ok().filter(u8::is_ascii).ok_or_else(|| {
        format!("`{delimiter}` cannot stand between cells; write one of `,` `;` `|` or a tab in the mapping")
    })?;
    let mut reader =
        csv::ReaderBuilder::new().delimiter(separator).has_headers(false).flexible(true).from_reader(text.as_bytes());
    let mut growing = Growing::default();
    let mut record = csv::StringRecord::new();
    let (mut row, mut begins, mut widths) = (0, HashMap::new(), Vec::new());
    loop {
        match reader.read_record(&mut record) {
            Ok(false) => break,
            Ok(true) => {}
            Err(e) => return Err(format!("the text cannot be read as cells: {e}")),
        }
        // Blank lines are rows to a spreadsheet program; the reader passes over them.
        let begin = record.position().map_or(0, |place| place.byte() as usize);
        // It ends a row at `\r`, and leaves the `\n` of the same line end to the next.
        let within_end = begin > 0 && text.as_bytes().get(begin - 1..=begin) == Some(b"\r\n");
        let begin = begin + usize::from(within_end);
        let rest = text.as_bytes().get(begin..).unwrap_or_default();
        let blank = &rest[..rest.iter().take_while(|b| matches!(b, b'\r' | b'\n')).count()];
        row += ends(blank);
        begins.insert(u32::try_from(row + 1).unwrap_or(u32::MAX), begin + blank.len());
        widths.push(record.len());
        for (column, text) in record.iter().enumerate() {
            growing.put(row, column, Cell::text(text))?;
        }
        row += 1;
    }
    let mut rows = growing.rows();
    swallowed::mark(&mut rows, &text, delimiter, &begins, &widths);
    if let Some(swallowed) = rows.iter().find(|r| r.cells.iter().any(|c| swallowed::line_ends(&c.text) > 200)) {
        remarks.push(format!(
            "row {}: a cell of more than 200 lines; a quotation mark may have been left open there",
            swallowed.number
        ));
    }
    Ok(Table { rows, written: Some(Written { encoding, delimiter }), remarks, ..Table::default() })
}

/// How many lines end in bytes that are nothing but line ends: of Windows, of Unix, or of old Macs.
fn ends(blank: &[u8]) -> usize {
    let both = blank.windows(2).filter(|two| two == b"\r\n").count();
    blank.len() - both
}

/// The text, the encoding that it was in, and what is to be said about it.
fn decoded(bytes: &[u8], stated: Option<&str>) -> Result<(String, String, Vec<String>), String> {
    let named = |label: &str| {
        encoding_rs::Encoding::for_label(label.as_bytes()).ok_or_else(|| {
            format!("`{label}` is no encoding; write `utf-8`, `windows-1252`, `utf-16le`, `iso-8859-2` ...")
        })
    };
    let marked = encoding_rs::Encoding::for_bom(bytes).map(|(encoding, _)| encoding);
    let encoding = match (stated, marked) {
        (Some(label), _) => named(label)?,
        (None, Some(marked)) => marked,
        (None, None) if std::str::from_utf8(bytes).is_ok() => encoding_rs::UTF_8,
        // What is no UTF-8 was most likely written by a spreadsheet program on Windows, in a western language.
        (None, None) => encoding_rs::WINDOWS_1252,
    };
    let (text, encoding, lossy) = encoding.decode(bytes);
    let mut remarks = Vec::new();
    if lossy {
        remarks.push(format!(
            "some letters are none in {}; they stand as `\u{fffd}`. If that is the wrong encoding, state the right one in \
             the mapping",
            encoding.name().to_lowercase()
        ));
    }
    // A text that was decoded once too often: `Ã©` for `é`.
    if ["Ã©", "Ã¼", "Ã¤", "Ã¶", "â€“", "â€™", "Â£"].iter().any(|trace| text.contains(trace)) {
        remarks.push(
            "letters such as `Ã©` show that the file was saved in the wrong encoding once; they are kept as they stand"
                .into(),
        );
    }
    Ok((text.into_owned(), encoding.name().to_lowercase(), remarks))
}

/// The sign that cuts most lines into the same number of cells, more than one.
fn likeliest(text: &str) -> char {
    let mut end = text.len().min(SAMPLE);
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    let score = |delimiter: char| {
        let counts = cells_per_line(&text[..end], delimiter);
        let most = counts.iter().copied().max().unwrap_or(1);
        (2..=most.min(super::limits::COLUMNS))
            .map(|n| counts.iter().filter(|c| **c == n).count() * (n - 1).min(4))
            .max()
            .unwrap_or(0)
    };
    let best = DELIMITERS
        .iter()
        .map(|d| (score(*d), *d))
        .fold((0, ','), |best, next| if next.0 > best.0 { next } else { best });
    best.1
}

/// How many cells each line has; signs within quotation marks are no divisions.
fn cells_per_line(text: &str, delimiter: char) -> Vec<usize> {
    let mut counts = Vec::new();
    let (mut cells, mut quoted, mut blank) = (1, false, true);
    for c in text.chars() {
        match c {
            '"' => quoted = !quoted,
            // Either of them ends a line, and the blank line between both is none.
            '\n' | '\r' if !quoted => {
                if !blank {
                    counts.push(cells);
                }
                (cells, blank) = (1, true);
                continue;
            }
            c if c == delimiter && !quoted => cells += 1,
            _ => {}
        }
        blank &= c.is_whitespace();
    }
    if !blank {
        counts.push(cells);
    }
    counts
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cells(bytes: &[u8]) -> (Vec<Vec<String>>, String, char) {
        let table = read(bytes, None, None).expect("read");
        let written = table.written.expect("a text file");
        let rows = table.rows.into_iter().map(|r| r.cells.into_iter().map(|c| c.text).collect()).collect();
        (rows, written.encoding, written.delimiter)
    }

    #[test]
    fn encodings_and_signs_are_found_by_looking() {
        let utf16: Vec<u8> =
            [0xff, 0xfe].into_iter().chain("a;é\n".encode_utf16().flat_map(u16::to_le_bytes)).collect();
        let rows: [(&[u8], &str, char, &[&str]); 7] = [
            (b"a,b\n1,2\n", "utf-8", ',', &["a", "b"]),
            ("\u{feff}a,é\n".as_bytes(), "utf-8", ',', &["a", "é"]),
            (b"Nr.;Ma\xdfe\n1;2,5\n2;3,5\n", "windows-1252", ';', &["Nr.", "Maße"]),
            (b"No\tSize\n1\t2,5\n", "utf-8", '\t', &["No", "Size"]),
            (b"c. 1880s \x96 1890;\x80 5\n", "windows-1252", ';', &["c. 1880s – 1890", "€ 5"]),
            (&utf16, "utf-16le", ';', &["a", "é"]),
            (b"\"one, two\";\"three\nfour\"\n\"x\";y\n", "utf-8", ';', &["one, two", "three\nfour"]),
        ];
        for (bytes, encoding, delimiter, first) in rows {
            let (rows, found, sign) = cells(bytes);
            assert_eq!((found.as_str(), sign), (encoding, delimiter), "{first:?}");
            assert_eq!(rows[0], first);
        }
    }

    #[test]
    fn rows_are_counted_as_a_spreadsheet_program_does() {
        let table = read(b"a,b\n\n\n1,\"x\ny\"\n2,z\r\n\r\n3,z\n", None, None).expect("read");
        assert_eq!(table.rows.iter().map(|r| r.number).collect::<Vec<_>>(), [1, 4, 5, 7]);
    }

    #[test]
    fn what_the_mapping_states_is_taken() {
        let table = read(b"a;b,c\n", Some("iso-8859-1"), Some(',')).expect("read");
        assert_eq!(table.rows[0].text(0), "a;b");
        assert!(read(b"a", Some("klingon"), None).expect_err("no encoding").contains("windows-1252"));
    }

    #[test]
    fn a_quotation_mark_left_open_is_told() {
        let text = format!("a,b\n1,\"open\n{}", "2,x\n".repeat(300));
        let table = read(text.as_bytes(), None, None).expect("read");
        assert!(table.remarks.iter().any(|r| r.contains("row 2")), "{:?}", table.remarks);
    }

    proptest::proptest! {
        #[test]
        fn no_bytes_make_the_reader_panic(bytes in proptest::collection::vec(proptest::prelude::any::<u8>(), 0..400)) {
            let _ = read(&bytes, None, None);
        }
    }
}
