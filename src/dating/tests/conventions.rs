//! What a convention changes, what several clauses mean together, and what is said of it.

use crate::dating::{Beyond, Conventions, Cut, Dated, Hundreds, Interval};

#[test]
fn the_years_are_those_of_the_making_and_later_events_stand_apart() {
    let cases: [(&str, (i32, i32), &[(&str, i32, i32)]); 7] = [
        ("about 1905, altered about 1920", (1900, 1910), &[("", 1900, 1910), ("altered", 1915, 1925)]),
        ("designed 1912, woven 1914", (1912, 1914), &[("designed", 1912, 1912), ("woven", 1914, 1914)]),
        ("designed c. 1912, woven 1914", (1907, 1914), &[("designed", 1907, 1917), ("woven", 1914, 1914)]),
        ("1936; reconstructed 1965", (1936, 1936), &[("", 1936, 1936), ("reconstructed", 1965, 1965)]),
        ("1912 (design), 1914 (woven)", (1912, 1914), &[("design", 1912, 1912), ("woven", 1914, 1914)]),
        ("um 1905, geändert um 1920", (1900, 1910), &[("", 1900, 1910), ("geändert", 1915, 1925)]),
        ("designed and made 1925", (1925, 1925), &[("designed and made", 1925, 1925)]),
    ];
    for (text, years, wanted) in cases {
        let (date, events) = Dated::with_events(text, &Conventions::default()).unwrap();
        assert_eq!(date.interval(), Interval::new(Some(years.0), Some(years.1)), "{text}");
        let found: Vec<_> = events
            .iter()
            .map(|e| (e.verb.as_deref().unwrap_or_default(), e.years.earliest.unwrap(), e.years.latest.unwrap()))
            .collect();
        assert_eq!(found, wanted, "{text}");
    }
    let remark = Dated::parse("1936; reconstructed c. 1965", &Conventions::default()).unwrap().remark.unwrap();
    assert_eq!(remark, "apart from that: reconstructed c. 1965, that is 1960–1970");
}

#[test]
fn each_convention_changes_what_it_names_and_nothing_else() {
    let plain = Conventions::default;
    let quarters = || Conventions { cut: Cut::Quarters, ..plain() };
    let from_one = || Conventions { century_from: 1, ..quarters() };
    let inclusive = || Conventions { beyond: Beyond::Inclusive, ..plain() };
    let hundred = || Conventions { beyond: Beyond::Hundred, ..plain() };
    let century = || Conventions { hundreds: Hundreds::Century, ..plain() };
    let decade = || Conventions { hundreds: Hundreds::Decade, ..plain() };
    let cases: [(&str, Conventions, Option<i32>, Option<i32>); 16] = [
        ("early 19th century", quarters(), Some(1800), Some(1825)),
        ("mid 19th century", quarters(), Some(1835), Some(1865)),
        ("late 19th century", quarters(), Some(1875), Some(1899)),
        ("early 19th century", from_one(), Some(1801), Some(1825)),
        ("late 19th century", from_one(), Some(1876), Some(1900)),
        ("second half of the 19th century", quarters(), Some(1850), Some(1899)),
        ("3rd century BC", from_one(), Some(-299), Some(-200)),
        ("before 1800", inclusive(), None, Some(1800)),
        ("after the 1850s", inclusive(), Some(1859), None),
        ("by 1800", inclusive(), None, Some(1800)),
        ("before 1800", hundred(), Some(1700), Some(1800)),
        ("after c. 1800", hundred(), Some(1795), Some(1905)),
        ("since 1800", hundred(), Some(1800), None),
        ("1800s", century(), Some(1800), Some(1899)),
        ("early 1800s", century(), Some(1800), Some(1832)),
        ("early 1800s", decade(), Some(1800), Some(1803)),
    ];
    for (text, conventions, earliest, latest) in cases {
        let found = Dated::parse(text, &conventions).unwrap_or_else(|refusal| panic!("`{text}`: {refusal}"));
        assert_eq!((found.earliest, found.latest), (earliest, latest), "`{text}` under {conventions:?}");
    }
    let said = |c: Conventions| c.sentences().join("\n");
    for other in [from_one(), inclusive(), hundred(), century(), decade(), Conventions { circa_years: 10, ..plain() }] {
        assert_ne!(said(other.clone()), said(plain()), "{other:?} is not told apart");
    }
}

#[test]
fn the_convention_used_is_named() {
    let remark = |text: &str, c: &Conventions| Dated::parse(text, c).unwrap().remark.unwrap_or_default();
    let ten = Conventions { circa_years: 10, century_from: 1, ..Conventions::default() };
    assert_eq!(remark("c. 1812", &Conventions::default()), "circa taken as ±5 years (CCO 4.2.3.2)");
    assert_eq!(remark("c. 1812", &ten), "circa taken as ±10 years (Object ID)");
    assert_eq!(remark("18th century", &ten), "the century taken as 1701–1800");
    assert!(remark("late 18th century", &ten).contains("thirds"));
    assert!(remark("1740/41", &ten).contains("25 March"));
    assert!(remark("1798-02", &ten).contains("1798–1802"));
    assert_eq!(remark("1812", &ten), "");
    assert_eq!(remark("1987-03", &ten), "", "a month is the likelier after 1900");
}
