//! Records filled at random, field by field: whatever a record lists is filled, so a new field is tried at once.

use dimity::dating::{Conventions, Dated};
use dimity::measure::{Kind, Quantity};
use dimity::record::form::{Earlier, Field, Form, Record, Rows};
use dimity::record::treatment::ConsentWithdrawal;
use dimity::record::{Examination, PieceFile};
use dimity::vocabulary::{Scheme, TermId, Vocabulary};
use jiff::civil::Date;

/// A small generator of pseudo-random numbers (xorshift, Marsaglia 2003), so that the same start repeats a case.
pub struct Dice(u64);

impl Dice {
    pub fn new(start: u64) -> Self {
        Self(start.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1)
    }

    pub fn next(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }

    pub fn below(&mut self, end: usize) -> usize {
        (self.next() >> 11) as usize % end.max(1)
    }

    pub fn percent(&mut self, chance: u8) -> bool {
        self.below(100) < usize::from(chance)
    }

    pub fn pick<'a, T>(&mut self, list: &'a [T]) -> &'a T {
        &list[self.below(list.len())]
    }
}

/// Texts that have broken programs before. None begins or ends with a blank: a sheet does not keep those.
pub const NASTY: &[&str] = &[
    "<script>alert(1)</script>",
    "</textarea><img src=x onerror=alert(1)>",
    "&amp; &lt;b&gt; &#39;",
    "a \"quoted\" 'word' `here`",
    "\"\"\"",
    "'''",
    "back\\slash \\n \\u0041 \\",
    "line one\nline two\r\nline three\ttab",
    "bell \u{7} escape \u{1b}[31m nul \u{0} delete \u{7f} next line \u{85}x",
    "# no comment",
    "[piece]",
    "x = \"y\"",
    "'); DROP TABLE piece; --",
    "%s %n {} {{ }} ${x} $(x)",
    "🧵🪡 👩🏽‍🔬",
    "עברית ואנגלית mixed العربية",
    "\u{202e}reversed\u{202c}",
    "e\u{301} é ß ﬀ İ ı",
    "\u{feff}mark",
    "=1+1",
    "null",
    "0x1F",
    "last",
    "..",
    "-",
];

/// How the lengths, counts and so on of one kind may be written; the texts of a group mean about the same.
fn written(kind: Kind) -> &'static [&'static [&'static str]] {
    match kind {
        Kind::Length => &[
            &["27 1/2 in", "27 ½ in", "27½\"", "698 mm", "69.9 cm", "0.7 m", "c. 70 cm", "27.5 in ± 0.1 in"],
            &["5 mm", "0.5 cm", "3/16 in", "4-6 mm", "at least 4 mm"],
            &["1 yd", "36 in", "3 ft", "91,4 cm"],
        ],
        Kind::Area => &[&["4.1 cm2", "410 mm²", "2 x 2 cm"]],
        Kind::Density => &[&["9 in 1 in", "10 in 1 in", "4 per cm", "36 in 10 cm"], &["48 in 1 in", "19/cm"]],
        Kind::Count => &[&["6", "about 6"]],
        Kind::Percent => &[&["15 %", "12%", "c. 20 %"]],
        Kind::Mass => &[&["120 g", "0.12 kg"]],
        Kind::MassPerArea => &[&["120 g/m2", "120 gsm", "3.5 oz/yd²"]],
        Kind::Angle => &[&["20 deg", "22°"]],
        Kind::Yarn => &[&["20 tex", "30/2 Ne", "200 dtex"]],
        Kind::Duration => &[&["1 h 30 min", "90 min", "1.5 h"]],
        Kind::Temperature => &[&["18 °C", "64 °F"]],
        Kind::Illuminance => &[&["50 lx", "48 ± 5 lux", "about 5 fc"]],
        Kind::Ultraviolet => &[&["10 µW/lm", "at most 75 uW/lm"]],
        Kind::Scale => &[&["1:8", "1:1"]],
        Kind::Extent => &[&["6", "12 mm", "4.1 cm2", "2 x 3 cm", "15 %"]],
    }
}

const DATES: &[&str] =
    &["c. 1812", "1780-90", "late 18th century", "1815", "not dated", "1798-02", "1810s", "after 1830"];

fn quantity(kind: Kind, text: &str) -> Quantity {
    Quantity::parse(kind, text).unwrap_or_else(|e| panic!("`{text}` should read: {e}"))
}

/// Fills the fields of whatever it is walked over.
pub struct Filler<'a> {
    pub dice: Dice,
    pub vocabulary: &'a Vocabulary,
    /// How many of a hundred fields that may stay blank are filled.
    pub density: u8,
    /// Numbers of pieces that may serve as models.
    pub models: &'a [&'a str],
    /// Whether ids, continued notes and withdrawals are made up too: for a sheet that is only read.
    pub paper: bool,
    section: &'static str,
    components: Vec<String>,
}

/// A piece and one examination, filled at random and settled as a sheet is when it is read.
pub fn file(start: u64, density: u8, models: &[&str], paper: bool) -> PieceFile {
    let vocabulary = Vocabulary::shipped();
    let mut filler =
        Filler { dice: Dice::new(start), vocabulary, density, models, paper, section: "", components: Vec::new() };
    let mut file = PieceFile { examinations: vec![Examination::default()], ..PieceFile::default() };
    file.sections(Some(0), &mut filler);
    for measurement in file.examinations.iter_mut().flat_map(|exam| &mut exam.measurements).map(|o| &mut o.what) {
        // No dimension is a part of itself, and only a part stands for several.
        measurement.adds_up_to =
            measurement.adds_up_to.take().filter(|whole| measurement.dimension.as_ref() != Some(whole));
        measurement.times = measurement.times.filter(|n| *n <= 1000 && measurement.adds_up_to.is_some());
    }
    for treatment in &mut file.treatments {
        // Only what was agreed to is taken back, and then with who, when and why.
        if treatment.check_withdrawal().is_err() {
            treatment.withdrawal = ConsentWithdrawal::default();
        }
    }
    for work in &mut file.work {
        // A length or a state is that of a line of stitches, and stitches are of some stitch.
        let named = work.purpose.is_some();
        work.sewn = work.sewn.take().filter(|sewn| named && sewn.value > 0.0);
        work.done = work.done.take().filter(|_| named);
        let stitched = named || work.stitch.is_some();
        work.stitches = work.stitches.take().filter(|stitches| stitched && stitches.value > 0.0);
    }
    for display in &mut file.displays {
        // Nothing comes down before it was put up.
        display.to = display.to.filter(|to| display.from.is_none_or(|from| *to >= from));
    }
    file.settle();
    file.name_components(vocabulary);
    file
}

/// A text with no blank at either end.
pub fn text(dice: &mut Dice) -> String {
    let made = match dice.below(10) {
        0 => "long ".repeat(400 + dice.below(2000)),
        1..=3 => (0..=dice.below(12)).filter_map(|_| char::from_u32(dice.below(0x11_0000) as u32)).collect(),
        _ => dice.pick(NASTY).to_string(),
    };
    let made = made.trim();
    if made.is_empty() { "x".into() } else { made.into() }
}

impl Filler<'_> {
    fn wanted(&mut self, field: Field) -> bool {
        field.needed || self.dice.percent(self.density)
    }

    fn readings(&mut self, kind: Kind) -> Vec<Quantity> {
        let group = *self.dice.pick(written(kind));
        (0..=self.dice.below(3)).map(|_| quantity(kind, self.dice.pick::<&str>(group))).collect()
    }
}

impl Form for Filler<'_> {
    fn text(&mut self, field: Field, value: &mut Option<String>) {
        let needed_here = self.section == "made_after" && field.name == "source";
        if (field.name == "withdrawn" && !self.paper) || !(needed_here || self.wanted(field)) {
            return;
        }
        let mut made = text(&mut self.dice);
        match (self.section, field.name) {
            ("piece", "number") => {
                let shown: String = made.chars().filter(|c| !c.is_control()).take(60).collect();
                made = format!("{} {:x}", shown.trim(), self.dice.next()).trim().into();
            }
            ("component", "name") => {
                made = format!("{} {made}", self.components.len());
                self.components.push(made.clone());
            }
            _ => {}
        }
        *value = Some(made);
    }
    fn texts(&mut self, field: Field, value: &mut Vec<String>) {
        if self.wanted(field) {
            value.extend((0..=self.dice.below(3)).map(|_| text(&mut self.dice)));
        }
    }
    fn integer(&mut self, field: Field, value: &mut Option<i64>) {
        if self.wanted(field) {
            let most = if field.name == "ply" { 100 } else { 10_000 };
            let any = [i64::MAX, i64::MIN, -1, 0];
            let free = field.name == "order_of_work" && self.dice.percent(30);
            *value = Some(if free { *self.dice.pick(&any) } else { 1 + self.dice.below(most) as i64 });
        }
    }
    fn number(&mut self, field: Field, value: &mut Option<f64>) {
        if self.wanted(field) {
            *value = Some(match field.name {
                "density" => *self.dice.pick(&[0.91, 1.34, 19.3]),
                "birefringence" => *self.dice.pick(&[-0.003, 0.0, 1e-7, 0.05]),
                _ => *self.dice.pick(&[0.0, 38.2, 1e-7, 99.999_999_999_999, 100.0 / 3.0, f64::MIN_POSITIVE]),
            });
        }
    }
    fn day(&mut self, field: Field, value: &mut Option<Date>) {
        if self.wanted(field) {
            let days = ["1500-01-01", "2031-03-02", "2028-02-29", "2500-12-31"];
            *value = self.dice.pick(&days).parse().ok();
        }
    }
    fn dated(&mut self, field: Field, value: &mut Option<Dated>) {
        if self.wanted(field) {
            let text = *self.dice.pick(DATES);
            *value = Some(Dated::parse(text, &Conventions::default()).unwrap_or_else(|e| panic!("`{text}`: {e}")));
        }
    }
    fn term(&mut self, field: Field, scheme: Scheme, value: &mut Option<TermId>) {
        if self.wanted(field) {
            let terms: Vec<_> = self.vocabulary.terms(scheme).collect();
            *value = Some(self.dice.pick(&terms).id.clone());
        }
    }
    fn terms(&mut self, field: Field, scheme: Scheme, value: &mut Vec<TermId>) {
        for _ in 0..3 {
            let mut one = None;
            self.term(field, scheme, &mut one);
            value.extend(one);
        }
    }
    fn choice(&mut self, field: Field, words: &'static [&'static str], value: &mut Option<String>) {
        if self.wanted(field) {
            *value = Some((*self.dice.pick(words)).to_owned());
        }
    }
    fn quantity(&mut self, field: Field, kind: Kind, value: &mut Option<Quantity>) {
        if self.wanted(field) {
            *value = self.readings(kind).pop();
        }
    }
    fn quantities(&mut self, field: Field, kind: Kind, value: &mut Vec<Quantity>) {
        if self.wanted(field) {
            *value = self.readings(kind);
        }
    }
    fn component(&mut self, field: Field, value: &mut Option<String>) {
        // A component is part of one listed before it, so that no circle arises.
        let known = self.components.len().saturating_sub(usize::from(self.section == "component"));
        if known > 0 && self.wanted(field) {
            *value = Some(self.components[self.dice.below(known)].clone());
        }
    }
    fn person(&mut self, field: Field, value: &mut Option<String>) {
        if self.wanted(field) {
            *value = Some(text(&mut self.dice));
        }
    }
    fn piece(&mut self, field: Field, value: &mut Option<String>) {
        if !self.models.is_empty() && self.wanted(field) {
            *value = Some((*self.dice.pick(self.models)).to_owned());
        }
    }
    fn earlier(&mut self, field: Field, _: Earlier, value: &mut Option<String>) {
        if self.paper && self.wanted(field) {
            *value = Some(text(&mut self.dice));
        }
    }
    fn id(&mut self, value: &mut Option<String>) {
        if self.paper && self.dice.percent(self.density) {
            *value = Some(text(&mut self.dice));
        }
    }
    fn row(&mut self, field: Field, row: &mut dyn Record) {
        if matches!(field.name, "piece" | "examination") {
            self.section = field.name;
        }
        row.fields(self);
    }
    fn rows(&mut self, field: Field, rows: &mut dyn Rows) {
        let inner = matches!(
            field.name,
            "fibres" | "colours" | "steps" | "materials" | "options" | "tests" | "planned" | "proposed_materials"
        );
        if !inner {
            self.section = field.name;
        }
        let most = if self.density > 50 { 3 } else { 2 };
        for _ in 0..self.dice.below(most) {
            rows.add().fields(self);
        }
    }
}

/// Changes some of the fields that may be corrected.
pub struct Changer {
    pub dice: Dice,
    pub changed: u32,
}

impl Changer {
    fn now(&mut self) -> bool {
        let now = self.dice.percent(6);
        self.changed += u32::from(now);
        now
    }
}

impl Form for Changer {
    fn text(&mut self, field: Field, value: &mut Option<String>) {
        // Numbers and names tie records together; what makes a line what it is stays.
        if !field.needed && field.name != "source" && !field.name.starts_with("consent_withdrawn") && self.now() {
            *value = Some(text(&mut self.dice));
        }
    }
    fn choice(&mut self, field: Field, words: &'static [&'static str], value: &mut Option<String>) {
        if !field.needed && self.now() {
            *value = Some((*self.dice.pick(words)).to_owned());
        }
    }
    fn quantity(&mut self, _: Field, kind: Kind, value: &mut Option<Quantity>) {
        if self.now() {
            let group = *self.dice.pick(written(kind));
            *value = Some(quantity(kind, self.dice.pick::<&str>(group)));
        }
    }
    fn person(&mut self, field: Field, value: &mut Option<String>) {
        if !field.needed && !field.name.starts_with("consent_withdrawn") && self.now() {
            *value = Some(text(&mut self.dice));
        }
    }
    fn id(&mut self, _: &mut Option<String>) {}
    fn row(&mut self, _: Field, row: &mut dyn Record) {
        row.fields(self);
    }
    fn rows(&mut self, field: Field, rows: &mut dyn Rows) {
        if matches!(field.name, "fibres") && rows.count() > 1 && self.now() {
            rows.drop_last();
        }
        for i in 0..rows.count() {
            rows.at(i).fields(self);
        }
    }
}
