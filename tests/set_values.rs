//! The command line's settings: what they change, and what they complain of.

use throughline::rig::{self, Place, Rig, Size, Turn};

/// Two panels, one of them with a dot in its name, one called by a number.
const FILE: &str = r#"
format = 1
name = "Loft"

[seat]
view = "1/1"
distance_mm = 700

[[panel]]
name = "door"
pixels = [1920, 1080]
diagonal_in = 24
bezel_mm = { left = 7, right = 8 }

[[panel]]
name = "door.rear"
pixels = [1920, 1080]
diagonal_in = 24

[[panel]]
name = "1"
pixels = [1920, 1080]
size_mm = [531, 299]

[[seam]]
angle_deg = 40

[[seam]]
fold_deg = 41
"#;

fn read(settings: &[(&str, &str)]) -> Result<Rig, rig::ReadError> {
    let settings: Vec<_> = settings
        .iter()
        .map(|(path, value)| ((*path).to_owned(), (*value).to_owned()))
        .collect();
    rig::read(FILE, "loft.toml", &settings)
}

fn set(settings: &[(&str, &str)]) -> Rig {
    read(settings).unwrap_or_else(|error| panic!("{error}"))
}

fn message(settings: &[(&str, &str)]) -> String {
    read(settings).unwrap_err().to_string()
}

#[test]
fn values_are_replaced_and_added() {
    let rig = set(&[
        ("name", "Attic"),
        ("seat.distance_mm", "650.5"),
        ("seat.height_mm", "-20"),
        ("panel.door.pixels", "[2560, 1440]"),
        ("panel.door.bezel_mm.left", "9"),
        ("panel.3.curve_radius_mm", "1500"),
        ("seam.1.angle_deg", "44"),
        ("seam.2.hidden_px", "12"),
    ]);
    assert_eq!(rig.name(), "Attic");
    assert_eq!(rig.seat().distance_mm, 650.5);
    assert_eq!(rig.seat().height_mm, -20.0);
    assert_eq!(rig.panels()[0].pixels, [2560, 1440]);
    let bezel = rig.panels()[0].bezel_mm;
    assert_eq!([bezel.left, bezel.right, bezel.top], [9.0, 8.0, 0.0]);
    assert_eq!(rig.panels()[2].curve_radius_mm, Some(1500.0));
    assert_eq!(rig.seams()[0].turn, Turn::AngleDeg(44.0));
    assert_eq!(rig.seams()[1].hidden_px, 12);
}

#[test]
fn a_whole_bezel_replaces_all_its_sides() {
    let rig = set(&[("panel.door.bezel_mm", "{ top = 3 }")]);
    let bezel = rig.panels()[0].bezel_mm;
    assert_eq!([bezel.left, bezel.right, bezel.top], [0.0, 0.0, 3.0]);
    let rig = set(&[
        ("panel.door.bezel_mm", "{ top = 3 }"),
        ("panel.door.bezel_mm.top", "4"),
    ]);
    assert_eq!(rig.panels()[0].bezel_mm.top, 4.0);
}

#[test]
fn names_win_over_numbers_and_may_have_dots() {
    let rig = set(&[("panel.1.tilt_deg", "1"), ("panel.2.tilt_deg", "2")]);
    let tilts: Vec<_> = rig.panels().iter().map(|p| p.tilt_deg).collect();
    assert_eq!(tilts, [0.0, 2.0, 1.0]);
    let rig = set(&[
        ("panel.door.rear.tilt_deg", "3"),
        ("panel.door.tilt_deg", "4"),
    ]);
    let tilts: Vec<_> = rig.panels().iter().map(|p| p.tilt_deg).collect();
    assert_eq!(tilts, [4.0, 3.0, 0.0]);
}

#[test]
fn the_last_of_several_wins_and_names_change_at_once() {
    let rig = set(&[("seat.offset_mm", "1"), ("seat.offset_mm", "2")]);
    assert_eq!(rig.seat().offset_mm, 2.0);
    let rig = set(&[("panel.door.name", "left"), ("panel.left.roll_deg", "1")]);
    assert_eq!(rig.panels()[0].name, "left");
    assert_eq!(rig.panels()[0].roll_deg, 1.0);
}

#[test]
fn what_is_not_toml_is_a_string() {
    assert_eq!(set(&[("name", "my loft")]).name(), "my loft");
    assert_eq!(set(&[("name", "\"7\"")]).name(), "7");
    assert_eq!(
        message(&[("name", "7")]),
        "--set name=7: `name` must be a string, but is a whole number: put it in double quotes"
    );
    assert_eq!(
        message(&[("seat.distance_mm", "70cm")]),
        "--set seat.distance_mm=70cm: `distance_mm` must be a number, but is a string: \
         write the number alone, without quotes or unit"
    );
}

#[test]
fn a_setting_can_mend_a_broken_file() {
    let broken = FILE.replace("distance_mm = 700", "distance_mm = -1");
    assert!(rig::read(&broken, "loft.toml", &[]).is_err());
    let settings = [("seat.distance_mm".to_owned(), "700".to_owned())];
    let mended = rig::read(&broken, "loft.toml", &settings);
    assert_eq!(mended, rig::read(FILE, "loft.toml", &[]));

    let without_seat = FILE.replace("[seat]\nview = \"1/1\"\ndistance_mm = 700\n", "");
    let settings = [
        ("seat.view".to_owned(), "1/1".to_owned()),
        ("seat.distance_mm".to_owned(), "700".to_owned()),
    ];
    let mended = rig::read(&without_seat, "loft.toml", &settings);
    assert_eq!(mended, rig::read(FILE, "loft.toml", &[]));
}

#[test]
fn faults_of_set_values_name_the_setting() {
    assert_eq!(
        message(&[("panel.door.tilt_deg", "200")]),
        "--set panel.door.tilt_deg=200: `tilt_deg` is 200, but must lie between -89 and 89 degrees: \
         measure how far the panel's top leans away from you"
    );
    assert_eq!(
        message(&[("panel.door.pixels", "[0, 1.5]")]),
        "--set panel.door.pixels=[0, 1.5]: `pixels` must be a whole number, \
         but is a number with a fraction: write it without a decimal point"
    );
    assert_eq!(
        message(&[("panel.door.bezel_mm", "{ lef = 1 }")]),
        "--set panel.door.bezel_mm={ lef = 1 }: unknown key `bezel_mm.lef` in [[panel]]: \
         did you mean `bezel_mm.left`?"
    );
    assert_eq!(
        message(&[("seat.view", "dor/1")]),
        "--set seat.view=dor/1: `view` names a panel \"dor\", but there is none: \
         did you mean \"door\"?"
    );
    // A fault elsewhere keeps its place in the file.
    let broken = FILE.replace("fold_deg = 41", "fold_deg = 410");
    let settings = [("seat.distance_mm".to_owned(), "700".to_owned())];
    let error = rig::read(&broken, "loft.toml", &settings).unwrap_err();
    assert!(
        error.to_string().starts_with("loft.toml:29:12: "),
        "{error}"
    );
}

#[test]
fn of_an_exclusive_pair_the_one_in_the_file_is_to_be_set() {
    assert_eq!(
        message(&[("panel.door.size_mm", "[531, 299]")]),
        "--set panel.door.size_mm=[531, 299]: `diagonal_in` and `size_mm` exclude each other, \
         and the file has `diagonal_in`: set panel.door.diagonal_in instead"
    );
    assert_eq!(
        message(&[("panel.3.diagonal_in", "24")]),
        "--set panel.3.diagonal_in=24: `diagonal_in` and `size_mm` exclude each other, \
         and the file has `size_mm`: set panel.1.size_mm instead"
    );
    assert_eq!(
        message(&[("seam.2.angle_deg", "24")]),
        "--set seam.2.angle_deg=24: `angle_deg` and `fold_deg` exclude each other, \
         and the file has `fold_deg`: set seam.2.fold_deg instead"
    );
    assert_eq!(
        set(&[("seam.2.fold_deg", "24")]).seams()[1].turn,
        Turn::FoldDeg(24.0)
    );
    assert_eq!(
        set(&[("panel.door.diagonal_in", "27")]).panels()[0].size,
        Size::DiagonalIn(27.0)
    );
}

#[test]
fn two_settings_that_exclude_each_other_are_refused() {
    let neither = FILE.replace("fold_deg = 41", "gap_mm = 1");
    let settings = [
        ("seam.2.fold_deg".to_owned(), "4".to_owned()),
        ("seam.2.angle_deg".to_owned(), "5".to_owned()),
    ];
    assert_eq!(
        rig::read(&neither, "loft.toml", &settings)
            .unwrap_err()
            .to_string(),
        "--set seam.2.angle_deg=5: `angle_deg` and `fold_deg` exclude each other: \
         set only one of them"
    );
}

#[test]
fn unknown_paths_are_explained() {
    let cases = [
        ("nam", "there is no value \"nam\": did you mean name?"),
        (
            "format",
            "there is no value \"format\": use name, seat.KEY, panel.NAME.KEY, seam.NUMBER.KEY or window.KEY",
        ),
        (
            "",
            "there is no value \"\": use name, seat.KEY, panel.NAME.KEY, seam.NUMBER.KEY or window.KEY",
        ),
        (
            "distance_mm",
            "there is no value \"distance_mm\": did you mean seat.distance_mm?",
        ),
        (
            "seats.distance_mm",
            "there is no value \"seats.distance_mm\": did you mean seat.distance_mm?",
        ),
        (
            "seat.distance",
            "unknown key `distance` in [seat]: did you mean `distance_mm`?",
        ),
        (
            "panel.door.tilt",
            "unknown key `tilt` in [[panel]]: did you mean `tilt_deg`?",
        ),
        (
            "panel.door.angle_deg",
            "`angle_deg` does not belong in [[panel]]: move it to [[seam]]",
        ),
        (
            "panel.dor.tilt_deg",
            "there is no panel \"dor\": did you mean \"door\"?",
        ),
        (
            "panel.9.tilt_deg",
            "there is no panel \"9\": use its number from the left or a name such as \"door\", \"door.rear\", \"1\"",
        ),
        (
            "panel.0.tilt_deg",
            "there is no panel \"0\": use its number from the left or a name such as \"door\", \"door.rear\", \"1\"",
        ),
        (
            "panel",
            "a panel's value needs its name or number and a key: write it as panel.1.tilt_deg",
        ),
        (
            "panel.door",
            "a panel's value needs its name or number and a key: write it as panel.1.tilt_deg",
        ),
        (
            "seam.1",
            "a seam's value needs its number and a key: write it as seam.1.gap_mm",
        ),
        (
            "seam.3.gap_mm",
            "there is no seam \"3\", but 2 seams: count them from 1 at the left",
        ),
        (
            "seam.+1.gap_mm",
            "there is no seam \"+1\", but 2 seams: count them from 1 at the left",
        ),
        (
            "seam.1.gap",
            "unknown key `gap` in [[seam]]: did you mean `gap_mm`?",
        ),
    ];
    for (path, text) in cases {
        assert_eq!(message(&[(path, "1")]), format!("--set {path}=1: {text}"));
    }
}

#[test]
fn a_setting_is_quoted_on_one_short_line() {
    let long = "x\n".repeat(5000);
    let error = read(&[("seat.distance_mm", &long)]).unwrap_err();
    let message = error.to_string();
    assert_eq!(message.lines().count(), 1);
    assert!(message.chars().count() < 400, "{message}");
    let Place::Setting { path, value, .. } = error.place() else {
        panic!("{error} names no setting");
    };
    assert_eq!((&**path, &**value), ("seat.distance_mm", &*long));
}

#[test]
fn deep_values_are_no_tree() {
    let path = ["a"; 79].join(".");
    let deep = format!("{}1{}", format!("{{ {path} = ").repeat(60), "}".repeat(60));
    assert!(message(&[("seat.distance_mm", &deep)]).contains("must be a number, but is a string"));
}
