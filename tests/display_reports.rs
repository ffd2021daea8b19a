//! What is said of each display beside the patches that show a scaler.

use throughline::display::Display;
use throughline::matching::Matching;
use throughline::rig;

fn display(name: &str, x: i32, size_px: [u32; 2]) -> Display {
    Display {
        name: name.to_owned(),
        position_px: [x, 0],
        size_px,
        mode_px: None,
        scale: 1.0,
        refresh_hz: None,
        size_mm: None,
        is_primary: false,
        features: Default::default(),
    }
}

#[test]
fn each_display_is_reported_and_judged() {
    let panel = |name: &str, pixels: &str| {
        format!("[[panel]]\nname = \"{name}\"\npixels = {pixels}\ndiagonal_in = 24.0\n")
    };
    let text = format!(
        "format = 1\nname = \"test\"\n[seat]\nview = \"l\"\ndistance_mm = 3000.0\n{}{}{}\
         [[seam]]\nangle_deg = 10.0\n[[seam]]\nangle_deg = 10.0\n",
        panel("l", "[1920, 1080]"),
        panel("m", "[2560, 1440]"),
        panel("r", "[1920, 1080]"),
    );
    let rig = rig::read(&text, "test", &[]).expect("a sound rig");
    let mut displays = [
        display("a", 0, [1920, 1080]),
        display("b", 1920, [2560, 1440]),
        display("c", 4480, [1680, 1050]),
    ];
    displays[0].mode_px = Some([1920, 1080]);
    displays[1].mode_px = Some([1920, 1080]);
    let matching = Matching::new(&rig, &displays);
    let reports = matching.reports(&displays, &[Some([1920, 1080]), None, Some([1600, 900])]);
    assert_eq!(
        reports,
        [
            "a: mode 1920 x 1080, shows 1920 x 1080, scale 1, window pixel for pixel: as the rig says",
            "b: mode 1920 x 1080, shows 2560 x 1440, scale 1: NOT pixel for pixel",
            "c: shows 1680 x 1050, scale 1, window 1600 x 900, so NOT pixel for pixel: NOT as the rig says",
        ]
    );
}
