//! What a picture's text chunks say about it.

use glam::DVec3;
use throughline::compare::Inset;
use throughline::geometry::LitEdge;
use throughline::pattern::{Guides, Layers, Line, Pattern};
use throughline::pictures::Labelled;
use throughline::rig::{self, Rig};
use throughline::seat::{self, Camera, Reading};
use throughline::typeset::Typesetter;

use super::view_note::ViewNote;
use crate::files::png_file::{BUILT_KEYWORD, RIG_KEYWORD, VIEW_KEYWORD};

/// The rig, the camera and the eye of a picture, where it names them.
pub(super) struct Capture {
    /// The rig whose pattern it shows.
    pub rig: Option<Rig>,
    /// The rig as it stands, in a seat view.
    pub built: Option<Rig>,
    /// Camera and eye of a seat view.
    pub view: Option<(Camera, DVec3)>,
}

impl Capture {
    /// Reads a picture's text chunks. One that can't be read counts as none.
    pub(super) fn of(source: &Labelled) -> Capture {
        let rig = |keyword| {
            let text = source.text(keyword)?;
            rig::read(text, keyword, &[]).ok()
        };
        let view = source.text(VIEW_KEYWORD).and_then(ViewNote::read);
        let drawn = rig(RIG_KEYWORD);
        Capture {
            built: rig(BUILT_KEYWORD).or_else(|| drawn.clone().filter(|_| view.is_some())),
            rig: drawn,
            view,
        }
    }

    /// Where the panels stand: as built, or else as the rig says.
    pub(super) fn standing(&self) -> Option<&Rig> {
        self.built.as_ref().or(self.rig.as_ref())
    }

    /// The breaks in a seat view.
    pub(super) fn breaks(&self) -> Option<Vec<Reading>> {
        let (_, eye) = self.view?;
        breaks(self.rig.as_ref()?, self.built.as_ref()?, eye)
    }
}

/// The breaks of a rig's pattern on the panels of another; `None` where they
/// have other panels.
pub(super) fn breaks(drawn: &Rig, built: &Rig, eye: DVec3) -> Option<Vec<Reading>> {
    let pixels = |rig: &Rig| -> Vec<[u32; 2]> { rig.panels().iter().map(|p| p.pixels).collect() };
    if pixels(drawn) != pixels(built) {
        return None;
    }
    let at_seams = seat::at_seams(drawn.layout());
    Some(seat::readings(
        &at_seams,
        built.layout(),
        &lines(drawn),
        eye,
    ))
}

fn lines(rig: &Rig) -> Vec<Line> {
    let mut typesetter = Typesetter::new();
    let pattern = Pattern::new(rig, &Guides::of(rig), Layers::ALL, &mut typesetter);
    pattern.lines().to_vec()
}

/// Where the seams are in two pictures of a size: as the later one says, or
/// else the earlier one.
pub(super) fn insets(captures: &[Capture; 2], size_px: [u32; 2]) -> Vec<Inset> {
    let [before, after] = captures;
    let found = [after, before].map(|capture| of_one(capture, size_px));
    found
        .into_iter()
        .find(|found| !found.is_empty())
        .unwrap_or_default()
}

fn of_one(capture: &Capture, [w, h]: [u32; 2]) -> Vec<Inset> {
    let Some(rig) = capture.standing() else {
        return Vec::new();
    };
    let on_picture =
        |[x, y]: &[f64; 2]| (0.0..=f64::from(w)).contains(x) && (0.0..=f64::from(h)).contains(y);
    let inset = |seam: usize, middle_px| {
        let [left, right] = [seam, seam + 1].map(|i| &rig.panels()[i].name);
        Inset {
            title: format!("seam {}: {left} | {right}", seam + 1),
            middle_px,
        }
    };
    let seams = 0..rig.seams().len();
    match &capture.view {
        Some((camera, eye)) => {
            let layout = rig.layout();
            let middle = |seam: usize| {
                let [left, right] = layout.seam(seam);
                let edges = left.point_mm(left.edge_s_mm(LitEdge::Right), 0.0)
                    + right.point_mm(right.edge_s_mm(LitEdge::Left), 0.0);
                camera.pixel(edges / 2.0 - *eye).filter(on_picture)
            };
            seams
                .filter_map(|seam| Some(inset(seam, middle(seam)?)))
                .collect()
        }
        None if rig.canvas().size_px == [w, h] => {
            let panels = &rig.canvas().panels;
            seams
                .map(|seam| {
                    let (left, right) = (panels[seam], panels[seam + 1]);
                    let top = left.y.max(right.y);
                    let bottom = left.bottom().min(right.bottom());
                    let middle = [(left.right(), right.x), (top, bottom)]
                        .map(|(from, to)| (f64::from(from) + f64::from(to)) / 2.0);
                    inset(seam, middle)
                })
                .collect()
        }
        None => Vec::new(),
    }
}
