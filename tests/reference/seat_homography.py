"""Where a seat view shows points of flat panels, by OpenCV's homographies.

For each flat panel of some rigs, a camera's picture of the panel's four corners
and the panel's own pixel corners give a homography (getPerspectiveTransform);
it says where in the canvas each of some view pixels looks.

    python3 seat_homography.py [--check ../data/seat_homography.json]
"""

from math import cos, radians, sin, tan
from pathlib import Path

import cv2
import numpy as np

import committed
from rig_reference import Rig
from wrong_rigs import RIGS

OUT = Path(__file__).resolve().parents[1] / "data" / "seat_homography.json"
# Demo, azimuth and elevation of the view's middle, width of the view, eye.
VIEWS = [
    ("tram-cab", -25.0, -5.0, 70.0, (0.0, 0.0, 0.0)),
    ("tram-cab", 0.0, 3.0, 100.0, (40.0, -25.0, -60.0)),
    ("night-train", 30.0, -8.0, 60.0, (0.0, 30.0, 15.0)),
    ("ferry-bridge", -45.0, 0.0, 40.0, (-10.0, 0.0, 0.0)),
]
SIZE_PX = (640, 400)


def view_px(points, az_deg, el_deg, fov_deg, eye):
    """Picture coordinates of points, by OpenCV's pinhole camera; None behind it."""
    az, el = radians(az_deg), radians(el_deg)
    ahead = np.array([sin(az) * cos(el), sin(el), -cos(az) * cos(el)])
    right = np.array([cos(az), 0.0, sin(az)])
    down = np.cross(ahead, right)
    rotation = np.stack([right, down, ahead])
    focal = SIZE_PX[0] / 2 / tan(radians(fov_deg) / 2)
    camera = np.array([[focal, 0, SIZE_PX[0] / 2], [0, focal, SIZE_PX[1] / 2], [0, 0, 1]])
    shift = -rotation @ np.array(eye)
    if ((np.asarray(points) @ rotation.T + shift)[:, 2] < 1).any():
        return None
    seen, _ = cv2.projectPoints(
        np.asarray(points, float).reshape(-1, 1, 3), cv2.Rodrigues(rotation)[0], shift, camera, None
    )
    return seen.reshape(-1, 2)


def compute():
    views = []
    for demo, az, el, fov, eye in VIEWS:
        rig = Rig.load(RIGS / f"{demo}.toml")
        panels = []
        for index, panel in enumerate(rig.panels):
            if panel.radius_mm is not None:
                continue
            w, h = panel.pixels
            corners = np.array([[0, 0], [w, 0], [w, h], [0, h]], float)
            seen = view_px([rig.point(index, *c) for c in corners], az, el, fov, eye)
            if seen is None:
                continue
            x, y, *_ = panel.canvas_px
            # OpenCV takes corners in single precision only: it checks, a double solution is kept.
            canvas_from_view = exact(seen, corners + [x, y])
            rough = cv2.getPerspectiveTransform(seen.astype(np.float32), (corners + [x, y]).astype(np.float32))
            inside = []
            for column in range(20, SIZE_PX[0], 60):
                for row in range(20, SIZE_PX[1], 60):
                    at = np.array([[[column + 0.5, row + 0.5]]])
                    if cv2.pointPolygonTest(seen.astype(np.float32), tuple(at[0, 0]), True) < 2:
                        continue
                    canvas = cv2.perspectiveTransform(at, canvas_from_view)[0, 0]
                    by_opencv = cv2.perspectiveTransform(at, rough)[0, 0]
                    assert np.abs(canvas - by_opencv).max() < 0.02, (canvas, by_opencv)
                    inside.append({"view_px": [column + 0.5, row + 0.5], "canvas_px": list(canvas)})
            if inside:
                panels.append({"panel": index, "points": inside})
        assert panels
        views.append({
            "demo": demo, "look_deg": [az, el], "fov_deg": fov, "eye_mm": list(eye),
            "size_px": list(SIZE_PX), "panels": panels,
        })
    return {"views": views}


def exact(source, target):
    """The homography of four points, solved in double precision."""
    rows, values = [], []
    for (x, y), (u, v) in zip(source, target):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        values += [u, v]
    return np.append(np.linalg.solve(rows, values), 1.0).reshape(3, 3)


if __name__ == "__main__":
    committed.main(__doc__, compute, OUT, 1e-6)
