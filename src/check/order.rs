//! The order of the panels in the desktop against that in the rig.

use super::{Code, Finding, listed, quoted};
use crate::rig::{Rig, Subject};

/// Where a panel lies in the desktop.
struct Place {
    corner: [i64; 2],
    size: [i64; 2],
}

/// A panel that stands left of its neighbour and lies right of it in the desktop.
pub(super) fn findings(rig: &Rig) -> Option<Finding> {
    let places: Option<Vec<Place>> = rig
        .panels()
        .iter()
        .map(|panel| {
            Some(Place {
                corner: panel.desktop_px?.map(i64::from),
                size: panel.pixels.map(i64::from),
            })
        })
        .collect();
    let places = places?;
    let swapped = places
        .windows(2)
        .position(|pair| lies_right(&pair[0], &pair[1]))?;
    let [left, right] = [swapped, swapped + 1].map(|panel| quoted(rig, panel));
    Some(Finding::error(
        Code::DesktopOrder,
        Subject::panel(swapped, "desktop_px"),
        format!(
            "In the desktop panel {left} lies to the right of {right}, but in the rig file, which \
             counts panels from left to right, it stands to the left, so that a picture over both \
             would be torn. Write {}, and see that the system's display settings have them there; \
             else give the [[panel]] tables from left to right.",
            listed(&row(rig, &places)),
        ),
    ))
}

/// Whether one place lies to the right of another that shares rows with it.
fn lies_right(one: &Place, other: &Place) -> bool {
    let [y, other_y] = [one.corner[1], other.corner[1]];
    let shares_rows = y < other_y + other.size[1] && other_y < y + one.size[1];
    shares_rows && one.corner[0] >= other.corner[0] + other.size[0]
}

/// What to write for each panel that lies elsewhere in a row from left to right.
fn row(rig: &Rig, places: &[Place]) -> Vec<String> {
    let mut x = places
        .iter()
        .map(|place| place.corner[0])
        .min()
        .unwrap_or(0);
    let mut moves = Vec::new();
    for (panel, place) in places.iter().enumerate() {
        let [now, y] = place.corner;
        if x != now {
            moves.push(format!(
                "`desktop_px` = [{x}, {y}] for {}",
                quoted(rig, panel)
            ));
        }
        x += place.size[0];
    }
    moves
}
