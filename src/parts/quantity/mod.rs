//! The one list of a rig's numbers: how each is spelt, called, bounded and
//! stepped, and where it stands in the parts. A [`Measure`](super::Measure) says
//! which panel's or seam's it is.

mod panel;
mod seam;
mod seat;
mod spec;

pub use panel::PanelQuantity;
pub use seam::SeamQuantity;
pub use seat::SeatQuantity;
pub use spec::Spec;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_ends_belong_to_a_closed_range_and_neither_to_an_open_one() {
        let tilt = PanelQuantity::Tilt.spec().limit;
        let fold = SeamQuantity::Fold.spec().limit;
        let height = SeatQuantity::Height.spec().limit;
        assert_eq!(tilt.broken_by(-89.0), None);
        assert_eq!(tilt.broken_by(89.0), None);
        assert!(tilt.broken_by(89.000_001).is_some());
        assert_eq!(fold.broken_by(179.999), None);
        assert!(fold.broken_by(180.0).is_some());
        assert!(fold.broken_by(-180.0).is_some());
        assert!(fold.broken_by(f64::NAN).is_some());
        assert!(height.broken_by(f64::NEG_INFINITY).is_some());
    }

    #[test]
    fn the_sentence_names_key_value_range_and_remedy() {
        assert_eq!(
            PanelQuantity::Scale.spec().limit.broken_by(9.0).as_deref(),
            Some(
                "`scale` is 9, but must lie between 0.25 and 8: \
                 150 % in the system's display settings is 1.5"
            )
        );
    }
}
