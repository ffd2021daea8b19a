//! The README's table of which error makes which break, computed anew.

use glam::DVec3;
use throughline::geometry::{EyePlane, LineBreak, azimuth, elevation, line_break};
use throughline::nudging::{FIRST, TELLS};
use throughline::rig::{demos, read};

/// What is wrong at the rig, and the setting that makes the demo's right panel
/// or seat stand so.
const ERRORS: [(&str, &str, &str); 9] = [
    ("gap 5 mm wider", "seam.2.gap_mm", "6"),
    ("fold 2° more", "seam.2.angle_deg", "49.3"),
    ("right panel 5 mm higher (rise)", "seam.2.rise_mm", "5"),
    ("right panel rolled 1°", "panel.3.roll_deg", "1"),
    ("right panel tilted 2°", "panel.3.tilt_deg", "2"),
    ("right panel 10 mm nearer (step)", "seam.2.step_mm", "10"),
    ("eye 60 mm nearer", "seat.distance_mm", "560"),
    ("eye 50 mm higher", "seat.height_mm", "110"),
    ("eye 50 mm to the right", "seat.offset_mm", "50"),
];

fn cell(seen: LineBreak) -> String {
    let minutes = seen.break_rad.to_degrees() * 60.0;
    let kink = seen.kink_rad.to_degrees();
    let offset = match minutes {
        m if m.abs() < 0.5 => "meets".to_owned(),
        m if m > 0.0 => format!("up {m:.0}′"),
        m => format!("down {:.0}′", -m),
    };
    match kink {
        k if k.abs() < 0.05 => offset,
        k if k > 0.0 => format!("{offset}, bends up {k:.1}°"),
        k => format!("{offset}, bends down {:.1}°", -k),
    }
}

fn table() -> String {
    let text = demos()[1].text;
    let drawn = read(text, "tram-cab", &[]).expect("sound").layout().clone();
    let [left, right] = drawn.seam(1);
    let between = (left.point_px(left.pixels[0], 540.0) + right.point_px(0.0, 540.0)) / 2.0;
    let middle = azimuth(between);
    let at = |py: f64| elevation(left.point_px(left.pixels[0], py));
    let lines = [
        EyePlane::HORIZON,
        EyePlane::at_slope(middle, at(60.0), 0.0),
        EyePlane::at_slope(middle, at(1020.0), 0.0),
        EyePlane::at_slope(middle, at(540.0), 0.6),
        EyePlane::at_slope(middle, at(540.0), -0.6),
    ];
    let mut rows = vec![
        "| error | horizon | level line near the top | near the bottom | rising line | falling line |".to_owned(),
        "| --- | --- | --- | --- | --- | --- |".to_owned(),
    ];
    for (name, path, value) in ERRORS {
        let settings = [(path.to_owned(), value.to_owned())];
        let built = read(text, "tram-cab", &settings)
            .expect("sound")
            .layout()
            .clone();
        let cells = lines.map(|plane| {
            cell(line_break(&drawn, &built, 1, plane, DVec3::ZERO).expect("reaches both edges"))
        });
        rows.push(format!("| {name} | {} |", cells.join(" | ")));
    }
    rows.join("\n")
}

#[test]
fn the_readmes_table_of_breaks_is_what_the_geometry_says() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/README.md");
    let readme = std::fs::read_to_string(path).expect("there is a README");
    let (begin, end) = ("<!-- breaks: computed -->\n", "\n<!-- breaks: end -->");
    let from = readme.find(begin).expect("the table has a beginning") + begin.len();
    let to = readme.find(end).expect("the table has an end");
    if std::env::var_os("UPDATE_EXPECTED").is_some() {
        let renewed = format!("{}{}{}", &readme[..from], table(), &readme[to..]);
        std::fs::write(path, renewed).expect("the README can be written");
    } else {
        assert_eq!(
            readme[from..to],
            table(),
            "run with UPDATE_EXPECTED=1 to renew it"
        );
    }
}

/// A rise of h at the distance d is atan(h/d): elementary geometry.
#[test]
fn a_rise_breaks_the_horizon_by_its_angle() {
    let text = demos()[1].text;
    let drawn = read(text, "tram-cab", &[]).expect("sound").layout().clone();
    let settings = [("seam.2.rise_mm".to_owned(), "5".to_owned())];
    let built = read(text, "tram-cab", &settings)
        .expect("sound")
        .layout()
        .clone();
    let seen = line_break(&drawn, &built, 1, EyePlane::HORIZON, DVec3::ZERO).expect("reaches");
    let edge = built.seam(1)[1].point_px(0.0, 0.0);
    let distance = edge.x.hypot(edge.z);
    assert!((seen.break_rad - (5.0 / distance).atan()).abs() < 1e-12);
    // On a plane d₀ away its elevation is atan(h·cos ψ/d₀), ψ from the foot of
    // the eye, so it rises by h·sin ψ/d₀ a radian towards the foot.
    let foot = built.seam(1)[1].facing_mm();
    let towards_foot = (1.0 - (foot / distance).powi(2)).sqrt();
    assert!(
        (seen.kink_rad - 5.0 * towards_foot / foot).abs() < 1e-5,
        "{}",
        seen.kink_rad
    );
    assert!((seen.break_px - 5.0 / built.seam(1)[1].pitch_mm()[1]).abs() < 1e-6);
}

/// One table of errors, on the glass and in README; `tests/error_words.rs` tries it.
#[test]
fn the_readme_tells_errors_apart_as_the_glass_does() {
    let readme = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/README.md"))
        .expect("there is a README");
    assert!(readme.contains(FIRST));
    for (error, makes) in TELLS {
        let line = format!("\n- **{error}:** {makes}.\n");
        assert!(readme.contains(&line), "{line}");
    }
}
