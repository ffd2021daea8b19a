//! Invented rigs of any size for the benches.

use throughline::rig::{Rig, read};

/// `panels` flat panels side by side, each of `pixels`, on an arc about the eye.
pub fn row_of(panels: usize, pixels: [u32; 2]) -> String {
    let middle = panels.div_ceil(2);
    let [w, h] = pixels.map(f64::from);
    let half_mm = 27.0 * 25.4 * w / w.hypot(h) / 2.0 + 8.75;
    let angle = 45.0_f64.min(160.0 / panels as f64);
    let distance = half_mm / (angle / 2.0).to_radians().tan();
    let mut text = format!(
        "format = 1\nname = \"row\"\n[seat]\nview = \"p{middle}/1\"\ndistance_mm = {distance}\nheight_mm = 20\n"
    );
    for panel in 1..=panels {
        text += &format!(
            "[[panel]]\nname = \"p{panel}\"\npixels = {pixels:?}\ndiagonal_in = 27\n\
             bezel_mm = {{ left = 8, right = 8 }}\n"
        );
    }
    for _ in 1..panels {
        text += &format!("[[seam]]\nangle_deg = {angle}\ngap_mm = 1.5\n");
    }
    text
}

/// The rig of a text, with settings.
pub fn rig(text: &str, settings: &[(&str, &str)]) -> Rig {
    let settings: Vec<(String, String)> = settings
        .iter()
        .map(|(path, value)| ((*path).to_owned(), (*value).to_owned()))
        .collect();
    read(text, "bench", &settings).expect("a sound rig")
}
