//! Dates against the rows of `fixtures/checks`, and the phrases that a catalogue writes.

use super::{Beyond, Conventions, Cut, Dated, edtf};

mod conventions;
mod languages;
mod properties;
mod stress;

fn rows(text: &str) -> Vec<Vec<String>> {
    let mut found = Vec::new();
    for line in text.lines().filter(|line| !line.starts_with('#')).skip(1) {
        let (mut row, mut field, mut quoted) = (Vec::new(), String::new(), false);
        for c in line.chars() {
            match c {
                '"' => quoted = !quoted,
                ',' if !quoted => row.push(std::mem::take(&mut field)),
                c => field.push(c),
            }
        }
        row.push(field);
        found.push(row);
    }
    found
}

/// The year of a bound such as `-170000002-01-01`; nothing for an open, unknown or undefined end.
fn year(bound: &str) -> Option<i32> {
    let digits = bound.strip_prefix('-').unwrap_or(bound).split('-').next()?;
    let year: i32 = digits.parse().ok()?;
    Some(if bound.starts_with('-') { -year } else { year })
}

#[test]
fn every_edtf_row_is_read_or_refused_as_the_specification_says() {
    for row in rows(include_str!("../../../fixtures/checks/dates_edtf.csv")) {
        let (text, status, lower, upper) = (row[0].as_str(), row[2].as_str(), row[3].as_str(), row[4].as_str());
        let found = edtf::years(text);
        if status == "invalid" {
            assert!(found.is_err(), "`{text}` was read as {found:?}");
            continue;
        }
        let found = found.unwrap_or_else(|refusal| panic!("`{text}`: {refusal}"));
        let wanted = match (year(lower), year(upper), lower.is_empty()) {
            // The specification gives a season no bounds: the whole year is taken.
            (None, None, true) => (year(&text[..4]), year(&text[..4])),
            (first, last, _) => (first, last),
        };
        assert_eq!(found, wanted, "`{text}`");
    }
}

/// Rows that no reading here meets, with the reason.
const NOT_MET: [(&str, &str, &str); 3] = [
    ("probably late 12th century", "CCO", "doubt is a qualifier and widens nothing"),
    ("fl. 1760", "ObjectID", "the life of a maker, not the date of a piece"),
    ("1798-02", "any", "February 1798 in EDTF, which goes first; the remark offers the years"),
];

#[test]
fn every_phrase_row_gives_its_years_under_its_own_convention() {
    for row in rows(include_str!("../../../fixtures/checks/dates_phrases.csv")) {
        let (text, convention) = (row[0].as_str(), row[4].as_str());
        let conventions = match convention {
            "c01" | "UMass" => Conventions { century_from: 1, ..Conventions::default() },
            "ObjectID" => Conventions { circa_years: 10, beyond: Beyond::Hundred, ..Conventions::default() },
            "UCSD" => Conventions { cut: Cut::Quarters, ..Conventions::default() },
            _ => Conventions::default(),
        };
        let found = Dated::parse(text, &conventions);
        let wanted = (row[1].parse().ok(), row[2].parse().ok());
        if NOT_MET.iter().any(|(phrase, under, _)| *phrase == text && *under == convention) {
            let met = found.is_ok_and(|found| (found.earliest, found.latest) == wanted);
            assert!(!met, "`{text}` ({convention}) is met after all: take it off the list");
            continue;
        }
        let found = found.unwrap_or_else(|refusal| panic!("`{text}`: {refusal}"));
        assert_eq!((found.earliest, found.latest), wanted, "`{text}` ({convention})");
    }
}

#[test]
fn phrases_of_a_catalogue_give_years_and_edtf() {
    let cases = [
        ("c. 1812", Some(1807), Some(1817), "1812~"),
        ("made in 1815", Some(1815), Some(1815), "1815"),
        ("c1812", Some(1807), Some(1817), "1812~"),
        ("circa 1760", Some(1755), Some(1765), "1760~"),
        ("c. 1760-75", Some(1760), Some(1775), "1760~/1775~"),
        ("c. 1760 – c. 1775", Some(1755), Some(1780), "1760~/1775~"),
        ("1760 – c. 1775", Some(1760), Some(1780), "1760/1775~"),
        ("1780-90", Some(1780), Some(1790), "1780/1790"),
        ("1820-40", Some(1820), Some(1840), "1820/1840"),
        ("1810-30", Some(1810), Some(1830), "1810/1830"),
        ("1830-35?", Some(1830), Some(1835), "1830?/1835?"),
        // The season of EDTF stays one, and its remark says how the years are written.
        ("1815-22", Some(1815), Some(1815), "1815-22"),
        ("1845-31", Some(1845), Some(1845), "1845-31"),
        ("1805\u{2013}10", Some(1805), Some(1810), "1805/1810"),
        ("1798\u{2013}02", Some(1798), Some(1802), "1798/1802"),
        ("1880s", Some(1880), Some(1889), "188X"),
        ("1880’s", Some(1880), Some(1889), "188X"),
        ("mid-1880s", Some(1884), Some(1886), "1884/1886"),
        ("1870s-80s", Some(1870), Some(1889), "1870/1889"),
        ("1790-1810s", Some(1790), Some(1819), "1790/1819"),
        ("late 18th century", Some(1767), Some(1799), "1767/1799"),
        ("mid 19th C", Some(1833), Some(1866), "1833/1866"),
        ("18th c.", Some(1700), Some(1799), "17XX"),
        ("eighteenth century", Some(1700), Some(1799), "17XX"),
        ("the second quarter of the nineteenth century", Some(1825), Some(1849), "1825/1849"),
        ("late 18th–early 19th century", Some(1767), Some(1832), "1767/1832"),
        ("mid to late 18th century", Some(1733), Some(1799), "1733/1799"),
        ("mid-18th to late 19th century", Some(1733), Some(1899), "1733/1899"),
        ("18th or 19th century", Some(1700), Some(1899), "1700/1899"),
        ("before 1800", None, Some(1799), "../1799"),
        ("pre-1800", None, Some(1799), "../1799"),
        ("by c. 1800", None, Some(1805), "../1800~"),
        ("after 1850", Some(1851), None, "1851/.."),
        ("after the 1850s", Some(1860), None, "1860/.."),
        ("since 1850", Some(1850), None, "1850/.."),
        ("1795 or 1796", Some(1795), Some(1796), "[1795,1796]"),
        ("probably 1815", Some(1815), Some(1815), "1815?"),
        ("probably c. 1815", Some(1810), Some(1820), "1815%"),
        ("1815 (?)", Some(1815), Some(1815), "1815?"),
        ("14 March 1987", Some(1987), Some(1987), "1987-03-14"),
        ("14th Mar. 1987", Some(1987), Some(1987), "1987-03-14"),
        ("March 14, 1987", Some(1987), Some(1987), "1987-03-14"),
        ("March\u{a0}1987", Some(1987), Some(1987), "1987-03"),
        ("14 March 1987 to 2 April 1988", Some(1987), Some(1988), "1987-03-14/1988-04-02"),
        ("spring 1815", Some(1815), Some(1815), "1815-21"),
        ("1987-03-14", Some(1987), Some(1987), "1987-03-14"),
        ("1740/41", Some(1740), Some(1741), "1740/1741"),
        ("14.3.1987", Some(1987), Some(1987), "1987-03-14"),
        ("3/14/1987", Some(1987), Some(1987), "1987-03-14"),
        ("12/03/1987", Some(1987), Some(1987), "[1987-03-12,1987-12-03]"),
        ("3/3/1987", Some(1987), Some(1987), "1987-03-03"),
        ("1890s or 1900s", Some(1890), Some(1909), "1890/1909"),
        ("between 1770 and 1780", Some(1770), Some(1780), "1770/1780"),
        ("from 1770 to 1780", Some(1770), Some(1780), "1770/1780"),
    ];
    for (text, earliest, latest, written) in cases {
        let found = Dated::parse(text, &Conventions::default()).unwrap_or_else(|refusal| panic!("`{text}`: {refusal}"));
        assert_eq!((found.earliest, found.latest), (earliest, latest), "`{text}`");
        assert_eq!(found.edtf.as_deref(), Some(written), "`{text}`");
        let again = edtf::years(written).unwrap_or_else(|refusal| panic!("EDTF of `{text}`, `{written}`: {refusal}"));
        if !text.contains("c.") && !text.contains("c1") && !text.contains("circa") {
            assert_eq!(again, (earliest, latest), "EDTF of `{text}`");
        }
    }
}

#[test]
fn what_has_no_date_gives_no_year() {
    for text in ["undated", "Unknown", "n.d.", " not dated "] {
        let found = Dated::parse(text, &Conventions::default()).unwrap();
        assert_eq!((found.earliest, found.latest, found.edtf), (None, None, None), "{text}");
    }
}

#[test]
fn what_is_no_date_is_refused_with_place_and_proposal() {
    let cases: [(&str, usize, Option<&str>); 17] = [
        ("", 0, None),
        ("85", 0, None),
        ("30.2.1987", 0, None),
        ("13/13/1987", 0, None),
        ("3.14.1987", 0, None),
        ("1800s or later", 0, None),
        ("1800s", 0, Some("1800–1809")),
        ("1801-02-29", 0, None),
        ("30 February 1987", 0, None),
        ("1820/06/01", 5, None),
        ("1790–1780", 0, Some("1780 – 1790")),
        ("1768-5", 5, None),
        ("1790–80", 7, None),
        ("c. 18 cm", 3, None),
        ("late 18th centruy", 0, Some("late 18th century")),
        ("14 Marhc 1987", 0, Some("14 march 1987")),
        ("  Victorian", 2, None),
    ];
    for (text, at, nearest) in cases {
        let refusal = Dated::parse(text, &Conventions::default()).expect_err(text);
        assert_eq!((refusal.at, refusal.nearest.as_deref()), (at, nearest), "`{text}`: {refusal}");
    }
}
