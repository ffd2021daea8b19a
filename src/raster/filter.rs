//! Looks a picture up through the footprint of another picture's pixel.
//!
//! The elliptical weighted average of N. Greene and P. Heckbert, *Creating
//! Raster Omnimax Images from Multiple Perspective Views Using the Elliptical
//! Weighted Average Filter* (1986): every pixel under the footprint counts by a
//! bell curve, in linear light, so that a line keeps its centroid whether the
//! picture shrinks, grows or does both in different directions. The bell curve
//! is (1 − r²/12)⁴, which has unit variance and ends at r = √12.

use super::picture::Picture;
use crate::light::Tables;
use crate::rig::PxRect;

/// Standard deviation, in pixels, of either picture's bell curve: less shows
/// the raster in thin lines, more blurs them.
const SIGMA_PX: f64 = 0.5;
/// Squared standard deviations beyond which nothing counts.
const REACH2: f64 = 12.0;

/// Where a pixel of one picture looks into another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Footprint {
    /// Column and row coordinate of its middle.
    pub centre: [f64; 2],
    /// Change of both per column of the looking picture.
    pub per_column: [f64; 2],
    /// Change of both per row of the looking picture.
    pub per_row: [f64; 2],
}

impl Footprint {
    /// Mean linear light of the picture under the footprint. What lies outside
    /// `area`, a rectangle of the picture, does not count; a footprint beyond
    /// its edge sees the edge.
    pub fn light(&self, picture: &Picture, area: PxRect) -> [f32; 3] {
        let [x0, y0] = [f64::from(area.x), f64::from(area.y)];
        let [x1, y1] = [f64::from(area.right()), f64::from(area.bottom())];
        if area.w == 0 || area.h == 0 || !self.is_finite() {
            return [0.0; 3];
        }
        // Covariance of the two bell curves together: σ²·(J·Jᵀ + 1).
        let ([ax, ay], [bx, by]) = (self.per_column, self.per_row);
        let variance = SIGMA_PX * SIGMA_PX;
        let xx = variance * (ax * ax + bx * bx + 1.0);
        let xy = variance * (ax * ay + bx * by);
        let yy = variance * (ay * ay + by * by + 1.0);
        let determinant = xx * yy - xy * xy;
        let (a, b, c) = (yy / determinant, -xy / determinant, xx / determinant);

        // In pixels whose centres are whole numbers, inside the area.
        let cx = self.centre[0].clamp(x0 + 0.5, x1 - 0.5) - 0.5;
        let cy = self.centre[1].clamp(y0 + 0.5, y1 - 0.5) - 0.5;
        let reach_y = (REACH2 * yy).sqrt();
        let first = (cy - reach_y).ceil().max(y0) as u32;
        let last = (cy + reach_y).floor().min(y1 - 1.0) as u32;

        let tables = Tables::get();
        let stride = picture.stride();
        let (lean, flat) = (-b / a, (c - b * b / a) / REACH2);
        let steep = (a / REACH2) as f32;
        let mut sum = [0.0_f32; 3];
        let mut total = 0.0_f32;
        for row in first..=last {
            let dy = f64::from(row) - cy;
            // a·dx² + 2b·dx·dy + c·dy² ≤ REACH2
            let middle = cx + lean * dy;
            let height = 1.0 - flat * dy * dy;
            if height <= 0.0 {
                continue;
            }
            let half = (height * REACH2 / a).sqrt();
            let from = (middle - half).ceil().max(x0);
            let to = (middle + half).floor().min(x1 - 1.0);
            if from > to {
                continue;
            }
            let start = row as usize * stride;
            let pixels = &picture.bytes()[start + from as usize * 4..start + to as usize * 4 + 4];
            let (height, mut dx) = (height as f32, (from - middle) as f32);
            for [red, green, blue, _] in pixels.as_chunks::<4>().0 {
                let bell = height - steep * dx * dx;
                let weight = (bell * bell) * (bell * bell);
                sum[0] += weight * tables.linear(*red);
                sum[1] += weight * tables.linear(*green);
                sum[2] += weight * tables.linear(*blue);
                total += weight;
                dx += 1.0;
            }
        }
        if total > 0.0 {
            [sum[0] / total, sum[1] / total, sum[2] / total]
        } else {
            [0.0; 3]
        }
    }

    fn is_finite(&self) -> bool {
        let sum = |[x, y]: [f64; 2]| x + y;
        (sum(self.centre) + sum(self.per_column) + sum(self.per_row)).is_finite()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line_at(column: u32) -> Picture {
        let mut picture = Picture::new([64, 64]);
        for pixel in picture.bytes_mut().chunks_exact_mut(4) {
            pixel.copy_from_slice(&[0, 0, 0, 255]);
        }
        let stride = picture.stride();
        for row in 0..64 {
            let start = row * stride + column as usize * 4;
            picture.bytes_mut()[start..start + 3].fill(255);
        }
        picture
    }

    const AREA: PxRect = PxRect {
        x: 0,
        y: 0,
        w: 64,
        h: 64,
    };

    #[test]
    fn a_line_keeps_its_centroid_at_any_scale() {
        let picture = line_at(31);
        for scale in [0.2, 0.7, 1.0, 1.6, 2.3, 3.1] {
            for phase in [0.0, 0.13, 0.4, 0.77] {
                let (mut light, mut moment) = (0.0, 0.0);
                for i in -40..=40 {
                    let at = 31.5 + (f64::from(i) + phase) * scale;
                    if !(2.0..62.0).contains(&at) {
                        continue;
                    }
                    let seen = Footprint {
                        centre: [at, 30.0],
                        per_column: [scale, 0.0],
                        per_row: [0.0, scale],
                    }
                    .light(&picture, AREA)[0];
                    light += f64::from(seen);
                    moment += f64::from(seen) * (f64::from(i) + phase);
                }
                let off = moment / light;
                assert!(off.abs() < 0.02, "scale {scale}, phase {phase}: {off}");
                // A line one pixel wide sends as much light, 1 % of ripple set aside.
                assert!(
                    (light * scale - 1.0).abs() < 0.01,
                    "{scale} {phase} {light}"
                );
            }
        }
    }

    #[test]
    fn a_plain_area_stays_as_it_is_even_at_its_edge() {
        let mut picture = Picture::new([64, 64]);
        picture.bytes_mut().fill(188);
        let area = PxRect {
            x: 8,
            y: 8,
            w: 20,
            h: 20,
        };
        for centre in [[8.0, 8.0], [2.0, 40.0], [17.3, 20.1]] {
            let light = Footprint {
                centre,
                per_column: [2.0, 1.5],
                per_row: [-0.3, 4.0],
            }
            .light(&picture, area);
            let expected = Tables::get().linear(188);
            assert!((light[1] - expected).abs() < 1e-5, "{centre:?}: {light:?}");
        }
    }

    #[test]
    fn nothing_outside_the_area_counts() {
        let picture = line_at(31);
        let area = PxRect { w: 31, ..AREA };
        let light = Footprint {
            centre: [30.9, 20.0],
            per_column: [3.0, 0.0],
            per_row: [0.0, 3.0],
        }
        .light(&picture, area);
        assert_eq!(light, [0.0; 3]);
    }
}
