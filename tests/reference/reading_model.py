"""What a person reads at a seam, computed a second time from ``rig_reference``.

A rig's numbers are named by their paths, panels and seams from 1; turns are folds,
sizes two sides.
"""

from copy import deepcopy
from math import degrees, radians

import numpy as np

from rig_reference import unit

# What a rig file is usually off by, one standard deviation.
USUAL = {
    "distance_mm": 15.0, "height_mm": 15.0, "offset_mm": 10.0, "fold_deg": 2.0, "gap_mm": 1.0,
    "step_mm": 2.0, "rise_mm": 2.0, "roll_deg": 0.5, "tilt_deg": 1.0,
}


def _owner(rig, path):
    table, *rest = path.split(".")
    key = rest[-1]
    owner = {"seat": rig, "panel": None, "seam": None}[table]
    if owner is None:
        owner = (rig.panels if table == "panel" else rig.seams)[int(rest[0]) - 1]
    return owner, key


def value(rig, path):
    """The number that a rig has at a path."""
    owner, key = _owner(rig, path)
    if key in ("fold_deg", "tilt_deg", "roll_deg"):
        return degrees(getattr(owner, key[:-4]))
    if key in ("width_mm", "height_mm") and path.startswith("panel"):
        return owner.size_mm["width_mm" != key]
    return getattr(owner, {"curve_radius_mm": "radius_mm"}.get(key, key))


def moved(rig, numbers):
    """The rig, laid out anew with numbers at some paths."""
    rig = deepcopy(rig)
    for path, number in numbers.items():
        owner, key = _owner(rig, path)
        if key in ("fold_deg", "tilt_deg", "roll_deg"):
            setattr(owner, key[:-4], radians(number))
        elif key in ("width_mm", "height_mm") and path.startswith("panel"):
            width, height = owner.size_mm
            owner.size_mm = (number, height) if key == "width_mm" else (width, number)
        else:
            setattr(owner, {"curve_radius_mm": "radius_mm"}.get(key, key), number)
    rig._place()
    return rig


def free_paths(rig, priors):
    """Every number that readings may move, with its prior."""
    seat = [f"seat.{key}" for key in ("distance_mm", "height_mm", "offset_mm")]
    panels = [
        f"panel.{n + 1}.{key}" for n in range(len(rig.panels)) if n != rig.facing[0]
        for key in ("tilt_deg", "roll_deg")
    ]
    seams = [
        f"seam.{n + 1}.{key}" for n in range(len(rig.seams))
        for key in ("fold_deg", "gap_mm", "step_mm", "rise_mm")
    ]
    usual = {path: USUAL[path.rpartition(".")[2]] for path in seat + panels + seams}
    return {**usual, **priors}


def slide(drawn, built, reading):
    """How many rows of the right panel the right part has to move up to continue.

    Five points, evenly spaced in columns, give the left part where it is drawn for
    ``drawn``; they are seen on ``built``, and the plane through the eye that fits
    their directions best meets the right panel's column in another row.
    """
    left, right = reading["seam"] - 1, reading["seam"]
    normal = reading["normal"]
    columns = np.linspace(*reading["left_px"], 5)
    rows = drawn.line_row(left, normal, columns)
    seen = unit(built.point(left, columns, rows))
    plane = np.linalg.svd(seen)[2][-1]
    column = reading["right_px"]
    row = float(drawn.line_row(right, normal, column))
    return row - float(built.line_row(right, plane, column))
