//! The order of intervals, their overlap, and what holds for every date.

use crate::dating::{Conventions, Dated, Interval, edtf};
use proptest::prelude::*;

#[test]
fn intervals_sort_by_their_first_year_and_the_undated_come_last() {
    let mut dates =
        ["undated", "after 1850", "1812", "before 1800", "c. 1812", "1810s", "18th century", "300 BC", "1812-1820"];
    dates.sort_by_key(|text| Dated::parse(text, &Conventions::default()).unwrap().interval());
    let sorted =
        ["before 1800", "300 BC", "18th century", "c. 1812", "1810s", "1812", "1812-1820", "after 1850", "undated"];
    assert_eq!(dates, sorted);
}

fn interval() -> impl Strategy<Value = Interval> {
    let end = prop::option::weighted(0.8, -20..20_i32);
    (end.clone(), end).prop_map(|(a, b)| match (a, b) {
        (Some(a), Some(b)) => Interval::new(Some(a.min(b)), Some(a.max(b))),
        (a, b) => Interval::new(a, b),
    })
}

proptest! {
    #[test]
    fn the_order_of_intervals_is_total_and_agrees_with_equality(a in interval(), b in interval(), c in interval()) {
        prop_assert_eq!(a.cmp(&b), b.cmp(&a).reverse());
        prop_assert_eq!(a.cmp(&b).is_eq(), a == b);
        if a <= b && b <= c {
            prop_assert!(a <= c);
        }
    }

    #[test]
    fn an_overlap_is_a_year_that_both_allow(a in interval(), b in interval()) {
        let allows = |i: Interval, year: i32| i.earliest.is_none_or(|e| e <= year) && i.latest.is_none_or(|l| year <= l);
        let dated = !a.is_undated() && !b.is_undated();
        prop_assert_eq!(a.overlaps(b), dated && (-21..=21).any(|year| allows(a, year) && allows(b, year)));
        prop_assert_eq!(a.overlaps(b), b.overlaps(a));
        prop_assert_eq!(a.overlaps(a), !a.is_undated());
    }

    #[test]
    fn edtf_written_here_is_read_as_the_same_years(
        year in 100..2000_i32, length in 0..150_i32, shape in 0..7_usize,
    ) {
        let last = year + length;
        let text = [
            format!("{year}"), format!("{year}–{last}"), format!("{year} or {last}"), format!("after {year}"),
            format!("before {last}"), format!("{}s", year / 100 * 100 + 10 + year % 9 * 10), format!("late {}th century", 4 + year % 15),
        ][shape].clone();
        let found = Dated::parse(&text, &Conventions::default()).unwrap();
        let again = Dated::parse(found.edtf.as_deref().unwrap(), &Conventions::default()).unwrap();
        prop_assert_eq!(again.interval(), found.interval(), "{}", text);
        prop_assert_eq!(again.edtf, found.edtf);
    }

    #[test]
    fn no_text_makes_it_panic(text in "\\PC{0,40}", circa in any::<i32>(), from in any::<i32>()) {
        let _ = Dated::parse(&text, &Conventions { circa_years: circa, century_from: from, ..Conventions::default() });
    }

    #[test]
    fn no_mixture_of_date_words_makes_it_panic(
        words in prop::collection::vec(
            prop::sample::select(vec![
                "c.", "circa", "1760", "75", "1880s", "–", "-", "to", "or", "late", "mid", "18th", "century", "first",
                "half", "of", "the", "before", "after", "between", "and", "?", "XX", "17XX", "/", "..", "Y", "E", "9", "[", "]",
                "March", "14", "2147483647", "\u{a0}", "’s", "S2", "-", "T",
            ]),
            0..8,
        ),
        glue in prop::sample::select(vec!["", " "]),
    ) {
        let text = words.join(glue);
        if let Ok(found) = Dated::parse(&text, &Conventions::default()) {
            if let (Some(first), Some(last)) = (found.earliest, found.latest) {
                prop_assert!(first <= last, "{text}");
            }
            if let Some(edtf) = found.edtf {
                prop_assert!(edtf::years(&edtf).is_ok(), "{text} gave {edtf}");
            }
        }
    }

    #[test]
    fn every_year_and_span_reads_back(first in 1000..2100_i32, length in 0..400_i32) {
        let last = first + length;
        let found = Dated::parse(&format!("{first} – {last}"), &Conventions::default()).unwrap();
        prop_assert_eq!((found.earliest, found.latest), (Some(first), Some(last)));
        let again = Dated::parse(found.edtf.as_deref().unwrap(), &Conventions::default()).unwrap();
        prop_assert_eq!((again.earliest, again.latest), (Some(first), Some(last)));
    }
}
