//! What holds for every text and for every rig.

use proptest::prelude::*;
use throughline::rig::{
    self, Bezel, Panel, Parts, Rig, Seam, Seat, Size, Subject, Table, Turn, ViewId,
};

/// What must hold whether or not the text is a rig.
fn check_reading(text: &str, settings: &[(String, String)]) -> Result<(), TestCaseError> {
    match rig::read(text, "rig.toml", settings) {
        Ok(rig) => {
            let written = rig::write(&rig);
            let again = rig::read(&written, "written.toml", &[]);
            prop_assert_eq!(again.as_ref(), Ok(&rig), "{}", written);
        }
        Err(error) => {
            let message = error.to_string();
            prop_assert_eq!(message.lines().count(), 1, "{}", message);
            prop_assert!(!message.contains('\r'), "{}", message);
            // A clipped echo of the text, not the text itself.
            prop_assert!(message.chars().count() < 1500, "{}", message);
        }
    }
    Ok(())
}

/// The demo rigs and the pieces of which rig files are made.
fn piece() -> impl Strategy<Value = String> {
    const PIECES: &[&str] = &[
        "[seat]\n",
        "[[panel]]\n",
        "[[seam]]\n",
        "[panel]\n",
        "format = 1\n",
        "name = ",
        "view = ",
        "\"wide/1\"",
        "distance_mm = ",
        "pixels = ",
        "[1920, 1080]\n",
        "size_mm = ",
        "nan",
        "-inf",
        "1e999",
        "0x10",
        "1_000\n",
        "\"\\u00e9\"\n",
        "bezel_mm = { left = 7 }\n",
        "bezel_mm.top = ",
        "desktop_px = [-1, 2]\n",
        "angle_deg = ",
        "fold_deg = ",
        "hidden_px = ",
        "'''",
        "\"\"\"",
        "{",
        "}",
        "[",
        "]",
        "=",
        ".",
        ",",
        "#",
        "\n",
        "\r\n",
        "\u{feff}",
        "1979-05-27",
        "true\n",
        "views = 2\n",
        "curve_radius_mm = 1800\n",
    ];
    prop_oneof![
        4 => proptest::sample::select(PIECES).prop_map(str::to_owned),
        1 => any::<i64>().prop_map(|n| format!("{n}\n")),
        1 => any::<f64>().prop_map(|n| format!("{n:?}\n")),
        1 => "\\PC{0,12}",
    ]
}

/// A demo rig with some stretches replaced.
fn mutated() -> impl Strategy<Value = String> {
    let edit = (any::<prop::sample::Index>(), 0usize..40, piece());
    let edits = proptest::collection::vec(edit, 1..6);
    (proptest::sample::select(rig::demos()), edits).prop_map(|(demo, edits)| {
        let mut chars: Vec<char> = demo.text.chars().collect();
        for (at, length, piece) in edits {
            let start = at.index(chars.len() + 1);
            let end = (start + length).min(chars.len());
            chars.splice(start..end, piece.chars());
        }
        chars.into_iter().collect()
    })
}

/// A demo rig with one whole line's value replaced: it often stays a rig.
fn other_value() -> impl Strategy<Value = String> {
    let value = prop_oneof![
        (-200i32..2000).prop_map(|n| n.to_string()),
        (-200.0..2000.0).prop_map(|n: f64| format!("{n:?}")),
        (1u32..4000, 1u32..3000).prop_map(|(w, h)| format!("[{w}, {h}]")),
    ];
    (
        proptest::sample::select(rig::demos()),
        any::<prop::sample::Index>(),
        value,
    )
        .prop_map(|(demo, at, value)| {
            let lines: Vec<_> = demo.text.lines().collect();
            let keyed: Vec<_> = (0..lines.len())
                .filter(|i| lines[*i].contains(" = "))
                .collect();
            let chosen = keyed[at.index(keyed.len())];
            let (key, _) = lines[chosen].split_once(" = ").unwrap();
            let changed = format!("{key} = {value}");
            let mut lines = lines;
            lines[chosen] = &changed;
            lines.join("\n")
        })
}

fn setting() -> impl Strategy<Value = (String, String)> {
    let path = prop_oneof![
        Just("seat.distance_mm".to_owned()),
        Just("panel.1.tilt_deg".to_owned()),
        Just("panel.2.bezel_mm.left".to_owned()),
        Just("seam.1.angle_deg".to_owned()),
        Just("panel.1.size_mm".to_owned()),
        "(panel|seam|seat)\\.[a-z0-9.]{0,12}",
        "\\PC{0,20}",
    ];
    let value = prop_oneof![(-300.0..300.0).prop_map(|n: f64| n.to_string()), piece()];
    (path, value)
}

/// Mostly any number in the range, sometimes an end of it or a small one.
fn number(min: f64, max: f64) -> impl Strategy<Value = f64> {
    let zero = 0.0f64.clamp(min, max);
    prop_oneof![4 => min..=max, 1 => Just(min), 1 => Just(max), 2 => Just(zero)]
}

prop_compose! {
    fn panel()(
        name in "[^\\pC]{1,20}",
        pixels in [1u32..=400, 1u32..=400],
        size in prop_oneof![
            number(0.1, 1000.0).prop_map(Size::DiagonalIn),
            [number(1.0, 30_000.0), number(1.0, 30_000.0)].prop_map(Size::LitMm),
        ],
        curve in proptest::option::of(1.0..10.0f64),
        views in 1u32..=64,
        refresh_hz in proptest::option::of(number(1.0, 1000.0)),
        scale in number(0.25, 8.0),
        bezel in [number(0.0, 1000.0), number(0.0, 1000.0), number(0.0, 1000.0), number(0.0, 1000.0)],
        tilt_deg in number(-89.0, 89.0),
        roll_deg in number(-180.0, 180.0),
    ) -> Panel {
        let [left, right, top, bottom] = bezel;
        let mut panel = Panel {
            name, pixels, size, curve_radius_mm: None, views: views.min(pixels[0]), refresh_hz, scale,
            bezel_mm: Bezel { left, right, top, bottom }, desktop_px: None, tilt_deg, roll_deg,
        };
        panel.curve_radius_mm = curve.map(|c| c * panel.size_mm()[0] / 2.0);
        panel
    }
}

prop_compose! {
    fn seam()(
        turn in prop_oneof![
            number(-60.0, 60.0).prop_map(Turn::AngleDeg),
            number(-179.9, 179.9).prop_map(Turn::FoldDeg),
        ],
        gap_mm in number(-1000.0, 10_000.0),
        step_mm in number(-10_000.0, 10_000.0),
        rise_mm in number(-10_000.0, 10_000.0),
        hidden_px in 0u32..200,
    ) -> Seam {
        Seam { turn, gap_mm, step_mm, rise_mm, hidden_px }
    }
}

prop_compose! {
    /// Parts in which every value is in its range, and names are unique.
    fn parts()(
        name in "[^\\pC]{1,40}",
        mut panels in proptest::collection::vec(panel(), 1..6),
        seams in proptest::collection::vec(seam(), 5),
        placed in any::<bool>(),
        facing in any::<prop::sample::Index>(),
        view in any::<prop::sample::Index>(),
        distance_mm in number(1.0, 100_000.0),
        height_mm in number(-100_000.0, 100_000.0),
        offset_mm in number(-100_000.0, 100_000.0),
        corner in [-20_000i32..20_000, -20_000i32..20_000],
    ) -> Parts {
        for (index, panel) in panels.iter_mut().enumerate() {
            panel.name = format!("{index}{}", panel.name);
            if placed {
                panel.desktop_px = Some([corner[0] + 500 * i32::try_from(index).expect("few panels"), corner[1]]);
            }
        }
        let seams = seams[..panels.len() - 1].to_vec();
        let facing = facing.index(panels.len());
        let view = view.index(panels[facing].views as usize) as u32;
        Parts {
            window: None,
            name: format!("{name}."),
            seat: Seat { view: ViewId { panel: facing, view }, distance_mm, height_mm, offset_mm },
            panels,
            seams,
        }
    }
}

/// The same parts, small and far away, so that every panel faces the eye.
fn facing_parts() -> impl Strategy<Value = Parts> {
    let turns = proptest::collection::vec((any::<bool>(), 0.0..12.0f64), 5);
    let seat = (3000.0..100_000.0f64, -0.1..0.1f64, -0.1..0.1f64);
    (parts(), turns, seat).prop_map(|(mut parts, turns, (distance_mm, height, offset))| {
        for panel in &mut parts.panels {
            match &mut panel.size {
                Size::DiagonalIn(diagonal) => *diagonal = diagonal.min(12.0),
                Size::LitMm(size) => *size = size.map(|side| side.min(300.0)),
            }
            let least = 2.0 * panel.size_mm()[0];
            panel.curve_radius_mm = panel.curve_radius_mm.map(|radius| radius.max(least));
            panel.bezel_mm.left = panel.bezel_mm.left.min(30.0);
            panel.bezel_mm.right = panel.bezel_mm.right.min(30.0);
            panel.tilt_deg = panel.tilt_deg.clamp(-10.0, 10.0);
        }
        for (seam, (fold, turn_deg)) in parts.seams.iter_mut().zip(turns) {
            seam.turn = match fold {
                true => Turn::FoldDeg(turn_deg),
                false => Turn::AngleDeg(turn_deg),
            };
            seam.gap_mm = seam.gap_mm.clamp(0.0, 100.0);
            seam.step_mm = seam.step_mm.clamp(-50.0, 50.0);
            seam.rise_mm = seam.rise_mm.clamp(-50.0, 50.0);
        }
        parts.seat.distance_mm = distance_mm;
        parts.seat.height_mm = height * distance_mm;
        parts.seat.offset_mm = offset * distance_mm;
        parts
    })
}

/// Breaks one value and says which.
fn broken(parts: &mut Parts, which: usize, bad: f64) -> Subject {
    match which {
        0 => {
            parts.seat.distance_mm = bad;
            Subject::seat("distance_mm")
        }
        1 => {
            parts.seat.offset_mm = bad;
            Subject::seat("offset_mm")
        }
        2 => {
            parts.panels[0].tilt_deg = bad;
            Subject::panel(0, "tilt_deg")
        }
        3 => {
            parts.panels[0].scale = bad;
            Subject::panel(0, "scale")
        }
        4 => {
            parts.panels[0].bezel_mm.bottom = bad;
            Subject::panel(0, "bezel_mm.bottom")
        }
        5 => {
            parts.panels[0].size = Size::LitMm([100.0, bad]);
            Subject::panel(0, "size_mm")
        }
        6 => {
            parts.panels[0].curve_radius_mm = Some(bad);
            Subject::panel(0, "curve_radius_mm")
        }
        _ => {
            parts.panels.push(parts.panels[0].clone());
            let last = parts.panels.len() - 1;
            parts.panels[last].name.push('+');
            Subject::whole(Table::Panel(last))
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes_are_read_or_refused(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        check_reading(&String::from_utf8_lossy(&bytes), &[])?;
    }

    #[test]
    fn any_pieces_are_read_or_refused(pieces in proptest::collection::vec(piece(), 0..40)) {
        check_reading(&pieces.concat(), &[])?;
        check_reading(&format!("format = 1\nname = \"x\"\n{}", pieces.concat()), &[])?;
    }

    #[test]
    fn mutated_rigs_are_read_or_refused(text in mutated()) {
        check_reading(&text, &[])?;
    }

    #[test]
    fn rigs_with_other_values_are_read_or_refused(text in other_value()) {
        check_reading(&text, &[])?;
    }

    #[test]
    fn any_settings_are_taken_or_refused(
        demo in proptest::sample::select(rig::demos()),
        settings in proptest::collection::vec(setting(), 1..4),
    ) {
        check_reading(demo.text, &settings)?;
    }

    #[test]
    fn sound_parts_make_a_rig_that_survives_writing(parts in facing_parts()) {
        let rig = match Rig::new(parts.clone()) {
            Ok(rig) => rig,
            Err(flaw) => {
                // Only what no single value tells: that a panel faces away.
                prop_assert!(flaw.text.contains("the eye"), "{}", flaw);
                return Err(TestCaseError::reject("a panel faces away from the eye"));
            }
        };
        let text = rig::write(&rig);
        let again = rig::read(&text, "written.toml", &[]);
        prop_assert_eq!(again.as_ref(), Ok(&rig), "{}", text);
        prop_assert_eq!(rig.into_parts(), parts);
    }

    #[test]
    fn one_bad_value_is_found_where_it_is(
        mut parts in parts(),
        which in 0usize..8,
        bad in prop_oneof![Just(f64::NAN), Just(f64::INFINITY), Just(-1e9), Just(1e9)],
    ) {
        let subject = broken(&mut parts, which, bad);
        let flaw = Rig::new(parts).unwrap_err();
        prop_assert_eq!(flaw.subject, subject, "{}", flaw.text);
    }

    #[test]
    fn fold_and_angle_differ_by_the_curves(parts in parts()) {
        for seam in 0..parts.seams.len() {
            // A half view's arc over its radius, on both sides.
            let bend = |panel: &Panel| panel.curve_radius_mm.map_or(0.0, |radius| {
                panel.size_mm()[0] / f64::from(panel.views) / 2.0 / radius
            });
            let bends = bend(&parts.panels[seam]) + bend(&parts.panels[seam + 1]);
            let error = parts.angle_rad(seam) - parts.fold_rad(seam) - bends;
            prop_assert!(error.abs() < 1e-12, "{}", error);
        }
    }
}

#[test]
fn a_flaw_names_its_subject_as_settings_do() {
    let shown = |subject: Subject| subject.to_string();
    assert_eq!(shown(Subject::panel(1, "tilt_deg")), "panel.2.tilt_deg");
    assert_eq!(
        shown(Subject::panel(0, "bezel_mm.left")),
        "panel.1.bezel_mm.left"
    );
    assert_eq!(shown(Subject::seam(0, "gap_mm")), "seam.1.gap_mm");
    assert_eq!(shown(Subject::seat("view")), "seat.view");
    assert_eq!(shown(Subject::rig("name")), "name");
    assert_eq!(shown(Subject::whole(Table::Rig)), "rig");
    assert_eq!(shown(Subject::whole(Table::Seat)), "seat");
    assert_eq!(shown(Subject::whole(Table::Seam(2))), "seam.3");
}
