//! A quotation mark left open swallows the rows after it, up to the next mark: they then stand as lines within one cell. That
//! is a grave mistake and an easy one, so such a cell is found and told. Cells with line breaks of their own are not told.

use std::collections::{HashMap, HashSet};

use super::table::Row;
use crate::words::letter;

/// Lines within a cell that look like rows of the list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Swallowed {
    /// The column of the cell, from 0.
    pub column: usize,
    /// The first and the last of these lines, from 1 as an editor counts the lines of the file.
    pub lines: (usize, usize),
    /// How many there are.
    pub count: usize,
}

impl Swallowed {
    /// What is wrong.
    pub fn why(&self) -> String {
        let (first, last) = self.lines;
        let place = if first == last { format!("line {first}") } else { format!("lines {first} to {last}") };
        let (look, rows) = if self.count == 1 { ("looks", "a row") } else { ("look", "rows") };
        format!(
            "{place} of the file {look} like {rows} of the list, and stand within the cell of column {}; a quotation mark was \
             probably left open before them",
            letter(self.column)
        )
    }

    /// What to do.
    pub fn mend(row: u32) -> String {
        format!(
            "close it in the list and run again; if the cell is meant so, write `whole_rows = [{row}]` under [file] in the mapping"
        )
    }
}

/// What the rows of a list look like as they are written.
struct Usual {
    delimiter: char,
    /// How many cells most rows have.
    width: usize,
    /// Whether a space follows each sign between cells, as in `a, b, c`; else a sign with a space after it is prose.
    spaced: bool,
    /// The shapes of what rows begin with, where there is a figure in it: `9.9` of `2031.4`.
    numbers: HashSet<String>,
}

impl Usual {
    fn of(rows: &[Row], widths: &[usize], delimiter: char) -> Self {
        let mut times: HashMap<usize, usize> = HashMap::new();
        widths.iter().filter(|width| **width > 1).for_each(|width| *times.entry(*width).or_default() += 1);
        let most = times.values().copied().max().unwrap_or_default();
        // Of several that are as common the first is that of the headings.
        let width = widths.iter().copied().find(|width| times.get(width) == Some(&most)).unwrap_or_default();
        let spaced = |row: &&Row| row.cells.iter().skip(1).any(|cell| cell.text.starts_with(' '));
        let first = |row: &Row| row.text(0).split(['\r', '\n', delimiter]).next().and_then(shape);
        Self {
            delimiter,
            width,
            spaced: rows.iter().filter(spaced).count() * 2 > rows.len(),
            numbers: rows.iter().filter_map(first).collect(),
        }
    }

    /// Whether a line within a cell looks like a row of the list.
    fn is_row(&self, line: &str) -> bool {
        let divisions = self.divisions(line);
        let numbered = || {
            let first = line.split(self.delimiter).next().and_then(shape);
            first.is_some_and(|first| self.numbers.contains(&first))
        };
        // Of few columns the number of divisions says nothing by itself.
        let as_many = self.width > 3 && divisions * 4 >= (self.width - 1) * 3;
        let figures = || !line.contains(' ') && line.matches(self.delimiter).count() + 1 == self.width;
        as_many || ((divisions > 0 || figures()) && numbered())
    }

    /// How many signs of a line can only stand between cells: those of `fair, torn` and `12,5 cm` belong to the words.
    fn divisions(&self, line: &str) -> usize {
        let figure = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
        let divides = |(at, _): &(usize, &str)| {
            let (before, after) =
                (line[..*at].chars().next_back(), line[at + self.delimiter.len_utf8()..].chars().next());
            let prose = !self.spaced && after == Some(' ');
            let decimal = self.delimiter == ',' && figure(before) && figure(after);
            !(prose || decimal)
        };
        line.match_indices(self.delimiter).filter(divides).count()
    }
}

/// A text with each run of figures as `9` and each run of letters as `a`; none without a figure.
fn shape(text: &str) -> Option<String> {
    let mut shape = String::new();
    for c in text.trim().chars().take(60) {
        let kind = if c.is_numeric() {
            '9'
        } else if c.is_alphabetic() {
            'a'
        } else {
            c
        };
        if !shape.ends_with(kind) {
            shape.push(kind);
        }
    }
    shape.contains('9').then_some(shape)
}

/// Lines as an editor counts them, whichever signs end them.
pub(super) fn lines(text: &str) -> impl Iterator<Item = &str> {
    let (ended, rest) = text.split_at(text.rfind('\n').map_or(0, |at| at + 1));
    let ended = ended.split_terminator('\n').flat_map(|line| line.strip_suffix('\r').unwrap_or(line).split('\r'));
    ended.chain(rest.split('\r'))
}

/// How many lines end within a text.
pub(super) fn line_ends(text: &str) -> usize {
    lines(text).count() - 1
}

/// Marks the rows of which a cell has swallowed others. `begins` says where in the text each row begins, `widths` how many
/// cells each has.
pub(super) fn mark(rows: &mut [Row], text: &str, delimiter: char, begins: &HashMap<u32, usize>, widths: &[usize]) {
    let usual = Usual::of(rows, widths, delimiter);
    let (mut line, mut at) = (1, 0);
    for row in rows.iter_mut().filter(|row| row.cells.iter().any(|cell| cell.text.contains(['\n', '\r']))) {
        let begin = begins.get(&row.number).copied().unwrap_or(at).max(at);
        line += line_ends(text.get(at..begin).unwrap_or_default());
        at = begin;
        let mut of_cell = line;
        for (column, cell) in row.cells.iter().enumerate() {
            let found: Vec<usize> = lines(&cell.text)
                .enumerate()
                .skip(1)
                .filter(|(_, line)| usual.is_row(line))
                .map(|(within, _)| of_cell + within)
                .collect();
            if let (Some(first), Some(last)) = (found.first(), found.last()) {
                row.swallowed = Some(Swallowed { column, lines: (*first, *last), count: found.len() });
                break;
            }
            of_cell += line_ends(&cell.text);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::text::read;

    /// The rows of which a cell is told, with the lines.
    fn told(text: &str) -> Vec<(u32, (usize, usize))> {
        let table = read(text.as_bytes(), None, None).expect("read");
        table.swallowed().map(|(row, found)| (row.number, found.lines)).collect()
    }

    #[test]
    fn lines_that_look_like_rows_are_told() {
        for (text, wanted) in [
            ("No,Object,Notes\n1.1,cap,\"torn\n1.2,gown,\n1.3,bag,\"worn\"\n1.4,fan,\n", vec![(2, (3, 4))]),
            // To the end of the file, and of two columns alone.
            ("a,b\n1,\"open\n2,x\n3,y\n", vec![(2, (3, 4))]),
            ("No;Height\n1;\"10\n2;12\n", vec![(2, (3, 3))]),
            // Opened before the number itself, and in two rows.
            ("No;Object\n\"1.1;cap\n1.2;bag\"\n1.3;fan\n1.4;\"x\n1.5;y\"\n", vec![(2, (3, 3)), (4, (6, 6))]),
            // The number stands elsewhere: as many divisions as a row has.
            ("Object;No;Date;Place\ncap;1;1880;\"x\nfan;2;1890;y\"\nbag;3;1900;z\n", vec![(2, (3, 3))]),
            // Spaces after the signs, line ends of Windows and of old Macs, blank lines before.
            ("No, Object, Notes\n1.1, cap, a\n1.2, cap,\"b\n1.3, fan, c\"\n1.4, bag, d\n", vec![(3, (4, 4))]),
            ("No;Object\r\n\r\n1.1;\"cap\r\n1.2;fan\"\r\n1.3;bag\r\n", vec![(3, (4, 4))]),
            ("No;Object\r\r1.1;\"cap\r1.2;fan\"\r1.3;bag\r", vec![(3, (4, 4))]),
        ] {
            assert_eq!(told(text), wanted, "{text:?}");
        }
    }

    #[test]
    fn cells_with_line_breaks_of_their_own_are_not_told() {
        let cells = [
            "label torn\nno. 5",
            "Loc: drawer 2\nWaist: 61 cm",
            "fair, torn, stained\nred, blue, green, white, black",
            "12 Mill Lane\nSkelwick\n2031.4 is like it",
            "see also\n2031.4, the same maker, the same cloth",
            "Breite\n12,5 cm, 13,5 cm, 14,5 cm",
            "1. torn\n2. stained\n3. mended",
            "1815\n1816, perhaps\n",
            "\n\n",
        ];
        for delimiter in [',', ';', '\t'] {
            for cell in cells {
                let d = delimiter;
                let list = format!(
                    "No{d}Object{d}Date{d}Place{d}Notes\n2031.1{d}cap{d}1815{d}Skelwick{d}\"{cell}\"\n2031.2{d}fan{d}1816{d}{d}\n"
                );
                assert_eq!(told(&list), [], "{list}");
            }
        }
    }
}
