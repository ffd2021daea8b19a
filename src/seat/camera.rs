//! The camera at the eye: which ray each pixel of a seat view sees.

use std::f64::consts::{PI, TAU};
use std::str::FromStr;

use glam::DVec3;

use super::camera_error::CameraError;
use crate::geometry::{azimuth, direction, elevation};
use crate::parts::Misread;
use crate::parts::words::quoted;

/// How directions become a flat picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Projection {
    /// Straight lines stay straight.
    Rectilinear,
    /// Equal turns are equally wide; verticals and the horizon stay straight.
    Cylindrical,
}

impl Projection {
    /// Its name on the command line.
    pub fn name(self) -> &'static str {
        match self {
            Projection::Rectilinear => "rectilinear",
            Projection::Cylindrical => "cylindrical",
        }
    }

    fn max_fov(self) -> f64 {
        match self {
            Projection::Rectilinear => 170_f64.to_radians(),
            Projection::Cylindrical => TAU,
        }
    }
}

impl FromStr for Projection {
    type Err = Misread;

    fn from_str(name: &str) -> Result<Projection, Misread> {
        match name {
            "rectilinear" => Ok(Projection::Rectilinear),
            "cylindrical" => Ok(Projection::Cylindrical),
            _ => Err(Misread::new(format!(
                "unknown projection {}; use rectilinear or cylindrical",
                quoted(name)
            ))),
        }
    }
}

/// Widest field of view that is drawn rectilinear when no projection is named.
const WIDEST_RECTILINEAR: f64 = 120.0 / 180.0 * PI;
/// Room left around what is framed: panels that stand a few degrees or
/// centimetres elsewhere still find place.
const MARGIN: f64 = 1.1;
const MIN_FOV: f64 = 0.01 / 180.0 * PI;
const MAX_CYLINDRICAL_ELEVATION: f64 = 80.0 / 180.0 * PI;
/// Longest side and largest area of a view.
pub(super) const MAX_SIDE_PX: u32 = 16_384;
pub(super) const MAX_AREA_PX: u64 = 100_000_000;

/// What a seat view is asked to show; what is left out is chosen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Framing {
    /// Columns and rows.
    pub size_px: [u32; 2],
    /// Rectilinear up to 120° of width, else cylindrical.
    pub projection: Option<Projection>,
    /// Azimuth and elevation of the picture's middle, in radians.
    pub look: Option<[f64; 2]>,
    /// Width of the picture, in radians.
    pub fov: Option<f64>,
}

/// A camera at the eye.
///
/// # Guarantees
///
/// The field of view is positive and within what its projection can show, so
/// every pixel has a ray.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Camera {
    projection: Projection,
    look: [f64; 2],
    fov: f64,
    size_px: [u32; 2],
    ahead: DVec3,
    right: DVec3,
    up: DVec3,
    focal_px: f64,
    /// Picture coordinate of the middle.
    middle: [f64; 2],
    /// Height of a cylindrical picture's middle, in focal lengths.
    rise: f64,
}

/// A pixel's ray from the eye, of any length, and how it changes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ray {
    /// Towards what the pixel shows.
    pub towards: DVec3,
    /// Change per column.
    pub per_column: DVec3,
    /// Change per row.
    pub per_row: DVec3,
}

impl Camera {
    /// A camera that shows `points`, given from the eye, as far as the framing
    /// leaves that open.
    ///
    /// # Errors
    ///
    /// Where the framing asks for what can't be shown.
    pub fn framing(points: &[DVec3], framing: &Framing) -> Result<Camera, CameraError> {
        check_size(framing.size_px)?;
        let wanted = framing.projection.or_else(|| framing.fov.map(by_width));
        let projection = match wanted {
            Some(projection) => projection,
            None => match Camera::fitted(points, framing, Projection::Rectilinear) {
                Ok(camera) if camera.fov <= WIDEST_RECTILINEAR => return Ok(camera),
                _ => Projection::Cylindrical,
            },
        };
        Camera::fitted(points, framing, projection)
    }

    /// The camera with these values.
    ///
    /// # Errors
    ///
    /// As [`Camera::framing`].
    pub fn new(
        projection: Projection,
        look: [f64; 2],
        fov: f64,
        size_px: [u32; 2],
    ) -> Result<Camera, CameraError> {
        check_size(size_px)?;
        let max = projection.max_fov();
        if !(MIN_FOV..=max).contains(&fov) {
            return Err(CameraError::FieldOfView {
                wanted: fov,
                widest: max,
                projection,
            });
        }
        let [az, el] = look;
        if !(az.abs() <= TAU && el.abs() <= PI / 2.0) {
            return Err(CameraError::Look);
        }
        if projection == Projection::Cylindrical && el.abs() > MAX_CYLINDRICAL_ELEVATION {
            return Err(CameraError::Steep);
        }
        let width = f64::from(size_px[0]);
        let right = DVec3::new(az.cos(), 0.0, az.sin());
        let (ahead, focal_px) = match projection {
            Projection::Rectilinear => (direction(az, el), width / 2.0 / (fov / 2.0).tan()),
            // The cylinder stands upright: looking up only shifts the picture.
            Projection::Cylindrical => (direction(az, 0.0), width / fov),
        };
        Ok(Camera {
            projection,
            look,
            fov,
            size_px,
            ahead,
            right,
            up: right.cross(ahead),
            focal_px,
            middle: [width / 2.0, f64::from(size_px[1]) / 2.0],
            rise: match projection {
                Projection::Rectilinear => 0.0,
                Projection::Cylindrical => el.tan(),
            },
        })
    }

    /// Chooses what the framing leaves open, for one projection.
    fn fitted(
        points: &[DVec3],
        framing: &Framing,
        projection: Projection,
    ) -> Result<Camera, CameraError> {
        let size_px = framing.size_px;
        let mut look = framing.look.unwrap_or_else(|| middle(points));
        let mut fov = framing.fov.unwrap_or(WIDEST_RECTILINEAR);
        // A few rounds settle it: each shifts the middle and fits the width anew.
        for _ in 0..8 {
            let trial = Camera::new(projection, look, 1.0, size_px)?;
            let Some([left, right, low, high]) = trial.extent(points) else {
                // Something stands beside or behind the eye.
                fov = framing.fov.unwrap_or(projection.max_fov());
                break;
            };
            if framing.look.is_none() {
                match projection {
                    Projection::Rectilinear => {
                        look[0] += (left.atan() + right.atan()) / 2.0;
                        look[1] += (low.atan() + high.atan()) / 2.0;
                    }
                    Projection::Cylindrical => {
                        look[0] += (left + right) / 2.0;
                        look[1] = (look[1].tan() + (low + high) / 2.0).atan();
                    }
                }
                let most = match projection {
                    Projection::Rectilinear => PI / 2.0,
                    Projection::Cylindrical => MAX_CYLINDRICAL_ELEVATION,
                };
                look[1] = look[1].clamp(-most, most);
            }
            if framing.fov.is_none() {
                let aspect = f64::from(size_px[0]) / f64::from(size_px[1]);
                let across = right.abs().max(left.abs());
                let half = across.max(high.abs().max(low.abs()) * aspect) * MARGIN;
                fov = match projection {
                    Projection::Rectilinear => 2.0 * half.atan(),
                    Projection::Cylindrical => 2.0 * half,
                }
                .clamp(MIN_FOV, projection.max_fov());
            }
        }
        Camera::new(projection, look, fov, size_px)
    }

    /// Least and greatest picture coordinates of the points, in focal lengths
    /// from the middle: left, right, low, high. `None` where one can't be shown.
    fn extent(&self, points: &[DVec3]) -> Option<[f64; 4]> {
        let [middle_x, middle_y] = self.middle;
        let mut extent = [
            f64::INFINITY,
            f64::NEG_INFINITY,
            f64::INFINITY,
            f64::NEG_INFINITY,
        ];
        for &point in points {
            let [x, y] = self.pixel(point)?;
            let (u, v) = (
                (x - middle_x) / self.focal_px,
                (middle_y - y) / self.focal_px,
            );
            extent[0] = extent[0].min(u);
            extent[1] = extent[1].max(u);
            extent[2] = extent[2].min(v);
            extent[3] = extent[3].max(v);
        }
        extent.iter().all(|v| v.is_finite()).then_some(extent)
    }

    /// How directions become the picture.
    pub fn projection(&self) -> Projection {
        self.projection
    }

    /// Azimuth and elevation of the picture's middle, in radians.
    pub fn look(&self) -> [f64; 2] {
        self.look
    }

    /// Width of the picture in radians.
    pub fn fov(&self) -> f64 {
        self.fov
    }

    /// Columns and rows.
    pub fn size_px(&self) -> [u32; 2] {
        self.size_px
    }

    /// Pixels per radian at the middle of the picture.
    pub fn focal_px(&self) -> f64 {
        self.focal_px
    }

    /// Whether the picture shows a direction of any length.
    pub fn shows(&self, towards: DVec3) -> bool {
        let size = self.size_px.map(f64::from);
        self.pixel(towards)
            .is_some_and(|[x, y]| (0.0..=size[0]).contains(&x) && (0.0..=size[1]).contains(&y))
    }

    /// The ray of a picture coordinate.
    #[inline]
    pub fn ray(&self, x: f64, y: f64) -> Ray {
        let per_px = 1.0 / self.focal_px;
        let (u, v) = ((x - self.middle[0]) * per_px, (self.middle[1] - y) * per_px);
        match self.projection {
            Projection::Rectilinear => Ray {
                towards: self.ahead + self.right * u + self.up * v,
                per_column: self.right * per_px,
                per_row: self.up * -per_px,
            },
            Projection::Cylindrical => {
                let (sin, cos) = u.sin_cos();
                let rise = v + self.rise;
                Ray {
                    towards: self.ahead * cos + self.right * sin + self.up * rise,
                    per_column: (self.right * cos - self.ahead * sin) * per_px,
                    per_row: self.up * -per_px,
                }
            }
        }
    }

    /// Where a direction of any length is shown; `None` where it is not in
    /// front of the camera. The coordinate may lie outside the picture.
    pub fn pixel(&self, towards: DVec3) -> Option<[f64; 2]> {
        let depth = towards.dot(self.ahead);
        let (across, rise) = (towards.dot(self.right), towards.dot(self.up));
        let [u, v] = match self.projection {
            Projection::Rectilinear => {
                if depth <= 0.02 * towards.length() {
                    return None;
                }
                [across / depth, rise / depth]
            }
            Projection::Cylindrical => {
                let level = depth.hypot(across);
                if level <= 0.02 * towards.length() {
                    return None;
                }
                [across.atan2(depth), rise / level - self.rise]
            }
        };
        let [x, y] = self.middle;
        Some([x + u * self.focal_px, y - v * self.focal_px])
    }
}

fn by_width(fov: f64) -> Projection {
    if fov <= WIDEST_RECTILINEAR {
        Projection::Rectilinear
    } else {
        Projection::Cylindrical
    }
}

fn check_size([w, h]: [u32; 2]) -> Result<(), CameraError> {
    let fits = (1..=MAX_SIDE_PX).contains(&w) && (1..=MAX_SIDE_PX).contains(&h);
    if fits && u64::from(w) * u64::from(h) <= MAX_AREA_PX {
        return Ok(());
    }
    Err(CameraError::Size([w, h]))
}

/// Azimuth and elevation of the middle of what the points span.
fn middle(points: &[DVec3]) -> [f64; 2] {
    let sum: DVec3 = points.iter().map(|p| p.normalize_or_zero()).sum();
    let towards = azimuth(sum);
    let turns = points
        .iter()
        .map(|&p| (azimuth(p) - towards + PI).rem_euclid(TAU) - PI);
    let heights = points.iter().map(|&p| elevation(p));
    let mid = |values: &mut dyn Iterator<Item = f64>| {
        let (low, high) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
            (low.min(v), high.max(v))
        });
        let mid = low.midpoint(high);
        if mid.is_finite() { mid } else { 0.0 }
    };
    let most = MAX_CYLINDRICAL_ELEVATION;
    [
        towards + mid(&mut { turns }),
        mid(&mut { heights }).clamp(-most, most),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cameras() -> Vec<Camera> {
        let mut cameras = Vec::new();
        for projection in [Projection::Rectilinear, Projection::Cylindrical] {
            for look in [[0.0, 0.0], [0.7, -0.3], [-2.0, 0.5]] {
                cameras.push(Camera::new(projection, look, 1.3, [640, 400]).expect("can be shown"));
            }
        }
        cameras
    }

    #[test]
    fn a_ray_is_seen_at_its_pixel_and_the_middle_looks_ahead() {
        for camera in cameras() {
            for (x, y) in [(0.0, 0.0), (320.0, 200.0), (613.5, 12.25)] {
                let seen = camera.pixel(camera.ray(x, y).towards).expect("in front");
                assert!((seen[0] - x).abs() < 1e-9 && (seen[1] - y).abs() < 1e-9);
            }
            let ahead = camera.ray(320.0, 200.0).towards;
            let [az, el] = camera.look();
            assert!((azimuth(ahead) - az).abs() < 1e-12);
            assert!((elevation(ahead) - el).abs() < 1e-12);
        }
    }

    #[test]
    fn the_fields_borders_are_where_the_width_says() {
        for camera in cameras() {
            let level = f64::from(camera.size_px()[1]) / 2.0;
            let [left, right] = [0.0, 640.0].map(|x| {
                let ray = camera.ray(x, level).towards;
                // In the plane of the middle row, from the middle.
                ray.dot(camera.right).atan2(ray.dot(camera.ahead))
            });
            assert!((right - left - 1.3).abs() < 1e-12, "{camera:?}");
        }
    }

    #[test]
    fn derivatives_are_those_of_the_ray() {
        for camera in cameras() {
            let ray = camera.ray(100.0, 300.0);
            let h = 1e-4;
            let numeric = (camera.ray(100.0 + h, 300.0).towards - ray.towards) / h;
            assert!((numeric - ray.per_column).length() < 1e-8);
            let numeric = (camera.ray(100.0, 300.0 + h).towards - ray.towards) / h;
            assert!((numeric - ray.per_row).length() < 1e-8);
        }
    }

    #[test]
    fn framing_holds_every_point_and_wastes_little() {
        let points: Vec<DVec3> = (0..=20)
            .map(|i| direction(-0.4 + 0.05 * f64::from(i), 0.1 * f64::from(i % 3)))
            .collect();
        let framing = Framing {
            size_px: [800, 600],
            projection: None,
            look: None,
            fov: None,
        };
        let camera = Camera::framing(&points, &framing).expect("can be shown");
        assert_eq!(camera.projection(), Projection::Rectilinear);
        let seen: Vec<[f64; 2]> = points
            .iter()
            .map(|&p| camera.pixel(p).expect("in front"))
            .collect();
        let left = seen.iter().map(|p| p[0]).fold(f64::INFINITY, f64::min);
        let right = seen.iter().map(|p| p[0]).fold(0.0, f64::max);
        assert!(left > 0.0 && right < 800.0);
        assert!(right - left > 700.0, "{left} {right}");
    }

    #[test]
    fn what_is_wider_than_120_degrees_is_cylindrical() {
        let points = [direction(-1.2, 0.0), direction(1.2, 0.1)];
        let framing = Framing {
            size_px: [800, 300],
            projection: None,
            look: None,
            fov: None,
        };
        let camera = Camera::framing(&points, &framing).expect("can be shown");
        assert_eq!(camera.projection(), Projection::Cylindrical);
        let asked = Framing {
            fov: Some(2.2),
            ..framing
        };
        let camera = Camera::framing(&points, &asked).expect("can be shown");
        assert_eq!(camera.projection(), Projection::Cylindrical);
        let too_wide = Framing {
            projection: Some(Projection::Rectilinear),
            fov: Some(3.1),
            ..framing
        };
        let error = Camera::framing(&points, &too_wide).expect_err("too wide");
        let widest = 170_f64.to_radians();
        assert_eq!(
            error,
            CameraError::FieldOfView {
                wanted: 3.1,
                widest,
                projection: Projection::Rectilinear
            }
        );
        assert!(error.to_string().contains("0.01° to 170°"), "{error}");
    }
}
