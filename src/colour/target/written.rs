//! Reads reference files: CGATS text and CSV. Every refusal names the line.

use crate::colour::{Lab, White};

/// Why a reference file was not read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Misread {
    /// The line, from 1; none where the whole is at fault.
    pub line: Option<usize>,
    /// What is wrong, and the mend.
    pub why: String,
}

impl std::fmt::Display for Misread {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.line {
            Some(line) => write!(f, "line {line}: {}", self.why),
            None => f.write_str(&self.why),
        }
    }
}

impl std::error::Error for Misread {}

/// A patch as listed.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Listed {
    pub id: String,
    pub name: String,
    pub lab: Lab,
}

/// The patches of a file in its order, and the white they are given for.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct List {
    pub patches: Vec<Listed>,
    pub white: White,
}

/// More patches than any target has.
const MOST: usize = 3000;

fn at(line: usize, why: impl Into<String>) -> Misread {
    Misread { line: Some(line), why: why.into() }
}

/// Reads either kind: a file with `BEGIN_DATA_FORMAT` is CGATS, any other CSV.
pub(super) fn read(text: &str) -> Result<List, Misread> {
    let text = text.trim_start_matches('\u{feff}');
    let lines: Vec<(usize, &str)> = (1..).zip(text.lines().map(str::trim)).collect();
    let list = if lines.iter().any(|(_, l)| l.eq_ignore_ascii_case("BEGIN_DATA_FORMAT")) {
        cgats(&lines)?
    } else {
        csv(&lines)?
    };
    match list.patches.len() {
        0 => Err(Misread { line: None, why: "no patch is given; a line holds a patch and its L*, a* and b*".into() }),
        n if n > MOST => Err(Misread { line: None, why: format!("{n} patches are more than a target has ({MOST})") }),
        _ => Ok(list),
    }
}

/// Which column holds what.
#[derive(Default)]
struct Columns {
    id: Option<usize>,
    name: Option<usize>,
    lab: [Option<usize>; 3],
    white: Option<White>,
}

impl Columns {
    fn of(names: &[String], line: usize) -> Result<Columns, Misread> {
        let mut columns = Columns::default();
        for (i, name) in names.iter().enumerate() {
            let name = name.trim().to_ascii_lowercase().replace([' ', '-'], "_");
            let (stem, white) = if let Some(stem) = name.strip_suffix("_d50") {
                (stem, Some(White::D50))
            } else if let Some(stem) = name.strip_suffix("_d65") {
                (stem, Some(White::D65))
            } else {
                (name.as_str(), None)
            };
            let axis = match stem.trim_start_matches("lab_") {
                "l" | "l*" => 0,
                "a" | "a*" => 1,
                "b" | "b*" => 2,
                _ => {
                    match stem {
                        "patch" | "sample_id" | "id" | "no" | "number" => columns.id = columns.id.or(Some(i)),
                        "name" | "sample_name" | "sample_loc" => columns.name = columns.name.or(Some(i)),
                        _ => {}
                    }
                    continue;
                }
            };
            // Of two sets of columns, the first counts.
            if columns.lab[axis].is_none() && (columns.white.is_none() || columns.white == white || white.is_none()) {
                columns.lab[axis] = Some(i);
                columns.white = columns.white.or(white);
            }
        }
        if columns.lab.iter().any(Option::is_none) {
            return Err(at(line, "no columns for CIELAB: name them LAB_L, LAB_A and LAB_B, or l, a and b"));
        }
        Ok(columns)
    }

    fn patch(&self, cells: &[String], count: usize, line: usize) -> Result<Listed, Misread> {
        let cell = |i: Option<usize>| i.and_then(|i| cells.get(i)).map(|c| c.trim().to_owned()).unwrap_or_default();
        let mut lab = [0.0; 3];
        for (axis, value) in lab.iter_mut().enumerate() {
            let (label, low, high) = [("L*", 0.0, 100.0), ("a*", -160.0, 160.0), ("b*", -160.0, 160.0)][axis];
            let text = cell(self.lab[axis]);
            let number = text.replace(',', ".").replace('−', "-").parse::<f64>();
            *value = number.map_err(|_| at(line, format!("`{text}` is no number for {label}; write it as 37.54")))?;
            if !(low..=high).contains(value) {
                return Err(at(line, format!("{label} of {text} is out of reason: it lies from {low} to {high}")));
            }
        }
        let (id, name) = (cell(self.id), cell(self.name));
        let id = match (id.is_empty(), name.is_empty()) {
            (false, _) => id,
            (true, false) => name.clone(),
            (true, true) => (count + 1).to_string(),
        };
        Ok(Listed { id, name, lab: Lab::new(lab[0], lab[1], lab[2]) })
    }
}

/// CGATS.17 and its relatives: keywords, a format, and the data, a patch a line.
fn cgats(lines: &[(usize, &str)]) -> Result<List, Misread> {
    let mut white = White::D50;
    let (mut format, mut format_line) = (Vec::new(), 1);
    let mut columns = None;
    let mut stated: Option<(usize, usize)> = None;
    let mut patches = Vec::new();
    let mut part = "";
    for (line, text) in lines.iter().copied() {
        let words = fields(text, None, line)?;
        let Some(first) = words.first() else { continue };
        match (part, first.to_ascii_uppercase().as_str()) {
            ("", "BEGIN_DATA_FORMAT") => (part, format_line) = ("format", line),
            ("format", "END_DATA_FORMAT") => {
                columns = Some(Columns::of(&format, format_line)?);
                part = "";
            }
            ("format", _) => format.extend(words),
            ("", "BEGIN_DATA") if columns.is_some() => part = "data",
            ("", "BEGIN_DATA") => {
                return Err(at(line, "the data stand before their format; BEGIN_DATA_FORMAT goes first"));
            }
            ("data", "END_DATA") => part = "end",
            ("data", _) => {
                if words.len() != format.len() {
                    let (found, wanted) = (words.len(), format.len());
                    return Err(at(line, format!("{found} values for {wanted} fields; keep each patch on one line")));
                }
                if let Some(columns) = &columns {
                    patches.push(columns.patch(&words, patches.len(), line)?);
                }
            }
            ("", "NUMBER_OF_SETS") => {
                stated = words.get(1).and_then(|n| n.parse().ok()).map(|n| (line, n));
            }
            ("", keyword) if keyword.contains("ILLUMIN") || keyword == "WEIGHTING_FUNCTION" => {
                white = illuminant(text, line)?.unwrap_or(white);
            }
            _ => {}
        }
    }
    match part {
        "format" => return Err(at(format_line, "the format has no end; close it with END_DATA_FORMAT")),
        "data" => {
            let last = lines.last().map_or(1, |l| l.0);
            return Err(at(last, "the data have no end: the file is cut short, or END_DATA is missing"));
        }
        _ => {}
    }
    if let Some((line, n)) = stated.filter(|(_, n)| *n != patches.len()) {
        let found = patches.len();
        return Err(at(
            line,
            format!("the file promises {n} patches and has {found}: it is cut short, or the number is wrong"),
        ));
    }
    let white = columns.and_then(|c| c.white).unwrap_or(white);
    Ok(List { patches, white })
}

/// The illuminant that a keyword names.
fn illuminant(text: &str, line: usize) -> Result<Option<White>, Misread> {
    let text = text.to_ascii_uppercase();
    if !text.contains("ILLUMIN") {
        return Ok(None);
    }
    let words = text.split(|c: char| !c.is_ascii_alphanumeric());
    for word in words {
        match word {
            "D50" => return Ok(Some(White::D50)),
            "D65" => return Ok(Some(White::D65)),
            "A" | "C" | "E" | "D55" | "D75" | "F2" | "F7" | "F11" => {
                return Err(at(
                    line,
                    format!("values for illuminant {word} cannot be used; give those for D50 or D65"),
                ));
            }
            _ => {}
        }
    }
    Ok(None)
}

/// A head, then a patch a line; `#` begins a comment line.
fn csv(lines: &[(usize, &str)]) -> Result<List, Misread> {
    let mut rows = lines.iter().copied().filter(|(_, l)| !l.is_empty() && !l.starts_with('#'));
    let Some((line, head)) = rows.next() else { return Ok(List { patches: Vec::new(), white: White::D50 }) };
    let mark = [';', '\t', ','].into_iter().find(|m| head.contains(*m)).unwrap_or(',');
    let names = fields(head, Some(mark), line)?;
    let columns = Columns::of(&names, line)?;
    let mut patches = Vec::new();
    for (line, text) in rows {
        let cells = fields(text, Some(mark), line)?;
        if cells.len() != names.len() {
            let (found, wanted) = (cells.len(), names.len());
            return Err(at(
                line,
                format!("{found} cells for {wanted} columns; a comma inside a name needs quotation marks"),
            ));
        }
        patches.push(columns.patch(&cells, patches.len(), line)?);
    }
    Ok(List { patches, white: columns.white.unwrap_or(White::D50) })
}

/// The fields of a line, divided by `mark`, or by blanks up to a `#`; quotation marks keep a field together.
fn fields(text: &str, mark: Option<char>, line: usize) -> Result<Vec<String>, Misread> {
    let (mut found, mut field, mut quoted, mut begun) = (Vec::new(), String::new(), false, false);
    let mut letters = text.chars().peekable();
    while let Some(c) = letters.next() {
        let divides = mark.map_or(c.is_whitespace(), |m| c == m);
        if mark.is_none() && c == '#' && !quoted && !begun {
            break;
        }
        if c == '"' && quoted && letters.peek() == Some(&'"') {
            letters.next();
            field.push('"');
        } else if c == '"' {
            (quoted, begun) = (!quoted, true);
        } else if divides && !quoted {
            if mark.is_some() || begun {
                found.push(std::mem::take(&mut field));
            }
            begun = false;
        } else {
            field.push(c);
            begun = true;
        }
    }
    if quoted {
        return Err(at(line, "a quotation mark is not closed"));
    }
    if begun || mark.is_some() {
        found.push(field);
    }
    Ok(found)
}

#[cfg(test)]
mod tests {
    use super::*;

    const CGATS: &str = "CGATS.17\nORIGINATOR \"a # maker\"\nILLUMINATION_NAME \"D50\"\nNUMBER_OF_FIELDS 5\nBEGIN_DATA_FORMAT\n\
        SAMPLE_ID SAMPLE_NAME LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\nNUMBER_OF_SETS 2\nBEGIN_DATA\n1 \"dark skin\" 37.5 14.4 14.9\n\
        2\twhite 96 -.5 2.4\nEND_DATA\n";

    #[test]
    fn both_kinds_are_read_alike() {
        let csv = "# made up\npatch,name,l,a,b\n1,dark skin,37.5,14.4,14.9\n2,white,96,-.5,2.4\n";
        let semicolons = "\u{feff}No;Name;L*;a*;b*\r\n1;\"dark skin\";37,5;14,4;14,9\r\n\r\n2;white;96;−0,5;2,4\r\n";
        let wanted = read(CGATS).expect("read");
        assert_eq!(wanted.patches.len(), 2);
        assert_eq!(
            wanted.patches[0],
            Listed { id: "1".into(), name: "dark skin".into(), lab: Lab::new(37.5, 14.4, 14.9) }
        );
        for other in [csv, semicolons] {
            assert_eq!(read(other), Ok(wanted.clone()), "{other}");
        }
    }

    #[test]
    fn the_white_is_read_and_of_two_sets_the_first_counts() {
        let both = read("patch,L_D65,a_D65,b_D65,L_D50,a_D50,b_D50\n1,10,1,2,20,3,4\n").expect("read");
        assert_eq!((both.white, both.patches[0].lab), (White::D65, Lab::new(10.0, 1.0, 2.0)));
        assert_eq!(read(&CGATS.replace("\"D50\"", "D65")).expect("read").white, White::D65);
        assert_eq!(read("l,a,b\n1,2,3").expect("read").white, White::D50);
        assert_eq!(read("l,a,b\n1,2,3").expect("read").patches[0].id, "1");
    }

    #[test]
    fn a_refusal_names_the_line_and_the_mend() {
        let cases = [
            ("", "no patch is given"),
            ("patch,x,y\n1,2,3\n", "line 1: no columns for CIELAB"),
            ("patch,l,a,b\n1,2,3\n", "line 2: 3 cells for 4 columns"),
            ("# c\npatch,l,a,b\n1,2,3,x\n", "line 3: `x` is no number for b*"),
            ("patch,l,a,b\n1,101,3,4\n", "line 2: L* of 101 is out of reason: it lies from 0 to 100"),
            ("patch,l,a,b\n1,NaN,3,4\n", "line 2: L* of NaN is out of reason"),
            ("patch,l,a,b\n\"1,2,3,4\n", "line 2: a quotation mark is not closed"),
            (&CGATS.replace("LAB_B", "XYZ_Z"), "line 5: no columns for CIELAB"),
            (&CGATS.replace("96 -.5", "96"), "line 11: 4 values for 5 fields"),
            (&CGATS.replace("SETS 2", "SETS 24"), "line 8: the file promises 24 patches and has 2"),
            (&CGATS.replace("END_DATA\n", ""), "line 11: the data have no end"),
            (&CGATS.replace("END_DATA_FORMAT\n", ""), "line 5: the format has no end"),
            (&CGATS.replace("\"D50\"", "\"A\""), "line 3: values for illuminant A cannot be used"),
        ];
        for (text, says) in cases {
            let refusal = read(text).expect_err("refused").to_string();
            assert!(refusal.contains(says), "{text}\n{refusal}");
        }
    }
}
