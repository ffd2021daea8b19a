//! Where each pixel of a view lies in the picture of a flat camera.

use std::ops::Range;

use crate::geometry::{Frustum, View};

/// The way from a view's pixels into the picture that a renderer draws with the
/// view's frustum.
#[derive(Debug, Clone, PartialEq)]
pub struct Warp {
    view: View,
    frustum: Frustum,
    columns: Range<u32>,
}

impl Warp {
    /// The warp of a view; `None` where it has no frustum.
    pub fn of(view: &View) -> Option<Warp> {
        let (share, shares) = (i64::from(view.id.view), i64::from(view.shares));
        let columns = view.surface.pixels[0] as i64;
        // The first column whose middle lies right of the share's left edge.
        let first = |share: i64| (2 * share * columns + shares - 1).div_euclid(2 * shares) as u32;
        Some(Warp {
            view: *view,
            frustum: Frustum::of(view)?,
            columns: first(share)..first(share + 1),
        })
    }

    /// The panel's columns whose middles lie in the view.
    pub fn columns(&self) -> Range<u32> {
        self.columns.clone()
    }

    /// Columns and rows.
    pub fn size_px(&self) -> [u32; 2] {
        [
            self.columns.end - self.columns.start,
            self.view.surface.pixels[1] as u32,
        ]
    }

    /// For the middle of each pixel of a row, counted from the view's top, where it
    /// lies in the picture: (0, 0) is the picture's lower left corner and (1, 1) its
    /// upper right one. Outside that where the picture doesn't reach it.
    pub fn row(&self, row: u32) -> impl Iterator<Item = [f64; 2]> + '_ {
        let surface = &self.view.surface;
        let py = f64::from(row) + 0.5;
        // A concave surface lies behind the plane of its corners, so in front of the eye.
        (self.columns())
            .map(move |column| (self.frustum).place(surface.point_px(f64::from(column) + 0.5, py)))
    }

    /// How far outside 0 to 1 any pixel's middle lies; 0 where the picture holds
    /// all. An eye above or below a curved view sees a part of it there.
    pub fn beyond(&self) -> f64 {
        let [_, rows] = self.size_px();
        // Along a column the place moves one way, so it is outside most at its ends.
        [0, rows - 1]
            .into_iter()
            .flat_map(|row| self.row(row))
            .flatten()
            .map(|place| (-place).max(place - 1.0))
            .fold(0.0, f64::max)
    }
}
