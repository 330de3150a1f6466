//! The published pattern: a printed plate of the spencer's pieces at one eighth.

use super::super::canvas::{Colour, P, p, shape};
use super::super::garment::Trim;
use super::{Figure, Wardrobe};

const INK: Colour = [0.16, 0.14, 0.13];

fn piece(f: &mut Figure, text: &str, at: P) {
    let outline: Vec<P> = shape(text).iter().map(|q| *q * 0.19 + at).collect();
    let rim: Vec<P> = outline.iter().chain(outline.first()).copied().collect();
    let middle = outline.iter().fold(p(0.0, 0.0), |a, q| a + *q) * (1.0 / outline.len().max(1) as f32);
    f.trim(Trim::Line(rim, 0.55, INK, 0.92));
    let seam: Vec<P> = outline.iter().chain(outline.first()).map(|q| middle + (*q - middle) * 0.93).collect();
    f.trim(Trim::Stitches(seam, 1.3, 1.0, 0.26, INK));
}

fn word(f: &mut Figure, x: f32, y: f32, tall: f32, text: &str) {
    f.trim(Trim::Text(p(x, y), tall, INK, text.to_owned()));
}

/// The whole plate.
pub fn pattern(w: &Wardrobe) -> Figure {
    let mut f = Figure::default();
    let page = f.panel(shape("-98,-124! 98,-124! 98,124! -98,124!"), w.shell);
    (page.round, page.puff, page.lift, page.rumple) = (5.0, 0.7, 2.2, 1.6);
    page.folds = vec![fold_line()];
    let frame = [p(-88.0, -112.0), p(88.0, -112.0), p(88.0, 112.0), p(-88.0, 112.0), p(-88.0, -112.0)];
    f.trim(Trim::Line(frame.to_vec(), 0.7, INK, 0.85));
    let inner: Vec<P> = frame.iter().map(|q| *q * 0.982).collect();
    f.trim(Trim::Line(inner, 0.25, INK, 0.8));
    piece(
        &mut f,
        "64,-2! 168,34! 153,66 148,104 158,146 190,184! 184,262 178,326! 60,343 -14,345! -15,230 -13,84! 34,52 50,22",
        p(-74.0, -88.0),
    );
    piece(&mut f, "0,0! 62,-8! 160,40! 146,74 140,112! 104,160 64,224 40,330! 0,334!", p(-18.0, -88.0));
    piece(&mut f, "140,112! 150,152 186,186! 178,262 168,322! 42,332! 66,224 106,160", p(18.0, -88.0));
    piece(&mut f, "0,90 60,24 150,0 240,34 300,110! 270,240 240,420 226,520! 80,524! 60,380 30,220", p(-72.0, 6.0));
    piece(&mut f, "0,0! 140,-20 220,20 236,80! 140,96 0,90!", p(8.0, 20.0));
    piece(&mut f, "0,0! 380,0! 380,48! 0,48!", p(4.0, 60.0));
    piece(&mut f, "0,0! 52,0! 58,52 30,66 2,54!", p(66.0, 24.0));
    for (x, y, text) in [
        (-62.0, -38.0, "A FRONT"),
        (-15.0, -64.0, "B BACK"),
        (40.0, -34.0, "C SIDE"),
        (-54.0, 40.0, "D SLEEVE"),
        (18.0, 28.0, "E COLLAR"),
        (24.0, 63.5, "F WAIST"),
        (68.0, 29.0, "G"),
    ] {
        word(&mut f, x, y, 3.0, text);
    }
    word(&mut f, -34.0, -106.0, 5.4, "A SPENCER");
    word(&mut f, 60.0, -106.0, 3.0, "PLATE 14");
    word(&mut f, 4.0, 84.0, 2.8, "ONE EIGHTH OF FULL SIZE");
    for k in 0..=6 {
        let x = 4.0 + 12.7 * k as f32;
        f.trim(Trim::Line(vec![p(x, 94.0), p(x, if k % 2 == 0 { 99.0 } else { 97.0 })], 0.45, INK, 0.9));
    }
    f.trim(Trim::Line(vec![p(4.0, 94.0), p(80.2, 94.0)], 0.45, INK, 0.9));
    word(&mut f, 3.2, 101.5, 2.6, "0");
    word(&mut f, 70.0, 101.5, 2.6, "24 IN");
    for grain in
        [[p(-56.0, -70.0), p(-56.0, -46.0)], [p(-12.0, -50.0), p(-12.0, -32.0)], [p(-44.0, 50.0), p(-44.0, 84.0)]]
    {
        f.trim(Trim::Line(grain.to_vec(), 0.4, INK, 0.85));
        for end in [0, 1] {
            let back = if end == 0 { 1.8 } else { -1.8 };
            f.trim(Trim::Line(vec![grain[end] + p(-1.0, back), grain[end], grain[end] + p(1.0, back)], 0.4, INK, 0.85));
        }
    }
    f
}

fn fold_line() -> super::super::garment::Fold {
    super::fold("-96,2 0,1 96,2", 1.0, (2.4, 2.4), -0.8, 0.8)
}
