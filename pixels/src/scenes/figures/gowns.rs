//! The muslin gown of 1805-10 and the purple silk day dress of about 1866, each on a plain padded form.

use super::super::canvas::{Colour, P, dim, line, p, shape, symmetric};
use super::super::cloth::{Figure as Pattern, named};
use super::super::garment::Trim;
use super::{Figure, Wardrobe, flip, fold, gathers, half, ribbon, stitches};

/// The form: a neck, capped, in plain linen.
fn form(f: &mut Figure, shoulders: f32) {
    let Some(linen) = named("unbleached calico") else { return };
    let neck = f.panel(
        shape(&format!(
            "-46,-66! 46,-66! 44,-20 64,6 {shoulders},40! {shoulders},90! -{shoulders},90! -{shoulders},40! -64,6 -44,-20"
        )),
        linen,
    );
    (neck.round, neck.puff, neck.lift, neck.rumple) = (50.0, 34.0, 6.0, 0.0);
    let cap = f.panel(shape("-47,-67 0,-76 47,-67 0,-58"), linen);
    (cap.round, cap.puff, cap.lift, cap.tone) = (6.0, 2.0, 0.5, 0.82);
}

fn floor(f: &mut Figure, wide: f32, y: f32) {
    // The shadow on the floor, many faint ovals thick.
    for k in 0..7 {
        let (rx, ry) = (wide * (1.12 - 0.05 * k as f32), 40.0 - 4.0 * k as f32);
        let oval: Vec<P> =
            (0..=48).map(|i| i as f32 * 0.1309).map(|t| p(rx * t.cos() + 22.0, y + ry * t.sin())).collect();
        f.trim(Trim::Shade(oval, 0.055));
    }
}

fn gown(w: &Wardrobe, back: bool) -> Figure {
    let mut f = Figure::default();
    floor(&mut f, 330.0, 1372.0);
    form(&mut f, 150.0);
    let plain = {
        let mut cloth = w.shell;
        cloth.figure = Pattern::None;
        cloth
    };
    // The slip below, so that the muslin has something to show through to.
    let slip = f.panel(symmetric("0,200 130,196! 190,600 262,1100 292,1356! 150,1380 0,1384"), w.lining);
    (slip.round, slip.puff, slip.lift, slip.tone) = (90.0, 40.0, 8.0, 0.97);
    let skirt = f.panel(
        symmetric(if back {
            "0,214 132,206! 176,420 232,760 292,1120 336,1352! 230,1400 110,1424 0,1430"
        } else {
            "0,214 132,206! 176,420 226,760 276,1120 306,1350! 200,1384 90,1396 0,1398"
        }),
        w.shell,
    );
    (skirt.round, skirt.puff, skirt.lift, skirt.sheer) = (110.0, 52.0, 6.0, 0.55);
    let (from, to) = (
        line("-128,212 0,220 128,212"),
        line(if back {
            "-330,1352 -150,1410 0,1428 150,1410 330,1352"
        } else {
            "-300,1352 -150,1384 0,1398 150,1384 300,1352"
        }),
    );
    skirt.folds = gathers(&from, &to, if back { 19 } else { 13 }, (8.0, 30.0), 25.0, if back { 55 } else { 53 });
    skirt.folds.extend(gathers(&from, &line("-150,400 0,430 150,400"), 24, (3.0, 9.0), 5.0, 57));
    for rise in [12.0, 31.0] {
        let hem = if back {
            "-331,1352 -230,1400 -110,1424 0,1430 110,1424 230,1400 331,1352"
        } else {
            "-303,1351 -200,1384 -90,1396 0,1398 90,1396 200,1384 303,1351"
        };
        let row: Vec<P> = line(hem).iter().map(|q| p(q.x * (1.0 - rise * 0.0006), q.y - rise)).collect();
        f.trim(Trim::Stitches(row, 2.4, 1.2, 1.1, [1.0, 1.0, 0.98]));
    }
    for side in [-1.0, 1.0] {
        let sleeve =
            f.panel(half("138,26! 178,14 216,44 232,100 222,160! 190,176 150,182! 138,140 128,90", side), plain);
        (sleeve.round, sleeve.puff, sleeve.lift, sleeve.sheer) = (40.0, 26.0, 5.0, 0.35);
        sleeve.folds = gathers(
            &flip(line("134,50 160,26 200,36"), side),
            &flip(line("150,176 186,172 220,158"), side),
            9,
            (5.0, 12.0),
            8.0,
            60,
        );
        let band = f.panel(flip(ribbon(&line("148,183 188,178 222,162"), 12.0), side), plain);
        (band.round, band.puff, band.lift, band.sheer) = (6.0, 3.0, 2.0, 0.1);
    }
    let neck = if back {
        "0,30 60,24 112,10! 146,28! 130,100 136,150 150,184! 140,214! 0,222"
    } else {
        "0,108 60,100 100,62 112,8! 146,28! 130,100 136,150 150,184! 140,214! 0,222"
    };
    let bodice = f.panel(symmetric(neck), plain);
    (bodice.round, bodice.puff, bodice.lift, bodice.sheer) = (40.0, 22.0, 3.0, 0.25);
    bodice.folds = if back {
        gathers(&line("-40,206 40,206"), &line("-60,60 60,60"), 7, (5.0, 12.0), 4.0, 61)
    } else {
        let mut folds = gathers(&line("-92,210 0,216 92,210"), &line("-86,120 0,126 86,120"), 15, (4.0, 11.0), 7.0, 62);
        folds.extend([-1.0, 1.0].map(|side| fold("56,110 68,150 60,196", side, (36.0, 32.0), 16.0, 0.0)));
        folds
    };
    for side in [-1.0, 1.0] {
        f.seam("146,30 131,98 136,150 150,183", side);
        if back {
            f.seam("132,110 96,150 70,212", side);
        }
    }
    let tape = f.panel(ribbon(&line("-140,208 -60,216 0,218 60,216 140,208"), 14.0), plain);
    (tape.round, tape.puff, tape.lift, tape.sheer) = (7.0, 3.0, 2.0, 0.1);
    if back {
        f.seam("0,34 0,210", 1.0);
        for y in [44.0, 214.0] {
            f.trim(Trim::Cord(
                line(&format!("0,{y} -16,{} -28,{} -18,{}", y + 14.0, y + 40.0, y + 78.0)),
                2.4,
                [0.95, 0.94, 0.91],
            ));
            f.trim(Trim::Cord(
                line(&format!("0,{y} 14,{} 20,{} 30,{}", y + 18.0, y + 46.0, y + 70.0)),
                2.4,
                [0.95, 0.94, 0.91],
            ));
        }
    } else {
        f.trim(Trim::Cord(line("-110,12 -98,62 -58,98 0,106 58,98 98,62 110,12"), 3.0, [0.97, 0.965, 0.95]));
    }
    f
}

/// The gown from the front.
pub fn gown_front(w: &Wardrobe) -> Figure {
    gown(w, false)
}

/// The gown from the back.
pub fn gown_back(w: &Wardrobe) -> Figure {
    gown(w, true)
}

fn dress(w: &Wardrobe, back: bool) -> Figure {
    let mut f = Figure::default();
    let dark: Colour = dim(w.shell.warp, 0.62);
    floor(&mut f, if back { 600.0 } else { 545.0 }, 1468.0);
    form(&mut f, 60.0);
    let outline = if back {
        "0,408 118,402! 220,500 366,760 486,1100 578,1452! 300,1490 0,1500"
    } else {
        "0,408 118,402! 214,500 350,760 452,1100 526,1440! 280,1478 0,1486"
    };
    let hem = if back {
        "-578,1440 -300,1482 0,1492 300,1482 578,1440"
    } else {
        "-526,1430 -280,1470 0,1478 280,1470 526,1430"
    };
    let skirt = f.panel(symmetric(outline), w.shell);
    (skirt.round, skirt.puff, skirt.lift, skirt.rumple) = (190.0, 110.0, 8.0, 0.9);
    skirt.folds = gathers(
        &line("-114,408 0,416 114,408"),
        &line(hem),
        if back { 17 } else { 13 },
        (9.0, 44.0),
        40.0,
        if back { 67 } else { 65 },
    );
    skirt.folds.extend(gathers(
        &line("-112,412 0,420 112,412"),
        &line("-230,640 0,690 230,640"),
        17,
        (5.0, 17.0),
        11.0,
        66,
    ));
    for side in [-1.0, 1.0] {
        f.seam("44,420 130,800 210,1466", side);
        f.seam("100,412 260,800 404,1440", side);
    }
    for rise in [34.0, 46.0] {
        let at: Vec<P> = line(hem).iter().map(|q| p(q.x * (1.0 - rise * 0.0009), q.y - rise)).collect();
        f.trim(Trim::Cord(at, 5.0, dark));
    }
    f.trim(Trim::Cord(line(hem), 4.0, dim(w.shell.warp, 0.45)));
    for side in [-1.0, 1.0] {
        let sleeve = f.panel(
            half("138,40! 186,52 216,120 238,220 250,310 240,400 224,470! 198,476 168,466! 182,390 186,320 170,240 158,186! 126,160 118,110", side),
            w.shell,
        );
        (sleeve.round, sleeve.puff, sleeve.lift, sleeve.grain) = (34.0, 20.0, 9.0, -0.2 * side);
        sleeve.folds = vec![
            fold("178,250 206,268 244,252", side, (8.0, 12.0), 6.0, 0.35),
            fold("184,284 212,300 250,288", side, (8.0, 12.0), -5.0, 0.3),
            fold("188,316 216,330 250,316", side, (8.0, 12.0), 6.0, 0.35),
            fold("160,100 186,130 214,136", side, (8.0, 14.0), 5.0, 0.2),
        ];
        f.trim(Trim::Cord(flip(line("172,452 198,461 226,456"), side), 4.0, dark));
        let undersleeve = f.panel(half("170,464! 198,474 222,468! 218,494! 196,500 172,490!", side), w.lining);
        (undersleeve.round, undersleeve.puff, undersleeve.lift) = (8.0, 4.0, 0.5);
    }
    let top = if back {
        "0,4 50,0 66,-2! 150,48! 138,110 142,150 160,184! 140,300 118,416! 50,428 0,430"
    } else {
        "0,26 40,16 62,-2! 150,48! 136,110 140,150 160,184! 140,300 118,414! 50,430 0,436"
    };
    let bodice = f.panel(symmetric(top), w.shell);
    (bodice.round, bodice.puff, bodice.lift, bodice.rumple) = (58.0, 36.0, 4.0, 0.6);
    for side in [-1.0, 1.0] {
        bodice.folds.push(fold("70,110 82,190 66,300", side, (46.0, 30.0), if back { 5.0 } else { 16.0 }, 0.0));
        bodice.folds.push(fold("146,130 120,150 96,156", side, (8.0, 14.0), 5.0, 0.1));
    }
    for side in [-1.0, 1.0] {
        f.trim(Trim::Cord(flip(line("150,50 137,110 141,150 159,184"), side), 3.4, dark));
        f.seam("154,190 134,300 112,412", side);
        if back {
            f.seam("140,130 90,210 40,424", side);
        } else {
            f.seam("92,414 92,320 84,240", side);
            f.seam("56,426 60,330 60,244", side);
        }
    }
    if !back {
        for i in 0..9 {
            f.trim(Trim::Button(p(0.0, 44.0 + 42.0 * i as f32), 6.0, dim(w.shell.warp, 0.72), false));
        }
        f.trim(Trim::Line(line("8,30 9,220 8,430"), 1.2, [0.05, 0.01, 0.06], 0.5));
    }
    let collar = f.panel(ribbon(&line("-62,2 -40,-2 0,2 40,-2 62,2"), 16.0), w.lining);
    (collar.round, collar.puff, collar.lift) = (6.0, 4.0, 2.0);
    let belt = f.panel(ribbon(&line("-121,408 -60,424 0,428 60,424 121,408"), 34.0), w.shell);
    (belt.round, belt.puff, belt.lift, belt.rumple, belt.grain) = (14.0, 6.0, 4.0, 0.3, 1.57);
    f.trim(stitches("-120,396 -60,411 0,415 60,411 120,396", 1.0, dim(w.shell.warp, 1.3)));
    f.trim(stitches("-121,420 -60,436 0,440 60,436 121,420", 1.0, dim(w.shell.warp, 1.3)));
    if back {
        for side in [-1.0, 1.0] {
            let tail = f.panel(half("4,440! 52,446! 84,620 96,770! 60,790 26,776! 20,600", side), w.shell);
            (tail.round, tail.puff, tail.lift, tail.rumple) = (16.0, 9.0, 9.0, 0.8);
            tail.folds = vec![fold("20,450 40,600 56,770", side, (10.0, 18.0), 8.0, 0.2)];
        }
        let knot = f.panel(shape("-26,412! 26,412! 30,448 24,462! -24,462! -30,448"), w.shell);
        (knot.round, knot.puff, knot.lift) = (14.0, 12.0, 5.0);
    } else {
        let buckle = [p(-24.0, 406.0), p(24.0, 406.0), p(24.0, 450.0), p(-24.0, 450.0), p(-24.0, 406.0)];
        f.trim(Trim::Cord(buckle.to_vec(), 6.0, [0.72, 0.66, 0.52]));
    }
    f
}

/// The day dress from the front.
pub fn dress_front(w: &Wardrobe) -> Figure {
    dress(w, false)
}

/// The day dress from the back, ends of the belt hanging.
pub fn dress_back(w: &Wardrobe) -> Figure {
    dress(w, true)
}
