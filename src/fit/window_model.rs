//! The screens that a program with one camera a screen takes a window's columns for.

use glam::{DMat3, DVec3};

use super::flat_views::{FlatViews, Screen};
use crate::rig::Ahead;

/// Equal flat screens, one a column of the window, and how far the program's ahead
/// lies beside the rig's.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WindowModel {
    /// The screens. Where a cut is straight ahead, the facing screen is the one right of
    /// it, and the distance is square to both of the cut's neighbours.
    pub flat: FlatViews,
    /// What is straight ahead.
    pub ahead: Ahead,
    /// Turn of the whole picture about the vertical, in radians; positive to the right.
    pub turn_rad: f64,
}

impl WindowModel {
    /// The facing screen of a program with something straight ahead.
    pub(crate) fn facing(ahead: Ahead) -> usize {
        match ahead {
            Ahead::Column(column) => column,
            Ahead::Cut(left) => left + 1,
        }
    }

    /// Every screen in the seat frame, from left to right.
    pub fn screens(&self) -> Vec<Screen> {
        let flat = &self.flat;
        let (turn_rad, aside_mm) = match self.ahead {
            Ahead::Column(_) => (self.turn_rad, 0.0),
            // The edge of the right neighbour's case lies straight ahead.
            Ahead::Cut(_) => {
                let half = flat.angle_rad / 2.0;
                let reach_mm = flat.width_mm / 2.0 + flat.bezel_mm;
                (
                    self.turn_rad + half,
                    reach_mm - flat.distance_mm * half.tan(),
                )
            }
        };
        let turned = DMat3::from_rotation_y(-turn_rad);
        let aside = DVec3::X * aside_mm;
        (flat.screens().into_iter())
            .map(|screen| Screen {
                middle_mm: turned * (screen.middle_mm + aside),
                right: turned * screen.right,
                normal: turned * screen.normal,
                ..screen
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::azimuth;

    const FLAT: FlatViews = FlatViews {
        count: 4,
        facing: 2,
        angle_rad: 0.7,
        distance_mm: 640.0,
        width_mm: 520.0,
        height_mm: 300.0,
        bezel_mm: 9.0,
    };

    #[test]
    fn both_neighbours_of_a_middle_cut_are_as_far_and_meet_straight_ahead() {
        for turn_rad in [0.0, 0.1, -0.15] {
            let model = WindowModel {
                flat: FLAT,
                ahead: Ahead::Cut(1),
                turn_rad,
            };
            let screens = model.screens();
            for screen in &screens[1..3] {
                let square = -screen.normal.dot(screen.middle_mm);
                assert!((square - 640.0).abs() < 1e-9, "{square}");
            }
            let edge = screens[1].middle_mm + screens[1].right * 269.0;
            let other = screens[2].middle_mm - screens[2].right * 269.0;
            assert!(edge.distance(other) < 1e-9);
            assert!((azimuth(edge) - turn_rad).abs() < 1e-12);
        }
    }

    #[test]
    fn a_turn_to_the_right_takes_the_column_ahead_along() {
        let model = WindowModel {
            flat: FLAT,
            ahead: Ahead::Column(2),
            turn_rad: 0.1,
        };
        let ahead = model.screens()[2];
        assert!((azimuth(ahead.middle_mm) - 0.1).abs() < 1e-12);
        assert!((ahead.middle_mm.length() - 640.0).abs() < 1e-9);
    }
}
