//! The wedge of a seam: a card that fits between the two panels' glass.

use glam::DVec2;

use super::level::LevelCut;
use super::sheet::{LINE_MM, Sheet, Way, caution};
use crate::geometry::{LitEdge, edge_heights_mm};
use crate::plan::Stroke;
use crate::rig::Rig;
use crate::sheet::seam_name;
use crate::sheet::units::{degrees, fixed};
use crate::typeset::Cut;

/// Longest and shortest edge that is held to the glass.
const REACH_MM: [u32; 2] = [150, 20];
const REACH_STEP_MM: usize = 5;
/// How far the card keeps off the cases between the two lit edges.
const RELIEF_MM: f64 = 6.0;
/// Card in front of the relief, and of the ends of the edges.
const BODY_MM: f64 = 26.0;
const END_MM: f64 = 12.0;

/// A card seen from above, in millimetres: x to the right along the seam, y towards
/// the viewer.
#[derive(Debug, Clone, PartialEq)]
pub struct Wedge {
    /// What is held to the left and to the right panel's glass, each from its lit
    /// edge, where the card has a corner, inwards along the surface.
    pub contact_mm: [Vec<DVec2>; 2],
    /// Between those corners, the card's edge from the left one to the right one.
    relief_mm: Vec<DVec2>,
    /// Where its edge towards the viewer is.
    front_mm: f64,
    /// Turn between the two edges at the lit edges, in radians: the fold, and where a
    /// curved panel leans, that of the level cut.
    pub fold_rad: f64,
    /// Height of the cut in the seat frame.
    pub height_mm: f64,
}

impl Wedge {
    /// The largest wedge of a seam that a sheet holds, cut level at the height at
    /// which a ruler would be held across. `None` where the two lit edges have no
    /// height in common, or too little glass beside them.
    pub fn of(rig: &Rig, seam: usize, room_mm: DVec2) -> Option<Wedge> {
        (REACH_MM[1]..=REACH_MM[0])
            .rev()
            .step_by(REACH_STEP_MM)
            .filter_map(|reach| Wedge::reaching(rig, seam, f64::from(reach)))
            .find(|wedge| {
                let [min, max] = wedge.extent_mm();
                (max - min).cmple(room_mm).all()
            })
    }

    fn reaching(rig: &Rig, seam: usize, reach_mm: f64) -> Option<Wedge> {
        let surfaces = rig.layout().seam(seam);
        let edges = [LitEdge::Right, LitEdge::Left];
        for (surface, edge) in surfaces.into_iter().zip(edges) {
            edge_heights_mm(surface, edge)?;
        }
        let height_mm = rig.layout().ruler_mm(seam)[0].y;
        let left = LevelCut::of(surfaces[0], edges[0], height_mm, reach_mm)?;
        let right = LevelCut::of(surfaces[1], edges[1], height_mm, reach_mm)?;
        let [lit_left, lit_right] = [left.points[0], right.points[0]];
        let towards = (left.normal() + right.normal()).try_normalize()?;
        let across = -towards.perp();
        let origin = (lit_left + lit_right) / 2.0;
        let turned = |way: DVec2| DVec2::new(way.dot(across), way.dot(towards));
        let on_card = |point: DVec2| turned(point - origin);

        // The cases between the lit edges, and the card kept off them.
        let half_gap = rig.seams()[seam].gap_mm / 2.0;
        let bezels = [
            rig.panels()[seam].bezel_mm.right,
            rig.panels()[seam + 1].bezel_mm.left,
        ];
        let corners = [
            lit_left + left.along * (bezels[0] + half_gap),
            lit_right - right.along * (bezels[1] + half_gap),
        ];
        let dark = on_card(lit_right).x - on_card(lit_left).x;
        if dark < 0.0 {
            return None;
        }
        let fold_rad = left.along.angle_to(right.along);
        // Sides that come nearer to each other must not cross.
        let narrowing = (fold_rad / 2.0).sin();
        let deep = if narrowing > 0.0 {
            RELIEF_MM.min((0.35 * dark / narrowing).max(0.0))
        } else {
            RELIEF_MM
        };
        let from = on_card(lit_left) + turned(left.normal()) * deep;
        let to = on_card(lit_right) + turned(right.normal()) * deep;
        let mut relief_mm = vec![on_card(lit_left), from];
        for corner in corners {
            let clear = on_card(corner) + DVec2::Y * deep;
            let line = from.y + (to.y - from.y) * (clear.x - from.x) / (to.x - from.x);
            if (from.x..to.x).contains(&clear.x) && clear.y > line {
                relief_mm.push(clear);
            }
        }
        relief_mm.extend([to, on_card(lit_right)]);
        relief_mm.dedup();

        let contact_mm = [left, right].map(|cut| cut.points.into_iter().map(on_card).collect());
        let mut wedge = Wedge {
            front_mm: 0.0,
            contact_mm,
            relief_mm,
            fold_rad,
            height_mm,
        };
        let [first, second] = wedge.ends();
        if first.distance(wedge.contact_mm[0][0]) + 3.0 < f64::from(REACH_MM[1])
            || second.distance(wedge.contact_mm[1][0]) + 3.0 < f64::from(REACH_MM[1])
        {
            return None;
        }
        let deepest = wedge.relief_mm.iter().map(|point| point.y);
        let deepest = deepest.fold(f64::NEG_INFINITY, f64::max);
        wedge.front_mm = (first.y.max(second.y) + END_MM).max(deepest + BODY_MM);
        Some(wedge)
    }

    /// The outer ends of the edges that are held to the glass.
    fn ends(&self) -> [DVec2; 2] {
        [0, 1].map(|side| self.contact_mm[side][self.contact_mm[side].len() - 1])
    }

    /// The card's outline, closed.
    pub fn outline_mm(&self) -> Vec<DVec2> {
        let [left, right] = &self.contact_mm;
        let mut points = self.relief_mm.clone();
        points.extend(&right[1..]);
        points.extend([self.ends()[1], self.ends()[0]].map(|end| end.with_y(self.front_mm)));
        points.extend(left.iter().rev());
        points
    }

    fn extent_mm(&self) -> [DVec2; 2] {
        let outline = self.outline_mm();
        let corner =
            |pick: fn(DVec2, DVec2) -> DVec2| outline.iter().copied().fold(outline[0], pick);
        [corner(DVec2::min), corner(DVec2::max)]
    }
}

/// The sheet with a seam's wedge.
pub(super) fn sheet(rig: &Rig, seam: usize) -> Sheet {
    let title = format!("Wedge for seam {}: {}", seam + 1, seam_name(rig, seam));
    let mut sheet = Sheet::new(Way::Level, rig, title);
    let room = sheet.room();
    let Some(wedge) = Wedge::of(rig, seam, room.max - room.min) else {
        sheet.note(
            "There is no wedge for this seam: its two lit edges have no height in common, lean \
             too far, or have too little glass beside them. Measure it with a protractor.",
        );
        return sheet;
    };
    let [min, max] = wedge.extent_mm();
    let place = (room.min + room.max - min - max) / 2.0;
    (sheet.drawing).path(
        Stroke::Cut,
        wedge.outline_mm().into_iter().map(|p| p + place),
    );
    letter(&mut sheet, rig, seam, &wedge, place);
    for text in how_to_hold(rig, seam, &wedge) {
        sheet.note(&text);
    }
    sheet
}

/// What stands on the card itself.
fn letter(sheet: &mut Sheet, rig: &Rig, seam: usize, wedge: &Wedge, place: DVec2) {
    let ends = wedge.ends();
    let middle = f64::midpoint(ends[0].x, ends[1].x);
    let room_mm = ends[1].x - ends[0].x - 8.0;
    let lines = [
        (rig.name().to_owned(), Cut::Bold),
        (
            format!("seam {}: {}", seam + 1, seam_name(rig, seam)),
            Cut::Bold,
        ),
        (
            format!(
                "fold {}°, dark {} mm; from above, this edge towards you",
                degrees(rig.parts().fold_rad(seam), 2),
                fixed(rig.layout().dark_mm(seam), 1),
            ),
            Cut::Regular,
        ),
    ];
    for (index, (text, cut)) in lines.into_iter().enumerate() {
        let text = sheet.fitted(&text, cut, room_mm);
        let above = wedge.front_mm - 3.0 - (2 - index) as f64 * LINE_MM;
        sheet.centred(&text, cut, place + DVec2::new(middle, above));
    }
    for (side, contact) in wedge.contact_mm.iter().enumerate() {
        let (from, to) = (contact[0], ends[side]);
        let name = &rig.panels()[seam + side].name;
        let name = sheet.fitted(name, Cut::Regular, 0.6 * from.distance(to));
        sheet.centred(
            &name,
            Cut::Regular,
            place + from.lerp(to, 0.5) + DVec2::Y * 7.0,
        );
    }
}

/// How to use the card, and what a misfit says.
fn how_to_hold(rig: &Rig, seam: usize, wedge: &Wedge) -> Vec<String> {
    let panels = [seam, seam + 1].map(|panel| &rig.panels()[panel]);
    let leans = panels
        .iter()
        .any(|panel| panel.tilt_deg != 0.0 || panel.roll_deg != 0.0);
    let surface = rig.layout().seam(seam)[0];
    let middle = surface.point_mm(surface.edge_s_mm(LitEdge::Right), 0.0);
    let up_mm = (wedge.height_mm - middle.y) / surface.y.y;
    let where_to = if leans {
        let way = if up_mm < 0.0 { "below" } else { "above" };
        format!(
            "{} mm {way} the middle of the right lit edge of {}",
            fixed(up_mm.abs(), 0),
            panels[0].name
        )
    } else {
        "at any height where both panels are lit".to_owned()
    };
    vec![
        format!(
            "Cut it out of card and hold it level, {where_to}, from your side, its two long back \
             edges to the glass. It fits where both lie on the glass from end to end and its two \
             inner corners stand at the lit edges, {} mm apart (gap {} mm).",
            fixed(rig.layout().dark_mm(seam), 1),
            fixed(rig.seams()[seam].gap_mm, 1),
        ),
        MISFITS
            .map(|(touches, panels)| format!("Where {touches}, {panels}."))
            .join(" "),
        caution(),
    ]
}

/// Where the card touches, and what that says of the panels.
const MISFITS: [(&str, &str); 2] = [
    (
        "only its outer ends touch",
        "the panels are folded in further than the file says",
    ),
    (
        "only its inner corners touch",
        "they are folded in less far",
    ),
];
