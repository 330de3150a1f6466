//! The language in twenty lines, with examples, for the help of a command and for a page.

use super::key::{KEYS, THINGS};

/// The rules of the language, a line each.
pub const RULES: [&str; 12] = [
    "a word               anywhere, whatever its case and accents, or as a beginning: pleat finds pleated, not the reverse",
    "\"two words\"          exactly these, in this order; in quotes a single word is taken as it stands",
    "key:value            one thing asked for; quote a value that holds blanks: fibre:\"tussah silk\"",
    "and, or, not, ( )    `not` binds closest, then `and` (or just a blank), then `or`; fibre:(silk or wool) works too",
    "fibre:silk           the term and all its kinds (tussah silk); fibre:=silk that term alone",
    "bust:>80cm           more than; also < >= <=; 80..90cm between; bust:80cm what rounds to it; any dimension is a key",
    "bust:=80..90cm       surely: with two standard uncertainties on either side, and no mere limit (`at least`)",
    "date:1800..1820      the date may be of these years: `c. 1815` (1810-1820) is in, so is `after 1790`",
    "date:=1800..1820     the date lies wholly within them: `after 1790` is out",
    "has:photograph       recorded at all; lacks:fibre not recorded; takes any key",
    "not fibre:silk       another fibre is recorded. A blank is not a no: pieces without any recorded fibre are left out and",
    "                     counted; `--undecided`, or `not fibre:silk or lacks:fibre`, takes them in",
];

/// Searches that show the language, each with what it finds.
pub const EXAMPLES: [(&str, &str); 8] = [
    ("silk twill", "both words anywhere in the record"),
    ("\"silk twill\" not nature:reconstruction", "the phrase, in pieces that are no reconstruction"),
    ("garment:bodice date:1800..1820 fibre:(silk or cotton)", "bodices that may be of these years"),
    ("purpose:\"side back seam\" stitches:8..10/in", "a side back seam, and some line of 8 to 10 stitches an inch"),
    ("sett:>30 yarn:<20tex", "a fine cloth: more than 30 threads per cm, of yarn finer than 20 tex"),
    ("condition:active or hazard:\"arsenic green\"", "what to look at first"),
    ("has:condition lacks:photograph examined:<2022", "looked at before 2022, and never photographed"),
    ("kept:\"regency bodices\" waist:<70cm", "of a search that was kept under that name"),
];

/// Rules, examples and keys as plain text.
pub fn guide() -> String {
    let mut text = String::from("How to ask\n");
    let mut line = |line: String| {
        text.push_str(&line);
        text.push('\n');
    };
    RULES.iter().for_each(|rule| line(format!("  {rule}")));
    line(String::new());
    line("Examples (on a command line put the whole search in single quotes)".into());
    EXAMPLES.iter().for_each(|(query, finds)| line(format!("  {query}\n      {finds}")));
    line(String::new());
    line("Keys".into());
    for key in KEYS {
        line(format!("  {:12} {}; {}", key.name, key.help, key.example));
    }
    line(String::new());
    line(format!("has: and lacks: take any key, and {}", THINGS.join(", ")));
    text
}
