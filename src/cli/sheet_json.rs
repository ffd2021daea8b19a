//! The sheet as JSON: millimetres, degrees and pixels.

use serde::Serialize;
use throughline::fit::eye_level_row;
use throughline::sheet::Sheet;

#[derive(Serialize)]
struct SheetJson<'a> {
    canvas_px: [u32; 2],
    window_px: [i64; 4],
    views: Vec<View<'a>>,
    seams: Vec<Seam<'a>>,
    fov: Fov,
    flat_views: FlatViews,
    single_view: SingleView,
    horizon_px: Vec<Option<f64>>,
    frusta: Vec<Frustum<'a>>,
}

#[derive(Serialize)]
struct View<'a> {
    panel: &'a str,
    view: u32,
    azimuth_deg: [f64; 2],
    elevation_deg: [f64; 2],
    distance_mm: f64,
    square_mm: f64,
    pitch_mm: [f64; 2],
}

#[derive(Serialize)]
struct Seam<'a> {
    left: &'a str,
    right: &'a str,
    angle_deg: f64,
    fold_deg: f64,
    dark_mm: f64,
    bezel_px: [f64; 2],
    outer_mm: f64,
    outer_mm_per_deg: Option<f64>,
    hidden_px: u32,
}

#[derive(Serialize)]
struct Fov {
    whole_deg: f64,
    facing_horizontal_deg: f64,
    facing_vertical_deg: f64,
}

#[derive(Serialize)]
struct FlatViews {
    count: usize,
    free: Vec<&'static str>,
    angle_deg: f64,
    distance_mm: f64,
    width_mm: f64,
    bezel_mm: f64,
    rms_deg: f64,
    max_deg: f64,
    at_limit: Vec<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    turn_deg: Option<f64>,
}

#[derive(Serialize)]
struct SingleView {
    horizontal_deg: f64,
    vertical_deg: f64,
    rms_deg: f64,
    max_deg: f64,
}

/// All but the names are `null` where the eye is behind the plane of the corners.
#[derive(Serialize)]
struct Frustum<'a> {
    panel: &'a str,
    view: u32,
    near_1: Option<[f64; 4]>,
    right: Option<[f64; 3]>,
    up: Option<[f64; 3]>,
    normal: Option<[f64; 3]>,
    max_deg: Option<f64>,
}

/// One document with a line break at its end.
pub(super) fn text(sheet: &Sheet) -> String {
    let panels = sheet.rig.panels();
    let views = sheet.views.iter().map(|view| View {
        panel: &panels[view.id.panel].name,
        view: view.id.view + 1,
        azimuth_deg: view.azimuth_rad.map(f64::to_degrees),
        elevation_deg: view.elevation_rad.map(f64::to_degrees),
        distance_mm: view.distance_mm,
        square_mm: view.square_mm,
        pitch_mm: view.pitch_mm,
    });
    let seams = sheet.seams.iter().enumerate().map(|(index, seam)| Seam {
        left: &panels[index].name,
        right: &panels[index + 1].name,
        angle_deg: seam.angle_rad.to_degrees(),
        fold_deg: seam.fold_rad.to_degrees(),
        dark_mm: seam.dark_mm,
        bezel_px: seam.dark_px,
        outer_mm: seam.outer_mm,
        outer_mm_per_deg: seam.outer_mm_per_rad.map(|mm| mm * 1_f64.to_radians()),
        hidden_px: seam.hidden_px,
    });
    let frusta = sheet.frusta.iter().map(|view| {
        let frustum = view.through.map(|through| through.frustum);
        Frustum {
            panel: &panels[view.id.panel].name,
            view: view.id.view + 1,
            near_1: frustum.map(|frustum| frustum.near_1),
            right: frustum.map(|frustum| frustum.right.into()),
            up: frustum.map(|frustum| frustum.up.into()),
            normal: frustum.map(|frustum| frustum.normal.into()),
            max_deg: view.through.map(|through| through.max_rad.to_degrees()),
        }
    });
    let (flat, single) = (&sheet.flat_views, &sheet.single_view);
    let mut document = SheetJson {
        canvas_px: sheet.rig.canvas().size_px,
        window_px: sheet.window_px,
        views: views.collect(),
        seams: seams.collect(),
        fov: Fov {
            whole_deg: sheet.fov.whole_rad.to_degrees(),
            facing_horizontal_deg: sheet.fov.facing_horizontal_rad.to_degrees(),
            facing_vertical_deg: sheet.fov.facing_vertical_rad.to_degrees(),
        },
        flat_views: FlatViews {
            turn_deg: None,
            count: flat.model.count,
            free: flat.free.names(),
            angle_deg: flat.model.angle_rad.to_degrees(),
            distance_mm: flat.model.distance_mm,
            width_mm: flat.model.width_mm,
            bezel_mm: flat.model.bezel_mm,
            rms_deg: flat.rms_rad.to_degrees(),
            max_deg: flat.worst.angle_rad().to_degrees(),
            at_limit: flat.at_limit.iter().map(|typed| typed.name()).collect(),
        },
        single_view: SingleView {
            horizontal_deg: single.model.horizontal_rad.to_degrees(),
            vertical_deg: single.model.vertical_rad().to_degrees(),
            rms_deg: single.rms_rad.to_degrees(),
            max_deg: single.worst.angle_rad().to_degrees(),
        },
        horizon_px: sheet.rig.views().iter().map(eye_level_row).collect(),
        frusta: frusta.collect(),
    };
    if let Some(fit) = &sheet.window {
        let (model, figures) = (&fit.model.flat, &fit.figures);
        document.flat_views = FlatViews {
            count: model.count,
            free: fit.free.names(),
            angle_deg: model.angle_rad.to_degrees(),
            distance_mm: model.distance_mm,
            width_mm: model.width_mm,
            bezel_mm: model.bezel_mm,
            rms_deg: figures.rms_rad.to_degrees(),
            max_deg: figures.max_rad.to_degrees(),
            at_limit: fit.at_limit.iter().map(|typed| typed.name()).collect(),
            turn_deg: Some(fit.model.turn_rad.to_degrees()),
        };
    }
    let mut text = serde_json::to_string_pretty(&document).expect("plain data is JSON");
    text.push('\n');
    text
}
