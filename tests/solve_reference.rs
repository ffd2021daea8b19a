//! Solved values and sigmas against scipy's `least_squares` on the same objective
//! (`tests/reference/solve_reference.py`).

use serde::Deserialize;
use throughline::readings::Readings;
use throughline::rig::read;
use throughline::solve::{Measured, Priors, solve};

#[derive(Deserialize)]
struct Document {
    cases: Vec<Case>,
}

#[derive(Deserialize)]
struct Case {
    name: String,
    rig: String,
    readings: serde_json::Value,
    measured: Option<serde_json::Value>,
    chi2: f64,
    values: Vec<Value>,
}

#[derive(Deserialize)]
struct Value {
    path: String,
    solved: f64,
    sigma: f64,
}

/// Of a sigma: what values and sigmas may differ by.
const SHARE: f64 = 0.01;

#[test]
fn values_and_sigmas_are_those_of_another_solver() {
    let document: Document =
        serde_json::from_str(include_str!("data/solve.json")).expect("reference data");
    assert!(document.cases.len() >= 30);
    for case in &document.cases {
        let name = &case.name;
        let rig = read(&case.rig, name, &[]).expect("a sound rig");
        let readings = Readings::read(&case.readings.to_string(), name).expect("sound readings");
        readings.fit(&rig, name).expect("of this rig");
        let mut priors = Priors::new(&rig, &readings.priors);
        if let Some(measured) = &case.measured {
            let measured = Measured::read(&measured.to_string(), name);
            priors = priors.measured(&measured.expect("sound measures"));
        }
        let estimate = solve(&rig, &readings.readings, &priors);
        assert_eq!(estimate.values().len(), case.values.len(), "{name}");
        let covariance = estimate.covariance();
        for (index, found) in estimate.values().iter().enumerate() {
            let path = found.measure.plain_path();
            let expected = case.values.iter().find(|value| value.path == path);
            let expected = expected.unwrap_or_else(|| panic!("{name}: {path}"));
            let off = (found.solved - expected.solved) / expected.sigma;
            assert!(off.abs() < SHARE, "{name}: {path} is off by {off} sigma");
            let ratio = found.sigma / expected.sigma;
            assert!(
                (ratio - 1.0).abs() < SHARE,
                "{name}: sigma of {path} {ratio}"
            );
            let variance = covariance[index][index];
            assert!(
                (variance.sqrt() / found.sigma - 1.0).abs() < 1e-9,
                "{name}: {path}"
            );
        }
        assert!(
            (estimate.chi2() / case.chi2.max(1.0) - case.chi2 / case.chi2.max(1.0)).abs() < 1e-3,
            "{name}: {} {}",
            estimate.chi2(),
            case.chi2
        );
    }
}
