//! A piece as it stood on a day. That any moment of the journal tells what was read then is tried in `roundtrip`.

use dimity::catalogue::{Catalogue, Clock, Intent};
use dimity::exchange::{entry, sheet};

use crate::support::{AGAIN, AUTHOR, Desk, SPENCER};

fn at(desk: &Desk, moment: &str) -> Catalogue {
    let clock = Clock::Fixed(moment.parse().expect("a moment"));
    Catalogue::open(desk.folder(), clock).expect("opens")
}

fn enter(catalogue: &mut Catalogue, text: &str) {
    let intent =
        |read: &sheet::Sheet| Intent { author: AUTHOR.into(), reason: read.reason.clone(), ..Intent::default() };
    entry::enter(catalogue, text.as_bytes(), intent).unwrap_or_else(|e| panic!("{e:#?}\n{text}"));
}

#[test]
fn each_day_shows_what_was_recorded_by_then() {
    let desk = Desk::new();
    enter(&mut at(&desk, "2031-03-02T12:00:00Z"), SPENCER);
    let correction = desk
        .filled("2031.1", Some(0))
        .replace("extent = \"12 mm\"", "extent = \"14 mm\"")
        .replace("Green silk", "Sea green silk");
    enter(&mut at(&desk, "2032-06-01T12:00:00.123Z"), &format!("reason = \"measured again\"\n{correction}"));
    enter(&mut at(&desk, "2034-03-02T12:00:00Z"), AGAIN);
    let withdrawn = desk
        .filled("2031.1", Some(1))
        .replace("activity = \"active\"", "activity = \"active\"\nwithdrawn = \"looked at another piece\"");
    enter(&mut at(&desk, "2035-01-01T12:00:00Z"), &format!("reason = \"a slip\"\n{withdrawn}"));
    at(&desk, "2036-01-01T12:00:00Z").withdraw(AUTHOR, "2031.1", "on loan for ever").expect("withdrawn");
    let on = |day: &str| {
        let moment = desk.catalogue.moment(day.parse().expect("a day")).expect("reads");
        desk.catalogue.piece_after("2031.1", moment.row).expect("tells").map(|file| {
            let extents = file
                .examinations
                .iter()
                .flat_map(|e| &e.conditions)
                .filter_map(|c| Some(c.what.extent.as_ref()?.as_written.clone()));
            (file.piece.title.clone().unwrap_or_default(), extents.collect::<Vec<_>>(), file.examinations.len())
        })
    };
    let (green, sea) = ("Green silk spencer".to_owned(), "Sea green silk spencer".to_owned());
    for (day, then) in [
        ("2031-02-28", None),
        ("2031-03-03", Some((green.clone(), vec!["12 mm".to_owned()], 1))),
        ("2032-05-30", Some((green, vec!["12 mm".into()], 1))),
        ("2032-06-02", Some((sea.clone(), vec!["14 mm".into()], 1))),
        ("2034-03-03", Some((sea.clone(), vec!["14 mm".into(), "16 mm".into()], 2))),
        ("2035-01-02", Some((sea.clone(), vec!["14 mm".into()], 2))),
        ("2050-01-01", Some((sea, vec!["14 mm".into()], 2))),
    ] {
        assert_eq!(on(day), then, "as it was recorded on {day}");
    }
}

#[test]
fn show_as_of_says_from_which_row_it_is_told() {
    let room = crate::support::Room::with(&[SPENCER]);
    let tomorrow = jiff::Timestamp::now()
        .to_zoned_datetime(jiff::tz::TimeZone::system())
        .date()
        .tomorrow()
        .expect("a day")
        .to_string();
    let said = room.run(&["show", "2031.1", "--as-of", &tomorrow]).done();
    assert!(
        said.starts_with(&format!("# as it was recorded on {tomorrow}, after row "))
            && said.contains("Green silk spencer"),
        "{said}"
    );
    let told = room.run(&["show", "2031.1", "--as-of", &tomorrow, "--json"]).json().remove(0);
    assert_eq!(told["as_of"]["after"]["by"], "Wren Askerdale");
    assert_eq!(told["piece"], room.run(&["show", "2031.1", "--json"]).json()[0]["piece"]);
    let err = room.run(&["show", "2031.1", "--as-of", "1999-12-31"]).refused();
    assert!(err.contains("was not in the catalogue on 1999-12-31"), "{err}");
    assert_eq!(room.run(&["show", "2031.1", "--as-of", "yesterday"]).code, Some(2));
}

#[test]
fn a_clock_that_runs_backwards_is_said_and_changes_no_order() {
    let desk = Desk::new();
    enter(&mut at(&desk, "2031-03-02T12:00:00Z"), SPENCER);
    enter(&mut at(&desk, "2001-01-01T00:00:00Z"), AGAIN);
    let back = desk.catalogue.backward_times().expect("reads");
    assert_eq!(back.len(), 1);
    assert_eq!((back[0].1.as_str(), back[0].2.as_str()), ("2031-03-02T12:00:00Z", "2001-01-01T00:00:00Z"));
    let whole =
        dimity::safekeeping::check(&desk.catalogue, &dimity::safekeeping::Asked::default(), &()).expect("checks");
    assert!(whole.findings.is_empty() && whole.remarks.iter().any(|r| r.contains("ran backwards")), "{whole:?}");
    // Nothing written before is lost to a look at the later day.
    let moment = desk.catalogue.moment("2031-04-01".parse().expect("a day")).expect("reads");
    assert_eq!(moment.row, desk.catalogue.revision().expect("reads").row);
}
