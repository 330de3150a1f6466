//! Panels of cloth with volume: how an outline becomes a lit, folded, shadow-casting piece of a garment. Apart from
//! the figures (which say where panels lie) and from cloth (which says what threads they have).

use super::canvas::{Canvas, Colour, Mask, P, View, dim, fill, p};
use super::cloth::{Cloth, Ground, Tile};
use super::noise::{hash, mix, plane, rumple, step};

/// A ridge in the cloth.
#[derive(Clone, Debug)]
pub struct Fold {
    /// Its crest, in millimetres.
    pub line: Vec<P>,
    /// Half width at the start and at the end.
    pub width: (f32, f32),
    /// Height; negative for a hollow.
    pub height: f32,
    /// 0 round as a roll, 1 sharp as a pressed edge.
    pub sharp: f32,
}

/// A piece of cloth.
#[derive(Clone, Debug)]
pub struct Panel {
    /// Its outline in millimetres.
    pub outline: Vec<P>,
    /// Which cloth of the wardrobe.
    pub cloth: Cloth,
    /// Turn of the warp from upright, in radians.
    pub grain: f32,
    /// How far the rounding of its edges reaches, millimetres.
    pub round: f32,
    /// How high it stands, millimetres.
    pub puff: f32,
    /// Ridges and hollows.
    pub folds: Vec<Fold>,
    /// Depth of the small rumples against the cloth's own.
    pub rumple: f32,
    /// Direction in which rumples are drawn out, radians from upright.
    pub lie: f32,
    /// Lightness against the cloth's own (inner sides lie in shade).
    pub tone: f32,
    /// How far above what lies below, millimetres; sets its shadow.
    pub lift: f32,
    /// Share of light let through by a sheer cloth doubled on itself: 1 = as drawn.
    pub sheer: f32,
    /// Where the shine gathers along the outline (hats); 0 elsewhere.
    pub plush: f32,
}

/// Where the light comes from and how hard it is.
#[derive(Clone, Copy, Debug)]
pub struct Lamp {
    /// Towards the lamp.
    pub towards: [f32; 3],
    /// Strength of light and shade.
    pub contrast: f32,
}

impl Lamp {
    /// The lamp for a kind of light in the record.
    pub fn of(light: &str) -> Lamp {
        match light {
            "raking light" => Lamp { towards: [-0.88, -0.30, 0.37], contrast: 0.95 },
            "LED panel" => Lamp { towards: [-0.42, -0.58, 0.70], contrast: 1.0 },
            "daylight, overcast" => Lamp { towards: [-0.30, -0.60, 0.74], contrast: 0.95 },
            _ => Lamp { towards: [-0.55, -0.52, 0.65], contrast: 1.05 },
        }
    }
}

impl Panel {
    /// A panel with the usual softness.
    pub fn new(outline: Vec<P>, cloth: Cloth) -> Panel {
        Panel {
            outline,
            cloth,
            grain: 0.0,
            round: 18.0,
            puff: 6.0,
            folds: Vec::new(),
            rumple: 1.0,
            lie: 0.0,
            tone: 1.0,
            lift: 3.0,
            sheer: 1.0,
            plush: 0.0,
        }
    }

    /// Draws the panel, its shadow first.
    pub fn draw(&self, canvas: &mut Canvas, view: &View, lamp: &Lamp, tile: &Tile) {
        let outline = view.line(&self.outline);
        let margin = ((self.round * view.scale) as i32 + 4).min(260);
        let mask = fill(&outline, view.size, margin);
        if mask.w < 2 || mask.h < 2 {
            return;
        }
        let see_through = self.cloth.ground == Ground::Lace;
        shadow(canvas, &mask, self.lift * view.scale, if see_through { 0.10 } else { 0.42 });
        let relief = self.relief(&mask, view, lamp);
        self.cover(canvas, &mask, &relief, view, tile);
    }

    fn relief(&self, mask: &Mask, view: &View, lamp: &Lamp) -> Relief {
        let grid = Grid::of(mask, (view.scale * 1.2).clamp(3.0, 8.0) as usize);
        let cells = self.round * view.scale / grid.step as f32;
        let mut height = grid.depth();
        for h in &mut height {
            let inward = 1.0 - (*h / cells.max(1.0)).min(1.0);
            *h = self.puff * (1.0 - inward * inward).sqrt();
        }
        blur(&mut height, grid.w, grid.h, cells * 0.30);
        let place = |i: usize| {
            let (x, y) = (i % grid.w, i / grid.w);
            view.back((mask.x0 + (x * grid.step) as i32) as f32, (mask.y0 + (y * grid.step) as i32) as f32)
        };
        let depth = self.rumple * self.cloth.limp;
        let own = self.outline.first().map_or(0.0, |q| q.x * 3.1 + q.y * 1.7);
        if depth > 0.0 {
            for (i, h) in height.iter_mut().enumerate() {
                let q = place(i).turned(-self.lie) + p(own, own * 0.6);
                let crest = 1.0 - plane(q.x / 60.0 + 0.3 * plane(q.x / 70.0, q.y / 70.0, 36), q.y / 190.0, 37).abs();
                *h += depth * (3.4 * rumple(q.x / 48.0, q.y / 95.0, 31) + 0.35 * plane(q.x / 9.0, q.y / 15.0, 35));
                let crest = crest * crest * crest * crest;
                *h += depth * 1.5 * crest * step(-0.1, 0.7, plane(q.x / 90.0, q.y / 60.0, 38));
            }
        }
        for fold in &self.folds {
            fold.raise(&mut height, &grid, mask, view);
        }
        let mut wide = height.clone();
        blur(&mut wide, grid.w, grid.h, 7.0 * view.scale / grid.step as f32);
        self.light(&grid, &height, &wide, view, lamp)
    }

    fn light(&self, grid: &Grid, height: &[f32], wide: &[f32], view: &View, lamp: &Lamp) -> Relief {
        let per_mm = view.scale / grid.step as f32;
        let towards = lamp.towards;
        let long = (towards.iter().map(|t| t * t).sum::<f32>()).sqrt();
        let l = towards.map(|t| t / long);
        let half = {
            let h = [l[0], l[1], l[2] + 1.0];
            let n = h.iter().map(|t| t * t).sum::<f32>().sqrt();
            h.map(|t| t / n)
        };
        let mut relief = Relief { step: grid.step, w: grid.w, cells: Vec::with_capacity(grid.w * grid.h) };
        let power = 9.0 + 26.0 * self.cloth.sheen.min(0.5);
        for y in 0..grid.h {
            for x in 0..grid.w {
                let at = |x: usize, y: usize| height[y.min(grid.h - 1) * grid.w + x.min(grid.w - 1)];
                let dx = (at(x + 1, y) - at(x.saturating_sub(1), y)) * 0.5 * per_mm;
                let dy = (at(x, y + 1) - at(x, y.saturating_sub(1))) * 0.5 * per_mm;
                let n = 1.0 / (1.0 + dx * dx + dy * dy).sqrt();
                let lit = (-dx * l[0] - dy * l[1] + l[2]) * n;
                let (h, around) = (height[y * grid.w + x], wide[y * grid.w + x]);
                let hollow = ((around - h) * 0.05).clamp(-0.10, 0.42);
                let diffuse = 0.36 + 0.64 * (lit / l[2]).max(0.0);
                let shade = (1.0 + (diffuse - 1.0) * lamp.contrast) * (1.0 - hollow);
                let facing = ((-dx * half[0] - dy * half[1] + half[2]) * n).max(0.0);
                let flat = half[2].powf(power);
                let shine = self.cloth.sheen * (facing.powf(power) - 0.55 * flat);
                relief.cells.push([shade.clamp(0.16, 1.7).powf(0.72) * self.tone, shine * lamp.contrast, h]);
            }
        }
        relief
    }

    fn cover(&self, canvas: &mut Canvas, mask: &Mask, relief: &Relief, view: &View, tile: &Tile) {
        let nap = self.cloth.ground == Ground::Nap;
        let sheer = matches!(self.cloth.ground, Ground::Lace) || self.cloth.cover < 0.7;
        let (sin, cos) = self.grain.sin_cos();
        for y in 0..mask.h {
            let cy = mask.y0 + y as i32;
            if cy < 0 || cy >= canvas.h as i32 {
                continue;
            }
            for x in 0..mask.w {
                let share = mask.share[y * mask.w + x];
                let cx = mask.x0 + x as i32;
                if share <= 0.0 || cx < 0 || cx >= canvas.w as i32 {
                    continue;
                }
                let [shade, shine, height] = relief.at(x as f32, y as f32);
                let q = p(
                    cx as f32 - view.centre.x * view.scale,
                    cy as f32 - view.centre.y * view.scale - height * 0.7 * view.scale,
                );
                let texel = if nap {
                    let c = self.cloth.nap(view.back(cx as f32, cy as f32), 2.2);
                    [c[0], c[1], c[2], 1.0]
                } else {
                    tile.sample(p(q.x * cos + q.y * sin, q.y * cos - q.x * sin))
                };
                let gleam = if shine > 0.0 { shine } else { shine * 0.5 };
                let fall = 1.05 - 0.13 * (cx as f32 / canvas.w as f32 * 0.45 + cy as f32 / canvas.h as f32 * 0.55);
                let (lit, spark) = (fall * shade + gleam * 0.74, gleam * 0.26);
                let colour = [texel[0] * lit + spark, texel[1] * lit + spark, texel[2] * lit + spark];
                let seen = if sheer { mix(1.0, texel[3], self.sheer) } else { 1.0 };
                let share = share.min(1.0);
                canvas.blend(cx, cy, colour, share * seen);
                let at = cy as usize * canvas.w + cx as usize;
                canvas.cloth[at] = canvas.cloth[at].max(share);
            }
        }
    }
}

/// Darkens what lies under a shape: a tight shadow at its edge and a wide one away from the light.
pub fn shadow(canvas: &mut Canvas, mask: &Mask, lift: f32, depth: f32) {
    if lift <= 0.0 {
        return;
    }
    let pad = (lift * 3.0) as usize + 4;
    let step = ((lift / 2.5) as usize).clamp(2, 10);
    let (w, h) = ((mask.w + 2 * pad) / step + 2, (mask.h + 2 * pad) / step + 2);
    let inner = Grid::of(mask, step);
    let mut share = vec![0.0; w * h];
    let shift = pad / step;
    for y in 0..inner.h.min(h - shift) {
        for x in 0..inner.w.min(w - shift) {
            share[(y + shift) * w + x + shift] = inner.share[y * inner.w + x];
        }
    }
    blur(&mut share, w, h, lift * 1.1 / step as f32);
    let relief = Relief { step, w, cells: share.iter().map(|s| [*s, 0.0, 0.0]).collect() };
    let (ox, oy) = (mask.x0 - (shift * step) as i32, mask.y0 - (shift * step) as i32);
    let (away_x, away_y) = (lift * 0.55, lift * 0.75);
    for y in 0..(h - 1) * step {
        let cy = oy + y as i32 + away_y as i32;
        if cy < 0 || cy >= canvas.h as i32 {
            continue;
        }
        for x in 0..(w - 1) * step {
            let cx = ox + x as i32 + away_x as i32;
            if cx < 0 || cx >= canvas.w as i32 {
                continue;
            }
            // What the piece itself will cover needs no shade.
            let (mx, my) = (cx - mask.x0, cy - mask.y0);
            let inside = mx >= 0 && my >= 0 && (mx as usize) < mask.w && (my as usize) < mask.h;
            if inside && mask.share[my as usize * mask.w + mx as usize] >= 1.0 {
                continue;
            }
            let dark = relief.at(x as f32, y as f32)[0];
            if dark > 0.004 {
                let px = &mut canvas.px[cy as usize * canvas.w + cx as usize];
                *px = dim(*px, 1.0 - depth * dark.min(1.0));
            }
        }
    }
}

/// A mask seen coarsely: the mean share of cells of `step` pixels.
pub struct Grid {
    step: usize,
    w: usize,
    h: usize,
    share: Vec<f32>,
}

impl Grid {
    fn of(mask: &Mask, step: usize) -> Grid {
        let (w, h) = (mask.w / step + 2, mask.h / step + 2);
        let mut share = vec![0.0; w * h];
        // A cell's node is its upper left corner, so the sum is taken around that corner.
        let near = |v: usize| (v + step / 2) / step;
        for y in 0..mask.h {
            let row = near(y) * w;
            for x in 0..mask.w {
                share[row + near(x)] += mask.share[y * mask.w + x];
            }
        }
        let full = 1.0 / (step * step) as f32;
        for s in &mut share {
            *s = (*s * full).min(1.0);
        }
        Grid { step, w, h, share }
    }
}

impl Grid {
    /// Distance in cells from the nearest empty cell: two sweeps of a 1 and root-2 chamfer.
    fn depth(&self) -> Vec<f32> {
        let (w, h) = (self.w, self.h);
        let mut far: Vec<f32> = self.share.iter().map(|s| if *s > 0.5 { f32::MAX } else { 0.0 }).collect();
        for back in [false, true] {
            for k in 0..w * h {
                let at = if back { w * h - 1 - k } else { k };
                let (x, y) = ((at % w) as i32, (at / w) as i32);
                for (dx, dy, cost) in [(-1, 0, 1.0), (0, -1, 1.0), (-1, -1, 1.414), (1, -1, 1.414)] {
                    let (nx, ny) = if back { (x - dx, y - dy) } else { (x + dx, y + dy) };
                    let near = if nx < 0 || ny < 0 || nx >= w as i32 || ny >= h as i32 {
                        0.0
                    } else {
                        far[ny as usize * w + nx as usize]
                    };
                    far[at] = far[at].min(near + cost);
                }
            }
        }
        far
    }
}

/// Light, shine and height on a coarse grid.
struct Relief {
    step: usize,
    w: usize,
    cells: Vec<[f32; 3]>,
}

impl Relief {
    fn at(&self, x: f32, y: f32) -> [f32; 3] {
        let (gx, gy) = (x / self.step as f32, y / self.step as f32);
        let (cx, cy) = (gx as usize, gy as usize);
        let (tx, ty) = (gx - cx as f32, gy - cy as f32);
        let at = cy * self.w + cx;
        let (a, b) = (&self.cells[at], &self.cells[at + 1]);
        let (c, d) = (&self.cells[at + self.w], &self.cells[at + self.w + 1]);
        let part = |i: usize| mix(mix(a[i], b[i], tx), mix(c[i], d[i], tx), ty);
        [part(0), part(1), part(2)]
    }
}

/// Three passes of a box mean: close to a Gaussian of the given reach (cells).
fn blur(values: &mut [f32], w: usize, h: usize, reach: f32) {
    let half = ((reach * 0.55) as usize).max(1);
    let mut line = vec![0.0; w];
    let mut columns = vec![0.0; w * h];
    for _ in 0..3 {
        for y in 0..h {
            row_mean(&mut values[y * w..(y + 1) * w], &mut line, half);
        }
        columns_mean(values, &mut columns, w, h, half);
    }
}

/// The box mean down all columns at once, a row at a time, so that memory is read in order.
fn columns_mean(values: &mut [f32], out: &mut [f32], w: usize, h: usize, half: usize) {
    let mut sum = vec![0.0; w];
    let size = 1.0 / (2 * half + 1) as f32;
    for y in 0..half.min(h) {
        for (s, v) in sum.iter_mut().zip(&values[y * w..(y + 1) * w]) {
            *s += v;
        }
    }
    for y in 0..h {
        if y + half < h {
            for (s, v) in sum.iter_mut().zip(&values[(y + half) * w..(y + half + 1) * w]) {
                *s += v;
            }
        }
        for (o, s) in out[y * w..(y + 1) * w].iter_mut().zip(&sum) {
            *o = s * size;
        }
        if y >= half {
            for (s, v) in sum.iter_mut().zip(&values[(y - half) * w..(y - half + 1) * w]) {
                *s -= v;
            }
        }
    }
    values.copy_from_slice(out);
}

fn row_mean(row: &mut [f32], line: &mut [f32], half: usize) {
    let size = 1.0 / (2 * half + 1) as f32;
    let mut sum: f32 = row.iter().take(half).sum();
    for (i, out) in line.iter_mut().enumerate() {
        sum += row.get(i + half).copied().unwrap_or(0.0);
        *out = sum * size;
        if i >= half {
            sum -= row[i - half];
        }
    }
    row.copy_from_slice(line);
}

impl Fold {
    fn raise(&self, height: &mut [f32], grid: &Grid, mask: &Mask, view: &View) {
        let step = grid.step as f32;
        let cells: Vec<P> = view
            .line(&self.line)
            .iter()
            .map(|q| p((q.x - mask.x0 as f32) / step, (q.y - mask.y0 as f32) / step))
            .collect();
        let reach = self.width.0.max(self.width.1) * view.scale / step * 2.4;
        let far = cells.iter().fold((f32::MAX, f32::MAX, f32::MIN, f32::MIN), |b, q| {
            (b.0.min(q.x), b.1.min(q.y), b.2.max(q.x), b.3.max(q.y))
        });
        let (x0, x1) = ((far.0 - reach).max(0.0) as usize, ((far.2 + reach).max(0.0) as usize).min(grid.w));
        let (y0, y1) = ((far.1 - reach).max(0.0) as usize, ((far.3 + reach).max(0.0) as usize).min(grid.h));
        let last = cells.len().saturating_sub(1);
        let segments = last.clamp(1, 10);
        let thin: Vec<P> = (0..=segments).filter_map(|i| cells.get(i * last / segments)).copied().collect();
        let segments = segments as f32;
        for y in y0..y1 {
            for x in x0..x1 {
                let q = p(x as f32, y as f32);
                let (mut best, mut along) = (f32::MAX, 0.0);
                for (i, pair) in thin.windows(2).enumerate() {
                    let (way, rel) = (pair[1] - pair[0], q - pair[0]);
                    let t =
                        ((rel.x * way.x + rel.y * way.y) / (way.x * way.x + way.y * way.y).max(1e-6)).clamp(0.0, 1.0);
                    let off = rel - way * t;
                    let far = off.x * off.x + off.y * off.y;
                    if far < best {
                        (best, along) = (far, (i as f32 + t) / segments);
                    }
                }
                let ends = step_in(along);
                let width = mix(self.width.0, self.width.1, along) * mix(0.55, 1.0, ends) * view.scale / step;
                let d = best.sqrt() / width.max(0.3);
                if d < 2.4 {
                    let round = (-d * d * 1.4).exp();
                    let ridge = (-d * 1.7).exp();
                    height[y * grid.w + x] += self.height * ends * mix(round, ridge, self.sharp);
                }
            }
        }
    }
}

/// Folds rise and die away at their ends.
fn step_in(along: f32) -> f32 {
    step(0.0, 0.42, along) * step(0.0, 0.5, 1.0 - along)
}

/// A running seam, stitch or trim on top of the panels.
#[derive(Clone, Debug)]
pub enum Trim {
    /// A seam: a groove with a lit lip.
    Seam(Vec<P>),
    /// Separate stitches: length and gap in millimetres, width, colour.
    Stitches(Vec<P>, f32, f32, f32, Colour),
    /// A round cord, braid or piping: width and colour.
    Cord(Vec<P>, f32, Colour),
    /// A plain drawn line: width, colour and strength.
    Line(Vec<P>, f32, Colour, f32),
    /// A button: centre, radius, colour, and whether it is clear and has holes.
    Button(P, f32, Colour, bool),
    /// A worked eyelet: centre and radius, thread colour.
    Eyelet(P, f32, Colour),
    /// Shade inside an outline, and its depth.
    Shade(Vec<P>, f32),
    /// Writing: upper left corner, height, colour, words.
    Text(P, f32, Colour, String),
}

impl Trim {
    /// Draws it.
    pub fn draw(&self, canvas: &mut Canvas, view: &View) {
        let s = view.scale;
        match self {
            Trim::Seam(line) => seam(canvas, &view.line(line), s),
            Trim::Stitches(line, long, gap, width, colour) => {
                stitches(canvas, &view.line(line), (long * s, gap * s), (width * s).max(0.9), *colour);
            }
            Trim::Cord(line, width, colour) => cord(canvas, &view.line(line), width * s, *colour),
            Trim::Line(line, width, colour, strength) => {
                canvas.thin(&view.line(line), width * s, *colour, *strength);
            }
            Trim::Button(at, r, colour, clear) => {
                button(canvas, view.at(*at), r * s, *colour, *clear);
            }
            Trim::Shade(outline, depth) => {
                canvas.flat(&view.line(outline), [0.06, 0.06, 0.07], *depth);
            }
            Trim::Text(at, tall, colour, words) => {
                super::props::write(canvas, view.at(*at), tall * s, words, *colour);
            }
            Trim::Eyelet(at, r, colour) => eyelet(canvas, view.at(*at), r * s, *colour),
        }
    }
}

fn seam(canvas: &mut Canvas, line: &[P], s: f32) {
    let half = 2.6 * s;
    let long = super::canvas::run(line);
    canvas.stroke(line, half, |along, across| {
        let d = across / s;
        let ends = step(0.0, 5.0 * s, along) * step(0.0, 5.0 * s, long - along);
        let pucker = 0.5 + 0.5 * plane(along / s * 0.16, 3.0, 41);
        let groove = (-(d * d) / 0.20).exp() * (0.30 + 0.16 * pucker) * ends;
        let lip = (-(d - 1.1) * (d - 1.1) / 0.7).exp() * 0.10 * pucker * ends;
        if lip > groove { ([1.0, 1.0, 1.0], lip) } else { ([0.02, 0.02, 0.03], groove) }
    });
}

fn stitches(canvas: &mut Canvas, line: &[P], (long, gap): (f32, f32), width: f32, colour: Colour) {
    let beat = long + gap;
    canvas.stroke(line, width, |along, across| {
        let count = (along / beat).floor();
        let at = along - count * beat;
        let uneven = hash(count as i32, 3, 45) - 0.5;
        let d = (across - uneven * width * 0.3).abs() / (width * 0.5);
        let inside = at < long * (1.0 + 0.2 * uneven) && d < 1.3;
        let end = (at.min(long - at) / (width * 0.6)).clamp(0.25, 1.0);
        if inside {
            (dim(colour, 0.80 + 0.28 * (1.0 - d).max(0.0) * end + 0.06 * uneven), (1.3 - d).clamp(0.0, 1.0))
        } else {
            // The hole the needle left.
            ([0.0, 0.0, 0.0], (0.16 * (1.5 - d).clamp(0.0, 1.0)).max(0.0))
        }
    });
}

fn cord(canvas: &mut Canvas, line: &[P], width: f32, colour: Colour) {
    let half = (width * 0.5).max(0.6);
    let below: Vec<P> = line.iter().map(|q| *q + p(half * 0.5, half * 0.7)).collect();
    canvas.stroke(&below, half * 1.5, |_, across| ([0.0, 0.0, 0.0], 0.26 * (1.0 - across.abs() / half / 1.5).max(0.0)));
    canvas.stroke(line, half, |along, across| {
        let d = (across / half).clamp(-1.0, 1.0);
        let round = (1.0 - d * d).sqrt();
        let ply = 0.06 * ((along / half * 1.3 + d * 1.2).sin());
        (dim(colour, 0.62 + 0.42 * round - 0.10 * d + ply), 1.0)
    });
}

fn disc(at: P, r: f32) -> Vec<P> {
    (0..48).map(|i| at + p(r, 0.0).turned(i as f32 / 48.0 * std::f32::consts::TAU)).collect()
}

fn button(canvas: &mut Canvas, at: P, r: f32, colour: Colour, clear: bool) {
    let mask = fill(&disc(at, r), (canvas.w as u32, canvas.h as u32), 4);
    shadow(canvas, &mask, r * 0.45, 0.5);
    for (i, share) in mask.share.iter().enumerate().filter(|s| *s.1 > 0.0) {
        let (x, y) = (mask.x0 + (i % mask.w) as i32, mask.y0 + (i / mask.w) as i32);
        let q = (p(x as f32 + 0.5, y as f32 + 0.5) - at) * (1.0 / r);
        let d = q.length();
        let slope = if clear { step(0.62, 0.80, d) - 0.6 * step(0.5, 0.62, d) } else { d * d * 0.8 };
        let facing = -(q.x * 0.6 + q.y * 0.7) * slope;
        let spark = (1.0 - (q - p(-0.34, -0.40)).length() * 3.0).max(0.0);
        let mut c = dim(colour, 0.90 + 0.34 * facing - 0.16 * step(0.86, 1.0, d)).map(|c| c + 0.4 * spark * spark);
        if clear {
            let hole = [p(-0.16, -0.16), p(0.16, -0.16), p(-0.16, 0.16), p(0.16, 0.16)];
            if let Some(near) = hole.iter().map(|h| (q - *h).length()).min_by(f32::total_cmp) {
                c = dim(c, 1.0 - 0.6 * (1.0 - step(0.06, 0.11, near)));
            }
        }
        canvas.blend(x, y, c, share.min(1.0) * if clear { 0.90 } else { 1.0 });
    }
}

fn eyelet(canvas: &mut Canvas, at: P, r: f32, colour: Colour) {
    canvas.each_near(&disc(at, r * 1.8), 0.0, |px, _, q| {
        let rel = q - at;
        let d = rel.length() / r;
        let ray = 0.88 + 0.12 * (rel.y.atan2(rel.x) * 14.0).sin();
        if d < 1.7 {
            let work = step(0.55, 0.75, d) * (1.0 - step(1.5, 1.7, d));
            let tone = dim(colour, ray * (1.0 - 0.1 * (rel.x + rel.y) / r));
            *px = super::canvas::between(*px, tone, work);
            *px = dim(*px, 1.0 - 0.85 * (1.0 - step(0.5, 0.7, d)));
        }
    });
}
