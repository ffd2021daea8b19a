"""Makes tests/data/project_points.json: points in space seen on flat panels, by OpenCV.

For the eye, a flat panel is the image plane of a camera that stands at the eye
and looks square at the panel: an off-axis frustum (R. Kooima, *Generalized
Perspective Projection*, 2009). With the eye's foot point on the panel as the
principal point and its distance in pixels as the focal length,
`cv2.projectPoints` says on which pixel a point in space is seen.

The corners come from `rig_reference.py`; the projection does not.

    python3 project_points.py                                    # write the file
    python3 project_points.py --check tests/data/project_points.json
"""

from pathlib import Path

import cv2
import numpy as np

import committed
from invented_rigs import RIGS
from rig_reference import Rig, unit

DATA = Path(__file__).parent.parent / "data" / "project_points.json"
SEED = 20260417
POINTS_PER_PANEL = 24

# Single panels in poses that the invented rigs do not have.
POSED = '''format = 1
name = "{name}"

[seat]
view = "only/1"
distance_mm = {distance}
height_mm = {height}
offset_mm = {offset}

[[panel]]
name = "only"
pixels = {pixels}
size_mm = {size}
tilt_deg = {tilt}
roll_deg = {roll}
'''

POSES = [
    dict(name="Upright, eye aside", distance=540.0, height=75.0, offset=-120.0,
         pixels=[1080, 1920], size=[298.9, 531.3], tilt=0.0, roll=0.0),
    dict(name="Leaning back and turned", distance=710.0, height=-40.0, offset=33.0,
         pixels=[2560, 1440], size=[596.7, 335.7], tilt=11.0, roll=-4.5),
    dict(name="Leaning forward, flat pixels", distance=903.0, height=150.0, offset=0.0,
         pixels=[1920, 1200], size=[560.0, 320.0], tilt=-17.0, roll=2.25),
    dict(name="On its side", distance=650.0, height=10.0, offset=5.0,
         pixels=[3840, 2160], size=[697.3, 392.2], tilt=3.0, roll=90.0),
]


def kooima(corners):
    """Kooima's d, screen axes and foot point for corners pa, pb, pc and the eye at 0."""
    pa, pb, pc = corners
    vr, vu = unit(pb - pa), unit(pc - pa)
    vn = unit(np.cross(vr, vu))
    d = -vn @ pa
    return d, vr, vu, vn, vr @ pa, vu @ pa


def expected_px(rig, index, points):
    """Where the eye sees the points on a panel, in its pixel coordinates."""
    panel = rig.panels[index]
    w, h = panel.pixels
    pa, pb, pc = (rig.point(index, x, y) for x, y in ((0, h), (w, h), (0, 0)))
    d, vr, vu, vn, left, bottom = kooima((pa, pb, pc))
    pitch_x, pitch_y = np.linalg.norm(pb - pa) / w, np.linalg.norm(pc - pa) / h
    top = bottom + np.linalg.norm(pc - pa)
    # The camera's axes: x to the right, y down, z ahead.
    camera_from_seat = np.stack([vr, -vu, -vn])
    intrinsics = np.array(
        [[d / pitch_x, 0, -left / pitch_x], [0, d / pitch_y, top / pitch_y], [0, 0, 1]]
    )
    # OpenCV takes the turn as a rotation vector, which loses digits near half a
    # turn: start from axes that already point right, down and ahead.
    down_and_ahead = np.diag([1.0, -1.0, -1.0])
    return cv2.projectPoints(
        np.ascontiguousarray(points @ down_and_ahead),
        cv2.Rodrigues(camera_from_seat @ down_and_ahead)[0],
        np.zeros(3), intrinsics, None,
    )[0][:, 0]


def case(text, random):
    """Random points for every flat panel of a rig, or None if all are curved."""
    rig = Rig(text)
    panels = []
    for index, panel in enumerate(rig.panels):
        if panel.radius_mm is not None:
            continue
        w, h = panel.pixels
        # Aim at pixels, on the glass and a little beside it, at any depth.
        aim = rig.point(
            index,
            random.uniform(-0.2, 1.2, POINTS_PER_PANEL) * w,
            random.uniform(-0.2, 1.2, POINTS_PER_PANEL) * h,
        )
        points = aim * random.uniform(0.2, 40.0, (POINTS_PER_PANEL, 1))
        panels.append({
            "panel": index,
            "points": [
                {"seat_mm": p.tolist(), "px": px.tolist()}
                for p, px in zip(points, expected_px(rig, index, points))
            ],
        })
    return {"name": rig.name, "rig": text, "panels": panels} if panels else None


def compute():
    """The whole document."""
    random = np.random.default_rng(SEED)
    texts = [POSED.format(**pose) for pose in POSES] + RIGS
    cases = [case(text, random) for text in texts]
    return {
        "source": "tests/reference/project_points.py (OpenCV %s)" % cv2.__version__.split(".")[0],
        "cases": [c for c in cases if c],
    }


if __name__ == "__main__":
    committed.main(__doc__, compute, DATA, 1e-9)
