//! The layer `scaling` as real compositors show it, judged by its patches: seen to be
//! right where a pixel is a pixel, and wrong where anybody resamples.

#![cfg(feature = "desktop")]

mod lab;
mod patches;

use std::fs;
use std::path::{Path, PathBuf};

use lab::picture::Picture;
use lab::show::start;
use lab::wayland::{Compositor, KWIN_PARTS, SWAY_PARTS};
use lab::{folder, has_parts, poll, turn};
use patches::{has_both_frames, is_pixel_for_pixel, rescaled};
use throughline::pattern::{Guides, Layer, Layers, Mark, Pattern};
use throughline::rig::{self, PxRect, Rig};
use throughline::typeset::Typesetter;

const PANEL_PX: [u32; 2] = [1800, 1125];

/// A rig of so many panels of one size.
fn write_rig(folder: &Path, panels: usize) -> (PathBuf, Rig) {
    let [w, h] = PANEL_PX;
    let mut text =
        "format = 1\nname = \"Row\"\n[seat]\nview = \"p0/1\"\ndistance_mm = 700.0\n".to_owned();
    for panel in 0..panels {
        text +=
            &format!("[[panel]]\nname = \"p{panel}\"\npixels = [{w}, {h}]\ndiagonal_in = 24.0\n");
    }
    text += &"[[seam]]\nangle_deg = 30.0\n".repeat(panels - 1);
    let path = folder.join("row.toml");
    fs::write(&path, &text).expect("the test's folder can be written");
    (path, rig::read(&text, "row", &[]).expect("a sound rig"))
}

/// Where the patches of lines and single pixels are drawn; the zone plates are left out.
fn patches(rig: &Rig) -> Vec<PxRect> {
    let layers = Layers::NONE.with(Layer::Scaling);
    let pattern = Pattern::new(rig, &Guides::of(rig), layers, &mut Typesetter::new());
    let tiles = pattern.marks().iter().filter_map(|mark| match mark {
        Mark::Tile(tile) => Some(tile.area),
        _ => None,
    });
    let tiles: Vec<PxRect> = tiles.collect();
    tiles
        .chunks(4)
        .flat_map(|group| group[..3].to_vec())
        .collect()
}

/// Grey codes of a part of a picture, row by row.
fn codes(picture: &Picture, [x, y, w, h]: [usize; 4]) -> Vec<Vec<u8>> {
    let row = |y: usize| {
        (x..x + w)
            .map(|x| picture.rgb[(y * picture.size[0] + x) * 3 + 1])
            .collect()
    };
    (y..y + h).map(row).collect()
}

/// The part of a picture in which an area lies that was shrunk or enlarged with the rest.
fn shown(picture: &Picture, area: PxRect, factor: f64) -> Vec<Vec<u8>> {
    let at = |px: u32| (f64::from(px) * factor).ceil() as usize;
    let size = |px: u32| (f64::from(px) * factor) as usize - 1;
    codes(
        picture,
        [at(area.x), at(area.y), size(area.w), size(area.h)],
    )
}

/// How many of the patches are there, and how many of these are pixel for pixel.
fn judged(picture: &Picture, patches: &[PxRect], factor: f64) -> [usize; 2] {
    let mut counts = [0, 0];
    for area in patches {
        let patch = shown(picture, *area, factor);
        let light: f64 = patch.iter().flatten().map(|code| f64::from(*code)).sum();
        let share = light / 255.0 / (patch.len() * patch[0].len()) as f64;
        counts[0] += usize::from((0.3..0.7).contains(&share));
        counts[1] += usize::from(is_pixel_for_pixel(&patch));
    }
    counts
}

/// A whole picture as a scaler shows it.
fn scaled(picture: &Picture, factor: f64) -> Picture {
    let [w, h] = picture.size;
    let rows = rescaled(&codes(picture, [0, 0, w, h]), factor);
    Picture {
        size: [rows[0].len(), rows.len()],
        rgb: rows.iter().flatten().flat_map(|code| [*code; 3]).collect(),
        texts: Vec::new(),
    }
}

/// KWin takes the size before scaling: 1200 × 750 at 1.5 is 1800 × 1125.
#[test]
fn kwin_at_a_fractional_scale_is_seen_right_and_its_picture_resampled_wrong() {
    let _turn = turn();
    if !has_parts(&KWIN_PARTS) {
        return;
    }
    let folder = folder("scaling-kwin");
    let (path, rig) = write_rig(&folder, 2);
    let patches = patches(&rig);
    let all = patches.len();
    let kwin = Compositor::kwin(&folder, [1200, 750], "1.5", 2);
    let arguments = ["--layers", "scaling", "--seconds", "100"];
    let mut show = start(kwin.command(lab::PROGRAM), &path, &arguments);
    let [w, h] = PANEL_PX.map(|side| side as usize);
    let mut picture = None;
    poll("every patch is pixel for pixel", || {
        picture = kwin.kwin_screenshot();
        picture.as_ref().is_some_and(|picture| {
            assert_eq!(picture.size, [2 * w, h]);
            judged(picture, &patches, 1.0) == [all, all]
        })
    });
    assert!(show.process.runs() && !show.said().contains("throughline:"));
    let picture = picture.expect("just taken");
    for panel in 0..2 {
        assert!(has_both_frames(&codes(&picture, [panel * w, 0, w, h])));
    }
    for factor in [1.5, 1.25, 1.01, 0.99, 0.75] {
        let wrong = scaled(&picture, factor);
        let [there, right] = judged(&wrong, &patches, factor);
        assert!(
            there == all && right == 0,
            "{factor}: {there}, {right} of {all}"
        );
        // Nor does it fill the panel with both its frames.
        let fits = wrong.size[0] >= 2 * w && wrong.size[1] >= h;
        assert!(
            !fits || !has_both_frames(&codes(&wrong, [0, 0, w, h])),
            "{factor}"
        );
    }
}

/// sway shows a display at 1.5 what it has drawn at 2, made smaller.
#[test]
fn sway_at_a_fractional_scale_is_seen_wrong_and_said() {
    let _turn = turn();
    if !has_parts(&SWAY_PARTS) {
        return;
    }
    let [w, h] = PANEL_PX;
    for (scale, factor) in [("1", 1.0), ("1.5", 0.75)] {
        let folder = folder("scaling-sway");
        let (path, rig) = write_rig(&folder, 1);
        let patches = patches(&rig);
        let all = patches.len();
        let sway = Compositor::sway_scaled(&folder, &[(PANEL_PX, [0, 0])], &[scale]);
        let arguments = ["--layers", "scaling", "--seconds", "100"];
        let show = start(sway.command(lab::PROGRAM), &path, &arguments);
        let mut picture = None;
        poll("the patches are there", || {
            picture = sway.screenshot(1);
            picture.as_ref().is_some_and(|picture| {
                assert_eq!(picture.size, [w as usize, h as usize]);
                judged(picture, &patches, factor)[0] == all
            })
        });
        let picture = picture.expect("just taken");
        let frames = has_both_frames(&codes(&picture, [0, 0, w as usize, h as usize]));
        let [_, right] = judged(&picture, &patches, factor);
        let is_complained_of = || show.said().contains("not pixel for pixel");
        if scale == "1" {
            assert!(right == all && frames, "{right} of {all}");
            assert!(!is_complained_of(), "{}", show.said());
        } else {
            assert!(right == 0 && !frames, "{right} of {all}");
            poll("it is said in words", is_complained_of);
        }
    }
}
