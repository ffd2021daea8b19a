//! Panels and displays of all kinds, without any window.

use super::*;
use crate::rig;

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

fn display(name: &str, position_px: [i32; 2], size_px: [u32; 2]) -> Display {
    Display {
        name: name.to_owned(),
        position_px,
        size_px,
        mode_px: None,
        scale: 1.0,
        refresh_hz: None,
        size_mm: None,
        is_primary: false,
        features: Default::default(),
    }
}

/// Panel, display, source corner inside the panel, and place on the display.
fn told(rig: &Rig, placement: &Placement) -> Vec<(usize, usize, [u32; 2], [u32; 2])> {
    let tell = |tile: &Tile| {
        let rect = rig.canvas().panels[tile.panel];
        assert!(rect.holds(tile.source));
        let corner = [tile.source.x - rect.x, tile.source.y - rect.y];
        (tile.panel, tile.display, corner, tile.at_px)
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
    let displays = [
        display("b", [1920, 240], [2560, 1440]),
        display("c", [4480, 0], [1080, 1920]),
        display("a", [0, 600], [1920, 1080]),
    ];
    let placement = Placement::new(&rig, &displays);
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
    let displays = [
        display("extra", [-1280, 0], [1280, 1024]),
        display("a", [0, 600], [1920, 1080]),
        display("b", [1920, 240], [2560, 1440]),
        display("c", [4480, 0], [1080, 1920]),
    ];
    let placement = Placement::new(&rig, &displays);
    assert_eq!(placement.mismatches, [""; 0]);
    assert!(!placement.is_claimed(0));
    assert!(
        [1, 2, 3]
            .iter()
            .all(|&display| placement.is_claimed(display))
    );
}

#[test]
fn a_wide_panel_is_fed_through_two_inputs() {
    let rig = rig(&[([5120, 1440], Some([0, 0]))], &[]);
    let displays = [
        display("right", [2560, 0], [2560, 1440]),
        display("left", [0, 0], [2560, 1440]),
    ];
    let placement = Placement::new(&rig, &displays);
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
    let placement = Placement::new(&rig, &[display("span", [0, 0], [5900, 1080])]);
    assert_eq!(placement.mismatches, [""; 0]);
    let expected = [
        (0, 0, [0, 0], [0, 0]),
        (1, 0, [0, 0], [1980, 0]),
        (2, 0, [0, 0], [3980, 0]),
    ];
    assert_eq!(told(&rig, &placement), expected);
}

#[test]
fn columns_that_no_span_hides_are_told() {
    let row = [
        ([1920, 1080], Some([0, 0])),
        ([1920, 1080], Some([1920, 0])),
    ];
    let rig = rig(&row, &[60]);
    let displays = [
        display("a", [0, 0], [1920, 1080]),
        display("b", [1920, 0], [1920, 1080]),
    ];
    let placement = Placement::new(&rig, &displays);
    assert_eq!(placement.mismatches.len(), 1);
    let text = &placement.mismatches[0];
    assert!(
        text.contains("hides 60 columns between panel \"p1\" (1920 × 1080 px) and panel \"p2\""),
        "{text}"
    );
    let expected = [(0, 0, [0, 0], [0, 0]), (1, 1, [0, 0], [0, 0])];
    assert_eq!(told(&rig, &placement), expected);
}

#[test]
fn without_places_the_order_decides() {
    let rig = rig(&[([1920, 1080], None), ([2560, 1440], None)], &[0]);
    let mut displays = [
        display("out-10", [0, 0], [2560, 1440]),
        display("out-9", [0, 0], [1920, 1080]),
    ];
    for display in &mut displays {
        display.scale = 1.5;
    }
    let placement = Placement::new(&rig, &displays);
    assert_eq!(placement.mismatches, [""; 0]);
    let expected = [(0, 1, [0, 0], [0, 0]), (1, 0, [0, 0], [0, 0])];
    assert_eq!(told(&rig, &placement), expected);
}

#[test]
fn displays_elsewhere_are_matched_by_order_and_told() {
    let rig = rig(&THREE, &[0, 0]);
    let displays = [
        display("a", [0, 0], [1920, 1080]),
        display("b", [1920, 0], [2560, 1440]),
        display("c", [4480, 0], [1080, 1920]),
    ];
    let placement = Placement::new(&rig, &displays);
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
    let displays = [
        display("a", [0, 600], [1920, 1080]),
        display("b", [1920, 240], [1920, 1080]),
        display("c", [3840, 0], [1080, 1920]),
    ];
    let placement = Placement::new(&rig, &displays);
    assert_eq!(placement.tiles.len(), 3);
    let middle = placement.tiles.iter().find(|tile| tile.panel == 1);
    let middle = middle.expect("shown all the same");
    assert_eq!((middle.display, middle.at_px), (1, [0, 0]));
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
    let displays = [
        display("b", [0, 300], [2560, 1440]),
        display("a", [2560, 600], [1920, 1080]),
        display("c", [4480, 0], [1080, 1920]),
    ];
    let placement = Placement::new(&rig, &displays);
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
    let placement = Placement::new(&rig, &[display("only", [0, 0], [800, 600])]);
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
    let placement = Placement::new(&rig, &[display("big", [0, 0], [2560, 1440])]);
    assert_eq!(placement.tiles.len(), 1);
    assert!(placement.mismatches[0].contains("takes up 1920 × 1080 px of display \"big\""));
}

#[test]
fn a_display_turned_by_a_quarter_is_told_with_its_cure() {
    let rig = rig(&[([1080, 1920], Some([0, 0]))], &[]);
    let cure = "rotate it in the display settings, or swap the panel's `pixels`";
    let said = |size_px| Placement::new(&rig, &[display("A", [0, 0], size_px)]).mismatches;
    let turned = said([1920, 1080]);
    assert!(turned.len() == 1 && turned[0].contains(cure), "{turned:?}");
    let other = said([1920, 1200]);
    assert!(
        other.len() == 1 && !other[0].contains("rotate"),
        "{other:?}"
    );
}

#[test]
fn a_display_that_is_driven_with_another_size_is_told() {
    let rig = rig(&[([1600, 900], Some([0, 0]))], &[]);
    let mut scaled = display("A", [0, 0], [1600, 900]);
    scaled.mode_px = Some([1600, 900]);
    let said = |display: &Display| Placement::new(&rig, std::slice::from_ref(display)).mismatches;
    assert_eq!(said(&scaled), [""; 0]);
    scaled.mode_px = Some([1280, 720]);
    let told = said(&scaled);
    assert!(
        told.len() == 1 && told[0].contains("driven with 1280 × 720 px"),
        "{told:?}"
    );
}

#[test]
fn no_display_is_no_placement() {
    let rig = rig(&THREE, &[0, 0]);
    assert_eq!(Placement::new(&rig, &[]).tiles, []);
}

/// Names of the displays that carry each panel.
fn carried<'a>(rig: &Rig, displays: &'a [Display]) -> Vec<Vec<&'a str>> {
    let matching = Matching::new(rig, displays);
    let names = |panel: usize| {
        let carriers = matching.carriers(panel).into_iter();
        carriers.map(|d| displays[d].name.as_str()).collect()
    };
    (0..rig.panels().len()).map(names).collect()
}

fn row(widths: &[u32]) -> Vec<([u32; 2], Option<[i32; 2]>)> {
    let mut x = 0;
    let panels = widths.iter().map(|&w| {
        let panel = ([w, 1080], Some([x, 0]));
        x += w.cast_signed();
        panel
    });
    panels.collect()
}

#[test]
fn a_panel_of_two_inputs_that_stands_elsewhere_keeps_both() {
    let rig = rig(&row(&[1920, 1280, 3840]), &[0, 0]);
    let displays = [
        display("a", [0, 0], [1920, 1080]),
        display("b", [1920, 0], [1280, 1080]),
        display("c", [3200, 40], [1920, 1080]),
        display("d", [5120, 50], [1920, 1080]),
    ];
    assert_eq!(
        carried(&rig, &displays),
        [vec!["a"], vec!["b"], vec!["c", "d"]]
    );
    let faults = Matching::new(&rig, &displays).faults().to_vec();
    let place = |display, down| Fault::Place {
        panel: 2,
        display,
        by_px: [0, down],
    };
    assert_eq!(faults, [place(2, 40), place(3, 50)]);
    let placement = Placement::new(&rig, &displays);
    assert_eq!(
        told(&rig, &placement)[2..],
        [(2, 2, [0, 0], [0, 0]), (2, 3, [1920, 0], [0, 0])]
    );
    assert_eq!(placement.mismatches.len(), 1, "{:?}", placement.mismatches);
}

#[test]
fn a_span_that_stands_elsewhere_keeps_its_panels() {
    let rig = rig(&row(&[1280, 1024, 800, 1920, 1920]), &[0, 0, 0, 60]);
    let displays = [
        display("a", [0, 0], [1280, 1080]),
        display("b", [1280, 0], [1024, 1080]),
        display("c", [2304, 0], [800, 1080]),
        display("span", [3104, 30], [3900, 1080]),
    ];
    assert_eq!(
        carried(&rig, &displays),
        [["a"], ["b"], ["c"], ["span"], ["span"]]
    );
    let faults = Matching::new(&rig, &displays).faults().to_vec();
    let expected = Fault::Place {
        panel: 3,
        display: 3,
        by_px: [0, 30],
    };
    assert_eq!(faults, [expected]);
    let placement = Placement::new(&rig, &displays);
    assert_eq!(
        told(&rig, &placement)[3..],
        [(3, 3, [0, 0], [0, 0]), (4, 3, [0, 0], [1980, 0])]
    );
}

/// Without places, sizes in their order are read together.
#[test]
fn scaled_displays_are_read_in_order() {
    let unplaced = |sizes: &[[u32; 2]]| -> Vec<Display> {
        let mut displays = Vec::new();
        for ((index, &size), x) in sizes.iter().enumerate().zip((0..).step_by(1000)) {
            displays.push(display(["a", "b", "c", "d"][index], [x, 0], size));
            displays[index].scale = 1.5;
        }
        displays
    };
    let two_wide = rig(&row(&[3840, 3840]), &[0]);
    let displays = unplaced(&[[1920, 1080], [1920, 1080], [3840, 1080]]);
    assert_eq!(carried(&two_wide, &displays), [vec!["a", "b"], vec!["c"]]);

    let three = rig(&row(&[1920, 1920, 1280]), &[60, 0]);
    let displays = unplaced(&[[800, 600], [3900, 1080], [1280, 1080]]);
    assert_eq!(carried(&three, &displays), [["b"], ["b"], ["c"]]);
    let placement = Placement::new(&three, &displays);
    assert_eq!(placement.mismatches, [""; 0]);
    assert_eq!(told(&three, &placement)[1], (1, 1, [0, 0], [1980, 0]));

    // A display for each panel is likelier than one for two.
    let displays = unplaced(&[[3840, 1080], [1920, 1080], [1920, 1080], [1280, 1080]]);
    assert_eq!(carried(&three, &displays), [["b"], ["c"], ["d"]]);
}

#[test]
fn columns_are_hidden_by_nobody_where_one_of_three_is_off() {
    let rig = rig(&row(&[1920, 1920, 1920]), &[60, 60]);
    let mut displays = [
        display("b", [1920, 0], [1920, 1080]),
        display("c", [3840, 0], [1920, 1080]),
    ];
    displays[1].is_primary = true;
    // The first panel is the facing one, so it is on the primary display unless
    // that leaves the other display unread.
    let placement = Placement::new(&rig, &displays);
    assert_eq!(carried(&rig, &displays), [vec!["b"], vec!["c"], vec![]]);
    let faults = Matching::new(&rig, &displays).faults().to_vec();
    assert_eq!(
        faults,
        [
            Fault::NothingHidden { seam: 0 },
            Fault::Missing { panel: 2 }
        ]
    );
    assert_eq!(placement.mismatches.len(), 2);
}

#[test]
fn a_mirror_is_no_idle_display() {
    let rig = rig(&row(&[1920]), &[]);
    let displays = [
        display("a", [0, 0], [1920, 1080]),
        display("twin", [0, 0], [1920, 1080]),
        display("other", [1920, 0], [1280, 720]),
    ];
    let placement = Placement::new(&rig, &displays);
    assert_eq!(placement.mismatches, [""; 0]);
    assert_eq!(placement.tiles.len(), 1);
    let claimed = [0, 1, 2].map(|display| placement.is_claimed(display));
    assert_eq!(claimed, [true, true, false]);
    assert_eq!(Matching::new(&rig, &displays).extra(), [2]);
}

#[test]
fn a_panel_on_anothers_display_is_told() {
    let rig = rig(&row(&[1920, 1920]), &[0]);
    let displays = [
        display("p2", [0, 0], [1920, 1080]),
        display("p1", [1920, 0], [1920, 1080]),
    ];
    let placement = Placement::new(&rig, &displays);
    // What counts is where they stand in the desktop.
    assert_eq!(carried(&rig, &displays), [["p2"], ["p1"]]);
    assert_eq!(
        placement.mismatches,
        [
            "panel \"p1\" (1920 × 1080 px) was expected at 0, 0 and is shown there, but display \
             \"p1\" (1920 × 1080 px at 1920, 0) bears its name",
            "panel \"p2\" (1920 × 1080 px) was expected at 1920, 0 and is shown there, but \
             display \"p2\" (1920 × 1080 px at 0, 0) bears its name",
        ]
    );
}

#[test]
fn panels_without_places_stand_in_a_row() {
    let rig = rig(&[([1920, 1080], None), ([1280, 720], None)], &[0]);
    let mut displays = [
        display("a", [0, 0], [1920, 1080]),
        display("b", [1920, 180], [1280, 720]),
    ];
    assert_eq!(Placement::new(&rig, &displays).mismatches, [""; 0]);
    displays[1].position_px = [1920, 0];
    let placement = Placement::new(&rig, &displays);
    assert_eq!(placement.tiles.len(), 2);
    assert_eq!(placement.mismatches.len(), 1);
    let text = &placement.mismatches[0];
    assert!(text.contains("don't stand in a row"), "{text}");
    assert!(text.contains("px) at 1920, 180; found"), "{text}");
}

#[test]
fn where_displays_are_scarce_the_facing_panel_gets_one() {
    let text = rig::write(&rig(&row(&[1920, 1280, 1024]), &[0, 0]));
    let facing = text.replace("\"p1/1\"", "\"p2/1\"");
    assert_ne!(facing, text);
    let rig = rig::read(&facing, "test", &[]).expect("a sound rig");
    let displays = [display("only", [0, 0], [800, 600])];
    assert_eq!(carried(&rig, &displays), [vec![], vec!["only"], vec![]]);
}

/// A panel that only happens to lie on a larger display is another's guest.
#[test]
fn a_display_of_a_panels_size_is_that_panels() {
    let mut panels = row(&[1920, 2560]);
    panels[1].0[1] = 1440;
    panels.push(([1024, 768], Some([4480, 0])));
    panels.push(([1280, 1024], Some([5504, 0])));
    let rig = rig(&panels, &[0, 0, 0]);
    // The first panel's display is off, and the second's stands in its place.
    let displays = [
        display("b", [0, 0], [2560, 1440]),
        display("c", [4480, 0], [1024, 768]),
        display("d", [5504, 0], [1280, 1024]),
    ];
    assert_eq!(
        carried(&rig, &displays),
        [vec![], vec!["b"], vec!["c"], vec!["d"]]
    );
}
