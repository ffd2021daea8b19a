//! The best numbers for a given window.

use throughline::fit::{Free, WindowFit};
use throughline::rig;

/// A demo with displays' places and a window.
fn demo(name: &str, tops: &[(usize, [i32; 2])], px: [i32; 4], columns: &[u32]) -> rig::Rig {
    let demo = rig::demos().iter().find(|demo| demo.name == name).unwrap();
    let mut settings = vec![
        ("window.px".to_owned(), format!("{px:?}")),
        ("window.columns".to_owned(), format!("{columns:?}")),
    ];
    for (panel, place) in tops {
        settings.push((format!("panel.{panel}.desktop_px"), format!("{place:?}")));
    }
    rig::read(demo.text, demo.name, &settings).unwrap()
}

/// Values of a study with scipy: angle, distance and turn free, the bezel held.
#[test]
fn windows_that_were_studied_have_the_errors_found_there() {
    let ferry = demo(
        "ferry-bridge",
        &[(1, [-1200, -256]), (3, [3440, -256])],
        [-1147, 0, 5733, 1224],
        &[1, 3, 1],
    );
    let tram = demo("tram-cab", &[], [-1920, 0, 5760, 643], &[1, 1, 1]);
    for (rig, rms_deg, angle_deg, distance_mm) in
        [(ferry, 0.612, 32.65, 725.6), (tram, 0.0184, 47.13, 618.8)]
    {
        let fit = WindowFit::of(&rig, Free::default()).expect("it has a window");
        let found = fit.figures.rms_rad.to_degrees();
        assert!((found - rms_deg).abs() < 0.002, "{}: {fit:?}", rig.name());
        let flat = fit.model.flat;
        assert!(
            (flat.angle_rad.to_degrees() - angle_deg).abs() < 0.05,
            "{fit:?}"
        );
        assert!((flat.distance_mm - distance_mm).abs() < 1.0, "{fit:?}");
    }
}
