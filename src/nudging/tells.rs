//! What tells wrong values apart: the table of errors, for the glass and for README.

/// Where to begin, whatever is wrong.
pub const FIRST: &str = "Begin at the innermost seam that breaks: a wrong fold, gap, step or rise \
     leaves all lines whole at the seams nearer to the panel straight ahead, and breaks them at \
     its own and at those farther out.";

/// Which wrong value makes what of the pattern, as the eye sees it; the ones that can
/// be told exactly first.
pub const TELLS: [(&str, &str); 11] = [
    (
        "eye distance",
        "lanes (the lines that run to the point straight ahead) and the horizon stay straight at \
         every seam; floor and sky lines turn",
    ),
    (
        "eye offset",
        "floor and sky lines and the horizon stay straight at every seam; lanes turn",
    ),
    (
        "fold, angle",
        "the horizon stays whole; lanes and floor and sky lines meet at the seam, or nearly, and \
         both turn there",
    ),
    (
        "gap, bezel",
        "the horizon stays whole; diagonals jump where they cross near it: the dark is wider than \
         the file says where the right part of a rising one is too low and of a falling one too \
         high",
    ),
    (
        "step",
        "the horizon stays whole; the ticks along the edge of the panel that stands too near are \
         too far from it, above and below",
    ),
    (
        "rise",
        "every line jumps to the same side at the seam, the horizon too, which is off to that \
         side at both ends of the outer panel",
    ),
    (
        "roll",
        "the horizon is too high at one end of the panel and too low at the other",
    ),
    (
        "eye height",
        "on upright panels the horizon is off to the same side everywhere, and turns at every \
         seam that folds in: too low and down where the eye is too high",
    ),
    (
        "tilt",
        "on a flat upright panel the horizon hardly jumps, and the ticks near the top and the \
         bottom are off to the same side; on a curved one the horizon jumps to the same side at \
         both its ends",
    ),
    (
        "size",
        "the panel's ticks above its middle are off to one side and those below to the other, \
         alike at both its ends",
    ),
    (
        "curve radius",
        "on an upright panel the horizon stays whole; other lines bend within the panel",
    ),
];
