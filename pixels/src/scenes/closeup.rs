//! Macro views: cloth thread by thread, with its stitches, breaks and fastenings. Apart from the figures because at
//! twenty and more pixels a thread nothing is left to a tile.

use super::canvas::{Canvas, Colour, P, View, between, dim, fill, p};
use super::cloth::{Cloth, Gone, named};
use super::damage::Damage;
use super::figures::Wardrobe;
use super::garment::{Panel, Trim, shadow};
use super::noise::{dice, floor, hash, plane, step};
use super::props::strokes;

/// Every macro scene by the name the recipes use.
pub const SCENES: [&str; 8] = [
    "macro cloth",
    "macro mark",
    "macro channel",
    "macro seam",
    "macro button",
    "macro lace",
    "macro felt",
    "macro sleeve",
];

/// Where threads are gone, pixel by pixel.
struct Openings {
    w: usize,
    h: usize,
    gone: Vec<bool>,
    any: bool,
}

impl Openings {
    fn of(damages: &[&Damage], view: &View) -> Openings {
        let (w, h) = (view.size.0 as usize, view.size.1 as usize);
        let mut found = Openings { w, h, gone: vec![false; w * h], any: false };
        for ring in damages.iter().flat_map(|d| d.wounds()) {
            let mask = fill(&view.line(&ring), view.size, 0);
            for (i, _) in mask.share.iter().enumerate().filter(|s| *s.1 > 0.5) {
                let (x, y) = (mask.x0 as usize + i % mask.w, mask.y0 as usize + i / mask.w);
                if x < w && y < h {
                    found.gone[y * w + x] = true;
                    found.any = true;
                }
            }
        }
        found
    }

    fn at(&self, q: P) -> bool {
        let (x, y) = (q.x as i32, q.y as i32);
        x >= 0
            && y >= 0
            && (x as usize) < self.w
            && (y as usize) < self.h
            && self.gone[y as usize * self.w + x as usize]
    }
}

/// Draws a scene that fills the frame.
pub fn draw(canvas: &mut Canvas, view: &View, scene: &str, wardrobe: &Wardrobe, damages: &[&Damage], light: &str) {
    let (raking, through) = (light == "raking light", light == "transmitted light");
    canvas.cloth.fill(1.0);
    let openings = Openings::of(damages, view);
    let slid = damages.iter().any(|d| d.term == "seam slippage");
    let seam = matches!(scene, "macro seam");
    // A mended place shows the silk laid behind it.
    let patched = damages.iter().any(|d| d.supported);
    let silk = named("ivory silk").map(|c| Cloth { warp: [0.93, 0.92, 0.89], weft: [0.94, 0.93, 0.90], ..c });
    let patch = silk.filter(|_| patched);
    let (shell, under) = (&wardrobe.shell, &wardrobe.lining);
    for y in 0..canvas.h {
        for x in 0..canvas.w {
            let px = p(x as f32 + 0.5, y as f32 + 0.5);
            let q = view.back(px.x, px.y);
            let pitch = 10.0 / shell.ends;
            let bow = plane(q.x / 13.0, q.y / 11.0, 111);
            let mut place = q + p(bow * pitch * 0.7, plane(q.x / 12.0, q.y / 14.0, 112) * pitch * 0.6);
            // Right of a seam the cloth is cut at another angle.
            if seam && q.x > 0.0 {
                place = place.turned(0.16) + p(0.31, 0.17);
            }
            let gone = if openings.any { torn(&openings, shell, view, px, place, slid) } else { Gone::default() };
            let spot = shell.at(place, gone);
            let tilt = if raking { 0.22 } else { 0.10 };
            let light = 1.0 + tilt * bow * 0.5 - 0.10 * (px.x / canvas.w as f32 + px.y / canvas.h as f32 - 1.0);
            let mut colour = spot.colour;
            if spot.share < 0.999 {
                let dark = if openings.any { cast(&openings, view, px) } else { 0.40 };
                let behind = patch.as_ref().filter(|_| openings.at(px)).unwrap_or(under);
                let dark = if openings.any && patch.is_some() && openings.at(px) { 0.86 } else { dark };
                let below = behind.at(q.turned(0.05) + p(3.0, 1.0), Gone::default());
                let floor = between(dim(behind.warp, 0.35), below.colour, below.share);
                colour = between(dim(floor, dark), colour, spot.share.max(0.0));
            }
            if through {
                // Lit from behind: gaps are bright, threads a warm grey.
                colour = between(
                    [0.99, 0.985, 0.95],
                    [colour[0] * 0.50, colour[1] * 0.48, colour[2] * 0.45],
                    spot.share.max(0.0),
                );
            }
            let mut tone = light;
            if seam {
                let d = q.x + 0.12 * plane(0.0, q.y * 0.8, 113);
                let roll = (-(d.abs()) / 1.6).exp();
                tone *= 1.0 - 0.62 * (-(d * d) / 0.035).exp() - 0.16 * roll * (d / 1.0).clamp(-1.0, 1.0) + 0.05 * roll;
            }
            canvas.px[y * canvas.w + x] = dim(colour, tone);
        }
    }
    for damage in damages {
        if damage.supported {
            damage.support(canvas, view, shell);
        }
        damage.tone(canvas, view, shell);
        loose(canvas, view, damage, shell, if through { 0.55 } else { 1.0 });
    }
    extras(canvas, view, scene, wardrobe, damages);
}

/// Each thread breaks at its own place, so the opening is looked up with that thread's own shift.
fn torn(openings: &Openings, shell: &Cloth, view: &View, px: P, place: P, slid: bool) -> Gone {
    let (end, pick) = (floor(place.x * shell.ends / 10.0) as i32, floor(-place.y * shell.picks / 10.0) as i32);
    let far = view.scale * 10.0 / shell.ends * 2.2;
    let warp = openings.at(px + p(0.0, (hash(end, 1, 115) - 0.5) * far));
    // Where a seam has slid the cross threads stay.
    let weft = !slid && openings.at(px + p((hash(pick, 2, 116) - 0.5) * far, 0.0));
    Gone { warp, weft }
}

/// How light it is behind an opening: in shade below its upper left edge.
fn cast(openings: &Openings, view: &View, px: P) -> f32 {
    let reach = view.scale * 0.9;
    let open = (1..=5).filter(|k| openings.at(px - p(0.7, 0.8) * (reach * *k as f32 / 5.0))).count();
    if openings.at(px) { 0.36 + 0.11 * open as f32 } else { 0.40 }
}

/// Broken thread ends curling over an opening.
fn loose(canvas: &mut Canvas, view: &View, damage: &Damage, shell: &Cloth, tone: f32) {
    let width = 10.0 / shell.ends * 0.62;
    for (k, ring) in damage.openings().iter().enumerate() {
        let middle = ring.iter().fold(p(0.0, 0.0), |a, q| a + *q) * (1.0 / ring.len().max(1) as f32);
        for (i, at) in ring.iter().enumerate().filter(|r| hash(r.0 as i32, k as i32, 117) > 0.62) {
            let along = if i % 2 == 0 { p(0.25, 1.0) } else { p(1.0, 0.25) };
            let reach = middle - *at;
            let inward = p(reach.x * along.x, reach.y * along.y) * (0.35 + 0.6 * hash(i as i32, 2, 118));
            let side = p(-inward.y, inward.x) * (0.5 * dice(i + k, 119));
            let curve: Vec<P> = (0..=10)
                .map(|t| t as f32 / 10.0)
                .map(|t| *at + inward * t + side * (t * t) + p(0.0, 0.15 * (t * 9.0).sin() * width))
                .collect();
            let colour = dim(if i % 2 == 0 { shell.warp } else { shell.weft }, tone * (0.95 + 0.15 * dice(i, 120)));
            Trim::Cord(curve, width * 0.8, colour).draw(canvas, view);
        }
    }
}

fn extras(canvas: &mut Canvas, view: &View, scene: &str, wardrobe: &Wardrobe, damages: &[&Damage]) {
    match scene {
        "macro mark" => mark(canvas, view, &wardrobe.shell, "J D 6"),
        "macro channel" => channel(canvas, view, wardrobe),
        "macro seam" => {
            let thread = dim(wardrobe.shell.warp, 1.2);
            let shade = [0.05, 0.06, 0.05];
            for k in -16..=16 {
                // Between the edges of a seam under strain its stitches show as short bridges.
                let strained = damages.iter().any(|d| d.term == "seam slippage") && (k as f32 * 1.9).abs() < 15.0;
                let half = if strained { 0.55 } else { 0.22 };
                let y = k as f32 * 1.9 + 0.2 * dice((k + 40) as usize, 121);
                Trim::Line(vec![p(-half, y + 0.12), p(half, y + 0.22)], 0.34, shade, 0.5).draw(canvas, view);
                Trim::Cord(vec![p(-half, y), p(half, y + 0.1)], 0.26, thread).draw(canvas, view);
            }
        }
        "macro button" => {
            Trim::Button(p(0.0, 0.0), 6.5, [0.86, 0.76, 0.50], true).draw(canvas, view);
            for side in [-1.0, 1.0] {
                let pull = [p(-1.05, side * 1.05), p(1.05, side * 1.05)];
                Trim::Cord(pull.to_vec(), 0.5, [0.90, 0.86, 0.76]).draw(canvas, view);
            }
            for damage in damages {
                damage.tone(canvas, view, &wardrobe.shell);
            }
        }
        "macro felt" => {
            let edge: Vec<P> = vec![p(-60.0, 9.5), p(60.0, 8.5), p(60.0, 60.0), p(-60.0, 60.0)];
            let mask = fill(&view.line(&edge), view.size, 4);
            shadow(canvas, &mask, 0.7 * view.scale, 0.5);
            ribbon_band(canvas, view, &mask, &wardrobe.trim);
            hairs(canvas, view, &wardrobe.shell);
        }
        _ => {}
    }
}

fn ribbon_band(canvas: &mut Canvas, view: &View, mask: &super::canvas::Mask, cloth: &Cloth) {
    for (i, share) in mask.share.iter().enumerate().filter(|s| *s.1 > 0.0) {
        let (x, y) = (mask.x0 + (i % mask.w) as i32, mask.y0 + (i / mask.w) as i32);
        let q = view.back(x as f32, y as f32);
        let spot = cloth.at(q, Gone::default());
        let edge = step(8.6, 10.4, q.y);
        canvas.blend(x, y, dim(spot.colour, 0.75 + 0.3 * edge), share.min(1.0));
    }
}

/// Single hairs of the nap catching the light.
fn hairs(canvas: &mut Canvas, view: &View, cloth: &Cloth) {
    for i in 0..2600 {
        let at = p(dice(i, 123) * 24.0, -9.0 + dice(i, 124) * 17.0);
        let way = p(0.5 * dice(i, 125) + 0.3, 1.1 + 0.6 * dice(i, 126));
        let line = view.line(&[at, at + way * 0.6 + p(0.12 * dice(i, 127), 0.0), at + way]);
        let tone = 1.1 + 0.9 * hash(i as i32, 9, 128);
        canvas.thin(&line, 0.035 * view.scale, dim(cloth.weft, tone), 0.55);
    }
}

/// Cross stitches counted on the threads of the linen.
fn mark(canvas: &mut Canvas, view: &View, cloth: &Cloth, text: &str) {
    const RED: Colour = [0.58, 0.15, 0.15];
    let unit = 2.0 * 10.0 / cloth.ends;
    let start = p(-unit * (text.len() as f32 * 2.6), -unit * 4.5);
    for (i, letter) in text.chars().enumerate() {
        let mut squares: Vec<(i32, i32)> = Vec::new();
        for pen in strokes(letter) {
            for pair in pen.windows(2) {
                let steps = (pair[1] - pair[0]).length().ceil().max(1.0) as i32 * 3;
                for s in 0..=steps {
                    let q = pair[0] + (pair[1] - pair[0]) * (s as f32 / steps as f32);
                    let square = ((q.x * 1.0).round() as i32, (q.y * 1.3).round() as i32);
                    if !squares.contains(&square) {
                        squares.push(square);
                    }
                }
            }
        }
        for (column, row) in squares {
            let at = start + p(unit * (i as f32 * 5.2 + column as f32), unit * row as f32);
            cross(
                canvas,
                view,
                at,
                unit,
                between(RED, [0.72, 0.36, 0.32], 0.5 * hash(column + i as i32 * 9, row, 130)),
            );
        }
    }
}

fn cross(canvas: &mut Canvas, view: &View, at: P, unit: f32, colour: Colour) {
    let (a, b) = (unit * 0.06, unit * 0.94);
    for line in [[at + p(a, b), at + p(b, a)], [at + p(a, a), at + p(b, b)]] {
        Trim::Cord(line.to_vec(), unit * 0.34, colour).draw(canvas, view);
    }
}

/// Rows of back stitch either side of a stiffener, and the worn binding at the edge.
fn channel(canvas: &mut Canvas, view: &View, wardrobe: &Wardrobe) {
    let thread = [0.93, 0.88, 0.77];
    for k in -4..=2 {
        let x = k as f32 * 6.2 + 2.0;
        let rise: Vec<P> = vec![p(x + 3.1, -40.0), p(x + 3.1, 40.0)];
        canvas.stroke(&view.line(&rise), 2.9 * view.scale, |_, across| {
            let d = across / (2.9 * view.scale);
            // The lamp stands on the left: the far flank of the stiffener lies in shade.
            if d < 0.0 { ([0.0; 3], 0.16 * (-d).powi(2)) } else { ([1.0; 3], 0.13 * d * (1.0 - d) * 4.0 * 0.6) }
        });
        let row = vec![p(x, -40.0), p(x + 0.15, 0.0), p(x, 40.0)];
        canvas.thin(&view.line(&row), 0.9 * view.scale, [0.1, 0.07, 0.03], 0.22);
        Trim::Stitches(row, 1.75, 0.35, 0.55, thread).draw(canvas, view);
    }
    let mut band = Panel::new(vec![p(17.0, -60.0), p(60.0, -60.0), p(60.0, 60.0), p(17.3, 60.0)], wardrobe.trim);
    (band.round, band.puff, band.lift, band.rumple) = (4.0, 1.4, 1.2, 0.0);
    let mask = fill(&view.line(&band.outline), view.size, 8);
    shadow(canvas, &mask, 1.0 * view.scale, 0.5);
    for (i, share) in mask.share.iter().enumerate().filter(|s| *s.1 > 0.0) {
        let (x, y) = (mask.x0 + (i % mask.w) as i32, mask.y0 + (i / mask.w) as i32);
        let q = view.back(x as f32, y as f32);
        let spot = wardrobe.trim.at(q.turned(0.7), Gone::default());
        let worn = step(0.15, 0.6, plane(q.x / 1.3, q.y / 2.6, 131) - (q.x - 18.0).abs() * 0.22 + 0.4);
        let bare = wardrobe.shell.at(q, Gone::default()).colour;
        let edge = step(16.8, 19.0, q.x);
        canvas.blend(x, y, dim(between(spot.colour, bare, worn * 0.8), 0.72 + 0.30 * edge), share.min(1.0));
    }
    for k in -12..=12 {
        let y = k as f32 * 2.6 + 0.3 * dice((k + 20) as usize, 132);
        Trim::Cord(vec![p(15.9, y), p(17.9, y + 0.9)], 0.36, dim(wardrobe.trim.warp, 1.15)).draw(canvas, view);
    }
}
