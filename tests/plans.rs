//! The plan: nothing on it overlaps, and it comes out in its real size.

mod commands;

use throughline::plan::{self, Drawing, Label, PAPER_MM, PaperRect, Stroke};
use throughline::rig::{self, Rig};
use throughline::sheet::Units;

fn demo_rigs() -> Vec<Rig> {
    rig::demos()
        .iter()
        .map(|demo| rig::read(demo.text, demo.name, &[]).unwrap())
        .collect()
}

/// Invented rigs of one to six panels: wide and narrow, near and far, level and
/// not, flat and curved, with long names.
fn invented_rigs() -> Vec<Rig> {
    let mut rigs = Vec::new();
    for count in 1..=6_u32 {
        for (kind, [distance, width]) in [[420.0, 300.0], [800.0, 700.0], [3000.0, 1900.0]]
            .into_iter()
            .enumerate()
        {
            let mut text = format!(
                "format = 1\nname = \"Invented {count} {kind}\"\n[seat]\nview = \"p{}/1\"\n\
                 distance_mm = {distance}\nheight_mm = {}\noffset_mm = {}\n",
                count / 2,
                30 * kind,
                10 * count,
            );
            for panel in 0..count {
                let long = if kind == 1 {
                    " of the signal tower"
                } else {
                    ""
                };
                let name = if panel == count / 2 {
                    format!("p{panel}")
                } else {
                    format!("p{panel}{long}")
                };
                let height = width * [0.5625, 1.4][(panel as usize + kind) % 2];
                text += &format!(
                    "[[panel]]\nname = \"{name}\"\npixels = [1000, 600]\n\
                     size_mm = [{width:?}, {height:?}]\ntilt_deg = {}\nviews = {}\n\
                     bezel_mm = {{ left = 9.5, right = 12.0, top = 8, bottom = 21 }}\n",
                    2 * panel,
                    1 + panel % 2,
                );
                if panel % 3 == 1 {
                    text += &format!("curve_radius_mm = {:?}\n", 1.6 * distance);
                }
            }
            // Square to the eye, or nearly.
            let angle = 2.0 * f64::to_degrees(f64::atan2(width / 2.0 + 12.0, distance));
            for seam in 1..count {
                text += &format!(
                    "[[seam]]\nfold_deg = {:?}\ngap_mm = {seam}.0\nrise_mm = {}\n",
                    (angle * 0.9).min(300.0 / f64::from(count)),
                    5 * seam,
                );
            }
            rigs.push(rig::read(&text, "invented", &[]).unwrap_or_else(|e| panic!("{e}\n{text}")));
        }
    }
    rigs
}

fn overlapping(labels: &[Label]) -> Option<[&Label; 2]> {
    (1..labels.len()).find_map(|later| {
        let earlier = labels[..later]
            .iter()
            .find(|label| label.rect.overlaps(&labels[later].rect))?;
        Some([earlier, &labels[later]])
    })
}

fn paper() -> PaperRect {
    PaperRect {
        min: glam::DVec2::splat(5.0),
        max: glam::DVec2::from(PAPER_MM) - 5.0,
    }
}

fn check(rig: &Rig, drawing: &Drawing) {
    let name = rig.name();
    assert_eq!(overlapping(&drawing.labels), None, "{name}");
    for label in &drawing.labels {
        assert!(paper().holds(&label.rect), "{name}: {label:?}");
    }
    for path in &drawing.paths {
        for point in &path.points {
            let spot = PaperRect {
                min: *point,
                max: *point,
            };
            assert!(paper().holds(&spot), "{name}: {path:?}");
        }
    }
}

#[test]
fn nothing_overlaps_or_leaves_the_paper() {
    for rig in demo_rigs() {
        let drawing = plan::draw(&rig, Units::Millimetres);
        check(&rig, &drawing);
        assert_eq!(drawing.left_out, 0, "{}", rig.name());
    }
    let rigs = invented_rigs();
    assert_eq!(rigs.len(), 18);
    for rig in &rigs {
        for units in [Units::Millimetres, Units::Inches] {
            let drawing = plan::draw(rig, units);
            check(rig, &drawing);
            assert_eq!(drawing.left_out, 0, "{}", rig.name());
        }
    }
}

#[test]
fn labels_that_overlap_are_noticed() {
    let mut drawing = plan::draw(&demo_rigs()[0], Units::Millimetres);
    let mut twin = drawing.labels[4].clone();
    twin.rect.min += 0.5;
    twin.rect.max += 0.5;
    drawing.labels.push(twin);
    assert!(overlapping(&drawing.labels).is_some());
}

/// By hand: the facing panel of the tram cab is 526.9 mm wide and 620 mm ahead.
#[test]
fn lengths_on_the_paper_are_to_scale() {
    let rig = &demo_rigs()[1];
    let drawing = plan::draw(rig, Units::Millimetres);
    let labels = drawing.labels.iter().flat_map(|label| &label.lines);
    let scale = labels.clone().find(|line| line.starts_with("Scale 1:"));
    assert!(scale.unwrap().starts_with("Scale 1:10 on A4"), "{scale:?}");
    let lit: Vec<f64> = (drawing.paths.iter())
        .filter(|path| path.stroke == Stroke::Lit && path.points.len() == 2)
        .map(|path| path.points[0].distance(path.points[1]))
        .collect();
    let width_mm = rig.panels()[1].size_mm()[0];
    assert!(
        lit.iter()
            .any(|found| (found - width_mm / 10.0).abs() < 1e-9),
        "{lit:?}"
    );
    assert!(labels.clone().any(|line| line == "620.0"));
    assert!(
        labels
            .clone()
            .any(|line| line.starts_with("500 mm. Print at 100 %: the bar is then 50.0 mm"))
    );
}

#[test]
fn svg_is_in_millimetres_and_escapes_names() {
    let text = rig::demos()[1]
        .text
        .replace("Tram cab", "Tram <cab> & \\\"co\\\"");
    let rig = rig::read(&text, "tram", &[]).unwrap();
    let drawing = plan::draw(&rig, Units::Millimetres);
    let svg = plan::svg(&drawing, rig.name());
    assert!(svg.contains("width=\"297mm\" height=\"210mm\" viewBox=\"0 0 297 210\""));
    assert!(svg.contains("<title>Tram &lt;cab&gt; &amp; &quot;co&quot;</title>"));
    let picture = plan::picture(&drawing, 25.4).unwrap();
    assert_eq!(picture.size_px(), [297, 210]);
    assert!(plan::picture(&drawing, 0.01).is_err());
}

/// The picture has text where labels are, so the face was found, and paper elsewhere.
#[test]
fn the_picture_shows_the_labels() {
    let drawing = plan::draw(&demo_rigs()[1], Units::Millimetres);
    let picture = plan::picture(&drawing, 25.4 * 4.0).unwrap();
    let darkest = |rect: &PaperRect| {
        let [x0, y0, x1, y1] =
            [rect.min.x, rect.min.y, rect.max.x, rect.max.y].map(|mm| (mm * 4.0) as usize);
        (y0..y1)
            .flat_map(|y| (x0..x1).map(move |x| (x, y)))
            .map(|(x, y)| picture.bytes()[y * picture.stride() + x * 4])
            .min()
            .unwrap()
    };
    for label in &drawing.labels {
        assert!(darkest(&label.rect) < 100, "{label:?}");
    }
    let corner = PaperRect {
        min: [1.0, 1.0].into(),
        max: [9.0, 9.0].into(),
    };
    assert_eq!(darkest(&corner), 255);
}

#[test]
fn the_png_says_its_size() {
    let file = std::env::temp_dir().join(format!("plan-{}.png", std::process::id()));
    let output = commands::program()
        .args(["sheet", "tram-cab", "--plan"])
        .arg(&file)
        .output()
        .unwrap();
    assert!(output.status.success(), "{output:?}");
    let bytes = std::io::BufReader::new(std::fs::File::open(&file).unwrap());
    let reader = png::Decoder::new(bytes).read_info().unwrap();
    let info = reader.info();
    // 297 and 210 mm at 300 pixels to the inch, which are 11811 to the metre.
    assert_eq!((info.width, info.height), (3508, 2480));
    assert_eq!(info.pixel_dims.unwrap().xppu, 11811);
    std::fs::remove_file(&file).unwrap();
}
