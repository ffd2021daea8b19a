//! Panels and screens of all kinds, without any window.

use super::*;
use throughline::rig;

/// A rig of panels with these pixels and desktop corners, and with these
/// columns hidden between them.
fn rig(panels: &[([u32; 2], Option<[i32; 2]>)], hidden_px: &[u32]) -> Rig {
    let mut text = "format = 1\nname = \"test\"\n[seat]\nview = \"p1/1\"\n\
                    distance_mm = 3000.0\n"
        .to_owned();
    for (index, ([w, h], corner)) in panels.iter().enumerate() {
        text += &format!(
            "[[panel]]\nname = \"p{}\"\npixels = [{w}, {h}]\ndiagonal_in = 24.0\n",
            index + 1
        );
        if let Some([x, y]) = corner {
            text += &format!("desktop_px = [{x}, {y}]\n");
        }
    }
    for hidden in hidden_px {
        text += &format!("[[seam]]\nangle_deg = 10.0\nhidden_px = {hidden}\n");
    }
    rig::read(&text, "test", &[]).expect("a sound rig")
}

fn screen(name: &str, at: [i32; 2], size_px: [u32; 2]) -> Screen {
    Screen {
        name: name.to_owned(),
        at_px: Some(at),
        size_px,
    }
}

/// Panel, screen, source corner inside the panel, and place on the screen.
fn told(rig: &Rig, placement: &Placement) -> Vec<(usize, usize, [u32; 2], [u32; 2])> {
    let tell = |tile: &Tile| {
        let rect = rig.canvas().panels[tile.panel];
        assert!(rect.holds(tile.source));
        let corner = [tile.source.x - rect.x, tile.source.y - rect.y];
        (tile.panel, tile.screen, corner, tile.at_px)
    };
    let mut all: Vec<_> = placement.tiles.iter().map(tell).collect();
    all.sort_unstable();
    all
}

const THREE: [([u32; 2], Option<[i32; 2]>); 3] = [
    ([1920, 1080], Some([-1920, 360])),
    ([2560, 1440], Some([0, 0])),
    ([1080, 1920], Some([2560, -240])),
];

#[test]
fn shifted_desktops_match_whatever_the_systems_order() {
    let rig = rig(&THREE, &[0, 0]);
    let screens = [
        screen("b", [1920, 240], [2560, 1440]),
        screen("c", [4480, 0], [1080, 1920]),
        screen("a", [0, 600], [1920, 1080]),
    ];
    let placement = place(&rig, &screens);
    assert_eq!(placement.mismatches, [""; 0]);
    let expected = [
        (0, 2, [0, 0], [0, 0]),
        (1, 0, [0, 0], [0, 0]),
        (2, 1, [0, 0], [0, 0]),
    ];
    assert_eq!(told(&rig, &placement), expected);
}

#[test]
fn one_more_display_stays_unclaimed() {
    let rig = rig(&THREE, &[0, 0]);
    let screens = [
        screen("extra", [-1280, 0], [1280, 1024]),
        screen("a", [0, 600], [1920, 1080]),
        screen("b", [1920, 240], [2560, 1440]),
        screen("c", [4480, 0], [1080, 1920]),
    ];
    let placement = place(&rig, &screens);
    assert_eq!(placement.mismatches, [""; 0]);
    assert!(!placement.is_claimed(0));
    assert!([1, 2, 3].iter().all(|&screen| placement.is_claimed(screen)));
}

#[test]
fn a_wide_panel_is_fed_through_two_inputs() {
    let rig = rig(&[([5120, 1440], Some([0, 0]))], &[]);
    let screens = [
        screen("right", [2560, 0], [2560, 1440]),
        screen("left", [0, 0], [2560, 1440]),
    ];
    let placement = place(&rig, &screens);
    assert_eq!(placement.mismatches, [""; 0]);
    let expected = [(0, 0, [2560, 0], [0, 0]), (0, 1, [0, 0], [0, 0])];
    assert_eq!(told(&rig, &placement), expected);
}

#[test]
fn a_drivers_span_carries_its_panels_and_the_hidden_columns() {
    let row = [
        ([1920, 1080], Some([0, 0])),
        ([1920, 1080], Some([1920, 0])),
        ([1920, 1080], Some([3840, 0])),
    ];
    let rig = rig(&row, &[60, 80]);
    let placement = place(&rig, &[screen("span", [0, 0], [5900, 1080])]);
    assert_eq!(placement.mismatches, [""; 0]);
    let expected = [
        (0, 0, [0, 0], [0, 0]),
        (1, 0, [0, 0], [1980, 0]),
        (2, 0, [0, 0], [3980, 0]),
    ];
    assert_eq!(told(&rig, &placement), expected);
}

#[test]
fn hidden_columns_are_no_gap_between_displays_of_their_own() {
    let row = [
        ([1920, 1080], Some([0, 0])),
        ([1920, 1080], Some([1920, 0])),
    ];
    let rig = rig(&row, &[60]);
    let screens = [
        screen("a", [0, 0], [1920, 1080]),
        screen("b", [1920, 0], [1920, 1080]),
    ];
    let placement = place(&rig, &screens);
    assert_eq!(placement.mismatches, [""; 0]);
    let expected = [(0, 0, [0, 0], [0, 0]), (1, 1, [0, 0], [0, 0])];
    assert_eq!(told(&rig, &placement), expected);
}

#[test]
fn without_places_the_order_decides() {
    let rig = rig(&[([1920, 1080], None), ([2560, 1440], None)], &[0]);
    let mut screens = [
        screen("out-10", [0, 0], [2560, 1440]),
        screen("out-9", [0, 0], [1920, 1080]),
    ];
    for screen in &mut screens {
        screen.at_px = None;
    }
    let placement = place(&rig, &screens);
    assert_eq!(placement.mismatches, [""; 0]);
    let expected = [(0, 1, [0, 0], [0, 0]), (1, 0, [0, 0], [0, 0])];
    assert_eq!(told(&rig, &placement), expected);
}

#[test]
fn displays_elsewhere_are_matched_by_order_and_told() {
    let rig = rig(&THREE, &[0, 0]);
    let screens = [
        screen("a", [0, 0], [1920, 1080]),
        screen("b", [1920, 0], [2560, 1440]),
        screen("c", [4480, 0], [1080, 1920]),
    ];
    let placement = place(&rig, &screens);
    assert_eq!(placement.tiles.len(), 3);
    assert_eq!(placement.mismatches.len(), 1);
    let text = &placement.mismatches[0];
    assert!(text.contains("expected panel \"p1\" (1920 × 1080 px) at -1920, 360"));
    assert!(
        text.contains("found display \"a\" (1920 × 1080 px at 0, 0)"),
        "{text}"
    );
}

#[test]
fn a_wrong_mode_shows_what_it_can_and_says_so() {
    let rig = rig(&THREE, &[0, 0]);
    let screens = [
        screen("a", [0, 600], [1920, 1080]),
        screen("b", [1920, 240], [1920, 1080]),
        screen("c", [3840, 0], [1080, 1920]),
    ];
    let placement = place(&rig, &screens);
    assert_eq!(placement.tiles.len(), 3);
    let middle = placement.tiles.iter().find(|tile| tile.panel == 1);
    let middle = middle.expect("shown all the same");
    assert_eq!((middle.screen, middle.at_px), (1, [0, 0]));
    assert_eq!([middle.source.w, middle.source.h], [1920, 1080]);
    let text = placement.mismatches.join("\n");
    assert!(
        text.contains("panel \"p2\" (2560 × 1440 px) was expected at 0, 0"),
        "{text}"
    );
    assert!(
        text.contains("display \"b\" (1920 × 1080 px at 1920, 240)"),
        "{text}"
    );
}

#[test]
fn displays_that_changed_places_are_found_by_their_size() {
    let rig = rig(&THREE, &[0, 0]);
    // The small one's place is inside the large one now.
    let screens = [
        screen("b", [0, 300], [2560, 1440]),
        screen("a", [2560, 600], [1920, 1080]),
        screen("c", [4480, 0], [1080, 1920]),
    ];
    let placement = place(&rig, &screens);
    let expected = [
        (0, 1, [0, 0], [0, 0]),
        (1, 0, [0, 0], [0, 0]),
        (2, 2, [0, 0], [0, 0]),
    ];
    assert_eq!(told(&rig, &placement), expected);
    let text = placement.mismatches.join("\n");
    assert!(text.contains("display \"b\" (2560 × 1440 px at 0, 300) for its size"));
}

#[test]
fn too_few_displays_show_the_facing_panel() {
    let rig = rig(&THREE, &[0, 0]);
    let placement = place(&rig, &[screen("only", [0, 0], [800, 600])]);
    // The first panel is the facing one in these rigs.
    assert_eq!(placement.tiles.len(), 1);
    assert_eq!(placement.tiles[0].panel, 0);
    assert_eq!(placement.mismatches.len(), 3);
    let lost = placement
        .mismatches
        .iter()
        .filter(|m| m.contains("no display is left"));
    assert_eq!(lost.count(), 2);
}

#[test]
fn a_display_larger_than_its_panel_is_told() {
    let rig = rig(&[([1920, 1080], Some([0, 0]))], &[]);
    let placement = place(&rig, &[screen("big", [0, 0], [2560, 1440])]);
    assert_eq!(placement.tiles.len(), 1);
    assert!(placement.mismatches[0].contains("takes up 1920 × 1080 px of display \"big\""));
}

#[test]
fn no_display_is_no_placement() {
    let rig = rig(&THREE, &[0, 0]);
    assert_eq!(place(&rig, &[]).tiles, []);
}
