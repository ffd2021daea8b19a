//! Plans found again from other starts: a rig of which something may be moved has the
//! same best place for it wherever its file has it now.

mod rigs;

use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use throughline::numbers::views;
use throughline::place::{Moves, Plan, WindowKind, Wishes, plans};
use throughline::rig::{Measure, Rig, SeamQuantity, SeatQuantity};

const MOVED: &str = "seat.distance_mm,seam.1.fold_deg";

/// How much better the better of two answers may be, in degrees: what whole pixels and
/// hundredths cost.
const SAME_DEG: f64 = 0.01;

fn planned(rig: &Rig, keep_span: f64) -> Option<(Plan, Plan)> {
    let wishes = Wishes {
        window: Some(WindowKind::Fixed),
        moves: Moves::parse(MOVED, rig.parts()).ok()?,
        keep_span,
        ..Wishes::default()
    };
    let found = plans(rig, &wishes, &|_| {}).ok()?;
    let plan = found.plans.into_iter().next()?;
    Some((found.now, plan))
}

/// Whether no limit is broken as the rig stands, which would bind each file otherwise: no
/// view is seen more than 50° off its perpendicular.
fn is_within_limits(rig: &Rig) -> bool {
    let views = views(rig);
    (views.iter()).all(|view| view.square_mm >= view.distance_mm * 50_f64.to_radians().cos())
}

/// The same rig whose file has the moved numbers elsewhere.
fn elsewhere(rig: &Rig, by_mm: f64, by_deg: f64) -> Option<Rig> {
    let mut parts = rig.parts().with_folds();
    let distance = Measure::Seat(SeatQuantity::Distance);
    let fold = Measure::Seam(0, SeamQuantity::Fold);
    for (measure, by) in [(distance, by_mm), (fold, by_deg)] {
        let number = measure.plain(&parts)?;
        measure.put(&mut parts, number + by);
    }
    Rig::new(parts.spelt_like(rig.parts())).ok()
}

/// Of so many random rigs, how many were planned from two starts, and which of them came
/// out otherwise.
fn compared(count: usize) -> (usize, Vec<String>) {
    let rng = TestRng::from_seed(RngAlgorithm::ChaCha, &[7; 32]);
    let mut runner = TestRunner::new_with_rng(Config::default(), rng);
    let (mut tried, mut otherwise) = (0, Vec::new());
    while tried < count {
        let rig = rigs::ordinary()
            .new_tree(&mut runner)
            .expect("a rig")
            .current();
        let mut parts = rig.parts().clone();
        // Cases that meet edge to edge overlap nowhere.
        parts.seams.iter_mut().for_each(|seam| seam.step_mm = 0.0);
        let Ok(rig) = Rig::new(parts) else {
            continue;
        };
        // Nearer by a tenth, so that more is seen and the same span is a smaller share.
        let near = elsewhere(&rig, -0.1 * rig.seat().distance_mm, 2.5);
        let near = near.filter(|near| is_within_limits(near) && is_within_limits(&rig));
        let Some((near, far)) = near.zip(planned(&rig, 0.95)) else {
            continue;
        };
        let (now, far) = far;
        let Some((near_now, _)) = planned(&near, 0.95) else {
            continue;
        };
        let share = 0.95 * now.span_rad / near_now.span_rad;
        let Some((_, near)) = planned(&near, share).filter(|_| share < 1.0) else {
            continue;
        };
        tried += 1;
        let rms = [&far, &near].map(|plan| plan.figures.rms_rad.to_degrees());
        if (rms[0] - rms[1]).abs() > SAME_DEG {
            let told = [&far, &near].map(|plan| {
                let places: Vec<f64> = plan.moves.iter().map(|change| change.to).collect();
                format!(
                    "{places:.2?} at {:?}, span {:.4}",
                    plan.at_limit, plan.span_rad
                )
            });
            otherwise.push(format!("{rms:.4?} {told:#?} {:?}", rig.parts().seat));
        }
    }
    (tried, otherwise)
}

#[test]
fn other_starts_lead_to_the_same_plan() {
    let (tried, otherwise) = compared(8);
    // Of the hundred below, four come out otherwise, and some of those are among these.
    assert!(otherwise.len() <= 2, "of {tried}: {otherwise:#?}");
}

/// `cargo test --test place_starts -- --ignored --nocapture`
#[test]
#[ignore = "minutes"]
fn other_starts_lead_to_the_same_plan_in_95_of_100() {
    let (tried, otherwise) = compared(100);
    println!(
        "{} of {tried} came out otherwise: {otherwise:#?}",
        otherwise.len()
    );
    assert!(otherwise.len() * 20 <= tried);
}
