//! The canvas as it is drawn now, and redrawing what changes.

use crate::fit::Program;
use crate::light::Colour;
use crate::pattern::{Choices, Guides, Layer, Layers, Mark, Pattern};
use crate::program::ProgramDrawing;
use crate::raster::{Picture, Run, draw, update};
use crate::rig::{PxRect, Rig};
use crate::typeset::Typesetter;

/// Longest that a tick or a comb is, in pixels.
const TICK_PX: f64 = 200.0;

/// The picture of a rig's canvas.
#[derive(Debug)]
pub struct Drawing {
    guides: Guides,
    marks: Vec<Mark>,
    picture: Picture,
    typesetter: Typesetter,
    /// Whether a line is to be read, so that nothing may lie over it.
    is_reading: bool,
}

/// What an update did to the picture.
#[derive(Debug, Clone, PartialEq)]
pub enum Redrawn {
    /// These pixels are others now.
    Runs(Vec<Run>),
    /// The canvas has another size, and all of it is drawn anew.
    Size,
}

impl Drawing {
    /// Draws a rig's pattern along its own guides, which stay for all updates;
    /// as a program would that has one camera a screen, and with its window outlined,
    /// where one is given.
    pub fn new(rig: &Rig, layers: Layers, choices: Choices, program: Option<&Program>) -> Drawing {
        let guides = Guides::of(rig);
        let mut typesetter = Typesetter::new();
        let shown = (layers, choices);
        let marks = marks(rig, &guides, program, shown, &mut typesetter);
        let picture = drawn(&marks, rig);
        Drawing {
            guides,
            marks,
            picture,
            typesetter,
            is_reading: choices.slide.is_some(),
        }
    }

    /// The picture.
    pub fn picture(&self) -> &Picture {
        &self.picture
    }

    /// The picture, and the typesetter for words over it.
    pub fn picture_and_type(&mut self) -> (&Picture, &mut Typesetter) {
        (&self.picture, &mut self.typesetter)
    }

    /// Where on the canvas stands what must be seen whole, so that words over it can keep
    /// clear: letters, patches of pixels, lit bars that are no mere ticks, and a line that
    /// is read.
    pub fn to_be_seen(&self) -> impl Iterator<Item = PxRect> + '_ {
        let must_be_seen = |mark: &&Mark| match mark {
            Mark::Text(_) | Mark::Tile(_) => true,
            Mark::Bar(bar) => {
                let [left, top, right, bottom] = bar.edges;
                bar.colour != Colour::BLACK && (right - left).max(bottom - top) > TICK_PX
            }
            Mark::Stroke(_) => self.is_reading,
            Mark::Wedge(_) => false,
        };
        self.marks
            .iter()
            .filter(must_be_seen)
            .filter_map(Mark::bounds)
    }

    /// Draws what differs between what was drawn last and this.
    pub fn update(
        &mut self,
        rig: &Rig,
        layers: Layers,
        choices: Choices,
        program: Option<&Program>,
    ) -> Redrawn {
        let shares_work = [Layer::Ladders, Layer::Labels];
        if shares_work.into_iter().any(|layer| layers.has(layer)) {
            // All of it on the threads that share the work: to hand each part over to them
            // and wait would take a tenth longer.
            return rayon::scope(|_| self.update_here(rig, layers, choices, program));
        }
        // What only slides or moves is done sooner than others are woken.
        self.update_here(rig, layers, choices, program)
    }

    fn update_here(
        &mut self,
        rig: &Rig,
        layers: Layers,
        choices: Choices,
        program: Option<&Program>,
    ) -> Redrawn {
        let shown = (layers, choices);
        self.is_reading = choices.slide.is_some();
        let marks = marks(rig, &self.guides, program, shown, &mut self.typesetter);
        let before = std::mem::replace(&mut self.marks, marks);
        if rig.canvas().size_px != self.picture.size_px() {
            self.picture = drawn(&self.marks, rig);
            return Redrawn::Size;
        }
        Redrawn::Runs(update(&before, &self.marks, &mut self.picture))
    }
}

/// The marks of a rig, or of what a program draws on its canvas.
fn marks(
    rig: &Rig,
    guides: &Guides,
    program: Option<&Program>,
    (layers, choices): (Layers, Choices),
    typesetter: &mut Typesetter,
) -> Vec<Mark> {
    // Nudges keep the pixels, so the program's rig stays one.
    let drawing =
        program.and_then(|program| Some((program, ProgramDrawing::new(rig, program).ok()?)));
    let pattern = match drawing {
        Some((program, drawing)) => {
            let pattern = drawing.pattern(guides, layers, typesetter);
            match program {
                Program::Window(window, _) => pattern.outlined(rig, window),
                Program::Views(_) => pattern,
            }
        }
        None => Pattern::with_choices(rig, guides, layers, choices, typesetter),
    };
    pattern.into_marks()
}

fn drawn(marks: &[Mark], rig: &Rig) -> Picture {
    let [w, h] = rig.canvas().size_px;
    let mut picture = Picture::new([w, h]);
    draw(marks, &mut picture, PxRect { x: 0, y: 0, w, h });
    picture
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fit::{DrawnAs, FlatViews, program_rig};
    use crate::rig::{self, demos};

    #[test]
    fn an_update_draws_what_a_new_drawing_would() {
        let demo = &demos()[0];
        let rig = rig::read(demo.text, demo.name, &[]).expect("a sound demo");
        let mut parts = rig.parts().clone();
        parts.seams[0].gap_mm += 3.0;
        let other = Rig::new(parts).expect("still a rig");
        let mut drawing = Drawing::new(&rig, Layers::ALL, Choices::default(), None);
        let Redrawn::Runs(runs) = drawing.update(&other, Layers::ALL, Choices::default(), None)
        else {
            panic!("the canvas has the same size");
        };
        assert!(!runs.is_empty());
        let pattern = Pattern::new(
            &other,
            &Guides::of(&rig),
            Layers::ALL,
            &mut Typesetter::new(),
        );
        assert_eq!(drawing.picture(), &drawn(pattern.marks(), &other));
    }

    #[test]
    fn a_programs_window_is_outlined_inside_its_edges_and_at_its_cuts() {
        let settings = [
            ("window.px", "[-1900, 20, 5700, 600]"),
            ("window.columns", "[1, 1, 1]"),
        ];
        let settings = settings.map(|(key, value)| (key.to_owned(), value.to_owned()));
        let rig = rig::read(demos()[1].text, "tram-cab", &settings).expect("a sound demo");
        let program = DrawnAs::default().program(&rig);
        let drawing = Drawing::new(&rig, Layers::NONE, Choices::default(), Some(&program));
        let picture = drawing.picture();
        let facing = rig.canvas().panels[rig.seat().view.panel];
        let [w, h] = picture.size_px();
        let lit = |x: u32, y: u32| picture.bytes()[4 * (y * w + x) as usize] > 0;
        let on_panel = |x: u32, y: u32| {
            let has = |lit: &PxRect| {
                (lit.x..lit.right()).contains(&x) && (lit.y..lit.bottom()).contains(&y)
            };
            rig.canvas().panels.iter().any(has)
        };
        // From the facing panel's corner, by the window's numbers alone.
        let [left, right] = [i64::from(facing.x) - 1900, i64::from(facing.x) + 3800];
        let [top, bottom] = [i64::from(facing.y) + 20, i64::from(facing.y) + 620];
        let cuts = [left + 1900, left + 3800];
        let mut seen = 0;
        for y in 0..h {
            for x in 0..w {
                let (col, row) = (i64::from(x), i64::from(y));
                let is_inside = (left..right).contains(&col) && (top..bottom).contains(&row);
                let near = |at: i64, from: i64, to: i64| (from..to).contains(&at);
                let on_side = near(col, left, left + 3) || near(col, right - 3, right);
                let on_level = near(row, top, top + 3) || near(row, bottom - 3, bottom);
                let on_tick = cuts.iter().any(|&cut| near(col, cut - 1, cut + 1))
                    && (near(row, top, top + 30) || near(row, bottom - 30, bottom));
                let expected = is_inside && (on_side || on_level || on_tick) && on_panel(x, y);
                assert_eq!(lit(x, y), expected, "{x} {y}");
                seen += u32::from(expected);
            }
        }
        assert!(seen > 10_000);
    }

    #[test]
    fn what_a_program_draws_stays_while_the_rig_is_nudged() {
        let demo = &demos()[1];
        let rig = rig::read(demo.text, demo.name, &[]).expect("a sound demo");
        let mut model = FlatViews::of(&rig);
        model.angle_rad = 40_f64.to_radians();
        let typed = Program::Views(model);
        let mut drawing = Drawing::new(&rig, Layers::ALL, Choices::default(), Some(&typed));

        let program = program_rig(&rig, &model).expect("a program can draw it");
        let guides = Guides::of(&rig);
        let layers = Layers::ALL.guides();
        let pattern = Pattern::new(&program, &guides, layers, &mut Typesetter::new());
        assert_eq!(drawing.picture(), &drawn(pattern.marks(), &rig));
        let own = Drawing::new(&rig, Layers::ALL, Choices::default(), None);
        assert!(own.picture() != drawing.picture());

        let mut parts = rig.parts().clone();
        parts.seams[0].gap_mm += 3.0;
        let other = Rig::new(parts).expect("still a rig");
        assert_eq!(
            drawing.update(&other, Layers::ALL, Choices::default(), Some(&typed)),
            Redrawn::Runs(vec![])
        );
    }
}
