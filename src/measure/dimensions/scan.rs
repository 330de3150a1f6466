//! Every number of a record with the unit that follows it.

use super::super::{Kind, Quantity, cursor::Cursor, figure, units, units::Nature};

/// Metric, or inches and feet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum System {
    Metric,
    Imperial,
}

impl System {
    pub(super) fn other(self) -> System {
        match self {
            System::Metric => System::Imperial,
            System::Imperial => System::Metric,
        }
    }

    /// The unit that a number of this system has when its own is missing.
    pub(super) fn usual(self) -> &'static str {
        match self {
            System::Metric => "cm",
            System::Imperial => "in",
        }
    }
}

/// One number, or several that make one length (`6 ft. 7 in.`).
#[derive(Debug, Clone)]
pub(super) struct Amount {
    pub(super) start: usize,
    pub(super) end: usize,
    /// The figures as they can be read; the unit is at the end unless `system` is none.
    pub(super) figures: String,
    pub(super) system: Option<System>,
    /// The unit of the last figure, as it is spelt here.
    pub(super) unit: &'static str,
    /// Another reading of a fraction without a blank, `371/2` as `37 1/2`.
    pub(super) other: Option<String>,
    pub(super) remarks: Vec<String>,
}

impl Amount {
    /// The amount as a quantity, its missing unit being `unit`.
    pub(super) fn quantity(&self, unit: &str) -> Option<Quantity> {
        self.reading(&self.figures, unit)
    }

    /// The quantity of the other reading.
    pub(super) fn other_quantity(&self, unit: &str) -> Option<Quantity> {
        self.other.as_ref().and_then(|figures| self.reading(figures, unit))
    }

    fn reading(&self, figures: &str, unit: &str) -> Option<Quantity> {
        let text = if self.system.is_some() { figures.to_owned() } else { format!("{figures} {unit}") };
        Quantity::parse(Kind::Length, &text).ok()
    }
}

/// The numbers of `text` that may be lengths.
pub(super) fn amounts(text: &str) -> Vec<Amount> {
    let mut found = Vec::new();
    let mut cursor = Cursor { text, at: 0 };
    while let Some(c) = cursor.peek() {
        if let Some(end) = reference(&cursor) {
            cursor.at = end;
        } else if begins_here(&cursor) {
            let before = cursor;
            match amount(&mut cursor) {
                Some(amount) => found.push(amount),
                None if cursor.at == before.at => cursor.at += c.len_utf8(),
                None => {}
            }
        } else {
            cursor.at += c.len_utf8();
        }
    }
    found
}

/// Whether a number begins at this very place. A point begins one only after a blank or a bracket: not in `L.94`.
fn begins_here(cursor: &Cursor) -> bool {
    let before = cursor.text.get(..cursor.at).and_then(|text| text.chars().next_back());
    match cursor.peek().filter(|c| *c != ',') {
        Some('.') => figure::begins(cursor) && !before.is_some_and(|c| c.is_alphanumeric() || c == '.'),
        Some(c) => !c.is_whitespace() && figure::begins(cursor),
        None => false,
    }
}

/// The end of a catalogue number such as `1983-63-9a`, which is no measure.
fn reference(cursor: &Cursor) -> Option<usize> {
    let before = cursor.text.get(..cursor.at)?.chars().next_back();
    if before.is_some_and(char::is_alphanumeric) {
        return None;
    }
    let rest = cursor.rest();
    let end = rest.find(|c: char| !(c.is_ascii_alphanumeric() || matches!(c, '-' | '.'))).unwrap_or(rest.len());
    let word = rest[..end].trim_end_matches('.');
    let digits = |part: &&str| part.starts_with(|c: char| c.is_ascii_digit());
    let dashed = word.split('-').filter(digits).count() >= 3;
    let dotted = word.split('.').filter(digits).count() >= 3;
    (word.starts_with(|c: char| c.is_ascii_digit()) && (dashed || dotted)).then_some(cursor.at + word.len())
}

/// Other units whose numbers are no lengths.
const NOT_LENGTHS: &[&str] =
    &["lbs", "lb", "oz", "kg", "g", "gr", "grams", "pounds", "ounces", "%", "°", "carat", "ct"];

fn amount(cursor: &mut Cursor) -> Option<Amount> {
    let start = cursor.at;
    let (mut figures, mut other, mut remarks) = (String::new(), None, Vec::new());
    number(cursor, &mut figures, &mut other, &mut remarks)?;
    let mut end = cursor.at;
    if cursor.clone().eat_any(NOT_LENGTHS) {
        return None;
    }
    let (mut system, mut unit) = (None, "");
    while let Some(eaten) = eat_unit(cursor) {
        end = cursor.at;
        figures.push(' ');
        figures.push_str(eaten.0);
        if let Some(other) = &mut other {
            other.push(' ');
            other.push_str(eaten.0);
        }
        (system, unit) = (Some(eaten.1), eaten.0);
        // `6 ft. 7 in.`; the inches may be left to be understood: `13 ft. 4 3/8 x 35 in.`
        if !matches!(unit, "ft" | "yd") {
            break;
        }
        let mut ahead = *cursor;
        ahead.skip_blanks();
        ahead.take(|c| c == ',');
        ahead.skip_blanks();
        if !begins_here(&ahead) {
            break;
        }
        let mut more = String::new();
        let none = number(&mut ahead, &mut more, &mut None, &mut remarks).is_none();
        let mut next = ahead;
        let own = eat_unit(&mut next).map(|(unit, _)| unit);
        if none || own.is_some_and(|own| own != "in" && !(unit == "yd" && own == "ft")) {
            break;
        }
        figures.push(' ');
        figures.push_str(&more);
        *cursor = ahead;
        if own.is_none() {
            end = cursor.at;
            figures.push_str(" in");
            unit = "in";
            remarks.push(format!("`{more}` after feet is taken as inches"));
            break;
        }
    }
    Some(Amount { start, end, figures, system, unit, other, remarks })
}

/// Reads one number, mended where its spelling is broken; the mend is said.
fn number(
    cursor: &mut Cursor,
    figures: &mut String,
    other: &mut Option<String>,
    remarks: &mut Vec<String>,
) -> Option<()> {
    let from = cursor.at;
    let text = cursor.text;
    let written = |to: usize| text.get(from..to).unwrap_or("").trim();
    let mut ahead = *cursor;
    let Ok(read) = figure::read(&mut ahead) else { return broken(cursor, figures, remarks) };
    let mut said = written(ahead.at).to_owned();
    if let Some((above, below)) = read.bare {
        *other = fused(above, below);
    } else if read.value.is_whole() && !said.contains('.') {
        if let Some((end, fraction)) = and_fraction(&ahead) {
            said = format!("{said} {fraction}");
            ahead.at = end;
        } else if let Some((end, decimals)) = split_decimals(&ahead) {
            remarks.push(format!("`{}` is taken as {said}.{decimals}", written(end)));
            said = format!("{said}.{decimals}");
            ahead.at = end;
        }
    }
    *cursor = ahead;
    figures.push_str(&said);
    Some(())
}

/// `89.1/2`: a point where a blank belongs. Anything else that is broken is left, its digits passed over.
fn broken(cursor: &mut Cursor, figures: &mut String, remarks: &mut Vec<String>) -> Option<()> {
    let mut ahead = *cursor;
    let whole = ahead.take_digits();
    if ahead.take(|c| matches!(c, '.' | ',')).is_some() {
        let from = ahead.at;
        if let Ok(fraction) = figure::read(&mut ahead)
            && fraction.bare.is_some_and(|(above, below)| above < below)
        {
            let fraction = &cursor.text[from..ahead.at];
            remarks.push(format!("`{}` is taken as {whole} {fraction}", &cursor.text[cursor.at..ahead.at]));
            figures.push_str(whole);
            figures.push(' ');
            figures.push_str(fraction);
            *cursor = ahead;
            return Some(());
        }
    }
    cursor.take_digits();
    None
}

/// `371/2` may be 37 1/2: the last figures above the bar as a fraction of a carpenter's rule.
fn fused(above: i128, below: i128) -> Option<String> {
    if !matches!(below, 2 | 4 | 8 | 16 | 32) || above <= below {
        return None;
    }
    let digits = above.to_string();
    (1..digits.len()).find_map(|cut| {
        let (whole, top) = digits.split_at(cut);
        let top: i128 = top.parse().ok().filter(|top| *top > 0 && *top < below && top % 2 == 1)?;
        Some(format!("{whole} {top}/{below}"))
    })
}

/// ` and 3/4` after a whole number.
fn and_fraction<'a>(cursor: &Cursor<'a>) -> Option<(usize, &'a str)> {
    let mut ahead = *cursor;
    ahead.eat("and").then_some(())?;
    ahead.skip_blanks();
    let from = ahead.at;
    let fraction = figure::read(&mut ahead).ok().filter(|f| f.bare.is_some_and(|(above, below)| above < below))?;
    Some((ahead.at, cursor.text.get(from..fraction.end)?))
}

/// `81 .3 cm` and `139. 7 cm`: a blank inside a decimal number, told by the unit that follows.
fn split_decimals<'a>(cursor: &Cursor<'a>) -> Option<(usize, &'a str)> {
    let mut ahead = *cursor;
    let before = ahead.take(|c| c == ' ').is_some();
    ahead.take(|c| c == '.')?;
    let after = ahead.take(|c| c == ' ').is_some();
    let from = ahead.at;
    let digits = ahead.take_digits();
    let unit = eat_unit(&mut ahead.clone()).is_some_and(|(_, system)| system == System::Metric);
    (before != after && (1..=2).contains(&digits.len()) && unit).then_some((from + digits.len(), digits))
}

/// The unit of length that stands here, and its system. Old units are no part of a record's dimensions.
fn eat_unit(cursor: &mut Cursor) -> Option<(&'static str, System)> {
    let mut ahead = *cursor;
    // `246. cm`: a point that closes the number, not the sentence.
    let mut behind = ahead;
    behind.take(|c| c == '.');
    let unit = units::eat(&mut ahead, units::of(Kind::Length))
        .or_else(|| run_on(&mut ahead))
        .or_else(|| units::eat(&mut behind, units::of(Kind::Length)).inspect(|_| ahead = behind))?;
    let system = match unit.nature {
        Nature::Metric => System::Metric,
        Nature::Inch | Nature::Imperial => System::Imperial,
        _ => return None,
    };
    *cursor = ahead;
    Some((unit.spellings[0], system))
}

/// `55cmx30`: a unit with no blank before the sign that joins it to the next number.
fn run_on(cursor: &mut Cursor) -> Option<&'static units::Unit> {
    let mut ahead = *cursor;
    ahead.skip_blanks();
    let rest = ahead.rest();
    let length = rest.find(['x', 'X']).filter(|at| (1..=4).contains(at))?;
    let mut short = Cursor::new(&rest[..length]);
    let unit = units::eat(&mut short, units::of(Kind::Length)).filter(|_| short.at_end())?;
    cursor.at = ahead.at + length;
    Some(unit)
}
