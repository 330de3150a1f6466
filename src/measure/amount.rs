//! Figures with their units, simple or compound (`2 yd 1 ft 3 in`), before they become a value.

use super::{
    Kind, Unreadable,
    cursor::Cursor,
    figure::{self, Figure},
    ratio::Ratio,
    units::{self, Nature, Unit},
};

/// One amount as written. The last unit may be missing: in `12–14 in` the first end borrows the second's.
#[derive(Debug, Clone)]
pub(crate) struct Amount {
    parts: Vec<(Figure, Option<&'static Unit>)>,
    negative: bool,
    pub(crate) start: usize,
}

/// An amount in the unit of its kind.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Known {
    pub(crate) value: f64,
    /// The value without the offset of a temperature scale: what a difference is worth.
    pub(crate) size: f64,
    /// Standard uncertainty of the writing.
    pub(crate) u: f64,
    pub(crate) rough: bool,
}

/// Whether an amount of this kind may begin here.
pub(crate) fn begins(cursor: &Cursor, kind: Kind) -> bool {
    let mut ahead = *cursor;
    ahead.skip_blanks();
    if signed(kind) {
        ahead.take(|c| matches!(c, '-' | '−'));
    }
    figure::begins(&ahead)
}

/// Whether a minus sign makes sense for this kind.
fn signed(kind: Kind) -> bool {
    matches!(kind, Kind::Temperature | Kind::Angle)
}

fn compounds(kind: Kind) -> bool {
    matches!(kind, Kind::Length | Kind::Mass | Kind::Duration | Kind::Angle)
}

/// Reads the amount that stands here.
pub(crate) fn read(cursor: &mut Cursor, kind: Kind) -> Result<Amount, Unreadable> {
    let table = units::of(kind);
    cursor.skip_blanks();
    let start = cursor.at;
    let negative = signed(kind) && cursor.take(|c| matches!(c, '-' | '−')).is_some();
    let mut parts = Vec::new();
    loop {
        let figure = figure::read(cursor)?;
        if kind == Kind::Length {
            not_an_area(cursor)?;
        }
        let unit =
            units::eat(cursor, table).map_or_else(|| aune_in_parts(cursor, kind), |unit| Ok((figure, Some(unit))))?;
        let (figure, unit) = match unit {
            (added, Some(unit)) if added.start != figure.start => (joined(figure, added)?, Some(unit)),
            (_, Some(unit)) => (figure, Some(unit)),
            (_, None) => (figure, None),
        };
        parts.push((figure, unit));
        if unit.is_none() || !compounds(kind) || !figure::begins(cursor) {
            return Ok(Amount { parts, negative, start });
        }
    }
}

/// Refuses `4.1 cm2` as a length: read as centimetres it would leave a 2 over.
fn not_an_area(cursor: &Cursor) -> Result<(), Unreadable> {
    let (mut long, mut square) = (*cursor, *cursor);
    units::eat(&mut long, units::of(Kind::Length));
    if units::eat(&mut square, units::of(Kind::Area)).is_none() || square.at <= long.at {
        return Ok(());
    }
    let unit = cursor.text.get(cursor.at..square.at).unwrap_or("").trim();
    Err(Unreadable::new(cursor.at, format!("`{unit}` is a unit of area, not of length")))
}

/// `1 aune 1/4 de Paris`: the fraction stands inside the name of the unit.
fn aune_in_parts(cursor: &mut Cursor, kind: Kind) -> Result<(Figure, Option<&'static Unit>), Unreadable> {
    let nothing =
        Figure { value: Ratio::whole(0), step: figure::Step::Whole, start: usize::MAX, end: cursor.at, bare: None };
    let mut ahead = *cursor;
    if kind != Kind::Length || !ahead.eat_any(&["aunes", "aune"]) || !figure::begins(&ahead) {
        return Ok((nothing, None));
    }
    let fraction = figure::read(&mut ahead)?;
    if !ahead.eat("de Paris") {
        return Ok((nothing, None));
    }
    let paris = units::of(kind).iter().find(|unit| unit.spellings.contains(&"aune de Paris"));
    *cursor = ahead;
    Ok((fraction, paris))
}

fn joined(whole: Figure, fraction: Figure) -> Result<Figure, Unreadable> {
    let value = whole.value.plus(fraction.value).ok_or_else(|| figure::too_large(whole.start))?;
    Ok(Figure { value, step: fraction.step, start: whole.start, end: fraction.end, bare: None })
}

impl Amount {
    /// The unit, when the amount has one figure with a unit.
    pub(crate) fn sole_unit(&self) -> Option<&'static Unit> {
        match self.parts.as_slice() {
            [(_, unit)] => *unit,
            _ => None,
        }
    }

    /// Refuses a count with a fraction. Beside `±` one is allowed: the middle of `5–8` prints as 6.5 ± 0.9.
    pub(crate) fn counted_whole(&self, kind: Kind) -> Result<(), Unreadable> {
        match self.parts.iter().find(|(figure, _)| !figure.value.is_whole()) {
            Some((figure, _)) if kind == Kind::Count => Err(Unreadable::new(figure.start, "a count is a whole number")),
            _ => Ok(()),
        }
    }

    /// Where the last figure ends.
    pub(crate) fn end(&self) -> usize {
        self.parts.last().map_or(self.start, |(figure, _)| figure.end)
    }

    /// The amount in the unit of `kind`; a single figure without a unit takes `borrowed`.
    pub(crate) fn known(
        &self,
        kind: Kind,
        borrowed: Option<&'static Unit>,
        cursor: &Cursor,
    ) -> Result<Known, Unreadable> {
        let mut total = Ratio::whole(0);
        let mut step = Ratio::ONE;
        let mut offset = Ratio::whole(0);
        let mut larger: Option<(&Figure, &'static Unit)> = None;
        let (mut drift, mut rough) = (0.0, false);
        for (figure, unit) in &self.parts {
            let large = || figure::too_large(figure.start);
            let own = unit.or(if self.parts.len() == 1 { borrowed } else { None });
            let (size, inches) = match own {
                Some(unit) => (unit.size(), unit.nature == Nature::Inch),
                None if kind == Kind::Count => (Ratio::ONE, false),
                None => {
                    return Err(self.no_unit(figure, kind, larger.map(|(_, unit)| unit), cursor));
                }
            };
            if let (Some((before, unit)), Some(own)) = (larger, own) {
                in_order(before, unit, figure, own)?;
            }
            total = figure.value.times(size).and_then(|part| total.plus(part)).ok_or_else(large)?;
            step = figure.step.of_unit(inches).and_then(|step| step.times(size)).ok_or_else(large)?;
            if let Some(unit) = own {
                offset = unit.offset();
                larger = Some((figure, unit));
                rough |= unit.nature == Nature::Rough;
                drift = if unit.nature == Nature::Local { 0.01 } else { drift };
            }
        }
        let total = if self.negative { total.negated() } else { total };
        let value = total.plus(offset).ok_or_else(|| figure::too_large(self.start))?.to_f64();
        let u = (step.to_f64() / 12f64.sqrt()).hypot(drift * value / 3f64.sqrt());
        Ok(Known { value, size: total.to_f64(), u, rough })
    }

    /// Why no unit could be had: none written, or none that is known.
    fn no_unit(&self, figure: &Figure, kind: Kind, before: Option<&Unit>, cursor: &Cursor) -> Unreadable {
        let after = Cursor { text: cursor.text, at: figure.end };
        let written = cursor.text.get(figure.start..figure.end).unwrap_or("");
        let next = after.rest().trim_start().chars().next();
        if figure::begins(&after) {
            let mut there = after;
            there.skip_blanks();
            return Unreadable::new(there.at, format!("a second number follows `{written}` with no unit between"));
        }
        if next.is_some_and(figure::is_slash) {
            return Unreadable::new(
                figure.end,
                format!("the fraction after `{written}` is broken: nothing stands below the bar"),
            );
        }
        if next.is_some_and(|c| c.is_alphabetic() && !"xX".contains(c)) {
            return units::complain(&after, kind, units::of(kind));
        }
        let unit = usual(kind, figure, before);
        let mut why = format!("`{written}` has no unit");
        if self.parts.len() > 1 {
            why = format!("the last number, `{written}`, has no unit");
        }
        Unreadable::new(figure.end, why).nearest(units::splice(
            cursor.text,
            figure.end,
            figure.end,
            &format!(" {unit}"),
        ))
    }
}

fn in_order(before: &Figure, larger: &Unit, figure: &Figure, smaller: &Unit) -> Result<(), Unreadable> {
    let descending = smaller.size().to_f64() < larger.size().to_f64();
    if !descending {
        let (first, second) = (larger.spellings[0], smaller.spellings[0]);
        return Err(Unreadable::new(
            figure.start,
            format!("`{second}` cannot follow `{first}`: write the larger unit first"),
        ));
    }
    if !before.value.is_whole() {
        return Err(Unreadable::new(before.start, "only the last number of several may have a fraction"));
    }
    Ok(())
}

/// The unit to propose when none is written: the next one down in a compound, else the usual one.
fn usual(kind: Kind, figure: &Figure, before: Option<&Unit>) -> &'static str {
    match (kind, before.map_or("", |unit| unit.spellings[0])) {
        (Kind::Length, "ft" | "yd" | "nail" | "quarter") => "in",
        (Kind::Length, "toise") => "pieds",
        (Kind::Length, "pied") => "pouces",
        (Kind::Length, "pouce") => "lignes",
        (Kind::Length, "m") => "cm",
        (Kind::Length, _) => match figure.step {
            figure::Step::Fraction(_) => "in",
            figure::Step::Decimals(_) => "cm",
            // Of garments: a seam in millimetres, a waist in centimetres, a length in millimetres again (common practice).
            figure::Step::Whole if (20.0..200.0).contains(&figure.value.to_f64()) => "cm",
            figure::Step::Whole => "mm",
        },
        (Kind::Area, _) => "cm²",
        (Kind::Mass, "lb") => "oz",
        (Kind::Mass, _) => "g",
        (Kind::Duration, "h") => "min",
        (Kind::MassPerArea, _) => "g/m²",
        (Kind::Duration, _) => "h",
        (Kind::Angle, "deg") => "arcmin",
        (Kind::Angle, _) => "deg",
        (Kind::Percent, _) => "%",
        (Kind::Temperature, _) => "°C",
        (Kind::Illuminance, _) => "lx",
        (Kind::Ultraviolet, _) => "µW/lm",
        _ => "",
    }
}
