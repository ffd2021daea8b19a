//! Equal flat screens: the model of a program with one camera a screen.

use glam::DVec3;

use crate::rig::{Parts, Rig, Seat};

/// Equal flat screens around an eye at their level.
///
/// Neighbours are turned about the upright line where their cases meet, and the
/// facing screen's middle lies straight ahead. Views are counted from 0 at the
/// left, over all panels. Fractions run from (0, 0) at a screen's top-left
/// corner to (1, 1) at its bottom-right one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlatViews {
    /// How many screens.
    pub count: usize,
    /// Which of them is straight ahead.
    pub facing: usize,
    /// Turn from each screen to the next, in radians; positive folds inwards.
    pub angle_rad: f64,
    /// Eye to the facing screen's middle.
    pub distance_mm: f64,
    /// Lit width of each screen.
    pub width_mm: f64,
    /// Lit height of each screen.
    pub height_mm: f64,
    /// Lit edge to case edge, at each side of each screen.
    pub bezel_mm: f64,
}

/// One flat screen in the seat frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Screen {
    /// Its middle.
    pub middle_mm: DVec3,
    /// Unit direction along its width, to the viewer's right.
    pub right: DVec3,
    /// Unit normal, towards the viewer.
    pub normal: DVec3,
    /// Lit width and height.
    pub size_mm: [f64; 2],
}

impl Screen {
    /// The point at fractions of the width and height.
    pub fn point_mm(&self, u: f64, v: f64) -> DVec3 {
        let [width, height] = self.size_mm;
        self.middle_mm + self.right * ((u - 0.5) * width) + DVec3::Y * ((0.5 - v) * height)
    }

    /// Fractions at which the eye sees a direction on the screen's plane,
    /// outside 0 to 1 where it passes the screen by; `None` where the plane is
    /// not in front or turns its back.
    pub fn seen(&self, direction: DVec3) -> Option<[f64; 2]> {
        let square = -self.normal.dot(self.middle_mm);
        let towards = -self.normal.dot(direction);
        if square <= 0.0 || towards <= 0.0 {
            return None;
        }
        let across = direction * (square / towards) - self.middle_mm;
        let [width, height] = self.size_mm;
        let (u, v) = (
            0.5 + across.dot(self.right) / width,
            0.5 - across.y / height,
        );
        (u.is_finite() && v.is_finite()).then_some([u, v])
    }
}

impl FlatViews {
    /// The model with the rig's own values: the mean turn from view to view,
    /// the seat's distance, the facing view's width along its surface, and the
    /// mean of all panels' left and right bezels. The height keeps the facing
    /// view's proportion of pixels.
    pub fn of(rig: &Rig) -> FlatViews {
        FlatViews::of_parts(rig.parts())
    }

    /// [`FlatViews::of`] for parts of which the seat's view exists.
    pub(crate) fn of_parts(parts: &Parts) -> FlatViews {
        let Seat {
            view: facing,
            distance_mm,
            ..
        } = parts.seat;
        let before: u32 = (parts.panels[..facing.panel].iter())
            .map(|panel| panel.views)
            .sum();
        let count: u32 = parts.panels.iter().map(|panel| panel.views).sum();
        let panel = &parts.panels[facing.panel];
        let shares = f64::from(panel.views);
        let width_mm = panel.size_mm()[0] / shares;
        let [columns, rows] = panel.pixels.map(f64::from);
        let bezels = parts.panels.iter().map(|panel| panel.bezel_mm);
        let sides: f64 = bezels.map(|bezel| bezel.left + bezel.right).sum();
        FlatViews {
            count: count as usize,
            facing: (before + facing.view) as usize,
            angle_rad: mean_turn_rad(parts),
            distance_mm,
            width_mm,
            height_mm: width_mm * rows * shares / columns,
            bezel_mm: sides / (2 * parts.panels.len()) as f64,
        }
    }

    /// The same screens with another lit width; the height keeps its proportion.
    pub fn with_width_mm(self, width_mm: f64) -> FlatViews {
        FlatViews {
            width_mm,
            height_mm: self.height_mm * (width_mm / self.width_mm),
            ..self
        }
    }

    /// Every screen, from left to right.
    pub fn screens(&self) -> Vec<Screen> {
        (0..self.count).map(|view| self.screen(view)).collect()
    }

    /// One screen; the model goes on beyond its first and last.
    pub fn screen(&self, view: usize) -> Screen {
        let steps = view as f64 - self.facing as f64;
        let (side, steps) = (steps.signum(), steps.abs());
        let reach_mm = self.width_mm / 2.0 + self.bezel_mm;
        // From middle to middle lie two half screens: the sum of the headings
        // h(0) + 2·h(A) + … + 2·h((n−1)·A) + h(n·A), by the sines' closed form.
        let half = self.angle_rad / 2.0;
        let turned = steps * self.angle_rad;
        let stretch = if half.sin().abs() < 1e-9 {
            steps * half.cos()
        } else {
            (steps * half).sin() / half.sin() * half.cos()
        };
        let chord_mm = 2.0 * reach_mm * stretch;
        let (sin, cos) = (turned / 2.0).sin_cos();
        let middle_mm = DVec3::new(
            side * chord_mm * cos,
            0.0,
            chord_mm * sin - self.distance_mm,
        );
        let (sin, cos) = (side * turned).sin_cos();
        Screen {
            middle_mm,
            right: DVec3::new(cos, 0.0, sin),
            normal: DVec3::new(-sin, 0.0, cos),
            size_mm: [self.width_mm, self.height_mm],
        }
    }

    /// Unit direction, in the seat frame, of a place on a screen.
    pub fn direction(&self, view: usize, u: f64, v: f64) -> DVec3 {
        self.screen(view).point_mm(u, v).normalize_or(DVec3::NEG_Z)
    }

    /// Fractions at which the eye sees a direction on a screen's plane: see
    /// [`Screen::seen`].
    pub fn seen(&self, view: usize, direction: DVec3) -> Option<[f64; 2]> {
        self.screen(view).seen(direction)
    }
}

/// Mean turn between the facings of neighbouring views, in plan; 0 for one view.
fn mean_turn_rad(parts: &Parts) -> f64 {
    let within = parts
        .panels
        .iter()
        .map(|panel| 2.0 * panel.half_view_rad() * f64::from(panel.views - 1));
    let across = (0..parts.seams.len()).map(|seam| parts.angle_rad(seam));
    let turns: u32 = parts.panels.iter().map(|panel| panel.views).sum::<u32>() - 1;
    match turns {
        0 => 0.0,
        turns => within.chain(across).sum::<f64>() / f64::from(turns),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const MODEL: FlatViews = FlatViews {
        count: 4,
        facing: 1,
        angle_rad: 0.8,
        distance_mm: 640.0,
        width_mm: 520.0,
        height_mm: 300.0,
        bezel_mm: 9.0,
    };

    #[test]
    fn cases_meet_and_neighbours_are_turned_by_the_angle() {
        for angle_rad in [0.8, 0.0, -0.3, 1e-12] {
            let model = FlatViews { angle_rad, ..MODEL };
            let screens = model.screens();
            for pair in screens.windows(2) {
                let (right, left) = (
                    pair[0].middle_mm + pair[0].right * 269.0,
                    pair[1].middle_mm - pair[1].right * 269.0,
                );
                assert!(right.distance(left) < 1e-9, "{angle_rad}: {right} {left}");
                let turn = pair[0].normal.cross(pair[1].normal).dot(DVec3::NEG_Y);
                assert!((turn - angle_rad.sin()).abs() < 1e-12, "{angle_rad}");
            }
            assert_eq!(screens[1].middle_mm, DVec3::new(0.0, 0.0, -640.0));
            assert_eq!(screens[1].normal, DVec3::Z);
        }
    }

    #[test]
    fn a_positive_angle_folds_both_sides_towards_the_viewer() {
        let screens = MODEL.screens();
        assert!(screens[0].middle_mm.x < 0.0 && screens[0].middle_mm.z > -640.0);
        assert!(screens[0].normal.x > 0.0);
        assert!(screens[2].middle_mm.x > 0.0 && screens[2].middle_mm.z > -640.0);
        assert!(screens[2].normal.x < 0.0);
    }

    #[test]
    fn seen_inverts_direction() {
        for view in 0..4 {
            for (u, v) in [(0.0, 0.0), (0.5, 0.5), (0.9, 0.2), (1.0, 1.0)] {
                let seen = MODEL.seen(view, MODEL.direction(view, u, v));
                let [x, y] = seen.expect("in front");
                assert!((x - u).abs() < 1e-12 && (y - v).abs() < 1e-12, "{view}");
            }
        }
        assert_eq!(MODEL.seen(1, DVec3::Z), None);
        assert_eq!(MODEL.seen(1, DVec3::X), None);
    }

    #[test]
    fn another_width_keeps_the_proportion() {
        let wider = MODEL.with_width_mm(1040.0);
        assert!((wider.height_mm - 600.0).abs() < 1e-12);
    }
}
