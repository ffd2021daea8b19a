//! Whatever the displays, a rig is checked against them and shown on them, and a
//! starter rig made or refused.

use proptest::prelude::*;
use throughline::check::{findings, unchecked};
use throughline::display::Display;
use throughline::matching::Placement;
use throughline::rig::{self, Rig};
use throughline::starter::{starter_rig, text};

fn display() -> impl Strategy<Value = Display> {
    const USUAL: [[u32; 2]; 4] = [[1920, 1080], [2560, 1440], [1200, 1920], [5120, 1440]];
    let size_px = prop_oneof![
        4 => proptest::sample::select(&USUAL[..]),
        1 => any::<[u32; 2]>(),
    ];
    let step = prop_oneof![Just(0), Just(-2560), Just(1920), Just(5120), -50..50i32];
    let position_px = prop_oneof![
        4 => [step.clone(), step],
        1 => any::<[i32; 2]>(),
    ];
    let number = || prop_oneof![Just(1.0), Just(60.0), 0.1..500.0f64, any::<f64>()];
    let names = prop_oneof![Just("wide".to_owned()), Just("door".to_owned()), ".*"];
    (
        (names, position_px, size_px, number()),
        proptest::option::of(number()),
        proptest::option::of([number(), number()]),
        any::<bool>(),
    )
        .prop_map(
            |((name, position_px, size_px, scale), refresh_hz, size_mm, is_primary)| Display {
                name,
                position_px,
                size_px,
                mode_px: None,
                scale,
                refresh_hz,
                size_mm,
                is_primary,
                features: Default::default(),
            },
        )
}

fn displays() -> impl Strategy<Value = Vec<Display>> {
    proptest::collection::vec(display(), 0..6)
}

proptest! {
    #[test]
    fn any_displays_can_be_checked_against(
        displays in displays(),
        demo in proptest::sample::select(rig::demos()),
    ) {
        let rig = rig::read(demo.text, demo.name, &[]).unwrap();
        let found = findings(&rig, Some(&displays));
        prop_assert!(found.iter().all(|f| !f.text.contains(['\n', '\r'])), "{:?}", found);
        prop_assert!(found.is_sorted_by_key(|f| f.level));
        let notes = unchecked(&rig, Some(&displays));
        prop_assert!(displays.is_empty() == notes.iter().any(|n| n.contains("want of displays")));
    }

    #[test]
    fn any_displays_can_be_shown_on(
        displays in displays(),
        demo in proptest::sample::select(rig::demos()),
    ) {
        let rig = rig::read(demo.text, demo.name, &[]).unwrap();
        for tile in Placement::new(&rig, &displays).tiles {
            let end = [tile.at_px[0] + tile.source.w, tile.at_px[1] + tile.source.h];
            let size_px = displays[tile.display].size_px;
            prop_assert!(end[0] <= size_px[0] && end[1] <= size_px[1], "{tile:?} on {size_px:?}");
            prop_assert!(rig.canvas().panels[tile.panel].holds(tile.source), "{tile:?}");
        }
    }

    #[test]
    fn a_starter_file_reads_back_as_its_rig(displays in displays()) {
        let Ok(starter) = starter_rig(&displays) else {
            return Ok(());
        };
        let rig = Rig::new(starter.parts.clone());
        prop_assert!(rig.is_ok(), "{:?}", rig);
        let again = rig::read(&text(&starter), "starter.toml", &[]);
        prop_assert_eq!(again.as_ref(), Ok(&rig.unwrap()), "{}", text(&starter));
    }

    /// A rig made of displays fits them.
    #[test]
    fn a_starter_rig_matches_its_displays(count in 1usize..5, sizes in any::<[bool; 5]>()) {
        let mut x = 0;
        let displays: Vec<_> = sizes[..count].iter().enumerate().map(|(index, is_large)| {
            let size_px = if *is_large { [2560_u32, 1440] } else { [1920, 1080] };
            let position_px = [x, 0];
            x += size_px[0].cast_signed();
            Display {
                name: format!("D{index}"),
                position_px,
                size_px,
                mode_px: None,
                scale: 1.0,
                refresh_hz: Some(60.0),
                size_mm: None,
                is_primary: index == 0,
                features: Default::default(),
            }
        }).collect();
        let rig = Rig::new(starter_rig(&displays).unwrap().parts).unwrap();
        let mut found = findings(&rig, Some(&displays));
        found.retain(|finding| !finding.rests_on_measures());
        prop_assert_eq!(found, []);
    }
}
