//! What wrong values make of the pattern's own lines, on random rigs: every sentence
//! of README's and the glass's tables of errors, from points of panels and the eye.

mod rigs;

use std::ops::RangeInclusive;

use proptest::prelude::*;
use rigs::{ordinary, upright};
use throughline::geometry::{EyePlane, Surface, azimuth, elevation};
use throughline::pattern::Guides;
use throughline::rig::{Parts, Rig, Size, Turn};

/// Below this a line can't be told from a straight one, whatever the tool.
const STRAIGHT_ARCMIN: f64 = 1e-4;
const STRAIGHT_DEG: f64 = 1e-4;

/// Where a line that was drawn for one rig is seen on another, at a seam.
#[derive(Debug, Clone, Copy)]
struct Seen {
    /// How far the right part starts above the continued left one.
    jump_arcmin: f64,
    /// How far it turns up there.
    turn_deg: f64,
    /// Elevation at which the file has it there.
    at_deg: f64,
    /// Its slope there: rising to the right is positive.
    slope_deg: f64,
}

fn arcmin(rad: f64) -> f64 {
    rad.to_degrees() * 60.0
}

/// The pixel of a line at a column, where the panel has it.
fn pixel(drawn: &Surface, plane: EyePlane, px: f64) -> Option<f64> {
    let row = drawn.py_on(plane, px)?;
    (0.0..=drawn.pixels[1]).contains(&row).then_some(row)
}

/// The line at the seam: by points a tenth of a pixel apart.
fn seen(file: &Rig, stands: &Rig, seam: usize, plane: EyePlane) -> Option<Seen> {
    let sides = [0, 1].map(|side| {
        (
            &file.layout().surfaces()[seam + side],
            &stands.layout().surfaces()[seam + side],
        )
    });
    let [left, right] = sides;
    const BACK: f64 = 0.1;
    let on = |(drawn, built): (&Surface, &Surface), px: f64| {
        Some(built.point_px(px, pixel(drawn, plane, px)?).normalize())
    };
    let width = left.0.pixels[0];
    let [before, edge] = [on(left, width - BACK)?, on(left, width)?];
    let [start, beyond] = [on(right, 0.0)?, on(right, BACK)?];
    let circle = edge.cross(edge - before).normalize();
    let circle = if circle.y < 0.0 { -circle } else { circle };
    let along = circle.cross(start).normalize();
    // Rightwards along the circle.
    let along = if along.dot(beyond - start) < 0.0 {
        -along
    } else {
        along
    };
    let turn = (beyond - start).normalize();
    let up = circle - start * circle.dot(start);
    let drawn_there = right.0.point_px(0.0, pixel(right.0, plane, 0.0)?);
    let next = right.0.point_px(BACK, pixel(right.0, plane, BACK)?);
    let run = (azimuth(next) - azimuth(drawn_there)) * elevation(drawn_there).cos();
    Some(Seen {
        jump_arcmin: arcmin(circle.dot(start).asin()),
        turn_deg: turn.dot(up).atan2(turn.dot(along)).to_degrees(),
        at_deg: elevation(drawn_there).to_degrees(),
        slope_deg: (elevation(next) - elevation(drawn_there))
            .atan2(run)
            .to_degrees(),
    })
}

impl Seen {
    fn is_straight(&self) -> bool {
        self.jump_arcmin.abs() < STRAIGHT_ARCMIN && self.turn_deg.abs() < STRAIGHT_DEG
    }
}

/// The grid's lines, the horizon and the diagonals of a rig.
fn lines(file: &Rig, kinds: &[&str]) -> Vec<(String, EyePlane)> {
    let guides = Guides::of(file);
    let wanted = guides.iter().filter(|guide| {
        kinds.iter().any(|kind| guide.name.starts_with(kind)) && guide.name != "grid-lane-0m"
    });
    wanted
        .map(|guide| (guide.name.clone(), guide.plane))
        .collect()
}

const LANES: &[&str] = &["grid-lane"];
const LEVELS: &[&str] = &["grid-floor", "grid-sky"];
const HORIZON: &[&str] = &["horizon"];
const ALL: &[&str] = &["grid-lane", "grid-floor", "grid-sky", "horizon", "diagonal"];

/// Every reading of some lines at some seams.
fn readings(
    file: &Rig,
    stands: &Rig,
    seams: impl Iterator<Item = usize>,
    kinds: &[&str],
) -> Vec<Seen> {
    let lines = lines(file, kinds);
    seams
        .flat_map(|seam| {
            let seen = lines
                .iter()
                .filter_map(move |(_, plane)| seen(file, stands, seam, *plane));
            seen.collect::<Vec<_>>()
        })
        .collect()
}

fn changed(file: &Rig, change: impl FnOnce(&mut Parts)) -> Option<Rig> {
    let mut parts = file.parts().clone();
    change(&mut parts);
    Rig::new(parts).ok()
}

/// An error of either sign.
fn error(range: RangeInclusive<f64>) -> impl Strategy<Value = f64> {
    (range, any::<bool>()).prop_map(|(size, is_less)| if is_less { -size } else { size })
}

/// The seams that are nearer to the facing panel than this one, on its side.
fn nearer(file: &Rig, seam: usize) -> std::ops::Range<usize> {
    let facing = file.seat().view.panel;
    if seam >= facing {
        facing..seam
    } else {
        seam + 1..facing
    }
}

/// Elevations, in arc-minutes, at which the ticks of both lit edges of a seam are
/// seen that the file has at one elevation; left and right.
fn ticks(file: &Rig, stands: &Rig, seam: usize, at_deg: f64) -> Option<[f64; 2]> {
    let tick = |panel: usize, is_right_edge: bool| {
        let (drawn, built) = (
            &file.layout().surfaces()[panel],
            &stands.layout().surfaces()[panel],
        );
        let px = if is_right_edge { drawn.pixels[0] } else { 0.0 };
        let top_and_bottom = [0.0, drawn.pixels[1]].map(|py| elevation(drawn.point_px(px, py)));
        let (mut high, mut low) = (0.0, drawn.pixels[1]);
        let wanted = at_deg.to_radians();
        if !(top_and_bottom[1]..top_and_bottom[0]).contains(&wanted) {
            return None;
        }
        for _ in 0..60 {
            let middle = f64::midpoint(high, low);
            if elevation(drawn.point_px(px, middle)) > wanted {
                high = middle;
            } else {
                low = middle;
            }
        }
        Some(arcmin(elevation(built.point_px(px, high))))
    };
    Some([tick(seam, true)?, tick(seam + 1, false)?])
}

/// Heights in millimetres above the eye of the horizon's pixels at the left end, the
/// middle and the right end of a panel.
fn horizon_mm(file: &Rig, stands: &Rig, panel: usize) -> Option<[f64; 3]> {
    let (drawn, built) = (
        &file.layout().surfaces()[panel],
        &stands.layout().surfaces()[panel],
    );
    let height = |share: f64| {
        let px = share * drawn.pixels[0];
        Some(built.point_px(px, pixel(drawn, EyePlane::HORIZON, px)?).y)
    };
    Some([height(0.0)?, height(0.5)?, height(1.0)?])
}

/// The seams at a panel's ends, each with whether the panel is its right one.
fn ends(file: &Rig, panel: usize) -> Vec<(usize, bool)> {
    let left = panel.checked_sub(1).map(|seam| (seam, true));
    let right = (panel < file.seams().len()).then_some((panel, false));
    left.into_iter().chain(right).collect()
}

fn every_seam(file: &Rig) -> std::ops::Range<usize> {
    0..file.seams().len()
}

fn turned_by(parts: &mut Parts, seam: usize, degrees: f64) {
    match &mut parts.seams[seam].turn {
        Turn::AngleDeg(value) | Turn::FoldDeg(value) => *value += degrees,
    }
}

fn assert_whole(seen: &[Seen], what: &str) -> Result<(), TestCaseError> {
    for seen in seen {
        prop_assert!(seen.is_straight(), "{what}: {seen:?}");
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: None,
        ..ProptestConfig::with_cases(1000)
    })]

    /// eye distance: lanes stay straight, floor and sky lines turn.
    #[test]
    fn a_wrong_distance_leaves_lanes_straight(file in ordinary(), by in error(8.0..=40.0)) {
        let Some(stands) = changed(&file, |parts| parts.seat.distance_mm += by) else {
            return Ok(());
        };
        assert_whole(&readings(&file, &stands, every_seam(&file), LANES), "lane")?;
        assert_whole(&readings(&file, &stands, every_seam(&file), HORIZON), "horizon")?;
        let levels = readings(&file, &stands, every_seam(&file), LEVELS);
        prop_assert!(levels.is_empty() || !levels.iter().all(Seen::is_straight));
    }

    /// eye offset: floor and sky lines stay straight, lanes turn.
    #[test]
    fn a_wrong_offset_leaves_floor_and_sky_straight(file in ordinary(), by in error(8.0..=40.0)) {
        let Some(stands) = changed(&file, |parts| parts.seat.offset_mm += by) else {
            return Ok(());
        };
        assert_whole(&readings(&file, &stands, every_seam(&file), LEVELS), "floor or sky")?;
        assert_whole(&readings(&file, &stands, every_seam(&file), HORIZON), "horizon")?;
        let lanes = readings(&file, &stands, every_seam(&file), LANES);
        prop_assert!(lanes.is_empty() || !lanes.iter().all(Seen::is_straight));
    }

    /// fold: lanes and floor and sky lines turn at the seam and hardly jump, the
    /// horizon is whole, and so are the seams nearer to the panel straight ahead.
    #[test]
    fn a_wrong_fold_leaves_neither_straight(
        file in ordinary(),
        by in error(1.0..=3.0),
        which in any::<prop::sample::Index>(),
    ) {
        let seam = which.index(file.seams().len());
        let Some(stands) = changed(&file, |parts| turned_by(parts, seam, by)) else {
            return Ok(());
        };
        assert_whole(&readings(&file, &stands, every_seam(&file), HORIZON), "horizon")?;
        assert_whole(&readings(&file, &stands, nearer(&file, seam), ALL), "nearer")?;
        for kind in [LANES, LEVELS] {
            let seen = readings(&file, &stands, seam..seam + 1, kind);
            prop_assert!(
                seen.is_empty() || !seen.iter().all(Seen::is_straight),
                "{kind:?}"
            );
            for seen in seen {
                prop_assert!(seen.jump_arcmin.abs() < 4.0 * by.abs(), "{seen:?}");
            }
        }
    }

    /// gap: a rising diagonal's right part is too low where the dark is wider, a
    /// falling one's too high.
    #[test]
    fn a_wrong_gap_parts_diagonals(
        file in ordinary(),
        by in error(0.5..=5.0),
        which in any::<prop::sample::Index>(),
    ) {
        let seam = which.index(file.seams().len());
        let Some(stands) = changed(&file, |parts| parts.seams[seam].gap_mm += by) else {
            return Ok(());
        };
        assert_whole(&readings(&file, &stands, every_seam(&file), HORIZON), "horizon")?;
        assert_whole(&readings(&file, &stands, nearer(&file, seam), ALL), "nearer")?;
        for seen in readings(&file, &stands, seam..seam + 1, &["diagonal"]) {
            // Where it is steeper than it is far from the horizon.
            if seen.slope_deg.abs() > 1.5 * seen.at_deg.abs() + 5.0 {
                prop_assert!(seen.jump_arcmin * seen.slope_deg * by < 0.0, "{seen:?}");
            }
        }
    }

    /// step: the ticks of the panel that stands nearer are too far from the horizon.
    #[test]
    fn a_wrong_step_spreads_the_nearer_panels_ticks(
        file in ordinary(),
        by in error(1.0..=8.0),
        which in any::<prop::sample::Index>(),
    ) {
        let seam = which.index(file.seams().len());
        let Some(stands) = changed(&file, |parts| parts.seams[seam].step_mm += by) else {
            return Ok(());
        };
        assert_whole(&readings(&file, &stands, every_seam(&file), HORIZON), "horizon")?;
        assert_whole(&readings(&file, &stands, nearer(&file, seam), ALL), "nearer")?;
        for at_deg in [-16.0, -8.0, -3.0, 3.0, 8.0, 16.0] {
            if let Some([left, right]) = ticks(&file, &stands, seam, at_deg) {
                // The right panel is the nearer one where the step is larger.
                let spread = (right - left) * at_deg.signum();
                prop_assert!(spread * by > 0.0, "{at_deg}: {left} {right}");
            }
        }
    }

    /// rise: every line jumps to the same side, the horizon too, and the outer part's
    /// horizon is off to that side at both its ends.
    #[test]
    fn a_wrong_rise_lifts_every_line(
        file in ordinary(),
        by in error(0.5..=8.0),
        which in any::<prop::sample::Index>(),
    ) {
        let seam = which.index(file.seams().len());
        let Some(stands) = changed(&file, |parts| parts.seams[seam].rise_mm += by) else {
            return Ok(());
        };
        assert_whole(&readings(&file, &stands, nearer(&file, seam), ALL), "nearer")?;
        for seen in readings(&file, &stands, seam..seam + 1, ALL) {
            prop_assert!(seen.jump_arcmin * by > 0.0, "{seen:?}");
        }
        let (outer, up) = if seam >= file.seat().view.panel {
            (seam + 1, by)
        } else {
            (seam, -by)
        };
        if let Some([left, _, right]) = horizon_mm(&file, &stands, outer) {
            prop_assert!(left * up > 0.0 && right * up > 0.0, "{left} {right}");
        }
    }

    /// roll: the horizon is too high at one end of the panel, too low at the other.
    #[test]
    fn a_wrong_roll_slants_the_horizon(
        file in ordinary(),
        by in error(0.3..=2.0),
        which in any::<prop::sample::Index>(),
    ) {
        let panel = which.index(file.panels().len());
        let Some(stands) = changed(&file, |parts| parts.panels[panel].roll_deg += by) else {
            return Ok(());
        };
        if let Some([left, _, right]) = horizon_mm(&file, &stands, panel) {
            // Counter-clockwise: the right end goes up.
            prop_assert!(left * by < 0.0 && right * by > 0.0, "{left} {right}");
        }
    }

    /// eye height: the horizon is off to the same side on every panel, too low where
    /// the eye is too high, and turns down at every seam that folds in.
    #[test]
    fn a_wrong_height_lowers_the_horizon_everywhere(
        file in ordinary(),
        by in error(5.0..=40.0),
    ) {
        let Some(file) = upright(file.into_parts()) else {
            return Ok(());
        };
        let Some(stands) = changed(&file, |parts| parts.seat.height_mm += by) else {
            return Ok(());
        };
        for panel in 0..file.panels().len() {
            if let Some(heights) = horizon_mm(&file, &stands, panel) {
                prop_assert!(heights.iter().all(|height| height * by < 0.0), "{heights:?}");
            }
        }
        for seam in every_seam(&file) {
            if file.parts().fold_rad(seam).to_degrees() < 3.0 {
                continue;
            }
            for seen in readings(&file, &stands, seam..seam + 1, HORIZON) {
                prop_assert!(seen.turn_deg * by < 0.0, "{seen:?}");
            }
        }
    }

    /// tilt: on a flat upright panel the horizon hardly jumps, and the ticks near its
    /// top and bottom are off to the same side; on a curved one the horizon jumps to
    /// the same side at both its ends, up where it leans back more.
    #[test]
    fn a_wrong_tilt_shifts_top_and_bottom_alike(
        file in ordinary(),
        by in error(0.5..=3.0),
        which in any::<prop::sample::Index>(),
    ) {
        let Some(file) = upright(file.into_parts()) else {
            return Ok(());
        };
        let panel = which.index(file.panels().len());
        let Some(stands) = changed(&file, |parts| parts.panels[panel].tilt_deg += by) else {
            return Ok(());
        };
        let is_flat = file.panels()[panel].curve_radius_mm.is_none();
        for (seam, is_right) in ends(&file, panel) {
            let side = if is_right { 1.0 } else { -1.0 };
            for seen in readings(&file, &stands, seam..seam + 1, HORIZON) {
                if is_flat {
                    prop_assert!(seen.jump_arcmin.abs() < 0.9 * by.abs(), "{seen:?}");
                } else {
                    prop_assert!(seen.jump_arcmin * side * by > 0.0, "{seen:?}");
                }
            }
            let surface = &file.layout().surfaces()[panel];
            let middle_deg = elevation(surface.middle).to_degrees();
            for at_deg in [-20.0, -14.0, -8.0, 8.0, 14.0, 20.0_f64] {
                // Near the top and above the eye, or near the bottom and below it.
                let is_outer = (at_deg - middle_deg) * at_deg.signum() > 4.0;
                let Some([left, right]) = ticks(&file, &stands, seam, at_deg) else {
                    continue;
                };
                if is_flat && is_outer {
                    prop_assert!((right - left) * side * by < 0.0, "{at_deg}: {left} {right}");
                }
            }
        }
    }

    /// size: the panel's ticks above its middle are off to one side and those below to
    /// the other, at both its ends; away from its middle where it is larger.
    #[test]
    fn a_wrong_size_spreads_ticks_from_the_middle(
        file in ordinary(),
        by in error(0.01..=0.04),
        which in any::<prop::sample::Index>(),
    ) {
        let panel = which.index(file.panels().len());
        let Some(stands) = changed(&file, |parts| {
            let size_mm = parts.panels[panel].size_mm().map(|mm| mm * (1.0 + by));
            parts.panels[panel].size = Size::LitMm(size_mm);
        }) else {
            return Ok(());
        };
        let middle_deg = elevation(file.layout().surfaces()[panel].middle).to_degrees();
        for (seam, is_right) in ends(&file, panel) {
            let side = if is_right { 1.0 } else { -1.0 };
            for at_deg in [-20.0, -14.0, -8.0, -3.0, 3.0, 8.0, 14.0, 20.0] {
                let above = at_deg - middle_deg;
                let Some([left, right]) = ticks(&file, &stands, seam, at_deg) else {
                    continue;
                };
                if above.abs() > middle_deg.abs() + 5.0 {
                    let spread = (right - left) * side * above;
                    prop_assert!(spread * by > 0.0, "{at_deg}: {left} {right}");
                }
            }
        }
    }

    /// curve radius: on an upright panel the horizon is whole, other lines bend within.
    #[test]
    fn a_wrong_radius_bends_lines_within_the_panel(
        file in ordinary(),
        by in error(0.1..=0.2),
        which in any::<prop::sample::Index>(),
    ) {
        let Some(file) = upright(file.into_parts()) else {
            return Ok(());
        };
        let panel = which.index(file.panels().len());
        let Some(radius) = file.panels()[panel].curve_radius_mm else {
            return Ok(());
        };
        let Some(stands) = changed(&file, |parts| {
            parts.panels[panel].curve_radius_mm = Some(radius * (1.0 + by));
        }) else {
            return Ok(());
        };
        assert_whole(&readings(&file, &stands, every_seam(&file), HORIZON), "horizon")?;
        let (drawn, built) = (
            &file.layout().surfaces()[panel],
            &stands.layout().surfaces()[panel],
        );
        let mut most_arcmin = 0.0_f64;
        for (_, plane) in lines(&file, &["grid", "diagonal"]) {
            let at = |share: f64| {
                let px = share * drawn.pixels[0];
                Some(built.point_px(px, pixel(drawn, plane, px)?).normalize())
            };
            let (Some(left), Some(middle), Some(right)) = (at(0.0), at(0.5), at(1.0)) else {
                continue;
            };
            let off = left.cross(right).normalize().dot(middle).asin();
            most_arcmin = most_arcmin.max(arcmin(off.abs()));
        }
        prop_assert!(most_arcmin > 1e-4 || most_arcmin == 0.0, "{most_arcmin}");
    }
}
