//! Photographs of the moving layer, made up: rigs seen from near the seat, out of true,
//! blurred, noisy and packed as JPEG.

#![allow(dead_code, reason = "each test file uses a part of it")]

use glam::DVec3;
use throughline::geometry::{azimuth, elevation};
use throughline::grey::Grey;
use throughline::light::{Colour, Tables};
use throughline::pattern::{Bar, Choices, Guides, Layer, Layers, Mark, Motion, Pattern};
use throughline::raster::{Picture, draw};
use throughline::rig::{PxRect, Rig};
use throughline::seat::{Camera, Projection, Scene, render};
use throughline::strip_code::SIZE;
use throughline::typeset::Typesetter;

/// Numbers that look random and are the same every time.
pub(crate) struct Chance(pub u64);

impl Chance {
    fn bits(&mut self) -> u64 {
        // Marsaglia's xorshift.
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }

    pub(crate) fn within(&mut self, from: f64, to: f64) -> f64 {
        from + (to - from) * (self.bits() >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub(crate) fn below(&mut self, count: usize) -> usize {
        (self.within(0.0, count as f64) as usize).min(count - 1)
    }

    /// About a normal one, of unit variance.
    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.within(0.0, 1.0)).sum::<f64>() - 6.0
    }
}

/// How a photograph is taken.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Conditions {
    /// Pixels of the photograph from one cell to the next, about.
    pub pitch_px: f64,
    /// Clockwise turn of the camera.
    pub tilt_deg: f64,
    /// Standard deviation of the blur, in pitches.
    pub blur: f64,
    /// Light that reaches white, and that is added everywhere.
    pub exposure: f64,
    pub stray: f64,
    /// Standard deviation of the noise, in codes.
    pub noise: f64,
    /// Of the JPEG file.
    pub quality: u8,
    /// Light of the right-hand panel compared with the left-hand one's.
    pub unlike: f64,
    /// Where the camera is, from the eye.
    pub off_mm: [f64; 3],
    /// Whether the alignment pattern is shown, too.
    pub is_busy: bool,
}

impl Conditions {
    /// Any within the bounds that README states.
    pub(crate) fn any(chance: &mut Chance) -> Conditions {
        Conditions {
            pitch_px: chance.within(7.0, 16.0),
            tilt_deg: chance.within(-30.0, 30.0),
            blur: chance.within(0.0, 0.3),
            exposure: chance.within(0.25, 1.2),
            stray: chance.within(0.0, 0.02),
            noise: chance.within(0.0, 8.0),
            quality: chance.within(60.0, 95.0) as u8,
            unlike: chance.within(0.5, 1.0),
            off_mm: [
                chance.within(-120.0, 120.0),
                chance.within(-80.0, 80.0),
                chance.within(-150.0, 150.0),
            ],
            is_busy: chance.below(4) == 0,
        }
    }
}

/// The marks of a rig's moving layer.
pub(crate) fn marks(rig: &Rig, layers: Layers, frame: u32) -> Vec<Mark> {
    let motion = Motion {
        frame,
        ..Motion::default()
    };
    let choices = Choices {
        motion,
        ..Choices::default()
    };
    let layers = layers.with(Layer::Motion);
    let guides = Guides::of(rig);
    Pattern::with_choices(rig, &guides, layers, choices, &mut Typesetter::new()).into_marks()
}

/// Borders of the strips on a panel, in the canvas's pixels, from the left.
pub(crate) fn borders(marks: &[Mark], lit: PxRect) -> Vec<[f64; 4]> {
    let bars = marks.iter().filter_map(|mark| match mark {
        Mark::Bar(Bar {
            edges,
            clip,
            colour,
        }) if *clip == lit => Some((*edges, *colour)),
        _ => None,
    });
    let mut borders: Vec<[f64; 4]> = bars
        .filter(|(edges, colour)| {
            let [w, h] = [edges[2] - edges[0], edges[3] - edges[1]];
            *colour == Colour([255, 255, 255]) && h > 20.0 && w > 1.2 * h
        })
        .map(|(edges, _)| edges)
        .collect();
    borders.sort_by(|a, b| a[0].total_cmp(&b[0]));
    borders
}

/// The point in the seat frame of a place on the canvas that a panel shows.
pub(crate) fn point(rig: &Rig, panel: usize, [x, y]: [f64; 2]) -> DVec3 {
    let lit = rig.canvas().panels[panel];
    let surface = &rig.layout().surfaces()[panel];
    surface.point_px(x - f64::from(lit.x), y - f64::from(lit.y))
}

/// The strips' borders at a seam, at its left and its right; `None` where it has none.
pub(crate) fn at_seam(rig: &Rig, marks: &[Mark], seam: usize) -> Option<[[f64; 4]; 2]> {
    let panels = &rig.canvas().panels;
    let lit = panels[seam];
    let left = borders(marks, lit).into_iter().next_back()?;
    let right = borders(marks, panels[seam + 1]).into_iter().next()?;
    // Strips of other seams stand at the far edges.
    let is_here = f64::from(lit.right()) - left[2] < f64::from(lit.w) / 2.0;
    let from = right[0] - f64::from(panels[seam + 1].x);
    (is_here && from < f64::from(panels[seam + 1].w) / 2.0).then_some([left, right])
}

/// The canvas with each panel showing a mix of frames, in equal parts.
pub(crate) fn canvas(rig: &Rig, frames: &[Vec<u32>], layers: Layers, unlike: f64) -> Picture {
    let mut whole = Picture::new(rig.canvas().size_px);
    let stride = whole.size_px()[0] as usize;
    let tables = Tables::get();
    for (panel, frames) in frames.iter().enumerate() {
        let lit = rig.canvas().panels[panel];
        let gain = if panel % 2 == 1 { unlike } else { 1.0 } as f32;
        let mut sum = vec![0.0_f32; lit.w as usize * lit.h as usize];
        for &frame in frames {
            draw(&marks(rig, layers, frame), &mut whole, lit);
            for row in 0..lit.h as usize {
                let start = (lit.y as usize + row) * stride + lit.x as usize;
                let pixels = &whole.pixels_mut()[start..start + lit.w as usize];
                let sums = &mut sum[row * lit.w as usize..];
                for (sum, pixel) in sums.iter_mut().zip(pixels) {
                    *sum += tables.linear(pixel[1]);
                }
            }
        }
        for row in 0..lit.h as usize {
            let start = (lit.y as usize + row) * stride + lit.x as usize;
            let pixels = &mut whole.pixels_mut()[start..start + lit.w as usize];
            let sums = &sum[row * lit.w as usize..];
            for (sum, pixel) in sums.iter().zip(pixels) {
                let code = tables.code(sum / frames.len() as f32 * gain);
                *pixel = [code, code, code, 255];
            }
        }
    }
    whole
}

/// A photograph of a seam's strips, whose borders are given.
pub(crate) fn photograph(
    rig: &Rig,
    canvas: &Picture,
    seam: usize,
    borders: [[f64; 4]; 2],
    how: Conditions,
    chance: &mut Chance,
) -> image::GrayImage {
    let eye = DVec3::from_array(how.off_mm);
    let middle = |side: usize| {
        let [left, top, right, bottom] = borders[side];
        point(
            rig,
            seam + side,
            [left.midpoint(right), top.midpoint(bottom)],
        ) - eye
    };
    let [left, right] = [middle(0), middle(1)];
    let towards = left.normalize() + right.normalize();
    let edge = |side: usize, at: usize| {
        let [_, top, _, bottom] = borders[side];
        point(rig, seam + side, [borders[side][at], top.midpoint(bottom)]) - eye
    };
    let pitch = edge(0, 0).angle_between(edge(0, 2)) / SIZE[0];
    let size_px = [1000_u32, 760];
    let focal = how.pitch_px / pitch;
    let fov = 2.0 * (f64::from(size_px[0]) / 2.0 / focal).atan();
    let look = [azimuth(towards), elevation(towards)];
    let camera = Camera::new(Projection::Rectilinear, look, fov, size_px).expect("can be shown");
    let view = render(Scene::new(rig, rig, eye), &camera, canvas);
    let [w, h] = size_px.map(|side| side as usize);
    let tables = Tables::get();
    let light: Vec<f32> = view
        .bytes()
        .as_chunks::<4>()
        .0
        .iter()
        .map(|p| tables.linear(p[1]))
        .collect();
    let turned = turned(&light, [w, h], how.tilt_deg.to_radians());
    let blurred = blurred(&turned, [w, h], how.blur * how.pitch_px);
    let codes: Vec<u8> = blurred
        .iter()
        .map(|light| {
            let seen = f64::from(*light) * how.exposure + how.stray;
            let code = f64::from(tables.code(seen as f32)) + how.noise * chance.normal();
            code.round().clamp(0.0, 255.0) as u8
        })
        .collect();
    let mut file = Vec::new();
    image::codecs::jpeg::JpegEncoder::new_with_quality(&mut file, how.quality)
        .encode(&codes, w as u32, h as u32, image::ExtendedColorType::L8)
        .expect("can be packed");
    image::load_from_memory(&file)
        .expect("was just packed")
        .into_luma8()
}

/// A picture as the reader takes it.
pub(crate) fn as_grey(picture: image::GrayImage) -> Grey {
    let size_px = [picture.width(), picture.height()];
    Grey::new(size_px, picture.into_raw()).expect("as many as there were")
}

/// Light turned about the middle, clockwise.
fn turned(light: &[f32], [w, h]: [usize; 2], turn: f64) -> Vec<f32> {
    let (sin, cos) = turn.sin_cos();
    let at = |x: f64, y: f64| -> f32 {
        let is_inside = x >= 0.0 && y >= 0.0 && x < w as f64 && y < h as f64;
        if is_inside {
            light[y as usize * w + x as usize]
        } else {
            0.0
        }
    };
    let mut out = Vec::with_capacity(light.len());
    for row in 0..h {
        for column in 0..w {
            let [dx, dy] = [column as f64 - w as f64 / 2.0, row as f64 - h as f64 / 2.0];
            let x = dx * cos + dy * sin + w as f64 / 2.0;
            let y = dy * cos - dx * sin + h as f64 / 2.0;
            let [fx, fy] = [x - x.floor(), y - y.floor()].map(|v| v as f32);
            let [x, y] = [x.floor(), y.floor()];
            let upper = at(x, y) * (1.0 - fx) + at(x + 1.0, y) * fx;
            let lower = at(x, y + 1.0) * (1.0 - fx) + at(x + 1.0, y + 1.0) * fx;
            out.push(upper * (1.0 - fy) + lower * fy);
        }
    }
    out
}

/// Light blurred by a bell curve.
fn blurred(light: &[f32], [w, h]: [usize; 2], sigma: f64) -> Vec<f32> {
    if sigma < 0.1 {
        return light.to_vec();
    }
    let reach = (3.0 * sigma).ceil() as isize;
    let bell: Vec<f32> = (-reach..=reach)
        .map(|d| (-(d as f64 / sigma).powi(2) / 2.0).exp() as f32)
        .collect();
    let total: f32 = bell.iter().sum();
    let pass = |light: &[f32], step: [isize; 2]| -> Vec<f32> {
        let mut out = vec![0.0; light.len()];
        for y in 0..h.cast_signed() {
            for x in 0..w.cast_signed() {
                let mut sum = 0.0;
                for (d, weight) in (-reach..=reach).zip(&bell) {
                    let x = (x + d * step[0]).clamp(0, w.cast_signed() - 1);
                    let y = (y + d * step[1]).clamp(0, h.cast_signed() - 1);
                    sum += weight * light[y as usize * w + x as usize];
                }
                out[y as usize * w + x as usize] = sum / total;
            }
        }
        out
    };
    pass(&pass(light, [1, 0]), [0, 1])
}
