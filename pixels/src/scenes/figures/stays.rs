//! The stays of 1780-90 and their reconstruction: two layers of linen, rows of channels, bound edges, tabs.

use super::super::canvas::{Colour, P, dim, line, p, shape, symmetric};
use super::super::cloth::Ground;
use super::super::garment::Trim;
use super::super::noise::dice;
use super::{Figure, Wardrobe, flip, half, point_at};

const BODY: &str =
    "0,46 64,30 120,40! 138,-30 152,-96! 182,-92! 178,-20 190,52 214,92! 196,180 158,284! 90,300 36,340 0,404!";
const BACK: &str =
    "0,-20! 60,-24 112,-40 150,-104! 184,-98! 190,-20 196,50 214,94! 196,180 158,284! 90,292 40,300 0,304!";

/// Rows of stitches fanned between an upper and a lower edge, and the ribs they hold.
fn channels(f: &mut Figure, upper: &[P], lower: &[P], count: usize, side: f32, thread: Colour) {
    for i in 0..=count {
        let share = i as f32 / count as f32;
        let (a, b) = (point_at(upper, share), point_at(lower, share));
        let row = flip(vec![a, (a + b) * 0.5, b], side);
        f.trim(Trim::Line(row.iter().map(|q| *q + p(1.4, 0.4)).collect(), 2.6, [1.0, 0.97, 0.88], 0.10));
        f.trim(Trim::Line(row.iter().map(|q| *q + p(-1.2, 0.0)).collect(), 2.4, [0.12, 0.08, 0.03], 0.20));
        f.trim(Trim::Stitches(row, 1.9, 0.7, 0.7, thread));
    }
}

fn tabs(f: &mut Figure, w: &Wardrobe, side: f32, thread: Colour, edge: Colour) {
    let feet = [(56.0, 300.0, -8.0), (92.0, 296.0, 6.0), (126.0, 290.0, 20.0), (154.0, 280.0, 36.0)];
    for (x, y, lean) in feet {
        let text = format!(
            "{},{}! {},{}! {},{} {},{} {},{}",
            x - 17.0,
            y,
            x + 15.0,
            y - 6.0,
            x + lean + 22.0,
            y + 70.0,
            x + lean + 2.0,
            y + 94.0,
            x + lean - 20.0,
            y + 74.0
        );
        let outline = half(&text, side);
        let rim: Vec<P> = outline.iter().chain(outline.first()).copied().collect();
        let tab = f.panel(outline, w.shell);
        (tab.round, tab.puff, tab.lift, tab.rumple) = (9.0, 4.0, 4.0, 0.5);
        let top = line(&format!("{},{} {},{}", x - 11.0, y + 8.0, x + 10.0, y + 4.0));
        let foot = line(&format!("{},{} {},{}", x + lean - 11.0, y + 72.0, x + lean + 14.0, y + 70.0));
        channels(f, &top, &foot, 3, side, thread);
        f.trim(Trim::Cord(rim, 5.0, edge));
    }
}

fn build(w: &Wardrobe, outline: &str, tone: f32, lace_back: bool) -> Figure {
    let mut f = Figure::default();
    let (thread, edge) = (dim(w.shell.warp, 1.17), w.trim.warp);
    for side in [-1.0, 1.0] {
        tabs(&mut f, w, side, thread, edge);
    }
    let whole = symmetric(outline);
    let rim: Vec<P> = whole.iter().chain(whole.first()).copied().collect();
    let body = f.panel(whole, w.shell);
    (body.round, body.puff, body.lift, body.rumple, body.tone) = (70.0, 34.0, 5.0, 0.5, tone);
    for side in [-1.0, 1.0] {
        if lace_back {
            channels(&mut f, &line("14,-12 60,-14 112,-28"), &line("8,296 40,292 76,288"), 11, side, thread);
            channels(&mut f, &line("128,-26 166,10 204,92"), &line("88,286 120,284 152,278"), 11, side, thread);
        } else {
            channels(&mut f, &line("16,50 64,38 112,46"), &line("6,384 26,340 74,302"), 13, side, thread);
            channels(&mut f, &line("128,50 170,64 204,96"), &line("86,296 118,290 150,282"), 11, side, thread);
        }
        f.seam(if lace_back { "120,-30 106,120 82,288" } else { "120,44 112,180 82,298" }, side);
        let strap = if lace_back { "144,-36 150,-60 160,-94" } else { "146,-10 156,-50 166,-90" };
        f.trim(Trim::Stitches(flip(line(strap), side), 1.9, 0.7, 0.7, thread));
    }
    f.trim(Trim::Cord(rim, 6.5, edge));
    f
}

fn lacing(f: &mut Figure, top: f32, foot: f32, cord: Colour, thread: Colour) {
    let rows = 11;
    let y = |i: usize| top + (foot - top) * i as f32 / (rows - 1) as f32;
    f.trim(Trim::Seam(vec![p(0.0, top - 14.0), p(0.0, foot + 12.0)]));
    for i in 0..rows {
        for side in [-1.0, 1.0] {
            f.trim(Trim::Eyelet(p(9.0 * side, y(i)), 2.6, thread));
        }
    }
    for i in 0..rows - 1 {
        f.trim(Trim::Cord(vec![p(-9.0, y(i)), p(9.0, y(i + 1))], 2.0, cord));
    }
    f.trim(Trim::Cord(
        line(&format!("9,{} 22,{} 14,{} 30,{}", foot, foot + 30.0, foot + 62.0, foot + 92.0)),
        2.0,
        cord,
    ));
}

/// From the front.
pub fn front(w: &Wardrobe) -> Figure {
    let mut f = build(w, BODY, 1.0, false);
    f.seam("0,50 0,398", 1.0);
    f.trim(Trim::Line(line("-13,62 -11,230 -4,380"), 0.9, [0.2, 0.14, 0.06], 0.4));
    f.trim(Trim::Line(line("13,62 11,230 4,380"), 0.9, [0.2, 0.14, 0.06], 0.4));
    f
}

/// The stays from the front with their wooden busk beside them.
pub fn with_busk(w: &Wardrobe) -> Figure {
    let mut f = front(w);
    let busk = f.panel(shape("246,40 268,30 290,40 286,220 276,372 268,380 260,372 250,220"), w.lining);
    busk.cloth.ground = Ground::Smooth;
    (busk.cloth.warp, busk.cloth.weft, busk.cloth.sheen) = ([0.60, 0.45, 0.29], [0.60, 0.45, 0.29], 0.15);
    (busk.round, busk.puff, busk.lift, busk.rumple) = (12.0, 5.0, 4.0, 0.0);
    for k in 0..9 {
        let x = 252.0 + 4.0 * k as f32;
        let drift = 3.0 * dice(k, 91);
        let (top, foot) = (46.0 + 6.0 * dice(k, 92).abs(), 340.0 - (x - 268.0).abs() * 7.0);
        let grain = line(&format!("{x},{top} {},160 {},{foot}", x + drift, 268.0 + (x - 268.0) * 0.55));
        f.trim(Trim::Line(grain, 0.8, [0.30, 0.20, 0.11], 0.22));
    }
    for k in 0..4 {
        let c = p(268.0, 84.0 + 62.0 * k as f32);
        let lozenge = vec![c + p(0.0, -16.0), c + p(9.0, 0.0), c + p(0.0, 16.0), c + p(-9.0, 0.0), c + p(0.0, -16.0)];
        f.trim(Trim::Line(lozenge, 0.9, [0.24, 0.15, 0.08], 0.7));
        f.trim(Trim::Line(vec![c + p(-4.0, 0.0), c + p(4.0, 0.0)], 0.8, [0.24, 0.15, 0.08], 0.6));
        f.trim(Trim::Line(vec![c + p(0.0, -7.0), c + p(0.0, 7.0)], 0.8, [0.24, 0.15, 0.08], 0.6));
    }
    f
}

/// From the back, laced.
pub fn back(w: &Wardrobe) -> Figure {
    let mut f = build(w, BACK, 1.0, true);
    lacing(&mut f, 4.0, 282.0, [0.90, 0.86, 0.76], dim(w.shell.warp, 1.15));
    f
}

/// Inside, as seen from above the open back.
pub fn interior(w: &Wardrobe) -> Figure {
    let inside = Wardrobe { shell: w.lining, ..*w };
    let mut f = build(&inside, BODY, 0.92, false);
    // Strips of baleen where the lining is open, eaten at their edges long ago.
    for (x, lean) in [(34.0, 0.10), (46.0, 0.14)] {
        for side in [-1.0, 1.0] {
            let strip = half(
                &format!("{},80! {},79! {},196! {},197!", x, x + 7.0, x + 7.0 - lean * 110.0, x - lean * 110.0),
                side,
            );
            let bone = f.panel(strip, inside.trim);
            (bone.cloth.warp, bone.cloth.weft) = ([0.17, 0.14, 0.12], [0.20, 0.165, 0.14]);
            (bone.round, bone.puff, bone.lift, bone.cloth.sheen) = (2.5, 2.0, 1.5, 0.4);
        }
    }
    f
}
