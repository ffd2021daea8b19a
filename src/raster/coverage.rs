//! How much of a pixel lies on one side of a straight edge.

/// The family of half-planes with one edge direction, over a unit pixel.
#[derive(Debug, Clone, Copy)]
pub struct HalfPlane {
    /// Half of the distance range over which the edge cuts a corner.
    inner: f64,
    outer: f64,
    per_inner: f64,
    per_corner: f64,
}

impl HalfPlane {
    /// Half-planes whose edge has this unit normal (columns, rows).
    pub fn new(normal: [f64; 2]) -> HalfPlane {
        let (a, b) = (normal[0].abs(), normal[1].abs());
        let (large, small) = (a.max(b), a.min(b));
        HalfPlane {
            inner: (large - small) / 2.0,
            outer: (large + small) / 2.0,
            per_inner: 1.0 / large,
            per_corner: if small > 0.0 {
                0.5 / (large * small)
            } else {
                0.0
            },
        }
    }

    /// Farthest from the pixel's centre that the edge still cuts the pixel.
    #[inline]
    pub fn reach(&self) -> f64 {
        self.outer
    }

    /// Share of the pixel's area, 0 to 1, at most `distance` pixels beyond its
    /// centre along the normal.
    #[inline]
    pub fn area(&self, distance: f64) -> f64 {
        let far = distance.abs();
        let beyond_centre = if far <= self.inner {
            far * self.per_inner
        } else if far < self.outer {
            let corner = self.outer - far;
            0.5 - corner * corner * self.per_corner
        } else {
            0.5
        };
        0.5 + beyond_centre.copysign(distance)
    }

    /// Share of the pixel inside a band of half width `half`, whose middle line
    /// is `distance` pixels from the pixel's centre.
    #[inline]
    pub fn band(&self, distance: f64, half: f64) -> f64 {
        self.area(half - distance) - self.area(-half - distance)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Area by brute force: a fine grid of points.
    fn counted(normal: [f64; 2], distance: f64) -> f64 {
        let n = 400;
        let at = |i: i32| (f64::from(i) + 0.5) / f64::from(n) - 0.5;
        let inside = (0..n * n)
            .filter(|i| at(i % n) * normal[0] + at(i / n) * normal[1] <= distance)
            .count();
        inside as f64 / f64::from(n * n)
    }

    #[test]
    fn areas_agree_with_counting() {
        for degrees in [0.0_f64, 3.0, 30.0, 45.0, 77.0, 90.0, 140.0] {
            let (sin, cos) = degrees.to_radians().sin_cos();
            for distance in [-0.8, -0.5, -0.31, 0.0, 0.2, 0.45, 0.6, 0.72] {
                let exact = HalfPlane::new([cos, sin]).area(distance);
                let error = (exact - counted([cos, sin], distance)).abs();
                assert!(error < 2e-3, "{degrees}° {distance}: {error}");
            }
        }
    }

    #[test]
    fn a_band_between_two_pixels_loses_no_light() {
        for degrees in [0.0_f64, 20.0, 45.0, 90.0] {
            let (sin, cos) = degrees.to_radians().sin_cos();
            let half = HalfPlane::new([cos, sin]);
            // The columns of a row together hold the band's cross-section.
            let sum: f64 = (-200..200)
                .map(|i| half.band((f64::from(i) + 0.3) * cos, 0.8))
                .sum();
            if cos > 0.1 {
                assert!((sum - 1.6 / cos).abs() < 1e-9, "{degrees}°: {sum}");
            }
        }
    }
}
