//! The linen shirt of about 1800: squares and rectangles, gussets, a deep collar, a name in cross stitch.

use super::super::canvas::{Colour, line, p, symmetric};
use super::super::garment::Trim;
use super::{Figure, Wardrobe, flip, fold, gathers, half, ribbon};

const THREAD: Colour = [0.80, 0.77, 0.70];

fn fell(f: &mut Figure, text: &str, side: f32) {
    f.seam(text, side);
    f.trim(Trim::Stitches(flip(line(text), side), 2.0, 1.6, 0.8, THREAD));
}

fn body(f: &mut Figure, w: &Wardrobe, back: bool) {
    for side in [-1.0, 1.0] {
        let sleeve = f.panel(
            half("322,22! 420,70 476,250 508,450 520,610 500,652! 398,664! 380,600 372,420 346,268! 330,180", side),
            w.shell,
        );
        (sleeve.round, sleeve.puff, sleeve.lift, sleeve.grain) = (54.0, 20.0, 6.0, -0.16 * side);
        sleeve.folds = gathers(
            &flip(line("404,662 450,660 498,652"), side),
            &flip(line("392,500 436,490 492,484"), side),
            11,
            (5.0, 13.0),
            8.0,
            if back { 21 } else { 22 },
        );
        sleeve.folds.extend(gathers(
            &flip(line("334,40 338,120 344,220"), side),
            &flip(line("440,140 456,230 440,330"), side),
            8,
            (6.0, 16.0),
            7.0,
            23,
        ));
        let cuff = f.panel(flip(ribbon(&line("404,690 450,688 494,680"), 58.0), side), w.shell);
        (cuff.round, cuff.puff, cuff.lift, cuff.rumple) = (16.0, 6.0, 2.0, 0.5);
        f.trim(Trim::Stitches(flip(line("404,666 450,664 492,656"), side), 2.0, 1.4, 0.8, THREAD));
        f.trim(Trim::Stitches(flip(line("406,714 450,712 494,704"), side), 2.0, 1.4, 0.8, THREAD));
        f.trim(Trim::Button(p(486.0 * side, 690.0), 5.5, [0.86, 0.83, 0.76], false));
    }
    let body = f.panel(symmetric("0,10 70,0! 334,26! 340,150 352,262! 356,600 350,960! 180,972 0,975"), w.shell);
    (body.round, body.puff, body.lift) = (40.0, 12.0, 4.0);
    let neck = if back { "-66,16 0,22 66,16" } else { "-70,40 -40,66 40,66 70,40" };
    body.folds =
        gathers(&line(neck), &line("-210,420 0,470 210,420"), 15, (5.0, 22.0), 9.0, if back { 31 } else { 30 });
    for side in [-1.0, 1.0] {
        body.folds.extend([
            fold("330,280 250,330 170,360", side, (14.0, 30.0), 8.0, 0.1),
            fold("300,520 220,560 120,560", side, (18.0, 34.0), 6.0, 0.1),
            fold("200,700 210,820 190,955", side, (26.0, 30.0), 9.0, 0.0),
            fold("70,620 80,780 60,960", side, (26.0, 30.0), 7.0, 0.0),
        ]);
    }
    // A pressed crease across: the shirt has long lain folded in four.
    body.folds.push(fold("-345,500 0,504 345,500", 1.0, (3.0, 3.0), 2.2, 1.0));
    for side in [-1.0, 1.0] {
        let gusset = f.panel(half("346,214! 394,262! 350,312! 318,262!", side), w.shell);
        (gusset.round, gusset.puff, gusset.lift, gusset.grain) = (10.0, 3.0, 0.8, 0.8);
        fell(f, "346,214 318,262 350,312 394,262 346,214", side);
        fell(f, "334,30 336,110 344,212", side);
        fell(f, "72,14 200,26 333,40", side);
        f.trim(Trim::Stitches(flip(line("74,42 200,54 333,70"), side), 2.0, 1.6, 0.8, THREAD));
        fell(f, "352,314 355,600 353,800", side);
    }
    f.trim(Trim::Stitches(line("-348,946 0,961 348,946"), 2.2, 1.6, 0.8, THREAD));
}

/// From the front, collar turned down.
pub fn front(w: &Wardrobe) -> Figure {
    let mut f = Figure::default();
    body(&mut f, w, false);
    let opening = f.panel(symmetric("0,30 40,34! 22,70 5,180 2,306! 0,308"), w.shell);
    (opening.tone, opening.puff, opening.lift, opening.round) = (0.74, -3.0, 0.0, 8.0);
    for side in [-1.0, 1.0] {
        let facing = f.panel(half("14,60! 26,58! 10,180 8,308! 0,310! 2,180", side), w.shell);
        (facing.round, facing.puff, facing.lift) = (5.0, 2.5, 1.5);
        f.trim(Trim::Stitches(flip(line("24,70 12,180 8,300"), side), 2.0, 1.4, 0.7, THREAD));
        let collar =
            f.panel(half("0,-44! 50,-38 104,-2 138,70! 120,128 84,150! 40,86 12,58! 44,30 40,0 0,-12!", side), w.shell);
        (collar.round, collar.puff, collar.lift, collar.grain) = (16.0, 7.0, 5.0, 0.5 * side);
        collar.folds = vec![fold("0,-28 54,-18 74,34 52,72", side, (10.0, 14.0), 6.0, 0.4)];
        f.trim(Trim::Stitches(flip(line("4,-39 50,-33 100,2 131,70 114,122 84,142"), side), 2.0, 1.6, 0.7, THREAD));
    }
    let heart = f.panel(symmetric("0,302! 12,298 16,312 0,334!"), w.shell);
    (heart.round, heart.puff, heart.lift) = (5.0, 2.0, 0.8);
    f.trim(Trim::Text(p(-14.0, 352.0), 8.0, [0.62, 0.22, 0.21], "J D 6".into()));
    f
}

/// From the back.
pub fn back(w: &Wardrobe) -> Figure {
    let mut f = Figure::default();
    body(&mut f, w, true);
    let collar = f.panel(symmetric("0,-50 60,-44 116,-10 140,60! 128,104! 60,84 0,82"), w.shell);
    (collar.round, collar.puff, collar.lift) = (18.0, 9.0, 5.0);
    collar.folds = vec![fold("-112,0 -50,-28 50,-28 112,0", 1.0, (9.0, 9.0), 6.0, 0.5)];
    f.trim(Trim::Stitches(line("-122,96 -60,77 0,75 60,77 122,96"), 2.0, 1.6, 0.7, THREAD));
    f
}
