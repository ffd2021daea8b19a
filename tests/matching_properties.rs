//! On any desktop, `check` and `show` read the same displays the same way.

use proptest::prelude::*;
use throughline::check::{About, Finding, Level, findings};
use throughline::display::Display;
use throughline::matching::{Matching, Placement, Tile, has_places};
use throughline::rig::{self, PxRect, Rig, Table};

const SIZES: [[u32; 2]; 6] = [
    [1920, 1080],
    [1920, 1080],
    [2560, 1440],
    [1080, 1920],
    [3840, 1080],
    [1280, 720],
];

/// A rig of panels `p1`, `p2` and so on, and the desktop that would suit it.
#[derive(Debug, Clone)]
struct Bench {
    sizes: Vec<[u32; 2]>,
    tops: Vec<i32>,
    hidden: Vec<u32>,
    facing: usize,
    has_desktop: bool,
}

impl Bench {
    fn hidden_px(&self, seam: usize) -> u32 {
        self.hidden.get(seam).copied().unwrap_or(0)
    }

    /// The panels' corners, with the hidden columns or without.
    fn corners(&self, with_hidden: bool) -> Vec<[i32; 2]> {
        let tallest = self.sizes.iter().map(|size| size[1]).max().unwrap_or(0);
        let mut x = 0;
        let panels = self.sizes.iter().enumerate();
        let corners = panels.map(|(index, &[w, h])| {
            let middle = ((tallest - h) / 2).cast_signed();
            let y = if self.has_desktop {
                self.tops[index]
            } else {
                middle
            };
            let corner = [x, y];
            x += w.cast_signed();
            if with_hidden {
                x += self.hidden_px(index).cast_signed();
            }
            corner
        });
        corners.collect()
    }

    fn rig(&self) -> Rig {
        let mut text = format!(
            "format = 1\nname = \"test\"\n[seat]\nview = \"p{}/1\"\ndistance_mm = 3000.0\n",
            self.facing + 1
        );
        for (index, [x, y]) in self.corners(false).into_iter().enumerate() {
            let [w, h] = self.sizes[index];
            text += &format!(
                "[[panel]]\nname = \"p{}\"\npixels = [{w}, {h}]\n",
                index + 1
            );
            text += "diagonal_in = 24.0\n";
            if self.has_desktop {
                text += &format!("desktop_px = [{x}, {y}]\n");
            }
        }
        for seam in 1..self.sizes.len() {
            let hidden = self.hidden_px(seam - 1);
            text += &format!("[[seam]]\nangle_deg = 10.0\nhidden_px = {hidden}\n");
        }
        rig::read(&text, "test", &[]).expect("a sound rig")
    }
}

fn bench() -> impl Strategy<Value = Bench> {
    (1usize..=4).prop_flat_map(|count| {
        let top = prop_oneof![3 => Just(0), 1 => Just(180), 1 => -400..400i32];
        let hidden = prop_oneof![2 => Just(0u32), 1 => Just(60), 1 => 1..100u32];
        let hides = prop_oneof![2 => Just(false), 1 => Just(true)];
        (
            proptest::collection::vec(proptest::sample::select(&SIZES[..]), count),
            proptest::collection::vec(top, count),
            (hides, proptest::collection::vec(hidden, count - 1)),
            0..count,
            proptest::bool::weighted(0.7),
        )
            .prop_map(
                |(sizes, tops, (hides, hidden), facing, has_desktop)| Bench {
                    sizes,
                    tops,
                    hidden: if hides { hidden } else { Vec::new() },
                    facing,
                    has_desktop,
                },
            )
    })
}

/// What becomes of the desktop that would suit a rig.
#[derive(Debug, Clone)]
enum Disturbance {
    /// A display goes.
    Gone(usize),
    /// Another comes.
    Extra([i32; 2], [u32; 2]),
    /// One stands elsewhere.
    Shifted(usize, [i32; 2]),
    /// One has another size.
    Resized(usize, [u32; 2]),
    /// Two change places.
    Exchanged(usize, usize),
    /// Two change names.
    Renamed(usize, usize),
    /// One more shows the same.
    Mirrored(usize),
    /// Those to its right move along, so that they adjoin.
    Closed(usize),
}

fn change() -> impl Strategy<Value = Disturbance> {
    let index = || 0usize..5;
    let step = || prop_oneof![Just(0), -200..200i32, Just(-1920), Just(1920)];
    let size = || proptest::sample::select(&SIZES[..]);
    let place = || {
        prop_oneof![
            Just([5760, 0]),
            Just([-1920, 0]),
            [-6000..6000i32, -900..900i32]
        ]
    };
    prop_oneof![
        index().prop_map(Disturbance::Gone),
        (place(), size()).prop_map(|(at, size)| Disturbance::Extra(at, size)),
        (index(), [step(), step()]).prop_map(|(index, by)| Disturbance::Shifted(index, by)),
        (index(), size()).prop_map(|(index, size)| Disturbance::Resized(index, size)),
        (index(), index()).prop_map(|(one, two)| Disturbance::Exchanged(one, two)),
        (index(), index()).prop_map(|(one, two)| Disturbance::Renamed(one, two)),
        index().prop_map(Disturbance::Mirrored),
        index().prop_map(Disturbance::Closed),
    ]
}

impl Disturbance {
    fn apply(&self, displays: &mut Vec<Display>) {
        let count = displays.len();
        match *self {
            Disturbance::Gone(index) if count > 1 => drop(displays.remove(index % count)),
            Disturbance::Gone(_) => {}
            Disturbance::Extra(at, size) => displays.push(display(at, size)),
            Disturbance::Shifted(index, [x, y]) => {
                let at = &mut displays[index % count].position_px;
                *at = [at[0] + x, at[1] + y];
            }
            Disturbance::Resized(index, size) => displays[index % count].size_px = size,
            Disturbance::Exchanged(one, two) => {
                let at = [one, two].map(|index| displays[index % count].position_px);
                displays[one % count].position_px = at[1];
                displays[two % count].position_px = at[0];
            }
            Disturbance::Renamed(one, two) => {
                let names = [one, two].map(|index| displays[index % count].name.clone());
                let [first, second] = names;
                displays[one % count].name = second;
                displays[two % count].name = first;
            }
            Disturbance::Mirrored(index) => {
                let Display {
                    position_px,
                    size_px,
                    ..
                } = displays[index % count];
                displays.push(display(position_px, size_px));
            }
            Disturbance::Closed(index) => {
                let left = displays[index % count].clone();
                let right = displays
                    .iter()
                    .filter(|d| d.position_px[0] > left.position_px[0])
                    .map(|d| d.position_px[0])
                    .min();
                let by = right.map_or(0, |right| right - left.right_px() as i32);
                for display in displays.iter_mut() {
                    if display.position_px[0] > left.position_px[0] {
                        display.position_px[0] -= by;
                    }
                }
            }
        }
    }
}

fn display(position_px: [i32; 2], size_px: [u32; 2]) -> Display {
    Display {
        name: String::new(),
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

/// The displays that suit a rig: one to a panel, two to a panel, or one to several.
fn suited(bench: &Bench, with_hidden: bool, feeds: &[u8], named: bool) -> Vec<Display> {
    let corners = bench.corners(with_hidden);
    let mut displays: Vec<Display> = Vec::new();
    for (panel, &[w, h]) in bench.sizes.iter().enumerate() {
        let [x, y] = corners[panel];
        let before = displays.last_mut().filter(|last| {
            // Beside it, as high, and with nothing but hidden columns between.
            let is_level = last.position_px[1] == y && last.size_px[1] == h;
            is_level && feeds[panel] == 2 && panel > 0
        });
        if let Some(span) = before {
            span.size_px[0] = (x + w.cast_signed() - span.position_px[0]) as u32;
            continue;
        }
        let parts = if feeds[panel] == 1 && w % 2 == 0 {
            2
        } else {
            1
        };
        for part in 0..parts {
            let part_w = w / parts;
            let mut one = display([x + (part * part_w).cast_signed(), y], [part_w, h]);
            if named {
                one.name = format!("p{}", panel + 1);
            }
            displays.push(one);
        }
    }
    displays
}

fn desktop() -> impl Strategy<Value = (Bench, Vec<Display>)> {
    (
        bench(),
        any::<bool>(),
        proptest::collection::vec(prop_oneof![3 => Just(0u8), 1 => Just(1), 1 => Just(2)], 4),
        proptest::bool::weighted(0.3),
        proptest::collection::vec(change(), 0..4),
        proptest::option::weighted(0.7, 0usize..5),
        prop_oneof![3 => Just(1.0), 1 => Just(1.5)],
        [-3000..3000i32, -500..500i32],
        any::<prop::sample::Index>(),
    )
        .prop_map(
            |(bench, with_hidden, feeds, named, changes, primary, scale, [x, y], turn)| {
                let mut displays = suited(&bench, with_hidden, &feeds, named);
                for change in changes {
                    change.apply(&mut displays);
                }
                displays.truncate(5);
                let count = displays.len();
                for (index, display) in displays.iter_mut().enumerate() {
                    display.position_px[0] += x;
                    display.position_px[1] += y;
                    display.scale = scale;
                    display.is_primary = primary.is_some_and(|primary| primary % count == index);
                }
                displays.rotate_left(turn.index(count));
                let mut taken: Vec<String> = Vec::new();
                for (index, display) in displays.iter_mut().enumerate() {
                    if display.name.is_empty() || taken.contains(&display.name) {
                        display.name = format!("OUT-{index}");
                    }
                    taken.push(display.name.clone());
                }
                (bench, displays)
            },
        )
}

/// What an error of `check` is about.
fn panel_of(finding: &Finding) -> Option<usize> {
    match &finding.subject {
        About::Rig(subject) => match subject.table {
            Table::Panel(panel) | Table::Seam(panel) => Some(panel),
            _ => None,
        },
        About::Display(_) => None,
    }
}

fn is_about_displays(finding: &&Finding) -> bool {
    let is_code =
        finding.code.starts_with("display-") || finding.code == "hidden-columns-not-hidden";
    is_code && finding.level == Level::Error
}

/// Whether a sentence of `show` says what an error of `check` says.
fn says(sentence: &str, finding: &Finding, displays: &[Display]) -> bool {
    let panel = panel_of(finding).map(|panel| format!("panel \"p{}\" (", panel + 1));
    let names_panel = panel.is_some_and(|panel| sentence.contains(&panel));
    let names_display = displays
        .iter()
        .filter(|d| finding.text.starts_with(&format!("Display {} is", d.name)))
        .chain(displays.iter().filter(|d| {
            finding
                .text
                .starts_with(&format!("Display {}, which", d.name))
        }))
        .all(|d| sentence.contains(&format!("display \"{}\" (", d.name)));
    let is_kind = match finding.code {
        "display-missing" => sentence.contains("no display is left"),
        "display-size" => {
            sentence.contains("takes up") || sentence.contains("cut or in the middle")
        }
        "display-position" => {
            sentence.contains("for its size") || sentence.contains("bears its name")
        }
        _ => sentence.contains("hides"),
    };
    names_panel && names_display && is_kind
}

fn is_joint(sentence: &str) -> bool {
    sentence.contains("matched by size and order")
}

fn overlap(one: &PxRect, other: &PxRect) -> bool {
    one.intersection(*other).is_some()
}

fn on_display(tile: &Tile) -> PxRect {
    PxRect {
        x: tile.at_px[0],
        y: tile.at_px[1],
        ..tile.source
    }
}

/// Where the canvas's corner would lie on the desktop for a tile.
fn origin(tile: &Tile, displays: &[Display]) -> [i64; 2] {
    [0, 1].map(|axis| {
        let source = [tile.source.x, tile.source.y][axis];
        i64::from(displays[tile.display].position_px[axis]) + i64::from(tile.at_px[axis])
            - i64::from(source)
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(4000))]

    #[test]
    fn check_and_show_say_the_same((bench, displays) in desktop()) {
        let rig = bench.rig();
        let found = findings(&rig, Some(&displays));
        let errors: Vec<&Finding> = found.iter().filter(is_about_displays).collect();
        let said = Placement::new(&rig, &displays).mismatches;
        let joint = said.iter().filter(|text| is_joint(text)).count();
        prop_assert!(joint <= 1, "{said:?}");
        let mut apart: Vec<&String> = said.iter().filter(|text| !is_joint(text)).collect();
        let mut places_left = 0;
        for error in &errors {
            match apart.iter().position(|text| says(text, error, &displays)) {
                Some(at) => drop(apart.remove(at)),
                None => {
                    prop_assert_eq!(error.code, "display-position", "unsaid: {:?}, {:?}", error, said);
                    places_left += 1;
                }
            }
        }
        prop_assert_eq!(joint, usize::from(places_left > 0), "{:?}, {:?}", errors, said);
        prop_assert!(apart.is_empty(), "{:?}, but {:?}", errors, apart);
    }

    #[test]
    fn tiles_are_on_the_carriers((bench, displays) in desktop()) {
        let rig = bench.rig();
        let matching = Matching::new(&rig, &displays);
        let tiles = Placement::new(&rig, &displays).tiles;
        for panel in 0..rig.panels().len() {
            let of_panel = tiles.iter().filter(|tile| tile.panel == panel);
            let mut shown: Vec<usize> = of_panel.map(|tile| tile.display).collect();
            let mut carriers = matching.carriers(panel);
            shown.sort_unstable();
            carriers.sort_unstable();
            prop_assert_eq!(shown, carriers);
        }
    }

    #[test]
    fn tiles_lie_apart_on_their_displays((bench, displays) in desktop()) {
        let rig = bench.rig();
        let tiles = Placement::new(&rig, &displays).tiles;
        for (index, tile) in tiles.iter().enumerate() {
            let on = on_display(tile);
            let [w, h] = displays[tile.display].size_px;
            prop_assert!(PxRect { x: 0, y: 0, w, h }.holds(on), "{tile:?}");
            prop_assert!(rig.canvas().panels[tile.panel].holds(tile.source), "{tile:?}");
            for other in &tiles[..index] {
                let meet = other.display == tile.display && overlap(&on_display(other), &on);
                prop_assert!(!meet, "{other:?} meets {tile:?}");
                prop_assert!(!overlap(&other.source, &tile.source), "{other:?} repeats {tile:?}");
            }
        }
    }

    #[test]
    fn panels_without_a_fault_are_whole((bench, displays) in desktop()) {
        let rig = bench.rig();
        let found = findings(&rig, Some(&displays));
        let errors: Vec<&Finding> = found.iter().filter(is_about_displays).collect();
        let tiles = Placement::new(&rig, &displays).tiles;
        for (panel, rect) in rig.canvas().panels.iter().enumerate() {
            let is_faulty = |error: &&Finding| {
                panel_of(error) == Some(panel) && error.code.starts_with("display-")
            };
            // Tiles never repeat each other, so their areas add up.
            let of_panel = tiles.iter().filter(|tile| tile.panel == panel);
            let shown: u64 = of_panel
                .map(|tile| u64::from(tile.source.w) * u64::from(tile.source.h))
                .sum();
            let whole = u64::from(rect.w) * u64::from(rect.h);
            prop_assert!(shown == whole || errors.iter().any(is_faulty), "panel {panel}: {errors:?}");
        }
        // A program's picture over the whole desktop lies as the rig file has it
        // exactly where nothing is said about places.
        let mut origins: Vec<_> = tiles.iter().map(|tile| origin(tile, &displays)).collect();
        origins.sort_unstable();
        origins.dedup();
        if !has_places(&displays) {
            let is_placed = |e: &&Finding| e.code == "display-position";
            prop_assert!(!errors.iter().any(is_placed), "{errors:?}");
        } else if errors.is_empty() {
            prop_assert!(origins.len() == 1, "{tiles:?}");
        }
        if origins.len() == 1 {
            let moves = |e: &&Finding| {
                let by_name = e.text.split([' ', ',']).nth(1).is_some_and(|name| name.starts_with('p'));
                e.code == "display-position" && !by_name || e.code == "hidden-columns-not-hidden"
            };
            prop_assert!(!errors.iter().any(moves), "{errors:?}");
        }
    }
}

/// A fault-free reading under another shift counts more than the nearest one: the
/// large display is the span of both panels, and the small one shows none.
#[test]
fn a_span_beside_a_display_as_large_as_a_panel() {
    let bench = Bench {
        sizes: vec![[1920, 1080]; 2],
        tops: vec![0; 2],
        hidden: Vec::new(),
        facing: 0,
        has_desktop: true,
    };
    let rig = bench.rig();
    let mut displays = [
        display([0, 0], [1920, 1080]),
        display([1920, 0], [3840, 1080]),
    ];
    displays[0].name = "small".to_owned();
    displays[1].name = "large".to_owned();
    for primary in 0..2 {
        for (index, display) in displays.iter_mut().enumerate() {
            display.is_primary = index == primary;
        }
        let matching = Matching::new(&rig, &displays);
        assert_eq!([0, 1].map(|panel| matching.carriers(panel)), [[1], [1]]);
        assert_eq!(matching.extra(), [0]);
        let found = findings(&rig, Some(&displays));
        assert_eq!(found.iter().filter(is_about_displays).count(), 0);
        assert!(found.iter().any(|finding| finding.code == "display-extra"));
        let placement = Placement::new(&rig, &displays);
        assert_eq!(placement.mismatches, [""; 0]);
        let at: Vec<_> = placement.tiles.iter().map(|tile| tile.at_px).collect();
        assert_eq!(at, [[0, 0], [1920, 0]]);
        assert!(!placement.is_claimed(0) && placement.is_claimed(1));
    }
}
