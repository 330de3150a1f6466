//! The tall hat of about 1850, standing on its brim.

use super::super::canvas::{line, shape, symmetric};
use super::super::garment::Trim;
use super::{Figure, Wardrobe, fold};

fn hat(w: &Wardrobe, brim_back: &str, brim_front: &str, bow: f32) -> Figure {
    let mut f = Figure::default();
    let far = f.panel(symmetric(brim_back), w.shell);
    (far.round, far.puff, far.lift, far.tone) = (14.0, 6.0, 9.0, 0.72);
    let crown = f.panel(symmetric("0,-170 60,-168 94,-158! 90,-110 84,-50 86,6! 50,16 0,19"), w.shell);
    (crown.round, crown.puff, crown.lift, crown.rumple) = (72.0, 60.0, 2.0, 0.6);
    crown.folds = vec![
        fold("-40,-158 -38,-80 -40,10", 1.0, (8.0, 9.0), 4.0, 0.0),
        fold("44,-158 40,-80 42,10", 1.0, (14.0, 14.0), 5.0, 0.0),
    ];
    let top = f.panel(shape("-93,-159 -60,-172 0,-176 60,-172 93,-159 60,-149 0,-146 -60,-149"), w.shell);
    (top.round, top.puff, top.lift, top.tone) = (10.0, 3.0, 0.6, 1.12);
    let band = f.panel(shape("-84,-34! -50,-25 0,-22 50,-25 84,-34! 85.5,5! 50,14 0,17 -50,14 -85.5,5!"), w.trim);
    (band.round, band.puff, band.lift, band.rumple) = (60.0, 44.0, 1.0, 0.3);
    if bow.abs() > 0.1 {
        for lean in [-1.0, 1.0] {
            let x = 58.0 * bow;
            let loop_of = format!(
                "{},-14! {},-34 {},-30 {},-8 {},4 {},2",
                x,
                x + 18.0 * lean,
                x + 34.0 * lean,
                x + 36.0 * lean,
                x + 30.0 * lean,
                x + 14.0 * lean
            );
            let part = f.panel(shape(&loop_of), w.trim);
            (part.round, part.puff, part.lift) = (7.0, 5.0, 2.0);
        }
        let knot = f.panel(
            shape(&format!(
                "{},-22 {},-20 {},2 {},0",
                58.0 * bow - 6.0,
                58.0 * bow + 6.0,
                58.0 * bow + 5.0,
                58.0 * bow - 5.0
            )),
            w.trim,
        );
        (knot.round, knot.puff, knot.lift) = (5.0, 5.0, 2.0);
    }
    let brim = f.panel(symmetric(brim_front), w.shell);
    (brim.round, brim.puff, brim.lift) = (15.0, 9.0, 5.0);
    brim.folds = vec![fold("-130,18 -60,38 0,44 60,38 130,18", 1.0, (9.0, 9.0), 5.0, 0.1)];
    f.trim(Trim::Cord(line(&rim(brim_front)), 2.4, [0.10, 0.09, 0.085]));
    f
}

/// The lower edge of the front brim: the last knots of its half outline, both sides.
fn rim(half: &str) -> String {
    let words: Vec<&str> = half.split_whitespace().collect();
    let edge = &words[words.len() / 2..];
    let right = edge.iter().map(|w| w.trim_end_matches('!').to_owned());
    let left = edge
        .iter()
        .rev()
        .skip(1)
        .map(|w| w.trim_end_matches('!'))
        .map(|w| w.split_once(',').map_or_else(String::new, |(x, y)| format!("-{x},{y}")));
    right.chain(left).collect::<Vec<_>>().join(" ")
}

/// From the side: the brim dips before and behind.
pub fn side(w: &Wardrobe) -> Figure {
    hat(w, "0,6 90,4 146,24! 150,34 90,32 0,30", "0,20 56,17 88,6! 120,14 152,30! 128,46 70,58 0,62", 0.0)
}

/// Turned: `front`, `back`, `left side`, `three-quarter`.
pub fn turned(name: &str, w: &Wardrobe) -> Option<Figure> {
    let rolled = ("0,2 80,-2 120,-18! 134,-12 90,14 0,22", "0,19 54,17 86,6! 116,-6 134,-18! 132,10 84,42 0,52");
    match name {
        "front" => Some(hat(w, rolled.0, rolled.1, 0.0)),
        "back" => Some(hat(w, rolled.0, rolled.1, -0.9)),
        "left side" => Some(hat(
            w,
            "0,6 90,4 146,24! 150,34 90,32 0,30",
            "0,20 56,17 88,6! 120,14 152,30! 128,46 70,58 0,62",
            0.25,
        )),
        "three-quarter" => {
            Some(hat(w, "0,4 86,0 136,6! 146,14 90,22 0,26", "0,20 55,17 87,6! 118,6 146,10! 132,32 78,52 0,58", 0.75))
        }
        _ => None,
    }
}
