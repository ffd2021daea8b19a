"""A rig as a POV-Ray scene: panels that glow with a picture, seen from the eye.

Everything is in linear light: the panels' pictures are written as 16-bit PNG
without a transfer curve, the panels only emit, and the traced picture comes
back as 16-bit PNG without one, too.

POV-Ray's frame is left-handed, so z changes its sign on the way in.
"""

import subprocess
from dataclasses import dataclass
from math import cos, radians, sin, tan
from pathlib import Path

import cv2
import numpy as np

from rig_reference import facing, unit

# Strips of a curved panel: at 1000 mm radius and 1200 mm width the chord of a
# strip stays within 0.0002 mm of the arc.
STRIPS = 1024
ROLL_DEG = 3.1


@dataclass
class Camera:
    """A camera at the eye, held askew by ``ROLL_DEG``.

    Level lines would otherwise meet every column of samples in the same phase,
    and their centroids would all be off by the same small error.
    """

    ahead: np.ndarray
    fov_deg: float
    size_px: tuple[int, int]

    def __post_init__(self):
        self.ahead = unit(self.ahead)
        level = unit(np.cross(self.ahead, [0.0, 1.0, 0.0]))
        roll = radians(ROLL_DEG)
        self.right = cos(roll) * level + sin(roll) * np.cross(level, self.ahead)
        self.up = np.cross(self.right, self.ahead)
        self.focal_px = self.size_px[0] / 2 / tan(radians(self.fov_deg) / 2)

    def image(self, points):
        """Picture coordinates (pixel centres at half integers) of points in the seat frame."""
        p = np.asarray(points, float)
        depth = p @ self.ahead
        return np.stack(
            [
                self.size_px[0] / 2 + self.focal_px * (p @ self.right) / depth,
                self.size_px[1] / 2 - self.focal_px * (p @ self.up) / depth,
            ],
            -1,
        )

    def line_row(self, normal, columns):
        """Row at which the plane through the eye with this normal crosses columns."""
        n = np.asarray(normal, float)
        u = (np.asarray(columns, float) - self.size_px[0] / 2) / self.focal_px
        v = -(n @ self.ahead + u * (n @ self.right)) / (n @ self.up)
        return self.size_px[1] / 2 - self.focal_px * v

    def source(self):
        """The camera in POV-Ray's language."""
        w, h = self.size_px
        return (
            "camera { perspective location <0,0,0>"
            f" direction {_vector(self.ahead)}"
            f" right {_vector(self.right * w / self.focal_px)}"
            f" up {_vector(self.up * h / self.focal_px)} }}\n"
        )


def _vector(v):
    return f"<{v[0]:.12g},{v[1]:.12g},{-v[2]:.12g}>"


def _mesh(points, corners, texture):
    """A mesh of quadrilaterals between a lower and an upper row of points."""
    n = len(points) // 2
    faces = [f"<{i},{i + 1},{n + i + 1}>,<{i},{n + i + 1},{n + i}>" for i in range(n - 1)]
    return (
        f"mesh2 {{ vertex_vectors {{ {2 * n}, {','.join(map(_vector, points))} }}\n"
        f"uv_vectors {{ {2 * n}, {','.join(f'<{u:.12g},{v:.12g}>' for u, v in corners)} }}\n"
        f"face_indices {{ {2 * (n - 1)}, {','.join(faces)} }}\n"
        f"texture {{ {texture} finish {{ ambient 0 diffuse 0 emission 1 }} }} }}\n"
    )


def panel_source(panel, picture):
    """A panel that shows a picture file."""
    strips = 1 if panel.radius_mm is None else STRIPS
    u = np.linspace(0.0, 1.0, strips + 1)
    s = (u - 0.5) * panel.width
    points = np.concatenate([panel.at(s, t) for t in (-panel.height / 2, panel.height / 2)])
    corners = [(x, y) for y in (0.0, 1.0) for x in u]
    # Interpolation 2 is bilinear between the texels' centres: a line's centroid
    # then moves evenly from column to column.
    image = f'image_map {{ png "{picture}" gamma 1.0 once interpolate 2 }}'
    return _mesh(points, corners, f"uv_mapping pigment {{ {image} }}")


def write_picture(path, light):
    """Writes linear light, 0 to 1, as a 16-bit grey PNG without a transfer curve."""
    codes = np.round(np.clip(light, 0, 1) * 65535).astype(np.uint16)
    cv2.imwrite(str(path), codes, [cv2.IMWRITE_PNG_COMPRESSION, 1])


def trace(camera, objects, stem):
    """Traces objects (POV-Ray source) and returns linear light, rows x columns."""
    stem = Path(stem)
    source, picture = stem.with_suffix(".pov"), stem.with_suffix(".png")
    source.write_text(
        "#version 3.7;\nglobal_settings { assumed_gamma 1.0 }\nbackground { rgb 0 }\n"
        + camera.source()
        + "".join(objects),
        encoding="utf-8",
    )
    w, h = camera.size_px
    command = [
        "povray", f"+I{source.name}", f"+O{picture.name}", f"+W{w}", f"+H{h}", "-D",
        # Threshold 0: an even 2 x 2 grid of samples, and the middle, in every pixel.
        "+A0.0", "+AM1", "+R2", "-J", "+FN16", "File_Gamma=1.0",
    ]
    done = subprocess.run(command, capture_output=True, text=True, cwd=stem.parent)
    if done.returncode != 0:
        raise SystemExit(f"{' '.join(command)}\n{done.stderr[-2000:]}")
    return cv2.imread(str(picture), cv2.IMREAD_UNCHANGED)[..., 1].astype(float) / 65535


def pixel_shift(folder):
    """By how much traced pictures are shifted right and down, in pixels.

    Builds of POV-Ray trace pixel i either at x = i + 1/2 or at x = i, which
    shifts the picture by half a pixel on both axes. A glowing card of
    known corners tells which: its centroid is measured and rounded to half a pixel.
    """
    camera = Camera(-facing(0.0), 30.0, (320, 240))
    # A parallelogram of slanting edges, so that the samples' grid averages out.
    middle = np.array([144.37, 107.81])
    first, second = np.array([41.3, 13.7]), np.array([-17.9, 52.2])
    corners = [middle + i * first - j * second for j in (-1, 1) for i in (-1, 1)]
    points = [
        camera.ahead * camera.focal_px + camera.right * (x - 160) + camera.up * (120 - y)
        for x, y in corners
    ]
    card = _mesh(points, [(0, 0), (1, 0), (0, 1), (1, 1)], "pigment { rgb 0.8 }")
    light = trace(camera, [card], Path(folder) / "card")
    total = light.sum()
    x = (light.sum(0) * (np.arange(320) + 0.5)).sum() / total - middle[0]
    y = (light.sum(1) * (np.arange(240) + 0.5)).sum() / total - middle[1]
    shift = np.round(np.array([x, y]) * 2) / 2 + 0.0
    assert np.abs(shift - [x, y]).max() < 0.02, (x, y)
    return shift
