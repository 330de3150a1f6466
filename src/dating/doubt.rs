//! Marks of doubt around a date: `c.`, `probably`, `?`.

/// Doubt marked around the years. `circa` widens a single year; the rest is kept for EDTF alone.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Doubt {
    pub(super) circa: bool,
    pub(super) uncertain: bool,
}

impl Doubt {
    pub(super) fn mark(self) -> &'static str {
        match (self.circa, self.uncertain) {
            (true, true) => "%",
            (true, false) => "~",
            (false, true) => "?",
            (false, false) => "",
        }
    }
}

/// The phrase without the marks of doubt around it.
pub(super) fn marks(lower: &str) -> (&str, Doubt) {
    const CIRCA: [&str; 9] = ["circa", "ca.", "ca", "c.", "c", "about", "around", "approximately", "~"];
    const UNCERTAIN: [&str; 6] = ["probably", "possibly", "perhaps", "likely", "maybe", "?"];
    const VERBS: [&str; 6] = ["designed", "made in", "made", "worn", "dated to", "dated"];
    let mut doubt = Doubt::default();
    let mut core = lower.trim();
    loop {
        let before = core;
        core = without(core, &CIRCA, &mut doubt.circa);
        core = without(core, &UNCERTAIN, &mut doubt.uncertain);
        core = without(core, &VERBS, &mut false);
        if core == before {
            break;
        }
    }
    if let Some(rest) = core.strip_suffix("(?)").or_else(|| core.strip_suffix('?')) {
        (core, doubt.uncertain) = (rest.trim(), true);
    }
    for suffix in [" circa", " ca.", " ca", " c"] {
        if let Some(rest) = core.strip_suffix(suffix).filter(|rest| rest.ends_with(|c: char| c.is_ascii_digit())) {
            (core, doubt.circa) = (rest.trim(), true);
            break;
        }
    }
    (core, doubt)
}

/// `core` without one of these words before it; a word of letters must not run on into another.
fn without<'a>(core: &'a str, words: &[&str], found: &mut bool) -> &'a str {
    for word in words {
        let Some(rest) = core.strip_prefix(word) else { continue };
        if rest.chars().next().is_some_and(|c| c.is_alphabetic() && word.ends_with(char::is_alphabetic)) {
            continue;
        }
        *found = true;
        return rest.trim_start();
    }
    core
}
