//! What a window is told to show, held against what stands in it pixel by pixel.

use proptest::prelude::*;
use throughline::glass::{Glass, Notice, Piece, Stale};
use throughline::light::Colour;
use throughline::pattern::{Bar, Mark};
use throughline::raster::{Picture, Run};
use throughline::rig::PxRect;

const CANVAS: [u32; 2] = [60, 20];
const WINDOW: [u32; 2] = [70, 24];

/// What happens to a window.
#[derive(Debug, Clone)]
enum Event {
    /// Canvas pixels change: a run, and what its pixels become.
    Drawn(Run, u8),
    /// Other boxes stand over it, each of one colour.
    Overlaid(Vec<(PxRect, u8)>),
    /// It is shown.
    Shown,
}

fn rect(within: [u32; 2]) -> impl Strategy<Value = PxRect> {
    let [w, h] = within;
    (0..w, 0..h, 1..=w, 1..=h).prop_map(move |(x, y, wide, high)| PxRect {
        x,
        y,
        w: wide.min(w - x),
        h: high.min(h - y),
    })
}

fn run() -> impl Strategy<Value = Run> {
    rect(CANVAS).prop_map(|PxRect { x, y, w, .. }| Run { x, y, w })
}

fn event() -> impl Strategy<Value = Event> {
    prop_oneof![
        4 => (run(), 1..200u8).prop_map(|(run, code)| Event::Drawn(run, code)),
        3 => prop::collection::vec((rect(WINDOW), 1..200u8), 0..4).prop_map(Event::Overlaid),
        2 => Just(Event::Shown),
    ]
}

/// Pieces of the canvas that lie side by side in the window, as displays do.
fn pieces() -> impl Strategy<Value = Vec<Piece>> {
    (1..60u32, rect([30, 20]), rect([30, 20])).prop_map(|(cut, one, other)| {
        let piece = |rect: PxRect, shift: u32, at_px| Piece {
            source: PxRect {
                x: (rect.x + shift).min(CANVAS[0] - rect.w),
                ..rect
            },
            at_px,
        };
        vec![
            piece(one, cut % 31, [0, 1]),
            piece(other, cut % 17, [35, cut % 4]),
        ]
    })
}

fn notice((area, code): &(PxRect, u8)) -> Notice {
    let edges = [area.x, area.y, area.right(), area.bottom()].map(f64::from);
    let bar = Bar {
        edges,
        clip: *area,
        colour: Colour([*code, 7, 0]),
    };
    Notice {
        area: *area,
        marks: vec![Mark::Bar(bar)],
    }
}

/// The window's pixels one by one: the topmost thing there.
fn expected(canvas: &Picture, pieces: &[Piece], over: &[&[(PxRect, u8)]]) -> Vec<[u8; 4]> {
    let pixels = (0..WINDOW[1]).flat_map(|y| (0..WINDOW[0]).map(move |x| [x, y]));
    let at = |[x, y]: [u32; 2]| {
        let boxes = over.iter().copied().flatten().rev();
        let mut found = boxes.filter(|(area, _)| area.contains(x, y));
        if let Some((_, code)) = found.next() {
            return [*code, 7, 0, 255];
        }
        let piece = pieces.iter().find(|piece| piece.covers().contains(x, y));
        piece.map_or([0, 0, 0, 255], |piece| {
            let [column, row] = [
                piece.source.x + x - piece.at_px[0],
                piece.source.y + y - piece.at_px[1],
            ];
            canvas.bytes().as_chunks::<4>().0[(row * CANVAS[0] + column) as usize]
        })
    };
    pixels.map(at).collect()
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn what_is_shown_is_what_stands_there(
        pieces in pieces(),
        notices in prop::collection::vec((rect(WINDOW), 1..200u8), 0..2),
        events in prop::collection::vec(event(), 1..40),
    ) {
        let mut canvas = Picture::new(CANVAS);
        canvas.bytes_mut().as_chunks_mut::<4>().0.fill([0, 0, 0, 255]);
        let mut glass = Glass::new(WINDOW, pieces.clone(), notices.iter().map(notice).collect());
        let mut shown = vec![[9; 4]; (WINDOW[0] * WINDOW[1]) as usize];
        let mut overlays = Vec::new();
        for event in events.into_iter().chain([Event::Shown]) {
            match event {
                Event::Drawn(run, code) => {
                    let from = (run.y * CANVAS[0] + run.x) as usize;
                    canvas.bytes_mut().as_chunks_mut::<4>().0[from..from + run.w as usize]
                        .fill([code, code, 3, 255]);
                    glass.take(&[run]);
                }
                Event::Overlaid(boxes) => {
                    glass.overlay(&canvas, boxes.iter().map(notice).collect());
                    overlays = boxes;
                }
                Event::Shown => {
                    let runs = match glass.take_stale() {
                        Stale::Runs(runs) => runs,
                        Stale::Whole => (0..WINDOW[1]).map(|y| Run { x: 0, y, w: WINDOW[0] }).collect(),
                    };
                    for run in runs {
                        let from = (run.y * WINDOW[0] + run.x) as usize;
                        glass.copy(&canvas, run, &mut shown[from..from + run.w as usize]);
                    }
                    let expected = expected(&canvas, &pieces, &[&notices, &overlays]);
                    for (at, (shown, expected)) in shown.iter().zip(&expected).enumerate() {
                        let at = [at as u32 % WINDOW[0], at as u32 / WINDOW[0]];
                        prop_assert_eq!(shown, expected, "{:?}", at);
                    }
                }
            }
        }
    }
}
