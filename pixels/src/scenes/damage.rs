//! Damage, drawn from the same numbers that the reports outline: each kind has a shape in millimetres whose area or
//! length is the extent on record, and a way to paint it. Apart because shape and paint must never part company.

use super::canvas::{Canvas, Colour, P, View, area, between, dim, fill, line, p, run};
use super::cloth::Cloth;
use super::figures::point_at;
use super::noise::{along, dice, hash, plane, step};
use serde::Deserialize;

/// One damage as the recipe gives it. Exactly one of `area_cm2`, `path` or `size_mm` says how large it is.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Damage {
    /// Name by which photographs call for it.
    pub id: String,
    /// Term, as the condition note has it.
    pub term: String,
    /// Which part of the piece.
    pub component: String,
    /// How it is painted; the term where not given.
    pub look: Option<String>,
    /// Middle, in millimetres on the figure.
    #[serde(default)]
    pub at: [f32; 2],
    /// Area in square centimetres.
    pub area_cm2: Option<f32>,
    /// Line along which it runs, as `x,y x,y …`.
    pub path: Option<String>,
    /// Length along `path` in millimetres, taken about its middle.
    pub length_mm: Option<f32>,
    /// Width and height of a small place.
    pub size_mm: Option<[f32; 2]>,
    /// How many (spots, splits).
    pub count: Option<usize>,
    /// Long side against short side of an area.
    pub stretch: Option<f32>,
    /// Turn of an area in degrees.
    pub turn: Option<f32>,
    /// Which throw of the dice.
    #[serde(default)]
    pub seed: u32,
    /// Strength of the painting; 1 where not given.
    pub strength: Option<f32>,
    /// Repaired: painted closed, with its support and stitches.
    #[serde(default)]
    pub supported: bool,
    /// It lies in the lining, which is what the camera sees.
    #[serde(default)]
    pub on_lining: bool,
}

/// Where a damage lies, in millimetres.
#[derive(Clone, Debug, PartialEq)]
pub enum Extent {
    /// Too small to outline.
    Point(P),
    /// Along a line.
    Line(Vec<P>),
    /// Inside an outline.
    Outline(Vec<P>),
}

impl Damage {
    /// Its shape. The outline has the area on record, the line the length on record.
    pub fn extent(&self) -> Extent {
        if let Some(path) = &self.path {
            let whole = line(path);
            let share = self.length_mm.map_or(1.0, |l| (l / run(&whole).max(1e-3)).min(1.0));
            let from = 0.5 - share * 0.5;
            return Extent::Line((0..=24).map(|i| point_at(&whole, from + share * i as f32 / 24.0)).collect());
        }
        if let Some(cm2) = self.area_cm2 {
            return Extent::Outline(self.blob(cm2 * 100.0));
        }
        if let Some([w, h]) = self.size_mm {
            let ring = (0..40).map(|i| {
                let turn = i as f32 / 40.0 * std::f32::consts::TAU;
                let uneven = 1.0 + 0.10 * (turn * 3.0 + self.seed as f32).sin() + 0.06 * (turn * 7.0).sin();
                self.middle() + p(turn.cos() * w * 0.5 * uneven, turn.sin() * h * 0.5 * uneven)
            });
            return Extent::Outline(ring.collect());
        }
        Extent::Point(self.middle())
    }

    fn middle(&self) -> P {
        p(self.at[0], self.at[1])
    }

    fn look(&self) -> &str {
        self.look.as_deref().unwrap_or(&self.term)
    }

    fn blob(&self, mm2: f32) -> Vec<P> {
        let stretch = self.stretch.unwrap_or(1.25).sqrt();
        let turn = self.turn.unwrap_or(0.0).to_radians();
        let seed = self.seed;
        let ring: Vec<P> = (0..96)
            .map(|i| {
                let t = i as f32 / 96.0;
                let bumps = 0.22 * along(1, t * 6.0, 6, seed)
                    + 0.12 * along(2, t * 12.0, 12, seed)
                    + 0.05 * along(3, t * 32.0, 32, seed);
                let angle = t * std::f32::consts::TAU;
                p(angle.cos() * stretch, angle.sin() / stretch).turned(turn) * (1.0 + bumps)
            })
            .collect();
        let grow = (mm2 / area(&ring).max(1e-6)).sqrt();
        ring.into_iter().map(|q| self.middle() + q * grow).collect()
    }

    /// Outlines (millimetres) inside which threads are gone.
    pub fn openings(&self) -> Vec<Vec<P>> {
        if self.supported { Vec::new() } else { self.wounds() }
    }

    /// The same outlines, mended or not.
    pub fn wounds(&self) -> Vec<Vec<P>> {
        match (self.look(), self.extent()) {
            ("tear" | "split" | "seam slippage", Extent::Line(path)) => {
                vec![lens(&path, if self.look() == "tear" { 0.16 } else { 0.10 }, self.seed)]
            }
            ("hole" | "insect damage", Extent::Outline(ring)) => vec![ring],
            ("shattering", Extent::Outline(ring)) => self.splits(&ring),
            _ => Vec::new(),
        }
    }

    /// Parallel breaks filling an outline.
    fn splits(&self, ring: &[P]) -> Vec<Vec<P>> {
        let low = ring.iter().fold(p(f32::MAX, f32::MAX), |a, q| p(a.x.min(q.x), a.y.min(q.y)));
        let high = ring.iter().fold(p(f32::MIN, f32::MIN), |a, q| p(a.x.max(q.x), a.y.max(q.y)));
        let count = self.count.unwrap_or(16);
        let mut found = Vec::new();
        for i in 0..count {
            let x = low.x + (high.x - low.x) * (i as f32 + 0.5 + 0.3 * dice(i, self.seed)) / count as f32;
            let inside: Vec<f32> = (0..=60)
                .map(|s| low.y + (high.y - low.y) * s as f32 / 60.0)
                .filter(|y| within(ring, p(x, *y)))
                .collect();
            let (Some(top), Some(bottom)) = (inside.first(), inside.last()) else { continue };
            let tall = bottom - top;
            let mut y = top + tall * 0.10 * (dice(i, self.seed + 1) + 1.0);
            let mut k = 0;
            while y < top + tall * 0.92 && tall > 2.0 {
                let long = tall * (0.22 + 0.30 * hash(i as i32, k, self.seed + 2));
                let end = (y + long).min(*bottom);
                let drift = 0.05 * tall * dice(i * 7 + k as usize, self.seed + 3);
                let path = [p(x, y), p(x + drift * 0.6, (y + end) * 0.5), p(x + drift, end)];
                found.push(lens(&path, 0.075 * self.strength.unwrap_or(1.0), self.seed + i as u32));
                y = end + tall * 0.07;
                k += 1;
            }
        }
        found
    }

    /// Paints it on an overall or detail view.
    pub fn paint(&self, canvas: &mut Canvas, view: &View, shell: &Cloth, lining: &Cloth) {
        let (shell, lining) = if self.on_lining { (lining, shell) } else { (shell, lining) };
        if self.supported {
            self.support(canvas, view, shell);
            return;
        }
        for opening in self.openings() {
            open(canvas, view, &opening, shell, lining, self.seed);
        }
        if let ("seam slippage", Extent::Line(path)) = (self.look(), self.extent()) {
            slipped(canvas, view, &path, shell);
        }
        self.tone(canvas, view, shell);
    }

    /// Paints only what changes colour and surface, leaving the threads in place.
    pub fn tone(&self, canvas: &mut Canvas, view: &View, shell: &Cloth) {
        let s = view.scale;
        let strong = self.strength.unwrap_or(1.0);
        match (self.look(), self.extent()) {
            ("tideline", Extent::Outline(ring)) => tideline(canvas, view, &ring, strong, self.seed),
            ("stain" | "dye loss" | "fading" | "crushed pile" | "fibre loss (grazing)", Extent::Outline(ring)) => {
                self.wash(canvas, view, &ring, strong);
            }
            ("foxing" | "pin hole", Extent::Outline(ring)) => {
                self.spots(canvas, view, &ring, strong);
            }
            ("abrasion" | "fraying", Extent::Line(path)) => self.rub(canvas, view, &path, shell),
            ("soiling, local", Extent::Line(path)) => {
                canvas.stroke(&view.line(&path), 16.0 * s, |along, across| {
                    let (a, d) = (along / s, (across / s).abs() / 16.0);
                    let patch = 0.6 + 0.4 * plane(a / 22.0, across / s / 9.0, 61);
                    ([0.30, 0.26, 0.21], 0.40 * strong * patch * (1.0 - d).max(0.0).powf(1.3))
                });
            }
            ("crease", Extent::Line(path)) => {
                canvas.stroke(&view.line(&path), 2.4 * s, |along, across| {
                    let d = across / s + 0.3 * plane(along / s / 14.0, 1.0, 62);
                    let fade = step(0.0, 18.0 * s, along);
                    if d < 0.0 {
                        ([1.0; 3], 0.34 * fade * (-d * d * 2.0).exp())
                    } else {
                        ([0.0; 3], 0.26 * fade * (-d * d * 1.2).exp())
                    }
                });
            }
            ("broken stiffener", Extent::Line(path)) => {
                canvas.stroke(&view.line(&path), 4.5 * s, |along, across| {
                    let (a, d) = (along / s, across / s);
                    let bump = (-(d - 1.2) * (d - 1.2) / 2.0).exp();
                    let end = step(0.0, 3.0, a);
                    if a % 9.0 < 1.1 {
                        ([0.0; 3], 0.4 * end * (1.0 - d.abs() / 4.5))
                    } else {
                        ([1.0; 3], 0.12 * bump * end)
                    }
                });
            }
            ("crazing", Extent::Outline(ring)) => self.cracks(canvas, view, &ring),
            _ => {}
        }
    }

    /// A tone laid over an area with soft, uneven edges.
    fn wash(&self, canvas: &mut Canvas, view: &View, ring: &[P], strong: f32) {
        let middle = self.middle();
        let reach = Ring::new(ring, middle);
        let look = self.look().to_owned();
        canvas.each_near(&view.line(ring), 20.0 * view.scale.min(2.0), |px, cloth, at| {
            let q = view.back(at.x, at.y);
            let d = reach.depth(q);
            if d > 1.5 || cloth <= 0.0 {
                return;
            }
            let rough = 0.10 * plane(q.x / 2.3, q.y / 2.3, 63) + 0.10 * plane(q.x / 8.0, q.y / 8.0, 64);
            let soft = (1.0 - step(0.55, 1.16, d + rough)) * cloth;
            let old = *px;
            *px = match look.as_str() {
                "stain" => between(old, [old[0] * 0.80, old[1] * 0.68, old[2] * 0.48], soft * 0.75 * strong),
                "dye loss" => {
                    between(old, [old[0] * 0.6 + 0.42, old[1] * 0.5 + 0.34, old[2] * 0.45 + 0.26], soft * 0.62 * strong)
                }
                "fading" => {
                    let grey = (old[0] + old[1] + old[2]) / 3.0;
                    let pale = [
                        grey * 0.55 + old[0] * 0.6 + 0.06,
                        grey * 0.35 + old[1] * 0.72 + 0.05,
                        grey * 0.3 + old[2] * 0.7 + 0.02,
                    ];
                    between(old, pale, (1.0 - step(0.2, 1.25, d + rough)) * cloth * 0.62 * strong)
                }
                "crushed pile" => {
                    let streak = 0.5 + 0.5 * plane(q.x / 1.1 + q.y / 3.0, q.y / 9.0, 65);
                    between(old, [0.34, 0.30, 0.27], soft * (0.25 + 0.4 * streak) * strong)
                }
                _ => {
                    let bite = step(0.1, 0.5, plane(q.x / 1.4, q.y / 1.4, 66) + 0.35);
                    between(old, dim(between(old, [0.55, 0.50, 0.42], 0.5), 0.9), soft * bite * 0.75 * strong)
                }
            };
        });
    }

    /// Small round places scattered in an outline.
    fn spots(&self, canvas: &mut Canvas, view: &View, ring: &[P], strong: f32) {
        let holes = self.look() == "pin hole";
        for (i, at) in self.places(ring).into_iter().enumerate() {
            let r = if holes { 0.55 } else { 1.3 + 1.9 * hash(i as i32, 5, self.seed) };
            let mid = view.at(at);
            let box_of = [mid - p(r, r) * (view.scale * 2.2), mid + p(r, r) * (view.scale * 2.2)];
            canvas.each_near(&box_of, 0.0, |px, cloth, q| {
                let rel = (q - mid) * (1.0 / (r * view.scale));
                let uneven = 0.22 * plane(rel.x * 2.0 + i as f32 * 9.0, rel.y * 2.0, 67);
                let d = rel.length() + uneven;
                let core = (1.0 - step(0.15, 0.7, d)) * 0.45;
                let halo = 1.0 - step(0.5, 1.35, d);
                let ink = if holes { [0.12, 0.10, 0.09] } else { [0.52, 0.33, 0.16] };
                let share = if holes { 1.0 - step(0.6, 1.1, d) } else { (core + 0.5 * halo).min(0.85) };
                *px = between(*px, ink, share * cloth * strong);
            });
        }
    }

    /// Where the spots lie: `count` places inside the outline, none on another.
    pub fn places(&self, ring: &[P]) -> Vec<P> {
        let low = ring.iter().fold(p(f32::MAX, f32::MAX), |a, q| p(a.x.min(q.x), a.y.min(q.y)));
        let high = ring.iter().fold(p(f32::MIN, f32::MIN), |a, q| p(a.x.max(q.x), a.y.max(q.y)));
        let gap = (area(ring) / self.count.unwrap_or(1).max(1) as f32).sqrt() * 0.55;
        let mut found: Vec<P> = Vec::new();
        for i in 0..4000 {
            if found.len() == self.count.unwrap_or(1) {
                break;
            }
            let q =
                p(low.x + (high.x - low.x) * hash(i, 1, self.seed), low.y + (high.y - low.y) * hash(i, 2, self.seed));
            let inner = self.middle() + (q - self.middle()) * 1.12;
            if within(ring, inner) && found.iter().all(|f| (*f - q).length() > gap) {
                found.push(q);
            }
        }
        found
    }

    /// Raised and broken fibres along a line.
    fn rub(&self, canvas: &mut Canvas, view: &View, path: &[P], shell: &Cloth) {
        let s = view.scale;
        let pale = between(shell.warp, [0.88, 0.85, 0.78], 0.45);
        let fraying = self.look() == "fraying";
        canvas.stroke(&view.line(path), 3.4 * s, |along, across| {
            let (a, d) = (along / s, across / s);
            let worn = 0.5 + 0.5 * plane(a / 3.0, d / 1.2, 68);
            let ends = step(0.0, 10.0, a);
            (pale, (0.62 * worn * ends * (1.0 - d.abs() / 3.4)).max(0.0))
        });
        let long = run(path);
        for i in 0..(long * if fraying { 1.6 } else { 0.9 }) as usize {
            let share = hash(i as i32, 3, self.seed);
            let (at, next) = (point_at(path, share), point_at(path, share + 0.01));
            let way = next - at;
            let out = p(-way.y, way.x) * (1.0 / way.length().max(1e-4));
            let reach = if fraying {
                2.0 + 5.0 * hash(i as i32, 4, self.seed)
            } else {
                1.0 + 1.4 * hash(i as i32, 4, self.seed)
            };
            let tip = at + out * reach + way * (3.0 * dice(i, self.seed + 5));
            let bend = (at + tip) * 0.5 + way * (4.0 * dice(i, self.seed + 6));
            let hair: Vec<P> = view.line(&[at, bend, tip]);
            canvas.thin(&hair, 0.18 * s, dim(pale, 0.9 + 0.2 * dice(i, self.seed + 7)), 0.75);
        }
    }

    fn cracks(&self, canvas: &mut Canvas, view: &View, ring: &[P]) {
        for i in 0..26 {
            let mut at = self.middle() + p(dice(i, self.seed) * 4.0, dice(i, self.seed + 1) * 4.0);
            let mut way = p(0.55, 0.0).turned(dice(i, self.seed + 2) * 3.1);
            let mut path = vec![at];
            for k in 0..9 {
                way = way.turned(0.5 * dice(i * 11 + k, self.seed + 3));
                at = at + way;
                if !within(ring, at) {
                    break;
                }
                path.push(at);
            }
            let path = view.line(&path);
            canvas.thin(&path, (0.05 * view.scale).max(1.0), [0.40, 0.28, 0.12], 0.75);
            let light: Vec<P> = path.iter().map(|q| *q + p(1.4, 1.4)).collect();
            canvas.thin(&light, (0.04 * view.scale).max(1.0), [1.0, 0.97, 0.85], 0.5);
        }
    }

    /// A patch let in behind and laid down with couching.
    pub fn support(&self, canvas: &mut Canvas, view: &View, shell: &Cloth) {
        let (mid, s) = (self.middle(), view.scale);
        let [w, h] = self.size_mm.unwrap_or([4.0, 4.0]);
        if s < 20.0 {
            for ring in self.wounds() {
                canvas.flat(&view.line(&ring), dim(shell.weft, 0.93), 0.95);
            }
        }
        let rows = (h / 1.1) as i32 + 4;
        for k in -rows..=rows {
            let y = mid.y + k as f32 * 0.8;
            let row = view.line(&[p(mid.x - w * 1.1, y), p(mid.x + w * 1.1, y + 0.12)]);
            canvas.thin(&row, 0.14 * s, dim(shell.warp, 0.80), 0.75);
        }
    }
}

/// The distance of an outline from its middle in every direction.
struct Ring {
    middle: P,
    reach: Vec<f32>,
}

impl Ring {
    fn new(ring: &[P], middle: P) -> Ring {
        let mut reach = vec![0.0_f32; 180];
        for (i, from) in ring.iter().enumerate() {
            let to = ring[(i + 1) % ring.len()];
            for s in 0..12 {
                let rel = *from + (to - *from) * (s as f32 / 12.0) - middle;
                let slot = ((rel.y.atan2(rel.x) / std::f32::consts::TAU + 1.0) * 180.0) as usize % 180;
                reach[slot] = reach[slot].max(rel.length());
            }
        }
        for i in 0..180 {
            if reach[i] <= 0.0 {
                reach[i] = reach[(i + 179) % 180].max(0.5);
            }
        }
        Ring { middle, reach }
    }

    /// 0 in the middle, 1 on the outline.
    fn depth(&self, q: P) -> f32 {
        let rel = q - self.middle;
        let turn = (rel.y.atan2(rel.x) / std::f32::consts::TAU + 1.0) * 180.0;
        let (a, t) = (turn as usize, turn.fract());
        let reach = self.reach[a % 180] * (1.0 - t) + self.reach[(a + 1) % 180] * t;
        rel.length() / reach.max(0.1)
    }
}

/// Whether a point lies inside an outline.
pub fn within(ring: &[P], q: P) -> bool {
    let mut inside = false;
    for (i, a) in ring.iter().enumerate() {
        let b = ring[(i + 1) % ring.len()];
        if (a.y > q.y) != (b.y > q.y) && q.x < (b.x - a.x) * (q.y - a.y) / (b.y - a.y) + a.x {
            inside = !inside;
        }
    }
    inside
}

/// A pointed opening along a path, as wide in the middle as `fat` times its length.
fn lens(path: &[P], fat: f32, seed: u32) -> Vec<P> {
    let long = run(path);
    let side = |sign: f32, i: usize| {
        let t = i as f32 / 16.0;
        let (at, next) = (point_at(path, t), point_at(path, (t + 0.02).min(1.0)));
        let back = point_at(path, (t - 0.02).max(0.0));
        let way = next - back;
        let out = p(-way.y, way.x) * (1.0 / way.length().max(1e-5));
        let rough = 1.0 + 0.35 * dice(i + if sign > 0.0 { 40 } else { 0 }, seed);
        at + out * (sign * 0.5 * fat * long * (t * std::f32::consts::PI).sin().max(0.0).powf(0.8) * rough)
    };
    (0..=16).map(|i| side(1.0, i)).chain((1..16).rev().map(|i| side(-1.0, i))).collect()
}

/// A drying line: faint inside, dark and crisp at the edge, darker still where the liquid stood longest.
fn tideline(canvas: &mut Canvas, view: &View, ring: &[P], strong: f32, seed: u32) {
    let count = ring.len().max(1) as f32;
    let middle = ring.iter().fold(p(0.0, 0.0), |a, q| a + *q) * (1.0 / count);
    let reach = Ring::new(ring, middle);
    let size = (area(ring) / std::f32::consts::PI).sqrt();
    canvas.each_near(&view.line(ring), 3.0 * view.scale, |px, cloth, at| {
        let q = view.back(at.x, at.y);
        let d = reach.depth(q);
        if d > 1.2 || cloth <= 0.0 {
            return;
        }
        let off = (d - 1.0) * size + 0.25 * plane(q.x / 1.2, q.y / 1.2, seed);
        let edge = if off < 0.0 { (off / 1.6).exp() } else { (-(off / 0.35) * (off / 0.35)).exp() };
        let second = (-((d - 0.80) * size / 0.5).powi(2)).exp() * 0.25;
        let inside = 1.0 - step(0.98, 1.02, d);
        let patch = 0.8 + 0.3 * plane(q.x / 9.0, q.y / 9.0, seed + 1);
        let dark = (0.16 * inside + 0.62 * edge * patch + second * inside) * strong * cloth;
        let old = *px;
        *px = between(old, [old[0] * 0.62 + 0.02, old[1] * 0.50 + 0.01, old[2] * 0.34], dark.min(0.95));
    });
}

/// An opening: the lining in shade behind it, and threads frayed from its edges.
fn open(canvas: &mut Canvas, view: &View, ring: &[P], shell: &Cloth, lining: &Cloth, seed: u32) {
    let s = view.scale;
    let outline = view.line(ring);
    let mask = fill(&outline, view.size, 2);
    let tall = mask.h.max(1) as f32;
    for (i, share) in mask.share.iter().enumerate().filter(|m| *m.1 > 0.0) {
        let (x, y) = (mask.x0 + (i % mask.w) as i32, mask.y0 + (i / mask.w) as i32);
        let deep = 0.50 + 0.30 * ((i / mask.w) as f32 / tall);
        let tooth = 1.0 + 0.08 * plane(x as f32 / s.max(1.0) * 1.3, y as f32 / s.max(1.0) * 1.3, 69);
        canvas.blend(x, y, dim(lining.warp, deep * tooth), share.min(1.0));
    }
    let n = ring.len();
    let rim: Vec<P> = outline.iter().chain(outline.first()).copied().collect();
    canvas.thin(&rim, (0.35 * s).max(1.0), dim(shell.warp, 0.42), 0.5);
    let middle = ring.iter().fold(p(0.0, 0.0), |a, q| a + *q) * (1.0 / n.max(1) as f32);
    for i in 0..n * 2 {
        let at = ring[i % n];
        let inward = middle - at;
        // Threads run with the cloth: up and down from one edge, across from the other.
        let upright = hash(i as i32, 8, seed) > 0.5;
        let way = if upright {
            p(0.12 * dice(i, seed), inward.y.signum())
        } else {
            p(inward.x.signum(), 0.12 * dice(i, seed))
        };
        let most = if upright { inward.y.abs() } else { inward.x.abs() };
        let long = (0.4 + 2.2 * hash(i as i32, 9, seed)).min(most * 1.3 + 0.3);
        let tip = at + way * long;
        let hair = view.line(&[at - way * 0.3, (at + tip) * 0.5 + p(0.15 * dice(i, seed + 2), 0.1), tip]);
        let tone: Colour = dim(if upright { shell.warp } else { shell.weft }, 1.0 + 0.16 * dice(i, seed + 3));
        canvas.thin(&hair, 0.24 * s, tone, 0.9);
    }
}

/// Beside a seam whose yarns have slid: bare cross threads over the opening.
fn slipped(canvas: &mut Canvas, view: &View, path: &[P], shell: &Cloth) {
    let long = run(path);
    let count = (long * 1.5) as usize;
    for i in 0..count {
        let t = (i as f32 + 0.5) / count as f32;
        let (at, way) = (point_at(path, t), point_at(path, t + 0.02) - point_at(path, t - 0.02));
        let out = p(-way.y, way.x) * (1.0 / way.length().max(1e-5));
        let half = 0.07 * long * (t * std::f32::consts::PI).sin() + 0.4;
        let thread = view.line(&[at - out * half, at + out * half]);
        canvas.thin(&thread, 0.22 * view.scale, dim(shell.weft, 1.08 + 0.1 * dice(i, 70)), 0.85);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_outline_has_the_area_on_record() {
        for (cm2, stretch, turn) in [(4.1, 1.2, 0.0), (19.0, 2.0, 40.0), (8.0, 1.0, 90.0)] {
            let damage = Damage { area_cm2: Some(cm2), stretch: Some(stretch), turn: Some(turn), ..Damage::default() };
            let Extent::Outline(ring) = damage.extent() else { panic!("an area gives an outline") };
            assert!((area(&ring) / 100.0 - cm2).abs() < 0.01, "{cm2}");
        }
    }

    #[test]
    fn a_line_has_the_length_on_record() {
        let damage = Damage { path: Some("0,0 100,0!".into()), length_mm: Some(31.0), ..Damage::default() };
        let Extent::Line(path) = damage.extent() else { panic!("a path gives a line") };
        assert!((run(&path) - 31.0).abs() < 0.1);
        assert!((path[0].x - 34.5).abs() < 0.1, "taken about the middle");
    }

    #[test]
    fn as_many_spots_as_counted() {
        for count in [5, 6, 11] {
            let damage = Damage { area_cm2: Some(30.0), count: Some(count), seed: 4, ..Damage::default() };
            let Extent::Outline(ring) = damage.extent() else { panic!("an area gives an outline") };
            let places = damage.places(&ring);
            assert_eq!(places.len(), count);
            assert!(places.iter().all(|q| within(&ring, *q)));
        }
    }
}
