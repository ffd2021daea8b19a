//! A perspective grid of the surroundings: a floor and a sky at equal distance
//! from eye height, and the posts of a colonnade to either side.
//!
//! Each line of the floor shares its plane through the eye with a line of the
//! sky, so one plane draws both.

use glam::DVec3;

use super::{Guide, Layer};
use crate::geometry::EyePlane;

/// Eye above the floor, and the sky above the eye: a seated person's, rounded
/// (common practice).
const FLOOR_M: f64 = 1.2;
/// Lines that run ahead lie this far to the side, every 2 m.
const LANES_M: [u32; 6] = [2, 4, 6, 8, 10, 12];
/// Lines across lie this far ahead.
const CROSSINGS_M: [u32; 4] = [4, 6, 10, 20];
/// Posts stand this far to the side, and this far ahead (or behind).
const POSTS_SIDE_M: f64 = 6.0;
const POSTS_AHEAD_M: [i32; 6] = [18, 10, 6, 3, 0, -6];

/// The grid's lines.
pub(super) fn guides() -> Vec<Guide> {
    let mut guides = Vec::new();
    let mut add = |name: String, normal: DVec3| {
        if let Some(plane) = EyePlane::new(normal) {
            guides.push(Guide {
                name,
                layer: Layer::Grid,
                plane,
            });
        }
    };
    add("grid-lane-0m".to_owned(), DVec3::X);
    for (side, word) in [(-1.0, "left"), (1.0, "right")] {
        for metres in LANES_M {
            let normal = DVec3::new(FLOOR_M, side * f64::from(metres), 0.0);
            add(format!("grid-lane-{word}-{metres}m"), normal);
        }
    }
    for (up, word) in [(-1.0, "floor"), (1.0, "sky")] {
        for metres in CROSSINGS_M {
            let normal = DVec3::new(0.0, f64::from(metres), up * FLOOR_M);
            add(format!("grid-{word}-{metres}m"), normal);
        }
    }
    for (side, word) in [(-1.0, "left"), (1.0, "right")] {
        for metres in POSTS_AHEAD_M {
            let normal = DVec3::new(f64::from(metres), 0.0, side * POSTS_SIDE_M);
            add(format!("grid-post-{word}-{metres}m"), normal);
        }
    }
    guides
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_hold_the_points_that_they_are_named_after() {
        let guides = guides();
        let plane = |name: &str| {
            let found = guides.iter().find(|guide| guide.name == name);
            found.expect("there is such a line").plane
        };
        for (name, point) in [
            ("grid-lane-right-4m", DVec3::new(4.0, -FLOOR_M, -7.0)),
            ("grid-lane-right-4m", DVec3::new(-4.0, FLOOR_M, -7.0)),
            ("grid-floor-10m", DVec3::new(3.0, -FLOOR_M, -10.0)),
            ("grid-sky-10m", DVec3::new(3.0, FLOOR_M, -10.0)),
            ("grid-post-left-10m", DVec3::new(-6.0, 0.3, -10.0)),
            ("grid-post-right--6m", DVec3::new(6.0, -1.0, 6.0)),
        ] {
            assert!(plane(name).distance_mm(point).abs() < 1e-12, "{name}");
        }
    }
}
