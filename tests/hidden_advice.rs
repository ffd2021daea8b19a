//! How many columns `check` advises to hide is how wide the dark of a seam is.

mod rigs;

use proptest::prelude::*;
use rigs::{dark_in_plan_mm, ordinary};
use throughline::check::findings;
use throughline::rig::Rig;

/// The columns advised for a seam, if anything is said of them.
fn advised(rig: &Rig, seam: usize) -> Option<u32> {
    let subject = format!("seam.{}.hidden_px", seam + 1);
    let found = findings(rig, None);
    let finding = found.iter().find(|finding| {
        finding.code == "hidden-columns-mismatch" && finding.subject.to_string() == subject
    })?;
    let (_, rest) = finding.text.split_once("to about ").expect(&finding.text);
    Some(rest.split(' ').next().expect(rest).parse().expect(rest))
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_advised_columns_are_as_wide_as_the_dark(rig in ordinary(), by in 20u32..200) {
        for seam in 0..rig.seams().len() {
            let mut parts = rig.parts().clone();
            let pitches = [seam, seam + 1].map(|panel| parts.panels[panel].pitch_mm()[0]);
            let columns = pitches.map(|pitch| dark_in_plan_mm(&rig, seam) / pitch);
            // Far more than the dark, the gap and both cases could take.
            parts.seams[seam].hidden_px = 240 + by;
            let wide = Rig::new(parts).expect("hidden columns move no panel");
            let advice = advised(&wide, seam).expect("far too many");
            let [least, most] = [columns[0].min(columns[1]), columns[0].max(columns[1])];
            prop_assert!(
                f64::from(advice) > least - 0.51 && f64::from(advice) < most + 0.51,
                "{} of {:?}", advice, columns
            );
            let mean = 2.0 * dark_in_plan_mm(&rig, seam) / (pitches[0] + pitches[1]);
            prop_assert!((f64::from(advice) - mean).abs() < 0.51, "{} of {}", advice, mean);

            let mut parts = wide.into_parts();
            parts.seams[seam].hidden_px = advice;
            let followed = Rig::new(parts).expect("hidden columns move no panel");
            prop_assert_eq!(advised(&followed, seam), None);
        }
    }
}
