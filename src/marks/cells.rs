//! What a lattice's cells show: whether they are lit, and whether they have a dot.

use std::collections::HashMap;

use glam::DVec2;

use super::lattice::Lattice;
use crate::grey::Grey;

/// Where a cell is looked at beside its dot, as shares of its sides.
const BESIDE: [[f64; 2]; 4] = [[0.22, 0.22], [0.78, 0.22], [0.78, 0.78], [0.22, 0.78]];
/// The same of the cells around it.
const AROUND: [[f64; 2]; 8] = [
    [0.22, -0.22],
    [0.78, -0.22],
    [1.22, 0.22],
    [1.22, 0.78],
    [0.78, 1.22],
    [0.22, 1.22],
    [-0.22, 0.78],
    [-0.22, 0.22],
];
/// The same in its middle.
const MIDDLE: [[f64; 2]; 5] = [
    [0.5, 0.5],
    [0.44, 0.5],
    [0.56, 0.5],
    [0.5, 0.44],
    [0.5, 0.56],
];
/// Of the light between lit and dark, what a middle has that is as likely a dot's as not.
const EVEN: f64 = 0.28;
/// How much more or less makes it sure.
const SURE: f64 = 0.2;
/// Least light between lit and dark.
const LEAST_LIGHT: f64 = 0.002;

/// What a cell shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Cell {
    /// Whether it is lit around its middle.
    pub is_lit: bool,
    /// From −1, surely no dot, to 1, surely one.
    pub dot: f64,
}

/// Looks at all cells of a lattice, by the places of their first corners.
pub(super) fn look(grey: &Grey, lattice: &Lattice) -> HashMap<[i32; 2], Cell> {
    let places = lattice.corners.keys();
    let cells = places.filter_map(|&place| Some((place, cell(grey, &lattice.cell(place)?)?)));
    cells.collect()
}

fn cell(grey: &Grey, corners: &[DVec2; 4]) -> Option<Cell> {
    let light = |[across, down]: [f64; 2]| {
        let upper = corners[0].lerp(corners[1], across);
        let lower = corners[3].lerp(corners[2], across);
        grey.light(upper.lerp(lower, down).to_array())
    };
    let beside = median(BESIDE.map(light))?;
    let around = median(AROUND.map(light))?;
    let middle = MIDDLE.map(light);
    let middle = middle.into_iter().sum::<Option<f64>>()? / MIDDLE.len() as f64;
    let apart = around - beside;
    if apart.abs() < LEAST_LIGHT {
        return None;
    }
    let share = (middle - beside) / apart;
    Some(Cell {
        is_lit: apart < 0.0,
        dot: ((share - EVEN) / SURE).clamp(-1.0, 1.0),
    })
}

/// The mean of the two middle ones of an even number of lights.
fn median<const N: usize>(lights: [Option<f64>; N]) -> Option<f64> {
    let mut sorted = [0.0; N];
    for (sorted, light) in sorted.iter_mut().zip(lights) {
        *sorted = light?;
    }
    sorted.sort_by(f64::total_cmp);
    Some(sorted[N / 2 - 1].midpoint(sorted[N / 2]))
}
