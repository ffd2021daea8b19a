//! A photograph whose marks were found, and why it may not serve.

use crate::marks::Sighting;
use crate::parts::Parts;
use crate::parts::words::quoted;

/// A photograph of a rig's marks.
#[derive(Debug, Clone, PartialEq)]
pub struct Photograph {
    /// Columns and rows.
    pub size_px: [u32; 2],
    /// The marks found in it.
    pub sightings: Vec<Sighting>,
}

/// Marks of a panel from which on a photograph is taken to show it.
pub(super) const FEWEST_MARKS: usize = 12;

impl Photograph {
    /// The panels that it shows enough of, from the left.
    pub(super) fn panels(&self, count: usize) -> Vec<usize> {
        let marks = |panel: usize| self.sightings.iter().filter(|s| s.panel == panel).count();
        (0..count)
            .filter(|&panel| marks(panel) >= FEWEST_MARKS)
            .collect()
    }
}

/// Why a photograph is left out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reason {
    /// It shows too few marks of any panel.
    FewMarks,
    /// It shows this panel alone.
    OnePanel(usize),
    /// It is this photograph again, turned, cropped or in another size perhaps.
    CopyOf(usize),
    /// It has other columns and rows than most.
    OtherSize {
        /// Its own.
        size_px: [u32; 2],
        /// Those of most.
        most_px: [u32; 2],
    },
    /// Its focal length is this many times that of the others.
    Zoomed(f64),
    /// What it shows doesn't go with the others.
    DoesNotFit,
    /// No place to take it from explains it.
    NoPlace,
}

impl Reason {
    /// What is wrong and what to do, as words that follow the photograph's name;
    /// `names` are those of all photographs.
    pub fn words(self, names: &[String], parts: &Parts) -> String {
        match self {
            Reason::FewMarks => "shows too few marks: take it nearer, or with the panels' whole \
                                 surfaces in it"
                .to_owned(),
            Reason::OnePanel(panel) => {
                let name = parts.panels.get(panel).map_or("", |panel| &panel.name);
                format!(
                    "shows panel {} alone, which tells nothing of a seam: take one that shows two \
                     panels or more",
                    quoted(name)
                )
            }
            Reason::CopyOf(index) => format!(
                "is {} again, which tells nothing new: take one from elsewhere",
                names.get(index).map_or("another photograph", |name| name)
            ),
            Reason::OtherSize { size_px, most_px } => format!(
                "is {} × {} pixels large and the others {} × {}: take all with one lens, without \
                 zoom, and don't crop or shrink them",
                size_px[0], size_px[1], most_px[0], most_px[1]
            ),
            Reason::Zoomed(times) => {
                let (times, how) = if times > 1.0 {
                    (times, "narrower")
                } else {
                    (1.0 / times, "wider")
                };
                format!(
                    "shows a field {times:.2} times {how} than the others: take all with the main \
                     lens at 1×, without zoom, and don't crop them"
                )
            }
            Reason::DoesNotFit => "doesn't go with the others: something moved between the \
                                   photographs, or it shows another rig; take all of them anew, \
                                   and move nothing between them"
                .to_owned(),
            Reason::NoPlace => "shows marks where no camera could see them on this rig: check \
                                that RIG is the rig that was shown"
                .to_owned(),
        }
    }
}
