//! Rigs of every kind that the reader accepts, and nudges of any of their values.

use proptest::prelude::*;
use throughline::pattern::{Layer, Layers};
use throughline::rig::{Bezel, Panel, Parts, Rig, Seam, Seat, Size, Turn, ViewId};

/// A number whose every order of magnitude from `min` to `max` is as likely.
fn spread(min: f64, max: f64) -> impl Strategy<Value = f64> {
    (min.ln()..=max.ln()).prop_map(move |power| power.exp().clamp(min, max))
}

/// Zero, or a number of either sign whose size is any up to `max`.
fn signed(max: f64) -> impl Strategy<Value = f64> {
    // A tiny value makes a line nearly level or nearly upright.
    let size = prop_oneof![
        2 => Just(0.0),
        1 => spread(1e-45, 1e-3),
        4 => spread(1e-3, max),
        2 => 0.0..=max,
        1 => Just(max),
    ];
    (size, any::<bool>()).prop_map(|(size, minus)| if minus { -size } else { size })
}

fn bezel() -> impl Strategy<Value = f64> {
    prop_oneof![Just(0.0), spread(0.01, 1000.0), 0.0..30.0f64]
}

prop_compose! {
    fn panel(pitch_mm: f64)(
        pixels in [spread(1.0, 200.0), spread(1.0, 200.0)],
        finer in prop_oneof![2 => Just(1.0), 1 => spread(0.01, 100.0)],
        shape in prop_oneof![2 => Just(1.0), 1 => spread(0.01, 100.0)],
        // Radius in halves of the width.
        curve in proptest::option::weighted(
            0.75,
            prop_oneof![2 => Just(1.0), 1 => 1.0..1.3f64, 1 => spread(1.0, 30.0), 1 => spread(1.0, 1e6)],
        ),
        is_diagonal in proptest::bool::weighted(0.2),
        views in 1u32..5,
        bezel in [bezel(), bezel(), bezel(), bezel()],
        tilt_deg in signed(89.0),
        roll_deg in prop_oneof![
            3 => signed(180.0),
            1 => prop::sample::select(vec![90.0, -90.0, 89.999_999, 90.0 + 1e-9]),
        ],
    ) -> Panel {
        let pixels = pixels.map(|count| count.round() as u32);
        let [w, h] = pixels.map(f64::from);
        let pitch_mm = (pitch_mm * finer).clamp(0.005, 100.0);
        let size_mm = [w * pitch_mm * shape, h * pitch_mm].map(|side| side.clamp(1.0, 30_000.0));
        let [left, right, top, bottom] = bezel;
        let mut panel = Panel {
            name: String::new(),
            pixels,
            size: Size::LitMm(size_mm),
            curve_radius_mm: None,
            views: views.min(pixels[0]),
            refresh_hz: None,
            scale: 1.0,
            bezel_mm: Bezel { left, right, top, bottom },
            desktop_px: None,
            tilt_deg,
            roll_deg,
        };
        if is_diagonal {
            panel.size = Size::DiagonalIn((w.hypot(h) * pitch_mm / 25.4).clamp(0.1, 1000.0));
        }
        let half_mm = panel.size_mm()[0] / 2.0;
        panel.curve_radius_mm = curve.map(|halves| (halves * half_mm).min(1e6));
        panel
    }
}

prop_compose! {
    fn seam()(
        turn_deg in prop_oneof![signed(179.9), -60.0..80.0f64, -179.9..179.9f64],
        is_fold in any::<bool>(),
        gap_mm in prop_oneof![signed(1000.0), spread(1.0, 10_000.0)],
        step_mm in signed(10_000.0),
        rise_mm in signed(10_000.0),
        hidden_px in prop_oneof![2 => Just(0), 1 => 1u32..60],
    ) -> Seam {
        let turn = if is_fold { Turn::FoldDeg(turn_deg) } else { Turn::AngleDeg(turn_deg) };
        Seam { turn, gap_mm, step_mm, rise_mm, hidden_px }
    }
}

/// How the panels lie in the desktop.
#[derive(Debug, Clone, Copy)]
enum Desktop {
    Unplaced,
    /// In a row, each so many rows lower than the one before.
    Stairs(i32),
    /// One below the other, each so many columns further right.
    Stack(i32),
}

fn desktop() -> impl Strategy<Value = Desktop> {
    prop_oneof![
        5 => Just(Desktop::Unplaced),
        1 => (-150..150i32).prop_map(Desktop::Stairs),
        1 => (-80..80i32).prop_map(Desktop::Stack),
    ]
}

fn place(panels: &mut [Panel], desktop: Desktop) {
    let mut corner = [0, 0];
    for panel in panels {
        let [w, h] = panel.pixels.map(|count| count.cast_signed());
        match desktop {
            Desktop::Unplaced => return,
            Desktop::Stairs(down) => {
                panel.desktop_px = Some(corner);
                corner = [corner[0] + w, corner[1] + down];
            }
            Desktop::Stack(across) => {
                panel.desktop_px = Some(corner);
                corner = [corner[0] + across, corner[1] + h];
            }
        }
    }
}

prop_compose! {
    /// Parts in which every value is in its range.
    fn parts()(pitch_mm in spread(0.005, 100.0))(
        mut panels in prop_oneof![
            1 => proptest::collection::vec(panel(pitch_mm), 1..=1),
            4 => proptest::collection::vec(panel(pitch_mm), 2..=6),
        ],
        mut seams in proptest::collection::vec(seam(), 5),
        desktop in desktop(),
        facing in any::<prop::sample::Index>(),
        view in any::<prop::sample::Index>(),
        distance_mm in spread(1.0, 100_000.0),
        // The same in widths of the facing panel.
        widths in proptest::option::of(spread(0.1, 3.0)),
        height_mm in signed(100_000.0),
        offset_mm in signed(100_000.0),
    ) -> Parts {
        for (index, panel) in panels.iter_mut().enumerate() {
            panel.name = format!("p{index}");
        }
        place(&mut panels, desktop);
        seams.truncate(panels.len() - 1);
        let panel = facing.index(panels.len());
        let view = view.index(panels[panel].views as usize) as u32;
        let distance_mm = widths.map_or(distance_mm, |widths| {
            (widths * panels[panel].size_mm()[0]).clamp(1.0, 100_000.0)
        });
        let seat = Seat { view: ViewId { panel, view }, distance_mm, height_mm, offset_mm };
        Parts { name: "any".to_owned(), seat, panels, seams, window: None }
    }
}

/// The same parts a little more like a wall in one piece straight ahead, and in the
/// end like a flat one, which always faces the eye.
fn tame(parts: &mut Parts, round: u32) {
    const LESS: f64 = 0.5;
    parts.seat.height_mm *= LESS;
    parts.seat.offset_mm *= LESS;
    for panel in &mut parts.panels {
        panel.tilt_deg *= LESS;
        if round > 8 {
            panel.curve_radius_mm = panel.curve_radius_mm.map(|radius| (4.0 * radius).min(1e6));
        }
    }
    for index in 0..parts.seams.len() {
        let fold_deg = parts.fold_rad(index).to_degrees().clamp(-179.9, 179.9);
        let seam = &mut parts.seams[index];
        seam.turn = match seam.turn {
            Turn::AngleDeg(turn) if round < 2 => Turn::AngleDeg(turn * LESS),
            _ => Turn::FoldDeg(fold_deg * LESS),
        };
        seam.gap_mm *= LESS;
        seam.step_mm *= LESS;
        seam.rise_mm *= LESS;
    }
}

/// A change of one value: which, of which panel or seam, by how much, and
/// whether the amount is the new value.
type Nudge = (usize, prop::sample::Index, f64, bool);

fn nudge() -> impl Strategy<Value = Nudge> {
    let amount = prop_oneof![
        1 => spread(1e-12, 1e-3),
        4 => spread(1e-3, 10.0),
        1 => spread(10.0, 10_000.0),
    ];
    let signed = (amount, any::<bool>()).prop_map(|(size, minus)| if minus { -size } else { size });
    let is_new = proptest::bool::weighted(0.1);
    (0usize..20, any::<prop::sample::Index>(), signed, is_new)
}

/// Makes a nudge, `share` of it.
fn apply(parts: &mut Parts, (which, at, amount, is_new): Nudge, share: f64) {
    let change = |value: &mut f64| {
        *value = if is_new {
            amount
        } else {
            *value + amount * share
        }
    };
    let count = parts.panels.len();
    let panel = &mut parts.panels[at.index(count)];
    match which {
        0 => change(&mut parts.seat.distance_mm),
        1 => change(&mut parts.seat.height_mm),
        2 => change(&mut parts.seat.offset_mm),
        3 => change(&mut panel.tilt_deg),
        4 => change(&mut panel.roll_deg),
        5 | 6 => {
            let mut size = panel.size_mm();
            change(&mut size[which - 5]);
            panel.size = Size::LitMm(size);
        }
        7 => {
            let radius = panel.curve_radius_mm.get_or_insert(panel.size_mm()[0]);
            change(radius);
        }
        8 => panel.curve_radius_mm = None,
        9 => change(&mut panel.bezel_mm.left),
        10 => change(&mut panel.bezel_mm.right),
        11 => change(&mut panel.bezel_mm.top),
        12 => change(&mut panel.bezel_mm.bottom),
        13 => panel.name += "'",
        14 => parts.seat.view.view = u32::from(amount > 1.0).min(panel.views - 1),
        _ => {
            let seams = parts.seams.len();
            if seams == 0 {
                return;
            }
            let seam = &mut parts.seams[at.index(seams)];
            match which {
                15 => {
                    let (Turn::AngleDeg(turn) | Turn::FoldDeg(turn)) = &mut seam.turn;
                    change(turn);
                }
                16 => change(&mut seam.gap_mm),
                17 => change(&mut seam.step_mm),
                18 => change(&mut seam.rise_mm),
                // From this seam to the next, so that the canvas keeps its size.
                _ => {
                    let moved = seam.hidden_px;
                    seam.hidden_px = 0;
                    parts.seams[(at.index(seams) + 1) % seams].hidden_px += moved;
                }
            }
        }
    }
}

/// Layers, mostly all.
fn layers() -> impl Strategy<Value = Layers> {
    let some = prop::sample::subsequence(Layer::ALL.to_vec(), 1..=Layer::ALL.len())
        .prop_map(|layers| layers.into_iter().fold(Layers::NONE, Layers::with));
    prop_oneof![2 => Just(Layers::ALL), 1 => some]
}

/// A rig and the same one nudged, on canvases of one size, and the layers drawn.
#[derive(Debug, Clone)]
pub(crate) struct Case {
    pub before: Rig,
    pub after: Rig,
    pub layers: Layers,
}

/// A case; none where the parts are no rig however tame, or no nudge leaves them one.
pub(crate) fn case() -> impl Strategy<Value = Option<Case>> {
    let nudges = proptest::collection::vec(nudge(), 1..4);
    (parts(), nudges, layers()).prop_map(|(mut parts, nudges, layers)| {
        let before = (0..14).find_map(|round| {
            let rig = Rig::new(parts.clone()).ok();
            if rig.is_none() {
                tame(&mut parts, round);
            }
            rig
        })?;
        let after = (0..12).find_map(|halvings| {
            let mut nudged = before.parts().clone();
            for nudge in &nudges {
                apply(&mut nudged, *nudge, 0.5_f64.powi(halvings));
            }
            let rig = Rig::new(nudged).ok()?;
            (rig.canvas().size_px == before.canvas().size_px).then_some(rig)
        })?;
        Some(Case {
            before,
            after,
            layers,
        })
    })
}
