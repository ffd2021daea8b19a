//! The canvas as it is drawn now, and redrawing what changes.

use throughline::pattern::{Guides, Layers, Mark, Pattern};
use throughline::raster::{Picture, changed, draw};
use throughline::rig::{PxRect, Rig};
use throughline::typeset::Typesetter;

/// The picture of a rig's canvas.
pub struct Drawing {
    guides: Guides,
    marks: Vec<Mark>,
    picture: Picture,
    typesetter: Typesetter,
}

/// What an update did to the picture.
#[derive(Debug, Clone, PartialEq)]
pub enum Change {
    /// These parts, which may overlap, are drawn anew.
    Parts(Vec<PxRect>),
    /// The canvas has another size, and all of it is drawn anew.
    Size,
}

impl Drawing {
    /// Draws a rig's pattern along its own guides, which stay for all updates.
    pub fn new(rig: &Rig, layers: Layers) -> Drawing {
        let guides = Guides::of(rig);
        let mut typesetter = Typesetter::new();
        let pattern = Pattern::new(rig, &guides, layers, &mut typesetter);
        let marks = pattern.marks().to_vec();
        let picture = drawn(&marks, rig);
        Drawing {
            guides,
            marks,
            picture,
            typesetter,
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

    /// Draws what differs between the last rig and this one.
    pub fn update(&mut self, rig: &Rig, layers: Layers) -> Change {
        let pattern = Pattern::new(rig, &self.guides, layers, &mut self.typesetter);
        let before = std::mem::replace(&mut self.marks, pattern.marks().to_vec());
        if rig.canvas().size_px != self.picture.size_px() {
            self.picture = drawn(&self.marks, rig);
            return Change::Size;
        }
        let areas = changed(&before, &self.marks);
        for area in &areas {
            draw(&self.marks, &mut self.picture, *area);
        }
        Change::Parts(areas)
    }
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
    use throughline::rig::{self, demos};

    #[test]
    fn an_update_draws_what_a_new_drawing_would() {
        let demo = &demos()[0];
        let rig = rig::read(demo.text, demo.name, &[]).expect("a sound demo");
        let mut parts = rig.parts().clone();
        parts.seams[0].gap_mm += 3.0;
        let other = Rig::new(parts).expect("still a rig");
        let mut drawing = Drawing::new(&rig, Layers::ALL);
        let Change::Parts(areas) = drawing.update(&other, Layers::ALL) else {
            panic!("the canvas has the same size");
        };
        assert!(!areas.is_empty());
        let pattern = Pattern::new(
            &other,
            &Guides::of(&rig),
            Layers::ALL,
            &mut Typesetter::new(),
        );
        assert_eq!(drawing.picture(), &drawn(pattern.marks(), &other));
    }
}
