//! What is expected of a piece, and what counts as shown.

use super::*;
use crate::record::piece::Component;

fn photograph(view: &str, component: Option<&str>, size: u32) -> Photograph {
    Photograph {
        sha256: format!("{view} {size}"),
        view: Some(TermId::new(Scheme::View, view)),
        component: component.map(Into::into),
        width: size,
        height: size / 2,
        ..Photograph::default()
    }
}

fn piece(garment: Option<&str>, photographs: Vec<Photograph>) -> PieceFile {
    let component = |name: &str| Component { name: Some(name.into()), ..Component::default() };
    PieceFile {
        piece: Piece {
            number: Some("2031.1".into()),
            garment: garment.map(|g| TermId::new(Scheme::Garment, g)),
            ..Piece::default()
        },
        components: vec![component("left front"), component("collar")],
        photographs,
        ..PieceFile::default()
    }
}

fn states(file: &PieceFile) -> Vec<(String, State)> {
    coverage(file, Vocabulary::shipped()).views.into_iter().map(|v| (v.view, v.state)).collect()
}

fn state(file: &PieceFile, view: &str) -> Option<State> {
    states(file).into_iter().find(|(v, _)| v == view).map(|(_, s)| s)
}

#[test]
fn what_is_expected_depends_on_the_garment() {
    let cases = [
        (Some("spencer"), "front, back, left side, right side, interior", ""),
        (Some("hat"), "front, back, left side, right side, top, interior", ""),
        (Some("shoes"), "left side, right side, top, bottom, interior", ""),
        (Some("kerchief"), "front, back", ""),
        (Some("shawl"), "front, back", ""),
        (None, "front, back, left side, right side, interior", "not recorded"),
    ];
    for (garment, wanted, remark) in cases {
        let found = coverage(&piece(garment, vec![]), Vocabulary::shipped());
        let views: Vec<_> = found.views.iter().map(|v| v.view.as_str()).collect();
        let rest = "detail of left front, detail of collar, cloth, its threads to be counted, scale bar in the frame, \
                    colour target in the frame";
        assert_eq!(views.join(", "), format!("{wanted}, {rest}"), "{garment:?}");
        assert!(found.remark.contains(remark) && found.remark.is_empty() == remark.is_empty(), "{}", found.remark);
        assert!(found.views.iter().all(|v| v.state == State::Missing) && !found.complete());
    }
    let mut sheet = piece(None, vec![]);
    sheet.piece.nature = Some(TermId::new(Scheme::Nature, "published pattern"));
    let names: Vec<_> = states(&sheet).into_iter().map(|(v, _)| v).collect();
    assert_eq!(names, ["front", "scale bar in the frame", "colour target in the frame"]);
}

#[test]
fn a_view_is_present_too_coarse_or_missing() {
    let shown = vec![
        photograph("front", None, 1600),
        photograph("front", None, 400),
        photograph("back", None, 1599),
        photograph("left side", Some("collar"), 4000),
        photograph("interior", None, 0),
    ];
    let file = piece(Some("spencer"), shown);
    for (view, wanted) in [
        ("front", State::Present),
        ("back", State::TooCoarse),
        ("left side", State::Missing),
        ("interior", State::NotKnown),
        ("detail of collar", State::Present),
        ("detail of left front", State::Missing),
        ("cloth, its threads to be counted", State::Missing),
        ("scale bar in the frame", State::NotKnown),
    ] {
        assert_eq!(state(&file, view), Some(wanted), "{view}");
    }
    let found = coverage(&file, Vocabulary::shipped());
    let back = found.in_state(State::TooCoarse).next().expect("the back");
    assert_eq!(back.why, "1599 × 799 pixels; 1600 on the longest side are expected");
    assert_eq!(found.views[0].photographs, ["front 1600"]);
    // The wrong side of a kerchief is its back; a macro view is near enough for threads.
    let kerchief =
        piece(Some("kerchief"), vec![photograph("reverse", None, 2000), photograph("micrograph", None, 2000)]);
    assert_eq!(state(&kerchief, "back"), Some(State::Present));
    assert_eq!(state(&kerchief, "cloth, its threads to be counted"), Some(State::NotKnown));
}

#[test]
fn nothing_unknown_makes_a_piece_complete() {
    let mut shown: Vec<_> = ["front", "back"].map(|v| photograph(v, None, 2000)).into();
    shown.extend(["left front", "collar"].map(|c| photograph("detail", Some(c), 2000)));
    shown.push(photograph("macro", None, 2000));
    let mut file = piece(Some("kerchief"), shown);
    let found = coverage(&file, Vocabulary::shipped());
    assert!(!found.complete());
    let open: Vec<_> = found.in_state(State::NotKnown).map(|v| v.view.as_str()).collect();
    assert_eq!(open, ["cloth, its threads to be counted", "scale bar in the frame", "colour target in the frame"]);
    // A view that says so by its name brings both scale and target.
    file.photographs.push(photograph("with colour target", None, 2000));
    assert_eq!(state(&file, "scale bar in the frame"), Some(State::Present));
    assert_eq!(state(&file, "colour target in the frame"), Some(State::Present));
    file.components.clear();
    assert_eq!(state(&file, "a detail of each component"), Some(State::NotKnown));
}

#[test]
fn forty_threads_a_centimetre_ask_for_508_pixels_an_inch() {
    assert!((pixels_per_inch_wanted(40.0, PIXELS_WANTED) - 508.0).abs() < 1e-9);
}
