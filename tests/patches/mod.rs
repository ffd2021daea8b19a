//! Judges the layer `scaling` by its pixels' grey codes, row by row.

/// Whether single lines and single pixels of a patch are as they were drawn: lit beside
/// dark in each row, in each column, or in both. None where it is no such patch.
pub(crate) fn is_pixel_for_pixel(patch: &[Vec<u8>]) -> bool {
    let across = |step: [usize; 2]| -> f64 {
        let mut sum = 0.0;
        let mut count = 0.0;
        for y in 0..patch.len() - step[1] {
            for x in 0..patch[0].len() - step[0] {
                sum += f64::from(patch[y][x].abs_diff(patch[y + step[1]][x + step[0]]));
                count += 255.0;
            }
        }
        sum / count
    };
    let (right, down) = (across([1, 0]), across([0, 1]));
    right.max(down) > 0.999
        && [right, down]
            .iter()
            .all(|part| *part > 0.999 || *part < 1e-3)
}

/// A part of a picture as a scaler of some factor shows it, pixel by pixel.
pub(crate) fn rescaled(patch: &[Vec<u8>], factor: f64) -> Vec<Vec<u8>> {
    let size = |count: usize| ((count as f64 - 2.0) * factor) as usize;
    let at = |pos: usize| (pos as f64 + 0.5) / factor;
    let row = |y: usize| {
        (0..size(patch[0].len()))
            .map(|x| {
                let [fx, fy] = [at(x), at(y)];
                let (x0, y0) = (fx as usize, fy as usize);
                let (px, py) = (fx - x0 as f64, fy - y0 as f64);
                let value = |x: usize, y: usize| f64::from(patch[y][x]);
                let top = value(x0, y0) * (1.0 - px) + value(x0 + 1, y0) * px;
                let low = value(x0, y0 + 1) * (1.0 - px) + value(x0 + 1, y0 + 1) * px;
                (top * (1.0 - py) + low * py) as u8
            })
            .collect()
    };
    (0..size(patch.len())).map(row).collect()
}

/// Whether two frames of single pixels run round a panel's picture, one at the very
/// border and one four pixels inside.
pub(crate) fn has_both_frames(panel: &[Vec<u8>]) -> bool {
    let (w, h) = (panel[0].len(), panel.len());
    [0, 4].iter().all(|&inset| {
        let sides = [
            [inset, h / 3],
            [w - 1 - inset, h / 3],
            [w / 3, inset],
            [w / 3, h - 1 - inset],
        ];
        sides.iter().all(|&[x, y]| {
            let inner = [
                x.clamp(inset + 1, w - 2 - inset),
                y.clamp(inset + 1, h - 2 - inset),
            ];
            panel[y][x] == 255 && panel[inner[1]][inner[0]] == 0
        })
    })
}
