"""Makes tests/data/layout_points.json: points, views and seams of invented rigs.

The program must place every listed pixel where `rig_reference.py` places it.

    python3 layout_points.py                                   # write the file
    python3 layout_points.py --check tests/data/layout_points.json
"""

from pathlib import Path

import numpy as np

import committed
from invented_rigs import RIGS
from rig_reference import Rig

DATA = Path(__file__).parent.parent / "data" / "layout_points.json"
FRACTIONS_X = (0.0, 0.21, 0.5, 0.83, 1.0)
FRACTIONS_Y = (0.0, 0.37, 1.0)


def case(text):
    """One rig's expected layout."""
    rig = Rig(text)
    points = []
    for index, panel in enumerate(rig.panels):
        w, h = panel.pixels
        for fx in FRACTIONS_X:
            for fy in FRACTIONS_Y:
                px, py = fx * w, fy * h
                seat = rig.point(index, px, py)
                # A rig whose panels turn their backs to the eye would be no rig.
                s = float(panel.s_from_px(px))
                assert panel.normal_at(s) @ seat < 0, f"{rig.name}: {panel.name}"
                points.append({"panel": index, "px": [px, py], "seat_mm": seat.tolist()})
    return {
        "name": rig.name,
        "rig": text,
        "canvas_px": list(rig.canvas_px),
        "panels": [{"name": p.name, "canvas_px": list(p.canvas_px)} for p in rig.panels],
        **rig.numbers(),
        "points": points,
    }


def compute():
    """The whole document."""
    return {
        "source": "tests/reference/layout_points.py (numpy %s)" % np.__version__.split(".")[0],
        "cases": [case(text) for text in RIGS],
    }


if __name__ == "__main__":
    committed.main(__doc__, compute, DATA, 1e-9)
