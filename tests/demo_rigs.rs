//! The demo rigs are sound, and their turns are those that square panels need.

use throughline::rig::{self, Rig};

fn demo(name: &str) -> Rig {
    let demo = rig::demos().iter().find(|demo| demo.name == name).unwrap();
    rig::read(demo.text, name, &[]).unwrap_or_else(|error| panic!("{error}"))
}

#[test]
fn every_demo_reads_and_survives_writing() {
    for demo in rig::demos() {
        let rig = rig::read(demo.text, demo.name, &[]).unwrap_or_else(|error| panic!("{error}"));
        let text = rig::write(&rig);
        assert_eq!(
            rig::read(&text, demo.name, &[]).as_ref(),
            Ok(&rig),
            "{text}"
        );
    }
}

#[test]
fn every_file_in_the_folder_is_a_demo() {
    let mut files: Vec<_> = std::fs::read_dir("rigs")
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "toml"))
        .map(|path| path.file_stem().unwrap().to_str().unwrap().to_owned())
        .collect();
    let mut names: Vec<_> = rig::demos()
        .iter()
        .map(|demo| demo.name.to_owned())
        .collect();
    files.sort();
    names.sort();
    assert_eq!(files, names);
}

/// Common practice: equal flat panels are square to the eye at
/// 2 atan(half the case-to-case pitch / distance).
#[test]
fn equal_flat_panels_stand_square_to_the_eye() {
    for name in ["tram-cab", "night-train"] {
        let rig = demo(name);
        for (index, seam) in rig.seams().iter().enumerate() {
            let panel = &rig.panels()[index];
            let half = panel.size_mm()[0] / 2.0 + panel.bezel_mm.right + seam.gap_mm / 2.0;
            let square = 2.0 * (half / rig.seat().distance_mm).atan();
            let off_deg = (rig.parts().angle_rad(index) - square).to_degrees();
            assert!(off_deg.abs() < 0.2, "{name} seam {index}: {off_deg}");
        }
    }
}

#[test]
fn hidden_columns_match_the_dark_gap() {
    let rig = demo("night-train");
    for (index, seam) in rig.seams().iter().enumerate() {
        let [left, right] = [&rig.panels()[index], &rig.panels()[index + 1]];
        let dark_mm = left.bezel_mm.right + seam.gap_mm + right.bezel_mm.left;
        let dark_px = dark_mm / right.pitch_mm()[0];
        assert!(
            (f64::from(seam.hidden_px) - dark_px).abs() < 0.5,
            "{dark_px}"
        );
    }
}
